package assessment

import "fmt"

// Outcome is the result of a rated piece of work.
type Outcome uint8

const (
	// Incomplete: something that decides was not seen, so there is no result.
	Incomplete Outcome = iota
	// NotYet: seen, and below the standard.
	NotYet
	// Meets the standard.
	Meets
)

// String returns the word shown to people.
func (o Outcome) String() string { return [...]string{"Incomplete", "Not yet", "Meets"}[o] }

// Part is one weighted part of a score.
type Part struct {
	Weight int64 // 1 or more
	Top    int64 // highest possible rating, 1 or more
	Rating int64 // 0 to Top
	Must   int64 // rating that has to be reached, on the scale of Rating; 0 when none
	Rated  bool  // false: not applicable or not seen; never counted as 0
}

// Ratio is an exact fraction; Den is positive, or 0 when there is no value.
type Ratio struct{ Num, Den int64 }

// AtLeast reports whether r ≥ s, by cross-multiplication. A ratio without a
// value is at least nothing.
func (r Ratio) AtLeast(s Ratio) bool {
	return r.Den > 0 && r.Num*s.Den >= s.Num*r.Den
}

// Float returns the value for display and export; 0 when there is none.
// Decisions never use it.
func (r Ratio) Float() float64 {
	if r.Den == 0 {
		return 0
	}
	return float64(r.Num) / float64(r.Den)
}

// Truncated returns r·scale cut off after the given number of decimals, or a dash
// when there is no value. It is
// cut, not rounded, so that a value just below a line is never printed as the
// line: 3.496 prints as 3.49, not as 3.50.
func (r Ratio) Truncated(scale int64, decimals int) string {
	return r.decimal(scale, decimals, 0)
}

// Rounded returns r·scale rounded to the given number of decimals, halves away
// from zero. It is for display; where a line decides, Truncated shows it.
func (r Ratio) Rounded(scale int64, decimals int) string {
	return r.decimal(scale, decimals, 1)
}

// decimal works in whole numbers: floor((2·num·scale·10^d + half·den) / (2·den)).
func (r Ratio) decimal(scale int64, decimals int, half int64) string {
	if r.Den == 0 {
		return "–"
	}
	unit := int64(1)
	for range decimals {
		unit *= 10
	}
	n, sign := r.Num, ""
	if n < 0 {
		n, sign = -n, "−"
	}
	if n = (2*n*scale*unit + half*r.Den) / (2 * r.Den); n == 0 {
		sign = "" // nothing is not less than nothing
	}
	if decimals == 0 {
		return fmt.Sprintf("%s%d", sign, n)
	}
	return fmt.Sprintf("%s%d.%0*d", sign, n/unit, decimals, n%unit)
}

// Lowest returns the ratio in lowest terms.
func (r Ratio) Lowest() Ratio {
	a, b := r.Num, r.Den
	for b != 0 {
		a, b = b, a%b
	}
	if a < 0 {
		a = -a
	}
	if a == 0 {
		return r
	}
	return Ratio{r.Num / a, r.Den / a}
}

// Weighed is the exact weighted score of some parts.
type Weighed struct {
	Score      Ratio // Σ weight·rating/top ÷ Σ weight, over the rated parts
	Weight     int64 // Σ weight of the rated parts
	Failed     []int // rated parts below their must
	Unobserved []int // parts with a must that were not rated
}

// Weigh adds up the parts that were rated and leaves the others out: weights
// renormalise, and not seen is never zero.
func Weigh(parts []Part) Weighed {
	var w Weighed
	common := int64(1)
	for _, p := range parts {
		if p.Rated {
			common = common / (Ratio{common, p.Top}).gcd() * p.Top
		}
	}
	var sum int64
	for i, p := range parts {
		switch {
		case p.Rated:
			sum += p.Weight * p.Rating * (common / p.Top)
			w.Weight += p.Weight
			if p.Rating < p.Must {
				w.Failed = append(w.Failed, i)
			}
		case p.Must > 0:
			w.Unobserved = append(w.Unobserved, i)
		}
	}
	w.Score = Ratio{sum, common * w.Weight}
	return w
}

func (r Ratio) gcd() int64 {
	a, b := r.Num, r.Den
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// Decide compares the exact score with the pass line. A must that was rated
// too low, or a score below the line, is Not yet; otherwise a must that was
// not seen leaves the result Incomplete.
func (w Weighed) Decide(pass Ratio) Outcome {
	switch {
	case len(w.Failed) > 0, w.Weight > 0 && !w.Score.AtLeast(pass):
		return NotYet
	case len(w.Unobserved) > 0 || w.Weight == 0:
		return Incomplete
	}
	return Meets
}
