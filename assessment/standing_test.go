package assessment_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// throatOnCount is the throat skill judged by count and streak (rule E1)
// alone, with its prerequisites out of the way.
func throatOnCount(t *testing.T) (*curriculum.Programme, *curriculum.Skill) {
	t.Helper()
	p := curriculum.Default()
	s := *p.Skill("CL4")
	s.Points, s.Needs = "", nil
	require.Equal(t, "E1", s.Evidence)
	return p, &s
}

func throatYear(burnBy string) []assessment.Observation {
	day := func(m time.Month, d int) assessment.Day { return assessment.Date(2026, m, d) }
	list := []assessment.Observation{
		{Day: day(1, 12), Coat: "WO", Size: "S", Assessor: "X", Level: 3},
		{Day: day(1, 26), Coat: "WO", Size: "S", Assessor: "X", Level: 4},
		{Day: day(2, 9), Coat: "SI", Size: "M", Assessor: "X", Level: 4},
		{Day: day(3, 2), Coat: "WI", Size: "M", Assessor: "A", Level: 5, Source: assessment.Self},
		{Day: day(3, 16), Coat: "WI", Size: "M", Assessor: "Y", Level: 4},
		{Day: day(3, 30), Coat: "WO", Size: "M", Assessor: "X", Level: 4, Severity: "S2", Attribution: burnBy},
		{Day: day(4, 13), Coat: "SI", Size: "S", Assessor: "X", Level: 4},
		{Day: day(4, 27), Coat: "WO", Size: "M", Assessor: "Y", Level: 4},
		{Day: day(5, 11), Coat: "WI", Size: "S", Assessor: "X", Level: 5},
	}
	for i := range list {
		list[i].Skill, list[i].Seq, list[i].Dog = "CL4", int64(i+1), list[i].Day.String()
	}
	return list
}

func find(t *testing.T, s assessment.Standing, n assessment.Need) assessment.Requirement {
	t.Helper()
	for _, r := range s.Requirements {
		if r.Need == n {
			return r
		}
	}
	require.Failf(t, "requirement missing", "%d", n)
	return assessment.Requirement{}
}

// The throat-clipping example: nine dated observations with a self-rating and a
// burn. Worked by hand from rule E1; common practice, no source.
func TestThroatSignOffByCountAndStreak(t *testing.T) {
	p, skill := throatOnCount(t)
	decide := assessment.Date(2026, time.May, 20)
	standing := func(list []assessment.Observation, day assessment.Day) assessment.Standing {
		return assessment.Explain(p, &assessment.Evidence{Skill: skill, Observations: list}, day)
	}

	s := standing(throatYear("apprentice"), decide)
	assert.Equal(t, assessment.Eligible, s.State)
	assert.Equal(t, 6, find(t, s, assessment.NeedCount).Have, "26 Jan, 9 Feb, 16 Mar, 13 Apr, 27 Apr, 11 May")
	assert.NotEqual(t, 8, find(t, s, assessment.NeedCount).Have, "all that were given L4 or more")
	assert.NotEqual(t, 7, find(t, s, assessment.NeedCount).Have, "the same without the self-rating: the burn does not count either")
	for need, want := range map[assessment.Need]int{assessment.NeedCount: 5, assessment.NeedStreak: 3, assessment.NeedCoats: 3, assessment.NeedSizes: 2, assessment.NeedAssessors: 2, assessment.NeedNewest: 60} {
		assert.Equal(t, want, find(t, s, need).Want)
		assert.True(t, find(t, s, need).Met)
	}
	assert.Equal(t, 3, find(t, s, assessment.NeedStreak).Have, "since the burn")
	assert.Equal(t, []string{"WO", "SI", "WI"}, find(t, s, assessment.NeedCoats).Names)
	assert.Equal(t, []string{"S", "M"}, find(t, s, assessment.NeedSizes).Names)
	assert.Equal(t, []string{"X", "Y"}, find(t, s, assessment.NeedAssessors).Names)
	assert.Equal(t, 9, find(t, s, assessment.NeedNewest).Have)
	assert.Equal(t, "2026-07-10", s.CurrentUntil.String())

	counted := map[string]string{}
	for _, u := range s.Used {
		counted[u.Observation.Day.String()] = u.Why.Words()
	}
	assert.Equal(t, map[string]string{
		"2026-01-12": assessment.BelowLevel.Words(), "2026-01-26": "", "2026-02-09": "",
		"2026-03-02": assessment.SelfRated.Words(), "2026-03-16": "", "2026-03-30": assessment.HarmedByApprentice.Words(),
		"2026-04-13": "", "2026-04-27": "", "2026-05-11": "",
	}, counted)

	assert.Equal(t, assessment.Eligible, standing(throatYear("apprentice"), assessment.Date(2026, time.July, 10)).State)
	late := standing(throatYear("apprentice"), assessment.Date(2026, time.July, 11))
	assert.Equal(t, assessment.Practising, late.State)
	assert.False(t, find(t, late, assessment.NeedNewest).Met)
	require.Len(t, late.Missing(), 1, "nothing else is open")
	assert.Equal(t, "A fresh counting observation; the newest was good until 10 July 2026.", late.Missing()[0].Closing())

	short := standing(throatYear("apprentice")[:8], decide)
	assert.Equal(t, assessment.Practising, short.State)
	assert.True(t, find(t, short, assessment.NeedCount).Met)
	assert.Equal(t, 5, find(t, short, assessment.NeedCount).Have)
	streak := find(t, short, assessment.NeedStreak)
	assert.Equal(t, 2, streak.Have)
	require.Len(t, short.Missing(), 1, "one clean observation is all that is short")
	assert.Equal(t, 1, streak.Missing)
	assert.Equal(t, "1 clean observation more, in a row.", streak.Closing())

	kit := standing(throatYear("equipment")[:8], decide)
	assert.Equal(t, 5, find(t, kit, assessment.NeedCount).Have, "the burn still does not count")
	assert.True(t, find(t, kit, assessment.NeedStreak).Met, "and the streak is not reset")
	assert.Equal(t, assessment.Eligible, kit.State)
	assert.Equal(t, assessment.HarmNotApprentice, kit.Used[5].Why)
}

func TestProposerDoesNotConfirm(t *testing.T) {
	p, skill := throatOnCount(t)
	e := assessment.Evidence{Skill: skill, Observations: throatYear("apprentice")}
	s := assessment.Stand(p, &e, assessment.Date(2026, time.May, 20))
	assert.Empty(t, assessment.RefuseProposal(&s, "X", assessment.Assessor, "A"))
	so := &assessment.SignOff{Apprentice: "A", ProposedBy: "X"}
	assert.Contains(t, assessment.RefuseDecision(so, &s, "X", assessment.Assessor, true), "different person")
	assert.Contains(t, assessment.RefuseDecision(so, &s, "A", assessment.HeadGroomer, true), "own")
	assert.Contains(t, assessment.RefuseDecision(so, &s, "Q", assessment.Auditor, true), "Only a head groomer")
	assert.Empty(t, assessment.RefuseDecision(so, &s, "Q", assessment.HeadGroomer, true))
}

// A standing as of a day is what it was: nothing dated later counts, is told
// or is explained.
func TestStandingAsOfADay(t *testing.T) {
	p, skill := throatOnCount(t)
	year := throatYear("apprentice")
	for i := range year {
		day := year[i].Day
		for _, on := range []assessment.Day{day - 1, day} {
			seen := year[:i]
			if on == day {
				seen = year[:i+1]
			}
			then := assessment.Explain(p, &assessment.Evidence{Skill: skill, Observations: seen}, on)
			assert.Equal(t, then, assessment.Explain(p, &assessment.Evidence{Skill: skill, Observations: year}, on), "as of %s", on)
			assert.Len(t, then.Used, len(seen))
		}
	}
	before := assessment.Stand(p, &assessment.Evidence{Skill: skill, Observations: year}, year[0].Day-1)
	assert.Equal(t, assessment.NotStarted, before.State)
}

// The same for everything else that is dated.
func TestWhatWasDecidedLaterIsNotYet(t *testing.T) {
	p := curriculum.Default()
	e, day := signedOn("CL4")
	e.SignOffs = []assessment.SignOff{{Key: "s1", Decision: assessment.Confirmed, Proposed: day + 2, Decided: day + 5}}
	e.Holds = []assessment.Hold{{Scope: curriculum.HoldSkill, Skill: "CL4", Severity: "S2", From: day + 10, Released: day + 20}}
	e.Permission = assessment.PermissionSet{Level: 3, Day: day + 3}
	for _, c := range []struct {
		on      assessment.Day
		state   assessment.State
		waiting bool
		set     int
	}{
		{day + 1, assessment.Eligible, false, 0},
		{day + 2, assessment.Eligible, true, 0},
		{day + 3, assessment.Eligible, true, 3},
		{day + 4, assessment.Eligible, true, 3},
		{day + 5, assessment.Signed, false, 3},
		{day + 9, assessment.Signed, false, 3},
		{day + 10, assessment.OnHold, false, 3},
		{day + 19, assessment.OnHold, false, 3},
		{day + 20, assessment.Signed, false, 3},
	} {
		s := assessment.Stand(p, e, c.on)
		assert.Equal(t, c.state, s.State, "day %d", c.on-day)
		assert.Equal(t, c.waiting, s.Awaiting != nil, "day %d", c.on-day)
		assert.Equal(t, c.set, s.Permission.Set, "day %d", c.on-day)
	}
	gated := &assessment.Evidence{Skill: p.Skill("NE4"), Observations: seen("NE4", "ccc", firstDay), PolicyDay: firstDay + 10}
	assert.Equal(t, assessment.Practising, assessment.Stand(p, gated, firstDay+9).State, "the policy was not written yet")
	assert.Equal(t, assessment.Eligible, assessment.Stand(p, gated, firstDay+10).State)
}
