package sequence

import "math"

// attempt is one run of a test that starts again from nothing when it ends:
// entry t is the chance that it signs off, or ends, at observation t = 1, 2, … n.
func attempt(s SPRT, n int, p float64) (signOff, end []float64) {
	signOff, end = make([]float64, n+1), make([]float64, n+1)
	c := newTally(s.lines())
	for t := 1; t <= n && len(c.open) > 0; t++ {
		c.observe(p)
		signOff[t], end[t] = c.signedAt, c.ends
	}
	return signOff, end
}

// upTo turns the chances of a sign-off at observation t = 0 … n into the chance
// of one within n and the mean number of observations made by then.
func upTo(at []float64) (within, mean float64) {
	for _, chance := range at[:len(at)-1] {
		within += chance
		mean += 1 - within
	}
	return min(within+at[len(at)-1], 1), mean
}

// LCCUSUM is the learning curve CUSUM (Biau & Porcher 2010): the evidence of
// SPRT, but never below 0, and a sign-off at Threshold. The score is the real
// one, not rounded to whole points; Points gives the rounded rule. It is the
// SPRT with Reject = 0, started again at every end (Page 1954), and is computed
// as such. It signs off everybody in the end: the error belongs to a declared
// number of observations.
type LCCUSUM struct {
	P0, P1    float64 // acceptable and unacceptable fault rate; 0 < P0 < P1 < 1
	Threshold float64 // evidence for P0 that is enough, natural logarithm; above 0
}

func (l LCCUSUM) attempt() SPRT { return SPRT{l.P0, l.P1, l.Threshold, 0} }

// Points is the same rule with the fault rounded to whole clean observations and
// the threshold rounded up to them. Its Horizon is n. It is the zero Rule if the
// numbers make no sense.
func (l LCCUSUM) Points(n int) Rule {
	if !l.attempt().usable() {
		return Rule{}
	}
	clean, _ := evidence(l.P0, l.P1)
	return Rule{Fault: FaultFor(l.P0, l.P1), Threshold: int(min(math.Ceil(l.Threshold/clean), MaxHorizon+1)), Horizon: n}
}

// at lists the chances of a sign-off at observation 0 … n. The first attempt
// signs off, or ends and leaves a whole test to what remains.
func (l LCCUSUM) at(n int, p float64) []float64 {
	signOff, end := attempt(l.attempt(), n, p)
	for t := range signOff {
		for k := 1; k < t; k++ {
			signOff[t] += end[k] * signOff[t-k]
		}
	}
	return signOff
}

// Within is the chance, 0 to 1, of a sign-off within n observations at fault
// rate p; n is at most MaxHorizon.
func (l LCCUSUM) Within(n int, p float64) float64 {
	within, _ := l.within(n, p)
	return within
}

// MeanWithin is the mean number of observations made at fault rate p when the
// programme ends after n at the latest: 0 to n. n is at most MaxHorizon.
func (l LCCUSUM) MeanWithin(n int, p float64) float64 {
	_, mean := l.within(n, p)
	return mean
}

func (l LCCUSUM) within(n int, p float64) (within, mean float64) {
	if !l.attempt().usable() || !isRate(p) || n > MaxHorizon {
		return math.NaN(), math.NaN()
	}
	return upTo(l.at(max(n, 0), p))
}

// Mean is the mean number of observations to a sign-off at fault rate p if the
// programme had no end: that of one attempt over its chance of success (Page
// 1954). It is +Inf at p = 1, and where the mean is beyond float64.
func (l LCCUSUM) Mean(p float64) float64 {
	signOff, mean := l.attempt().Unlimited(p)
	return mean / signOff
}

// Restarts is the likelihood ratio rule for apprentices who improve. Whenever
// the evidence has fallen to -Debt, what was seen is dropped and the rule starts
// again; attempt j = 1, 2, … signs off at Alpha / 2^j. The chance that any of
// them ever signs off at P1 is at most Alpha, with no declared number (Ville
// 1939, and the levels add up to Alpha).
type Restarts struct {
	P0, P1 float64 // acceptable and unacceptable fault rate; 0 < P0 < P1 < 1
	Alpha  float64 // chance of a false sign-off, ever; between 0 and 1
	Debt   float64 // evidence for P1 that ends an attempt, natural logarithm; 0 or more
}

// RestartAfterFault ends an attempt when it is down by what one fault takes.
func RestartAfterFault(p0, p1, alpha float64) Restarts {
	_, fault := evidence(p0, p1)
	return Restarts{p0, p1, alpha, fault}
}

// attempt j, from 1.
func (r Restarts) attempt(j int) SPRT {
	return SPRT{r.P0, r.P1, float64(j)*math.Ln2 - math.Log(r.Alpha), r.Debt}
}

func (r Restarts) usable() bool {
	return isOpenRate(r.Alpha) && r.attempt(1).usable() && !math.IsInf(r.Debt, 1)
}

// at lists the chances of a sign-off at observation 0 … n.
func (r Restarts) at(n int, p float64) []float64 {
	at := make([]float64, n+1)
	starts := make([]float64, n+1) // chance that the attempt starts after observation t
	starts[0] = 1
	clean, _ := evidence(r.P0, r.P1)
	for j := 1; ; j++ {
		test := r.attempt(j)
		first := 0
		for first <= n && starts[first] == 0 {
			first++
		}
		left := n - first
		if test.SignOff > clean*float64(left+1) {
			return at // not even a clean run to the end would do, now or later
		}
		signOff, end := attempt(test, left, p)
		later := make([]float64, n+1)
		for s := first; s <= n; s++ {
			if starts[s] == 0 {
				continue
			}
			for k := 1; k <= n-s; k++ {
				at[s+k] += starts[s] * signOff[k]
				later[s+k] += starts[s] * end[k]
			}
		}
		starts = later
	}
}

// Within is the chance, 0 to 1, of a sign-off within n observations at fault
// rate p; n is at most MaxHorizon.
func (r Restarts) Within(n int, p float64) float64 {
	within, _ := r.within(n, p)
	return within
}

// MeanWithin is the mean number of observations made at fault rate p when the
// programme ends after n at the latest: 0 to n. n is at most MaxHorizon.
func (r Restarts) MeanWithin(n int, p float64) float64 {
	_, mean := r.within(n, p)
	return mean
}

func (r Restarts) within(n int, p float64) (within, mean float64) {
	if !r.usable() || !isRate(p) || n > MaxHorizon {
		return math.NaN(), math.NaN()
	}
	return upTo(r.at(max(n, 0), p))
}

// Mean is the mean number of observations to a sign-off at fault rate p if the
// programme had no end. It is +Inf where the evidence does not grow on average,
// and NaN where it takes too long to settle.
func (r Restarts) Mean(p float64) float64 {
	if !r.usable() || !isRate(p) {
		return math.NaN()
	}
	clean, fault := evidence(r.P0, r.P1)
	if (1-p)*clean <= p*fault {
		return math.Inf(1) // each attempt is longer than the one before and may fail
	}
	const vanished = 1e-14
	mean, starts, steps := 0.0, 1.0, 0
	for j := 1; starts > vanished; j++ {
		c := newTally(r.attempt(j).lines())
		c.steps = steps
		if !c.settle(p) {
			return math.NaN()
		}
		mean += starts * c.mean
		starts *= 1 - c.signed
		steps = c.steps
	}
	return mean
}
