package assessment_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// The rule that ships is one of those worth choosing, and every choice keeps the
// declared error.
func TestRuleChoices(t *testing.T) {
	shipped := curriculum.Default().Points[0]
	choices, err := assessment.RuleChoices(shipped)
	require.NoError(t, err)
	assert.GreaterOrEqual(t, len(choices), 4)
	assert.LessOrEqual(t, len(choices), 7)
	ships := false
	for i, c := range choices {
		assert.LessOrEqual(t, c.Figures.FalseSignOff, shipped.FalseSignOff)
		assert.Equal(t, shipped.ID, c.ID)
		ships = ships || c.PointsRule == shipped
		if i > 0 {
			assert.Greater(t, c.MeanCompetent, choices[i-1].MeanCompetent, "dearer for the competent …")
			assert.Greater(t, c.Improving, choices[i-1].Improving, "… and kinder to the improving: none beats another")
		}
		assert.LessOrEqual(t, c.Efficiency(), 1.0)
	}
	assert.True(t, ships, "%+v", choices)
	again, err := assessment.RuleChoices(shipped)
	require.NoError(t, err)
	assert.Equal(t, choices, again)
}

func TestRuleChoicesRefuse(t *testing.T) {
	r := curriculum.Default().Points[0]
	for name, change := range map[string]func(r *curriculum.PointsRule){
		"too long":     func(r *curriculum.PointsRule) { r.Within = 201 },
		"too short":    func(r *curriculum.PointsRule) { r.Within = 10 },
		"turned round": func(r *curriculum.PointsRule) { r.Competent, r.Unacceptable = 0.2, 0.02 },
		"no error":     func(r *curriculum.PointsRule) { r.FalseSignOff = 0 },
		"no number":    func(r *curriculum.PointsRule) { r.Unacceptable = math.NaN() },
	} {
		bad := r
		change(&bad)
		_, err := assessment.RuleChoices(bad)
		assert.Error(t, err, name)
	}
}

// "Three in a row" passes nearly everybody. The figures follow from Feller's
// formula for runs (An Introduction to Probability Theory, vol. I, XIII.7) and
// stand among the published run cases; 23 was computed by an independent program.
func TestInARow(t *testing.T) {
	r := curriculum.Default().Points[0]
	c := assessment.CompareInARow(3, &r)
	assert.Equal(t, "1.0000", fmt.Sprintf("%.4f", c.FalseSignOff))
	q := 1 - r.Competent
	assert.InDelta(t, (1-q*q*q)/(r.Competent*q*q*q), c.MeanCompetent, 1e-9)
	assert.Equal(t, 23, c.Safe)
	r.Within = 5
	assert.Zero(t, assessment.CompareInARow(3, &r).Safe, "no run can keep it in so few")
}

func TestCurves(t *testing.T) {
	r := curriculum.Default().Points[0]
	rule, run := assessment.Curves(&r, 3, 0.4)
	require.Len(t, rule, assessment.CurvePoints)
	f := assessment.FiguresOf(&r)
	assert.Equal(t, 1.0, rule[0], "who makes no fault becomes eligible")
	assert.InDelta(t, f.CompetentWithin, rule[5], 1e-12)
	assert.InDelta(t, f.FalseSignOff, rule[50], 1e-12)
	for i := 1; i < len(rule); i++ {
		assert.LessOrEqual(t, rule[i], rule[i-1]+1e-12)
		assert.LessOrEqual(t, run[i], run[i-1]+1e-12)
		assert.GreaterOrEqual(t, run[i]+1e-12, rule[i], "three in a row is never harder")
	}
}

// A stricter rule takes eligibility away, a laxer one gives it; what is signed
// stays.
func TestRuleChanges(t *testing.T) {
	p := curriculum.Default()
	rule := p.Points[0]
	version := func(eligible int) *curriculum.Programme {
		r := rule
		r.EligibleAt = eligible
		changed, err := p.WithPointsRule(r, 2)
		require.NoError(t, err)
		return changed
	}
	list := seen("HC1", repeat("c", 17), firstDay)
	today := lastDay(list)
	a := &assessment.Apprenticeship{Observations: map[string][]assessment.Observation{"HC1": list, "HC2": seen("HC2", repeat("c", 17), firstDay)},
		SignOffs: map[string][]assessment.SignOff{"HC2": {{Skill: "HC2", Decision: assessment.Confirmed, Proposed: today, Decided: today}}}}
	changes := a.RuleChanges(p, version(18), today)
	require.Len(t, changes, 1, "%+v", changes)
	assert.Equal(t, [3]any{"HC1", assessment.Eligible, assessment.Practising}, [3]any{changes[0].Skill.ID, changes[0].Before, changes[0].After})
	assert.Empty(t, a.RuleChanges(p, version(16), today), "eligible already")
	assert.Empty(t, a.RuleChanges(p, p, today))
	back := a.RuleChanges(version(18), p, today)
	require.Len(t, back, 1)
	assert.Equal(t, assessment.Eligible, back[0].After)
}
