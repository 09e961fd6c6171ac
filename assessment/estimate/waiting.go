package estimate

import (
	"fmt"
	"math"

	"tablehand/assessment/sequence"
)

// MaxWait is the largest number of observations that a forecast counts to.
const MaxWait = sequence.MaxHorizon

// Wait is the number of observations until a number of them, in total, were
// clean. The zero value is no wait at all: 0 observations.
//
// In both kinds the chance of n+1 follows from that of n by one multiplication,
// so everything is a sum of positive terms.
type Wait struct {
	needed int
	known  bool    // the share of clean observations is known:
	clean  float64 // this
	share  Beta    // otherwise it is distributed like this
}

// WaitKnown is the wait for needed clean observations when each is clean with
// chance clean, independently: a negative binomial distribution. It is an error
// unless needed is 0 to MaxWait and 0 < clean ≤ 1.
func WaitKnown(needed int, clean float64) (Wait, error) {
	if err := checkNeeded(needed); err != nil {
		return Wait{}, err
	}
	if !(clean > 0 && clean <= 1) {
		return Wait{}, fmt.Errorf("the share of clean observations is %v: if it is not above 0 and at most 1, the wait has no end", clean)
	}
	return Wait{needed: needed, known: true, clean: clean}, nil
}

// WaitUnknown is the wait for needed clean observations when the share of clean
// ones is only known as far as clean says: a beta-negative-binomial distribution.
// It is an error unless needed is 0 to MaxWait.
func WaitUnknown(needed int, clean Beta) (Wait, error) {
	if err := checkNeeded(needed); err != nil {
		return Wait{}, err
	}
	return Wait{needed: needed, share: clean.orUniform()}, nil
}

func checkNeeded(needed int) error {
	if needed < 0 || needed > MaxWait {
		return fmt.Errorf("%d clean observations are needed: choose 0 to %d", needed, MaxWait)
	}
	return nil
}

// Mean is the mean number of observations. With an unknown share it is
// needed × (a+b-1)/(a-1), and an error unless a > 1: the share may then be so
// near 0 that the mean has no end. It is an error if it is too large for float64.
func (w Wait) Mean() (float64, error) {
	needed, m := float64(w.needed), 0.0
	switch {
	case w.needed == 0:
		return 0, nil
	case w.known:
		m = needed / w.clean
	case w.share.a > 1:
		m = needed * (w.share.a + w.share.b - 1) / (w.share.a - 1)
	default:
		m = math.Inf(1)
	}
	return finite(m, "the mean number of observations has no end: too little is known against a share of clean ones near 0")
}

// Variance is the variance, in observations squared. With an unknown share it is
// an error unless a > 2; see Mean.
func (w Wait) Variance() (float64, error) {
	r, a, b, v := float64(w.needed), w.share.a, w.share.b, 0.0
	switch {
	case w.needed == 0:
		return 0, nil
	case w.known:
		v = r * (1 - w.clean) / (w.clean * w.clean)
	case a > 2:
		v = r * b * (a + r - 1) * (a + b - 1) / ((a - 2) * (a - 1) * (a - 1))
	default:
		v = math.Inf(1)
	}
	return finite(v, "the spread of the number of observations has no end: too little is known against a share of clean ones near 0")
}

func finite(v float64, otherwise string) (float64, error) {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, fmt.Errorf("%s", otherwise)
	}
	return v, nil
}

// first is the chance that the very first needed observations are all clean.
func (w Wait) first() float64 {
	if w.known {
		return math.Pow(w.clean, float64(w.needed))
	}
	p := 1.0
	for i := range w.needed {
		p *= (w.share.a + float64(i)) / (w.share.a + w.share.b + float64(i))
	}
	return p
}

// fault is the chance that observation n+1 is not clean when needed of the n
// before it were clean.
func (w Wait) fault(n int) float64 {
	if w.known {
		return 1 - w.clean
	}
	return (w.share.b + float64(n-w.needed)) / (w.share.a + w.share.b + float64(n))
}

// until goes through the chances of at most n observations, n = needed, …, as
// long as more says so, and returns the last n and its chance.
func (w Wait) until(more func(n int, within float64) bool) (int, float64) {
	if w.needed == 0 {
		return 0, 1
	}
	n, p := w.needed, w.first()
	within := p
	for more(n, within) {
		p *= float64(n) / float64(n-w.needed+1) * w.fault(n)
		within += p
		n++
	}
	return n, min(within, 1)
}

// Within is the chance, 0 to 1, that n observations are enough. It counts no
// further than MaxWait: for a larger n it is the chance at MaxWait.
func (w Wait) Within(n int) float64 {
	if n < w.needed {
		return 0
	}
	_, within := w.until(func(at int, _ float64) bool { return at < min(n, MaxWait) })
	return within
}

// Quantile is the least number of observations that is enough with a chance of
// at least y. A chance that falls short by a relative 1e-12 counts as equal. It
// is an error if MaxWait is not enough.
func (w Wait) Quantile(y float64) (int, error) {
	y = clamp(y, 0, 1)
	n, within := w.until(func(at int, within float64) bool { return short(within, y) && at < MaxWait })
	if short(within, y) {
		return 0, fmt.Errorf("more than %d observations may be needed", MaxWait)
	}
	return n, nil
}

// short reports whether the chance is less than y by more than arithmetic can
// have made it.
func short(chance, y float64) bool { return chance < y*(1-1e-12) }
