package sequence

import "math"

// lines are the decisions of a rule that looks only at how many faults there
// were in the first t observations: it signs off at signOff faults or fewer and
// ends the programme without sign-off at reject or more. No sign-off is possible
// at signOff = -1, no end at reject = t+1. Neither ever falls as t grows. They
// are asked for in order, t = 1, 2, …
type lines func(t int) (signOff, reject int)

// tally carries the chances of the fault counts at which such a rule has not
// decided yet.
type tally struct {
	lines          lines
	t, least       int // observations made; faults that open[0] stands for
	open, next     []float64
	signed, ended  float64 // chances so far of a sign-off, and of an end without one
	undecided      float64 // the rest: the sum of open
	mean           float64 // mean number of observations made so far
	signedAt, ends float64 // what the latest observation added to signed and ended
	steps          int     // work done by settle
}

func newTally(l lines) *tally { return &tally{lines: l, open: []float64{1}, undecided: 1} }

// observe makes one observation at fault rate p.
func (c *tally) observe(p float64) {
	// Below this a chance adds nothing to any result, but many of them cost time.
	const negligible = 1e-300
	c.t++
	c.mean += c.undecided
	signOff, reject := c.lines(c.t)
	c.signedAt, c.ends, c.undecided = 0, 0, 0
	next, least, fewer := c.next[:0], c.least, 0.0
	for i := range len(c.open) + 1 {
		mass := p * fewer
		if i < len(c.open) {
			mass += (1 - p) * c.open[i]
			fewer = c.open[i]
		}
		switch faults := c.least + i; {
		case faults <= signOff:
			c.signedAt += mass
			least = faults + 1
		case faults >= reject:
			c.ends += mass
		default:
			next = append(next, mass)
			c.undecided += mass
		}
	}
	for len(next) > 0 && next[len(next)-1] < negligible {
		next = next[:len(next)-1]
	}
	c.signed += c.signedAt
	c.ended += c.ends
	c.least, c.open, c.next = least, next, c.open
}

// tallyWithin makes n observations at fault rate p.
func tallyWithin(l lines, n int, p float64) *tally {
	c := newTally(l)
	for c.t < n && len(c.open) > 0 {
		c.observe(p)
	}
	c.signed = min(c.signed, 1)
	return c
}

// patience is the number of steps, each a fault count after an observation, that
// an unlimited test may take to settle: a fraction of a second.
const patience = 10_000_000

// settle makes observations until the chance that nothing is decided has
// vanished beside that of a sign-off, and reports whether it has. It gives up on
// rates that would take long.
func (c *tally) settle(p float64) bool {
	const vanished, least = 1e-16, 1e-290
	for c.undecided > max(vanished*c.signed, least) {
		if c.steps > patience {
			return false
		}
		c.observe(p)
		c.steps += len(c.open) + 1
	}
	c.signed = min(c.signed, 1)
	return true
}

// evidence returns the log likelihood ratios, in favour of p0 against p1, of a
// clean observation (to add) and of a fault (to take away). Both are positive.
func evidence(p0, p1 float64) (clean, fault float64) {
	return math.Log1p(-p0) - math.Log1p(-p1), math.Log(p1 / p0)
}
