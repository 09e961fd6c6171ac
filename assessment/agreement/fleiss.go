package agreement

import "math"

// FleissKappa is kappa for a group of assessors who need not be the same for
// every groom, only as many: counts[i][j] is how many gave groom i mark j, and
// every row adds up to the same number, at least 2 (Fleiss 1971, Psychol Bull
// 76:378). Luck is judged from the marks of all together, so for two assessors it
// is Scott's pi, not Cohen's kappa. No margin is given; see FleissZ.
func FleissKappa(counts [][]int) Coefficient {
	shares, pairs, raters, why := fleissSums(counts)
	if why != "" {
		return noCoefficient(0, why)
	}
	expectedApart := 0.0
	for _, p := range shares {
		expectedApart += p * (1 - p)
	}
	all := float64(len(counts)) * float64(raters) * float64(raters-1)
	return luckOut(len(counts), (all-pairs)/all, expectedApart)
}

// luckOut makes a Coefficient without a margin from observed and expected
// disagreement.
func luckOut(grooms int, observed, expected float64) Coefficient {
	c := Coefficient{Grooms: grooms, Observed: number(1 - observed), Expected: number(1 - expected)}
	if expected <= 0 {
		c.Value, c.SE, c.Range = none(whyOneLevel), none(whyOneLevel), noInterval(whyOneLevel)
		return c
	}
	c.Value, c.SE, c.Range = number(1-observed/expected), none(whyNoMargin), noInterval(whyNoMargin)
	return c
}

// fleissSums returns the share of each mark, the number of ordered pairs of
// assessors that agree, and the number of assessors.
func fleissSums(counts [][]int) (shares []float64, pairs float64, raters int, why string) {
	if len(counts) == 0 {
		return nil, 0, 0, whyNothing
	}
	shares = make([]float64, len(counts[0]))
	for i, row := range counts {
		if len(row) != len(shares) {
			return nil, 0, 0, whyNotTable
		}
		sum := 0
		for j, c := range row {
			if c < 0 || c > maxCount {
				return nil, 0, 0, whyBadCount
			}
			if sum += c; sum > maxCount {
				return nil, 0, 0, whyBadCount
			}
			shares[j] += float64(c)
			pairs += float64(c) * float64(c-1)
		}
		if i > 0 && sum != raters {
			return nil, 0, 0, whyNotTable
		}
		raters = sum
	}
	if raters < 2 {
		return nil, 0, 0, whyNoPairs
	}
	all := float64(len(counts)) * float64(raters)
	for j := range shares {
		shares[j] /= all
	}
	return shares, pairs, raters, ""
}

// FleissZ is Fleiss' kappa in standard errors from luck, with the standard error
// that holds when there is nothing but luck (Fleiss, Nee & Landis 1979, Psychol
// Bull 86:974). About 2 or more is hard to put down to luck.
func FleissZ(counts [][]int) Number {
	kappa := FleissKappa(counts).Value
	if !kappa.OK {
		return kappa
	}
	shares, _, raters, _ := fleissSums(counts)
	pq, skew := 0.0, 0.0
	for _, p := range shares {
		pq += p * (1 - p)
		skew += p * (1 - p) * (1 - 2*p)
	}
	variance := 2 * (pq*pq - skew) / (float64(len(counts)) * float64(raters) * float64(raters-1) * pq * pq)
	return number(kappa.Value / math.Sqrt(variance))
}

// FleissKappaMissing is FleissKappa when not every assessor marked every groom.
// units has a row of marks for each groom, categories lists the possible marks in
// ascending order. Grooms with two or more marks give the agreement found, all
// marked grooms the shares of the marks, each groom with the same say (Gwet 2014,
// Handbook of Inter-Rater Reliability, 4th ed.).
func FleissKappaMissing(units [][]float64, categories []float64) Coefficient {
	t, why := tally(units, categories)
	if why != "" {
		return noCoefficient(0, why)
	}
	w := Unweighted(len(categories))
	apart, expected := 0.0, 0.0
	for _, a := range t.apart(w) {
		apart += a
	}
	for _, p := range t.shares() {
		expected += p * (1 - p)
	}
	return luckOut(t.paired, apart/float64(t.paired), expected)
}
