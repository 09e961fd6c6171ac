package sequence

import "math"

// SPRT is Wald's sequential probability ratio test (Wald 1945): every clean
// observation adds ln((1-P0)/(1-P1)) to the evidence, every fault takes
// ln(P1/P0) away. It signs off at SignOff and ends the programme at -Reject. No
// rule with its errors needs fewer observations at P0 or at P1 (Wald &
// Wolfowitz 1948), but it never forgets an early fault and in a training
// programme an end is not an end: it is here for comparison.
//
// A decision is due when the evidence has reached its line; a shortfall that only
// arithmetic can have made (1e-9 faults) counts as reached.
type SPRT struct {
	P0, P1  float64 // acceptable and unacceptable fault rate; 0 < P0 < P1 < 1
	SignOff float64 // evidence for P0 that is enough, natural logarithm; above 0
	Reject  float64 // evidence for P1 that is enough, natural logarithm; 0 or more, +Inf for no such line
}

// WaldSPRT sets the lines by Wald's approximation for a chance alpha of a false
// sign-off at p1 and a chance beta of an end without sign-off at p0:
// ln((1-beta)/alpha) and ln((1-alpha)/beta). The true chances differ a little,
// and one of them may be above its nominal value.
func WaldSPRT(p0, p1, alpha, beta float64) SPRT {
	return SPRT{p0, p1, math.Log((1 - beta) / alpha), math.Log((1 - alpha) / beta)}
}

// LikelihoodRatio signs off as soon as what was seen is 1/alpha times as likely
// at p0 as at p1, and has no other line. The chance that this ever happens at p1
// is at most alpha, with no declared number of observations (Ville 1939).
func LikelihoodRatio(p0, p1, alpha float64) SPRT {
	return SPRT{p0, p1, -math.Log(alpha), math.Inf(1)}
}

func (s SPRT) usable() bool {
	return separated(s.P0, s.P1) && s.SignOff > 0 && !math.IsInf(s.SignOff, 1) && s.Reject >= 0
}

// Lines are the decisions drawn over the number of observations n: sign off at
// slope × n - signOff faults or fewer, end at slope × n + reject or more (Wald
// 1947, 5.3). The intercepts are in faults, the slope in faults per observation.
func (s SPRT) Lines() (signOff, reject, slope float64) {
	if !s.usable() {
		return math.NaN(), math.NaN(), math.NaN()
	}
	clean, fault := evidence(s.P0, s.P1)
	both := clean + fault
	return s.SignOff / both, s.Reject / both, clean / both
}

// Plan is Lines in whole faults after n observations: sign off at signOff or
// fewer, end at reject or more. signOff is -1 if no number of faults is few
// enough, reject n+1 if none is enough. Both are 0 if the test makes no sense.
func (s SPRT) Plan(n int) (signOff, reject int) {
	if !s.usable() || n < 0 {
		return 0, 0
	}
	return s.lines()(n)
}

func (s SPRT) lines() lines {
	const slack = 1e-9 // faults
	signOff, reject, slope := s.Lines()
	return func(n int) (int, int) {
		middle, most := slope*float64(n), float64(n+1)
		return int(max(-1, math.Floor(middle-signOff+slack))),
			int(min(most, math.Ceil(middle+reject-slack)))
	}
}

// Within is the chance, 0 to 1, of a sign-off within n observations at fault
// rate p. Who is undecided then is not signed off.
func (s SPRT) Within(n int, p float64) float64 {
	if !s.usable() || !isRate(p) {
		return math.NaN()
	}
	return tallyWithin(s.lines(), n, p).signed
}

// WithinOrPositive is the chance, 0 to 1, of a sign-off if the test is cut off
// after n observations and whoever is undecided then, with evidence above 0, is
// signed off as well. That inflates the chance of a false sign-off.
func (s SPRT) WithinOrPositive(n int, p float64) float64 {
	if !s.usable() || !isRate(p) {
		return math.NaN()
	}
	c := tallyWithin(s.lines(), n, p)
	clean, fault := evidence(s.P0, s.P1)
	chance := c.signed
	for i, mass := range c.open {
		faults := c.least + i
		if float64(c.t-faults)*clean > float64(faults)*fault {
			chance += mass
		}
	}
	return min(chance, 1)
}

// MeanWithin is the mean number of observations made at fault rate p when the
// test is cut off after n: 0 to n.
func (s SPRT) MeanWithin(n int, p float64) float64 {
	if !s.usable() || !isRate(p) {
		return math.NaN()
	}
	return tallyWithin(s.lines(), n, p).mean
}

// Unlimited is what becomes of the test at fault rate p if it goes on until it
// decides: the chance of a sign-off, 0 to 1, and the mean number of observations.
// Without a Reject line the mean is +Inf and the chance NaN where the evidence
// does not grow on average. Both are NaN where it takes too long to settle, as
// where it hardly grows.
func (s SPRT) Unlimited(p float64) (signOff, mean float64) {
	if !s.usable() || !isRate(p) {
		return math.NaN(), math.NaN()
	}
	clean, fault := evidence(s.P0, s.P1)
	if math.IsInf(s.Reject, 1) && (1-p)*clean <= p*fault {
		return math.NaN(), math.Inf(1)
	}
	c := newTally(s.lines())
	if !c.settle(p) {
		return math.NaN(), math.NaN()
	}
	return c.signed, c.mean
}
