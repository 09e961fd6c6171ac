// Package estimate says how much is known from few observations: intervals for
// a share, forecasts of observations and weeks, calibration of self-ratings,
// smoothing of ratings, pass lines and item difficulties.
//
// Everything is a pure function of plain numbers: no clock, no chance, nothing
// stored. A share is a number from 0 to 1, "in 100" only in sentences. A
// confidence is strictly between 0 and 1. Weeks are real numbers, days and
// observations whole ones. No figure is rounded; only sentences round. Unless a
// function says otherwise, the absolute error from arithmetic stays below 1e-9
// for a share and below a relative 1e-8 for weeks.
//
// What cannot be said is said in one way: the function returns the zero value
// and an error in plain words, which tells what was found and what would do. A
// forecast, whose absence is as ordinary as its presence, carries the same words
// in WhyNot. No function returns NaN or infinity, whatever it is given. The
// methods of a distribution cannot fail once the distribution exists: an
// argument outside its range counts as the nearest value inside, and NaN as the
// lowest.
package estimate

import (
	"fmt"
	"math"
)

// MaxCount is the largest number of observations, ratings or performances that
// a function takes. It keeps every calculation fast and its error as stated.
const MaxCount = 10000

// maxRating bounds ratings, scores and grades in size, so that no sum or square
// overflows.
const maxRating = 1e12

func checkCounts(x, n int) error {
	if n < 0 || n > MaxCount {
		return fmt.Errorf("the number of observations is %d: it can be 0 to %d", n, MaxCount)
	}
	if x < 0 || x > n {
		return fmt.Errorf("%d of %d observations are counted: the count can be 0 to %d", x, n, n)
	}
	return nil
}

func checkConfidence(conf float64) error {
	if !isOpenShare(conf) {
		return fmt.Errorf("the confidence is %v: choose a number between 0 and 1, such as 0.95", conf)
	}
	return nil
}

// isShare reports whether v is a share; NaN is not.
func isShare(v float64) bool { return v >= 0 && v <= 1 }

// isOpenShare reports whether v lies strictly between 0 and 1.
func isOpenShare(v float64) bool { return 0 < v && v < 1 }

// checkRatings refuses numbers that cannot be calculated with, and lists that
// are too long.
func checkRatings(what string, values []float64) error {
	if len(values) > MaxCount {
		return fmt.Errorf("there are %d %ss: at most %d can be taken", len(values), what, MaxCount)
	}
	for i, v := range values {
		if !(math.Abs(v) <= maxRating) {
			return fmt.Errorf("%s %d is %v: it has to be a number of at most %g", what, i+1, v, maxRating)
		}
	}
	return nil
}

// clamp moves v into lo … hi; NaN becomes lo.
func clamp(v, lo, hi float64) float64 {
	if !(v > lo) {
		return lo
	}
	return min(v, hi)
}

// mean of at least one number.
func mean(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}
