package assessment_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/assessment/estimate"
	"tablehand/curriculum"
)

// every spreads observations over the days, one each n days.
func every(n int, list []assessment.Observation) []assessment.Observation {
	for i := range list {
		list[i].Day = firstDay + assessment.Day(i*n)
	}
	return list
}

func TestForecast(t *testing.T) {
	list := every(7, seen("HC1", repeat("c", 10), firstDay))
	today := lastDay(list)
	s := standOn(t, "HC1", list, today)
	f, ok := assessment.Forecast(&s, firstDay, today, 0)
	require.True(t, ok)
	require.Empty(t, f.WhyNot)
	assert.Equal(t, [5]int{10, 0, 50, 10, 64}, [5]int{f.Evidence, f.Faults, f.Remaining, f.PaceCount, f.PaceDays})
	recent, ago := make([]bool, 10), make([]int, 10)
	for i := range recent {
		recent[i], ago[i] = true, 7*(9-i)
	}
	want := estimate.Forecast(estimate.Skill{Rule: assessment.SequenceRule(s.PointsRule), Score: 10, Used: 10, Recent: recent, DaysAgo: ago, Days: 64})
	assert.Equal(t, want.Observations, f.Observations)
	assert.Equal(t, want.Weeks, f.Weeks)
	assert.GreaterOrEqual(t, f.Observations.Low, 17-s.Points.Score, "never fewer than all clean would take")
}

func TestForecastIsHidden(t *testing.T) {
	few := every(7, seen("HC1", "cccc", firstDay))
	s := standOn(t, "HC1", few, lastDay(few))
	f, ok := assessment.Forecast(&s, firstDay, lastDay(few), 0)
	assert.True(t, ok)
	assert.Contains(t, f.WhyNot, "4 formal observations so far")
	done := every(7, seen("HC1", repeat("c", 17), firstDay))
	s = standOn(t, "HC1", done, lastDay(done))
	_, ok = assessment.Forecast(&s, firstDay, lastDay(done), 0)
	assert.False(t, ok, "it is eligible")
	none := standOn(t, "TH4", seen("TH4", "cc", firstDay), firstDay+2)
	_, ok = assessment.Forecast(&none, firstDay, firstDay+2, 0)
	assert.False(t, ok, "it has no points rule")

	p := curriculum.Default()
	held := assessment.Evidence{Skill: p.Skill("HC1"), Observations: few, Holds: []assessment.Hold{{Scope: curriculum.HoldSkill, Skill: "HC1", Severity: "S2", From: firstDay}}}
	s = assessment.Explain(p, &held, lastDay(few))
	f, ok = assessment.Forecast(&s, firstDay, lastDay(few), 0)
	assert.True(t, ok)
	assert.Contains(t, f.WhyNot, "hold")
}

func TestForecastProgramme(t *testing.T) {
	p := curriculum.Default()
	a := &assessment.Apprenticeship{Observations: map[string][]assessment.Observation{}}
	for _, skill := range []string{"HC1", "HC2"} {
		a.Observations[skill] = every(4, seen(skill, repeat("c", 15), firstDay))
	}
	today := firstDay + 60
	list := a.ExplainedStandings(p, today)
	only := func(s *assessment.Standing) bool { return a.Observations[s.Skill.ID] != nil }
	f := assessment.ForecastProgramme(list, only, a.Began(0), today, 0)
	require.Empty(t, f.WhyNot)
	assert.Equal(t, 2, f.Skills)
	one, _ := assessment.Forecast(&list[0], firstDay, today, 0)
	assert.GreaterOrEqual(t, f.Weeks.High, one.Weeks.High, "all together take no less than one")
	f = assessment.ForecastProgramme(list, func(s *assessment.Standing) bool { return p.Required(s.Skill) }, a.Began(0), today, 0)
	assert.Contains(t, f.WhyNot, "cannot be forecast yet")
	assert.Equal(t, firstDay, a.Began(firstDay+3))
	assert.Equal(t, firstDay-9, a.Began(firstDay-9))
}
