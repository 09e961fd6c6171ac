package sequence

import "math"

// KieferWeiss is the test that makes the mean number of observations at a fault
// rate P between the two hypotheses, plus what its errors cost, as small as any
// test within Horizon observations can (Kiefer & Weiss 1957; for Bernoulli
// observations Novikov, Novikov & Farkhshatov 2021). The SPRT is best at P0 and
// P1; this one shows what it wastes on everybody in between.
type KieferWeiss struct {
	P0, P1  float64 // acceptable and unacceptable fault rate; 0 < P0 < P1 < 1
	P       float64 // fault rate at which observations are counted; P0 to P1
	Missed  float64 // price, in observations, of ending without sign-off at P0; above 0
	Falsely float64 // price, in observations, of a sign-off at P1; above 0
	Horizon int     // observations after which the test decides; 1 to MaxHorizon
}

func (k KieferWeiss) usable() bool {
	return separated(k.P0, k.P1) && k.P0 <= k.P && k.P <= k.P1 && k.Missed > 0 && k.Falsely > 0 &&
		k.Missed <= 1e12 && k.Falsely <= 1e12 && k.Horizon >= 1 && k.Horizon <= MaxHorizon
}

// Operating returns the chance that the test ends without sign-off at P0, the
// chance that it signs off at P1 (both 0 to 1) and the mean number of
// observations at P. All are NaN if a number is out of range.
func (k KieferWeiss) Operating() (missed, falsely, mean float64) {
	if !k.usable() {
		return math.NaN(), math.NaN(), math.NaN()
	}
	signOff, reject := k.best()
	plan := func(t int) (int, int) { return signOff[t], reject[t] }
	at0, at1 := tallyWithin(plan, k.Horizon, k.P0), tallyWithin(plan, k.Horizon, k.P1)
	return at0.ended, at1.signed, tallyWithin(plan, k.Horizon, k.P).mean
}

// best finds the decisions by backward induction: from the last observation to
// the first, the cheapest of signing off, ending and going on. Costs are per
// unit of chance at P, so the price of an error is multiplied by a likelihood
// ratio. One more fault always speaks more for P1, and the cost of going on is
// concave in it, so the counts that go on have no gap.
func (k KieferWeiss) best() (signOff, reject []int) {
	signOff, reject = make([]int, k.Horizon+1), make([]int, k.Horizon+1)
	cost := make([]float64, k.Horizon+2)
	for t := k.Horizon; t >= 1; t-- {
		signOff[t], reject[t] = -1, t+1
		for x := 0; x <= t; x++ {
			falsely, missed := k.Falsely*k.ratio(k.P1, x, t), k.Missed*k.ratio(k.P0, x, t)
			goOn := math.Inf(1)
			if t < k.Horizon {
				goOn = 1 + (1-k.P)*cost[x] + k.P*cost[x+1]
			}
			cost[x] = min(falsely, missed, goOn)
			switch {
			case goOn < falsely && goOn < missed:
			case falsely <= missed:
				signOff[t] = x
			default:
				reject[t] = min(reject[t], x)
			}
		}
	}
	return signOff, reject
}

// ratio is the likelihood of x faults in t observations at p over that at P.
func (k KieferWeiss) ratio(p float64, x, t int) float64 {
	return math.Exp(float64(x)*math.Log(p/k.P) + float64(t-x)*(math.Log1p(-p)-math.Log1p(-k.P)))
}
