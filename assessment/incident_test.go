package assessment_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/curriculum"
)

func holdsOf(severity, attribution, skill string, signed bool) []assessment.Hold {
	g := groomOf(4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4)
	g.Incidents = []assessment.Incident{{Kind: "cut", Severity: severity, Attribution: attribution, Skill: skill}}
	return assessment.Holds(curriculum.Default(), g, func(string) bool { return signed })
}

// What is held, and for whose act: common practice, no source.
func TestHolds(t *testing.T) {
	for _, c := range []struct {
		severity, attribution string
		signed                bool
		want                  curriculum.HoldScope
	}{
		{"S0", "apprentice", true, ""},
		{"S1", "apprentice", true, ""},
		{"S2", "apprentice", true, curriculum.HoldSkill},
		{"S2", "shared", true, curriculum.HoldSkill},
		{"S2", "apprentice", false, ""}, // nothing is signed, so there is nothing to hold
		{"S2", "equipment", true, ""},
		{"S2", "assessor", true, ""},
		{"S2", "dog", true, ""},
		{"S3", "apprentice", false, curriculum.HoldUnit},
		{"S3", "shared", false, curriculum.HoldUnit},
		{"S3", "dog", false, curriculum.HoldUnit}, // a dog that bites is a reason to look again
		{"S3", "equipment", true, ""},
		{"S3", "assessor", true, ""},
		{"S4", "equipment", false, curriculum.HoldSafety},
		{"S4", "assessor", false, curriculum.HoldSafety},
		{"S4", "dog", false, curriculum.HoldSafety},
	} {
		got := holdsOf(c.severity, c.attribution, "CL4", c.signed)
		if c.want == "" {
			assert.Empty(t, got, "%v", c)
			continue
		}
		require.Len(t, got, 1, "%v", c)
		h := got[0]
		assert.Equal(t, c.want, h.Scope, "%v", c)
		assert.Equal(t, []string{"CL4", "CL", c.severity, "X"}, []string{h.Skill, h.Unit, h.Severity, h.RecordedBy})
		assert.Equal(t, assessment.Date(2026, time.May, 20), h.From)
		assert.True(t, h.Open())
	}
}

func TestWhatAHoldCovers(t *testing.T) {
	p := curriculum.Default()
	covered := func(h assessment.Hold) (out []string) {
		for _, s := range p.AllSkills() {
			if h.Covers(p, s) {
				out = append(out, s.ID)
			}
		}
		return out
	}
	assert.Equal(t, []string{"CL4"}, covered(holdsOf("S2", "apprentice", "CL4", true)[0]))
	assert.Equal(t, []string{"HR1", "HR2", "HR3", "HR4", "HR5", "HR6"}, covered(holdsOf("S3", "dog", "HR2", false)[0]))
	assert.Len(t, covered(holdsOf("S4", "dog", "HR2", false)[0]), 39, "every safety-critical skill")
	assert.Empty(t, covered(assessment.Hold{}))
}

// A graver incident that holds the same thing has a hold of its own, with its
// own release, in whatever order the two are told.
func TestAGraverIncidentHasAHoldOfItsOwn(t *testing.T) {
	p := *curriculum.Default()
	p.Incidents.Severities = slices.Clone(p.Incidents.Severities)
	p.Incidents.Severity("S2").Hold = curriculum.HoldUnit
	g := groomOf(4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4)
	g.Incidents = []assessment.Incident{{Severity: "S2", Attribution: "apprentice", Skill: "CL4"}, {Severity: "S3", Attribution: "apprentice", Skill: "CL5"}}
	for range 2 {
		var found []string
		for _, h := range assessment.Holds(&p, g, func(string) bool { return true }) {
			found = append(found, h.Severity+" "+h.Unit)
		}
		assert.ElementsMatch(t, []string{"S2 CL", "S3 CL"}, found)
		slices.Reverse(g.Incidents)
	}
}

// Two incidents that hold the same thing make one hold; different ones make two.
func TestHoldsAreNotDoubled(t *testing.T) {
	p := curriculum.Default()
	g := groomOf(4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4)
	add := func(severity, skill string) {
		g.Incidents = append(g.Incidents, assessment.Incident{Severity: severity, Attribution: "apprentice", Skill: skill})
	}
	add("S3", "CL4")
	add("S3", "CL5")
	all := func(string) bool { return true }
	assert.Len(t, assessment.Holds(p, g, all), 1, "one unit")
	add("S3", "HR2")
	assert.Len(t, assessment.Holds(p, g, all), 2)
	add("S2", "CL4")
	add("S2", "CL5")
	add("S2", "CL5")
	assert.Len(t, assessment.Holds(p, g, all), 4)
	add("S4", "CL4")
	add("S4", "HR2")
	assert.Len(t, assessment.Holds(p, g, all), 5)
}

// A bite through the skin on 3 June 2025 while a loop was fitted, attributed to
// the dog: the groom is Not yet, the unit is held, and permission is at most P2.
// Effects and release: common practice, no source.
func TestBiteWhileFittingALoop(t *testing.T) {
	p := curriculum.Default()
	day := func(d int) assessment.Day { return assessment.Date(2025, time.June, d) }
	g := groomOf(5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5)
	g.Day = day(3)
	g.Incidents = []assessment.Incident{{Kind: "bite_person", Severity: "S3", Attribution: "dog", Skill: "HR2"}}
	assert.Equal(t, assessment.NotYet, assessment.Judge(p, g).Outcome)
	holds := assessment.Holds(p, g, func(string) bool { return true })
	require.Len(t, holds, 1)

	// Five of the unit's six skills are signed: the count falls by five.
	a := &assessment.Apprenticeship{Observations: map[string][]assessment.Observation{}, SignOffs: map[string][]assessment.SignOff{}, Permissions: map[string]assessment.PermissionSet{}}
	for _, id := range []string{"HR1", "HR2", "HR3", "HR4", "HR5", "CO1"} {
		a.Observations[id] = seen(id, repeat("c", 17), day(3)-20)
		a.SignOffs[id] = confirmed(day(3) - 2)
		a.Permissions[id] = assessment.PermissionSet{Level: 5, Day: day(3) - 2}
	}
	progress := func(on int) (g assessment.Progress) {
		for _, s := range a.Standings(p, day(on)) {
			g.Add(p, &s)
		}
		return g
	}
	before := progress(20)
	assert.Equal(t, 6, before.Signed)
	a.Holds = holds
	held := progress(20)
	assert.Equal(t, 1, held.Signed)
	assert.Equal(t, 5, held.Held)
	assert.Equal(t, before.Required, held.Required)
	s, ok := a.Standing(p, "HR2", day(20))
	require.True(t, ok)
	assert.Equal(t, assessment.OnHold, s.State)
	assert.Equal(t, assessment.Permission{Set: 5, Ceiling: 2, Now: 2, Limited: "an open hold (S3)"}, s.Permission)
	s, _ = a.Standing(p, "HR6", day(20))
	assert.Equal(t, assessment.OnHold, s.State, "the whole unit, signed or not")
	s, _ = a.Standing(p, "CO1", day(20))
	assert.Equal(t, assessment.Signed, s.State, "other units are not touched")

	// The release.
	h := &holds[0]
	on := func(d int, dog string, level int8) assessment.Observation {
		return assessment.Observation{Skill: "HR2", Day: day(d), Seq: int64(d), Dog: dog, Level: level, Assessor: "Y"}
	}
	second := assessment.Releaser{Person: "Y", Redemonstrate: true, Reason: "Shown again and discussed."}
	two := []assessment.Observation{on(3, "before", 5), on(12, "a", 4), on(17, "b", 5)}
	assert.Equal(t, []string{"1 clean observation more since the incident, without a fault between.", "On 1 different dog more."}, assessment.RefuseRelease(p, h, two, second), "2 of 3 on 20 June: still held")
	three := append(two, on(24, "c", 4))
	assert.Empty(t, assessment.RefuseRelease(p, h, three, second))

	refused := func(by assessment.Releaser, seen []assessment.Observation, why string) {
		t.Helper()
		got := assessment.RefuseRelease(p, h, seen, by)
		require.Len(t, got, 1)
		assert.Contains(t, got[0], why)
	}
	refused(assessment.Releaser{Person: "X", Redemonstrate: true, Reason: "r"}, three, "Someone other than the assessor")
	refused(assessment.Releaser{Person: "Y", Reason: "r"}, three, "demonstrated again")
	refused(assessment.Releaser{Person: "Y", Redemonstrate: true}, three, "Give the reason")
	refused(assessment.Releaser{Person: "Y", Redemonstrate: true, Reason: " \n"}, three, "Give the reason")
	refused(assessment.Releaser{Person: "Y", Redemonstrate: true, Reason: strings.Repeat("ä", assessment.MaxText+1)}, three, "The reason has 2001 characters; keep it to 2000.")
	refused(second, append(two, on(24, "b", 4)), "On 1 different dog more")
	assert.Len(t, assessment.RefuseRelease(p, h, append(two, on(17, "b", 4)), second), 2, "the same dog on the same day counts once")
	assert.Len(t, assessment.RefuseRelease(p, h, append(three, on(25, "d", 3)), second), 2, "a fault begins the count again")
	self := on(24, "c", 5)
	self.Source = assessment.Self
	assert.Len(t, assessment.RefuseRelease(p, h, append(two, self), second), 2)

	h.Released = day(25)
	refused(second, three, "already ended")
	a.Holds = holds
	assert.Equal(t, 6, progress(25).Signed, "earlier evidence was kept")
	assert.Equal(t, 1, progress(24).Signed, "the day before it was still held")
	assert.Equal(t, 6, progress(2).Signed, "and before the bite it was not yet")
}

// The gravest incident is released by a head groomer only.
func TestReleaseAfterTheGravest(t *testing.T) {
	p := curriculum.Default()
	h := &holdsOf("S4", "equipment", "DR2", false)[0]
	assert.Empty(t, assessment.ReleaseNeeds(p, h, nil))
	got := assessment.RefuseRelease(p, h, nil, assessment.Releaser{Person: "Y", Reason: "r"})
	require.Len(t, got, 1)
	assert.Contains(t, got[0], "Only a head groomer")
	assert.Empty(t, assessment.RefuseRelease(p, h, nil, assessment.Releaser{Person: "H", HeadGroomer: true, Reason: "Investigated."}))
	assert.Nil(t, assessment.ReleaseNeeds(p, &assessment.Hold{Severity: "S9"}, nil))
	assert.Equal(t, []string{"The programme in use does not know severity S9, so nothing says what ends this hold."}, assessment.RefuseRelease(p, &assessment.Hold{Severity: "S9"}, nil, assessment.Releaser{HeadGroomer: true, Reason: "r"}))
}

// Three clean ones release a hold on one skill, and the same assessor may do it.
func TestReleaseOfOneSkill(t *testing.T) {
	p := curriculum.Default()
	h := &holdsOf("S2", "apprentice", "CL4", true)[0]
	by := assessment.Releaser{Person: "X", Reason: "r"}
	list := seen("CL4", "ccc", h.From+1)
	assert.NotEmpty(t, assessment.RefuseRelease(p, h, list[:2], by))
	assert.Empty(t, assessment.RefuseRelease(p, h, list, by))
}

// The words name exactly what the hold covers, also where the programme in use
// has moved on.
func TestWhatAHoldPauses(t *testing.T) {
	p := curriculum.Default()
	for want, h := range map[string]assessment.Hold{
		"Clip throat and face":        {Scope: curriculum.HoldSkill, Skill: "CL4"},
		"every skill of Clipping":     {Scope: curriculum.HoldUnit, Skill: "CL4", Unit: "CL"},
		"every safety-critical skill": {Scope: curriculum.HoldSafety, Skill: "CL4"},
		"XX1":                         {Scope: curriculum.HoldSkill, Skill: "XX1"},
		"every skill of unit XX":      {Scope: curriculum.HoldUnit, Skill: "XX1", Unit: "XX"},
	} {
		assert.Equal(t, want, h.What(p))
	}
}
