// Package sequence is the points rule: how a row of clean and not clean
// observations of one skill makes an apprentice eligible for sign-off, and how
// often that happens to a competent and to an unacceptable apprentice. Beside it
// stand the rules it is compared with, the limits that no rule can beat, the
// forecast of what an apprentice still needs, and the search for rules that waste
// nothing.
//
// Every figure is an exact sum over a small Markov chain, in float64. Nothing
// is simulated and nothing is stored. Beyond the standard library only the
// incomplete beta function and its inverse are imported.
//
// Throughout, p is the fault rate: the chance, from 0 to 1, that one
// observation is not clean. p0 is a rate that is acceptable, p1 one that is
// not, and alpha the greatest tolerated chance that an apprentice at p1
// becomes eligible within the declared number of observations. n counts
// observations. A method given a rate outside 0 to 1, or called on a rule whose
// numbers make no sense, returns NaN. No result is rounded; unless a
// function says otherwise, relative error from arithmetic stays below 1e-11 for
// n up to MaxHorizon.
//
// The guarantee behind a rule is one-sided: changing a not clean observation
// into a clean one never delays eligibility. So if every observation is not
// clean with a chance of at least p1, whatever came before, the chance of
// eligibility within n is at most ReachWithin(n, p1). It holds while the rates
// change and depend on each other. It does not hold if easy dogs are chosen,
// help is passed over or the declared number is stretched.
package sequence

import "math"

// MaxHorizon is the largest number of observations, points or states that a
// rule may declare. It keeps every calculation well under a second, but for
// Frontier, which takes milliseconds at 60 and seconds at MaxHorizon.
const MaxHorizon = 1000

// isRate reports whether p is a probability; NaN is not.
func isRate(p float64) bool { return p >= 0 && p <= 1 }

// separated reports whether p0 and p1 are rates that observations can tell
// apart, in the right order.
func separated(p0, p1 float64) bool { return 0 < p0 && p0 < p1 && p1 < 1 }

// isOpenRate reports whether p lies strictly between 0 and 1.
func isOpenRate(p float64) bool { return 0 < p && p < 1 }

// atMost compares a computed probability with a limit typed as a decimal. A
// difference that only arithmetic can have made counts as equal.
func atMost(p, limit float64) bool { return p <= limit*(1+1e-12) }

// constant is the fault rate that never changes.
func constant(p float64) func(int) float64 { return func(int) float64 { return p } }

// FalseSignOffAttempts is an upper bound on the chance that an unacceptable
// apprentice becomes eligible in at least one of several programmes, each
// calibrated at alpha: min(1, attempts × alpha) (Boole's inequality, so the
// attempts need not be independent). No attempts give 0.
func FalseSignOffAttempts(alpha float64, attempts int) float64 {
	if !isRate(alpha) {
		return math.NaN()
	}
	return min(1, float64(max(0, attempts))*alpha)
}
