package agreement

import "math"

// twoWay is the analysis of variance of a full table with one mark in each cell.
type twoWay struct {
	rows, cols int
	// Sums of squares: of row means, of column means, and of what they leave.
	ssRows, ssCols, ssRest float64
}

func (a twoWay) msRows() float64 { return a.ssRows / float64(a.rows-1) }
func (a twoWay) msCols() float64 { return a.ssCols / float64(a.cols-1) }
func (a twoWay) msRest() float64 { return a.ssRest / float64((a.rows-1)*(a.cols-1)) }

// msWithin is the mean square within rows, columns not told apart.
func (a twoWay) msWithin() float64 {
	return (a.ssCols + a.ssRest) / float64(a.rows*(a.cols-1))
}

// checkTable says what keeps x from being a full table of at least two rows and
// columns, and returns the size of its largest mark.
func checkTable(x [][]float64) (largest float64, why string) {
	if len(x) < 2 || len(x[0]) < 2 {
		return 0, whyTooFew
	}
	for _, row := range x {
		if len(row) != len(x[0]) {
			return 0, whyNotTable
		}
		for _, v := range row {
			switch {
			case math.IsNaN(v):
				return 0, whyGaps
			case tooLarge(v):
				return 0, whyTooLarge
			}
			largest = max(largest, math.Abs(v))
		}
	}
	return largest, ""
}

// analyse adds up squares of deviations, never differences of large sums.
func analyse(x [][]float64) (a twoWay, why string) {
	largest, why := checkTable(x)
	if why != "" {
		return a, why
	}
	a.rows, a.cols = len(x), len(x[0])
	n, k := float64(a.rows), float64(a.cols)
	grand, rowMean, colMean := 0.0, make([]float64, a.rows), make([]float64, a.cols)
	for i, row := range x {
		for j, v := range row {
			rowMean[i] += v / k
			colMean[j] += v / n
			grand += v / k / n
		}
	}
	for i, row := range x {
		for j, v := range row {
			r, c := rowMean[i]-grand, colMean[j]-grand
			e := v - grand - r - c
			a.ssRows += r * r
			a.ssCols += c * c
			a.ssRest += e * e
		}
	}
	cells := a.rows * a.cols
	a.ssRows = unlessNoise(a.ssRows, cells, largest)
	a.ssCols = unlessNoise(a.ssCols, cells, largest)
	a.ssRest = unlessNoise(a.ssRest, cells, largest)
	return a, ""
}

// threeWay is the same for x[p][i][r]: sums of squares of the three main effects,
// of their three interactions, and of what is left.
type threeWay struct {
	np, ni, nr                         int
	ssP, ssI, ssR, ssPI, ssPR, ssIR, e float64
}

// cube holds the means of x[p][i][r] over whatever is left out of the name.
type cube struct {
	all        float64
	p, i, r    []float64
	pi, pr, ir [][]float64
}

func grid(n, k int) [][]float64 {
	g := make([][]float64, n)
	for i := range g {
		g[i] = make([]float64, k)
	}
	return g
}

func cubeMeans(x [][][]float64) cube {
	np, ni, nr := len(x), len(x[0]), len(x[0][0])
	m := cube{p: make([]float64, np), i: make([]float64, ni), r: make([]float64, nr),
		pi: grid(np, ni), pr: grid(np, nr), ir: grid(ni, nr)}
	fp, fi, fr := float64(np), float64(ni), float64(nr)
	for p := range x {
		for i := range x[p] {
			for r, v := range x[p][i] {
				m.all += v / fp / fi / fr
				m.p[p] += v / fi / fr
				m.i[i] += v / fp / fr
				m.r[r] += v / fp / fi
				m.pi[p][i] += v / fr
				m.pr[p][r] += v / fi
				m.ir[i][r] += v / fp
			}
		}
	}
	return m
}

func analyse3(x [][][]float64) (a threeWay, why string) {
	if len(x) < 2 || len(x[0]) < 2 || len(x[0][0]) < 2 {
		return a, whyTooFew
	}
	largest := 0.0
	for _, table := range x {
		if len(table) != len(x[0]) || len(table[0]) != len(x[0][0]) {
			return a, whyNotTable
		}
		big, why := checkTable(table)
		if why != "" {
			return a, why
		}
		largest = max(largest, big)
	}
	a.np, a.ni, a.nr = len(x), len(x[0]), len(x[0][0])
	m := cubeMeans(x)
	for p := range x {
		for i := range x[p] {
			for r, v := range x[p][i] {
				dp, di, dr := m.p[p]-m.all, m.i[i]-m.all, m.r[r]-m.all
				dpi, dpr, dir := m.pi[p][i]-m.all-dp-di, m.pr[p][r]-m.all-dp-dr, m.ir[i][r]-m.all-di-dr
				rest := v - m.all - dp - di - dr - dpi - dpr - dir
				a.ssP += dp * dp
				a.ssI += di * di
				a.ssR += dr * dr
				a.ssPI += dpi * dpi
				a.ssPR += dpr * dpr
				a.ssIR += dir * dir
				a.e += rest * rest
			}
		}
	}
	for _, ss := range []*float64{&a.ssP, &a.ssI, &a.ssR, &a.ssPI, &a.ssPR, &a.ssIR, &a.e} {
		*ss = unlessNoise(*ss, a.np*a.ni*a.nr, largest)
	}
	return a, ""
}
