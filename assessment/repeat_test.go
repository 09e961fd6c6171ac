package assessment_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// nearMisses are incidents of severity S0 and one kind, under skills in turn,
// each on a dog and in a groom of its own.
func nearMisses(kind string, days ...int) []assessment.Event {
	var out []assessment.Event
	for i, d := range days {
		out = append(out, assessment.Event{Incident: assessment.Incident{Kind: kind, Severity: "S0", Attribution: "apprentice", Skill: []string{"HR2", "CL4"}[i%2], SelfReported: true},
			Groom: string(rune('a' + i)), Dog: "dog " + string(rune('a'+i)), Day: firstDay + assessment.Day(d)})
	}
	return out
}

// Three near misses of one kind within 30 days ask for a review, and for nothing
// else. Common practice, no source.
func TestNearMissesThatComeBack(t *testing.T) {
	p := curriculum.Default()
	stand := func(skill string, events []assessment.Event, on int) assessment.Standing {
		return assessment.Stand(p, &assessment.Evidence{Skill: p.Skill(skill), Observations: levels(4, 4, 4), Incidents: events,
			Permission: assessment.PermissionSet{Level: 4, Day: firstDay}}, firstDay+assessment.Day(on))
	}
	three := nearMisses("strangulation", 1, 15, 31)
	s := stand("CL4", three, 31)
	assert.Equal(t, assessment.IncidentsRepeated, s.Review)
	assert.Equal(t, "3 incidents of severity S0 (Caught by the neck in a loop, lead or collar) within 30 days, the last on 1 February 2026. Look for the cause together; no standing and no permission changes by itself.", s.ReviewWords())
	assert.Equal(t, assessment.IncidentsRepeated, stand("HR2", three, 31).Review, "under each skill it happened with")
	assert.Equal(t, assessment.NoReview, stand("NE1", three, 31).Review, "and under no other")
	other := stand("NE1", three, 31)
	assert.Empty(t, other.ReviewWords())

	without := stand("CL4", nil, 31)
	s.Review, s.Repeats = without.Review, without.Repeats
	assert.Equal(t, without, s, "telling of a near miss makes nothing worse")

	none := func(name string, events []assessment.Event, on int) {
		t.Helper()
		assert.Equal(t, assessment.NoReview, stand("CL4", events, on).Review, name)
	}
	none("two are no pattern", three[:2], 31)
	none("the third is still to come", three, 30)
	none("the first is longer ago than 30 days", three, 32)
	none("31 days", nearMisses("strangulation", 0, 15, 31), 31)
	none("another kind", append(nearMisses("strangulation", 1, 15), nearMisses("escape_room", 20)...), 31)
	twice := nearMisses("strangulation", 1, 15, 15)
	twice[2].Dog = twice[1].Dog
	none("two assessors tell of the same one", twice, 20)
	twice[2].Groom = twice[1].Groom
	assert.Equal(t, assessment.IncidentsRepeated, stand("CL4", twice, 20).Review, "twice in one groom")
	minor := nearMisses("strangulation", 1, 15, 31)
	minor[0].Severity = "S1"
	none("another severity", minor, 31)
	kit := nearMisses("clipper_burn", 1, 15, 31)
	for i := range kit {
		kit[i].Attribution = "equipment"
	}
	assert.Equal(t, assessment.IncidentsRepeated, stand("CL4", kit, 31).Review, "whoever caused it: the cause is what is looked for")
}

// A rule may count what happened under one skill instead, whatever its kind.
func TestRepeatsUnderOneSkill(t *testing.T) {
	p := *curriculum.Default()
	p.Incidents.Repeats = []curriculum.RepeatRule{{Severity: "S0", Count: 2, Days: 10, Same: "skill", Effect: "review"}}
	events := append(nearMisses("strangulation", 1, 5), nearMisses("escape_room", 3)...)
	stand := func(skill string) assessment.Standing {
		return assessment.Stand(&p, &assessment.Evidence{Skill: p.Skill(skill), Incidents: events}, firstDay+9)
	}
	s := stand("HR2")
	assert.Equal(t, "2 incidents of severity S0 (Secure a dog on the table and in the bath) within 10 days, the last on 4 January 2026. Look for the cause together; no standing and no permission changes by itself.", s.ReviewWords())
	assert.Equal(t, assessment.NoReview, stand("CL4").Review)
}

// The alarm of a signed skill and incidents that came back are both told.
func TestReviewsAreToldTogether(t *testing.T) {
	p := curriculum.Default()
	e, day := signedOn("CL4")
	e.Observations = append(e.Observations, seen("CL4", "xx", day+1)...)
	e.Incidents = nearMisses("strangulation", 16, 17, 18)
	s := assessment.Stand(p, e, day+3)
	assert.Equal(t, assessment.MonitorAlarm, s.Review)
	assert.Contains(t, s.ReviewWords(), assessment.MonitorAlarm.Words()+" 3 incidents of severity S0")
	assert.Equal(t, assessment.Signed, s.State)

	a := &assessment.Apprenticeship{Incidents: e.Incidents}
	alone, _ := a.Standing(p, "HR2", day+3)
	assert.Equal(t, assessment.IncidentsRepeated, alone.Review)
	assert.Equal(t, assessment.NotStarted, alone.State)
}
