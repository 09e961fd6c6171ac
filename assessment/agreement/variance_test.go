package agreement

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// naive is a one-way analysis of variance by differences of sums of squares.
func naive(groups [][]float64) (between, within float64) {
	total, squares, groupSquares, n := 0.0, 0.0, 0.0, 0.0
	for _, g := range groups {
		sum := 0.0
		for _, v := range g {
			sum += v
			squares += v * v
		}
		total += sum
		n += float64(len(g))
		groupSquares += sum * sum / float64(len(g))
	}
	k := float64(len(groups))
	return (groupSquares - total*total/n) / (k - 1), (squares - groupSquares) / (n - k)
}

func turn(x [][]float64) [][]float64 {
	out := grid(len(x[0]), len(x))
	for i := range x {
		for j := range x[i] {
			out[j][i] = x[i][j]
		}
	}
	return out
}

// some makes sure that grooms and assessors differ and that nothing fits exactly.
func some(x [][]float64) [][]float64 {
	x[0][0], x[0][1], x[1][0], x[1][1] = 1, 2, 5, 4
	return x
}

func TestICCFromNaiveSums(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, k := rapid.IntRange(2, 8).Draw(t, "n"), rapid.IntRange(2, 5).Draw(t, "k")
		x := some(genGrid(t, n, k))
		c := NewICC(x)
		msb, msw := naive(x)
		msj, _ := naive(turn(x))
		fn, fk := float64(n), float64(k)
		mse := (msw*fn*(fk-1) - msj*(fk-1)) / ((fn - 1) * (fk - 1))
		for name, pair := range map[string][2]float64{
			"between": {msb, value(t, c.MSB)}, "within": {msw, value(t, c.MSW)},
			"assessors": {msj, value(t, c.MSJ)}, "rest": {mse, value(t, c.MSE)},
		} {
			assert.InDelta(t, pair[0], pair[1], close, name)
		}
		if msb < 0.01 {
			return // the forms for a mean divide by it
		}
		assert.InDelta(t, (msb-msw)/(msb+(fk-1)*msw), value(t, c.One.Value), close)
		assert.InDelta(t, 1-msw/msb, value(t, c.OneK.Value), 1e-6)
		// Spearman–Brown leads from one mark to the mean of k.
		for _, f := range [][2]Form{{c.One, c.OneK}, {c.Three, c.ThreeK}, {c.Two, c.TwoK}} {
			if up := 1 + (fk-1)*f[0].Value.Value; f[0].Value.OK && f[1].Value.OK && up > 1e-3 {
				assert.InDelta(t, fk*f[0].Value.Value/up, f[1].Value.Value, 1e-6)
			}
		}
		assert.InDelta(t, value(t, c.ThreeK.Value), value(t, Cronbach(x).Alpha), close)
		for _, f := range []Form{c.One, c.Two, c.Three, c.OneK, c.TwoK, c.ThreeK} {
			if f.Range.OK {
				assert.LessOrEqual(t, f.Range.Low, f.Value.Value+close)
				assert.GreaterOrEqual(t, f.Range.High, f.Value.Value-close)
			}
		}
	})
}

// The forms are shares of variance components.
func TestICCIsGeneralizability(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := some(genGrid(t, rapid.IntRange(2, 8).Draw(t, "n"), rapid.IntRange(2, 5).Draw(t, "k")))
		k := len(x[0])
		c, g, nested := NewICC(x), GStudyPI(x), GStudyIinP(x)
		if g.P.Variance.Value > 1e-6 {
			assert.InDelta(t, value(t, c.Two.Value), value(t, g.Plan(1).Dependability), close)
			assert.InDelta(t, value(t, c.TwoK.Value), value(t, g.Plan(k).Dependability), close)
			assert.InDelta(t, value(t, c.Three.Value), value(t, g.Plan(1).Generalizability), close)
			assert.InDelta(t, value(t, c.ThreeK.Value), value(t, g.Plan(k).Generalizability), close)
		}
		if nested.P.Variance.Value > 1e-6 {
			assert.InDelta(t, value(t, c.One.Value), value(t, nested.Plan(1).Dependability), close)
			assert.InDelta(t, value(t, c.OneK.Value), value(t, nested.Plan(k).Generalizability), close)
		}
	})
}

// At each end of the interval of ICC(1,1) and ICC(3,1), the F ratio found is just
// at 2.5 % of its distribution.
func TestICCIntervalsInvertTheFTest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, k := rapid.IntRange(3, 12).Draw(t, "n"), rapid.IntRange(2, 5).Draw(t, "k")
		c := NewICC(some(genGrid(t, n, k)))
		fn, fk := float64(n), float64(k)
		for _, f := range []struct {
			Form
			err Number
			df  float64
		}{{c.One, c.MSW, fn * (fk - 1)}, {c.Three, c.MSE, (fn - 1) * (fk - 1)}} {
			if !f.Range.OK {
				continue
			}
			dist := distuv.F{D1: fn - 1, D2: f.df}
			for rho, tail := range map[float64]float64{f.Range.Low: 0.975, f.Range.High: 0.025} {
				scaled := c.MSB.Value / f.err.Value / (1 + fk*rho/(1-rho))
				assert.InDelta(t, tail, dist.CDF(scaled), 1e-7)
			}
			assert.LessOrEqual(t, f.Range.Low, f.Value.Value)
			assert.GreaterOrEqual(t, f.Range.High, f.Value.Value)
		}
	})
}

// Points of the tables that any textbook prints, and F(1, d) = t².
func TestQuantiles(t *testing.T) {
	for df, want := range map[float64]float64{1: 12.706205, 2: 4.302653, 5: 2.570582, 10: 2.228139, 30: 2.042272, 120: 1.979930} {
		assert.InDelta(t, want, t95(df), 5e-7, "t, %v", df)
	}
	for df, want := range map[[2]float64]float64{{1, 1}: 647.789, {5, 10}: 4.2361, {10, 5}: 6.6192, {4, 20}: 3.5147, {20, 4}: 8.5599} {
		assert.InDelta(t, want, f95(df[0], df[1]), 5e-4*want/4, "F, %v", df)
	}
	for _, df := range []float64{1, 1.5, 2, 3, 7.25, 15, 60, 999, 1e5} {
		tail := distuv.StudentsT{Sigma: 1, Nu: df}.Quantile(0.9875)
		assert.InEpsilon(t, tail*tail, f95(1, df), 1e-9, "%v", df)
		for _, d1 := range []float64{0.3, 1, 2.5, 9, 100} {
			assert.InDelta(t, 0.975, distuv.F{D1: d1, D2: df}.CDF(f95(d1, df)), 1e-9, "%v %v", d1, df)
		}
	}
}

func TestDifferencesByDefinition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 20).Draw(t, "n")
		x := genGrid(t, 2, n)
		x[0][0], x[1][0], x[0][1], x[1][1] = 1, 4, 3, 2
		diff := make([]float64, n)
		for i := range diff {
			diff[i] = x[0][i] - x[1][i]
		}
		d, back := BlandAltman(x[0], x[1]), BlandAltman(x[1], x[0])
		assert.InDelta(t, stat.Mean(diff, nil), value(t, d.Bias), close)
		assert.InDelta(t, stat.StdDev(diff, nil), value(t, d.SD), close)
		assert.InDelta(t, -d.Limits.Low, back.Limits.High, close)
		assert.InDelta(t, -d.BiasRange.High, back.BiasRange.Low, close)
		assert.InDelta(t, -d.LowRange.Low, back.HighRange.High, close)
		s := SelfVsAssessor(x[0], x[1])
		assert.InDelta(t, value(t, s.RMSE)*s.RMSE.Value, s.Bias.Value*s.Bias.Value+s.SD.Value*s.SD.Value*float64(n-1)/float64(n), close)
		assert.LessOrEqual(t, math.Abs(s.Bias.Value), value(t, s.MAE)+close)
		assert.LessOrEqual(t, s.MAE.Value, s.RMSE.Value+close)
		if s.Correlation.OK {
			assert.InDelta(t, stat.Correlation(x[0], x[1], nil), s.Correlation.Value, close)
		}
	})
}

func TestCronbachByDefinition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := some(genGrid(t, rapid.IntRange(2, 8).Draw(t, "n"), rapid.IntRange(2, 5).Draw(t, "k")))
		k := float64(len(x[0]))
		totals, parts := make([]float64, len(x)), 0.0
		for i, row := range x {
			for _, v := range row {
				totals[i] += v
			}
		}
		for _, part := range turn(x) {
			parts += stat.Variance(part, nil)
		}
		c := Cronbach(x)
		sd := stat.StdDev(totals, nil)
		assert.InDelta(t, sd, value(t, c.TotalSD), close)
		if sd < 0.01 {
			return
		}
		alpha := k / (k - 1) * (1 - parts/(sd*sd))
		assert.InDelta(t, alpha, value(t, c.Alpha), 1e-6)
		assert.InDelta(t, sd*math.Sqrt(1-alpha), value(t, c.TotalSEM), 1e-6)
	})
}

// sums is Σ (sum over a cell)² / (size of a cell), cells being told apart by key.
func sums(x [][][]float64, key func(p, i, r int) [3]int) float64 {
	sum, size := map[[3]int]float64{}, map[[3]int]float64{}
	for p := range x {
		for i := range x[p] {
			for r, v := range x[p][i] {
				k := key(p, i, r)
				sum[k] += v
				size[k]++
			}
		}
	}
	out := 0.0
	for k, s := range sum {
		out += s * s / size[k]
	}
	return out
}

// Both designs with three indices from differences of sums of squares.
func TestThreeWayFromNaiveSums(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		np, ni, nr := rapid.IntRange(2, 5).Draw(t, "p"), rapid.IntRange(2, 4).Draw(t, "i"), rapid.IntRange(2, 4).Draw(t, "r")
		x := make([][][]float64, np)
		for p := range x {
			x[p] = genGrid(t, ni, nr)
		}
		all := sums(x, func(p, i, r int) [3]int { return [3]int{} })
		P := sums(x, func(p, i, r int) [3]int { return [3]int{p} })
		I := sums(x, func(p, i, r int) [3]int { return [3]int{0, i} })
		R := sums(x, func(p, i, r int) [3]int { return [3]int{0, 0, r} })
		PI := sums(x, func(p, i, r int) [3]int { return [3]int{p, i} })
		PR := sums(x, func(p, i, r int) [3]int { return [3]int{p, 0, r} })
		IR := sums(x, func(p, i, r int) [3]int { return [3]int{0, i, r} })
		PIR := sums(x, func(p, i, r int) [3]int { return [3]int{p, i, r} })
		dp, di, dr := float64(np-1), float64(ni-1), float64(nr-1)
		g, h, n := GStudyPIR(x), GStudyPRT(x), GStudyIinPR(x)
		for name, pair := range map[string]struct {
			want float64
			got  Component
		}{
			"p":   {(P - all) / dp, g.P},
			"i":   {(I - all) / di, g.I},
			"r":   {(R - all) / dr, g.R},
			"pi":  {(PI - P - I + all) / (dp * di), g.PI},
			"pr":  {(PR - P - R + all) / (dp * dr), g.PR},
			"ir":  {(IR - I - R + all) / (di * dr), g.IR},
			"pir": {(PIR - PI - PR - IR + P + I + R - all) / (dp * di * dr), g.PIR},
			"t":   {(I - all) / di, h.T},
			"r:t": {(IR - I) / (float64(ni) * dr), h.RT},
			"pt":  {(PI - P - I + all) / (dp * di), h.PT},
			"i:p": {(PI - P) / (float64(np) * di), n.IP},
			"p'":  {(P - all) / dp, n.P},
			"r'":  {(R - all) / dr, n.R},
			"pr'": {(PR - P - R + all) / (dp * dr), n.PR},
			"ipr": {(PIR - PI - PR + P) / (float64(np) * di * dr), n.IPR},
			"prt": {(PIR - PI - IR + I) / (dp * float64(ni) * dr), h.PRT},
		} {
			assert.InDelta(t, pair.want, value(t, pair.got.MeanSquare), close, name)
		}
		// Expected mean squares put together again from the components.
		v := func(c Component) float64 { return c.Variance.Value }
		fp, fi, fr := float64(np), float64(ni), float64(nr)
		assert.InDelta(t, g.P.MeanSquare.Value, v(g.PIR)+fr*v(g.PI)+fi*v(g.PR)+fi*fr*v(g.P), close)
		assert.InDelta(t, g.R.MeanSquare.Value, v(g.PIR)+fp*v(g.IR)+fi*v(g.PR)+fp*fi*v(g.R), close)
		assert.InDelta(t, n.P.MeanSquare.Value, v(n.IPR)+fr*v(n.IP)+fi*v(n.PR)+fi*fr*v(n.P), close)
		assert.InDelta(t, n.R.MeanSquare.Value, v(n.IPR)+fi*v(n.PR)+fp*fi*v(n.R), close)
		assert.InDelta(t, h.T.MeanSquare.Value, v(h.PRT)+fr*v(h.PT)+fp*v(h.RT)+fp*fr*v(h.T), close)
	})
}

// More marks are never worth less.
func TestPlansGrowWithMarks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := [][][]float64{some(genGrid(t, 3, 2)), genGrid(t, 3, 2), some(genGrid(t, 3, 2))}
		g, h, k := GStudyPIR(x), GStudyPRT(x), GStudyIinPR(x)
		for n := 1; n < 5; n++ {
			for _, p := range [][2]Plan{{g.Plan(n, 2), g.Plan(n+1, 2)}, {h.Plan(n, 2), h.Plan(n, 3)}, {k.Plan(n, 2), k.Plan(n+1, 2)}, {k.Plan(2, n), k.Plan(2, n+1)}} {
				assert.LessOrEqual(t, p[1].AbsoluteVariance.Value, p[0].AbsoluteVariance.Value+close)
				assert.GreaterOrEqual(t, p[1].Dependability.Value, p[0].Dependability.Value-close)
				assert.LessOrEqual(t, p[0].Dependability.Value, p[0].Generalizability.Value+close)
			}
		}
	})
}

// Rounding in a table of many marks is no scatter either; see TestRoundingIsNotScatter.
func TestRoundingIsNotScatterInLargeTables(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, k := rapid.IntRange(2, 60).Draw(t, "grooms"), rapid.IntRange(2, 12).Draw(t, "assessors")
		level := float64(rapid.IntRange(1, 500).Draw(t, "hundredths")) / 100
		same, fit := grid(n, k), grid(n, k)
		var cube, fitCube [][][]float64
		for i := range same {
			for j := range same[i] {
				same[i][j] = level
				fit[i][j] = level + float64(i%7)/3
			}
		}
		for range 20 {
			cube, fitCube = append(cube, same), append(fitCube, fit)
		}
		assert.Equal(t, whySame, NewICC(same).Two.Value.Why)
		assert.Equal(t, number(1), NewICC(fit).Two.Value)
		assert.Equal(t, whyApprenticesAlike, GStudyIinPR(cube).Plan(1, 1).Dependability.Why)
		assert.Equal(t, whyApprenticesAlike, GStudyPIR(cube).Plan(1, 1).Dependability.Why)
		for _, c := range []Component{GStudyIinPR(cube).P, GStudyIinPR(cube).IPR, GStudyIinPR(fitCube).R, GStudyIinPR(fitCube).PR, GStudyIinPR(fitCube).IPR} {
			assert.Equal(t, number(0), c.MeanSquare)
		}
	})
}
