package agreement

import (
	"math"
	"slices"
)

// Gwet is Gwet's AC1, or AC2 when near misses get credit, for any number of
// assessors and with gaps (Gwet 2008, Br J Math Stat Psychol 61:29; 2014,
// Handbook of Inter-Rater Reliability, 4th ed.). units has a row of marks for
// each groom; categories lists the possible marks in ascending order, used or
// not, and w weighs them. Grooms with two or more marks give the agreement
// found, all marked grooms the shares of the marks.
//
// Luck is taken to strike only where a groom is hard to mark, so the figure stays
// steady where one mark is nearly always right. For the same reason it can look
// good when the rare mark was never put to the test: show kappa beside it.
//
// The standard error and the interval are Gwet's for grooms drawn at random, with
// t on the number of grooms less 1. None is given when the marks fit exactly or
// leave it nothing to go by.
func Gwet(units [][]float64, categories []float64, w Weights) Coefficient {
	t, why := tally(units, categories)
	if why = gwetFault(why, len(categories), w); why != "" {
		return noCoefficient(0, why)
	}
	return gwet(t, w)
}

// GwetTable is Gwet for two assessors without gaps, from a table of counts as in
// CohenKappa.
func GwetTable(table [][]int, w Weights) Coefficient {
	_, why := tableTotal(table)
	q := len(table)
	if why = gwetFault(why, q, w); why != "" {
		return noCoefficient(0, why)
	}
	t := tallied{marks: q}
	for i := range table {
		for j, c := range table[i] {
			if c == 0 {
				continue
			}
			row := make([]float64, q)
			row[i]++
			row[j]++
			t.add(row, 2, c)
		}
	}
	return gwet(t, w)
}

// gwetFault is why there is no figure: what is wrong with the marks, or else with
// the number q of possible marks and their weights.
func gwetFault(marks string, q int, w Weights) string {
	switch {
	case marks != "":
		return marks
	case q < 2:
		return whyOneLevel
	case !w.fit(q):
		return whyBadWeights
	}
	return ""
}

func gwet(t tallied, w Weights) Coefficient {
	q, n, shares := float64(t.marks), float64(t.marked), t.shares()
	credit := 0.0
	for i := range w {
		for j := range w[i] {
			credit += w[i][j]
		}
	}
	credit /= q * (q - 1)
	expected := 0.0
	for _, p := range shares {
		expected += credit * p * (1 - p)
	}
	apart := t.apart(w)
	observed := 0.0
	for i, a := range apart {
		observed += a * float64(t.times[i])
	}
	observed /= float64(t.paired)
	c := Coefficient{Grooms: t.paired, Observed: number(1 - observed), Expected: number(expected)}
	value := 1 - observed/(1-expected)
	c.Value = number(value)
	if observed == 0 {
		c.SE, c.Range = none(whyExact), noInterval(whyExact)
		return c
	}
	if t.marked < 2 {
		c.SE, c.Range = none(whyOnePair), noInterval(whyOnePair)
		return c
	}
	sum := t.scatter(apart, shares, credit, value, expected)
	if sum <= 1e-14*n { // nothing but rounding
		c.SE, c.Range = none(whyNoScatter), noInterval(whyNoScatter)
		return c
	}
	se := math.Sqrt(sum / (n * (n - 1)))
	half := t95(n-1) * se
	c.SE, c.Range = number(se), interval(value-half, value+half).within(math.Inf(-1), 1)
	return c
}

// scatter is the sum over grooms of the squared difference between what a groom
// by itself gives, its luck corrected for, and value (Gwet 2008).
func (t *tallied) scatter(apart, shares []float64, credit, value, expected float64) float64 {
	sum := 0.0
	for i, row := range t.rows {
		own, luck := 0.0, 0.0
		if t.raters[i] >= 2 {
			own = float64(t.marked) / float64(t.paired) * (1 - apart[i] - expected) / (1 - expected)
		}
		for k, r := range row {
			luck += credit * (1 - shares[k]) * r / t.raters[i]
		}
		d := own - 2*(1-value)*(luck-expected)/(1-expected) - value
		sum += float64(t.times[i]) * d * d
	}
	return sum
}

// tallied counts marks groom by groom. Grooms with equal counts may share a row.
type tallied struct {
	marks  int         // possible marks
	rows   [][]float64 // for each kind of groom, how many assessors gave each mark
	raters []float64   // how many assessors marked it, at least 1
	times  []int       // how many such grooms
	marked int         // grooms marked by at least one
	paired int         // grooms marked by two or more
}

func (t *tallied) add(row []float64, raters, times int) {
	t.rows = append(t.rows, row)
	t.raters = append(t.raters, float64(raters))
	t.times = append(t.times, times)
	t.marked += times
	if raters >= 2 {
		t.paired += times
	}
}

// tally sorts the marks of each groom by category. It says why if they cannot be
// used or no groom has two marks.
func tally(units [][]float64, categories []float64) (t tallied, why string) {
	for k, c := range categories {
		if math.IsNaN(c) || k > 0 && !(categories[k-1] < c) {
			return t, whyBadMark
		}
	}
	t.marks = len(categories)
	for _, marks := range units {
		row, raters := make([]float64, len(categories)), 0
		for _, m := range marks {
			if math.IsNaN(m) {
				continue
			}
			k, found := slices.BinarySearch(categories, m)
			if !found {
				return t, whyBadMark
			}
			row[k]++
			raters++
		}
		if raters > 0 {
			t.add(row, raters, 1)
		}
	}
	if t.paired == 0 {
		return t, whyNoPairs
	}
	return t, ""
}

// shares is the share of each mark, averaged over the marked grooms.
func (t *tallied) shares() []float64 {
	out := make([]float64, t.marks)
	for i, row := range t.rows {
		for k, r := range row {
			out[k] += float64(t.times[i]) * r / t.raters[i]
		}
	}
	for k := range out {
		out[k] /= float64(t.marked)
	}
	return out
}

// apart is, for each row, the mean credit lost by a pair of assessors: 0 to 1,
// and 0 where there is no pair.
func (t *tallied) apart(w Weights) []float64 {
	out := make([]float64, len(t.rows))
	for i, row := range t.rows {
		if t.raters[i] < 2 {
			continue
		}
		for k, r := range row {
			for l, s := range row {
				out[i] += (1 - w[k][l]) * r * s
			}
		}
		out[i] /= t.raters[i] * (t.raters[i] - 1)
	}
	return out
}
