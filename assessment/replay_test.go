package assessment_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// On lives without sign-offs, lapses or reviews a rule replayed on the verdicts
// reaches its points at the same observation as the standing does.
func TestVerdictsAgainstTheStanding(t *testing.T) {
	p := curriculum.Default()
	skill, rng := p.Skill("CL4"), rand.New(rand.NewPCG(20261125, 1))
	rule := *p.PointsRule(skill.Points)
	reached, set := 0, 0
	for range 2000 {
		var list []assessment.Observation
		day := firstDay
		for range rng.IntN(60) {
			day += assessment.Day(rng.IntN(3))
			o := assessment.Observation{Skill: "CL4", Day: day, Seq: int64(len(list)), Level: 4, Dog: fmt.Sprint("dog ", rng.IntN(4)), Coat: "WO", Size: "M", Assessor: "X",
				Source: []assessment.Source{0, 0, 0, 0, 0, 0, 0, 0, assessment.Logbook, assessment.Self}[rng.IntN(10)]}
			switch rng.IntN(30) {
			case 0:
				o.Level = 3
			case 1:
				o.Severity, o.Attribution = "S2", "equipment" // set aside
				set++
			case 2:
				o.Severity, o.Attribution = "S2", "apprentice"
			}
			list = append(list, o)
		}
		s := assessment.Explain(p, &assessment.Evidence{Skill: skill, Observations: list}, day)
		verdicts := assessment.Verdicts(p, list)
		got := assessment.SequenceRule(&rule).Replay(verdicts)
		if !assert.Equal(t, s.Points.Reached, got.ReachedAt) || !assert.Equal(t, s.Points.Judged, len(verdicts)) {
			return
		}
		if got.ReachedAt > 0 {
			reached++
		}
	}
	assert.Greater(t, reached, 100)
	assert.Greater(t, set, 1000)
}

// Three short histories worked by hand: 17 clean get there; a fault first, at 0
// points, costs 10, and 26 clean do not make up for it while 27 do; of the last
// the 61st observation comes after the declared 60.
func TestTryARule(t *testing.T) {
	p := curriculum.Default()
	history := func(words ...string) assessment.History {
		all := map[string]*assessment.Apprenticeship{"nobody": {}}
		for _, w := range words {
			all[w] = &assessment.Apprenticeship{Observations: map[string][]assessment.Observation{"CL4": seen("CL4", w, firstDay), "BA5": seen("BA5", "cc", firstDay)}}
		}
		return assessment.HistoryOf(p, "safety", all)
	}
	rule := p.PointsRule("safety")
	onlyHere := 0
	for _, s := range p.AllSkills() {
		if s.ID == "BA5" && s.Points == rule.ID {
			onlyHere++
		}
	}
	h := history(repeat("c", 17), "x"+repeat("c", 26), "x"+repeat("c", 27), repeat("x", 33)+repeat("c", 27)+"c")
	got := h.Try(rule)
	assert.Equal(t, 4*(1+onlyHere), got.Sequences)
	assert.Equal(t, 3, got.Reached, "the last gets there at the 60th")
	assert.Equal(t, 17+28+60, got.Spent)
	assert.Equal(t, "35.0", got.Mean().Rounded(1, 1))
	late := history(repeat("x", 34) + repeat("c", 27)).Try(rule)
	assert.Zero(t, late.Reached, "the 61st is not declared")
	assert.Equal(t, "–", late.Mean().Rounded(1, 1))
	assert.Zero(t, history().Try(rule))
}
