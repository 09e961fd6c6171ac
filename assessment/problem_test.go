package assessment_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"tablehand/assessment"
	"tablehand/curriculum"
)

func goodGroom() *assessment.Groom {
	g := groomOf(4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4)
	g.Incidents = []assessment.Incident{{Kind: "cut", Severity: "S1", Attribution: "dog", Skill: "CL5"}}
	return g
}

// Each field on its own: what is wrong is told at that field and nowhere else.
func TestProblems(t *testing.T) {
	p := curriculum.Default()
	today := goodGroom().Day
	assert.Empty(t, assessment.Problems(p, goodGroom(), today))
	long := strings.Repeat("ä", assessment.MaxText+1)
	mark := func(id string, m assessment.Mark) func(*assessment.Groom) {
		return func(g *assessment.Groom) { g.Marks[id] = m }
	}
	for _, c := range []struct {
		field string
		spoil func(*assessment.Groom)
	}{
		{"apprentice", func(g *assessment.Groom) { g.Apprentice = "" }},
		{"apprentice", func(g *assessment.Groom) { g.Apprentice = g.Assessor }},
		{"day", func(g *assessment.Groom) { g.Day = 0 }},
		{"day", func(g *assessment.Groom) { g.Day++ }},
		{"stop", func(g *assessment.Groom) { g.Stop = g.Start }},
		{"dog", func(g *assessment.Groom) { g.Dog = " " }},
		{"dog", func(g *assessment.Groom) { g.Dog = strings.Repeat("ä", assessment.MaxLine+1) }},
		{"coat", func(g *assessment.Groom) { g.Coat = "" }},
		{"coat", func(g *assessment.Groom) { g.Coat = "fluffy" }},
		{"size_kg", func(g *assessment.Groom) { g.Grams = 0 }},
		{"size_kg", func(g *assessment.Groom) { g.Grams = 150_001 }},
		{"matting", func(g *assessment.Groom) { g.Matting = -1 }},
		{"matting", func(g *assessment.Groom) { g.Matting = 5 }},
		{"temperament", func(g *assessment.Groom) { g.Temperament = 0 }},
		{"temperament", func(g *assessment.Groom) { g.Temperament = 6 }},
		{"service", func(g *assessment.Groom) { g.Service = "" }},
		{"style", func(g *assessment.Groom) { g.Style = "mohawk" }},
		{"asked", func(g *assessment.Groom) { g.Brief.Asked = " " }},
		{"asked", func(g *assessment.Groom) { g.Brief.Asked = long }},
		{"coat_allows", func(g *assessment.Groom) { g.Brief.CoatAllows = long }},
		{"agreed", func(g *assessment.Groom) { g.Brief.Agreed, g.Brief.Why = long, "matted" }},
		{"agreed_why", func(g *assessment.Groom) { g.Brief.Agreed = "shorter" }},
		{"agreed_why", func(g *assessment.Groom) { g.Brief.Why = long }},
		{"leave_alone", func(g *assessment.Groom) { g.Brief.LeaveAlone = long }},
		{"weeks_until_next", func(g *assessment.Groom) { g.Brief.Weeks = -1 }},
		{"weeks_until_next", func(g *assessment.Groom) { g.Brief.Weeks = 105 }},
		{"comb_note", func(g *assessment.Groom) { g.CombNote = long }},
		{"help", func(g *assessment.Groom) { g.Help = long }},
		{"keep", func(g *assessment.Groom) { g.Keep = long }},
		{"change", func(g *assessment.Groom) { g.Change = long }},
		{"next", func(g *assessment.Groom) { g.Next = long }},
		{"share", func(g *assessment.Groom) { g.Share = 101 }},
		{"share", func(g *assessment.Groom) { g.Share = -2 }},
		{"level.R1", mark("R1", assessment.Mark{NotApplicable: true})},
		{"level.R3", mark("R3", assessment.Mark{Level: 6})},
		{"level.R3", mark("R3", assessment.Mark{Level: -1})},
		{"level.R7", func(g *assessment.Groom) { g.Marks["R7"], g.Skills["CL4"] = assessment.Mark{}, 4 }},
		{"level.R7", func(g *assessment.Groom) { g.Marks["R7"], g.Skills["CL4"] = assessment.Mark{NotApplicable: true}, 4 }},
		{"level.R1", func(g *assessment.Groom) { g.Marks = nil }},
		{"skill.CL4", func(g *assessment.Groom) { g.Skills["CL4"] = 6 }},
		{"skill.CL3", func(g *assessment.Groom) { g.Skills["CL3"] = -2 }},
		{"prep", func(g *assessment.Groom) { g.CombTest = g.CombTest[:3] }},
		{"incident.0.kind", func(g *assessment.Groom) { g.Incidents[0].Kind = "" }},
		{"incident.0.severity", func(g *assessment.Groom) { g.Incidents[0].Severity = "" }},
		{"incident.0.attribution", func(g *assessment.Groom) { g.Incidents[0].Attribution = "" }},
		{"incident.0.skill", func(g *assessment.Groom) { g.Incidents[0].Skill = "" }},
		{"incident.0.note", func(g *assessment.Groom) { g.Incidents[0].Note = long }},
		{"incident.1.kind", func(g *assessment.Groom) {
			g.Incidents = append(g.Incidents, g.Incidents[0])
			g.Incidents[1].Kind = "boredom"
		}},
	} {
		g := goodGroom()
		c.spoil(g)
		found := assessment.Problems(p, g, today)
		if assert.Len(t, found, 1, "%s: %v", c.field, found) {
			assert.Equal(t, c.field, found[0].Field)
			assert.True(t, strings.HasSuffix(found[0].Message, "."), found[0].Message)
		}
	}
}

func TestWhatIsNoProblem(t *testing.T) {
	p := curriculum.Default()
	for name, change := range map[string]func(*assessment.Groom){
		"no times":                func(g *assessment.Groom) { g.Start, g.Stop = assessment.NoClock, assessment.NoClock },
		"no style":                func(g *assessment.Groom) { g.Style = "" },
		"no share":                func(g *assessment.Groom) { g.Share = -1 },
		"no weeks":                func(g *assessment.Groom) { g.Brief.Weeks = 0 },
		"longest text":            func(g *assessment.Groom) { g.Help = strings.Repeat("ä", assessment.MaxText) },
		"heaviest dog":            func(g *assessment.Groom) { g.Grams = 150_000 },
		"most weeks":              func(g *assessment.Groom) { g.Brief.Weeks = 104 },
		"all the work":            func(g *assessment.Groom) { g.Share = 100 },
		"none of it":              func(g *assessment.Groom) { g.Share = 0 },
		"calmest dog":             func(g *assessment.Groom) { g.Temperament, g.Matting = 1, 0 },
		"hardest dog":             func(g *assessment.Groom) { g.Temperament, g.Matting = 5, 4 },
		"highest level":           func(g *assessment.Groom) { g.Marks["R7"], g.Skills["CL4"] = assessment.Mark{Level: 5}, 5 },
		"no incidents":            func(g *assessment.Groom) { g.Incidents = nil },
		"one criterion only":      func(g *assessment.Groom) { g.Marks = map[string]assessment.Mark{"R1": {Level: 1}} },
		"comb caught, and why":    func(g *assessment.Groom) { g.CombTest, g.CombNote = nil, "knot in the left armpit, cut out" },
		"no clipping, no comb":    func(g *assessment.Groom) { g.CombTest, g.Marks["R7"] = nil, assessment.Mark{NotApplicable: true} },
		"a skill was not seen":    func(g *assessment.Groom) { g.Skills["CL4"] = assessment.Unseen },
		"shorter, with the why":   func(g *assessment.Groom) { g.Brief.Agreed, g.Brief.Why = "7 mm", "matted to the skin" },
		"a skill seen on its own": func(g *assessment.Groom) { g.Skills["CL3"] = 3 },
	} {
		g := goodGroom()
		change(g)
		assert.Empty(t, assessment.Problems(p, g, g.Day), name)
	}
}

// All that is wrong is told at once, in the order of the form. A groom from
// midnight to midnight has no length.
func TestProblemsAreToldTogether(t *testing.T) {
	var fields []string
	for _, p := range assessment.Problems(curriculum.Default(), &assessment.Groom{Assessor: "X", Incidents: make([]assessment.Incident, 1)}, firstDay) {
		fields = append(fields, p.Field)
	}
	assert.Equal(t, []string{"apprentice", "day", "stop", "dog", "coat", "size_kg", "temperament", "service", "asked", "level.R1",
		"incident.0.kind", "incident.0.severity", "incident.0.attribution", "incident.0.skill"}, fields)
}
