package assessment_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"tablehand/assessment"
)

// Each thing stands once inside the days, once on either edge and once outside;
// counted by hand.
func TestPeriodCountsBothEnds(t *testing.T) {
	from, to := firstDay+10, firstDay+20
	so := func(key, skill string, day assessment.Day, d assessment.Decision) assessment.SignOff {
		return assessment.SignOff{Key: key, Skill: skill, Proposed: day - 1, Decided: day, Decision: d}
	}
	a := &assessment.Apprenticeship{
		SignOffs: map[string][]assessment.SignOff{
			"HC1": {so("before", "HC1", from-1, assessment.Confirmed), so("last", "HC1", to, assessment.Confirmed)},
			"CL4": {so("declined", "CL4", from+2, assessment.Declined), so("first", "CL4", from, assessment.Confirmed), so("after", "CL4", to+1, assessment.Confirmed)},
			"BA1": {{Key: "waits", Skill: "BA1", Proposed: from + 1}},
		},
		Holds: []assessment.Hold{
			{From: from - 5, Released: from},     // released in it
			{From: from, Released: to + 1},       // begun in it, stands on its last day
			{From: to, Released: to},             // both, and over on that day
			{From: from - 3},                     // stands all through
			{From: to + 1},                       // later
			{From: from - 9, Released: from - 1}, // earlier
		},
		Incidents: []assessment.Event{
			{Groom: "g1", Day: from - 1, Incident: assessment.Incident{Severity: "S1"}},
			{Groom: "g2", Day: from, Incident: assessment.Incident{Severity: "S1"}},
			{Groom: "g3", Day: to, Incident: assessment.Incident{Severity: "S1"}},
			{Groom: "g3", Day: to, Incident: assessment.Incident{Severity: "S3"}},
			{Groom: "sealed", Day: to, Incident: assessment.Incident{Severity: "S2"}},
			{Groom: "g4", Day: to + 1, Incident: assessment.Incident{Severity: "S1"}},
		},
	}
	grooms := []assessment.Counted{{Day: from - 1, Outcome: assessment.Meets}, {Day: from, Outcome: assessment.Meets}, {Day: from + 1, Outcome: assessment.NotYet},
		{Day: from + 1, Outcome: assessment.Incomplete}, {Day: to, Outcome: assessment.Meets}, {Day: to + 1, Outcome: assessment.NotYet}}
	p := assessment.PeriodOf(a, grooms, map[string]bool{"sealed": true}, from, to)
	var signed []string
	for _, so := range p.SignOffs {
		signed = append(signed, so.Key)
	}
	assert.Equal(t, []string{"first", "last"}, signed)
	assert.Equal(t, [3]int{4, 2, 1}, [3]int{p.Grooms, p.Meets, p.NotYet})
	assert.Equal(t, [3]int{2, 2, 2}, [3]int{p.Began, p.Released, p.Open}, "begun, released, open on the last day")
	assert.Equal(t, map[string]int{"S1": 2, "S3": 1}, p.Incidents)
}
