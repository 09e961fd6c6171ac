package sequence

import (
	"math"
	"slices"
)

// Choices picks from a frontier, as Frontier returns it, the few rules worth
// choosing between: 4 to 6, or all if there are no more than 4, cheapest first.
// They are spread over what they cost the competent apprentice and what they
// forgive the improving one, and of those that are near each other it takes the
// one whose numbers are easiest to say (the cheaper of two that are as easy). What
// it returns comes from the frontier, so no rule beats any of it.
func Choices(frontier []Candidate) []Candidate {
	const fewest, bands = 4, 6
	if len(frontier) <= fewest {
		return append([]Candidate(nil), frontier...)
	}
	at := positions(frontier)
	var picked []int // indices into frontier: the easiest of each band
	band := -1
	for i, c := range frontier {
		switch b := min(int(at[i]*bands), bands-1); {
		case b > band:
			picked, band = append(picked, i), b
		case c.easy() > frontier[picked[len(picked)-1]].easy():
			picked[len(picked)-1] = i
		}
	}
	for i := 1; i < len(picked) && len(picked) > fewest; i++ {
		if at[picked[i]]-at[picked[i-1]] > 0.5/bands {
			continue
		}
		// Two bands met here: one rule says it.
		less := i
		if frontier[picked[i]].easy() > frontier[picked[i-1]].easy() {
			less = i - 1
		}
		picked = slices.Delete(picked, less, less+1)
		i--
	}
	for len(picked) < fewest {
		picked = append(picked, farthest(at, picked))
	}
	slices.Sort(picked)
	choices := make([]Candidate, len(picked))
	for i, index := range picked {
		choices[i] = frontier[index]
	}
	return choices
}

// positions says how far along the frontier each candidate is, from 0 to 1:
// half of the way is cost, half is forgiveness.
func positions(frontier []Candidate) []float64 {
	first, last := frontier[0], frontier[len(frontier)-1]
	at := make([]float64, len(frontier))
	for i, c := range frontier {
		cost := (c.MeanCompetent - first.MeanCompetent) / (last.MeanCompetent - first.MeanCompetent)
		forgiving := (c.ImprovingWithin - first.ImprovingWithin) / (last.ImprovingWithin - first.ImprovingWithin)
		at[i] = (cost + forgiving) / 2
	}
	return at
}

// farthest returns the index whose position is farthest from the picked ones.
func farthest(at []float64, picked []int) int {
	index, far := 0, -1.0
	for i := range at {
		near := math.Inf(1)
		for _, j := range picked {
			near = min(near, math.Abs(at[i]-at[j]))
		}
		if near > far {
			index, far = i, near
		}
	}
	return index
}

// easy is how easily the numbers of a rule are said and remembered: tens before
// fives, and a floor that is one fault deep or zero.
func (r Rule) easy() int {
	tens := func(n int) int {
		switch {
		case n%10 == 0:
			return 2
		case n%5 == 0:
			return 1
		}
		return 0
	}
	easy := 2*tens(r.Fault) + tens(r.Floor) + tens(r.Threshold)
	if r.Floor == -r.Fault {
		easy += 3
	}
	return easy
}
