package agreement

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestSentences(t *testing.T) {
	var b strings.Builder
	say := func(what, sentence string) { fmt.Fprintf(&b, "%s: %s\n", what, sentence) }
	title := func(s string) { fmt.Fprintf(&b, "\n%s\n", s) }
	tellDecisions(say, title)
	tellScores(say, title)
	tellGroups(say, title)
	tellOwnMarks(say, title)
	tellMinimums(say, title)
	golden(t, "sentences", strings.TrimPrefix(b.String(), "\n"))
}

func tellDecisions(say func(what, sentence string), title func(string)) {
	title("Shares")
	for _, c := range [][2]int{{0, 0}, {0, 1}, {1, 1}, {5, 5}, {9, 10}, {0, 10}, {27, 30}, {45, 50}, {300, 300}, {5000, 10000}, {500_000, 1_000_000}, {600_001, 1_000_001}} {
		say(fmt.Sprintf("%d of %d decisions", c[0], c[1]), SameDecisionSentence(NewShare(c[0], c[1])))
	}
	say("9 of 10 levels", SameLevelSentence(NewShare(9, 10)))

	title("Decisions")
	for _, d := range []Decisions{
		{}, {BothClean: 12}, {NeitherClean: 3}, {17, 2, 1, 4}, {21, 6, 0, 3}, {40, 9, 6, 45}, {98, 1, 1, 0}, {5, 3, 3, 1}, {50, 0, 14, 6}, {0, 1, 0, 0}, {30, 4, 3, 1}, {29, 1, 0, 0}, {30, 0, 0, 2},
	} {
		at := fmt.Sprint(d)
		say(at+" clean", CleanAgreementSentence(d.CleanAgreement()))
		say(at+" not clean", NotCleanAgreementSentence(d.NotCleanAgreement()))
		say(at+" stricter", StricterSentence("Ana", "Bo", d))
		say(at+" beyond luck", BeyondLuckSentence(d.AC1(), d.NeitherClean+d.Disagreements()))
		say(at+" harsher", HarshBeyondLuckSentence(d.Kappa()))
	}

	title("Levels")
	levels := [][]int{{1, 2, 0, 0, 0}, {2, 0, 4, 1, 0}, {3, 0, 2, 4, 0}, {0, 0, 6, 0, 1}, {0, 0, 1, 0, 3}}
	say("linear", LinearLevelsSentence(CohenKappa(levels, Linear(5))))
	say("quadratic", QuadraticLevelsSentence(CohenKappa(levels, Quadratic(5))))
	say("one level only", QuadraticLevelsSentence(CohenKappa([][]int{{7, 0}, {0, 0}}, Quadratic(2))))
}

func tellScores(say func(what, sentence string), title func(string)) {
	title("Scores")
	a := []float64{3.9, 4.1, 3.2, 4.6, 4.0, 2.9, 3.8, 4.4, 4.2, 3.6}
	lower := []float64{3.7, 3.9, 3.1, 4.2, 3.9, 2.5, 3.8, 4.1, 4.0, 3.3}
	mixed := []float64{4.0, 3.9, 3.4, 4.2, 4.3, 2.7, 4.0, 4.1, 4.4, 3.5}
	for _, c := range []struct {
		name string
		b    []float64
	}{{"B lower", lower}, {"B either way", mixed}, {"B the same", a}} {
		say(c.name, ScoreDifferenceSentence("Ana", "Bo", "levels", BlandAltman(a, c.b)))
		say(c.name+", limits", ScoreLimitsSentence("Ana", "Bo", "levels", BlandAltman(a, c.b)))
		say(c.name+", turned", ScoreDifferenceSentence("Bo", "Ana", "levels", BlandAltman(c.b, a)))
	}
	say("one pair", ScoreDifferenceSentence("Ana", "Bo", "levels", BlandAltman(a[:1], lower[:1])))
	say("one pair, limits", ScoreLimitsSentence("Ana", "Bo", "levels", BlandAltman(a[:1], lower[:1])))
	say("none", ScoreDifferenceSentence("Ana", "Bo", "levels", BlandAltman(nil, nil)))
}

func tellGroups(say func(what, sentence string), title func(string)) {
	title("Groups")
	units := [][]float64{{9, 2, 5, 8}, {6, 1, 3, 2}, {8, 4, 6, 8}, {7, 1, 2, 6}, {10, 5, 6, 9}, {6, 2, 4, 7}}
	counts := [][]int{{0, 0, 3}, {0, 2, 1}, {3, 0, 0}, {1, 1, 1}, {0, 3, 0}, {2, 1, 0}}
	say("Fleiss", GroupAgreementSentence(FleissKappa(counts)))
	say("alpha", GroupAlphaSentence(KrippendorffAlpha(units, IntervalScale)))
	say("alpha, all the same", GroupAlphaSentence(KrippendorffAlpha([][]float64{{3, 3}, {3, 3}}, Ordinal)))
	say("ICC(2,1)", GroomShareSentence(NewICC(units).Two))
	say("ICC(2,1), exact", GroomShareSentence(NewICC([][]float64{{1, 1}, {2, 2}, {4, 4}}).Two))
	say("ICC below zero", GroomShareSentence(NewICC([][]float64{{1, 5}, {4, 2}, {3, 3.5}}).Two))
	say("Cronbach", CriteriaTogetherSentence(Cronbach(units), "points"))
	say("Cronbach below zero", CriteriaTogetherSentence(Cronbach([][]float64{{1, 5}, {4, 2}, {3, 3.5}}), "points"))
	say("plan", DependableSentence(GStudyPI(units).Plan(2), "two assessors"))
	say("plan, nothing to tell apart", DependableSentence(GStudyPI([][]float64{{1, 2}, {2, 1}}).Plan(2), "two assessors"))

	title("All together")
	all := func(name string, list []Rated) {
		g := NewGroup(list)
		for _, f := range g.All() {
			say(name+", "+f.Figure.Known, f.Figure.Sentence)
		}
	}
	all("a round", round())
	var salon, many []Rated
	for i, g := range round() {
		marks := func(all, n int) (out []Mark) {
			for j := range n {
				out = append(out, g.Marks[fmt.Sprintf("assessor %02d", (i+j)%all)])
			}
			return out
		}
		salon = append(salon, by(i, 3, marks(3, 2+i%5/4)...))
		many = append(many, by(i, 12, marks(10, 2)...), by(i+1, 12, marks(10, 2)...))
	}
	all("three in pairs", salon)
	all("a few", salon[:7])
	all("twelve in pairs", many)
}

func tellOwnMarks(say func(what, sentence string), title func(string)) {
	title("Own marks")
	assessor := []float64{3, 4, 3, 4, 2, 3, 4, 4, 3, 5, 3, 4, 3, 3, 4, 2}
	higher := []float64{4, 4, 4, 5, 3, 4, 4, 5, 4, 5, 4, 4, 4, 4, 5, 3}
	for _, c := range []struct {
		name           string
		self, assessor []float64
	}{
		{"higher", higher, assessor}, {"lower", assessor, higher}, {"higher, but few", higher[:10], assessor[:10]},
		{"either way", append([]float64{2, 5, 2}, assessor[3:]...), assessor},
		{"alike", assessor, assessor}, {"one", higher[:1], assessor[:1]}, {"none", nil, nil},
	} {
		s := SelfVsAssessor(c.self, c.assessor)
		say(c.name, SelfDifferenceSentence(s, "levels"))
		say(c.name+", a word", SelfLeaningSentence(s))
	}
}

func tellMinimums(say func(what, sentence string), title func(string)) {
	title("Not enough")
	for f := range figures {
		_, instead := Enough(f, Seen{})
		say(minimums[f].Title, instead)
	}
	_, instead := Enough(HarshBeyondLuck, Seen{Grooms: 40, SomeNotClean: 2})
	say("only faults are short", instead)

	title("Ranges")
	say("note", RangeNote)
}

// The example that everything here is about.
func TestNineOfTen(t *testing.T) {
	assert.Equal(t, "9 of 10 agreed; with so few, the true share could be anywhere from 60 to 98 in 100.",
		SameDecisionSentence(Decisions{BothClean: 7, OnlyAClean: 1, NeitherClean: 2}.Agreement()))
}

// Rounding never says all or none of what is not quite that.
func TestInHundred(t *testing.T) {
	for v, want := range map[float64]int{0: 0, 1e-9: 1, 0.004: 1, 0.005: 1, 0.014: 1, 0.015: 2, 0.5: 50, 0.994: 99, 0.999: 99, 1: 100} {
		assert.Equal(t, want, inHundred(v), "%v", v)
	}
	assert.Equal(t, "99", bareScale(0.999))
	assert.Equal(t, "−5", bareScale(-0.05))
	assert.Equal(t, "0", bareScale(-0.001))
	assert.Equal(t, "0", onScale(0))
	assert.Equal(t, "0", onScale(-0.001))
	assert.Equal(t, "100", onScale(1))
}

// A sentence about plain marks never blames their size, holds no word that only a
// statistician knows, and ends like a sentence.
func TestSentencesArePlain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := genMarks(t)
		n := rapid.IntRange(0, 12).Draw(t, "rows")
		m.table, m.weights = nil, Linear(2)
		if n > 0 {
			m.table = genTable(t, 2)
		}
		m.units = genGrid(t, n, rapid.IntRange(1, 4).Draw(t, "cols"))
		m.cube = [][][]float64{genGrid(t, 2, 2), genGrid(t, 2, 2)}
		x := genGrid(t, 2, n)
		m.a, m.b, m.top = x[0], x[1], 5
		m.joint = season(n * 4)
		m.together = round()[n:]
		figures, sentences := everything(m)
		if strings.Contains(fmt.Sprintf("%+v", figures), whyTooLarge) {
			t.Fatalf("plain marks are said to be too large: %v", m)
		}
		for _, s := range sentences {
			assert.NotEqual(t, whyTooLarge, s)
			assert.Regexp(t, `^[A-Z0-9].*\.$`, s)
			for _, word := range []string{
				"kappa", "alpha", "interval", "confidence", "variance", "deviation", "correlation", "significan",
				"probab", "coefficient", "bias", "null", "%", "sample", "statistic",
			} {
				assert.NotContains(t, strings.ToLower(s), word)
			}
		}
	})
}
