package server

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// What comes next is what is nearest, and what a second person has to do is not
// the apprentice's next step.
func TestNextStepsAreTheNearest(t *testing.T) {
	p := curriculum.Default()
	r := &request{visitor: visitor{prog: p}}
	stand := func(skill string, state assessment.State, missing ...assessment.Requirement) assessment.Standing {
		return assessment.Standing{Skill: p.Skill(skill), State: state, Requirements: missing}
	}
	open := func(n assessment.Need, missing int, names ...string) assessment.Requirement {
		return assessment.Requirement{Need: n, Missing: missing, Want: 30, Names: names}
	}
	list := []assessment.Standing{
		stand("HC1", assessment.Practising, open(assessment.NeedPoints, 26)),
		stand("HC2", assessment.Practising, open(assessment.NeedPoints, 17), open(assessment.NeedWithin, 0)),
		stand("HC3", assessment.NotStarted, open(assessment.NeedCount, 2)),
		stand("HC4", assessment.Practising, open(assessment.NeedPoints, 1), open(assessment.NeedCoats, 2, "WO", "SI")),
		stand("HC5", assessment.Eligible),
		stand("HR1", assessment.Signed),
		stand("HR2", assessment.OnHold, open(assessment.NeedPoints, 1)),
		stand("HR3", assessment.Practising, open(assessment.NeedPrerequisites, 1)),
		stand("HR4", assessment.Eligible),
		stand("TH1", assessment.Practising, open(assessment.NeedCount, 2)),
	}
	list[8].Awaiting = &assessment.SignOff{}
	r.nameCoats(list)
	var got []string
	for _, n := range r.nextSteps(list, "jory", 20) {
		got = append(got, n.URL[len("/apprentices/jory/skills/"):])
	}
	assert.Equal(t, []string{"HC5", "HC4", "TH1", "HC3", "HC1", "HR3", "HC2"}, got)
	assert.Contains(t, list[3].Requirements[1].Closing(), "so far Wool or curly, Silky", "names, not codes")
	assert.Contains(t, r.nextSteps(list, "jory", 1)[0].Missing, "can be proposed")
}
