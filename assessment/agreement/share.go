package agreement

import "math"

// maxCount is more grooms than any salon marks twice; it keeps sums of counts
// well inside what float64 holds exactly.
const maxCount = 1_000_000

// Share is a part of a whole with its margin.
type Share struct {
	Hits, Of int      // counts
	Value    Number   // Hits / Of, 0 to 1
	Range    Interval // 0 to 1
}

// NewShare returns hits out of of with Wilson's interval (Wilson 1927, J Am
// Stat Assoc 22:209). There is no share of nothing.
func NewShare(hits, of int) Share {
	s := Share{Hits: hits, Of: of}
	switch {
	case hits < 0 || hits > of || of > maxCount:
		s.Value, s.Range = none(whyBadCount), noInterval(whyBadCount)
	case of == 0:
		s.Value, s.Range = none(whyNothing), noInterval(whyNothing)
	default:
		s.Value = number(float64(hits) / float64(of))
		s.Range = wilson(hits, of, z95)
	}
	return s
}

// wilson is the interval of all shares that hits out of of > 0 does not
// contradict at z standard errors. It ends exactly at 0 and 1 where it should.
func wilson(hits, of int, z float64) Interval {
	x, n := float64(hits), float64(of)
	centre := x + z*z/2
	half := z * math.Sqrt(x*(n-x)/n+z*z/4)
	low, high := (centre-half)/(n+z*z), (centre+half)/(n+z*z)
	if hits == 0 {
		low = 0
	}
	if hits == of {
		high = 1
	}
	return interval(low, high).within(0, 1)
}
