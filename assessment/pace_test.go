package assessment_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"tablehand/assessment"
)

// Week 52 of 78 with 36 of 58 skills signed, worked by hand: 36/52 a week; 22 more
// take 22 × 52/36 weeks. Two held and three unconfirmed skills do not count, so
// neither 38 nor 41 may be in the figures.
func TestPaceByHand(t *testing.T) {
	start := assessment.Date(2024, time.September, 1)
	g := assessment.Progress{Required: 58, Signed: 36, Held: 2, Eligible: 3, Underway: 11, NotBegun: 6}
	p := assessment.PaceOf(g, start, assessment.Date(2026, time.February, 28), start+52*7-1)
	assert.Equal(t, assessment.Pace{Signed: 36, Remaining: 22, Elapsed: 52 * 7, Span: 78 * 7}, p)
	assert.Equal(t, assessment.Ratio{Num: 9, Den: 13}, p.PerWeek().Lowest(), "36/52")
	assert.Equal(t, "0.692", p.PerWeek().Rounded(1, 3))
	assert.Equal(t, "31.8", p.WeeksLeft().Rounded(1, 1))
	assert.Equal(t, "83.8", p.FinishWeek().Rounded(1, 1))
	assert.Equal(t, "5.8", p.WeeksLate().Rounded(1, 1))
	assert.Equal(t, assessment.Ratio{Num: 11, Den: 13}, p.Needed().Lowest(), "22/26")
	assert.Equal(t, "36 of 58 required skills were signed in 52 weeks, 0.69 a week. At that pace the last one is signed in 31.8 weeks, 5.8 weeks after the planned end. To end as planned it takes 0.85 a week.", p.Sentence())
}

func TestPaceSentences(t *testing.T) {
	for name, c := range map[string]struct {
		p    assessment.Pace
		want string
	}{
		"nothing yet":      {assessment.Pace{Remaining: 58, Elapsed: 1}, "No pace yet: it takes at least 4 weeks and 5 signed skills to tell one."},
		"three weeks":      {assessment.Pace{Signed: 6, Remaining: 52, Elapsed: 21, Span: 546}, "No pace yet: it takes at least 4 weeks and 5 signed skills to tell one. To end as planned, 0.69 a week have to be signed."},
		"four skills":      {assessment.Pace{Signed: 4, Remaining: 54, Elapsed: 200}, "No pace yet: it takes at least 4 weeks and 5 signed skills to tell one."},
		"no end":           {assessment.Pace{Signed: 5, Remaining: 5, Elapsed: 70}, "5 of 10 required skills were signed in 10 weeks, 0.50 a week. At that pace the last one is signed in 10.0 weeks."},
		"early":            {assessment.Pace{Signed: 5, Remaining: 5, Elapsed: 70, Span: 210}, "5 of 10 required skills were signed in 10 weeks, 0.50 a week. At that pace the last one is signed in 10.0 weeks, 10.0 weeks before the planned end. To end as planned it takes 0.25 a week."},
		"on the last day":  {assessment.Pace{Signed: 5, Remaining: 5, Elapsed: 70, Span: 70}, "The planned end has come, and 5 of 10 required skills are not signed."},
		"after the end":    {assessment.Pace{Remaining: 10, Elapsed: 80, Span: 70}, "The planned end has come, and 10 of 10 required skills are not signed."},
		"all signed":       {assessment.Pace{Signed: 10, Elapsed: 80, Span: 70}, "All 10 required skills are signed."},
		"before the start": {assessment.Pace{Remaining: 10, Elapsed: -3, Span: 70}, "No pace yet: it takes at least 4 weeks and 5 signed skills to tell one. To end as planned, 0.96 a week have to be signed."},
	} {
		assert.Equal(t, c.want, c.p.Sentence(), name)
	}
}
