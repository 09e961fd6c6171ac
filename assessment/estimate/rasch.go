package estimate

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

const (
	// MaxItems is the largest number of items that Rasch takes.
	MaxItems = 30
	// maxPersons bounds the persons of one pattern.
	maxPersons = 1e9
	// maxLogit bounds a difficulty, so that products of MaxItems eases stay in range.
	maxLogit = 20
)

// ItemDifficulty is the Rasch model fitted to items that each person gets right
// or not.
type ItemDifficulty struct {
	Difficulty    []float64 // logits, sum 0; the higher, the fewer get it right
	SE            []float64 // standard error of each difficulty, logits
	LogLikelihood float64   // natural logarithm, conditional on the persons' totals
}

// Rasch fits the Rasch model by conditional maximum likelihood: given a person's
// total, the pattern no longer depends on the person, so the items are compared
// without assuming anything about the persons. patterns holds 0 or 1 for each item
// (1 for right), counts the number of persons with each pattern. Difficulties are
// exact to 1e-8 logits.
//
// It is an error unless there are 2 to MaxItems items, all patterns are of that
// length and the counts are from 0 to 1e9. It is an error too if a difficulty is
// beyond 20 logits, or if no finite fit
// exists, which is so exactly when the items split into two groups such that
// nobody got one of the first right and one of the second wrong (Fischer 1981).
func Rasch(patterns [][]int, counts []int) (ItemDifficulty, error) {
	d, err := raschData(patterns, counts)
	if err != nil {
		return ItemDifficulty{}, err
	}
	beta := make([]float64, len(d.right))
	for range 200 {
		level, gradient, info := d.at(beta)
		inverse, ok := invert(info)
		if !ok {
			break
		}
		step, size := make([]float64, len(beta)), 0.0
		for i := range step {
			for j, g := range gradient {
				step[i] += inverse.At(i, j) * g
			}
			size = max(size, math.Abs(step[i]))
		}
		if size < 1e-10 {
			out := ItemDifficulty{Difficulty: beta, LogLikelihood: level}
			for i := range beta {
				// inverse is that of information + J/items: take J's part off.
				out.SE = append(out.SE, math.Sqrt(max(0, inverse.At(i, i)-1/float64(len(beta)))))
			}
			return out, nil
		}
		beta = d.climb(beta, step, level)
	}
	return ItemDifficulty{}, fmt.Errorf("the fit does not settle: some items are too far apart to compare")
}

// raschTable is the data that the conditional likelihood depends on.
type raschTable struct {
	right []float64 // persons with item i right
	total []float64 // persons with t right items, t = 0 … items
}

func raschData(patterns [][]int, counts []int) (raschTable, error) {
	if len(patterns) != len(counts) {
		return raschTable{}, fmt.Errorf("there are %d patterns and %d counts: each pattern needs one", len(patterns), len(counts))
	}
	if len(patterns) == 0 || len(patterns) > MaxCount {
		return raschTable{}, fmt.Errorf("the number of patterns is %d: it can be 1 to %d", len(patterns), MaxCount)
	}
	items := len(patterns[0])
	if items < 2 || items > MaxItems {
		return raschTable{}, fmt.Errorf("the number of items is %d: it can be 2 to %d", items, MaxItems)
	}
	d := raschTable{make([]float64, items), make([]float64, items+1)}
	beats := make([][]bool, items) // somebody had the first right and the second wrong
	for i := range beats {
		beats[i] = make([]bool, items)
	}
	for r, row := range patterns {
		if len(row) != items {
			return raschTable{}, fmt.Errorf("pattern %d has %d items and the first %d: all have to have the same", r+1, len(row), items)
		}
		if counts[r] < 0 || counts[r] > maxPersons {
			return raschTable{}, fmt.Errorf("%d persons have pattern %d: it can be 0 to %g", counts[r], r+1, maxPersons)
		}
		if err := d.add(row, counts[r], beats); err != nil {
			return raschTable{}, fmt.Errorf("pattern %d: %w", r+1, err)
		}
	}
	if !stronglyConnected(beats) {
		return raschTable{}, fmt.Errorf("the items cannot be placed on one scale: for some of them, nobody got one right and another wrong")
	}
	return d, nil
}

func (d raschTable) add(row []int, persons int, beats [][]bool) error {
	total := 0
	for i, v := range row {
		if v != 0 && v != 1 {
			return fmt.Errorf("item %d is %d: it has to be 0 or 1", i+1, v)
		}
		total += v
		d.right[i] += float64(v) * float64(persons)
		for j, u := range row {
			beats[i][j] = beats[i][j] || persons > 0 && v == 1 && u == 0
		}
	}
	d.total[total] += float64(persons)
	return nil
}

// stronglyConnected reports whether every item is linked to every other along
// the given directions.
func stronglyConnected(link [][]bool) bool {
	reached := func(at func(i, j int) bool) int {
		seen, queue := map[int]bool{0: true}, []int{0}
		for len(queue) > 0 {
			i := queue[0]
			queue = queue[1:]
			for j := range link {
				if at(i, j) && !seen[j] {
					seen[j] = true
					queue = append(queue, j)
				}
			}
		}
		return len(seen)
	}
	return reached(func(i, j int) bool { return link[i][j] }) == len(link) &&
		reached(func(i, j int) bool { return link[j][i] }) == len(link)
}

// at returns the conditional log likelihood, its gradient and its information at
// the difficulties beta.
func (d raschTable) at(beta []float64) (level float64, gradient []float64, info *mat.SymDense) {
	items := len(beta)
	ease := make([]float64, items)
	for i, b := range beta {
		ease[i] = math.Exp(-b)
		level -= b * d.right[i]
	}
	all := symmetric(ease, -1, -1)
	gradient, info = make([]float64, items), mat.NewSymDense(items, nil)
	one := make([][]float64, items)
	for i := range items {
		one[i] = symmetric(ease, i, -1)
		gradient[i] = -d.right[i]
	}
	for t := 1; t < items; t++ { // totals of 0 and all say nothing about the items
		level -= d.total[t] * math.Log(all[t])
	}
	for i := range items {
		for j := i; j < items; j++ {
			two := symmetric(ease, i, j)
			sum := 0.0
			for t := 1; t < items; t++ {
				pi, pj := ease[i]*one[i][t-1]/all[t], ease[j]*one[j][t-1]/all[t]
				both := pi
				if i == j {
					gradient[i] += d.total[t] * pi
				} else if both = 0; t >= 2 {
					both = ease[i] * ease[j] * two[t-2] / all[t]
				}
				sum += d.total[t] * (both - pi*pj)
			}
			info.SetSym(i, j, sum)
		}
	}
	// A total of all items has only one pattern: it is taken out again.
	full := d.total[items]
	for i, b := range beta {
		level += full * b
		gradient[i] += full
	}
	return level, gradient, info
}

// symmetric returns the elementary symmetric functions of the eases, leaving out
// items a and b (-1 for none), by adding one item at a time: all terms are
// positive.
func symmetric(ease []float64, a, b int) []float64 {
	g := make([]float64, len(ease)+1)
	g[0] = 1
	for i, e := range ease {
		if i == a || i == b {
			continue
		}
		for t := len(ease); t >= 1; t-- {
			g[t] += e * g[t-1]
		}
	}
	return g
}

// invert returns the inverse of info + J/items, J all ones. info alone is
// singular, because only differences of difficulties matter.
func invert(info *mat.SymDense) (*mat.SymDense, bool) {
	items := info.SymmetricDim()
	full := mat.NewSymDense(items, nil)
	for i := range items {
		for j := i; j < items; j++ {
			full.SetSym(i, j, info.At(i, j)+1/float64(items))
		}
	}
	var c mat.Cholesky
	if !c.Factorize(full) {
		return nil, false
	}
	inverse := mat.NewSymDense(items, nil)
	return inverse, c.InverseTo(inverse) == nil
}

// climb takes the step, or the largest halving of it that does not make the
// likelihood smaller, and keeps the sum at 0.
func (d raschTable) climb(beta, step []float64, level float64) []float64 {
	next := make([]float64, len(beta))
	for scale := 1.0; scale > 1e-6; scale /= 2 {
		for i := range next {
			next[i] = clamp(beta[i]+scale*step[i], -maxLogit, maxLogit)
		}
		centre := mean(next)
		for i := range next {
			next[i] -= centre
		}
		if reached, _, _ := d.at(next); reached >= level-1e-10*(1+math.Abs(level)) {
			return next
		}
	}
	return next
}
