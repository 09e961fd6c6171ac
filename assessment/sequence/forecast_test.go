package sequence

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestForecastEdges(t *testing.T) {
	r := Rule{10, -10, 17, 60}
	f := r.Forecast(16, 3, 0.25)
	assert.Equal(t, Forecast{0, 0.75, 0.75, 0.75}, f)
	assert.Equal(t, 0.25, f.Never())
	assert.Equal(t, 0.75, f.Within(99))
	assert.True(t, math.IsNaN(f.Within(-1)))
	for _, c := range []struct {
		share float64
		n     int
		ok    bool
	}{{0, 0, true}, {0.5, 1, true}, {0.75, 1, true}, {0.76, 0, false}, {-1, 0, false}, {math.NaN(), 0, false}} {
		n, ok := f.Quantile(c.share)
		assert.Equal(t, c.n, n, "%v", c.share)
		assert.Equal(t, c.ok, ok, "%v", c.share)
	}
	assert.Equal(t, Forecast{0, 0.5}, r.Forecast(16, 1, 0.25, 0.75))
	assert.Equal(t, Forecast{1, 1}, r.Forecast(17, 1, 0.25), "eligible already")
	assert.Equal(t, 0.0, r.MeanFrom(17, 1))
	assert.Equal(t, 1.0, r.MeanFrom(16, 0))
	for _, empty := range []Forecast{
		r.Forecast(-11, 9, 0.1), r.Forecast(0, -1, 0.1), r.Forecast(0, MaxHorizon+1, 0.1), r.Forecast(0, 9),
		r.Forecast(0, 9, 0.1, math.NaN()), Rule{}.Forecast(0, 9, 0.1),
		CleanTotal{}.Forecast(9, 0.1), CleanTotal{3}.Forecast(-1, 0.1), CleanTotal{3}.Forecast(9, 2),
	} {
		assert.Nil(t, empty)
		assert.True(t, math.IsNaN(empty.Within(0)))
		assert.True(t, math.IsNaN(empty.Never()))
		_, ok := empty.Quantile(0)
		assert.False(t, ok)
	}
	assert.True(t, math.IsNaN(r.MeanFrom(-11, 0.1)))
	assert.True(t, math.IsNaN(CleanTotal{}.Mean(0.1)))
	assert.True(t, math.IsNaN(CleanTotal{3}.Variance(2)))
	assert.True(t, math.IsInf(CleanTotal{3}.Mean(1), 1))
	assert.True(t, math.IsInf(CleanTotal{3}.Variance(1), 1))
	assert.Equal(t, Forecast{0, 0, 0, 1, 1}, CleanTotal{3}.Forecast(4, 0))
	assert.Equal(t, Forecast{0, 0, 0, 0, 0}, CleanTotal{3}.Forecast(4, 1))
}

func TestBetaRates(t *testing.T) {
	assert.InDeltaSlice(t, []float64{0.125, 0.375, 0.625, 0.875}, BetaRates(1, 1, 4), 1e-14)
	// Beta(1, b) has a quantile in closed form.
	for i, rate := range BetaRates(1, 7, 50) {
		assert.InEpsilon(t, -math.Expm1(math.Log1p(-(float64(i)+0.5)/50)/7), rate, 1e-12)
	}
	for _, bad := range [][2]float64{{0, 1}, {1, -1}, {math.NaN(), 1}, {1, math.Inf(1)}} {
		assert.Nil(t, BetaRates(bad[0], bad[1], 4))
	}
	assert.Nil(t, BetaRates(1, 1, 0))
	assert.Nil(t, BetaRates(1, 1, MaxHorizon+1))
}

func TestForecastProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := genRule(t)
		n := rapid.IntRange(0, 80).Draw(t, "n")
		score := rapid.IntRange(r.Floor, r.Threshold-1).Draw(t, "score")
		p := rapid.Float64Range(0, 1).Draw(t, "p")
		worse := rapid.Float64Range(p, 1).Draw(t, "worse")
		f, bad, mixed := r.Forecast(score, n, p), r.Forecast(score, n, worse), r.Forecast(score, n, p, worse)
		assert.InDelta(t, r.ReachWithin(n, p), r.Forecast(0, n, p).Within(n), 1e-14)
		assert.Equal(t, r.MeanUnlimited(p), r.MeanFrom(0, p))
		assert.GreaterOrEqual(t, r.MeanFrom(r.Floor, p), r.MeanFrom(score, p))
		ahead := r.Forecast(score+1, n, p)
		mean := 0.0
		for i := range f {
			assert.GreaterOrEqual(t, f[i], bad[i]-1e-13)
			assert.GreaterOrEqual(t, ahead[i], f[i]-1e-13)
			assert.InDelta(t, (f[i]+bad[i])/2, mixed[i], 1e-13)
			if i > 0 {
				assert.GreaterOrEqual(t, f[i], f[i-1])
			}
			mean += 1 - f[i]
		}
		if p < 0.5 {
			assert.LessOrEqual(t, mean, r.MeanFrom(score, p)+1+f.Never()) // the part of the mean up to n
		}
		if q, ok := f.Quantile(0.5); ok {
			assert.GreaterOrEqual(t, f[q], 0.5-1e-12)
			assert.True(t, q == 0 || f[q-1] < 0.5)
		}
	})
}

// The mean, worked out from the distribution until nothing is left.
func TestForecastMean(t *testing.T) {
	r := Rule{10, -10, 17, 60}
	for _, score := range []int{-10, 0, 9} {
		mean := 0.0
		for _, within := range r.Forecast(score, MaxHorizon, 0.03) {
			mean += 1 - within
		}
		assert.InEpsilon(t, mean, r.MeanFrom(score, 0.03), 1e-11)
	}
	total := CleanTotal{12}
	mean := 0.0
	for _, within := range total.Forecast(MaxHorizon, 0.3) {
		mean += 1 - within
	}
	assert.InEpsilon(t, mean, total.Mean(0.3), 1e-12)
}

func TestCurve(t *testing.T) {
	r := Rule{10, -10, 17, 60}
	rates := []float64{0, 0.02, 0.2, 1, -1, math.NaN()}
	for i, got := range r.Curve(60, rates) {
		want := r.ReachWithin(60, rates[i])
		assert.True(t, got == want || math.IsNaN(got) && math.IsNaN(want), "%v: %v %v", rates[i], got, want)
	}
	assert.True(t, math.IsNaN(Rule{}.Curve(60, rates)[1]))
	assert.Empty(t, r.Curve(60, nil))
}
