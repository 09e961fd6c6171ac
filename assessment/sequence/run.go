package sequence

import (
	"fmt"
	"math"
	"math/bits"
)

// RunWaiting is the rule "Clean clean observations in a row", which is the
// points rule whose every fault sends the score back to 0. It is here to show
// what such a rule lets through: without a declared end it lets everybody
// through.
type RunWaiting struct {
	Clean int // length of the run; 1 to MaxHorizon
}

// Validate returns nil if the length of the run is in range, and otherwise what
// is wrong.
func (w RunWaiting) Validate() error {
	if w.Clean < 1 || w.Clean > MaxHorizon {
		return fmt.Errorf("the run is %d clean observations long: choose between 1 and %d", w.Clean, MaxHorizon)
	}
	return nil
}

func (w RunWaiting) rule() Rule {
	return Rule{Fault: max(1, w.Clean), Floor: 0, Threshold: w.Clean}
}

// Within is the chance, 0 to 1, that the run is complete after at most n
// observations at fault rate p.
func (w RunWaiting) Within(n int, p float64) float64 { return w.rule().ReachWithin(n, p) }

// MeanWithin is the mean number of observations made at fault rate p when the
// programme ends after n at the latest: 0 to n.
func (w RunWaiting) MeanWithin(n int, p float64) float64 { return w.rule().MeanWithin(n, p) }

// Mean is the mean number of observations until the run is complete at fault
// rate p: (1-q^k) / (p q^k) with q = 1-p (Feller, Vol. I, XIII.7). It is k at
// p = 0 and +Inf at p = 1.
func (w RunWaiting) Mean(p float64) float64 { return w.rule().MeanUnlimited(p) }

// Variance is the variance, in observations squared, of the number of
// observations until the run is complete at fault rate p. It is 0 at p = 0 and
// +Inf at p = 1.
//
// It equals Feller's 1/(p q^k)² - (2k+1)/(p q^k) - q/p², but is added up run by
// run, because that formula loses its digits when p is small: a run of k is a
// run of k-1, one more observation and, if that is a fault, a fresh start.
func (w RunWaiting) Variance(p float64) float64 {
	if w.Validate() != nil || !isRate(p) {
		return math.NaN()
	}
	if p == 1 {
		return math.Inf(1)
	}
	mean, variance := 0.0, 0.0
	for range w.Clean {
		mean = (mean + 1) / (1 - p)
		variance = variance/(1-p) + p*mean*mean
	}
	return variance
}

// MaxWindow is the longest rolling window, in observations. The chain has
// 2^(length-1) states.
const MaxWindow = 16

// RollingWindow is the rule "at least Clean clean observations among the last
// Of", looked at after every observation from number Of on (Fu & Koutras 1994).
// Like RunWaiting it is here for comparison.
type RollingWindow struct {
	Clean int // clean observations needed; 1 to Of
	Of    int // length of the window in observations; 1 to MaxWindow
}

// Validate returns nil if both numbers are in range, and otherwise what is
// wrong.
func (w RollingWindow) Validate() error {
	if w.Of < 1 || w.Of > MaxWindow {
		return fmt.Errorf("the window is %d observations long: choose between 1 and %d", w.Of, MaxWindow)
	}
	if w.Clean < 1 || w.Clean > w.Of {
		return fmt.Errorf("%d clean observations are asked for in a window of %d: choose between 1 and %d", w.Clean, w.Of, w.Of)
	}
	return nil
}

// Within is the chance, 0 to 1, that some full window within the first n
// observations is good enough at fault rate p. It is 0 for n < Of.
func (w RollingWindow) Within(n int, p float64) float64 {
	if w.Validate() != nil || !isRate(p) {
		return math.NaN()
	}
	done, _ := w.chain(p).within(n-w.Of+1, constant(p))
	return done
}

// MeanWithin is the mean number of observations made at fault rate p when the
// programme ends after n at the latest: 0 to n.
func (w RollingWindow) MeanWithin(n int, p float64) float64 {
	if w.Validate() != nil || !isRate(p) {
		return math.NaN()
	}
	filling := w.Of - 1 // observations that no window can end at
	if n <= filling {
		return float64(max(0, n))
	}
	_, mean := w.chain(p).within(n-filling, constant(p))
	return float64(filling) + mean
}

// OneShot is the chance, 0 to 1, that the first Of observations are good
// enough at fault rate p: a binomial tail.
func (w RollingWindow) OneShot(p float64) float64 { return w.Within(w.Of, p) }

// chain starts after Of-1 observations, when no window is full yet. A state
// holds the last Of-1 observations as bits, newest lowest, 1 for clean.
func (w RollingWindow) chain(p float64) chain {
	states := 1 << (w.Of - 1)
	c := newChain(states)
	for i := range states {
		clean := bits.OnesCount(uint(i))
		c.start[i] = math.Pow(1-p, float64(clean)) * math.Pow(p, float64(w.Of-1-clean))
		c.clean[i], c.fault[i] = (i<<1|1)&(states-1), i<<1&(states-1)
		if clean+1 >= w.Clean {
			c.clean[i] = states
		}
		if clean >= w.Clean {
			c.fault[i] = states
		}
	}
	return c
}
