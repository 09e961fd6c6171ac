package sequence

import (
	"fmt"
	"math"
	"sort"
)

// Improving is an apprentice who learns: the fault rate begins at From and
// nears To, and every Over observations the distance shrinks to 1/e of it.
type Improving struct {
	From float64 // fault rate of the first observation, 0 to 1
	To   float64 // fault rate in the long run, 0 to 1
	Over float64 // observations; above 0
}

// ImprovingFor begins half as bad again as what is unacceptable and becomes what
// is acceptable, with half of the way behind after 14 observations.
func ImprovingFor(p0, p1 float64) Improving {
	return Improving{From: min(1.5*p1, 1), To: p0, Over: 20}
}

// Rate is the fault rate, 0 to 1, of observation t = 1, 2, …:
// To + (From - To) exp(-(t-1)/Over). It is NaN if a number is out of range.
func (i Improving) Rate(t int) float64 {
	if !isRate(i.From) || !isRate(i.To) || !(i.Over > 0) || t < 1 {
		return math.NaN()
	}
	return i.To + (i.From-i.To)*math.Exp(-float64(t-1)/i.Over)
}

// Candidate is a rule with what tells it from others that are equally safe.
type Candidate struct {
	Rule
	FalseSignOff    float64 // chance (0 to 1) that an apprentice at p1 becomes eligible
	MeanCompetent   float64 // mean observations made by an apprentice at p0, eligible or not
	CompetentWithin float64 // chance (0 to 1) that an apprentice at p0 becomes eligible
	ImprovingWithin float64 // chance (0 to 1) that the improving apprentice becomes eligible
}

// Frontier is the efficient frontier of points rules for an acceptable fault
// rate p0, an unacceptable one p1, a chance alpha of a false sign-off and n
// declared observations. For each number of points that a fault may cost and
// each floor it takes the least threshold that keeps alpha, and returns those
// rules that no other beats: whatever needs fewer observations of the competent
// lets through fewer of the improving. The dearest rule comes last, and with it
// the one that forgives most.
//
// The search goes up to twice FaultFor, and at least to 12, for both the fault
// and the floor below 0; beyond 40 it goes in steps, so that there are at most 40
// of each. Differences below 1e-9 do not count. The errors are those of
// Threshold, or about rates out of order.
func Frontier(p0, p1, alpha float64, n int, improving Improving) ([]Candidate, error) {
	if err := checkFrontier(p0, p1, alpha, n, improving); err != nil {
		return nil, err
	}
	corners := leastThresholds(p0, p1, alpha, n)
	rates := make([]float64, n+1)
	for t := 1; t <= n; t++ {
		rates[t] = improving.Rate(t)
	}
	all := make([]Candidate, len(corners))
	for i, r := range corners {
		all[i] = r.candidate(p0, p1, rates)
	}
	return undominated(all), nil
}

func checkFrontier(p0, p1, alpha float64, n int, improving Improving) error {
	const fault, floor = 1, 0 // whatever is in range: the search chooses
	if err := checkShape(fault, floor, n); err != nil {
		return err
	}
	if err := checkAims(n, p1, alpha); err != nil {
		return err
	}
	if !separated(p0, p1) {
		return fmt.Errorf("the acceptable fault rate is %v: choose a number between 0 and the unacceptable rate, %v", p0, p1)
	}
	if math.IsNaN(improving.Rate(1)) {
		return fmt.Errorf("an apprentice who improves from a fault rate of %v to %v over %v observations makes no sense: choose rates from 0 to 1 and a number of observations above 0", improving.From, improving.To, improving.Over)
	}
	return nil
}

// searchSteps lists the numbers of points that the search tries, lowest first,
// from 1.
func searchSteps(p0, p1 float64) []int {
	const least, most = 12, 40
	end := min(max(least, 2*FaultFor(p0, p1)), MaxHorizon)
	step := (end + most - 1) / most
	var points []int
	for i := step; i <= end; i += step {
		points = append(points, i)
	}
	return points
}

// leastThresholds finds the least threshold for every fault and floor, and
// leaves out rules that are beaten without a look at their figures.
//
// Seen side by side on the same observations, a score with a higher floor or a
// cheaper fault is never behind. So its chances are no smaller at any rate, and
// the threshold that keeps alpha is no lower: the search goes on from the
// thresholds of the neighbours that are behind, and goes up. It also follows
// that of two rules with the same threshold the one that is behind is beaten:
// the competent wait no less and the improving get through no more often. Of the
// floors with one fault and one threshold only the highest is kept, and of the
// faults with one floor and one threshold only the cheapest.
//
// A floor below least - n makes no difference: from there it takes more than n
// clean observations to any threshold.
func leastThresholds(p0, p1, alpha float64, n int) []Rule {
	points := searchSteps(p0, p1)
	least := LeastObservations(p1, alpha)
	floors := []int{0}
	for _, depth := range points {
		if depth <= n-least {
			floors = append(floors, -depth)
		}
	}
	thresholds := make([][]int, len(points)) // by fault and floor
	for i := len(points) - 1; i >= 0; i-- {  // dearest fault first
		thresholds[i] = make([]int, len(floors))
		h := least
		for j := len(floors) - 1; j >= 0; j-- { // lowest floor first
			if i+1 < len(points) {
				h = max(h, thresholds[i+1][j])
			}
			h = Rule{Fault: points[i], Floor: floors[j], Threshold: h, Horizon: n}.leastFrom(p1, alpha)
			thresholds[i][j] = h
		}
	}
	var corners []Rule
	for i, fault := range points {
		for j, floor := range floors {
			h := thresholds[i][j]
			if j > 0 && thresholds[i][j-1] == h || i > 0 && thresholds[i-1][j] == h {
				continue
			}
			corners = append(corners, Rule{Fault: fault, Floor: floor, Threshold: h, Horizon: n})
		}
	}
	return corners
}

// leastFrom returns the least threshold that keeps alpha, knowing that none below
// that of the rule does. It takes strides of growing length, because the answer is
// near as a rule, and halves the last. The declared number of observations
// itself always keeps alpha.
func (r Rule) leastFrom(p1, alpha float64) int {
	keeps := func(h int) bool {
		next := r
		next.Threshold = h
		return atMost(next.ReachWithin(r.Horizon, p1), alpha)
	}
	low, high, stride := r.Threshold, r.Threshold, 1
	for high < r.Horizon && !keeps(high) {
		low = high + 1
		high = min(high+stride, r.Horizon)
		stride *= 2
	}
	return low + sort.Search(high-low, func(i int) bool { return keeps(low + i) })
}

// candidate works out the figures of a rule; rates[t] is the improving
// apprentice's.
func (r Rule) candidate(p0, p1 float64, rates []float64) Candidate {
	c := Candidate{Rule: r}
	s := newPass(r)
	s.steady(-r.Floor, r.Horizon, p1)
	c.FalseSignOff = s.done
	s.steady(-r.Floor, r.Horizon, p0)
	c.CompetentWithin, c.MeanCompetent = s.done, s.mean
	s.within(-r.Floor, r.Horizon, func(t int) float64 { return rates[t] })
	c.ImprovingWithin = s.done
	return c
}

// undominated keeps the candidates that no other beats, cheapest first.
func undominated(all []Candidate) []Candidate {
	const same = 1e-9
	sort.Slice(all, func(i, j int) bool {
		a, b := all[i], all[j]
		if a.MeanCompetent != b.MeanCompetent {
			return a.MeanCompetent < b.MeanCompetent
		}
		return a.ImprovingWithin > b.ImprovingWithin
	})
	var kept []Candidate
	best := math.Inf(-1)
	for _, c := range all {
		if c.ImprovingWithin > best+same {
			kept = append(kept, c)
			best = c.ImprovingWithin
		}
	}
	return kept
}
