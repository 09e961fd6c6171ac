package estimate

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"tablehand/assessment/sequence"
)

// must unwraps a figure that has to exist.
func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// Package sequence looks ahead as well, in another way. The reference cases hold
// one of the two; the other has to say the same.
func TestSameForecastsAsSequence(t *testing.T) {
	for _, rule := range []sequence.Rule{{Fault: 11, Floor: -11, Threshold: 17, Horizon: 60}, {Fault: 5, Floor: 0, Threshold: 27, Horizon: 60}} {
		for _, score := range []int{0, 4, rule.Threshold} {
			for _, p := range []float64{0, 0.05, 0.3} {
				ours, other := must(ReachKnown(rule, score, 200, p)), rule.Forecast(score, 200, p)
				for n := range 201 {
					assert.InDelta(t, other.Within(n), ours.Within(n), 1e-12, "%+v from %d at %v within %d", rule, score, p, n)
				}
			}
			d := must(NewBeta(1.5, 12.5))
			ours, other := must(ReachUnknown(rule, score, 60, d)), rule.Forecast(score, 60, sequence.BetaRates(1.5, 12.5, MixPoints)...)
			for n := range 61 {
				assert.InDelta(t, other.Within(n), ours.Within(n), 1e-9, "%+v from %d within %d", rule, score, n)
			}
		}
	}
	for _, needed := range []int{1, 5, 30} {
		for _, clean := range []float64{0.3, 0.9, 1} {
			ours, other := must(WaitKnown(needed, clean)), sequence.CleanTotal{Clean: needed}
			assert.InEpsilon(t, other.Mean(1-clean), must(ours.Mean()), 1e-12)
			assert.InDelta(t, other.Variance(1-clean), must(ours.Variance()), 1e-9)
			for n, within := range other.Forecast(200, 1-clean) {
				assert.InDelta(t, within, ours.Within(n), 1e-12, "%d at %v within %d", needed, clean, n)
			}
		}
	}
}
