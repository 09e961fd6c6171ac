package estimate

import (
	"fmt"
	"sort"
)

// Calibration compares how sure somebody was with what happened. All figures
// are in squared shares except Overconfidence, a share from -1 to 1.
//
// Brier = Reliability - Resolution + Uncertainty (Murphy 1973). The parts come
// from the predictions that were made with exactly the same confidence; with a
// few fixed levels to choose from, the identity is exact.
type Calibration struct {
	Predictions    int
	Brier          float64 // mean squared distance of confidence from outcome; 0 is perfect
	Reliability    float64 // of that, from confidence that is not what happens at that confidence; less is better
	Resolution     float64 // how far the outcomes at each confidence are from the overall share; more is better
	Uncertainty    float64 // spread of the outcomes themselves: nobody can help it
	Overconfidence float64 // mean confidence less share of outcomes that came true
}

// Calibrate returns the calibration of predictions made with the given
// confidence, 0 to 1, that a thing will happen, and whether it did. It is an
// error if there are none, if the lists differ in length or if a confidence is
// not a share.
func Calibrate(confidence []float64, outcome []bool) (Calibration, error) {
	n := len(confidence)
	if n != len(outcome) {
		return Calibration{}, fmt.Errorf("there are %d predictions and %d outcomes: each prediction needs one", n, len(outcome))
	}
	if n == 0 {
		return Calibration{}, fmt.Errorf("there are no predictions: one is the least")
	}
	type level struct{ said, made, came float64 }
	levels := map[float64]level{}
	c := Calibration{Predictions: n}
	sure, came := 0.0, 0.0
	for i, f := range confidence {
		if !isShare(f) {
			return Calibration{}, fmt.Errorf("confidence %d is %v: it has to be from 0 to 1", i+1, f)
		}
		l := levels[f]
		l.said, l.made = f, l.made+1
		if outcome[i] {
			l.came++
			came++
		}
		levels[f] = l
		sure += f
	}
	size := float64(n)
	overall := came / size
	c.Uncertainty = overall * (1 - overall)
	c.Overconfidence = sure/size - overall
	for _, l := range sortedBy(levels) { // in order: floating-point sums depend on it
		came, missed := l.came, l.made-l.came
		c.Brier += (came*(1-l.said)*(1-l.said) + missed*l.said*l.said) / size
		c.Reliability += l.made * square(l.said-came/l.made) / size
		c.Resolution += l.made * square(came/l.made-overall) / size
	}
	return c, nil
}

func square(v float64) float64 { return v * v }

// sortedBy returns the values of a map in the order of its keys.
func sortedBy[V any](m map[float64]V) []V {
	keys := make([]float64, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Float64s(keys)
	values := make([]V, len(keys))
	for i, k := range keys {
		values[i] = m[k]
	}
	return values
}
