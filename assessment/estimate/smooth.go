package estimate

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

const (
	// SmoothWeight is the weight of the newest rating in Smoothed. The ratings
	// before it fade; together they count as (2-λ)/λ = 5.7 ratings.
	SmoothWeight = 0.3
	// MinSmoothed is the least number of ratings that Smoothed takes.
	MinSmoothed = 5
)

// EWMA returns the exponentially weighted moving average after each value:
// lambda × value + (1-lambda) × the average before, beginning with start. It is
// in the unit of the values and never outside their and start's range. It is an
// error unless 0 < lambda ≤ 1, or if a value is not a number that can be
// calculated with. No values give no averages.
func EWMA(values []float64, lambda, start float64) ([]float64, error) {
	if !(lambda > 0 && lambda <= 1) {
		return nil, fmt.Errorf("the weight of the newest value is %v: choose a number above 0 and at most 1, such as %v", lambda, SmoothWeight)
	}
	if err := checkRatings("start value", []float64{start}); err != nil {
		return nil, err
	}
	if err := checkRatings("value", values); err != nil {
		return nil, err
	}
	smooth := make([]float64, len(values))
	at := start
	for i, v := range values {
		next := lambda*v + (1-lambda)*at
		smooth[i] = clamp(next, min(v, at), max(v, at)) // rounding must not leave the range
		at = smooth[i]
	}
	return smooth, nil
}

// Smoothed is the smoothed line through ratings, oldest first: EWMA with
// SmoothWeight, beginning with the mean of the first three, so that one odd first
// rating does not pull the line. It is an error for fewer than MinSmoothed
// ratings, where the points themselves say all there is.
func Smoothed(ratings []float64) ([]float64, error) {
	if len(ratings) < MinSmoothed {
		return nil, fmt.Errorf("%s: a smoothed line needs at least %d", thereAre(len(ratings), "rating"), MinSmoothed)
	}
	if err := checkRatings("rating", ratings); err != nil {
		return nil, err
	}
	return EWMA(ratings, SmoothWeight, mean(ratings[:3]))
}

// Isotonic returns the non-decreasing sequence nearest to the values in squared
// distance (pool adjacent violators; Barlow et al. 1972), in their unit. It is the
// curve of somebody who never gets worse, so it hides relapse and decides nothing.
// It is an error if a value is not a number that can be calculated with. No values
// give no sequence.
func Isotonic(values []float64) ([]float64, error) {
	if err := checkRatings("value", values); err != nil {
		return nil, err
	}
	type block struct {
		sum  float64
		size int
	}
	level := func(b block) float64 { return b.sum / float64(b.size) }
	var blocks []block
	for _, v := range values {
		b := block{v, 1}
		for len(blocks) > 0 && level(blocks[len(blocks)-1]) >= level(b) {
			last := blocks[len(blocks)-1]
			blocks = blocks[:len(blocks)-1]
			b = block{last.sum + b.sum, last.size + b.size}
		}
		blocks = append(blocks, b)
	}
	fit := make([]float64, 0, len(values))
	for _, b := range blocks {
		for range b.size {
			fit = append(fit, level(b))
		}
	}
	return fit, nil
}

// RunningMedian returns the median of each window values in a row, oldest first:
// one for each of the newest len(values) - window + 1. It hides nothing but a
// single odd value, and needs at least a window of them. window is odd, 3 or
// more.
func RunningMedian(values []float64, window int) ([]float64, error) {
	if window < 3 || window%2 == 0 {
		return nil, fmt.Errorf("the window is %d: choose an odd number, 3 or more", window)
	}
	if len(values) < window {
		return nil, fmt.Errorf("%s so far, and it takes at least %d", countOf(len(values), "value"), window)
	}
	out := make([]float64, 0, len(values)-window+1)
	part := make([]float64, window)
	for i := window; i <= len(values); i++ {
		copy(part, values[i-window:i])
		slices.Sort(part)
		if math.IsNaN(part[0]) { // NaN sorts first
			return nil, errors.New("one of the values is not a number")
		}
		out = append(out, part[window/2])
	}
	return out, nil
}
