package sequence

import "math"

// LeastObservations is the smallest number of observations after which any rule
// at all may call an apprentice eligible: the least n with (1-p1)ⁿ ≤ alpha,
// since a run without a fault is the best evidence there is; that is
// ln(alpha) / ln(1-p1) rounded up. It returns 0 unless p1 and alpha are strictly
// between 0 and 1.
func LeastObservations(p1, alpha float64) int {
	if !isOpenRate(p1) || !isOpenRate(alpha) {
		return 0
	}
	quotient := math.Log(alpha) / math.Log1p(-p1)
	if quotient >= 1<<53 {
		return math.MaxInt // beyond what float64 can count
	}
	n := max(1, int(quotient)) // rounding can make the quotient miss a whole number
	for !atMost(math.Exp(float64(n)*math.Log1p(-p1)), alpha) {
		n++
	}
	return n
}

// LowerBound is a mean number of observations, 0 to n, that no rule can beat:
// whatever goes on until it calls an apprentice eligible, or to n observations,
// and does so at p1 with a chance of at most alpha, needs at least this many on
// average at p0. A rule that may give up sooner is another matter: see
// WaldBounds. The bound is NaN unless 0 < p0 < p1 < 1, 0 < alpha < 1 and
// 1 ≤ n ≤ MaxHorizon.
//
// It is the Lagrangian dual of the constrained problem. For each price of a
// false sign-off, the cheapest rule follows from backward induction; its cost
// less price × alpha is a lower bound, and the best price gives the best bound,
// found to a relative 1e-9.
func LowerBound(n int, p0, p1, alpha float64) float64 {
	if !separated(p0, p1) || !isOpenRate(alpha) || n < 1 || n > MaxHorizon {
		return math.NaN()
	}
	ratios, cost := likelihoodRatios(n, p0, p1), make([]float64, n+1)
	bound := func(price float64) float64 {
		return cheapest(ratios, cost, p0, price) - price*alpha
	}
	// The bound is concave in the price and negative beyond n/alpha. Any price
	// gives a valid bound, so stopping the search early errs on the safe side.
	lo, hi := 0.0, float64(n)/alpha
	best := 0.0
	for range 80 {
		a, b := lo+(hi-lo)/3, hi-(hi-lo)/3
		fa, fb := bound(a), bound(b)
		best = max(best, fa, fb)
		if fa < fb {
			lo = a
		} else {
			hi = b
		}
	}
	return best
}

// likelihoodRatios lists p1's likelihood over p0's for x = 0 … t faults in t
// observations, for t = n-1 down to 0.
func likelihoodRatios(n int, p0, p1 float64) []float64 {
	fault := math.Log(p1 / p0)
	clean := math.Log1p(-p1) - math.Log1p(-p0)
	ratios := make([]float64, 0, n*(n+1)/2)
	for t := n - 1; t >= 0; t-- {
		for x := 0; x <= t; x++ {
			ratios = append(ratios, math.Exp(float64(x)*fault+float64(t-x)*clean))
		}
	}
	return ratios
}

// cheapest returns the least possible mean number of observations at p0 plus
// price × chance of eligibility at p1, over all rules that stop within
// len(cost)-1 observations. cost is working space.
//
// Costs are per unit of chance at p0, so eligibility costs price × likelihood
// ratio. Reaching the end of the programme without it costs no more.
func cheapest(ratios, cost []float64, p0, price float64) float64 {
	clear(cost)
	for t := len(cost) - 2; t >= 0; t-- {
		for x, ratio := range ratios[:t+1] { // cost[x+1] still belongs to t+1
			cost[x] = min(price*ratio, 1+(1-p0)*cost[x]+p0*cost[x+1])
		}
		ratios = ratios[t+1:]
	}
	return cost[0]
}

// Efficiency compares a rule with the best conceivable one: LowerBound at the
// false sign-off the rule really has, over the mean number of observations it
// needs. falsely is its chance of calling an apprentice at p1 eligible within n
// observations (0 to 1), mean its mean number of observations at p0 when it ends
// at n and not before. It is above 0 and, but for rounding, at most 1; what is
// missing is the price of forgiving early faults. It returns NaN where LowerBound
// does, and for a mean that is not positive.
func Efficiency(n int, p0, p1, falsely, mean float64) float64 {
	if !(mean > 0) {
		return math.NaN()
	}
	return LowerBound(n, p0, p1, falsely) / mean
}

// WaldBounds are the mean numbers of observations at p0 and at p1 that no test
// which ends with a decision can beat, whatever its length, if it signs off at
// p1 with a chance of at most alpha and fails to at p0 with a chance of at most
// beta (Wald 1945): the relative entropy of the decision over that of one
// observation. They are NaN unless 0 < p0 < p1 < 1, alpha and beta are strictly
// between 0 and 1 and alpha + beta ≤ 1.
func WaldBounds(p0, p1, alpha, beta float64) (at0, at1 float64) {
	if !separated(p0, p1) || !isOpenRate(alpha) || !isOpenRate(beta) || alpha+beta > 1 {
		return math.NaN(), math.NaN()
	}
	return entropy(1-beta, alpha) / entropy(p0, p1), entropy(alpha, 1-beta) / entropy(p1, p0)
}

// entropy is the relative entropy, in natural units, of an event with chance a
// to one with chance b, both strictly between 0 and 1.
func entropy(a, b float64) float64 {
	return a*math.Log(a/b) + (1-a)*(math.Log1p(-a)-math.Log1p(-b))
}

// GreatestCompetent is the greatest chance, 0 to 1, that any rule can give an
// apprentice at p0 to be eligible within n observations while one at p1 has at
// most alpha: the power of the Neyman–Pearson test, randomised so that alpha is
// used up. It returns NaN unless 0 < p0 < p1 < 1, 0 < alpha < 1 and
// 1 ≤ n ≤ MaxHorizon.
func GreatestCompetent(n int, p0, p1, alpha float64) float64 {
	if !separated(p0, p1) || !isOpenRate(alpha) || n < 1 || n > MaxHorizon {
		return math.NaN()
	}
	power, left := 0.0, alpha
	for x := 0; x <= n; x++ {
		at1 := binomial(n, x, p1)
		if at1 > left {
			return power + binomial(n, x, p0)*left/at1
		}
		left -= at1
		power += binomial(n, x, p0)
	}
	return min(power, 1)
}

// binomial is the chance of exactly x faults in n observations, 0 < p < 1.
func binomial(n, x int, p float64) float64 {
	lgamma := func(k int) float64 { v, _ := math.Lgamma(float64(k + 1)); return v }
	return math.Exp(lgamma(n) - lgamma(x) - lgamma(n-x) + float64(x)*math.Log(p) + float64(n-x)*math.Log1p(-p))
}
