package estimate

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// leastWeight is the smallest parameter of a Beta distribution that is taken.
const leastWeight = 0.01

// Beta is what is known about a share: a Beta distribution. The zero value is
// Beta(1, 1), every share equally likely. It is for display and forecasts; it
// does not stop anything, because looking after every observation until it
// pleases is sure to please.
type Beta struct{ a, b float64 }

// NewBeta returns Beta(a, b). It is an error unless both are from 0.01 to
// 2 × MaxCount.
func NewBeta(a, b float64) (Beta, error) {
	for _, w := range []float64{a, b} {
		if !(w >= leastWeight && w <= 2*MaxCount) {
			return Beta{}, fmt.Errorf("the weights of what is known are %v and %v: each can be %v to %d", a, b, leastWeight, 2*MaxCount)
		}
	}
	return Beta{a, b}, nil
}

// After is what is known about the share after x of n further observations
// belonged to it: Beta(a+x, b+n-x), by conjugacy. It is an error unless
// 0 ≤ x ≤ n ≤ MaxCount and the sums stay in the range of NewBeta.
func (d Beta) After(x, n int) (Beta, error) {
	if err := checkCounts(x, n); err != nil {
		return Beta{}, err
	}
	d = d.orUniform()
	return NewBeta(d.a+float64(x), d.b+float64(n-x))
}

func (d Beta) orUniform() Beta {
	if d.a == 0 {
		return Beta{1, 1}
	}
	return d
}

// Mean is the mean share, a/(a+b). After x of n from Beta(1, 1) it is Laplace's
// (x+1)/(n+2).
func (d Beta) Mean() float64 {
	d = d.orUniform()
	return d.a / (d.a + d.b)
}

// Below is the chance, 0 to 1, that the share is less than cut.
func (d Beta) Below(cut float64) float64 {
	d = d.orUniform()
	return d.below(cut)
}

func (d Beta) below(cut float64) float64 {
	cut = clamp(cut, 0, 1)
	if cut == 0 || cut == 1 {
		return cut
	}
	return clamp(mathext.RegIncBeta(d.a, d.b, cut), 0, 1)
}

// Quantile is the share that the true one is below with chance y. Quantile(0.95)
// is the one-sided upper limit that holds with a chance of 95 in 100.
func (d Beta) Quantile(y float64) float64 {
	d = d.orUniform()
	return d.quantile(y, d.Mean())
}

// quantile solves below(x) = y by Newton's method, kept inside a shrinking
// bracket. from is a first guess.
func (d Beta) quantile(y, from float64) float64 {
	y = clamp(y, 0, 1)
	if y == 0 || y == 1 {
		return y
	}
	lbeta := mathext.Lbeta(d.a, d.b)
	lo, hi, x := 0.0, 1.0, from
	for range 500 {
		excess := d.below(x) - y
		switch {
		case excess == 0:
			return x
		case excess > 0:
			hi = x
		default:
			lo = x
		}
		density := math.Exp((d.a-1)*math.Log(x) + (d.b-1)*math.Log1p(-x) - lbeta)
		next := x - excess/density
		if !(next > lo && next < hi) {
			if next = (lo + hi) / 2; lo == 0 {
				next = hi / 16 // the share may be many powers of ten below 1
			}
		}
		if math.Abs(next-x) <= 1e-15*x || next <= lo || next >= hi {
			return next
		}
		x = next
	}
	return x
}

// points returns count shares that stand for the distribution with equal
// weight: its quantiles at (i+1/2)/count, in rising order.
func (d Beta) points(count int) []float64 {
	d = d.orUniform()
	shares := make([]float64, count)
	from := d.Mean()
	for i := range shares {
		from = d.quantile((float64(i)+0.5)/float64(count), clamp(from, 1e-300, 1-1e-16))
		shares[i] = from
	}
	return shares
}
