package sequence

import (
	"fmt"
	"math"
	"sort"
)

// Rule is the points rule of one skill. An apprentice starts at 0 points. A
// clean observation adds 1 point, any other takes Fault points away, but never
// below Floor. The apprentice is eligible on first reaching Threshold.
//
// It is a learning-curve CUSUM (Biau & Porcher 2010) in whole points (Reynolds
// & Stoumbos 1999) whose debt is capped below 0 rather than at 0, which equals
// a head start (Lucas & Crosier 1982): one early fault is remembered, many are
// forgiven.
type Rule struct {
	Fault     int // points lost by an observation that is not clean; 1 to MaxHorizon
	Floor     int // lowest possible score; -MaxHorizon to 0
	Threshold int // points that make eligible; 1 to Horizon
	Horizon   int // declared number of observations in the programme; 1 to MaxHorizon
}

// Validate returns nil if the rule can be used, and otherwise what is wrong
// with it and what would be right.
func (r Rule) Validate() error {
	if err := checkShape(r.Fault, r.Floor, r.Horizon); err != nil {
		return err
	}
	if r.Threshold < 1 || r.Threshold > r.Horizon {
		return fmt.Errorf("the points needed are %d: choose between 1 and the declared number of observations, %d", r.Threshold, r.Horizon)
	}
	return nil
}

func checkShape(fault, floor, horizon int) error {
	switch {
	case fault < 1 || fault > MaxHorizon:
		return fmt.Errorf("an observation that is not clean takes away %d points: choose between 1 and %d", fault, MaxHorizon)
	case floor > 0 || floor < -MaxHorizon:
		return fmt.Errorf("the lowest score is %d: choose between -%d and 0", floor, MaxHorizon)
	case horizon < 1 || horizon > MaxHorizon:
		return fmt.Errorf("the declared number of observations is %d: choose between 1 and %d", horizon, MaxHorizon)
	}
	return nil
}

// usable reports whether the score has a meaning. Unlike Validate it does not
// ask about Horizon, which only Operating reads.
func (r Rule) usable() bool {
	return checkShape(r.Fault, r.Floor, MaxHorizon) == nil && r.Threshold >= 1 && r.Threshold <= MaxHorizon
}

// Step returns the score in whole points after one more observation. It is not
// capped at Threshold: eligibility is a matter of the first time, the score
// goes on.
func (r Rule) Step(score int, clean bool) int {
	if clean {
		return score + 1
	}
	return max(score-r.Fault, r.Floor)
}

// ReachWithin is the chance, 0 to 1, of being eligible after at most n
// observations at fault rate p. It is 0 for n < Threshold. Horizon is not used.
func (r Rule) ReachWithin(n int, p float64) float64 {
	if !r.usable() || !isRate(p) {
		return math.NaN()
	}
	s := newPass(r)
	s.steady(-r.Floor, n, p)
	return s.done
}

// ReachWithinVarying is ReachWithin for a fault rate that changes: p(t) is the
// rate of observation t = 1, 2, … n. It returns NaN if any p(t) is not a rate.
func (r Rule) ReachWithinVarying(p func(t int) float64, n int) float64 {
	if !r.usable() {
		return math.NaN()
	}
	s := newPass(r)
	if !s.within(-r.Floor, n, p) {
		return math.NaN()
	}
	return s.done
}

// MeanWithin is the mean number of observations made at fault rate p when the
// programme ends at eligibility or after n observations, whichever is first:
// E[min(T, n)], 0 to n.
func (r Rule) MeanWithin(n int, p float64) float64 {
	if !r.usable() || !isRate(p) {
		return math.NaN()
	}
	s := newPass(r)
	s.steady(-r.Floor, n, p)
	return s.mean
}

// MeanUnlimited is the mean number of observations to eligibility at fault rate
// p if the programme had no end. It is +Inf at p = 1, and where the mean is
// beyond float64.
func (r Rule) MeanUnlimited(p float64) float64 { return r.MeanFrom(0, p) }

// Operating is what a rule does within its Horizon to the two apprentices it
// was designed for.
type Operating struct {
	FalseSignOff    float64 // chance (0 to 1) that an apprentice at p1 becomes eligible
	MeanCompetent   float64 // mean observations made by an apprentice at p0, eligible or not
	CompetentWithin float64 // chance (0 to 1) that an apprentice at p0 becomes eligible
	MeanUnlimited   float64 // mean observations to eligibility at p0 if the programme had no end
}

// Operating returns the operating characteristics of the rule at the acceptable
// fault rate p0 and the unacceptable fault rate p1.
func (r Rule) Operating(p0, p1 float64) Operating {
	return Operating{
		FalseSignOff:    r.ReachWithin(r.Horizon, p1),
		MeanCompetent:   r.MeanWithin(r.Horizon, p0),
		CompetentWithin: r.ReachWithin(r.Horizon, p0),
		MeanUnlimited:   r.MeanUnlimited(p0),
	}
}

// Threshold returns the least number of points h for which an apprentice at
// fault rate p1 becomes eligible within horizon observations with a chance of
// at most alpha. A chance above alpha by a relative 1e-12 counts as equal.
// It is an error if fault, floor or horizon are out of range (see Rule), if p1
// or alpha are not strictly between 0 and 1, or if horizon is so small that no
// rule at all keeps alpha.
func Threshold(fault, floor, horizon int, p1, alpha float64) (h int, err error) {
	if err := checkShape(fault, floor, horizon); err != nil {
		return 0, err
	}
	if err := checkAims(horizon, p1, alpha); err != nil {
		return 0, err
	}
	least := LeastObservations(p1, alpha)
	// A higher threshold is never reached sooner, so the chance falls with h.
	h = least + sort.Search(horizon-least, func(i int) bool {
		r := Rule{Fault: fault, Floor: floor, Threshold: least + i, Horizon: horizon}
		return atMost(r.ReachWithin(horizon, p1), alpha)
	})
	return h, nil
}

// checkAims returns why no rule at all keeps alpha within horizon observations.
func checkAims(horizon int, p1, alpha float64) error {
	if !isOpenRate(p1) {
		return fmt.Errorf("the unacceptable fault rate is %v: choose a number between 0 and 1, such as 0.20", p1)
	}
	if !isOpenRate(alpha) {
		return fmt.Errorf("the chance of a false sign-off is %v: choose a number between 0 and 1, such as 0.05", alpha)
	}
	if least := LeastObservations(p1, alpha); least > horizon {
		return fmt.Errorf("%d observations are too few: even if all of them are clean, at least %d are needed to keep false sign-off at a fault rate of %v within %v", horizon, least, p1, alpha)
	}
	return nil
}

// FaultFor returns the textbook number of points for a fault: the ratio of the
// log likelihood ratios of a not clean and a clean observation,
// ln(p1/p0) / ln((1-p0)/(1-p1)), rounded half away from zero and at least 1
// (Reynolds & Stoumbos 1999). It returns 0 unless 0 < p0 < p1 < 1. Rounding
// costs a little speed, never safety, because Threshold is found for the
// rounded number.
func FaultFor(p0, p1 float64) int {
	if !separated(p0, p1) {
		return 0
	}
	ratio := math.Log(p1/p0) / (math.Log1p(-p0) - math.Log1p(-p1))
	return int(max(1, math.Round(ratio)))
}
