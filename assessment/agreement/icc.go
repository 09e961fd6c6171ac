package agreement

// ICC is the intraclass correlation of a full table of marks in all six forms of
// Shrout & Fleiss (1979, Psychol Bull 86:420), with their confidence intervals
// (also McGraw & Wong 1996, Psychol Methods 1:30). Each is the share of the
// differences between marks that lies in the grooms; it can fall below 0, and it
// depends on how different the grooms are.
type ICC struct {
	Grooms, Assessors int

	// Mean squares, in squared units of the marks: between grooms, within
	// grooms, between assessors, and what is left.
	MSB, MSW, MSJ, MSE Number

	One    Form // ICC(1,1): each groom was marked by different assessors
	Two    Form // ICC(2,1): the same assessors, drawn at random; being strict counts as error
	Three  Form // ICC(3,1): these assessors only; being strict is forgiven, so wrong for pass or fail
	OneK   Form // ICC(1,k), ICC(2,k), ICC(3,k): the same for the mean of all assessors
	TwoK   Form
	ThreeK Form
}

// Form is one intraclass correlation with its margin; both at most 1.
type Form struct {
	Value Number
	Range Interval
}

// NewICC takes a row for each groom and a column for each assessor, at least two
// of each and no gaps.
func NewICC(marks [][]float64) ICC {
	a, why := analyse(marks)
	if why != "" {
		f := Form{none(why), noInterval(why)}
		return ICC{0, 0, none(why), none(why), none(why), none(why), f, f, f, f, f, f}
	}
	n, k := float64(a.rows), float64(a.cols)
	b, w, j, e := a.msRows(), a.msWithin(), a.msCols(), a.msRest()
	c := ICC{Grooms: a.rows, Assessors: a.cols, MSB: number(b), MSW: number(w), MSJ: number(j), MSE: number(e)}
	c.One, c.OneK = forms(b, w, n-1, n*(k-1), k)
	c.Three, c.ThreeK = forms(b, e, n-1, (n-1)*(k-1), k)
	c.Two, c.TwoK = absolute(b, j, e, n, k)
	return c
}

// ratio is a quotient whose denominator is above 0 unless the grooms do not
// differ at all.
func ratio(over, under float64) Number {
	if under <= 0 {
		return none(whyGroomsAlike)
	}
	return number(over / under)
}

// forms is the correlation of one mark and of the mean of k when the mean square
// between grooms, with db degrees of freedom, is compared with one error mean
// square, with de. Multiplied out, so that no mean square is divided by 0.
func forms(between, err, db, de, k float64) (one, mean Form) {
	if between == 0 && err == 0 {
		f := Form{none(whySame), noInterval(whySame)}
		return f, f
	}
	one.Value = ratio(between-err, between+(k-1)*err)
	mean.Value = ratio(between-err, between)
	one.Range, mean.Range = noInterval(whyExact), noInterval(whyExact)
	if between == 0 {
		one.Range, mean.Range = noInterval(whyGroomsAlike), noInterval(whyGroomsAlike)
	}
	if err == 0 || between == 0 {
		return one, mean
	}
	low, high := f95(db, de), f95(de, db)
	one.Range = interval(
		(between-low*err)/(between+(k-1)*low*err),
		(high*between-err)/(high*between+(k-1)*err))
	mean.Range = interval((between-low*err)/between, (high*between-err)/(high*between))
	return one, mean
}

// absolute is ICC(2,1) and ICC(2,k) from the mean squares between grooms, between
// assessors and of the rest. The interval is the approximate one of Shrout &
// Fleiss, with Satterthwaite's degrees of freedom.
func absolute(b, j, e, n, k float64) (one, mean Form) {
	if b == 0 && j == 0 && e == 0 {
		f := Form{none(whySame), noInterval(whySame)}
		return f, f
	}
	one.Value = ratio(b-e, b+(k-1)*e+k*(j-e)/n)
	mean.Value = ratio(b-e, b+(j-e)/n)
	one.Range, mean.Range = noInterval(whyExact), noInterval(whyExact)
	if b == 0 || !one.Value.OK {
		one.Range, mean.Range = noInterval(whyGroomsAlike), noInterval(whyGroomsAlike)
		return one, mean
	}
	if j == 0 && e == 0 {
		return one, mean
	}
	one.Range, mean.Range = noInterval(whyNoScatter), noInterval(whyNoScatter)
	r := one.Value.Value
	byAssessor, byRest := k*r*j, (n*(1+(k-1)*r)-k*r)*e
	df := (k - 1) * (n - 1) * (byAssessor + byRest) * (byAssessor + byRest) /
		((n-1)*byAssessor*byAssessor + byRest*byRest)
	if !(df > 0) {
		return one, mean
	}
	low, high := f95(n-1, df), f95(df, n-1)
	if tooLarge(low) || tooLarge(high) { // a small fraction of one degree of freedom
		return one, mean
	}
	err := k*j + (k*n-k-n)*e
	lo, hi := n*(b-low*e)/(low*err+n*b), n*(high*b-e)/(err+n*high*b)
	one.Range = interval(lo, hi)
	mean.Range = noInterval(whyGroomsAlike)
	if mean.Value.OK && 1+lo*(k-1) > 0 {
		mean.Range = interval(lo*k/(1+lo*(k-1)), hi*k/(1+hi*(k-1)))
	}
	return one, mean
}
