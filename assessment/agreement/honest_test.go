package agreement

import (
	"encoding/binary"
	"fmt"
	"math"
	"reflect"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// honest fails if any Number or Interval within v breaks its promise: OK and
// finite, or not OK, zero and with a reason.
func honest(t assert.TestingT, at string, v any) { walk(t, at, reflect.ValueOf(v)) }

func walk(t assert.TestingT, at string, v reflect.Value) {
	switch x := v.Interface().(type) {
	case Number:
		sound(t, at, x.OK, x.Why, x.Value)
		return
	case Interval:
		sound(t, at, x.OK, x.Why, x.Low, x.High)
		if x.Low > x.High {
			t.Errorf("%s: %v", at, x)
		}
		return
	case Shown:
		if x.Sentence == "" || x.Title == "" || x.Known == "" || x.Shown != (x.Value.OK || x.Range.OK) {
			t.Errorf("%s: %+v", at, x)
		}
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			walk(t, at+"."+v.Type().Field(i).Name, v.Field(i))
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			walk(t, fmt.Sprintf("%s[%d]", at, i), v.Index(i))
		}
	}
}

func sound(t assert.TestingT, at string, ok bool, why string, values ...float64) {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) || !ok && v != 0 {
			t.Errorf("%s: %v, OK %v", at, values, ok)
		}
	}
	if ok == (why != "") {
		t.Errorf("%s: OK %v, but why is %q", at, ok, why)
	}
}

// marks are everything that the figures can be asked about.
type marks struct {
	table, counts [][]int
	units         [][]float64
	cube          [][][]float64
	categories    []float64
	a, b          []float64
	top           int
	joint         []Joint
	together      []Rated
	weights       Weights
}

// everything calculates every figure and every sentence from the same marks.
func everything(m marks) (figures []any, sentences []string) {
	var out []any
	say := func(s string) { sentences = append(sentences, s) }
	var d Decisions
	if len(m.table) >= 2 && len(m.table[0]) >= 2 && len(m.table[1]) >= 2 {
		d = Decisions{m.table[0][0], m.table[0][1], m.table[1][0], m.table[1][1]}
	}
	out = append(out, d.Agreement(), d.CleanAgreement(), d.NotCleanAgreement(), d.StricterBy(), d.StricterChance(), d.Kappa(), d.AC1())
	say(SameLevelSentence(d.Agreement()))
	say(SameDecisionSentence(d.Agreement()))
	say(CleanAgreementSentence(d.CleanAgreement()))
	say(NotCleanAgreementSentence(d.NotCleanAgreement()))
	say(StricterSentence("Ana", "Bo", d))
	for _, w := range []Weights{Unweighted(len(m.table)), Linear(len(m.table)), Quadratic(len(m.table)), m.weights} {
		kappa, ac := CohenKappa(m.table, w), GwetTable(m.table, w)
		out = append(out, kappa, ac, Gwet(m.units, m.categories, w))
		say(BeyondLuckSentence(ac, d.NeitherClean))
		say(HarshBeyondLuckSentence(kappa))
		say(LinearLevelsSentence(kappa))
		say(QuadraticLevelsSentence(kappa))
	}
	k := len(m.categories)
	out = append(out, Gwet(m.units, m.categories, Quadratic(k)), FleissKappa(m.counts), FleissZ(m.counts), FleissKappaMissing(m.units, m.categories))
	say(GroupAgreementSentence(FleissKappa(m.counts)))
	for _, metric := range []Metric{Nominal, Ordinal, IntervalScale, RatioScale} {
		alpha := KrippendorffAlpha(m.units, metric)
		out = append(out, alpha)
		say(GroupAlphaSentence(alpha))
	}
	icc, diff, self, parts := NewICC(m.units), BlandAltman(m.a, m.b), SelfVsAssessor(m.a, m.b), Cronbach(m.units)
	out = append(out, icc, diff, self, parts)
	for _, f := range []Form{icc.One, icc.Two, icc.Three, icc.OneK, icc.TwoK, icc.ThreeK} {
		say(GroomShareSentence(f))
	}
	say(ScoreDifferenceSentence("Ana", "Bo", "levels", diff))
	say(ScoreLimitsSentence("Ana", "Bo", "levels", diff))
	say(SelfDifferenceSentence(self, "levels"))
	say(SelfLeaningSentence(self))
	say(CriteriaTogetherSentence(parts, "points"))
	pi, ip, pir, prt, ipr := GStudyPI(m.units), GStudyIinP(m.units), GStudyPIR(m.cube), GStudyPRT(m.cube), GStudyIinPR(m.cube)
	out = append(out, pi, ip, pir, prt, ipr)
	for _, p := range []Plan{pi.Plan(m.top), ip.Plan(m.top), pir.Plan(m.top, 2), prt.Plan(2, m.top), ipr.Plan(2, m.top)} {
		out = append(out, p)
		say(DependableSentence(p, "two tasks"))
	}
	pair := NewPair("Ana", "Bo", m.top, "levels", m.joint)
	out = append(out, pair)
	for _, s := range pair.All() {
		say(s.Sentence)
	}
	group := NewGroup(m.together)
	out = append(out, group)
	for _, f := range group.All() {
		say(f.Figure.Sentence)
	}
	return out, sentences
}

func checkEverything(t assert.TestingT, m marks) {
	figures, sentences := everything(m)
	for i, f := range figures {
		honest(t, fmt.Sprintf("%d %T", i, f), f)
	}
	for _, s := range sentences {
		if s == "" {
			t.Errorf("an empty sentence")
		}
		for _, bad := range []string{"NaN", "Inf", "%!", "-"} {
			assert.NotContains(t, s, bad)
		}
	}
}

// awkward draws from plain marks and from marks that cannot be right.
func awkward() *rapid.Generator[float64] {
	return rapid.OneOf(
		rapid.Map(rapid.IntRange(1, 5), func(i int) float64 { return float64(i) }),
		rapid.Map(rapid.IntRange(1, 5), func(i int) float64 { return float64(i) }),
		rapid.SampledFrom([]float64{0, 1, 0.1, 3, math.NaN(), math.Inf(1), -1, 1e100, 1e300, math.SmallestNonzeroFloat64, math.Copysign(0, -1)}),
	)
}

func genMarks(t *rapid.T) marks {
	mark := rapid.SampledFrom([]*rapid.Generator[float64]{
		rapid.Just(3.0),
		rapid.Map(rapid.IntRange(1, 5), func(i int) float64 { return float64(i) }),
		rapid.Float64Range(0, 5),
		rapid.Float64(),
		awkward(),
	}).Draw(t, "kind of mark")
	count := rapid.OneOf(rapid.IntRange(0, 3), rapid.IntRange(0, 3), rapid.IntRange(-1, math.MaxInt))
	row := func(n int, name string) []float64 { return rapid.SliceOfN(mark, n, n).Draw(t, name) }
	var m marks
	k := rapid.IntRange(0, 4).Draw(t, "k")
	for i := range k {
		m.table = append(m.table, rapid.SliceOfN(count, k, k).Draw(t, fmt.Sprint("table", i)))
	}
	rows, cols := rapid.IntRange(0, 6).Draw(t, "rows"), rapid.IntRange(0, 4).Draw(t, "cols")
	for i := range rows {
		n := cols
		if rapid.IntRange(0, 30).Draw(t, "ragged") == 0 {
			n++
		}
		m.units = append(m.units, row(n, "units"))
		m.counts = append(m.counts, rapid.SliceOfN(rapid.IntRange(0, 1+i%2), n, n).Draw(t, "counts"))
		m.cube = append(m.cube, [][]float64{row(n, "cube"), row(cols, "cube")})
	}
	m.categories = rapid.SampledFrom([][]float64{nil, {3}, {1, 2, 3, 4, 5}, {0, 1, 2, 3, 4, 5}, {2, 1}, {1, 1}, {math.NaN()}}).Draw(t, "categories")
	n := rapid.IntRange(0, 35).Draw(t, "n")
	m.a, m.b = row(n, "a"), row(n, "b")
	m.top = rapid.OneOf(rapid.IntRange(0, 6), rapid.Just(-3), rapid.Just(math.MaxInt)).Draw(t, "top")
	for i := range n {
		m.joint = append(m.joint, Joint{
			Mark{rapid.IntRange(-1, 6).Draw(t, "level"), Decision(rapid.IntRange(0, 3).Draw(t, "decision")), m.a[i]},
			Mark{rapid.IntRange(1, 5).Draw(t, "level"), Decision(rapid.IntRange(0, 2).Draw(t, "decision")), m.b[i]},
		})
	}
	m.together = genRated(t, n)
	if rapid.Bool().Draw(t, "a round") {
		m.together = append(m.together, round()...)
	}
	m.weights = Weights{{1, rapid.Float64().Draw(t, "w")}, {0.5, 1}}
	return m
}

func TestEverythingIsHonest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) { checkEverything(t, genMarks(t)) })
}

// FuzzEverything reads the marks from bytes: plain levels, or raw floats.
func FuzzEverything(f *testing.F) {
	f.Add([]byte{}, uint8(0))
	f.Add([]byte{1, 2, 3, 4, 5, 4, 3, 2, 1, 5, 5, 4, 3, 1, 1, 2, 3, 4}, uint8(0x13))
	f.Add([]byte{3, 3, 3, 3, 3, 3, 3, 3}, uint8(0x12))
	f.Add([]byte{0, 0, 0, 0, 0, 0, 0xf0, 0x7f, 1, 0, 0, 0, 0, 0, 0xf8, 0x7f}, uint8(0x81))
	f.Fuzz(func(t *testing.T, data []byte, shape uint8) {
		values := make([]float64, 0, len(data))
		if shape&0x80 != 0 {
			for ; len(data) >= 8; data = data[8:] {
				values = append(values, math.Float64frombits(binary.LittleEndian.Uint64(data)))
			}
		} else {
			for _, b := range data {
				values = append(values, float64(b%6))
			}
		}
		values = values[:min(len(values), 120)]
		m := marks{categories: []float64{0, 1, 2, 3, 4, 5}, top: 5, weights: Quadratic(6)}
		cols, half := int(shape&0x0f), len(values)/2
		m.a, m.b = values[:half], values[half:2*half]
		for i := range m.a {
			level := func(v float64) int { return int(min(9, max(0, v))) }
			m.joint = append(m.joint, Joint{
				Mark{level(m.a[i]), Decision(level(m.a[i]) % 3), m.a[i]}, Mark{level(m.b[i]), Decision(level(m.b[i]) % 3), m.b[i]},
			})
		}
		for i, v := range values {
			if i%4 == 0 {
				m.together = append(m.together, Rated{Marks: map[string]Mark{}})
			}
			m.together[i/4].Marks[string(rune('a'+(i+i/4)%(cols+2)))] = Mark{Decision: Decision(int(min(9, max(0, v))) % 3), Score: v}
		}
		for rest := values; cols > 0 && len(rest) >= cols; rest = rest[cols:] {
			m.units = append(m.units, rest[:cols])
			row := make([]int, cols)
			for j, v := range rest[:cols] {
				row[j] = int(min(1e9, max(-2, v)))
			}
			m.counts = append(m.counts, row)
			if len(m.units)%2 == 0 {
				m.cube = append(m.cube, m.units[len(m.units)-2:])
			}
		}
		m.table = m.counts[:min(len(m.counts), cols)]
		checkEverything(t, m)
	})
}

func TestTheZeroFigureIsNone(t *testing.T) {
	assert.False(t, Number{}.OK)
	assert.False(t, Interval{}.OK)
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		assert.Equal(t, none(whyTooLarge), number(v))
		assert.Equal(t, noInterval(whyTooLarge), interval(v, 1))
		assert.Equal(t, noInterval(whyTooLarge), interval(0, v).within(0, 1))
	}
	assert.Equal(t, noInterval(whyTooLarge), interval(2, 1))
}

// What is said when there is little or nothing to say.
func TestDegenerateMarks(t *testing.T) {
	same := [][]float64{{3, 3}, {3, 3}, {3, 3}}
	strict := [][]float64{{1, 2}, {2, 3}, {4, 5}}
	alike := [][]float64{{1, 2}, {2, 1}}
	for _, c := range []struct {
		name, want string
		got        Number
	}{
		{"no grooms", whyNothing, NewShare(0, 0).Value},
		{"more hits than grooms", whyBadCount, NewShare(2, 1).Value},
		{"nobody said not clean", whyNothing, Decisions{BothClean: 9}.NotCleanAgreement().Value},
		{"negative count", whyBadCount, Decisions{BothClean: -1}.StricterBy()},
		{"no decisions", whyNothing, Decisions{}.StricterChance()},
		{"kappa, all clean", whyOneLevel, Decisions{BothClean: 9}.Kappa().Value},
		{"kappa, ragged", whyNotTable, CohenKappa([][]int{{1, 2}, {3}}, Unweighted(2)).Value},
		{"kappa, other weights", whyBadWeights, CohenKappa([][]int{{1, 2}, {3, 4}}, Linear(3)).Value},
		{"kappa, exact", whyExact, CohenKappa([][]int{{3, 0}, {0, 4}}, Unweighted(2)).SE},
		{"kappa, huge", whyBadCount, CohenKappa([][]int{{math.MaxInt, 0}, {0, math.MaxInt}}, Unweighted(2)).Value},
		{"Fleiss, one assessor", whyNoPairs, FleissKappa([][]int{{1, 0}, {0, 1}}).Value},
		{"Fleiss, different numbers", whyNotTable, FleissKappa([][]int{{2, 0}, {0, 3}}).Value},
		{"Fleiss, one mark", whyOneLevel, FleissZ([][]int{{3, 0}, {3, 0}})},
		{"Fleiss, only gaps", whyNoPairs, FleissKappaMissing([][]float64{{1, NotRated()}}, []float64{1, 2}).Value},
		{"AC1, one possible mark", whyOneLevel, Gwet(same, []float64{3}, Unweighted(1)).Value},
		{"AC1, unlisted mark", whyBadMark, Gwet(same, []float64{1, 2}, Unweighted(2)).Value},
		{"AC2, full credit for anything", whyBadWeights, GwetTable([][]int{{1, 2}, {3, 4}}, Weights{{1, 1}, {1, 1}}).Value},
		{"AC1, weights of another shape", whyBadWeights, GwetTable([][]int{{1, 2}, {3, 4}}, Weights{{1, 1}, {1}}).Value},
		{"AC1, weights above 1", whyBadWeights, GwetTable([][]int{{1, 2}, {3, 4}}, Weights{{1, 2}, {0, 1}}).Value},
		{"kappa, too many grooms together", whyBadCount, CohenKappa([][]int{{maxCount, 1}, {0, 0}}, Unweighted(2)).Value},
		{"Fleiss, negative count", whyBadCount, FleissKappa([][]int{{-1, 3}}).Value},
		{"Fleiss, too many marks together", whyBadCount, FleissKappa([][]int{{maxCount, 3}}).Value},
		{"ICC, too large", whyTooLarge, NewICC([][]float64{{1, 2}, {3, 1e300}}).Two.Value},
		{"AC1, one groom", whyOnePair, Gwet([][]float64{{1, 2}}, []float64{1, 2}, Unweighted(2)).SE},
		{"alpha, all the same", whySame, KrippendorffAlpha(same, Ordinal)},
		{"alpha, no pairs", whyNoPairs, KrippendorffAlpha([][]float64{{1}, {2}}, Nominal)},
		{"alpha, below zero", whyBelowZero, KrippendorffAlpha([][]float64{{-1, 2}}, RatioScale)},
		{"ICC, one groom", whyTooFew, NewICC([][]float64{{1, 2}}).Two.Value},
		{"ICC, a gap", whyGaps, NewICC([][]float64{{1, 2}, {3, NotRated()}}).Two.Value},
		{"ICC, all the same", whySame, NewICC(same).Two.Value},
		{"ICC, grooms alike", whyGroomsAlike, NewICC(alike).OneK.Value},
		{"Bland–Altman, nothing", whyNothing, BlandAltman(nil, nil).Bias},
		{"Bland–Altman, one pair", whyOnePair, BlandAltman([]float64{1}, []float64{2}).SD},
		{"Bland–Altman, one list longer", whyNotTable, BlandAltman([]float64{1}, nil).Bias},
		{"Bland–Altman, same gap", whySameGap, BlandAltman([]float64{1, 2}, []float64{2, 3}).T},
		{"G study, no differences", whyApprenticesAlike, GStudyPI(alike).Plan(2).Dependability},
		{"G study, no marks planned", whyNoPlan, GStudyPI(strict).Plan(0).Dependability},
		{"Cronbach, rows alike", whyGroomsAlike, Cronbach(alike).Alpha},
		{"self, always the same mark", whySame, SelfVsAssessor([]float64{3, 3}, []float64{1, 2}).Correlation},
	} {
		assert.Equal(t, Number{Why: c.want}, c.got, c.name)
	}
	// Not degenerate: one pair tells a bias, agreement on everything is 1, and a
	// steady difference has no margin but forgives ICC(3,1).
	assert.Equal(t, number(-1), BlandAltman([]float64{1}, []float64{2}).Bias)
	assert.Equal(t, number(1), Decisions{BothClean: 9}.AC1().Value)
	assert.Equal(t, number(1), NewICC(strict).Three.Value)
	assert.Equal(t, noInterval(whyExact), NewICC(strict).Three.Range)
	assert.Equal(t, number(1), Decisions{BothClean: 9}.StricterChance())
}

// Rounding must not turn marks that fit exactly into marks that nearly do.
func TestRoundingIsNotScatter(t *testing.T) {
	d := BlandAltman([]float64{0.3, 0.4, 0.7}, []float64{0.1, 0.2, 0.5})
	assert.Equal(t, whySameGap, d.T.Why)
	assert.Equal(t, number(0), d.SD)
	same := [][]float64{{0.1, 0.1, 0.1}, {0.1, 0.1, 0.1}, {0.1, 0.1, 0.1}}
	assert.Equal(t, whySame, NewICC(same).One.Value.Why)
	fit := [][]float64{{0.1, 0.3, 0.6}, {0.2, 0.4, 0.7}, {0.7, 0.9, 1.2}}
	assert.Equal(t, whyExact, NewICC(fit).Three.Range.Why)
	assert.Equal(t, whySame, SelfVsAssessor([]float64{0.1, 0.1, 0.1}, []float64{1, 2, 3}).Correlation.Why)
}
