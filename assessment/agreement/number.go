package agreement

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// Number is one figure, or the reason why there is none. The zero Number is no
// figure.
type Number struct {
	Value float64 // finite; 0 when not OK
	OK    bool
	Why   string // when not OK, a sentence that says what is missing
}

// Interval is a pair of bounds, or the reason why there is none. The zero
// Interval is no interval.
type Interval struct {
	Low, High float64 // finite, Low ≤ High; 0 when not OK
	OK        bool
	Why       string // when not OK, a sentence that says what is missing
}

// NotRated stands for a mark that was not given, where a table may have gaps.
func NotRated() float64 { return math.NaN() }

// The reasons, as they are shown to people.
const (
	whyNothing     = "Nothing has been marked by both yet."
	whyNotTable    = "The marks do not fit together: every groom needs the same number of them."
	whyGaps        = "This figure needs a mark from every assessor for every groom."
	whyTooFew      = "This figure needs at least two grooms and two assessors."
	whyOnePair     = "One groom has no spread; this figure needs at least two."
	whyNoPairs     = "No groom has been marked by two assessors yet."
	whySame        = "All the marks are the same, so nothing shows whether the assessors can tell grooms apart."
	whyOneLevel    = "Everything got the same mark, so agreeing by luck and agreeing on purpose look alike."
	whyExact       = "The marks fit exactly, so there is no scatter to work a margin out from."
	whyNoScatter   = "The marks leave too little to work a margin out from."
	whySameGap     = "Every pair of marks differs by the same amount, so there is no spread to work with."
	whyGroomsAlike = "The grooms do not differ more than marks of one groom do, so there is nothing to tell apart."
	whyBadCount    = "A count below zero, or above a million, cannot be right."
	whyBadMark     = "A mark is not on the list of possible marks."
	whyBadWeights  = "The credit for a pair of marks must be 1 for a match and 0 to 1 for a miss, and not 1 for all of them."
	whyBelowZero   = "This figure is for marks that start at zero, and one is below."
	whyNoMargin    = "No margin is worked out for this figure."
	whyTooLarge    = "The marks are too large to calculate with."
)

// number keeps a value that can be shown. Whatever arithmetic could not hold
// becomes a reason.
func number(v float64) Number {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return none(whyTooLarge)
	}
	return Number{Value: v, OK: true}
}

func none(why string) Number { return Number{Why: why} }

func interval(low, high float64) Interval {
	if math.IsNaN(low) || math.IsNaN(high) || math.IsInf(low, 0) || math.IsInf(high, 0) || low > high {
		return noInterval(whyTooLarge)
	}
	return Interval{Low: low, High: high, OK: true}
}

func noInterval(why string) Interval { return Interval{Why: why} }

// within cuts an interval off at the ends of the scale it is on.
func (i Interval) within(low, high float64) Interval {
	if !i.OK {
		return i
	}
	return interval(min(max(i.Low, low), high), max(min(i.High, high), low))
}

// maxMark is the largest mark, up or down, that can be squared and added up.
const maxMark = 1e100

// tooLarge reports whether a mark cannot be calculated with. NaN is not too
// large.
func tooLarge(mark float64) bool { return math.Abs(mark) > maxMark }

// noise is the sum of squares that rounding alone can leave behind in n marks of
// this size. A sum no larger counts as 0, so that marks which fit exactly, such
// as 0.1 + 0.2 beside 0.3, are recognised. Adding up n marks for a mean can lose
// half a unit in the last place each time, and a few means are involved.
func noise(n int, largest float64) float64 {
	each := max(1e-14, float64(n)*0x1p-51) * largest
	return float64(n) * each * each
}

// unlessNoise returns ss, or 0 if rounding alone may have left it behind.
func unlessNoise(ss float64, n int, largest float64) float64 {
	if ss <= noise(n, largest) {
		return 0
	}
	return ss
}

// z95 is the 97.5 % point of the normal distribution.
const z95 = 1.959963984540054

// t95 is the 97.5 % point of Student's t with df > 0 degrees of freedom.
func t95(df float64) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Quantile(0.975)
}

// f95 is the 97.5 % point of Fisher's F with d1, d2 > 0 degrees of freedom. It
// comes from the upper tail, because the lower one loses its digits near 1.
func f95(d1, d2 float64) float64 {
	y := mathext.InvRegIncBeta(d2/2, d1/2, 0.025)
	return d2 * (1 - y) / (d1 * y)
}
