package assessment_test

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// na stands for a criterion that does not apply.
const na = -1

// groomOf is a complete groom with levels for R1 … R13; 0 is not seen.
func groomOf(levels ...int) *assessment.Groom {
	g := &assessment.Groom{
		Apprentice: "A", Assessor: "X", Day: assessment.Date(2026, time.May, 20), Start: 9 * 60, Stop: 11 * 60,
		Dog: "Rex 12", Coat: "WO", Grams: 12_000, Matting: 1, Temperament: 2, Service: "full", Style: "short_trim",
		Brief:    assessment.Brief{Asked: "13 mm all over", Weeks: 6},
		CombTest: []string{"behind_ears", "armpits", "between_toes", "tail_base"},
		Marks:    map[string]assessment.Mark{}, Skills: map[string]int{}, Share: 80, Global: 4,
	}
	for i, l := range levels {
		if l == na {
			g.Marks[fmt.Sprintf("R%d", i+1)] = assessment.Mark{NotApplicable: true, Reason: "not part of this groom"}
		} else {
			g.Marks[fmt.Sprintf("R%d", i+1)] = assessment.Mark{Level: l}
		}
	}
	return g
}

func judge(g *assessment.Groom) assessment.Result { return assessment.Judge(curriculum.Default(), g) }

// A groom with everything applicable. By hand: 32+56+24+32+30+32+48+30+16+24+15+6+6 = 351.
// The weights and the pass line of 3.50 are common practice, no source.
func TestJudgeEverythingApplies(t *testing.T) {
	r := judge(groomOf(4, 4, 4, 4, 3, 4, 4, 3, 2, 4, 3, 2, 3))
	assert.Equal(t, int64(351), r.Sum)
	assert.Equal(t, int64(100), r.Weight)
	assert.Equal(t, "3.51", r.Mean().Truncated(1, 2))
	assert.Equal(t, "62.75", r.Percent().Truncated(100, 2))
	assert.Equal(t, assessment.Ratio{Num: 251, Den: 400}, r.Percent())
	assert.Equal(t, assessment.Meets, r.Outcome)
	assert.GreaterOrEqual(t, 2*r.Sum, 7*r.Weight, "702 to 700: 3.50 in whole numbers")
	assert.Empty(t, r.Reasons)

	// One level less on the smallest criterion: 698 < 700.
	r = judge(groomOf(4, 4, 4, 4, 3, 4, 4, 3, 2, 4, 3, 2, 2))
	assert.Equal(t, int64(349), r.Sum)
	assert.Equal(t, "3.49", r.Mean().Truncated(1, 2))
	assert.Equal(t, "3.5", r.Mean().Rounded(1, 1), "one rounded decimal would print the line, and decides nothing")
	assert.NotEqual(t, "3.5", r.Mean().Truncated(1, 1), "a value below the line is not printed as the line")
	assert.Equal(t, "3.4", r.Mean().Truncated(1, 1))
	assert.Equal(t, assessment.NotYet, r.Outcome)
	assert.Equal(t, []string{"The weighted mean is 3.49, below 3.50."}, r.Reasons)

	// A level 1 on the head: 343, and two reasons.
	r = judge(groomOf(4, 4, 4, 4, 3, 4, 4, 3, 1, 4, 3, 2, 3))
	assert.Equal(t, int64(343), r.Sum)
	assert.Equal(t, assessment.NotYet, r.Outcome)
	assert.Equal(t, []string{"Head and blending stands at L1; no criterion may be below L2.", "The weighted mean is 3.43, below 3.50."}, r.Reasons)
}

// 2·S = 7·W exactly is a pass. By hand, from the 351 above: bathing one lower
// (−6), the brief one higher (+5).
func TestJudgeOnTheLine(t *testing.T) {
	r := judge(groomOf(4, 4, 3, 4, 3, 4, 4, 3, 2, 4, 4, 2, 3))
	assert.Equal(t, int64(350), r.Sum)
	assert.Equal(t, assessment.Meets, r.Outcome)
	assert.Equal(t, "3.50", r.Mean().Truncated(1, 2))
}

// Bath and brush of a smooth dog: three criteria do not apply, and drying
// decides although the mean is high. By hand: 40+56+30+24+40+32+24+20+12+10 = 288.
// The least weight of 70 and the must-meets are common practice, no source.
func TestJudgeWhatDoesNotApply(t *testing.T) {
	r := judge(groomOf(5, 4, 5, 3, 4, 4, na, na, na, 4, 4, 4, 5))
	assert.Equal(t, int64(288), r.Sum)
	assert.Equal(t, int64(70), r.Weight, "enough for a whole-groom result")
	mean := r.Mean().Truncated(1, 2)
	assert.Equal(t, "4.11", mean)
	assert.Equal(t, "77.9", r.Percent().Rounded(100, 1))
	asZero, asOne := assessment.Ratio{Num: 288, Den: 100}, assessment.Ratio{Num: 288 + 30, Den: 100}
	assert.Equal(t, []string{"2.88", "3.18"}, []string{asZero.Truncated(1, 2), asOne.Truncated(1, 2)})
	assert.NotEqual(t, "2.88", mean, "not applicable is not 0")
	assert.NotEqual(t, "3.18", mean, "not applicable is not 1")
	assert.Equal(t, assessment.NotYet, r.Outcome)
	assert.Equal(t, []string{"Drying and watching for heat is a must-meet at L4 and stands at L3."}, r.Reasons)

	// Without the bath 56 is left: the observations count, the groom has no result.
	dry := groomOf(5, 4, na, na, 4, 4, na, na, na, 4, 4, 4, 5)
	r = judge(dry)
	assert.NotEmpty(t, assessment.Derive(curriculum.Default(), dry))
	assert.Equal(t, int64(56), r.Weight)
	assert.Equal(t, assessment.Incomplete, r.Outcome)
	require.Len(t, r.Reasons, 1)
	assert.Contains(t, r.Reasons[0], "weigh 56 of 100; a whole-groom result needs 70")
}

func TestJudgeMustMeet(t *testing.T) {
	all5 := []int{5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5}
	for i, must := range map[int]bool{0: true, 1: true, 2: false, 3: true, 4: false, 5: true, 6: true, 7: false, 8: false, 9: true, 10: false, 11: false, 12: false} {
		low := slices.Clone(all5)
		low[i] = 3
		r := judge(groomOf(low...))
		if must {
			assert.Equal(t, assessment.NotYet, r.Outcome, "R%d", i+1)
			require.Len(t, r.Reasons, 1)
			assert.Contains(t, r.Reasons[0], "must-meet at L4 and stands at L3")
		} else {
			assert.Equal(t, assessment.Meets, r.Outcome, "R%d", i+1)
		}

		unseen := slices.Clone(all5)
		unseen[i] = 0
		r = judge(groomOf(unseen...))
		if must {
			assert.Equal(t, assessment.Incomplete, r.Outcome, "R%d", i+1)
			assert.Contains(t, r.Reasons[0], "was not seen")
		} else {
			assert.Equal(t, assessment.Meets, r.Outcome, "R%d", i+1)
		}
	}
}

func TestJudgeCapsBySkill(t *testing.T) {
	g := groomOf(5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5)
	g.Skills["CL4"] = 3 // throat and face: safety-critical
	r := judge(g)
	clip := r.Criteria[6]
	assert.Equal(t, 5, clip.Given)
	assert.Equal(t, 3, clip.Effective)
	assert.Contains(t, clip.Lowered, "safety-critical")
	assert.Equal(t, int64(500-2*12), r.Sum)
	assert.Equal(t, assessment.NotYet, r.Outcome)

	g = groomOf(5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5)
	g.Skills["CL1"] = 1 // cut plan: not safety-critical
	r = judge(g)
	assert.Equal(t, 5, r.Criteria[6].Effective)
	assert.Empty(t, r.Criteria[6].Lowered)
	assert.Equal(t, assessment.Meets, r.Outcome)

	g.Skills["CL3"] = 2 // seen only if given a level, and safety-critical
	assert.Equal(t, 2, judge(g).Criteria[6].Effective)

	g.Skills = map[string]int{"CL4": assessment.Unseen}
	assert.Equal(t, 5, judge(g).Criteria[6].Effective, "not seen lowers nothing")

	g = groomOf(5, 5, 5, 5, 5, 5, 4, 5, 5, 5, 5, 5, 5)
	g.Skills["CL4"] = 5
	assert.Equal(t, 4, judge(g).Criteria[6].Effective, "a skill does not raise its criterion")
}

// Effects of an incident: common practice, no source.
func TestJudgeIncidents(t *testing.T) {
	for _, c := range []struct {
		severity, attribution string
		told                  bool
		effective             int
		outcome               assessment.Outcome
	}{
		{"S0", "apprentice", true, 5, assessment.Meets},   // telling never costs more than hiding
		{"S0", "apprentice", false, 3, assessment.NotYet}, // a must-meet at 4
		{"S0", "shared", false, 3, assessment.NotYet},
		{"S0", "equipment", false, 5, assessment.Meets},
		{"S0", "assessor", true, 5, assessment.Meets},
		{"S1", "apprentice", true, 3, assessment.NotYet}, // harm is capped, told or not
		{"S1", "apprentice", false, 3, assessment.NotYet},
		{"S1", "shared", false, 3, assessment.NotYet},
		{"S1", "dog", true, 5, assessment.Meets},
		{"S1", "equipment", false, 5, assessment.Meets},
		{"S2", "apprentice", false, 3, assessment.NotYet},
		{"S2", "apprentice", true, 3, assessment.NotYet},
		{"S2", "shared", false, 3, assessment.NotYet},
		{"S2", "equipment", false, 5, assessment.Meets}, // neither for nor against
		{"S2", "assessor", false, 5, assessment.Meets},
		{"S2", "dog", true, 5, assessment.Meets},
		{"S3", "apprentice", false, 3, assessment.NotYet},
		{"S3", "apprentice", true, 3, assessment.NotYet},
		{"S3", "equipment", false, 5, assessment.NotYet}, // the groom, whoever caused it
		{"S3", "dog", true, 5, assessment.NotYet},
		{"S4", "apprentice", false, 2, assessment.NotYet},
		{"S4", "dog", false, 5, assessment.NotYet},
		{"S4", "assessor", true, 5, assessment.NotYet},
		{"S9", "apprentice", false, 5, assessment.Meets}, // unknown: Problems refuses it
		{"", "apprentice", false, 5, assessment.Meets},
	} {
		name := fmt.Sprintf("%s %s told=%v", c.severity, c.attribution, c.told)
		g := groomOf(5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5)
		g.Incidents = []assessment.Incident{{Kind: "cut", Severity: c.severity, Attribution: c.attribution, Skill: "CL5", SelfReported: c.told}}
		r := judge(g)
		assert.Equal(t, c.effective, r.Criteria[6].Effective, name)
		assert.Equal(t, c.outcome, r.Outcome, name)
		assert.Equal(t, 5, r.Criteria[1].Effective, "another criterion is not touched")
	}

	g := groomOf(2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2)
	g.Incidents = []assessment.Incident{{Severity: "S1", Attribution: "apprentice", Skill: "CL5"}}
	assert.Equal(t, 2, judge(g).Criteria[6].Effective, "a cap never raises")
}

// A partial groom with grave harm is Not yet, not merely incomplete.
func TestJudgeHarmInAPartialGroom(t *testing.T) {
	g := groomOf(5, 4, na, na, 4, 4, na, na, na, 4, 4, 4, 5)
	g.Incidents = []assessment.Incident{{Kind: "cut", Severity: "S3", Attribution: "apprentice", Skill: "CO5"}}
	r := judge(g)
	assert.Equal(t, assessment.NotYet, r.Outcome)
	assert.Contains(t, r.Reasons[0], "S3 (Nick or cut)")
	assert.Len(t, r.Reasons, 2, "and that the groom is partial")
}

func TestDerive(t *testing.T) {
	p := curriculum.Default()
	g := groomOf(4, 4, na, 0, 3, 4, 5, 4, 4, 4, 4, 4, 4)
	g.Coat, g.Grams = "XW", 24_999
	g.Skills = map[string]int{"CL4": 3, "CL5": assessment.Unseen, "CL3": 2, "CO5": assessment.Unseen}
	g.Incidents = []assessment.Incident{
		{Severity: "S1", Attribution: "dog", Skill: "CL6"},
		{Severity: "S2", Attribution: "equipment", Skill: "CL6"},
		{Severity: "S2", Attribution: "apprentice", Skill: "CL6"},
		{Severity: "S0", Attribution: "apprentice", Skill: "CL6"},
	}
	levels := map[string]int8{}
	var order []string
	for _, o := range assessment.Derive(p, g) {
		levels[o.Skill] = o.Level
		order = append(order, o.Skill)
		assert.Equal(t, assessment.Formal, o.Source)
		assert.Equal(t, "X", o.Assessor)
		assert.Equal(t, "Rex 12", o.Dog)
		assert.Equal(t, "XW", o.Coat)
		assert.Equal(t, "M", o.Size, "24.999 kg")
		assert.Equal(t, "short_trim", o.Style)
		assert.Equal(t, g.Day, o.Day)
		if o.Skill == "CL6" {
			assert.Equal(t, "S2", o.Severity)
			assert.Equal(t, "apprentice", o.Attribution, "among equals the one that counts against the apprentice")
		} else {
			assert.Empty(t, o.Severity, o.Skill)
		}
	}
	assert.Equal(t, map[string]int8{
		"HC1": 4, "HC2": 4, "HC3": 4, "HC4": 4, "HC5": 4, "HR1": 4, "HR2": 4, "HR3": 4, "HR5": 4,
		"CO1": 3, "CO2": 3, "CO3": 3, "TH1": 4, "TH2": 4, "TH3": 4, "TH4": 4, "TH5": 4,
		"CL1": 5, "CL2": 5, "CL3": 2, "CL4": 3, "CL6": 5, "CL7": 5, "CL8": 5,
		"SC1": 4, "SC2": 4, "SC3": 4, "SC4": 4, "SC5": 4, "SC6": 4, "SC7": 4,
		"NE1": 4, "NE3": 4, "NE5": 4, "CW1": 4, "CW2": 4, "CW3": 4, "CW4": 4,
	}, levels, "nothing for bath (does not apply) and drying (not seen), nothing for skills that show only if seen")
	all := []string{}
	for _, s := range p.AllSkills() {
		if _, ok := levels[s.ID]; ok {
			all = append(all, s.ID)
		}
	}
	assert.Equal(t, all, order, "in programme order")
}

// Level 1 is an observation, and a level beside "does not apply" is none.
func TestDeriveAtTheEdges(t *testing.T) {
	p := curriculum.Default()
	g := groomOf(0, 0, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0)
	g.Marks["R3"] = assessment.Mark{Level: 5, NotApplicable: true}
	g.Incidents = []assessment.Incident{{Severity: "S2", Attribution: "apprentice", Skill: "SC1"}, {Severity: "S2", Attribution: "equipment", Skill: "SC1"}}
	var ids []string
	for _, o := range assessment.Derive(p, g) {
		ids = append(ids, o.Skill)
		assert.Equal(t, int8(1), o.Level)
	}
	assert.Equal(t, []string{"SC1", "SC2", "SC3"}, ids)
	assert.Equal(t, "apprentice", assessment.Derive(p, g)[0].Attribution, "in either order")
	r := judge(g)
	assert.Equal(t, int64(10), r.Weight, "only the feet and legs")
	assert.True(t, r.Criteria[2].NotApplicable)
	assert.Zero(t, r.Criteria[2].Given)
}

// A groom without a single level has no mean, and none is told.
func TestJudgeNothing(t *testing.T) {
	r := judge(groomOf())
	assert.Equal(t, assessment.Incomplete, r.Outcome)
	assert.Len(t, r.Reasons, 7, "six must-meets not seen, and the weight")
	for _, reason := range r.Reasons {
		assert.NotContains(t, reason, "mean")
	}
	assert.Equal(t, "–", r.Mean().Truncated(1, 2))
}

// The level given counts for a skill, not the criterion's lowered one: one
// skill's slip is not another's.
func TestDeriveTakesTheLevelGiven(t *testing.T) {
	g := groomOf(5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5)
	g.Skills["CL4"] = 3
	for _, o := range assessment.Derive(curriculum.Default(), g) {
		want := int8(5)
		if o.Skill == "CL4" {
			want = 3
		}
		assert.Equal(t, want, o.Level, o.Skill)
	}
}

func randomGroom(t *rapid.T) *assessment.Groom {
	p := curriculum.Default()
	levels := make([]int, len(p.Rubric.Criteria))
	for i := range levels {
		levels[i] = rapid.IntRange(-1, 5).Draw(t, "level")
	}
	g := groomOf(levels...)
	for _, s := range p.AllSkills() {
		if rapid.IntRange(0, 9).Draw(t, "own") == 0 {
			g.Skills[s.ID] = rapid.SampledFrom([]int{assessment.Unseen, 1, 2, 3, 4, 5}).Draw(t, "skill level")
		}
	}
	if rapid.Bool().Draw(t, "incident") {
		g.Incidents = []assessment.Incident{{
			Kind:        "cut",
			Severity:    rapid.SampledFrom([]string{"S0", "S1", "S2", "S3", "S4"}).Draw(t, "severity"),
			Attribution: rapid.SampledFrom([]string{"apprentice", "shared", "dog"}).Draw(t, "attribution"),
			Skill:       rapid.SampledFrom([]string{"CL4", "HR2", "NE1", "DR1"}).Draw(t, "skill"),
		}}
	}
	return g
}

// The same marks in another order of entry give the same judgement, and the
// groom is not touched.
func TestJudgeDoesNotDependOnOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := randomGroom(t)
		before := maps.Clone(g.Marks)
		first := judge(g)
		other := *g
		other.Marks, other.Skills = map[string]assessment.Mark{}, map[string]int{}
		keys := slices.Sorted(maps.Keys(g.Marks))
		rng := rand.New(rand.NewPCG(1, rapid.Uint64().Draw(t, "seed")))
		rng.Shuffle(len(keys), func(i, j int) { keys[i], keys[j] = keys[j], keys[i] })
		for _, k := range keys {
			other.Marks[k] = g.Marks[k]
		}
		skills := slices.Sorted(maps.Keys(g.Skills))
		slices.Reverse(skills)
		for _, k := range skills {
			other.Skills[k] = g.Skills[k]
		}
		assert.Equal(t, first, judge(&other))
		assert.Equal(t, before, g.Marks)
	})
}

// A criterion that does not apply weighs as much as one that was not seen:
// nothing.
func TestJudgeNotApplicableWeighsNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := randomGroom(t)
		key := fmt.Sprintf("R%d", rapid.IntRange(1, 13).Draw(t, "criterion"))
		delete(g.Marks, key)
		without := judge(g)
		g.Marks[key] = assessment.Mark{NotApplicable: true}
		with := judge(g)
		assert.Equal(t, without.Sum, with.Sum)
		assert.Equal(t, without.Weight, with.Weight)

		// By the definition: the mean over the rated criteria, from their weights.
		var sum, weight int64
		for _, c := range with.Criteria {
			if c.Effective > 0 {
				sum += int64(c.Criterion.Weight) * int64(c.Effective)
				weight += int64(c.Criterion.Weight)
			}
		}
		assert.Equal(t, sum, with.Sum)
		assert.Equal(t, weight, with.Weight)
	})
}

// Doing better on one criterion never lowers the score and never costs the
// outcome.
func TestJudgeIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := randomGroom(t)
		before := judge(g)
		i := rapid.IntRange(0, 12).Draw(t, "criterion")
		key := fmt.Sprintf("R%d", i+1)
		m := g.Marks[key]
		if m.Level < 1 || m.Level > 4 {
			t.Skip("nothing to raise")
		}
		m.Level++
		g.Marks[key] = m
		after := judge(g)
		assert.GreaterOrEqual(t, after.Sum, before.Sum)
		assert.Equal(t, before.Weight, after.Weight)
		assert.GreaterOrEqual(t, after.Outcome, before.Outcome)
	})
}

func TestClock(t *testing.T) {
	assert.Equal(t, "14:05", assessment.Clock(14*60+5).String())
	assert.Equal(t, "00:00", assessment.Clock(0).String())
	assert.Empty(t, assessment.NoClock.String())
}
