package assessment_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// edited is the default programme with some texts of its file replaced.
func edited(t testing.TB, oldNew ...string) *curriculum.Programme {
	t.Helper()
	text := string(curriculum.Default().Source())
	for i := 0; i < len(oldNew); i += 2 {
		require.Equal(t, 1, strings.Count(text, oldNew[i]), oldNew[i])
		text = strings.Replace(text, oldNew[i], oldNew[i+1], 1)
	}
	p, err := curriculum.Read("edited.yaml", []byte(text))
	require.NoError(t, err)
	return p
}

// stampIsWith is the same table in a salon that reads the stamp as the length
// with the lie.
func stampIsWith(t testing.TB) *curriculum.Programme {
	return edited(t, "  stamp_is: reverse\n", "  stamp_is: with\n")
}

const (
	with    = curriculum.WithLie
	reverse = curriculum.Reverse
)

// The lengths of the default table: the value most of eight public charts print,
// after those that contradict themselves were thrown out; 3¾ from memory. Inches are
// arithmetic: one is 25.4 mm, and each value lies within 0.5 mm of its fraction.
func TestStampedLengths(t *testing.T) {
	c := curriculum.Default().Cutting
	for id, want := range map[string]struct {
		mm    curriculum.MM
		inch  float64 // from the same charts
		teeth curriculum.Teeth
	}{
		"50": {20, 1. / 125, "even"}, "40": {25, 1. / 100, "even"}, "30": {50, 1. / 50, "even"}, "15": {120, 3. / 64, "even"}, "10": {160, 1. / 16, "even"},
		"9": {200, 5. / 64, "even"}, "8.5": {280, 7. / 64, "even"}, "7": {320, 1. / 8, "skip"}, "7F": {320, 1. / 8, "even"}, "5": {630, 1. / 4, "skip"}, "5F": {630, 1. / 4, "even"},
		"4": {950, 3. / 8, "skip"}, "4F": {950, 3. / 8, "even"}, "3.75": {1300, 1. / 2, "skip"}, "3.75F": {1300, 1. / 2, "even"}, "3": {1300, 1. / 2, "skip"}, "3F": {1300, 1. / 2, "even"},
		"toe": {80, 1. / 32, "even"}, // the fraction from memory
	} {
		b := c.Blade(id)
		require.NotNil(t, b, id)
		assert.Equal(t, want.mm, b.Length, id)
		assert.InDelta(t, want.inch*25.4, float64(b.Length)/100, 0.5, id)
		assert.Equal(t, want.teeth, b.Teeth, "%s: a plain number is skip-tooth from #7 up, F is the finish cut", id)
	}
	assert.Len(t, c.Blades, 18)
	inches := []float64{1. / 8, 1. / 4, 3. / 8, 1. / 2, 5. / 8, 3. / 4, 7. / 8, 1, 1.25} // the usual set, from memory
	require.Len(t, c.Combs, len(inches))
	for i, comb := range c.Combs {
		assert.InDelta(t, inches[i]*25.4, float64(comb.Length)/100, 0.6, comb.ID)
	}
}

// Two published guides say that the stamp is the length against the lie and that
// the lie doubles it; many salons teach that the stamp is the length with the lie and
// that against it is half. On a coat that stands off the stamp is left whichever way:
// one of the two guides. All values by hand from stamp and ratio.
func TestExpectedLength(t *testing.T) {
	def, taught := curriculum.Default().Cutting, stampIsWith(t).Cutting
	for _, k := range []struct {
		tool           string
		direction      curriculum.Direction
		coat           string
		reverse, with  curriculum.MM // by what the stamp means
		give, giveWith curriculum.MM
	}{
		{"7F", with, "SI", 640, 320, 100, 50},
		{"7F", reverse, "SI", 320, 160, 50, 25},
		{"10", with, "WI", 320, 160, 100, 50},
		{"10", reverse, "WI", 160, 80, 50, 25},
		{"5F", reverse, "XW", 630, 315, 100, 50},
		{"40", reverse, "SI", 25, 13, 10, 5}, // 0.125 mm, half a hundredth rounded up
		{"7F", with, "WO", 320, 320, 50, 50}, // stands off
		{"7F", reverse, "WO", 320, 320, 50, 50},
		{"c13", with, "SI", 1300, 1300, 100, 100}, // a comb leaves its own length: common practice, no source
		{"c13", with, "WO", 1300, 1300, 100, 100},
	} {
		cut := assessment.Cut{Tool: k.tool, Direction: k.direction, Under: "10"}
		got, ok := assessment.ExpectedLength(def, k.coat, cut)
		assert.True(t, ok)
		assert.Equal(t, assessment.Length{MM: k.reverse, GiveOrTake: k.give}, got, "%s %s on %s, stamp is reverse", k.tool, k.direction, k.coat)
		got, ok = assessment.ExpectedLength(taught, k.coat, cut)
		assert.True(t, ok)
		assert.Equal(t, assessment.Length{MM: k.with, GiveOrTake: k.giveWith}, got, "%s %s on %s, stamp is with", k.tool, k.direction, k.coat)
	}
	for _, cut := range []assessment.Cut{{}, {Tool: "7F"}, {Tool: "7F", Direction: "sideways"}, {Tool: "11", Direction: with}, {Tool: "c13", Direction: reverse}} {
		_, ok := assessment.ExpectedLength(def, "SI", cut)
		assert.False(t, ok, "%v", cut)
	}
	thrice := edited(t, "with_lie_times: 2", "with_lie_times: 3").Cutting
	got, _ := assessment.ExpectedLength(thrice, "SI", assessment.Cut{Tool: "10", Direction: with})
	assert.Equal(t, "about 4.8 mm, give or take 1.5", got.Words())
	own := edited(t, "      name: \"#10\"\n", "      name: \"#10\"\n      stamp_is: with\n").Cutting
	got, _ = assessment.ExpectedLength(own, "SI", assessment.Cut{Tool: "10", Direction: with})
	assert.Equal(t, curriculum.MM(160), got.MM, "one maker means it the other way")
	got, _ = assessment.ExpectedLength(own, "SI", assessment.Cut{Tool: "9", Direction: with})
	assert.Equal(t, curriculum.MM(400), got.MM)
}

// combed is a dog whose comb test was recorded and passed everywhere.
func combed(coat string) assessment.CutDog {
	return assessment.CutDog{Coat: coat, Tested: true, Passed: []string{"behind_ears", "armpits", "between_toes", "tail_base"}}
}

// A plan in one line: an area and a cut, with what was agreed.
func line(area string, agreed curriculum.MM, tool string, direction curriculum.Direction, under string) assessment.CutLine {
	return assessment.CutLine{Area: area, Agreed: agreed, Cut: assessment.Cut{Tool: tool, Direction: direction, Under: under}}
}

// on is a line on skin that was found there.
func on(skin string, l assessment.CutLine) assessment.CutLine {
	l.Skin = skin
	return l
}

func check(p *curriculum.Programme, dog assessment.CutDog, lines ...assessment.CutLine) []assessment.CutFinding {
	return assessment.CheckCutPlan(p, &assessment.CutPlan{Lines: lines}, dog)
}

// The worked example of the trade's two conventions: #7F with the lie, 6 mm agreed,
// give or take 1. Where the stamp is the length against the lie it leaves about
// 6.4 mm and is right; where it is the length with the lie it leaves 3.2 mm.
func TestTheSamePlanUnderBothConventions(t *testing.T) {
	plan := line("back", 600, "7F", with, "")
	assert.Empty(t, check(curriculum.Default(), combed("SI"), plan))
	found := check(stampIsWith(t), combed("SI"), plan)
	assert.Equal(t, []assessment.CutFinding{{Area: "back", Severity: assessment.MissesBrief,
		Text: "Back and sides: #7F with the lie leaves about 3.2 mm, but 6 mm was agreed, give or take 1. Take what leaves 5 to 7 mm, or agree another length with the owner."}}, found)
}

// The agreed length is compared exactly: 6.4 mm is within 0.4 of 6 and of 6.8, not
// a hundredth further.
func TestTheEdgeOfTheBrief(t *testing.T) {
	p := edited(t, "give_or_take_mm: 1\n", "give_or_take_mm: 0.4\n")
	for agreed, fits := range map[curriculum.MM]bool{0: true, 599: false, 600: true, 640: true, 680: true, 681: false} {
		assert.Equal(t, fits, len(check(p, combed("SI"), line("back", agreed, "7F", with, ""))) == 0, "%v", agreed)
	}
	assert.Empty(t, check(p, combed("WO"), line("back", 320, "7F", with, "")), "on a coat that stands off the lie makes no difference")
	assert.NotEmpty(t, check(p, combed("WO"), line("back", 640, "7F", with, "")))
}

// What the rules say of one line. Skip-tooth on thin skin, #10 at fold and groin, with
// the lie at the sanitary area, combs only over a combed coat, the area defaults and
// the under-blades: common practice, no source. #7F on thin or old skin, groin and
// flank: a published UK training page; longer blades on thin skin: by the same reason,
// common practice. Red skin, double coat, consent: common practice, no source.
func TestCutPlanRules(t *testing.T) {
	p := curriculum.Default()
	dog := func(coat string, matting int, passed ...string) assessment.CutDog {
		return assessment.CutDog{Coat: coat, Matting: matting, Tested: true, Passed: passed}
	}
	for _, k := range []struct {
		name string
		dog  assessment.CutDog
		line assessment.CutLine
		want string // severities in order, and a part of the first sentence
	}{
		{"a plain body clip", combed("SI"), line("back", 0, "7F", with, ""), ""},
		{"skip-tooth on a sound back", combed("SI"), line("back", 0, "7", with, ""), ""},
		{"skip-tooth in the groin", combed("SI"), line("groin", 0, "7", with, ""), "Unsafe: #7 (skip-tooth) is unsafe"},
		{"skip-tooth on an ear", combed("SI"), line("ears", 0, "5", with, ""), "Unsafe: #5 (skip-tooth)"},
		{"7F in the groin", combed("SI"), line("groin", 0, "7F", with, ""), "Unsafe: #7F is unsafe"},
		{"7F at the flank", combed("SI"), line("tuck_up", 0, "7F", with, ""), "Unsafe: Here it is #10."},
		{"7F on an old dog's back", combed("SI"), on("thin", line("back", 0, "7F", with, "")), "Unsafe: the skin is thin, loose or old"},
		{"5F on an old dog's back", combed("SI"), on("thin", line("back", 0, "5F", with, "")), "Unsafe: #5F is unsafe"},
		{"a comb on an old dog's back", combed("SI"), on("thin", line("back", 600, "c6", with, "10")), ""},
		{"10 in the groin", combed("SI"), line("groin", 0, "10", reverse, ""), ""},
		{"15 in the groin", combed("SI"), line("groin", 0, "15", with, ""), "Not here: #15 is not used here. Take #10."},
		{"comb in the groin", combed("SI"), line("groin", 0, "c6", with, "10"), "Not here: combs are not used here. Take #10."},
		{"sanitary with the lie", combed("SI"), line("sanitary", 0, "10", with, ""), ""},
		{"sanitary against it", combed("SI"), line("sanitary", 0, "10", reverse, ""), "Not here: never against it"},
		{"face", combed("WO"), line("face", 0, "15", reverse, ""), ""},
		{"red face", combed("WO"), on("red", line("face", 0, "15", with, "")), "Unsafe: cool #10"},
		{"red face with a 10", combed("WO"), on("red", line("face", 0, "10", with, "")), ""},
		{"red face against the lie", combed("WO"), on("red", line("face", 0, "10", reverse, "")), "Unsafe: nothing runs against the lie"},
		{"sore skin", combed("WO"), on("broken", line("face", 0, "10", with, "")), "Unsafe: let a vet look at it first"},
		{"pads", combed("WO"), line("pads", 0, "30", with, ""), ""},
		{"pads with a trimmer blade", combed("WO"), line("pads", 0, "toe", with, ""), ""},
		{"trimmer blade on the back", combed("WO"), line("back", 0, "toe", with, ""), "Not here: too narrow"},
		{"40 anywhere", combed("WO"), line("back", 0, "40", with, ""), "Not here: #40 is not for apprentices"},

		{"comb over a 10", combed("SI"), line("legs", 1300, "c13", with, "10"), ""},
		{"comb over a 30", combed("SI"), line("legs", 1300, "c13", with, "30"), "Good to know: #30 is stamped 0.5 mm and #10 1.6 mm"},
		{"comb over a 15", combed("SI"), line("legs", 1300, "c13", with, "15"), "Good to know: Tug the comb"},
		{"comb over a 40", combed("SI"), line("legs", 1300, "c13", with, "40"), "Not here: #40 may not sit under the 13 mm comb. Take #30, #15 or #10."},
		{"comb over nothing", combed("SI"), line("legs", 1300, "c13", with, ""), "Not here: Choose #30, #15 or #10."},
		{"comb against the lie", combed("SI"), line("legs", 1300, "c13", reverse, "10"), "Not here: a comb goes with the lie"},
		{"blade over a blade", combed("SI"), line("legs", 0, "7F", with, "10"), "Not here: Leave the blade under it empty"},

		{"comb over a knotted coat", dog("WO", 3), line("back", 0, "c13", with, "10"), "Unsafe: the 13 mm comb catches and pulls the skin up"},
		{"5F over a knotted coat", dog("WO", 3), line("back", 0, "5F", with, ""), "Unsafe: #5F jams in it"},
		{"7F under knots", dog("WO", 3), line("back", 0, "7F", with, ""), "Not here: for experienced hands. Take #30, #15 or #10."},
		{"10 under knots", dog("WO", 3), line("back", 0, "10", with, ""), ""},
		{"comb where the comb test stopped", dog("WO", 1, "armpits", "between_toes", "behind_ears"), line("tail", 0, "c13", with, "10"), "Unsafe: the coat is knotted here"},
		{"comb where it passed, a few knots elsewhere", dog("WO", 1, "tail_base"), line("tail", 0, "c13", with, "10"), "Good to know: comb to the skin"},
		{"comb before any comb test", assessment.CutDog{Coat: "WO", Matting: -1}, line("back", 0, "c13", with, "10"), "Good to know: comb to the skin"},
		{"short blade before any comb test", assessment.CutDog{Coat: "WO", Matting: -1}, line("back", 0, "10", with, ""), ""},
		{"felted without consent", dog("WO", 4), line("back", 0, "10", with, ""), "Not here: the owner's written consent"},
		{"double coat without a wish", combed("DA"), line("back", 0, "7F", with, ""), "Not here: written wish"},
		{"double coat, its pads", combed("DA"), line("pads", 0, "30", with, ""), ""},
		{"trimmed double coat", combed("DB"), line("back", 0, "7F", with, ""), ""},

		{"nothing chosen", combed("SI"), line("back", 600, "", "", ""), "Not here: no blade or comb is chosen"},
		{"sore and left alone", combed("SI"), on("broken", line("back", 0, "", "", "")), ""},
		{"no direction", combed("SI"), line("back", 0, "7F", "", ""), "Not here: no direction"},
		{"no such tool", combed("SI"), line("back", 0, "11", with, ""), `Not here: no blade or comb "11"`},
		{"no such area", combed("SI"), line("wings", 0, "10", with, ""), `Not here: no area "wings"`},
		{"unsafe and too short as well", combed("SI"), on("thin", line("back", 1300, "7F", with, "")), "Unsafe, Misses the brief: #7F is unsafe"},
	} {
		var severities []string
		first := ""
		for i, f := range check(p, k.dog, k.line) {
			severities = append(severities, f.Severity.String())
			if i == 0 {
				first = f.Text
			}
			assert.Equal(t, k.line.Area, f.Area)
			assert.True(t, strings.HasSuffix(f.Text, "."), "a sentence: %s", f.Text)
			if a := p.Cutting.Area(f.Area); a != nil {
				assert.True(t, strings.HasPrefix(f.Text, a.Name+": "), "it says where: %s", f.Text)
			}
		}
		want, part, _ := strings.Cut(k.want, ": ")
		assert.Equal(t, want, strings.Join(severities, ", "), k.name)
		assert.Contains(t, first, part, k.name)
	}
}

// Consent and a written wish are of the whole plan, and lift what they are about.
func TestConsentAndWish(t *testing.T) {
	p := curriculum.Default()
	felted := assessment.CutDog{Coat: "DA", Matting: 4, Tested: true}
	for _, k := range []struct {
		consent, wish bool
		want          int
	}{{false, false, 2}, {true, false, 1}, {false, true, 1}, {true, true, 0}} {
		plan := assessment.CutPlan{Consent: k.consent, Wish: k.wish, Lines: []assessment.CutLine{line("back", 0, "10", with, "")}}
		assert.Len(t, assessment.CheckCutPlan(p, &plan, felted), k.want, "%+v", k)
	}
}

// A programme without a table is not judged by one.
func TestNoTable(t *testing.T) {
	p := *curriculum.Default()
	p.Cutting = nil
	assert.Empty(t, check(&p, combed("SI"), line("groin", 0, "7", with, "")))
	assert.Empty(t, assessment.Exercise(&p, 1))
	assert.Nil(t, assessment.ExerciseRule(&p))
	assert.Zero(t, (&assessment.ExerciseResult{}).Percent())
}

func TestCutWords(t *testing.T) {
	c := curriculum.Default().Cutting
	for want, cut := range map[string]assessment.Cut{
		"#7F with the lie": {Tool: "7F", Direction: with}, "#5F against the lie": {Tool: "5F", Direction: reverse}, "#10": {Tool: "10"},
		"13 mm comb over #10": {Tool: "c13", Direction: with, Under: "10"}, "13 mm comb over #10 against the lie": {Tool: "c13", Direction: reverse, Under: "10"},
		"13 mm comb with the lie": {Tool: "c13", Direction: with}, "x9 with the lie": {Tool: "x9", Direction: with},
	} {
		assert.Equal(t, want, assessment.CutWords(c, cut))
	}
}

func TestCutPlanWords(t *testing.T) {
	p := curriculum.Default()
	plan := &assessment.CutPlan{Lines: []assessment.CutLine{line("back", 1300, "7F", with, ""), line("groin", 0, "7", with, "10"), line("legs", 0, "c13", with, "30"), line("wings", 0, "", with, ""), on("broken", line("face", 0, "", "", ""))}}
	assert.Equal(t, []string{"Back and sides: #7F with the lie, agreed 13 mm (Misses the brief)", "Groin: #7 with the lie (Unsafe, Not here)", "Legs: 13 mm comb over #30", "wings: no blade or comb chosen (Not here)", "Face and muzzle: not clipped"},
		assessment.CutPlanWords(p, plan, combed("SI")))
	assert.Empty(t, assessment.CutPlanWords(p, &assessment.CutPlan{}, combed("SI")))
}

func ExampleCheckCutPlan() {
	plan := &assessment.CutPlan{Lines: []assessment.CutLine{
		{Area: "back", Agreed: 1300, Cut: assessment.Cut{Tool: "7F", Direction: curriculum.WithLie}},
		{Area: "armpits", Cut: assessment.Cut{Tool: "7", Direction: curriculum.WithLie}},
	}}
	dog := assessment.CutDog{Coat: "SI", Tested: true, Passed: []string{"armpits"}}
	for _, f := range assessment.CheckCutPlan(curriculum.Default(), plan, dog) {
		fmt.Printf("%s. %s\n", f.Severity, f.Text)
	}
	// Output:
	// Misses the brief. Back and sides: #7F with the lie leaves about 6.4 mm, but 13 mm was agreed, give or take 1. Take what leaves 12 to 14 mm, or agree another length with the owner.
	// Unsafe. Armpits: the skin here counts as thin, loose or old on every dog, and #7 (skip-tooth) is unsafe on it. Thin skin stands up between teeth that are set wide, and tears. Take a fine blade, or a comb that keeps the blade off it. Here it is #10.
}
