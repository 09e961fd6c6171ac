package estimate

import (
	"encoding/binary"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"tablehand/assessment/sequence"
)

// finds returns where in a value a NaN or infinity hides, unexported fields
// included, or "".
func finds(v reflect.Value) string {
	switch v.Kind() {
	case reflect.Float64:
		if math.IsNaN(v.Float()) || math.IsInf(v.Float(), 0) {
			return fmt.Sprint(v.Float())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if at := finds(v.Field(i)); at != "" {
				return v.Type().Field(i).Name + " " + at
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			if at := finds(v.Index(i)); at != "" {
				return fmt.Sprintf("[%d] %s", i, at)
			}
		}
	}
	return ""
}

// honest checks the one way of saying that there is no figure.
func honest[T any](t require.TestingT, what string, v T, err error) {
	require.Empty(t, finds(reflect.ValueOf(v)), what)
	if err != nil {
		require.True(t, reflect.ValueOf(&v).Elem().IsZero(), "%s: %v beside %v", what, v, err)
		plain(t, err.Error())
	}
}

// plain checks that words are fit to be shown.
func plain(t require.TestingT, words string) {
	require.NotEmpty(t, words)
	for _, bad := range []string{"%!", "  ", "Inf is", ".."} {
		require.NotContains(t, words, bad)
	}
}

var oddFloats = []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, math.Copysign(0, -1), 1, -1, 0.5, 5e-324, 1 - 1e-16, 1e-300, 1e308, -1e308}

func odd() *rapid.Generator[float64] {
	return rapid.OneOf(rapid.SampledFrom(oddFloats), rapid.Float64Range(0, 1), rapid.Float64())
}

func oddInt() *rapid.Generator[int] {
	return rapid.OneOf(rapid.IntRange(-3, 40), rapid.SampledFrom([]int{math.MinInt, math.MaxInt, MaxCount, MaxCount + 1, MaxWait}))
}

func TestNothingIsUnexplained(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, n := oddInt().Draw(t, "x"), oddInt().Draw(t, "n")
		a, b, c := odd().Draw(t, "a"), odd().Draw(t, "b"), odd().Draw(t, "c")
		figuresAreHonest(t, x, n, a, b, c)
		values, more := rapid.SliceOfN(odd(), 0, 8).Draw(t, "values"), rapid.SliceOfN(odd(), 0, 8).Draw(t, "more")
		ratingsAreHonest(t, values, more, x, a, b)
	})
}

func figuresAreHonest(t require.TestingT, x, n int, a, b, c float64) {
	for name, f := range map[string]func(int, int, float64) (Interval, error){"Wilson": Wilson, "Exact": Exact, "Jeffreys": Jeffreys} {
		i, err := f(x, n, a)
		honest(t, name, i, err)
		if err == nil {
			require.True(t, 0 <= i.Low && i.Low <= i.High && i.High <= 1, "%s(%d, %d, %v) = %v", name, x, n, a, i)
			if n > 0 && a >= 0.5 { // Jeffreys' with less confidence may pass by the share seen
				share := float64(x) / float64(n)
				require.True(t, i.Low <= share+1e-12 && share-1e-12 <= i.High, "%s(%d, %d, %v) = %v", name, x, n, a, i)
			}
		}
	}
	upper, err := ExactUpper(x, n, a)
	honest(t, "ExactUpper", upper, err)
	upper, err = ZeroUpper(n, a)
	honest(t, "ZeroUpper", upper, err)
	upper, err = RuleOfThree(n)
	honest(t, "RuleOfThree", upper, err)
	least, err := ZeroFaultCount(a, b)
	honest(t, "ZeroFaultCount", least, err)
	d, err := NewBeta(a, b)
	honest(t, "NewBeta", d, err)
	after, err := d.After(x, n)
	honest(t, "After", after, err)
	for _, d := range []Beta{d, after} {
		for _, v := range []float64{d.Mean(), d.Below(c), d.Quantile(c)} {
			require.True(t, isShare(v), "%v at %v: %v", d, c, v)
		}
	}
	known, err := WaitKnown(x, a)
	honest(t, "WaitKnown", known, err)
	unknown, err := WaitUnknown(x, d)
	honest(t, "WaitUnknown", unknown, err)
	for _, w := range []Wait{known, unknown} {
		v, err := w.Mean()
		honest(t, "Mean", v, err)
		v, err = w.Variance()
		honest(t, "Variance", v, err)
		require.True(t, isShare(w.Within(n)))
		q, err := w.Quantile(c)
		honest(t, "Quantile", q, err)
	}
	pace, err := NewPace(x, b)
	honest(t, "NewPace", pace, err)
	require.True(t, isShare(pace.Within(n, a)))
	weeks, err := pace.Quantile(n, c)
	honest(t, "pace's Quantile", weeks, err)
	weeks, err = pace.Mean(n)
	honest(t, "pace's Mean", weeks, err)
	for _, words := range []string{NotCleanSentence(x, n), CleanSentence(x, n), BelowSentence(x, n, a), ZeroFaultSentence(a, b), SmoothedSentence(n), IsotonicSentence(max(0, n))} {
		plain(t, words)
	}
}

func ratingsAreHonest(t require.TestingT, values, more []float64, x int, a, b float64) {
	line, err := EWMA(values, a, b)
	honest(t, "EWMA", line, err)
	line, err = Smoothed(values)
	honest(t, "Smoothed", line, err)
	line, err = Isotonic(values)
	honest(t, "Isotonic", line, err)
	for i := 1; i < len(line); i++ {
		require.LessOrEqual(t, line[i-1], line[i])
	}
	came := make([]bool, len(more))
	for i := range came {
		came[i] = more[i] > 0.5
	}
	c, err := Calibrate(values, came)
	honest(t, "Calibrate", c, err)
	plain(t, CalibrationSentence(c))
	p, err := Angoff([][]float64{values, more})
	honest(t, "Angoff", p, err)
	plain(t, PassLineSentence(p))
	l, err := BorderlineRegression(values, more, a)
	honest(t, "BorderlineRegression", l, err)
	plain(t, BorderlineLineSentence(l))
	g, err := BorderlineGroup(values, more, a)
	honest(t, "BorderlineGroup", g, err)
	plain(t, BorderlineGroupSentence(g))
	for _, pair := range [][2][]float64{{values, more}} {
		rows, counts := [][]int{}, []int{}
		for i := range min(len(pair[0]), len(pair[1])) {
			rows = append(rows, []int{int(clamp(pair[0][i], -1, 2)), int(clamp(pair[1][i], 0, 1)), i % 2})
			counts = append(counts, max(x, i))
		}
		r, err := Rasch(rows, counts)
		honest(t, "Rasch", r, err)
		plain(t, DifficultySentence(r, x))
	}
}

// All tied, one only, none: what a figure is then.
func TestDegenerate(t *testing.T) {
	for _, f := range []func(int, int, float64) (Interval, error){Wilson, Exact, Jeffreys} {
		assert.Equal(t, Interval{0, 1}, must(f(0, 0, 0.95)), "nothing seen, nothing known")
		assert.Zero(t, must(f(0, 1, 0.95)).Low)
		assert.Equal(t, 1.0, must(f(1, 1, 0.95)).High)
	}
	assert.Equal(t, 1.0, must(ZeroUpper(0, 0.95)))
	assert.Equal(t, 1.0, must(RuleOfThree(0)))
	assert.Equal(t, []float64{2, 2, 2}, must(Isotonic([]float64{2, 2, 2})))
	assert.Equal(t, []float64{3, 3, 3, 3, 3}, must(Smoothed([]float64{3, 3, 3, 3, 3})))
	_, err := BorderlineRegression([]float64{1, 1}, []float64{40, 50}, 1)
	assert.EqualError(t, err, "all 2 performances have the same overall grade: a line needs at least two different ones")
	_, err = must(NewPace(0, 8)).Mean(3)
	assert.EqualError(t, err, "no observation was made in the past 8 weeks, so the mean number of weeks has no end")
	_, err = Pace{}.Quantile(1, 0.5)
	assert.Error(t, err)
	_, err = Reach{}.Quantile(0)
	assert.Error(t, err)
	_, err = must(WaitUnknown(3, Beta{})).Mean()
	assert.ErrorContains(t, err, "has no end")
	assert.Equal(t, 0, must(Wait{}.Quantile(1)))
}

func aRule() *rapid.Generator[sequence.Rule] {
	return rapid.Custom(func(t *rapid.T) sequence.Rule {
		return sequence.Rule{
			Fault: rapid.IntRange(0, 12).Draw(t, "fault"), Floor: rapid.IntRange(-12, 1).Draw(t, "floor"),
			Threshold: rapid.IntRange(0, 20).Draw(t, "threshold"), Horizon: rapid.IntRange(0, 40).Draw(t, "horizon"),
		}
	})
}

func TestForecastIsHonest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func() Skill {
			return Skill{
				Rule: aRule().Draw(t, "rule"), Score: rapid.IntRange(-13, 21).Draw(t, "score"), Used: rapid.IntRange(-1, 30).Draw(t, "used"),
				Recent:  rapid.SliceOfN(rapid.Bool(), 0, 40).Draw(t, "recent"),
				DaysAgo: rapid.SliceOfN(rapid.IntRange(-5, 120), 0, 30).Draw(t, "days ago"),
				Days:    rapid.IntRange(-1, 200).Draw(t, "days"), TargetDays: rapid.IntRange(-1, 100).Draw(t, "target"),
			}
		}
		forecastIsHonest(t, draw(), draw())
	})
}

func forecastIsHonest(t require.TestingT, skills ...Skill) {
	var all []SkillForecast
	for _, s := range skills {
		f := Forecast(s)
		all = append(all, f)
		require.Equal(t, f, Forecast(s), "the same twice")
		require.Empty(t, finds(reflect.ValueOf(f)))
		for _, words := range []string{ObservationsSentence(f), WeeksSentence(f), HalfwaySentence(f), TargetSentence(f)} {
			plain(t, words)
			require.Equal(t, f.WhyNot != "", strings.HasPrefix(words, "No forecast: "))
		}
		if f.WhyNot != "" {
			evidence := SkillForecast{WhyNot: f.WhyNot, Points: f.Points, Evidence: f.Evidence, Faults: f.Faults, PaceCount: f.PaceCount, PaceDays: f.PaceDays, TargetDays: f.TargetDays}
			require.Equal(t, evidence, f)
			continue
		}
		o, missing := f.Observations, s.Rule.Threshold-s.Score
		require.True(t, f.WithinRemaining >= MinWithin && f.WithinRemaining <= 1)
		require.True(t, missing <= o.Low && o.Low <= o.High && o.High <= f.Remaining, "%+v", f)
		require.True(t, missing <= f.Halfway && f.Halfway <= f.Remaining)
		require.True(t, 0 < f.Weeks.Low && f.Weeks.Low < f.Weeks.High && f.Weeks.High <= MaxWeeks, "%+v", f)
		require.True(t, f.ByTarget >= 0 && f.ByTarget <= f.WithinRemaining+1e-12)
	}
	p := ForecastProgramme(all, 30)
	require.Empty(t, finds(reflect.ValueOf(p)))
	plain(t, ProgrammeSentence(p))
	plain(t, ProgrammeTargetSentence(p))
	if p.WhyNot == "" {
		require.True(t, 0 < p.Weeks.Low && p.Weeks.Low < p.Weeks.High && p.Weeks.High <= MaxWeeks)
		require.LessOrEqual(t, p.ByTarget, p.WithinRemaining+1e-12)
	}
}

// A clean observation in place of one that is not never makes the chance smaller.
func TestForecastRewardsCleanWork(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seen := rapid.StringMatching(`[CN]{5,16}`).Draw(t, "seen")
		better := strings.Replace(seen, "N", "C", 1)
		score := rapid.IntRange(-10, 15).Draw(t, "score")
		f, g := Forecast(aSkill(seen, score)), Forecast(aSkill(better, score+1))
		if f.WhyNot == "" {
			assert.Empty(t, g.WhyNot)
			assert.GreaterOrEqual(t, g.WithinRemaining, f.WithinRemaining-1e-12)
			assert.GreaterOrEqual(t, g.ByTarget, f.ByTarget-1e-9)
		}
	})
}

func FuzzHonest(f *testing.F) {
	f.Add([]byte{})
	f.Add([]byte("CCCCCCCCCCCCNCCCCCCCCC and some more bytes to make numbers from"))
	for _, v := range oddFloats {
		b := binary.LittleEndian.AppendUint64(nil, math.Float64bits(v))
		f.Add(append(append(b, b...), b...))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		data = data[:min(len(data), 256)]
		small := func(i int) int {
			if i < len(data) {
				return int(int8(data[i]))
			}
			return 0
		}
		var values []float64
		for rest := data; len(rest) >= 8; rest = rest[8:] {
			values = append(values, math.Float64frombits(binary.LittleEndian.Uint64(rest)))
		}
		values = append(values, 0, 0.5, 0.95)
		figuresAreHonest(t, small(0), small(1), values[0], values[1], values[2])
		ratingsAreHonest(t, values[:len(values)/2], values[len(values)/2:], small(2), values[0], values[1])
		s := Skill{
			Rule:  sequence.Rule{Fault: small(3), Floor: -small(4), Threshold: small(5), Horizon: small(6)},
			Score: small(7), Used: small(8), Days: small(9), TargetDays: small(10),
		}
		for i := range data {
			s.Recent, s.DaysAgo = append(s.Recent, data[i]%8 != 7), append(s.DaysAgo, small(i))
		}
		forecastIsHonest(t, s, aSkill("CCCCCCCCCCCC", 12))
	})
}
