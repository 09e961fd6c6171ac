package agreement

import (
	"cmp"
	"math"
	"slices"
)

// marked are the usable marks of one groom, at least two, in the order of the keys
// of who gave them.
type marked struct {
	apprentice string
	by         []string
	marks      []float64
}

// Decisions as numbers.
const (
	markNotClean = 0.0
	markClean    = 1.0
)

func decided(m Mark) (float64, bool) {
	if m.Decision == Clean {
		return markClean, true
	}
	return markNotClean, m.Decision == NotClean
}

func scored(m Mark) (float64, bool) { return m.Score, !math.IsNaN(m.Score) && !tooLarge(m.Score) }

// markedTogether keeps the grooms with two marks that value can use.
func markedTogether(list []Rated, value func(Mark) (float64, bool)) []marked {
	var out []marked
	for _, g := range list {
		one := marked{apprentice: g.Apprentice}
		for who, m := range g.Marks {
			if _, ok := value(m); ok {
				one.by = append(one.by, who)
			}
		}
		slices.Sort(one.by)
		for _, who := range one.by {
			v, _ := value(g.Marks[who])
			one.marks = append(one.marks, v)
		}
		if len(one.by) >= 2 {
			out = append(out, one)
		}
	}
	return out
}

// people is how many assessors gave the marks.
func people(list []marked) int {
	known := map[string]bool{}
	for _, g := range list {
		for _, who := range g.by {
			known[who] = true
		}
	}
	return len(known)
}

// sameNumber keeps the grooms that have as many marks as most of them have; of two
// numbers equally common it takes the larger.
func sameNumber(list []marked) (equal []marked, each int) {
	common := map[int]int{}
	for _, g := range list {
		common[len(g.marks)]++
	}
	for n, times := range common {
		if times > common[each] || times == common[each] && n > each {
			each = n
		}
	}
	for _, g := range list {
		if len(g.marks) == each {
			equal = append(equal, g)
		}
	}
	return equal, each
}

// table has a row of marks for each groom.
func table(list []marked) [][]float64 {
	var out [][]float64
	for _, g := range list {
		out = append(out, g.marks)
	}
	return out
}

// crossed is a set of assessors with grooms that all of them marked, and only
// their marks.
type crossed struct {
	by     []string
	grooms []marked
}

// crossedSets returns every set of assessors who met on a groom.
func crossedSets(list []marked) []crossed {
	var out []crossed
	for _, g := range list {
		if !slices.ContainsFunc(out, func(c crossed) bool { return slices.Equal(c.by, g.by) }) {
			out = append(out, crossed{by: g.by})
		}
	}
	for i := range out {
		c := &out[i]
		for _, g := range list {
			if marks := g.of(c.by); marks != nil {
				c.grooms = append(c.grooms, marked{g.apprentice, c.by, marks})
			}
		}
	}
	return out
}

// of returns the marks of these assessors, or nothing if one of them gave none.
func (g marked) of(by []string) []float64 {
	var out []float64
	for _, who := range by {
		i, found := slices.BinarySearch(g.by, who)
		if !found {
			return nil
		}
		out = append(out, g.marks[i])
	}
	return out
}

func (c crossed) seen() Seen {
	return Seen{Assessors: len(c.by), Grooms: len(c.grooms), Apprentices: len(c.byApprentice())}
}

// fullest returns, of the sets of at least so many assessors, one with enough of an
// amount for a figure, or else the one with most of it. Of several it is the one with
// the most marks, then with the most assessors, then the first by their keys.
func fullest(f Figure, people int, of Amount, sets []crossed) crossed {
	enough := atLeast(f, of)
	var best crossed
	for _, c := range sets {
		if len(c.by) >= people && cmp.Or(cmp.Compare(min(c.seen()[of], enough), min(best.seen()[of], enough)),
			cmp.Compare(len(c.by)*len(c.grooms), len(best.by)*len(best.grooms)),
			cmp.Compare(len(c.by), len(best.by)), slices.Compare(best.by, c.by)) > 0 {
			best = c
		}
	}
	return best
}

// balanced keeps the apprentices with two grooms or more, and of each the newest,
// as many as the one with the fewest has.
func (c crossed) balanced() crossed {
	have := map[string]int{}
	for _, g := range c.grooms {
		have[g.apprentice]++
	}
	each := len(c.grooms)
	for _, n := range have {
		if n >= 2 {
			each = min(each, n)
		}
	}
	out := crossed{by: c.by}
	for _, g := range c.grooms {
		switch n := have[g.apprentice]; {
		case n > each: // an older one
			have[g.apprentice]--
		case n >= 2:
			out.grooms = append(out.grooms, g)
		}
	}
	return out
}

// byApprentice is [apprentice][groom][assessor], apprentices as they come.
func (c crossed) byApprentice() [][][]float64 {
	at := map[string]int{}
	var out [][][]float64
	for _, g := range c.grooms {
		i, known := at[g.apprentice]
		if !known {
			i = len(out)
			at[g.apprentice] = i
			out = append(out, nil)
		}
		out[i] = append(out[i], g.marks)
	}
	return out
}
