package agreement

import "math"

// Coefficient is agreement with the agreement that luck alone would give taken
// out: (Observed − Expected) / (1 − Expected). It is 1 when all agree, 0 when
// they agree as often as luck would have it, and below 0 when less often.
type Coefficient struct {
	Grooms   int      // grooms it rests on
	Observed Number   // agreement found, 0 to 1, near misses weighted
	Expected Number   // agreement by luck, 0 to 1
	Value    Number   // at most 1
	SE       Number   // standard error of Value, 0 or more
	Range    Interval // at most 1
}

func noCoefficient(grooms int, why string) Coefficient {
	return Coefficient{grooms, none(why), none(why), none(why), none(why), noInterval(why)}
}

// Weights says how much credit a pair of marks gets, by the positions of the two
// on the scale: 1 for a match, down to 0.
type Weights [][]float64

// Unweighted gives no credit for a near miss. k is the number of possible marks.
func Unweighted(k int) Weights {
	return weigh(k, func(float64) float64 { return 0 })
}

// Linear takes credit away in proportion to how many steps the marks are apart.
func Linear(k int) Weights {
	return weigh(k, func(apart float64) float64 { return 1 - apart })
}

// Quadratic takes credit away by the square of the steps: little for a near
// miss, much for a gross one.
func Quadratic(k int) Weights {
	return weigh(k, func(apart float64) float64 { return 1 - apart*apart })
}

// weigh calls credit with the steps apart as a share of the whole scale.
func weigh(k int, credit func(apart float64) float64) Weights {
	w := make(Weights, max(0, k))
	for i := range w {
		w[i] = make([]float64, k)
		for j := range w[i] {
			w[i][j] = 1
			if i != j {
				w[i][j] = credit(math.Abs(float64(i-j)) / float64(k-1))
			}
		}
	}
	return w
}

// fit reports whether the weights are for k marks and make sense: something has
// to get less than full credit.
func (w Weights) fit(k int) bool {
	if len(w) != k {
		return false
	}
	strict := k == 1
	for i, row := range w {
		if len(row) != k || row[i] != 1 {
			return false
		}
		for _, v := range row {
			if !(v >= 0 && v <= 1) {
				return false
			}
			strict = strict || v < 1
		}
	}
	return strict
}

// tableTotal is the number of grooms in a square table of counts; a why that is
// not empty says what is wrong with it.
func tableTotal(table [][]int) (n int, why string) {
	for _, row := range table {
		if len(row) != len(table) {
			return 0, whyNotTable
		}
		for _, c := range row {
			if c < 0 || c > maxCount {
				return 0, whyBadCount
			}
			if n += c; n > maxCount {
				return 0, whyBadCount
			}
		}
	}
	if n == 0 {
		return 0, whyNothing
	}
	return n, ""
}

// CohenKappa is kappa for two assessors: table[i][j] counts the grooms that A
// gave mark i and B mark j (Cohen 1960, Educ Psychol Meas 20:37; weighted, Cohen
// 1968, Psychol Bull 70:213). Luck is judged from each assessor's own habits.
// The standard error is the one that holds when kappa is not 0 (Fleiss, Cohen &
// Everitt 1969, Psychol Bull 72:323); it wants some 30 grooms, and none is given
// when the marks fit exactly or leave it nothing to go by.
//
// Where one mark is nearly always right, kappa is low however well they agree:
// 98 alike out of 100 can give a kappa below 0. It is to be shown beside AC1.
func CohenKappa(table [][]int, w Weights) Coefficient {
	total, why := tableTotal(table)
	if why == "" && !w.fit(len(table)) {
		why = whyBadWeights
	}
	if why != "" {
		return noCoefficient(0, why)
	}
	k, n := len(table), float64(total)
	rows, cols := make([]float64, k), make([]float64, k)
	for i := range table {
		for j, c := range table[i] {
			rows[i] += float64(c) / n
			cols[j] += float64(c) / n
		}
	}
	// Disagreement adds up from zero, so that "none expected" is exact.
	observed, expected := 0.0, 0.0
	rowMean, colMean := make([]float64, k), make([]float64, k)
	for i := range table {
		for j, c := range table[i] {
			observed += (1 - w[i][j]) * float64(c) / n
			expected += (1 - w[i][j]) * rows[i] * cols[j]
			rowMean[i] += w[i][j] * cols[j]
			colMean[j] += w[i][j] * rows[i]
		}
	}
	c := Coefficient{Grooms: total, Observed: number(1 - observed), Expected: number(1 - expected)}
	if expected == 0 {
		c.Value, c.SE, c.Range = none(whyOneLevel), none(whyOneLevel), noInterval(whyOneLevel)
		return c
	}
	ratio := observed / expected // 1 − kappa
	c.Value = number(1 - ratio)
	if observed == 0 {
		c.SE, c.Range = none(whyExact), noInterval(whyExact)
		return c
	}
	sum := 0.0
	for i := range table {
		for j, count := range table[i] {
			d := w[i][j] - (rowMean[i]+colMean[j])*ratio
			sum += float64(count) / n * d * d
		}
	}
	centre := 1 - ratio - (1-expected)*ratio
	if sum-centre*centre <= 1e-14 { // nothing but rounding
		c.SE, c.Range = none(whyNoScatter), noInterval(whyNoScatter)
		return c
	}
	se := math.Sqrt((sum-centre*centre)/n) / expected
	c.SE = number(se)
	c.Range = interval(1-ratio-z95*se, 1-ratio+z95*se).within(-1, 1)
	return c
}
