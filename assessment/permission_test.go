package assessment_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// levels makes formal observations with these levels, a day and a dog each.
func levels(ls ...int8) []assessment.Observation {
	var out []assessment.Observation
	for i, l := range ls {
		out = append(out, assessment.Observation{Skill: "CL4", Day: firstDay + assessment.Day(i), Level: l, Dog: fmt.Sprint("dog ", i), Coat: "WO", Size: "M", Assessor: "X"})
	}
	return out
}

// The ceilings: P2 after one at L2, P3 after two at L3, P4 after three at L4 with
// the newest clean, P5 only when signed. Common practice, no source; that L4 is
// not "safe alone" follows the surgical scale the levels are modelled on (Gofton
// et al. 2012, doi 10.1097/ACM.0b013e3182677805).
func TestPermissionCeilings(t *testing.T) {
	for _, c := range []struct {
		levels []int8
		want   int
	}{
		{nil, 1}, {[]int8{1}, 1}, {[]int8{1, 1, 1, 1}, 1}, {[]int8{2}, 2}, {[]int8{3}, 2}, {[]int8{2, 2, 2}, 2}, {[]int8{3, 3}, 3}, {[]int8{5, 3}, 3},
		{[]int8{4, 4}, 3}, {[]int8{4, 4, 4}, 4}, {[]int8{4, 4, 3}, 3}, {[]int8{4, 4, 4, 3}, 3}, {[]int8{4, 4, 4, 3, 4}, 4}, {[]int8{5, 5, 5, 5, 5, 5}, 4},
	} {
		list := levels(c.levels...)
		s := standOn(t, "CL4", list, firstDay+20)
		assert.Equal(t, c.want, s.Permission.Ceiling, "%v", c.levels)
		for p := 1; p <= 5; p++ {
			assert.Equal(t, p > c.want, assessment.RefusePermission(&s, p) != "", "P%d with %v", p, c.levels)
		}
	}
	p := curriculum.Default()
	e, day := signedOn("CL4")
	s := assessment.Stand(p, e, day)
	assert.Equal(t, 5, s.Permission.Ceiling)
	assert.Equal(t, 4, assessment.Stand(p, e, day+183).Permission.Ceiling, "a lapsed sign-off no longer carries P5")
	assert.NotEmpty(t, assessment.RefusePermission(&s, 0))
	assert.NotEmpty(t, assessment.RefusePermission(&s, 6))
}

func TestWhatDoesNotRaiseAPermission(t *testing.T) {
	list := levels(4, 4, 4)
	for name, change := range map[string]func(*assessment.Observation){
		"self-rating": func(o *assessment.Observation) { o.Source = assessment.Self },
		"logbook":     func(o *assessment.Observation) { o.Source = assessment.Logbook },
		"harm":        func(o *assessment.Observation) { o.Severity, o.Attribution = "S2", "equipment" },
		"own harm":    func(o *assessment.Observation) { o.Severity, o.Attribution = "S2", "apprentice" },
		"same dog":    func(o *assessment.Observation) { o.Day, o.Dog = firstDay, "dog 0" },
	} {
		other := append([]assessment.Observation{}, list...)
		change(&other[1])
		assert.Equal(t, 3, standOn(t, "CL4", other, firstDay+20).Permission.Ceiling, name)
	}
}

func TestPermissionInForce(t *testing.T) {
	p := curriculum.Default()
	with := func(set int, ls ...int8) assessment.Permission {
		return assessment.Stand(p, &assessment.Evidence{Skill: p.Skill("CL4"), Observations: levels(ls...), Permission: assessment.PermissionSet{Level: set, Day: firstDay}}, firstDay+20).Permission
	}
	assert.Equal(t, assessment.Permission{Set: 0, Ceiling: 4, Now: 0}, with(0, 4, 4, 4), "a person sets it, nobody else")
	assert.Equal(t, assessment.Permission{Set: 2, Ceiling: 4, Now: 2}, with(2, 4, 4, 4))
	assert.Equal(t, assessment.Permission{Set: 4, Ceiling: 4, Now: 4}, with(4, 4, 4, 4))
	assert.Equal(t, assessment.Permission{Set: 4, Ceiling: 3, Now: 3, Limited: "the evidence as it stands now"}, with(4, 4, 4, 4, 3))
}

// Two minor incidents under one skill within 30 days take the permission down by
// one level until a person sets it again. Common practice, no source.
func TestIncidentsThatComeBack(t *testing.T) {
	p := curriculum.Default()
	minor := func(days ...int) []assessment.Observation {
		list := levels(4, 4, 4)
		for i, d := range days {
			list = append(list, assessment.Observation{Skill: "CL4", Day: firstDay + assessment.Day(d), Level: 4, Dog: fmt.Sprint("minor ", i), Severity: "S1", Attribution: "apprentice"})
		}
		return list
	}
	now := func(list []assessment.Observation, setOn int) assessment.Permission {
		return assessment.Stand(p, &assessment.Evidence{Skill: p.Skill("CL4"), Observations: list, Permission: assessment.PermissionSet{Level: 4, Day: firstDay + assessment.Day(setOn)}}, firstDay+100).Permission
	}
	assert.Equal(t, 4, now(minor(10), 3).Now, "one is no pattern")
	assert.Equal(t, 4, now(minor(10, 41), 3).Now, "31 days apart")
	down := now(minor(10, 40), 3)
	assert.Equal(t, 3, down.Now, "30 days apart")
	assert.Equal(t, "incidents that came back, on 10 February 2026", down.Limited)
	assert.Equal(t, 4, now(minor(10, 40), 40).Now, "set again afterwards")
	assert.Equal(t, 3, now(minor(10, 40, 60), 50).Now, "and again")
	assert.Equal(t, 3, now(minor(10, 45, 60), 3).Now, "any two of three")

	lowest := assessment.Stand(p, &assessment.Evidence{Skill: p.Skill("CL4"), Observations: minor(10, 40), Permission: assessment.PermissionSet{Level: 1, Day: firstDay}}, firstDay+100).Permission
	assert.Equal(t, 1, lowest.Now, "P1 is the least there is")

	byDog := minor(10, 40)
	byDog[3].Attribution = "dog"
	assert.Equal(t, 4, now(byDog, 3).Now)
	twice := append(minor(10), minor(10)[3]) // two assessors rate the same dog, and both tell of it
	assert.Equal(t, 4, now(twice, 3).Now, "one incident told twice")
	assert.Equal(t, 3, now(minor(10, 10), 3).Now, "two dogs on one day")
	sameDog := minor(10, 12)
	sameDog[4].Dog = sameDog[3].Dog
	assert.Equal(t, 3, now(sameDog, 3).Now, "the same dog on two days")
	noDog := minor(10, 10)
	noDog[3].Dog, noDog[4].Dog = "", ""
	assert.Equal(t, 3, now(noDog, 3).Now, "without a label they are not known to be the same")
	nearMiss := minor(10, 11, 12)
	for i := 3; i < 6; i++ {
		nearMiss[i].Severity = "S0"
	}
	assert.Equal(t, 4, now(nearMiss, 3).Now, "a near miss takes nothing away")
}
