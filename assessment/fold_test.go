package assessment_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// What is not given is no coat, size, style or dog of its own.
func TestNotGivenIsNotDifferent(t *testing.T) {
	list := seen("CL9", "cccccc", firstDay)
	for i := range list {
		list[i].Style = []string{"scissored", ""}[i%2]
	}
	s := standOn(t, "CL9", list, lastDay(list))
	assert.Equal(t, []string{"scissored"}, find(t, s, assessment.NeedStyles).Names)
	assert.False(t, find(t, s, assessment.NeedStyles).Met)

	h := &assessment.Hold{Skill: "HR2", Severity: "S3", From: firstDay - 1}
	dogs := seen("HR2", "ccc", firstDay)
	dogs[1].Dog, dogs[2].Dog = "", ""
	needs := assessment.ReleaseNeeds(curriculum.Default(), h, dogs)
	assert.Equal(t, assessment.NeedDogs, needs[1].Need)
	assert.Equal(t, 1, needs[1].Have, "dogs without a label are not known to differ")
}

// A fault that the apprentice tells of in the logbook does not take the place of
// the one an assessor saw on the same dog: only the assessor's ends a streak and
// keeps a permission down.
func TestATellingEntryHidesNoFault(t *testing.T) {
	list := seen("CL9", "ccccx", firstDay)
	own := list[4]
	own.Source, own.Assessor = assessment.Logbook, "A"
	plain := standOn(t, "CL9", list, lastDay(list))
	for _, level := range []int8{1, 2, 3} {
		for _, severity := range []string{"", "S2"} {
			for _, at := range []int{4, 5} {
				own.Level, own.Severity, own.Attribution = level, severity, "apprentice"
				s := standOn(t, "CL9", slices.Insert(slices.Clone(list), at, own), lastDay(list))
				assert.Equal(t, plain.Requirements, s.Requirements, "level %d %s at %d", level, severity, at)
				assert.Equal(t, plain.Permission, s.Permission)
				assert.Equal(t, plain.LastSeen, s.LastSeen)
			}
		}
	}
	clean := seen("CL9", "ccccc", firstDay)
	own.Level, own.Severity = 3, ""
	s := standOn(t, "CL9", append(slices.Clone(clean), own), lastDay(clean))
	assert.Equal(t, assessment.SameDogSameDay, s.Used[4].Why, "the worse of the two is taken")
	assert.Equal(t, lastDay(clean), s.LastSeen, "an assessor saw it all the same")
	throat := seen("CL4", "ccccx", firstDay)
	own = throat[4]
	own.Source, own.Level = assessment.Logbook, 1
	assert.Equal(t, -10, standOn(t, "CL4", []assessment.Observation{own, throat[4]}, firstDay+9).Points.Score, "once")
}

// A check taken again after a pass shows the pass it rests on.
func TestAPassIsShownAsThePass(t *testing.T) {
	check := func(day assessment.Day, percent int8) assessment.Observation {
		return assessment.Observation{Skill: "CW7", Day: day, Source: assessment.Check, Percent: percent, Assessor: "X"}
	}
	s := standOn(t, "CW7", []assessment.Observation{check(firstDay, 85), check(firstDay+1, 60)}, firstDay+1)
	r := find(t, s, assessment.NeedCheck)
	assert.True(t, r.Met)
	assert.Equal(t, "85", r.Found())
	assert.Equal(t, assessment.Clean, s.Used[0].Verdict, "a pass is no fault, though a check has no level")
	assert.Equal(t, assessment.NotClean, s.Used[1].Verdict)
	s = standOn(t, "CW7", []assessment.Observation{check(firstDay, 50), check(firstDay+1, 60)}, firstDay+1)
	assert.Equal(t, "60", find(t, s, assessment.NeedCheck).Found(), "the newest while none has passed")
}

// What has to be renewed and was not begins again, signed or not: two rehearsals
// of years ago would otherwise make a skill eligible, and its sign-off would
// lapse on the day it is confirmed.
func TestOldRehearsalsMakeNobodyEligible(t *testing.T) {
	p := curriculum.Default()
	rehearsal := func(d assessment.Day) assessment.Observation {
		return assessment.Observation{Skill: "CW5", Day: d, Source: assessment.Simulation, Level: 4, Assessor: "X"}
	}
	e := &assessment.Evidence{Skill: p.Skill("CW5"), Observations: []assessment.Observation{rehearsal(firstDay), rehearsal(firstDay + 1)}}
	year := (firstDay + 1).AddMonths(12)
	assert.Equal(t, assessment.Eligible, assessment.Stand(p, e, year).State)
	late := assessment.Explain(p, e, year+1)
	assert.Equal(t, assessment.Practising, late.State)
	assert.Equal(t, "2 rehearsals more.", find(t, late, assessment.NeedSimulations).Closing())
	for _, u := range late.Used {
		assert.Equal(t, assessment.TooOld, u.Why)
	}
	e.Observations = append(e.Observations, rehearsal(year+1))
	assert.Equal(t, "1 rehearsal more.", find(t, assessment.Stand(p, e, year+1), assessment.NeedSimulations).Closing())
	e.Observations = append(e.Observations, rehearsal(year+2))
	e.SignOffs = confirmed(year + 2)
	assert.Equal(t, assessment.Signed, assessment.Stand(p, e, year+3).State, "what is confirmed stands")

	// The declared observations of a points rule do not begin anew by waiting.
	points, rule := *p, slices.Clone(p.Evidence)
	points.Evidence = rule
	points.EvidenceRule("E1").RepeatMonths = 6
	list := seen("CL4", "cccx", firstDay)
	s := assessment.Stand(&points, &assessment.Evidence{Skill: p.Skill("CL4"), Observations: list}, firstDay+400)
	assert.Equal(t, assessment.Points{Score: -7, Judged: 4}, s.Points)
}

// Two incidents under one skill: one that is somebody else's does not cover up
// the apprentice's own, however grave it is.
func TestAnothersIncidentCoversNoneOfOnesOwn(t *testing.T) {
	p := curriculum.Default()
	own := assessment.Incident{Kind: "clipper_burn", Severity: "S2", Attribution: "apprentice", Skill: "CL4"}
	graver := assessment.Incident{Kind: "bite_person", Severity: "S3", Attribution: "dog", Skill: "CL4"}
	minor := assessment.Incident{Kind: "cut", Severity: "S1", Attribution: "apprentice", Skill: "CL4"}
	kit := assessment.Incident{Kind: "clipper_burn", Severity: "S2", Attribution: "equipment", Skill: "CL4"}
	for name, c := range map[string]struct {
		list    []assessment.Incident
		verdict assessment.Verdict
	}{
		"own and graver":      {[]assessment.Incident{own, graver}, assessment.NotClean},
		"own minor and kit":   {[]assessment.Incident{minor, kit}, assessment.Neutral},
		"own minor and grave": {[]assessment.Incident{minor, own}, assessment.NotClean},
		"own minor":           {[]assessment.Incident{minor}, assessment.Clean},
		"all":                 {[]assessment.Incident{kit, minor, graver, own}, assessment.NotClean},
	} {
		for range 2 {
			g := groomOf(4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4)
			g.Incidents = c.list
			list := assessment.Derive(p, g)
			i := slices.IndexFunc(list, func(o assessment.Observation) bool { return o.Skill == "CL4" })
			require.GreaterOrEqual(t, i, 0)
			assert.Equal(t, c.verdict, assessment.VerdictOf(p, &list[i]), name)
			slices.Reverse(c.list)
		}
	}
}

// Without a policy in force a disputed skill is not done at all, whatever has
// been seen or signed. Common practice, no source.
func TestNoPolicyNoPermission(t *testing.T) {
	p := curriculum.Default()
	e := &assessment.Evidence{Skill: p.Skill("NE4"), Observations: seen("NE4", "cccc", firstDay), SignOffs: confirmed(firstDay + 5), PolicyDay: firstDay,
		Permission: assessment.PermissionSet{Level: 5, Day: firstDay + 5}}
	assert.Equal(t, 5, assessment.Stand(p, e, firstDay+6).Permission.Now)
	year := e.PolicyDay.AddMonths(12)
	assert.Equal(t, 5, assessment.Stand(p, e, year).Permission.Now, "the last day of the policy")
	assert.Equal(t, 1, assessment.Stand(p, e, year+1).Permission.Now)
	kept := *p
	kept.Evidence = slices.Clone(p.Evidence)
	kept.EvidenceRule("E7").RepeatMonths = 0
	assert.Equal(t, 4, assessment.Stand(&kept, e, year+1).Permission.Now, "a policy that needs no renewal; the sign-off lapsed on its own")
	e.PolicyDay = 0
	s := assessment.Stand(p, e, firstDay+6)
	assert.Equal(t, assessment.Permission{Set: 5, Ceiling: 1, Now: 1, Limited: "the salon's written policy, which is missing or out of date"}, s.Permission)
	assert.Contains(t, assessment.RefusePermission(&s, 2), "at most P1 now. It is limited by the salon's written policy")
}

// A corrected groom takes its incidents with it, and what the correction says
// takes their place.
func TestWithACorrection(t *testing.T) {
	p := curriculum.Default()
	e, day := signedOn("CL4")
	burnt := seen("CL4", "c", day+1)
	burnt[0].Groom, burnt[0].Severity, burnt[0].Attribution = "g1", "S2", "apprentice"
	burn := assessment.Event{Incident: assessment.Incident{Kind: "clipper_burn", Severity: "S2", Attribution: "apprentice", Skill: "CL4"}, Groom: "g1", Dog: burnt[0].Dog, Day: day + 1}
	a := &assessment.Apprenticeship{
		Observations: map[string][]assessment.Observation{"CL4": append(e.Observations, burnt...)}, SignOffs: map[string][]assessment.SignOff{"CL4": e.SignOffs},
		Holds: []assessment.Hold{{Scope: curriculum.HoldSkill, Skill: "CL4", Severity: "S2", Groom: "g1", From: day + 1}}, Incidents: []assessment.Event{burn},
	}
	g := groomOf(4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4)
	g.Day, g.Supersedes, g.Because = day+1, "g1", "The burn was on another dog."
	after := a.With(p, g, day+2)
	assert.Empty(t, after.Holds)
	assert.Empty(t, after.Incidents)
	s, _ := after.Standing(p, "CL4", day+2)
	assert.Equal(t, assessment.Signed, s.State)
	assert.Equal(t, 18, s.Seen)

	g.Incidents = []assessment.Incident{burn.Incident}
	after = a.With(p, g, day+2)
	assert.Len(t, after.Holds, 1)
	assert.Equal(t, []assessment.Event{{Incident: burn.Incident, Dog: g.Dog, Day: g.Day}}, after.Incidents)
	assert.Len(t, a.Incidents, 1, "the record itself is not touched")
	assert.Equal(t, "g1", a.Incidents[0].Groom)
}

// Whether there is a sign-off to hold is asked of the record as it would be: the
// groom that kept the skill in use is corrected, so the sign-off had lapsed.
func TestACorrectionHoldsOnlyWhatIsStillSigned(t *testing.T) {
	p := curriculum.Default()
	e, day := signedOn("CL4")
	use := seen("CL4", "c", day+90)
	use[0].Groom = "g1"
	a := &assessment.Apprenticeship{Observations: map[string][]assessment.Observation{"CL4": append(e.Observations, use...)}, SignOffs: map[string][]assessment.SignOff{"CL4": e.SignOffs}}
	s, _ := a.Standing(p, "CL4", day+200)
	require.Equal(t, assessment.Signed, s.State)
	g := groomOf(4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4)
	g.Day, g.Supersedes, g.Because = day+90, "g1", "The burn was left out."
	g.Incidents = []assessment.Incident{{Kind: "clipper_burn", Severity: "S2", Attribution: "apprentice", Skill: "CL4"}}
	after := a.With(p, g, day+200)
	s, _ = after.Standing(p, "CL4", day+200)
	assert.Equal(t, assessment.Lapsed, s.State)
	assert.Empty(t, after.Holds)
	assert.Len(t, a.With(p, g, day+100).Holds, 1, "asked while it was signed")
}

// A sign-off that was declined leaves nothing behind: the next one stands on its
// own.
func TestSigningAfterADecline(t *testing.T) {
	p := curriculum.Default()
	e, day := signedOn("CL4")
	declined := assessment.SignOff{Key: "s0", Decision: assessment.Declined, Proposed: day, Decided: day + 1}
	again := assessment.SignOff{Key: "s1", Proposed: day + 2}
	e.SignOffs = []assessment.SignOff{declined, again}
	s := assessment.Stand(p, e, day+3)
	assert.Equal(t, assessment.Eligible, s.State)
	assert.Equal(t, "s1", s.Awaiting.Key)
	again.Decision, again.Decided = assessment.Confirmed, day+3
	e.SignOffs = []assessment.SignOff{declined, again}
	s = assessment.Stand(p, e, day+3)
	assert.Equal(t, assessment.Signed, s.State)
	assert.Equal(t, "s1", s.SignOff.Key)
	assert.Nil(t, s.Awaiting)
}

// dayByDay is the points rule with sign-offs and lapses read from its text, one
// day after another: what is old is forgotten, then the day's dogs are taken,
// then what was confirmed that day stands.
func dayByDay(p *curriculum.Programme, list []assessment.Observation, signOffs []assessment.SignOff, today assessment.Day) (state assessment.State, score, seenCount int) {
	rule := p.PointsRule("safety")
	var signed, wasSigned bool
	var used assessment.Day
	bad := func(o assessment.Observation) bool { return o.Level < 4 }
	for day := firstDay; day <= today; day++ {
		if signed && int(day-used) > p.Currency.LapseDays {
			signed, score, seenCount = false, 0, 0
		}
		taken := map[string]bool{}
		for _, o := range list {
			if o.Day != day || taken[o.Dog] {
				continue
			}
			taken[o.Dog] = true
			worst := o
			for _, other := range list {
				if other.Day == day && other.Dog == o.Dog && bad(other) {
					worst = other
				}
			}
			seenCount++
			if bad(worst) {
				score = max(score-rule.FaultCosts, rule.NeverBelow)
			} else {
				score, used = min(score+1, rule.EligibleAt), day
			}
		}
		for _, so := range signOffs {
			if so.Decided == day && so.Decision == assessment.Confirmed {
				signed, wasSigned, used = true, true, day
			}
		}
	}
	switch {
	case signed:
		return assessment.Signed, score, seenCount
	case wasSigned:
		return assessment.Lapsed, score, seenCount
	case seenCount == 0:
		return assessment.NotStarted, score, seenCount
	}
	return assessment.Practising, score, seenCount
}

// The fold against the reading of one day after another, on 1,000 random lives
// with gaps long enough to lapse, and on a day in the middle of each.
func TestFoldAgainstADayByDayReading(t *testing.T) {
	p := curriculum.Default()
	skill := *p.Skill("CL4")
	rng := rand.New(rand.NewPCG(20260521, 3))
	happened := map[assessment.State]int{}
	for run := range 1000 {
		var list []assessment.Observation
		var signOffs []assessment.SignOff
		day := firstDay
		for range rng.IntN(40) {
			day += assessment.Day([]int{0, 0, 1, 1, 3, 20, 100, 190}[rng.IntN(8)])
			// Worst first within a dog and day, so that both readings meet it in one place.
			o := assessment.Observation{Skill: "CL4", Day: day, Seq: int64(len(list)), Level: int8(3 + min(rng.IntN(6), 1)), Dog: fmt.Sprint("dog ", rng.IntN(3)), Coat: "WO", Size: "M", Assessor: "X"}
			if slices.ContainsFunc(list, func(other assessment.Observation) bool {
				return other.Day == o.Day && other.Dog == o.Dog && other.Level > o.Level
			}) {
				continue
			}
			list = append(list, o)
			if rng.IntN(6) == 0 {
				signOffs = append(signOffs, assessment.SignOff{Decision: assessment.Decision(rng.IntN(3)), Proposed: day, Decided: day + assessment.Day(rng.IntN(2))})
				day = max(day, signOffs[len(signOffs)-1].Decided)
			}
		}
		for _, today := range []assessment.Day{day, day + 200, firstDay + assessment.Day(rng.IntN(int(day-firstDay)+1))} {
			s := assessment.Stand(p, &assessment.Evidence{Skill: &skill, Observations: list, SignOffs: signOffs}, today)
			state, score, seenCount := dayByDay(p, list, signOffs, today)
			at := fmt.Sprintf("life %d as of %s: %v, signed %v", run, today, list, signOffs)
			require.Equal(t, state, s.State, at)
			require.Equal(t, score, s.Points.Score, at)
			require.Equal(t, seenCount, s.Seen, at)
			happened[state]++
		}
	}
	for _, s := range []assessment.State{assessment.NotStarted, assessment.Practising, assessment.Signed, assessment.Lapsed} {
		assert.Greater(t, happened[s], 50, "%s hardly occurred, so it was hardly tested: %v", s, happened)
	}
}

// What is dated after the day asked changes nothing, on random histories.
func TestTheFutureChangesNothing(t *testing.T) {
	p := curriculum.Default()
	rng := rand.New(rand.NewPCG(4, 20260522))
	for range 500 {
		skill := []string{"CL4", "CL9"}[rng.IntN(2)]
		list := randomHistory(rng, skill, 30)
		today := firstDay + assessment.Day(rng.IntN(40))
		known := slices.DeleteFunc(slices.Clone(list), func(o assessment.Observation) bool { return o.Day > today })
		if len(known) == 0 {
			known = nil
		}
		perm := assessment.PermissionSet{Level: 4, Day: firstDay}
		then := assessment.Explain(p, &assessment.Evidence{Skill: p.Skill(skill), Observations: known, Permission: perm}, today)
		require.Equal(t, then, assessment.Explain(p, &assessment.Evidence{Skill: p.Skill(skill), Observations: list, Permission: perm}, today))
	}
}

// Different dogs on one day may be entered in any order where nothing is lost to
// a floor or a ceiling: what was counted is the same.
func TestOrderWithinADay(t *testing.T) {
	p := curriculum.Default()
	rng := rand.New(rand.NewPCG(5, 5))
	for range 300 {
		list := seen("CL9", "cccxccxcccxx"[:2+rng.IntN(11)], firstDay)
		for i := range list {
			list[i].Day = firstDay + assessment.Day(i/4)
		}
		other := slices.Clone(list)
		rng.Shuffle(len(other), func(i, j int) { other[i], other[j] = other[j], other[i] })
		slices.SortStableFunc(other, func(x, y assessment.Observation) int { return int(x.Day - y.Day) })
		get := func(l []assessment.Observation) assessment.Standing {
			return assessment.Stand(p, &assessment.Evidence{Skill: p.Skill("CL9"), Observations: l}, assessment.Date(2026, time.February, 1))
		}
		x, y := get(list), get(other)
		assert.Equal(t, []int{x.Seen, x.Clean, int(x.LastSeen)}, []int{y.Seen, y.Clean, int(y.LastSeen)})
		for _, n := range []assessment.Need{assessment.NeedCount, assessment.NeedCoats, assessment.NeedStyles, assessment.NeedNewest} {
			assert.Equal(t, find(t, x, n).Have, find(t, y, n).Have)
		}
	}
}

// A page that draws the points takes just the observations that were judged;
// a fault that meets the floor is one of them.
func TestWhatIsTakenIntoThePoints(t *testing.T) {
	list := seen("CL4", "xxcc", firstDay)
	list[3].Dog, list[3].Day = list[2].Dog, list[2].Day // the same dog on the same day
	for i, o := range []assessment.Observation{{Level: 4}, {Level: 2}} {
		o.Skill, o.Source, o.Day, o.Seq, o.Dog = "CL4", assessment.Logbook, firstDay+10+assessment.Day(i), int64(10+i), "logbook dog"
		list = append(list, o)
	}
	list = append(list, assessment.Observation{Skill: "CL4", Source: assessment.Self, Level: 5, Day: firstDay + 20, Seq: 20})
	s := standOn(t, "CL4", list, lastDay(list))
	var judged []bool
	var points []int
	for _, u := range s.Used {
		judged = append(judged, u.Judged)
		if u.Judged {
			points = append(points, u.Score)
		}
	}
	assert.Equal(t, []bool{true, true, true, false, false, true, false}, judged)
	assert.Equal(t, []int{-10, -10, -9, -10}, points)
	assert.Equal(t, 4, s.Points.Judged)
}
