package estimate

import (
	"fmt"
	"math"

	"tablehand/assessment/sequence"
)

// Interval is a range for a share. 0 ≤ Low ≤ High ≤ 1.
type Interval struct{ Low, High float64 }

// Each two-sided interval is for a share of which x of n observations are an
// instance. With no observations it is 0 to 1, with x = 0 it starts at 0 and
// with x = n it ends at 1. It is an error unless 0 ≤ x ≤ n ≤ MaxCount and conf is
// a confidence.

// Wilson is the score interval (Wilson 1927): close to conf on average over
// shares, so it is the one for description.
func Wilson(x, n int, conf float64) (Interval, error) {
	if err := checkInterval(x, n, conf); err != nil {
		return Interval{}, err
	}
	i := Interval{0, 1}
	size := float64(n)
	z := math.Sqrt2 * math.Erfinv(conf)
	zz := z * z
	centre, half := float64(x)+zz/2, z*math.Sqrt(float64(x)*float64(n-x)/max(1, size)+zz/4)
	if x > 0 {
		i.Low = clamp((centre-half)/(size+zz), 0, 1)
	}
	if x < n {
		i.High = clamp((centre+half)/(size+zz), i.Low, 1)
	}
	return i, nil
}

// Exact is the interval of Clopper & Pearson (1934): it holds the true share in
// at least conf of all cases, whatever the share, so it is the one for a claim.
func Exact(x, n int, conf float64) (Interval, error) {
	if err := checkInterval(x, n, conf); err != nil {
		return Interval{}, err
	}
	tail := (1 - conf) / 2
	return Interval{exactLow(x, n, tail), exactHigh(x, n, tail)}, nil
}

// ExactUpper is the one-sided upper limit of Clopper & Pearson: the largest share
// for which x of n or fewer still has a chance of 1-conf. It is for one look, not
// for looking after every observation.
func ExactUpper(x, n int, conf float64) (float64, error) {
	if err := checkInterval(x, n, conf); err != nil {
		return 0, err
	}
	return exactHigh(x, n, 1-conf), nil
}

func exactLow(x, n int, tail float64) float64 {
	if x == 0 {
		return 0
	}
	d := Beta{float64(x), float64(n - x + 1)}
	return d.quantile(tail, d.Mean())
}

// exactHigh is the low end for what was not counted, turned round.
func exactHigh(x, n int, tail float64) float64 { return 1 - exactLow(n-x, n, tail) }

// Jeffreys is the equal-tailed interval of Beta(x+1/2, n-x+1/2), with the end at
// x = 0 or x = n moved to 0 or 1 (Brown, Cai & DasGupta 2001).
func Jeffreys(x, n int, conf float64) (Interval, error) {
	if err := checkInterval(x, n, conf); err != nil {
		return Interval{}, err
	}
	tail := (1 - conf) / 2
	i := Interval{0, 1}
	clean, not := float64(n-x)+0.5, float64(x)+0.5
	if x > 0 {
		d := Beta{not, clean}
		i.Low = d.quantile(tail, d.Mean())
	}
	if x < n {
		d := Beta{clean, not}
		i.High = max(i.Low, 1-d.quantile(tail, d.Mean()))
	}
	return i, nil
}

func checkInterval(x, n int, conf float64) error {
	if err := checkCounts(x, n); err != nil {
		return err
	}
	return checkConfidence(conf)
}

// ZeroUpper is the one-sided upper limit of the share when none of n
// observations belong to it: 1-(1-conf)^(1/n), 1 for n = 0.
func ZeroUpper(n int, conf float64) (float64, error) {
	if err := checkInterval(0, n, conf); err != nil {
		return 0, err
	}
	if n == 0 {
		return 1, nil
	}
	return -math.Expm1(math.Log1p(-conf) / float64(n)), nil
}

// RuleOfThree is the mental arithmetic for ZeroUpper at 0.95: 3/n, at most 1
// (Hanley & Lippman-Hand 1983). It is too high by a tenth at n = 14 and of no use
// below 10.
func RuleOfThree(n int) (float64, error) {
	if err := checkCounts(0, n); err != nil {
		return 0, err
	}
	return min(1, 3/math.Max(1, float64(n))), nil
}

// ZeroFaultCount is the least number of observations, all clean, that rules out
// a share of p1 not clean with a chance of at most alpha of being wrong: alpha's
// logarithm by that of 1-p1, rounded up. It is an error unless both are strictly
// between 0 and 1 and the number is at most MaxCount.
func ZeroFaultCount(p1, alpha float64) (int, error) {
	if !isOpenShare(p1) {
		return 0, fmt.Errorf("the share to rule out is %v: choose a number between 0 and 1, such as 0.20", p1)
	}
	if !isOpenShare(alpha) {
		return 0, fmt.Errorf("the chance of being wrong is %v: choose a number between 0 and 1, such as 0.05", alpha)
	}
	n := sequence.LeastObservations(p1, alpha)
	if n > MaxCount {
		return 0, fmt.Errorf("a share of %v takes more than %d observations to rule out", p1, MaxCount)
	}
	return n, nil
}
