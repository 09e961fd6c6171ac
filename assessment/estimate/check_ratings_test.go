package estimate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestBrierDirectly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 40).Draw(t, "n")
		conf := rapid.SliceOfN(rapid.SampledFrom([]float64{0, 0.1, 0.5, 0.9, 1}), n, n).Draw(t, "confidence")
		came := rapid.SliceOfN(rapid.Bool(), n, n).Draw(t, "outcome")
		c := must(Calibrate(conf, came))
		want, bias := 0.0, 0.0
		for i, f := range conf {
			o := map[bool]float64{true: 1}[came[i]]
			want += (f - o) * (f - o) / float64(n)
			bias += (f - o) / float64(n)
		}
		assert.InDelta(t, want, c.Brier, 1e-12)
		assert.InDelta(t, want, c.Reliability-c.Resolution+c.Uncertainty, 1e-12)
		assert.InDelta(t, bias, c.Overconfidence, 1e-12)
	})
}

func TestEWMAAsWeightedSum(t *testing.T) {
	x := []float64{3, 1, 4, 1, 5, 9}
	got := must(EWMA(x, 0.3, 2))
	for i := range x {
		want := 2 * math.Pow(0.7, float64(i+1))
		for j := 0; j <= i; j++ {
			want += 0.3 * math.Pow(0.7, float64(i-j)) * x[j]
		}
		assert.InDelta(t, want, got[i], 1e-12)
	}
	assert.Equal(t, must(EWMA(x, 0.3, 8.0/3)), must(Smoothed(x)))
	_, err := Smoothed(x[:4])
	assert.EqualError(t, err, "there are 4 ratings: a smoothed line needs at least 5")
}

// The fit at i is the largest, over starts up to i, of the smallest, over ends from
// i on, of the mean between them.
func TestIsotonicByMaxMin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := rapid.SliceOfN(rapid.Float64Range(-5, 5), 0, 9).Draw(t, "y")
		got := must(Isotonic(y))
		require.Len(t, got, len(y))
		for i := range y {
			best := math.Inf(-1)
			for j := 0; j <= i; j++ {
				least := math.Inf(1)
				for k := i; k < len(y); k++ {
					least = min(least, mean(y[j:k+1]))
				}
				best = max(best, least)
			}
			assert.InDelta(t, best, got[i], 1e-9)
		}
	})
}

// Residuals of a least-squares line add up to 0, alone and weighted by grade.
func TestBorderlineResiduals(t *testing.T) {
	grade, score := []float64{0, 1, 1, 2, 3, 3}, []float64{20, 44, 38, 61, 70, 92}
	l := must(BorderlineRegression(grade, score, 1))
	sum, weighted := 0.0, 0.0
	for i, g := range grade {
		r := score[i] - l.Intercept - l.Slope*g
		sum, weighted = sum+r, weighted+r*g
	}
	assert.InDelta(t, 0, sum, 1e-10)
	assert.InDelta(t, 0, weighted, 1e-10)
	assert.InDelta(t, l.Intercept+l.Slope, l.Line, 1e-12)
	assert.Equal(t, BorderlineScores{2, 41, 41}, must(BorderlineGroup(grade, score, 1)))
}

// With n judges the squared standard error is the mean squared difference between
// two judges, over twice n.
func TestAngoffByPairs(t *testing.T) {
	p := must(Angoff([][]float64{{60, 70}, {50, 40}, {80, 90}, {61, 62}}))
	pairs, sum := 0.0, 0.0
	for i, a := range p.Judges {
		for _, b := range p.Judges[:i] {
			pairs, sum = pairs+1, sum+(a-b)*(a-b)
		}
	}
	assert.InDelta(t, math.Sqrt(sum/pairs/2/4), p.SE, 1e-12)
	assert.InDelta(t, 64.125, p.Line, 1e-12)
}

// With two items the difference is the logarithm of a ratio of counts.
func TestRaschTwoItems(t *testing.T) {
	d := must(Rasch([][]int{{1, 0}, {0, 1}, {1, 1}, {0, 0}}, []int{30, 10, 7, 5}))
	assert.InDelta(t, math.Log(3), d.Difficulty[1]-d.Difficulty[0], 1e-8)
	assert.InDelta(t, 0.5*math.Sqrt(1.0/30+1.0/10), d.SE[0], 1e-8)
	assert.InDelta(t, 30*math.Log(0.75)+10*math.Log(0.25), d.LogLikelihood, 1e-9)
}

// The likelihood from listing every pattern with the same total; no small change
// of the difficulties makes it larger, and its curvature gives the standard errors.
func TestRaschByListing(t *testing.T) {
	patterns := [][]int{{1, 0, 0, 1}, {0, 1, 0, 0}, {0, 0, 1, 0}, {1, 1, 0, 0}, {0, 0, 1, 1}, {1, 0, 1, 1}, {0, 1, 1, 1}, {1, 1, 1, 1}}
	counts := []int{9, 4, 2, 11, 3, 6, 5, 8}
	likelihood := func(beta []float64) float64 {
		sum := 0.0
		for r, row := range patterns {
			weight, total := func(p []int) float64 {
				w := 0.0
				for i, v := range p {
					w -= beta[i] * float64(v)
				}
				return math.Exp(w)
			}, row[0]+row[1]+row[2]+row[3]
			all := 0.0
			for bits := range 16 {
				p := []int{bits & 1, bits >> 1 & 1, bits >> 2 & 1, bits >> 3 & 1}
				if p[0]+p[1]+p[2]+p[3] == total {
					all += weight(p)
				}
			}
			sum += float64(counts[r]) * math.Log(weight(row)/all)
		}
		return sum
	}
	d := must(Rasch(patterns, counts))
	assert.InDelta(t, likelihood(d.Difficulty), d.LogLikelihood, 1e-9)
	assert.InDelta(t, 0, d.Difficulty[0]+d.Difficulty[1]+d.Difficulty[2]+d.Difficulty[3], 1e-9)
	for i := range 4 {
		for _, h := range []float64{-1e-3, 1e-3} {
			moved := append([]float64(nil), d.Difficulty...)
			moved[i] += h
			assert.Less(t, likelihood(moved), d.LogLikelihood)
		}
	}
	_, err := Rasch([][]int{{1, 0, 0}, {1, 1, 0}}, []int{5, 5})
	assert.ErrorContains(t, err, "cannot be placed on one scale")
}
