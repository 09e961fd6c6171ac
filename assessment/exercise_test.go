package assessment_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// clean reports by the check itself, and not by the choices, whether a cut is
// right.
func clean(p *curriculum.Programme, s *assessment.CutScenario, cut assessment.Cut) bool {
	plan := &assessment.CutPlan{Consent: s.Consent, Wish: s.Wish, Lines: []assessment.CutLine{{Area: s.Area, Skin: s.Skin, Agreed: s.Agreed, Cut: cut}}}
	return !slices.ContainsFunc(assessment.CheckCutPlan(p, plan, s.Dog), func(f assessment.CutFinding) bool { return f.Severity > assessment.Advice })
}

// anyCut reports whether any blade in any direction, or any comb over anything, is
// right.
func anyCut(p *curriculum.Programme, s *assessment.CutScenario) bool {
	var tools []string
	for _, b := range p.Cutting.Blades {
		tools = append(tools, b.ID)
	}
	blades := len(tools)
	for _, c := range p.Cutting.Combs {
		tools = append(tools, c.ID)
	}
	for i, tool := range tools {
		for _, d := range curriculum.Directions {
			if i < blades && clean(p, s, assessment.Cut{Tool: tool, Direction: d}) {
				return true
			}
			for _, under := range tools[:blades] {
				if i >= blades && clean(p, s, assessment.Cut{Tool: tool, Direction: d, Under: under}) {
					return true
				}
			}
		}
	}
	return false
}

// sound holds one exercise to what every exercise keeps.
func sound(t assert.TestingT, p *curriculum.Programme, seed uint64) {
	questions := assessment.Exercise(p, seed)
	assert.Equal(t, questions, assessment.Exercise(p, seed), "the same seed, the same questions")
	marked := assessment.MarkExercise(p, questions, nil).Marked
	if !assert.Len(t, questions, p.Cutting.Exercise.Questions) {
		return
	}
	for n, q := range questions {
		if !assert.NotNil(t, p.Cutting.Area(q.Area)) || !assert.NotNil(t, p.Cutting.Skin(q.Skin)) || !assert.GreaterOrEqual(t, len(q.Options), 3) {
			return
		}
		right, possible := 0, anyCut(p, &q.CutScenario)
		broken := p.Cutting.Skin(q.Skin).Stop != ""
		for i, o := range q.Options {
			want := false
			switch o.Stop {
			case assessment.ForNobody:
				want = clean(p, &q.CutScenario, o.Cut)
			case assessment.ForVet:
				want = broken
			case assessment.ForOwner:
				want = !broken && !possible
			}
			ch := marked[n].Choices[i]
			assert.Equal(t, want, ch.Right, "seed %d, question %d, %s", seed, n+1, o.Words(p.Cutting))
			assert.NotEmpty(t, ch.Why)
			assert.NotContains(t, q.Options[:i], o, "no answer stands twice")
			if want {
				right++
			}
		}
		assert.Positive(t, right, "seed %d, question %d has no right answer: %+v", seed, n+1, q)
		assert.Less(t, right, len(q.Options), "seed %d, question %d has no wrong answer", seed, n+1)
		assert.NotEmpty(t, marked[n].Also)
		assert.Equal(t, []assessment.StopFor{assessment.ForOwner, assessment.ForVet}, []assessment.StopFor{q.Options[len(q.Options)-2].Stop, q.Options[len(q.Options)-1].Stop})
	}
}

func TestEveryQuestionHasARightAnswer(t *testing.T) {
	conventions := []*curriculum.Programme{curriculum.Default(), stampIsWith(t)}
	rapid.Check(t, func(t *rapid.T) {
		sound(t, conventions[rapid.IntRange(0, 1).Draw(t, "convention")], rapid.Uint64().Draw(t, "seed"))
	})
}

// A salon edits its table as it likes, and takes most of it out.
func TestQuestionsFromEditedTables(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := *curriculum.Default()
		c := *p.Cutting
		p.Cutting = &c
		some := func(name string, n, least int) []int {
			return rapid.SliceOfNDistinct(rapid.IntRange(0, n-1), least, n, rapid.ID).Draw(t, name)
		}
		c.StampIs = rapid.SampledFrom(curriculum.Directions).Draw(t, "stamp")
		c.WithLieTimes = rapid.IntRange(1, 4).Draw(t, "times")
		c.GiveOrTake = curriculum.MM(rapid.IntRange(1, 300).Draw(t, "give"))
		c.ConsentFrom = rapid.IntRange(1, 4).Draw(t, "consent")
		c.KnottedFrom = rapid.IntRange(1, c.ConsentFrom).Draw(t, "knotted")
		c.WrittenWish = rapid.SliceOfN(rapid.SampledFrom([]string{"DA", "WO", "SI"}), 0, 3).Draw(t, "wish")
		c.StandsOff = rapid.SliceOfN(rapid.SampledFrom([]string{"DA", "WO", "XW"}), 0, 3).Draw(t, "stands off")
		c.Exercise.Questions = rapid.IntRange(1, 12).Draw(t, "questions")
		c.Exercise.Coats = rapid.SliceOfN(rapid.SampledFrom([]string{"DA", "WO", "SI", "XW"}), 1, 3).Draw(t, "coats")
		var blades []curriculum.Blade
		for _, i := range some("blades", len(c.Blades), 1) {
			b := c.Blades[i]
			b.Length = curriculum.MM(rapid.IntRange(1, 3000).Draw(t, "length"))
			b.Mats = rapid.SampledFrom([]curriculum.Mats{curriculum.UnderMats, curriculum.ExperiencedMats, curriculum.NeverMats}).Draw(t, "mats")
			blades = append(blades, b)
		}
		c.Blades = blades
		known := func(list []string) []string {
			return slices.DeleteFunc(slices.Clone(list), func(id string) bool { return c.Blade(id) == nil })
		}
		c.UnderBlades = known(c.UnderBlades)
		var combs []curriculum.Comb
		for _, i := range some("combs", len(c.Combs), 0) {
			if len(c.UnderBlades) > 0 {
				combs = append(combs, c.Combs[i])
			}
		}
		c.Combs = combs
		var areas []curriculum.Area
		for _, i := range some("areas", len(c.Areas), 1) {
			a := c.Areas[i]
			a.Jacket = rapid.Bool().Draw(t, "jacket")
			a.Blades = known(a.Blades)
			areas = append(areas, a)
		}
		c.Areas = areas
		c.Skins = slices.Clone(c.Skins)
		for i := range c.Skins {
			c.Skins[i].NoBlades, c.Skins[i].OnlyBlades = known(c.Skins[i].NoBlades), known(c.Skins[i].OnlyBlades)
		}
		sound(t, &p, rapid.Uint64().Draw(t, "seed"))
	})
}

// Over many exercises every sort of question comes up: several right answers, a
// knotted coat, thin and tender skin, and each way to stop.
func TestEverySortOfQuestion(t *testing.T) {
	p := curriculum.Default()
	n := map[string]int{}
	const exercises = 50
	for seed := range uint64(exercises) {
		for _, m := range assessment.MarkExercise(p, assessment.Exercise(p, seed), nil).Marked {
			right := 0
			for _, c := range m.Choices {
				if c.Right {
					right++
				}
			}
			count := func(what string, is bool) {
				if is {
					n[what]++
				}
			}
			last := len(m.Choices)
			owner, vet := m.Choices[last-2].Right, m.Choices[last-1].Right
			count("several right", right > 1)
			count("owner", owner)
			count("vet", vet)
			count("knots", m.Dog.Matting == 3 && !owner)
			count("felted with consent", m.Dog.Matting == 4 && m.Consent && !owner)
			count("felted without", m.Dog.Matting == 4 && !m.Consent && owner)
			count("double coat without a wish", m.Dog.Coat == "DA" && !m.Wish && m.Agreed > 0 && owner)
			count("thin place", !p.Cutting.Area(m.Area).Jacket && !vet)
			count("old skin", m.Skin == "thin")
			count("red skin", m.Skin == "red")
			count("comb", slices.ContainsFunc(m.Choices, func(c assessment.CutChoice) bool { return c.Right && c.Under != "" }))
			count("stands off", m.Dog.Coat == "WO" && m.Agreed > 0 && !owner)
		}
	}
	t.Log(n)
	for _, what := range []string{"several right", "owner", "vet", "knots", "felted with consent", "felted without", "double coat without a wish", "thin place", "old skin", "red skin", "comb", "stands off"} {
		assert.GreaterOrEqual(t, n[what], exercises/5, what)
	}
	assert.Less(t, n["owner"]+n["vet"], exercises*10*4/10, "mostly there is something to clip")
}

// Somebody who always stops, or always takes the first answer, does not pass: with
// 10 questions and a pass mark of 80 per cent.
func TestGuessingDoesNotPass(t *testing.T) {
	p := curriculum.Default()
	rule := assessment.ExerciseRule(p)
	require.Equal(t, "E6", rule.ID)
	require.Equal(t, 80, rule.Percent)
	passed := 0
	for seed := range uint64(100) {
		var right [6]int // by the position that is always taken
		for _, m := range assessment.MarkExercise(p, assessment.Exercise(p, seed), nil).Marked {
			for i, c := range m.Choices {
				if c.Right {
					right[i]++
				}
			}
		}
		for _, n := range right {
			if 100*n >= 10*rule.Percent {
				passed++
			}
		}
	}
	assert.LessOrEqual(t, passed, 6, "at most one in a hundred of 600")
}

func TestMarkExercise(t *testing.T) {
	p := curriculum.Default()
	const seed = 20260520
	var right, wrong []int
	for _, m := range assessment.MarkExercise(p, assessment.Exercise(p, seed), nil).Marked {
		assert.Equal(t, -1, m.Given)
		assert.False(t, m.Right)
		isRight := func(c assessment.CutChoice) bool { return c.Right }
		right = append(right, slices.IndexFunc(m.Choices, isRight))
		wrong = append(wrong, slices.IndexFunc(m.Choices, func(c assessment.CutChoice) bool { return !c.Right }))
	}
	percent := func(given []int) int {
		r := assessment.MarkExercise(p, assessment.Exercise(p, seed), given)
		assert.Equal(t, 10, r.Asked)
		return r.Percent()
	}
	assert.Equal(t, 100, percent(right))
	assert.Equal(t, 0, percent(wrong))
	assert.Equal(t, 80, percent(slices.Concat(right[:8], wrong[8:])))
	assert.Equal(t, 70, percent(right[:7]), "what is not answered is not right")
	assert.Equal(t, 0, percent([]int{-1, 6, 99, -7}), "what leads nowhere is not right")
	assert.Equal(t, 71, (&assessment.ExerciseResult{Right: 5, Asked: 7}).Percent(), "5/7 is 71.4: cut off")
	assert.Equal(t, 79, (&assessment.ExerciseResult{Right: 23, Asked: 29}).Percent(), "79.3 is not 80")
}

// Each way of choosing right is told: the worked example with 6 mm agreed on a silky
// coat. By hand from the table: with the lie #8½ leaves 5.6, #7 and #7F 6.4; against
// it #5 and #5F 6.3; a 6 mm comb over any of the three.
func TestRightWords(t *testing.T) {
	p := curriculum.Default()
	s := &assessment.CutScenario{Dog: combed("SI"), Area: "back", Skin: "sound", Agreed: 600}
	assert.Equal(t, []string{"#8½ with the lie", "#7 with the lie", "#7F with the lie", "#5 against the lie", "#5F against the lie", "6 mm comb over #30, #15 or #10"},
		assessment.RightWords(p.Cutting, assessment.CutChoices(p, s)))
	s.Skin = "broken"
	assert.Equal(t, []string{"Do not clip here: a vet looks first"}, assessment.RightWords(p.Cutting, assessment.CutChoices(p, s)))
	s.Skin, s.Agreed = "sound", 4500
	assert.Equal(t, []string{"Do not clip here yet: ask the owner first"}, assessment.RightWords(p.Cutting, assessment.CutChoices(p, s)), "no comb is that long")
}

// Nobody is asked to look at a second result while one stands, nor at one that is too
// old or was not passed.
func TestWaitingResults(t *testing.T) {
	day := assessment.Date(2026, time.May, 20)
	taken := func(who string, ago int, passed, adopted bool) assessment.Taken {
		return assessment.Taken{Apprentice: who, Done: day - assessment.Day(ago), Passed: passed, Adopted: adopted, Months: 24}
	}
	list := []assessment.Taken{
		taken("a", 0, true, false), taken("a", 5, true, false), taken("b", 6, false, false), taken("b", 9, true, false), // a and b wait with their newest that was passed
		taken("c", 10, true, false), taken("c", 20, true, true), // one of c stands
		taken("d", 740, true, false),                            // too old: 20 May 2024 is 730 days back
		taken("e", 1, true, false), taken("e", 800, true, true), // what stood is over
		taken("f", 730, true, false), // the last day
	}
	assert.Equal(t, []int{0, 3, 7, 9}, assessment.WaitingResults(list, day))
	for i := range list {
		list[i].Months = 0
	}
	assert.Equal(t, []int{0, 3, 6, 9}, assessment.WaitingResults(list, day), "without renewal one stands for ever, and none is too old")
}

func TestWhoLetsAResultStand(t *testing.T) {
	rule := curriculum.Default().EvidenceRule("E6")
	day := assessment.Date(2026, time.May, 20)
	good := assessment.Adoption{Person: "x", Apprentice: "a", Role: assessment.Assessor, Done: day, How: "watched", Rule: rule, Today: day.AddMonths(24)}
	assert.Empty(t, good.Refuse(), "on the last day of 24 months")
	for want, change := range map[string]func(a *assessment.Adoption){
		"Only a head groomer or an assessor": func(a *assessment.Adoption) { a.Role = assessment.Auditor },
		"Nobody lets their own":              func(a *assessment.Adoption) { a.Person = "a" },
		"not finished":                       func(a *assessment.Adoption) { a.Done = 0 },
		"stands already":                     func(a *assessment.Adoption) { a.Already = true },
		"every 24 months":                    func(a *assessment.Adoption) { a.Today++ },
		"the apprentice's own":               func(a *assessment.Adoption) { a.How = "guessed" },
	} {
		a := good
		change(&a)
		assert.Contains(t, a.Refuse(), want)
	}
}

// The result of the exercise belongs to the cut plan, which asks for observations:
// the check stands beside them, passed from 80 per cent, and is none of them. Where the
// skill asks for a knowledge check it counts as any other.
func TestWhereTheResultCounts(t *testing.T) {
	day := assessment.Date(2026, time.May, 20)
	result := func(skill string, percent int8) []assessment.Observation {
		return []assessment.Observation{{Skill: skill, Assessor: "X", Day: day, Source: assessment.Check, Percent: percent}}
	}
	for percent, verdict := range map[int8]assessment.Verdict{79: assessment.NotClean, 80: assessment.Clean, 100: assessment.Clean} {
		s := standOn(t, "CL1", result("CL1", percent), day)
		require.Len(t, s.Used, 1)
		assert.Equal(t, assessment.BesideObservations, s.Used[0].Why)
		assert.Equal(t, verdict, s.Used[0].Verdict, "%d", percent)
		assert.Equal(t, [3]int{0, 0, 0}, [3]int{s.Seen, s.Clean, s.Points.Judged})
		assert.Equal(t, 6, find(t, s, assessment.NeedCount).Missing, "none of the six observations")
	}
	s := standOn(t, "CL2", result("CL2", 100), day)
	assert.Equal(t, assessment.WrongKind, s.Used[0].Why, "a skill without an exercise")

	p := edited(t, "    skill: CL1\n", "    skill: CW7\n")
	stand := func(percent int8) assessment.Standing {
		return assessment.Explain(p, &assessment.Evidence{Skill: p.Skill("CW7"), Observations: result("CW7", percent)}, day)
	}
	assert.Equal(t, assessment.Eligible, stand(80).State)
	assert.Equal(t, assessment.Practising, stand(79).State)
}
