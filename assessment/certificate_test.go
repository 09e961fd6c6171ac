package assessment_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// There is a certificate of exactly one kind of sign-off: confirmed, and standing
// on the day.
func TestCertificateOnlyOfWhatStands(t *testing.T) {
	p := curriculum.Default()
	e, day := signedOn("CL4")
	first := &e.SignOffs[0]
	refused := func(so *assessment.SignOff, on assessment.Day) string {
		s := assessment.Stand(p, e, on)
		return assessment.RefuseCertificate(so, &s)
	}
	assert.Empty(t, refused(first, day))
	assert.Empty(t, refused(first, day+100), "out of use, and still standing")
	assert.Contains(t, refused(first, day+183), "lapsed because the skill was not used")

	waits, declined := *first, *first
	waits.Decision, declined.Decision = assessment.Awaiting, assessment.Declined
	assert.Contains(t, refused(&waits, day), "waits for a second person")
	assert.Contains(t, refused(&declined, day), "declined on "+day.Words())
	assert.Contains(t, assessment.RefuseCertificate(first, nil), "no longer has this skill")

	e.Holds = []assessment.Hold{{Scope: curriculum.HoldSkill, Skill: "CL4", Severity: "S2", From: day + 2}}
	assert.Contains(t, refused(first, day+2), "on hold since "+(day+2).Words())
	assert.Contains(t, refused(first, day+183), "lapsed", "a lapse does not end with the hold, so it is told first")
	e.Holds[0].Released = day + 3
	assert.Empty(t, refused(first, day+3), "released")

	again := seen("CL4", repeat("c", 17), day+200)
	e.Observations = append(e.Observations, again...)
	e.SignOffs = append(e.SignOffs, assessment.SignOff{Key: "s2", Decision: assessment.Confirmed, Decided: day + 220})
	assert.Contains(t, refused(&e.SignOffs[0], day+220), "signed off again since")
	assert.Empty(t, refused(&e.SignOffs[1], day+220))
}

// The last day that the words name is the last day on which the skill, left
// alone, is signed: asked of the standing itself on that day and the next.
func TestLastsUntilIsTheLastDayItStands(t *testing.T) {
	p := curriculum.Default()
	points, day := signedOn("CL4")
	used, _ := signedOn("CL4")
	used.Observations = append(used.Observations, assessment.Observation{Skill: "CL4", Day: day + 90, Seq: 50, Level: 4, Dog: "later", Coat: "WO", Size: "M", Assessor: "X"})
	rehearsed := &assessment.Evidence{Skill: p.Skill("CW5"), SignOffs: confirmed(firstDay + 5)}
	for range 2 {
		rehearsed.Observations = append(rehearsed.Observations, assessment.Observation{Skill: "CW5", Day: firstDay, Source: assessment.Simulation, Level: 4, Assessor: "X"})
	}
	for name, c := range map[string]struct {
		e  *assessment.Evidence
		on assessment.Day
	}{"on its day": {points, day}, "out of use": {points, day + 120}, "used since": {used, day + 95}, "renewed by the calendar": {rehearsed, firstDay + 30}} {
		s := assessment.Stand(p, c.e, c.on)
		require.True(t, s.SignedNow(), name)
		last := s.LastsUntil(p)
		on := func(d assessment.Day) bool { s := assessment.Stand(p, c.e, d); return s.SignedNow() }
		assert.True(t, on(last), "%s: on %s", name, last)
		assert.False(t, on(last+1), "%s: the day after %s", name, last)
		assert.Contains(t, s.CurrencyWords(p), last.Words(), name)
	}
	s := assessment.Stand(p, points, day+92)
	assert.Contains(t, s.CurrencyWords(p), "Out of use: it was current until "+(day+91).Words())
}

// 4.93 %: a walk over the scores written for this check alone, in another language
// (0.04934); the bound over two series is twice the 5 % that the rule declares.
func TestErrorWords(t *testing.T) {
	rule := curriculum.Default().PointsRule("safety")
	assert.Equal(t, "Of 100 apprentices whose fault rate is 20 %, about 5 would become eligible within 60 observations (exactly 4.93 %).", assessment.ErrorWords(rule, 1))
	assert.Contains(t, assessment.ErrorWords(rule, 2), "This was series 2 of observations; over all of them the chance is at most 10.00 %.")
	assert.Contains(t, assessment.ErrorWords(nil, 1), "no chance of error is stated")
}
