package sequence

import "math"

// pass carries the chances of the scores Floor … Threshold-1 of one rule from
// observation to observation. It does what chain does, without the tables of
// next states, and can be started over for another fault rate.
type pass struct {
	fault    int
	from, to []float64 // chance of each score, counted from the floor
	done     float64   // chance that Threshold has been reached
	mean     float64   // mean number of observations made so far
}

// newPass needs a usable rule.
func newPass(r Rule) *pass {
	states := make([]float64, 2*(r.Threshold-r.Floor))
	half := len(states) / 2
	return &pass{fault: r.Fault, from: states[:half], to: states[half:]}
}

// start puts the apprentice at a score, counted from the floor.
func (s *pass) start(score int) {
	clear(s.from)
	s.from[score] = 1
	s.done, s.mean = 0, 0
}

// observe makes one observation at fault rate p.
func (s *pass) observe(p float64) {
	from, q := s.from, 1-p
	to := s.to[:len(from)]
	s.mean += 1 - s.done
	s.done += q * from[len(from)-1]
	bottom := 0.0 // every score from which a fault leads to the floor
	for _, mass := range from[:min(s.fault+1, len(from))] {
		bottom += mass
	}
	to[0] = p * bottom
	one := 1 // the lowest score that only a clean observation leads to
	if s.fault+1 < len(from) {
		above := from[s.fault+1:]
		below := from[:len(above)]
		both := to[1 : len(above)+1]
		for i, mass := range above {
			both[i] = q*below[i] + p*mass
		}
		one = len(above) + 1
	}
	last := to[one:]
	for i, mass := range from[one-1 : len(from)-1] {
		last[i] = q * mass
	}
	s.from, s.to = to, from
}

// within starts at a score counted from the floor and makes n observations,
// observation t at fault rate p(t). It leaves the results in done and mean,
// and returns false if some p(t) is not a rate.
func (s *pass) within(score, n int, p func(t int) float64) bool {
	s.start(score)
	for t := 1; t <= n; t++ {
		rate := p(t)
		if !isRate(rate) {
			return false
		}
		s.observe(rate)
	}
	s.done = min(s.done, 1)
	return true
}

// steady is within for a fault rate that never changes.
func (s *pass) steady(score, n int, p float64) {
	s.start(score)
	for range n {
		s.observe(p)
	}
	s.done = min(s.done, 1)
}

// Curve is the operating characteristic: for each fault rate the chance, 0 to
// 1, of being eligible after at most n observations, as ReachWithin gives it.
// It is a good deal cheaper than as many calls of ReachWithin. An entry that is
// not a rate gives NaN.
func (r Rule) Curve(n int, rates []float64) []float64 {
	reached := make([]float64, len(rates))
	if !r.usable() {
		for i := range reached {
			reached[i] = math.NaN()
		}
		return reached
	}
	s := newPass(r)
	for i, p := range rates {
		if !isRate(p) {
			reached[i] = math.NaN()
			continue
		}
		s.steady(-r.Floor, n, p)
		reached[i] = s.done
	}
	return reached
}
