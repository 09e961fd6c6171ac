package agreement

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"tablehand/testdata"
)

// published reads the inputs of a reference case.
func published(t *testing.T, file, id string, inputs any) {
	t.Helper()
	data, err := testdata.Cases.ReadFile("cases/" + file)
	require.NoError(t, err)
	var cases []struct {
		ID     string
		Inputs json.RawMessage
	}
	require.NoError(t, json.Unmarshal(data, &cases))
	for _, c := range cases {
		if c.ID == id {
			require.NoError(t, json.Unmarshal(c.Inputs, inputs))
			return
		}
	}
	t.Fatal("the case is missing")
}

func decision(clean bool) Mark {
	if clean {
		return Mark{Decision: Clean, Score: NotRated()}
	}
	return Mark{Decision: NotClean, Score: NotRated()}
}

// by gives marks to assessors numbered from first, around a table of all of them.
func by(first, all int, marks ...Mark) Rated {
	out := map[string]Mark{}
	for i, m := range marks {
		out[fmt.Sprintf("assessor %02d", (first+i)%all)] = m
	}
	return Rated{Marks: out}
}

func scoring(row []float64) (out []Mark) {
	for _, v := range row {
		out = append(out, Mark{Score: v})
	}
	return out
}

// Fleiss 1971, Psychol Bull 76:378, 30 patients and 6 psychiatrists; kappa of each
// diagnosis against all others as printed there, from memory. Grooms with another
// number of decisions stand between them.
func TestGroupKappaOfFleiss(t *testing.T) {
	var in struct{ Counts [][]int }
	published(t, "fleiss_kappa.json", "fleiss-1971", &in)
	for diagnosis, want := range []float64{0.245, 0.245, 0.520, 0.471, 0.566} {
		var list []Rated
		for i, row := range in.Counts {
			var marks []Mark
			for j, n := range row {
				for range n {
					marks = append(marks, decision(j == diagnosis))
				}
			}
			list = append(list, by(i, 8, marks...), by(i, 8, decision(true)))
			if i%3 == 0 {
				list = append(list, by(i, 8, decision(true), decision(i%2 == 0), Mark{}))
			}
		}
		g := NewGroup(list).Kappa
		require.True(t, g.Figure.Shown, g.Figure.Sentence)
		assert.InDelta(t, want, g.Figure.Value.Value, 0.0005)
		assert.Equal(t, [2]int{30, 8}, [2]int{g.Grooms, g.Assessors})
		assert.Contains(t, g.Figure.Sentence, "30 grooms that exactly 6 of 8 assessors called clean or not clean (10 other grooms do not fit and are left out).")
	}
}

// Krippendorff 2011, example A, all its grooms twice: of 40 values 28 are 0, and 8
// grooms differ, so alpha is 1 − 39 × 8 / (28 × 12).
func TestGroupAlphaOfKrippendorff(t *testing.T) {
	var in struct{ Units [][]float64 }
	published(t, "krippendorff_alpha.json", "kripp-A", &in)
	list := []Rated{by(2, 3, decision(false)), by(1, 3, decision(false), Mark{})}
	for i := range 20 {
		u := in.Units[i%10]
		list = append(list, by(i, 2, decision(u[0] == 1), decision(u[1] == 1)))
	}
	a := NewGroup(list).Alpha
	require.True(t, a.Figure.Shown, a.Figure.Sentence)
	assert.InDelta(t, 1-39.0*8/(28*12), a.Figure.Value.Value, 1e-12)
	assert.Equal(t, [2]int{20, 2}, [2]int{a.Grooms, a.Assessors})
	assert.Contains(t, a.Figure.Sentence, "from 20 grooms that both assessors called")
	a = NewGroup(list[:len(list)-1]).Alpha
	assert.False(t, a.Figure.Shown)
	assert.Contains(t, a.Figure.Sentence, "20 grooms that two or more called clean or not clean; so far 19.")
}

var shroutFleiss = [][]float64{{9, 2, 5, 8}, {6, 1, 3, 2}, {8, 4, 6, 8}, {7, 1, 2, 6}, {10, 5, 6, 9}, {6, 2, 4, 7}}

// Data of Shrout & Fleiss 1979, each target five times. Expected: their formulas on
// exact mean squares in own Python, with F quantiles by bisection of a Simpson
// integral; the same gives their printed values on the data taken once.
func TestGroupShareOfTheSameAssessors(t *testing.T) {
	var list []Rated
	for range 5 {
		for _, row := range shroutFleiss {
			list = append(list, by(0, 4, scoring(row)...))
		}
	}
	for i := range 9 { // by some of them only
		list = append(list, by(i, 4, scoring([]float64{3, 4})...))
	}
	s := NewGroup(list).Share
	require.True(t, s.Figure.Shown, s.Figure.Sentence)
	assert.Equal(t, GroomShare, s.Figure.Figure)
	assert.InDelta(t, 0.2601957124, s.Figure.Value.Value, 1e-9)
	assert.InDelta(t, 0.0239669991, s.Figure.Range.Low, 1e-8)
	assert.InDelta(t, 0.5357006037, s.Figure.Range.High, 1e-8)
	assert.Equal(t, [2]int{30, 4}, [2]int{s.Grooms, s.Assessors})
	assert.Contains(t, s.Figure.Sentence, "30 grooms that the same 4 assessors scored (9 other grooms do not fit and are left out).")
	s = NewGroup(list[1:]).Share
	assert.False(t, s.Figure.Shown)
	assert.Contains(t, s.Figure.Sentence, "30 grooms marked by the same three assessors or more; so far 29.")
}

// The same nine times by four of twelve assessors in turn: ICC(1,1), expected by
// the same route.
func TestGroupShareOfChangingAssessors(t *testing.T) {
	var list []Rated
	for i := range 54 {
		list = append(list, by(i, 12, scoring(shroutFleiss[i%6])...))
	}
	s := NewGroup(list).Share
	require.True(t, s.Figure.Shown, s.Figure.Sentence)
	assert.Equal(t, GroomShareDrawn, s.Figure.Figure)
	assert.InDelta(t, 0.1157844116, s.Figure.Value.Value, 1e-9)
	assert.InDelta(t, 0.0009664527, s.Figure.Range.Low, 1e-8)
	assert.InDelta(t, 0.2635761970, s.Figure.Range.High, 1e-8)
	assert.Contains(t, s.Figure.Sentence, "54 grooms that exactly 4 of 12 assessors scored, not always the same, as if chance had chosen them.")
	s = NewGroup(list[:49]).Share
	assert.Contains(t, s.Figure.Sentence, "50 grooms marked by the same number of assessors; so far 49.")
}

// Three assessors in changing pairs are too few for a one-way range, so the figure
// waits for grooms that all three mark.
func TestFewChangingAssessorsGetNoShare(t *testing.T) {
	var list []Rated
	for i := range 90 {
		list = append(list, by(i, 3, scoring(shroutFleiss[i%6][:2])...))
	}
	list = append(list, by(0, 3, scoring([]float64{3, 4, 5})...))
	s := NewGroup(list).Share
	assert.Equal(t, GroomShare, s.Figure.Figure)
	assert.Equal(t, "Not shown yet: it takes 30 grooms marked by the same three assessors or more; so far 1. With fewer, the answer could be far off.", s.Figure.Sentence)
}

// coverage is the share of ICC(1,1) ranges that hold the truth when pairs drawn
// from so many assessors mark 50 grooms, and half of the error is theirs.
func coverage(all int) float64 {
	rng := rand.New(rand.NewPCG(1, uint64(all)))
	hits, runs := 0, 2000
	for range runs {
		strict := make([]float64, all)
		for i := range strict {
			strict[i] = rng.NormFloat64() * math.Sqrt(0.1)
		}
		x := grid(50, 2)
		for i := range x {
			groom := rng.NormFloat64() * math.Sqrt(0.8)
			for j, who := range rng.Perm(all)[:2] {
				x[i][j] = groom + strict[who] + rng.NormFloat64()*math.Sqrt(0.1)
			}
		}
		if r := NewICC(x).One.Range; r.Low <= 0.8 && r.High >= 0.8 {
			hits++
		}
	}
	return float64(hits) / float64(runs)
}

func TestOneWayNeedsManyAssessors(t *testing.T) {
	assert.InDelta(t, 0.73, coverage(3), 0.03)
	assert.InDelta(t, 0.89, coverage(10), 0.03)
}

// round is a provider's round: 20 apprentices with two grooms each that all of ten
// assessors marked.
func round() (list []Rated) {
	for p := range 20 {
		for g := range 2 {
			marks := make([]Mark, 10)
			for r := range marks {
				marks[r].Score = 3 + 0.2*float64(p%7) + 0.1*float64((3*p+2*g)%5) + 0.05*float64(r%4) + 0.02*float64((p*r+7*g)%6)
				marks[r].Decision = NotClean
				if marks[r].Score > 3.7 {
					marks[r].Decision = Clean
				}
			}
			one := by(0, 10, marks...)
			one.Apprentice = fmt.Sprintf("apprentice %02d", p)
			list = append(list, one)
		}
	}
	return list
}

// Around the round stand grooms that the study has no use for: older ones of an
// apprentice who has more, the only one of another, and those of a few assessors.
// Expected: components from differences of sums of squares.
func TestGroupStudy(t *testing.T) {
	list := round()
	x := make([][][]float64, 20)
	for i, g := range list {
		var row []float64
		for r := range 10 {
			row = append(row, g.Marks[fmt.Sprintf("assessor %02d", r)].Score)
		}
		x[i/2] = append(x[i/2], row)
	}
	odd := func(who string, row ...float64) Rated {
		g := by(0, 10, scoring(row)...)
		g.Apprentice = who
		return g
	}
	more := []Rated{odd("apprentice 03", 1, 5, 1, 5, 1, 5, 1, 5, 1, 5), odd("apprentice 20", 5, 1, 5, 1, 5, 1, 5, 1, 5, 1)}
	for i := range 100 {
		more = append(more, odd(fmt.Sprintf("apprentice %02d", i%30), 1, 5))
	}
	s := NewGroup(append(more, list...)).Study
	require.True(t, s.Figure.Shown, s.Figure.Sentence)

	T := sums(x, func(p, i, r int) [3]int { return [3]int{} })
	P := sums(x, func(p, i, r int) [3]int { return [3]int{p} })
	R := sums(x, func(p, i, r int) [3]int { return [3]int{0, 0, r} })
	PI := sums(x, func(p, i, r int) [3]int { return [3]int{p, i} })
	PR := sums(x, func(p, i, r int) [3]int { return [3]int{p, 0, r} })
	PIR := sums(x, func(p, i, r int) [3]int { return [3]int{p, i, r} })
	p, r, pr, ip, e := (P-T)/19, (R-T)/9, (PR-P-R+T)/(19*9), (PI-P)/20, (PIR-PI-PR+P)/(20*9)
	least := func(v float64) float64 { return max(0, v) }
	vp, vr, vpr, vip := (p-ip-pr+e)/20, least((r-pr)/40), least((pr-e)/2), least((ip-e)/10)
	assert.InDelta(t, vp/(vp+vr+vpr+vip+e), s.Figure.Value.Value, 1e-9)
	assert.Equal(t, [2]int{40, 10}, [2]int{s.Grooms, s.Assessors})
	ten := vp / (vp + vr/2 + vpr/2 + vip/10 + e/20)
	assert.Contains(t, s.Figure.Sentence, fmt.Sprintf("the same two, it would be about %.0f in 100.", 100*ten))
	assert.Contains(t, s.Figure.Sentence, "20 apprentices with 2 grooms each that the same 10 assessors scored (102 other grooms do not fit and are left out).")

	s = NewGroup(list[1:]).Study
	assert.False(t, s.Figure.Shown)
	assert.Equal(t, "Not shown yet: it takes 20 apprentices with two grooms each marked by the same ten assessors or more; so far 19. With fewer, how strict each assessor is cannot be told from chance.", s.Figure.Sentence)
}

// Enough grooms, and nothing to see in them.
func TestGroupWithoutDifferences(t *testing.T) {
	list := round()
	for _, g := range list {
		for who := range g.Marks {
			g.Marks[who] = Mark{Decision: NotClean, Score: 2}
		}
	}
	g := NewGroup(list)
	assert.Equal(t, whySame, g.Alpha.Figure.Sentence)
	assert.Equal(t, whyOneLevel, g.Kappa.Figure.Sentence)
	assert.Equal(t, whySame, g.Share.Figure.Sentence)
	assert.Equal(t, whyApprenticesAlike, g.Study.Figure.Sentence)
	for _, f := range g.All() {
		assert.False(t, f.Figure.Shown)
		honest(t, f.Figure.Title, f)
	}
	for _, f := range new(Group).All() {
		assert.False(t, f.Figure.Shown)
	}
}

func TestSameNumber(t *testing.T) {
	of := func(n int) marked { return marked{marks: make([]float64, n)} }
	equal, each := sameNumber([]marked{of(3), of(2), of(4), of(2), of(3)})
	assert.Equal(t, 3, each, "of two numbers equally common the larger")
	assert.Len(t, equal, 2)
	equal, each = sameNumber(nil)
	assert.Zero(t, each)
	assert.Empty(t, equal)
}

// genRated draws grooms that some of a few assessors marked.
func genRated(t *rapid.T, n int) (list []Rated) {
	all := rapid.IntRange(2, 12).Draw(t, "assessors")
	for range n {
		g := Rated{Apprentice: rapid.SampledFrom([]string{"p", "q", "r"}).Draw(t, "apprentice"), Marks: map[string]Mark{}}
		for i := range rapid.IntRange(0, all).Draw(t, "marks") {
			g.Marks[fmt.Sprint(i)] = Mark{Decision: Decision(rapid.IntRange(0, 2).Draw(t, "decision")), Score: awkward().Draw(t, "score")}
		}
		list = append(list, g)
	}
	return list
}

// What people are called changes no figure.
func TestGroupKnowsNobody(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list := append(genRated(t, rapid.IntRange(0, 40).Draw(t, "grooms")), round()...)
		var renamed []Rated
		for _, g := range list {
			turned := Rated{Apprentice: "x" + g.Apprentice, Marks: map[string]Mark{}}
			for who, m := range g.Marks {
				turned.Marks[who+" the second"] = m
			}
			renamed = append(renamed, turned)
		}
		a, b := NewGroup(list), NewGroup(renamed)
		assert.Equal(t, a, b)
	})
}
