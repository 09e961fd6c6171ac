package assessment_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/curriculum"
)

func confirmed(day assessment.Day) []assessment.SignOff {
	return []assessment.SignOff{{Key: "s1", ProposedBy: "X", DecidedBy: "Y", Decision: assessment.Confirmed, Proposed: day, Decided: day}}
}

// signedOn is a skill with 17 clean observations and a sign-off on the day of
// the last.
func signedOn(skill string) (*assessment.Evidence, assessment.Day) {
	p := curriculum.Default()
	list := seen(skill, repeat("c", 17), firstDay)
	return &assessment.Evidence{Skill: p.Skill(skill), Observations: list, SignOffs: confirmed(lastDay(list))}, lastDay(list)
}

// Current for 91 days without use, due until the 182nd, lapsed from the 183rd.
// The dates: common practice, no source; why a date and not a curve, see Arthur
// et al. 1998 and Tatel & Ackerman 2025 on how skills fade.
func TestCurrency(t *testing.T) {
	p := curriculum.Default()
	e, day := signedOn("CL4")
	on := func(d assessment.Day) assessment.Standing { return assessment.Stand(p, e, d) }

	s := on(day)
	assert.Equal(t, assessment.Signed, s.State)
	assert.Equal(t, day+91, s.CurrentUntil)
	assert.False(t, on(day+91).Due)
	assert.True(t, on(day+92).Due)
	assert.Equal(t, assessment.Signed, on(day+182).State)
	assert.True(t, s.WasSigned() && s.SignedNow())

	lapsed := on(day + 183)
	assert.Equal(t, assessment.Lapsed, lapsed.State)
	assert.True(t, lapsed.Again && lapsed.WasSigned())
	assert.False(t, lapsed.SignedNow())
	assert.Equal(t, 0, lapsed.Points.Score, "the evidence begins again")
	assert.Equal(t, 0, find(t, lapsed, assessment.NeedPoints).Have)
	assert.Equal(t, day, lapsed.LastSeen, "what was seen is still known")
	for _, u := range assessment.Explain(p, e, day+183).Used {
		assert.Equal(t, assessment.BeforeLapse, u.Why)
		assert.False(t, u.Counted)
	}
}

// Use keeps a signed skill current: a clean formal observation or a clean
// logbook entry, but not a fault and not a self-rating.
func TestUseKeepsASkillCurrent(t *testing.T) {
	p := curriculum.Default()
	for _, c := range []struct {
		source assessment.Source
		level  int8
		keeps  bool
	}{{assessment.Formal, 4, true}, {assessment.Logbook, 4, true}, {assessment.Formal, 3, false}, {assessment.Logbook, 3, false}, {assessment.Self, 5, false}} {
		e, day := signedOn("CL4")
		e.Observations = append(e.Observations, assessment.Observation{Skill: "CL4", Day: day + 90, Seq: 50, Source: c.source, Level: c.level, Dog: "later", Coat: "WO", Size: "M", Assessor: "X"})
		s := assessment.Stand(p, e, day+183)
		if c.keeps {
			assert.Equal(t, assessment.Signed, s.State, "%v", c)
			assert.Equal(t, day+90+91, s.CurrentUntil)
		} else {
			assert.Equal(t, assessment.Lapsed, s.State, "%v", c)
		}
	}
}

// After a lapse the points begin at 0; what was earned before does not help, and
// a new sign-off stands like the first.
func TestStartingAgainAfterALapse(t *testing.T) {
	p := curriculum.Default()
	e, day := signedOn("CL4")
	again := seen("CL4", repeat("c", 17), day+200)
	e.Observations = append(e.Observations, again[:16]...)
	s := assessment.Stand(p, e, day+220)
	assert.Equal(t, assessment.Lapsed, s.State)
	assert.Equal(t, 16, s.Points.Score)
	assert.Equal(t, 16, s.Seen)
	e.Observations = append(e.Observations, again[16])
	s = assessment.Stand(p, e, day+220)
	assert.Equal(t, assessment.Eligible, s.State)
	assert.Equal(t, 17, s.Points.Reached)

	e.SignOffs = append(e.SignOffs, assessment.SignOff{Key: "s2", Decision: assessment.Confirmed, Decided: day + 220})
	s = assessment.Stand(p, e, day+220)
	assert.Equal(t, assessment.Signed, s.State)
	assert.Equal(t, "s2", s.SignOff.Key)
	assert.False(t, s.Again)
	assert.Equal(t, assessment.Lapsed, assessment.Stand(p, e, day+220+183).State)
}

// Rare events lapse by the calendar, twelve months after the newest rehearsal.
func TestRareEventsAreRepeated(t *testing.T) {
	p := curriculum.Default()
	rehearsal := func(d assessment.Day) assessment.Observation {
		return assessment.Observation{Skill: "CW5", Day: d, Source: assessment.Simulation, Level: 4, Assessor: "X"}
	}
	e := &assessment.Evidence{Skill: p.Skill("CW5"), Observations: []assessment.Observation{rehearsal(firstDay), rehearsal(firstDay)}, SignOffs: confirmed(firstDay + 5)}
	year := firstDay.AddMonths(12)
	assert.Equal(t, assessment.Signed, assessment.Stand(p, e, year).State)
	lapsed := assessment.Stand(p, e, year+1)
	assert.Equal(t, assessment.Lapsed, lapsed.State)
	assert.Equal(t, "The sign-off lapsed because it was not renewed in time. The evidence begins again.", lapsed.Sentence())
	e.Observations = append(e.Observations, rehearsal(firstDay+100))
	assert.Equal(t, assessment.Signed, assessment.Stand(p, e, year+100).State)
	assert.Equal(t, assessment.Lapsed, assessment.Stand(p, e, year+101).State)
}

// A fault adds 11, a clean one takes 1 away, and 12 calls for a review: a second
// fault after at most ten clean ones. Nothing is withdrawn by itself.
func TestMonitorAfterSignOff(t *testing.T) {
	p := curriculum.Default()
	after := func(words string) assessment.Standing {
		e, day := signedOn("CL4")
		e.Observations = append(e.Observations, seen("CL4", words, day+1)...)
		return assessment.Stand(p, e, day+40)
	}
	for clean := range 14 {
		s := after("x" + repeat("c", clean) + "x")
		want := assessment.NoReview
		if clean <= 10 {
			want = assessment.MonitorAlarm
		}
		assert.Equal(t, want, s.Review, "%d clean between", clean)
		assert.Equal(t, assessment.Signed, s.State)
	}
	assert.Equal(t, assessment.NoReview, after("x").Review)
	assert.Equal(t, assessment.MonitorAlarm, after("xx"+repeat("c", 20)).Review, "the alarm stays until somebody acts")

	// Faults from before the sign-off do not count.
	e, day := signedOn("CL4")
	e.Observations = append(seen("CL4", "xx", firstDay-10), e.Observations...)
	e.Observations = append(e.Observations, seen("CL4", repeat("c", 40)+"x", day+1)...)
	assert.Equal(t, assessment.NoReview, assessment.Stand(p, e, day+60).Review)
}

// Only confirmed sign-offs stand, and only from the day they were decided.
func TestOnlyAConfirmedSignOffStands(t *testing.T) {
	p := curriculum.Default()
	e, day := signedOn("CL4")
	e.SignOffs[0].Decision = assessment.Declined
	assert.Equal(t, assessment.Eligible, assessment.Stand(p, e, day).State)
	e.SignOffs[0].Decision = assessment.Awaiting
	s := assessment.Stand(p, e, day)
	assert.Equal(t, assessment.Eligible, s.State)
	require.NotNil(t, s.Awaiting)
	assert.Contains(t, s.Sentence(), "waiting for a second person")
	e.SignOffs[0].Decision, e.SignOffs[0].Decided = assessment.Confirmed, day+1
	assert.Equal(t, assessment.Eligible, assessment.Stand(p, e, day).State)
	assert.Equal(t, assessment.Signed, assessment.Stand(p, e, day+1).State)
}

func TestRefuseProposal(t *testing.T) {
	p := curriculum.Default()
	e, day := signedOn("CL4")
	e.SignOffs = nil
	eligible := assessment.Stand(p, e, day)
	require.Equal(t, assessment.Eligible, eligible.State)
	for _, c := range []struct {
		name   string
		s      assessment.Standing
		person string
		role   assessment.Role
		refuse string
	}{
		{"assessor", eligible, "X", assessment.Assessor, ""},
		{"head groomer", eligible, "H", assessment.HeadGroomer, ""},
		{"own skill", eligible, "A", assessment.HeadGroomer, "own skill"},
		{"auditor", eligible, "Q", assessment.Auditor, "Only a head groomer or an assessor"},
		{"apprentice", eligible, "B", assessment.Apprentice, "Only a head groomer or an assessor"},
		{"practising", assessment.Stand(p, &assessment.Evidence{Skill: e.Skill, Observations: e.Observations[:16]}, day), "X", assessment.Assessor, "not complete yet. Points: 1 observation more"},
		{"signed", assessment.Stand(p, &assessment.Evidence{Skill: e.Skill, Observations: e.Observations, SignOffs: confirmed(day)}, day), "X", assessment.Assessor, "signed already"},
		{"waiting", assessment.Stand(p, &assessment.Evidence{Skill: e.Skill, Observations: e.Observations, SignOffs: []assessment.SignOff{{}}}, day), "X", assessment.Assessor, "already waits"},
		{"held", assessment.Stand(p, &assessment.Evidence{Skill: e.Skill, Observations: e.Observations, Holds: []assessment.Hold{{Scope: curriculum.HoldUnit, Unit: "CL", Severity: "S3"}}}, day), "X", assessment.Assessor, "on hold"},
	} {
		got := assessment.RefuseProposal(&c.s, c.person, c.role, "A")
		if c.refuse == "" {
			assert.Empty(t, got, c.name)
		} else {
			assert.Contains(t, got, c.refuse, c.name)
		}
	}
}

func TestRefuseDecision(t *testing.T) {
	eligible, practising := &assessment.Standing{State: assessment.Eligible}, &assessment.Standing{State: assessment.Practising}
	waiting := &assessment.SignOff{Apprentice: "A", ProposedBy: "X"}
	decided := &assessment.SignOff{Apprentice: "A", ProposedBy: "X", Decision: assessment.Declined}
	assert.Contains(t, assessment.RefuseDecision(decided, eligible, "Q", assessment.Assessor, true), "decided already")
	assert.Contains(t, assessment.RefuseDecision(waiting, practising, "Q", assessment.Assessor, true), "stopped being eligible (it is now Practising)")
	assert.Empty(t, assessment.RefuseDecision(waiting, practising, "Q", assessment.Assessor, false), "it can be declined")
	assert.Empty(t, assessment.RefuseDecision(waiting, eligible, "Q", assessment.Assessor, true))
	assert.Contains(t, assessment.RefuseDecision(waiting, eligible, "Q", assessment.Apprentice, true), "Only a head groomer")
}

func TestRoles(t *testing.T) {
	judges := slices.DeleteFunc(slices.Clone(assessment.Roles), func(r assessment.Role) bool { return !r.Judges() })
	assert.Equal(t, []assessment.Role{assessment.HeadGroomer, assessment.Assessor}, judges)
	for _, r := range assessment.Roles {
		assert.NotContains(t, r.Words(), "_", "in words, not as stored")
	}
	assert.Equal(t, "visitor", assessment.Role("visitor").Words())
}
