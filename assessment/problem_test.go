package assessment_test

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

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
		{"breaks", func(g *assessment.Groom) { g.Breaks = -1 }},
		{"breaks", func(g *assessment.Groom) { g.Breaks, g.Start, g.Stop = 5, assessment.NoClock, assessment.NoClock }},
		{"breaks", func(g *assessment.Groom) { g.Start, g.Stop, g.Breaks = 600, 660, 60 }},
		{"day", func(g *assessment.Groom) { g.Day = 0 }},
		{"day", func(g *assessment.Groom) { g.Day++ }},
		{"day", func(g *assessment.Groom) { g.Day = assessment.Date(1999, time.December, 31) }},
		{"assessor", func(g *assessment.Groom) { g.Assessor = "" }},
		{"start", func(g *assessment.Groom) { g.Start, g.Stop = 24*60, assessment.NoClock }},
		{"start", func(g *assessment.Groom) { g.Start = -2 }},
		{"stop", func(g *assessment.Groom) { g.Stop = 24 * 60 }},
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
		{"global", func(g *assessment.Groom) { g.Global = 6 }},
		{"global", func(g *assessment.Groom) { g.Global = -1 }},
		{"because", func(g *assessment.Groom) { g.Supersedes, g.Because = "g1", long }},
		{"level.R1", mark("R1", assessment.Mark{NotApplicable: true})},
		{"level.R3", mark("R3", assessment.Mark{Level: 6})},
		{"level.R3", mark("R3", assessment.Mark{Level: -1})},
		{"level.R3", mark("R3", assessment.Mark{Level: 4, NotApplicable: true})},
		{"level.R14", mark("R14", assessment.Mark{Level: 4})},
		{"na_reason.R3", mark("R3", assessment.Mark{NotApplicable: true, Reason: long})},
		{"level.R7", func(g *assessment.Groom) { g.Marks["R7"], g.Skills["CL4"] = assessment.Mark{}, 4 }},
		{"level.R7", func(g *assessment.Groom) { g.Marks["R7"], g.Skills["CL4"] = assessment.Mark{NotApplicable: true}, 4 }},
		{"level.R1", func(g *assessment.Groom) { g.Marks = nil }},
		{"skill.CL4", func(g *assessment.Groom) { g.Skills["CL4"] = 6 }},
		{"skill.CL3", func(g *assessment.Groom) { g.Skills["CL3"] = -2 }},
		{"skill.CL3", func(g *assessment.Groom) { g.Skills["CL3"] = 0 }},
		{"skill.CW7", func(g *assessment.Groom) { g.Skills["CW7"] = 4 }},
		{"skill.ZZ9", func(g *assessment.Groom) { g.Skills["ZZ9"] = 4 }},
		{"prep", func(g *assessment.Groom) { g.CombTest = g.CombTest[:3] }},
		{"prep", func(g *assessment.Groom) { g.CombTest[3] = "tail_tip" }},
		{"prep", func(g *assessment.Groom) { g.CombTest[3] = g.CombTest[2] }},
		{"incidents", func(g *assessment.Groom) {
			for range assessment.MaxIncidents {
				g.Incidents = append(g.Incidents, g.Incidents[0])
			}
		}},
		{"incident.0.kind", func(g *assessment.Groom) { g.Incidents[0].Kind = "" }},
		{"incident.0.severity", func(g *assessment.Groom) { g.Incidents[0].Severity = "" }},
		{"incident.0.attribution", func(g *assessment.Groom) { g.Incidents[0].Attribution = "" }},
		{"incident.0.skill", func(g *assessment.Groom) { g.Incidents[0].Skill = "" }},
		{"incident.0.skill", func(g *assessment.Groom) { g.Incidents[0].Skill = "ZZ9" }},
		{"incident.0.skill", func(g *assessment.Groom) { g.Incidents[0].Skill, g.Incidents[0].Attribution = "CL3", "apprentice" }},
		{"incident.0.skill", func(g *assessment.Groom) {
			g.Skills["CL5"], g.Incidents[0].Attribution = assessment.Unseen, "shared"
		}},
		{"incident.0.severity", func(g *assessment.Groom) { g.Incidents[0].Severity = "S5" }},
		{"incident.0.attribution", func(g *assessment.Groom) { g.Incidents[0].Attribution = "nobody" }},
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
		"breaks":                func(g *assessment.Groom) { g.Start, g.Stop, g.Breaks = 600, 660, 59 },
		"no times":              func(g *assessment.Groom) { g.Start, g.Stop = assessment.NoClock, assessment.NoClock },
		"no style":              func(g *assessment.Groom) { g.Style = "" },
		"no share":              func(g *assessment.Groom) { g.Share = -1 },
		"no impression":         func(g *assessment.Groom) { g.Global = 0 },
		"best impression":       func(g *assessment.Groom) { g.Global = 5 },
		"first and last minute": func(g *assessment.Groom) { g.Start, g.Stop = 0, 24*60-1 },
		"only a start":          func(g *assessment.Groom) { g.Stop = assessment.NoClock },
		"most incidents": func(g *assessment.Groom) {
			for len(g.Incidents) < assessment.MaxIncidents {
				g.Incidents = append(g.Incidents, g.Incidents[0])
			}
		},
		"a near miss unseen": func(g *assessment.Groom) {
			g.Incidents[0] = assessment.Incident{Kind: "near_miss", Severity: "S0", Attribution: "apprentice", Skill: "CL3"}
		},
		"harm with its level": func(g *assessment.Groom) {
			g.Skills["CL3"], g.Incidents[0].Skill, g.Incidents[0].Attribution = 2, "CL3", "apprentice"
		},
		"harm outside a rubric":   func(g *assessment.Groom) { g.Incidents[0].Skill, g.Incidents[0].Attribution = "CW7", "apprentice" },
		"corrected, with why":     func(g *assessment.Groom) { g.Supersedes, g.Because = "g1", "wrong dog" },
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

// What is wrong is named, with what was found and what to do.
func TestProblemsSayWhatWasFound(t *testing.T) {
	for message, spoil := range map[string]func(*assessment.Groom){
		"Choose the coat class.": func(g *assessment.Groom) { g.Coat = "" },
		`The programme does not know "fluffy". Choose the coat class from the list.`:                                                             func(g *assessment.Groom) { g.Coat = "fluffy" },
		"There is no matting grade 7. Choose one from 0 to 4.":                                                                                   func(g *assessment.Groom) { g.Matting = 7 },
		"There is no temperament 9. Choose one from 1 to 5.":                                                                                     func(g *assessment.Groom) { g.Temperament = 9 },
		"151 kg is no weight of a dog. Enter kilograms, above 0 and up to 150, for example 12.5.":                                                func(g *assessment.Groom) { g.Grams = 151_000 },
		"The share is 101 per cent. Enter the apprentice's share of the work, from 0 to 100.":                                                    func(g *assessment.Groom) { g.Share = 101 },
		"There is no overall impression 6. Choose one from 1 to 5, or leave it open.":                                                            func(g *assessment.Groom) { g.Global = 6 },
		"The next visit is 105 weeks away. Enter the weeks until then, from 1 to 104.":                                                           func(g *assessment.Groom) { g.Brief.Weeks = 105 },
		"The groom stops at 09:00, before it starts at 09:00.":                                                                                   func(g *assessment.Groom) { g.Stop = g.Start },
		"6 incidents are told. One groom takes 5; put what belongs together into one.":                                                           func(g *assessment.Groom) { g.Incidents = slices.Repeat(g.Incidents, 6) },
		`The incident happened under "Clip in reverse and strip off a matted coat", so that was done: give it a level, or choose another skill.`: func(g *assessment.Groom) { g.Incidents[0].Skill, g.Incidents[0].Attribution = "CL3", "apprentice" },
		"What to keep has 2001 characters; keep it to 2000.":                                                                                     func(g *assessment.Groom) { g.Keep = strings.Repeat("x", 2001) },
	} {
		g := goodGroom()
		spoil(g)
		found := assessment.Problems(curriculum.Default(), g, g.Day)
		if assert.Len(t, found, 1, message) {
			assert.Equal(t, message, found[0].Message)
		}
	}
}

// spoilers walks a groom field by field and returns, for each text and each
// number in it, a way to give it another value. A field that is added later is
// walked too.
func spoilers(v reflect.Value, path string, texts map[string]func(string), numbers map[string]func(int64)) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			spoilers(v.Field(i), path+"."+v.Type().Field(i).Name, texts, numbers)
		}
	case reflect.Slice:
		spoilers(v.Index(0), path+"[0]", texts, numbers)
	case reflect.Map:
		key := v.MapKeys()[0]
		element := reflect.New(v.Type().Elem()).Elem()
		element.Set(v.MapIndex(key))
		inner, inside := map[string]func(string){}, map[string]func(int64){}
		spoilers(element, path+"[]", inner, inside)
		for name, set := range inner {
			texts[name] = func(s string) { set(s); v.SetMapIndex(key, element) }
		}
		for name, set := range inside {
			numbers[name] = func(n int64) { set(n); v.SetMapIndex(key, element) }
		}
	case reflect.String:
		texts[path] = v.SetString
	case reflect.Int, reflect.Int32:
		numbers[path] = v.SetInt
	case reflect.Bool:
	default:
		panic("a groom holds a " + v.Kind().String() + "; say here how it is limited")
	}
}

// Every text of a groom is limited and every number has a least and a most.
func TestEveryFieldIsLimited(t *testing.T) {
	p := curriculum.Default()
	fresh := func() (*assessment.Groom, map[string]func(string), map[string]func(int64)) {
		g := goodGroom()
		g.Skills["CL4"] = 4
		texts, numbers := map[string]func(string){}, map[string]func(int64){}
		spoilers(reflect.ValueOf(g).Elem(), "", texts, numbers)
		return g, texts, numbers
	}
	_, texts, numbers := fresh()
	assert.Greater(t, len(texts), 20)
	assert.Greater(t, len(numbers), 10)
	for _, name := range slices.Sorted(maps.Keys(texts)) {
		g, set, _ := fresh()
		day := g.Day
		set[name](strings.Repeat("ä", assessment.MaxText+1))
		found := assessment.Problems(p, g, day)
		assert.NotEmpty(t, found, "%s takes a text of any length", name)
		for _, f := range found {
			assert.Less(t, len(f.Message), 300, "%s is repeated whole", name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(numbers)) {
		for _, n := range []int64{-1 << 30, 1 << 30} {
			g, _, set := fresh()
			day := g.Day
			set[name](n)
			assert.NotEmpty(t, assessment.Problems(p, g, day), fmt.Sprintf("%s takes the number %d", name, n))
		}
	}
	for name, spoil := range map[string]func(*assessment.Groom, string){
		"criterion": func(g *assessment.Groom, s string) { g.Marks[s] = assessment.Mark{Level: 4} },
		"skill":     func(g *assessment.Groom, s string) { g.Skills[s] = 4 },
	} {
		g := goodGroom()
		spoil(g, strings.Repeat("ä", 500))
		found := assessment.Problems(p, g, g.Day)
		if assert.Len(t, found, 1, name) {
			assert.Less(t, len(found[0].Message), 300, name)
		}
	}
}
