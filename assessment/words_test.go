package assessment_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"tablehand/assessment"
	"tablehand/curriculum"
)

func TestEachWordIsThere(t *testing.T) {
	once := func(list ...string) {
		t.Helper()
		seen := map[string]bool{}
		for _, w := range list {
			assert.NotEmpty(t, w)
			assert.False(t, seen[w], "%q stands for two things", w)
			seen[w] = true
		}
	}
	var states, needs, reasons []string
	for _, s := range assessment.States {
		states = append(states, s.String())
	}
	once(states...)
	assert.Equal(t, []string{"Not started", "Practising", "Eligible", "Signed", "On hold", "Lapsed"}, states)
	for n := assessment.NeedPoints; n <= assessment.NeedNoHolds; n++ {
		open := assessment.Requirement{Need: n, Have: 1, Want: 3, Missing: 2, Of: 3}
		needs = append(needs, open.Name())
		assert.NotEmpty(t, open.Closing(), open.Name())
		assert.True(t, strings.HasSuffix(open.Closing(), "."), open.Closing())
		open.Met = true
		assert.Empty(t, open.Closing(), "a met requirement asks for nothing")
	}
	once(needs...)
	for x := assessment.BelowLevel; x <= assessment.BesideObservations; x++ {
		reasons = append(reasons, x.Words())
	}
	once(reasons...)
	assert.Empty(t, assessment.NotExcluded.Words())
	once(assessment.Formal.String(), assessment.Logbook.String(), assessment.Self.String(), assessment.Simulation.String(), assessment.Check.String())
	once(assessment.Clean.String(), assessment.NotClean.String(), assessment.Neutral.String())
	once(assessment.Meets.String(), assessment.NotYet.String(), assessment.Incomplete.String())
	once(assessment.Awaiting.String(), assessment.Confirmed.String(), assessment.Declined.String())
	once(assessment.ObservationsUsedUp.Words(), assessment.MonitorAlarm.Words(), assessment.IncidentsRepeated.Words())
	assert.Empty(t, assessment.NoReview.Words())
}

// The promise says what the rule guarantees: a chance for one skill at a given
// fault rate, never how likely it is that somebody is competent.
func TestPromise(t *testing.T) {
	r := curriculum.Default().PointsRule("safety")
	assert.Equal(t, "If an apprentice's true fault rate on this skill were 20 % or more on observations like these, at most 5 in 100 would reach this within 60 observations.", assessment.Promise(r))
	assert.Contains(t, assessment.PointsWords(r)[0], "One that is not clean costs 10, and the score never falls below −10. Eligible at 17 points.")
	odd := *r
	odd.Unacceptable, odd.FalseSignOff = 0.125, 0.025
	assert.Contains(t, assessment.Promise(&odd), "were 12.5 % or more")
	assert.Contains(t, assessment.Promise(&odd), "at most 2.5 in 100")
}

func TestRulesInWords(t *testing.T) {
	p := curriculum.Default()
	assert.Equal(t, []string{
		"6 counting observations at L4 or above, by an assessor, one for each dog and day.",
		"Clean in 4 of the last 6.", "At least 3 different coat classes.", "At least 2 different styles.",
		"The newest counting one at most 90 days old on the day of the decision.",
	}, assessment.RuleWords(p.EvidenceRule("E3"), nil))
	points := assessment.RuleWords(p.EvidenceRule("E2"), p.PointsRule("safety"))
	assert.Equal(t, []string{"At least 2 different size bands.", "At least 2 different assessors."}, points[2:4])
	for _, line := range points {
		assert.NotContains(t, line, "counting observations at", "points stand in the place of count and streak")
		assert.NotContains(t, line, "Clean in")
	}
	assert.Equal(t, []string{"2 rehearsals with oral questions at L4 or above; a real event handled well counts as one.", "To be renewed every 12 months."}, assessment.RuleWords(p.EvidenceRule("E5"), nil))
	assert.Equal(t, []string{"An oral or written check with at least 80 %.", "To be renewed every 24 months."}, assessment.RuleWords(p.EvidenceRule("E6"), nil))
	assert.Contains(t, assessment.RuleWords(p.EvidenceRule("E7"), nil)[0], "written salon policy")
}

func TestStandingInASentence(t *testing.T) {
	e, day := signedOn("CL4")
	p := curriculum.Default()
	at := func(d assessment.Day) string {
		s := assessment.Stand(p, e, d)
		return s.Sentence()
	}
	assert.Equal(t, "Signed off and current until 18 April 2026.", at(day)) // 17 January and 91 days
	assert.Contains(t, at(day+92), "the next one is watched")
	assert.Contains(t, at(day+183), "lapsed")
	e.Holds = []assessment.Hold{{Scope: curriculum.HoldSkill, Skill: "CL4", Severity: "S2", From: day}}
	assert.Equal(t, "On hold since 17 January 2026 after an incident of severity S2. Earlier evidence is kept.", at(day+1))
	e.Holds, e.SignOffs = nil, nil
	assert.Contains(t, at(day), "a different person confirms")
	e.Observations = e.Observations[:3]
	assert.Equal(t, "Practising. Points: 14 observations more if all are clean.", at(day))
	e.Observations = nil
	assert.Equal(t, "Nothing has been seen yet.", at(day))
}

// Points that came too late are not told as points that never came.
func TestReviewOfPointsReachedTooLate(t *testing.T) {
	s := assessment.Standing{Review: assessment.ObservationsUsedUp, PointsRule: curriculum.Default().PointsRule("safety")}
	assert.Equal(t, assessment.ObservationsUsedUp.Words(), s.ReviewWords())
	assert.NotContains(t, s.ReviewWords(), "reached")
	s.Points.Reached = 64
	assert.Equal(t, "The points were reached with observation 64, after the 60 declared ones were used up, so they do not make the skill eligible. Review the plan together before going on.", s.ReviewWords())
}

func TestFoundAndWanted(t *testing.T) {
	for _, c := range []struct {
		r             assessment.Requirement
		found, wanted string
	}{
		{assessment.Requirement{Need: assessment.NeedPoints, Have: -10, Want: 17}, "−10", "17"},
		{assessment.Requirement{Need: assessment.NeedWithin, Have: 12, Want: 60}, "12", "at most 60"},
		{assessment.Requirement{Need: assessment.NeedWithin, Have: 0, Want: 60, Missing: 60, Met: true}, "0 made, 60 left", "at most 60"},
		{assessment.Requirement{Need: assessment.NeedWithin, Have: 17, Want: 60, Missing: 40, Met: true}, "17 when the points were reached", "at most 60"},
		{assessment.Requirement{Need: assessment.NeedWithin, Have: 60, Want: 60, Met: true}, "60 when the points were reached", "at most 60"},
		{assessment.Requirement{Need: assessment.NeedStreak, Have: 2, Want: 4, Of: 6}, "2", "4 of 6"},
		{assessment.Requirement{Need: assessment.NeedNewest, Have: -1, Want: 60}, "none yet", "at most 60"},
		{assessment.Requirement{Need: assessment.NeedNewest, Have: 9, Want: 60}, "9", "at most 60"},
		{assessment.Requirement{Need: assessment.NeedPolicy, Have: 1, Want: 1}, "yes", "yes"},
		{assessment.Requirement{Need: assessment.NeedNoHolds, Have: 2}, "2", "none"},
		{assessment.Requirement{Need: assessment.NeedNoHolds}, "none", "none"},
	} {
		assert.Equal(t, c.found, c.r.Found())
		assert.Equal(t, c.wanted, c.r.Wanted())
	}
	fresh := assessment.Requirement{Need: assessment.NeedNewest, Have: -1, Missing: 1}
	assert.Equal(t, "One counting observation.", fresh.Closing())
	list := seen("CL4", repeat("c", 17), firstDay)
	s := standOn(t, "CL4", list, lastDay(list)+61)
	assert.Equal(t, "A fresh counting observation; the newest was good until 18 March 2026.", find(t, s, assessment.NeedNewest).Closing()) // 17 January and 60 days
}

func TestChanceWords(t *testing.T) {
	for p, want := range map[float64]string{0: "0.00 %", 1: "100.00 %", .0493: "4.93 %", .00004: "less than 0.01 %", .9999999: "more than 99.99 %", .99994: "99.99 %"} {
		assert.Equal(t, want, assessment.ChanceWords(p))
	}
}
