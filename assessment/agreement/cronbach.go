package agreement

import "math"

// Consistency is how well the parts of a score go together.
type Consistency struct {
	Rows, Parts int
	Alpha       Number // Cronbach's alpha, at most 1; below 0 when parts pull apart
	TotalSD     Number // standard deviation of the totals, from Rows − 1, units of the marks
	TotalSEM    Number // standard error of one total, TotalSD √(1 − Alpha), units of the marks
}

// Cronbach takes scores[row][part], at least two of each and no gaps: a row for
// each apprentice or groom, a column for each criterion (Cronbach 1951,
// Psychometrika 16:297). It equals ICC(3,k).
func Cronbach(scores [][]float64) Consistency {
	a, why := analyse(scores)
	if why != "" {
		return Consistency{Alpha: none(why), TotalSD: none(why), TotalSEM: none(why)}
	}
	// The variance of totals is k times the mean square between rows; what the
	// parts lose to it is the mean square of the rest.
	between, rest, k := a.msRows(), a.msRest(), float64(a.cols)
	c := Consistency{Rows: a.rows, Parts: a.cols}
	c.TotalSD = number(math.Sqrt(k * between))
	c.TotalSEM = number(math.Sqrt(k * rest))
	c.Alpha = ratio(between-rest, between)
	return c
}
