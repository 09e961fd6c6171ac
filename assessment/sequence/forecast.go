package sequence

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// MeanFrom is MeanUnlimited for an apprentice who stands at a score: the mean
// number of further observations to eligibility at fault rate p if the
// programme had no end. It is 0 at Threshold and above, and NaN below Floor.
//
// The score climbs one point at a time, so the mean is the sum over scores s of
// the time u(s) to climb from s to s+1. A clean observation does it at once; a
// fault drops the score to d and every point from d to s has to be climbed
// (again): u(s) = 1 + p (u(d) + … + u(s)). These linear equations are
// triangular.
func (r Rule) MeanFrom(score int, p float64) float64 {
	if !r.usable() || !isRate(p) || score < r.Floor {
		return math.NaN()
	}
	if score >= r.Threshold {
		return 0
	}
	if p == 1 {
		return math.Inf(1)
	}
	climb := make([]float64, r.Threshold-r.Floor)
	mean := 0.0
	for i := range climb {
		lost := 0.0
		for _, u := range climb[max(0, i-r.Fault):i] {
			lost += u
		}
		climb[i] = (1 + p*lost) / (1 - p)
		if i >= score-r.Floor {
			mean += climb[i]
		}
	}
	return mean
}

// Forecast says how many more observations an apprentice may need: entry t is
// the chance, 0 to 1, that at most t more make eligible, for t = 0, 1, … up to
// the number looked ahead. It supposes that performance stays as it is.
type Forecast []float64

// Forecast looks n observations ahead from a score at fault rate p. With
// several rates it is their average, each counting the same: BetaRates gives
// rates that stand for an unknown one. It is nil without a rate, and if score is
// below Floor, n is outside 0 to MaxHorizon, the rule makes no sense or a rate
// is not a rate.
func (r Rule) Forecast(score, n int, rates ...float64) Forecast {
	if !r.usable() || score < r.Floor || n < 0 || n > MaxHorizon || len(rates) == 0 {
		return nil
	}
	f := make(Forecast, n+1)
	s := newPass(r)
	for _, p := range rates {
		if !isRate(p) {
			return nil
		}
		if score >= r.Threshold { // eligible already
			for t := range f {
				f[t]++
			}
			continue
		}
		s.start(score - r.Floor)
		for t := 1; t <= n; t++ {
			s.observe(p)
			f[t] += s.done
		}
	}
	for t := range f {
		f[t] = min(f[t]/float64(len(rates)), 1)
	}
	return f
}

// Within is the chance, 0 to 1, that at most n more observations make eligible.
// Beyond the number looked ahead it is what is known: the chance within that
// number. It is NaN for an empty forecast or n < 0.
func (f Forecast) Within(n int) float64 {
	if len(f) == 0 || n < 0 {
		return math.NaN()
	}
	return f[min(n, len(f)-1)]
}

// Never is the chance, 0 to 1, of not becoming eligible within the number of
// observations looked ahead. It is NaN for an empty forecast.
func (f Forecast) Never() float64 { return 1 - f.Within(len(f)) }

// Quantile is the least number of observations that is enough with a chance of
// at least share (0 to 1), 0.5 for the median. ok is false if the observations
// looked ahead are not enough for that, or share is not from 0 to 1.
func (f Forecast) Quantile(share float64) (n int, ok bool) {
	if !isRate(share) {
		return 0, false
	}
	for t, within := range f {
		if atMost(share, within) {
			return t, true
		}
	}
	return 0, false
}

// BetaRates returns rates that stand for a fault rate known only as Beta(a, b):
// the points-quantiles at the middle of points equal parts, lowest first.
// After x faults in n observations and a prior Beta(1, 1), a is 1+x and b is
// 1+n-x. It is nil unless a and b are positive, finite numbers and points is 1
// to MaxHorizon.
func BetaRates(a, b float64, points int) []float64 {
	if !isBeta(a, b) || points < 1 || points > MaxHorizon {
		return nil
	}
	rates := make([]float64, points)
	for i := range rates {
		rates[i] = mathext.InvRegIncBeta(a, b, (float64(i)+0.5)/float64(points))
	}
	return rates
}

// isBeta reports whether a and b are parameters of a beta distribution that
// float64 can work with.
func isBeta(a, b float64) bool {
	const least, most = 1e-3, 1e6
	return a >= least && a <= most && b >= least && b <= most
}

// CleanTotal is the time until Clean clean observations have been made in
// total, however many faults lie between: a negative binomial waiting time, for
// counting towards a number of grooms rather than for judging them.
type CleanTotal struct {
	Clean int // clean observations still needed; 1 to MaxHorizon
}

// Mean is the mean number of observations, Clean / q with q = 1-p, at fault
// rate p; +Inf at p = 1.
func (c CleanTotal) Mean(p float64) float64 {
	if !c.usable() || !isRate(p) {
		return math.NaN()
	}
	return float64(c.Clean) / (1 - p)
}

// Variance is the variance of the number of observations, in observations
// squared: Clean p / q². It is +Inf at p = 1.
func (c CleanTotal) Variance(p float64) float64 {
	if !c.usable() || !isRate(p) {
		return math.NaN()
	}
	return float64(c.Clean) * p / (1 - p) / (1 - p)
}

// Forecast looks n observations ahead at fault rate p, like Rule.Forecast. It is
// nil if a number is out of range.
func (c CleanTotal) Forecast(n int, p float64) Forecast {
	if !c.usable() || n < 0 || n > MaxHorizon || !isRate(p) {
		return nil
	}
	f := make(Forecast, n+1)
	chance := math.Pow(1-p, float64(c.Clean)) // of exactly t observations
	for t := c.Clean; t <= n; t++ {
		f[t] = min(f[t-1]+chance, 1)
		chance *= p * float64(t) / float64(t+1-c.Clean)
	}
	return f
}

func (c CleanTotal) usable() bool { return c.Clean >= 1 && c.Clean <= MaxHorizon }
