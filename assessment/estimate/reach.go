package estimate

import (
	"fmt"

	"tablehand/assessment/sequence"
)

// MixPoints is the number of fault rates that stand for all rates when the true
// one is not known.
const MixPoints = 400

// Reach is how many more observations a points rule takes from the present score
// on. The zero value never reaches anything.
//
// sequence.Rule gives the chance from 0 points for one number of observations.
// Here it is wanted from any score, for every number at once and averaged over
// fault rates; so the same small chain is run here, on the rule's own Step.
type Reach struct {
	within []float64 // by number of observations, from 0
}

// ReachKnown is the reach of a rule from a score at fault rate p, counted up to n
// observations. It is an error if the rule does not validate, if the score is
// below the rule's floor, if p is not a rate, or unless 0 ≤ n ≤ MaxWait.
func ReachKnown(rule sequence.Rule, score, n int, p float64) (Reach, error) {
	if err := checkReach(rule, score, n); err != nil {
		return Reach{}, err
	}
	if !isShare(p) {
		return Reach{}, fmt.Errorf("the share not clean is %v: choose a number from 0 to 1", p)
	}
	return reach(rule, score, n, []float64{p}), nil
}

// ReachUnknown is the reach of a rule from a score when the fault rate is only
// known as far as fault says: ReachKnown averaged over MixPoints mid-quantiles of
// fault. Errors as in ReachKnown.
func ReachUnknown(rule sequence.Rule, score, n int, fault Beta) (Reach, error) {
	if err := checkReach(rule, score, n); err != nil {
		return Reach{}, err
	}
	return reach(rule, score, n, fault.points(MixPoints)), nil
}

func checkReach(rule sequence.Rule, score, n int) error {
	if err := rule.Validate(); err != nil {
		return err
	}
	if score < rule.Floor {
		return fmt.Errorf("the score is %d: it cannot be below %d", score, rule.Floor)
	}
	if n < 0 || n > MaxWait {
		return fmt.Errorf("%d more observations are asked for: choose 0 to %d", n, MaxWait)
	}
	return nil
}

// reach averages over the rates, each with the same weight.
func reach(rule sequence.Rule, score, n int, rates []float64) Reach {
	within := make([]float64, n+1)
	if score >= rule.Threshold {
		for t := range within {
			within[t] = 1
		}
		return Reach{within}
	}
	states := rule.Threshold - rule.Floor // numbered from 0 at Floor
	after := make([]int, states)          // state after a fault; after a clean one it is the next
	for i := range after {
		after[i] = rule.Step(rule.Floor+i, false) - rule.Floor
	}
	from, to := make([]float64, states+1), make([]float64, states+1)
	for _, p := range rates {
		clear(from)
		from[score-rule.Floor] = 1
		done := 0.0
		for t := 1; t <= n; t++ {
			clear(to)
			for i, mass := range from[:states] {
				if mass > 0 {
					to[i+1] += mass * (1 - p)
					to[after[i]] += mass * p
				}
			}
			done += to[states]
			within[t] += done
			from, to = to, from
		}
	}
	for t := range within {
		within[t] = min(within[t]/float64(len(rates)), 1)
	}
	return Reach{within}
}

// Within is the chance, 0 to 1, that n more observations are enough. Beyond the
// number counted to, it is the chance at that number.
func (r Reach) Within(n int) float64 {
	if n < 0 || len(r.within) == 0 {
		return 0
	}
	return r.within[min(n, len(r.within)-1)]
}

// Quantile is the least number of observations that is enough with a chance of
// at least y. A chance that falls short by a relative 1e-12 counts as equal. It
// is an error if the number counted to is not enough.
func (r Reach) Quantile(y float64) (int, error) {
	y = clamp(y, 0, 1)
	for n, within := range r.within {
		if !short(within, y) {
			return n, nil
		}
	}
	return 0, fmt.Errorf("more than %d observations may be needed", max(0, len(r.within)-1))
}
