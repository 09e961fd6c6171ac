package sequence

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// BayesStop signs off as soon as the fault rate is believed to be below P1 with
// more than Level, beginning from a Beta(A, B) belief and looking after every
// observation. The belief is true of apprentices drawn from that Beta. It is no
// promise about an apprentice at P1, who is signed off in the end: looking often
// enough always finds a good stretch. It is here to show by how much.
type BayesStop struct {
	A, B  float64 // prior faults and clean observations; 0.001 to 1e6
	P1    float64 // unacceptable fault rate; between 0 and 1
	Level float64 // belief that is enough; between 0 and 1
}

func (b BayesStop) usable() bool {
	return isBeta(b.A, b.B) && isOpenRate(b.P1) && isOpenRate(b.Level)
}

// Belief is the chance, 0 to 1, that the fault rate is below P1 after some
// faults among n observations: the regularised incomplete beta function. It is
// NaN unless 0 ≤ faults ≤ n.
func (b BayesStop) Belief(faults, n int) float64 {
	if !b.usable() || faults < 0 || faults > n {
		return math.NaN()
	}
	return mathext.RegIncBeta(b.A+float64(faults), b.B+float64(n-faults), b.P1)
}

// lines walk up with the observations: one more fault lowers the belief and one
// more clean observation raises it.
func (b BayesStop) lines() lines {
	few := -1
	return func(t int) (int, int) {
		for few < t && b.Belief(few+1, t) > b.Level {
			few++
		}
		return few, t + 1
	}
}

// Within is the chance, 0 to 1, of a sign-off within n observations at fault
// rate p.
func (b BayesStop) Within(n int, p float64) float64 {
	if !b.usable() || !isRate(p) {
		return math.NaN()
	}
	return tallyWithin(b.lines(), n, p).signed
}

// MeanWithin is the mean number of observations made at fault rate p when the
// programme ends after n at the latest: 0 to n.
func (b BayesStop) MeanWithin(n int, p float64) float64 {
	if !b.usable() || !isRate(p) {
		return math.NaN()
	}
	return tallyWithin(b.lines(), n, p).mean
}

// Mean is the mean number of observations to a sign-off at fault rate p if the
// programme had no end. It is +Inf for p above P1, and NaN for a p so near P1 that
// it takes too long to settle.
func (b BayesStop) Mean(p float64) float64 {
	if !b.usable() || !isRate(p) {
		return math.NaN()
	}
	if p > b.P1 {
		return math.Inf(1)
	}
	c := newTally(b.lines())
	if !c.settle(p) {
		return math.NaN()
	}
	return c.mean
}
