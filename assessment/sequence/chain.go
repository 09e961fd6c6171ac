package sequence

import "math"

// chain is a Markov chain with two moves from each state. State len(clean)
// means done: the chain never leaves it.
type chain struct {
	start        []float64 // chance of each state before the first observation
	clean, fault []int     // next state
}

func newChain(states int) chain {
	return chain{start: make([]float64, states), clean: make([]int, states), fault: make([]int, states)}
}

// within returns the chance that the chain is done after at most n
// observations, and the mean number of observations made when it stops at n at
// the latest. p gives the fault rate of observation t = 1, 2, … n.
func (c chain) within(n int, p func(t int) float64) (done, mean float64) {
	end := len(c.start)
	from, to := make([]float64, end+1), make([]float64, end+1)
	copy(from, c.start)
	for t := 1; t <= n; t++ {
		mean += 1 - done
		pt := p(t)
		if !isRate(pt) {
			return math.NaN(), math.NaN()
		}
		clear(to)
		for i, mass := range from[:end] {
			to[c.clean[i]] += mass * (1 - pt)
			to[c.fault[i]] += mass * pt
		}
		done += to[end]
		from, to = to, from
	}
	return min(done, 1), mean
}
