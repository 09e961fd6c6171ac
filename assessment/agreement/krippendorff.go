package agreement

import (
	"math"
	"slices"
)

// Metric says how far apart two marks are.
type Metric uint8

const (
	Nominal       Metric = iota // the same or not
	Ordinal                     // by the marks that lie between
	IntervalScale               // by their difference
	RatioScale                  // by their difference relative to their sum; marks are 0 or more
)

// KrippendorffAlpha is 1 − observed/expected disagreement among assessors who can
// be exchanged for each other, with gaps, at most 1 (Krippendorff 2011, Computing
// Krippendorff's Alpha-Reliability). units has a row of marks for each groom;
// grooms with fewer than two marks do not count. There is no alpha when all marks
// that count are the same.
func KrippendorffAlpha(units [][]float64, m Metric) Number {
	var paired [][]float64
	for _, marks := range units {
		var given []float64
		for _, x := range marks {
			if tooLarge(x) {
				return none(whyTooLarge)
			}
			if x < 0 && m == RatioScale {
				return none(whyBelowZero)
			}
			if !math.IsNaN(x) {
				given = append(given, x)
			}
		}
		if len(given) >= 2 {
			paired = append(paired, given)
		}
	}
	if len(paired) == 0 {
		return none(whyNoPairs)
	}
	values := slices.Concat(paired...)
	total := float64(len(values))
	slices.Sort(values)
	values = slices.Compact(values)
	if len(values) == 1 {
		return none(whySame)
	}
	// A unit of mu marks gives mu(mu−1) ordered pairs, each worth 1/(mu−1).
	count := make([]float64, len(values))
	rows := make([][]float64, len(paired))
	for u, marks := range paired {
		rows[u] = make([]float64, len(values))
		for _, x := range marks {
			k, _ := slices.BinarySearch(values, x)
			rows[u][k]++
			count[k]++
		}
	}
	distance := m.distances(values, count)
	observed, expected := 0.0, 0.0
	for c := range values {
		for k := range c {
			d := distance(k, c)
			expected += d * count[c] * count[k]
			for u := range rows {
				if both := rows[u][c] * rows[u][k]; both > 0 {
					observed += d * both / float64(len(paired[u])-1)
				}
			}
		}
	}
	return number(1 - (total-1)*observed/expected)
}

// distances returns the squared distance of the marks at positions k < c of the
// ascending values, which occur count times.
func (m Metric) distances(values, count []float64) func(k, c int) float64 {
	upTo := make([]float64, len(count)+1)
	for i, n := range count {
		upTo[i+1] = upTo[i] + n
	}
	span := values[len(values)-1] - values[0] // divides out; keeps squares in range
	return func(k, c int) float64 {
		d := 1.0
		switch m {
		case Ordinal:
			d = upTo[c+1] - upTo[k] - (count[k]+count[c])/2
		case IntervalScale:
			d = (values[c] - values[k]) / span
		case RatioScale:
			d = (values[c] - values[k]) / (values[c] + values[k])
		}
		return d * d
	}
}
