package agreement

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

const close = 1e-9

func value(t require.TestingT, n Number) float64 {
	require.True(t, n.OK, n.Why)
	return n.Value
}

func genTable(t *rapid.T, k int) [][]int {
	table := make([][]int, k)
	for i := range table {
		table[i] = rapid.SliceOfN(rapid.IntRange(0, 9), k, k).Draw(t, "table")
	}
	table[0][k-1]++ // something, and some of it apart
	return table
}

func genGrid(t *rapid.T, rows, cols int) [][]float64 {
	x := grid(rows, cols)
	for i := range x {
		for j := range x[i] {
			x[i][j] = float64(rapid.IntRange(1, 5).Draw(t, "mark"))
		}
	}
	return x
}

// pairsOf lists the grooms of a table one by one.
func pairsOf(table [][]int) (units [][]float64) {
	for i := range table {
		for j, c := range table[i] {
			for range c {
				units = append(units, []float64{float64(i), float64(j)})
			}
		}
	}
	return units
}

func upTo(k int) []float64 {
	out := make([]float64, k)
	for i := range out {
		out[i] = float64(i)
	}
	return out
}

// The test by counting: all ways to split n disagreements, as whole numbers.
func TestStricterChanceAgainstCounting(t *testing.T) {
	for n := 1; n <= 60; n++ {
		for b := 0; b <= n; b++ {
			tail := new(big.Int)
			for x := range min(b, n-b) + 1 {
				tail.Add(tail, new(big.Int).Binomial(int64(n), int64(x)))
			}
			want, _ := new(big.Rat).SetFrac(tail.Lsh(tail, 1), new(big.Int).Lsh(big.NewInt(1), uint(n))).Float64()
			got := value(t, Decisions{OnlyAClean: b, OnlyBClean: n - b, BothClean: 3}.StricterChance())
			assert.InEpsilon(t, min(1, want), got, 1e-12, "%d of %d", b, n)
		}
	}
	// Five one way can never be called uneven, six can.
	assert.InDelta(t, 0.0625, value(t, Decisions{OnlyAClean: 5}.StricterChance()), 1e-15)
	assert.InDelta(t, 0.03125, value(t, Decisions{OnlyAClean: 6}.StricterChance()), 1e-15)
}

// The ends of Wilson's interval are where the share found is exactly z standard
// errors away.
func TestWilsonSolvesItsEquation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 500).Draw(t, "n")
		x := rapid.IntRange(0, n).Draw(t, "x")
		s, other := NewShare(x, n), NewShare(n-x, n)
		for _, p := range []float64{s.Range.Low, s.Range.High} {
			away := float64(x)/float64(n) - p
			assert.InDelta(t, away*away, z95*z95*p*(1-p)/float64(n), 1e-12)
		}
		assert.InDelta(t, s.Range.Low, 1-other.Range.High, 1e-14)
		assert.LessOrEqual(t, s.Range.Low, s.Value.Value)
		assert.GreaterOrEqual(t, s.Range.High, s.Value.Value)
	})
}

// The range of agreement on clean holds the true agreement about as often as it
// says: all tables of 30 grooms of which each pair of decisions has its chance.
func TestMatchedRangeCoverage(t *testing.T) {
	const n = 30
	for _, c := range [][2]float64{{0.05, 0.1}, {0.1, 0.1}, {0.3, 0.1}, {0.6, 0.2}} { // both, apart
		truth := 2 * c[0] / (2*c[0] + c[1])
		held, all := 0.0, 0.0
		for both := 0; both <= n; both++ {
			for apart := 0; both+apart <= n; apart++ {
				if both+apart == 0 {
					continue
				}
				p := distuv.Binomial{N: n, P: c[0]}.Prob(float64(both)) *
					distuv.Binomial{N: float64(n - both), P: c[1] / (1 - c[0])}.Prob(float64(apart))
				all += p
				r := Decisions{BothClean: both, OnlyAClean: apart, NeitherClean: n - both - apart}.CleanAgreement().Range
				if r.Low <= truth && truth <= r.High {
					held += p
				}
			}
		}
		assert.InDelta(t, 0.95, held/all, 0.025, "%v", c)
	}
}

func TestDecisionsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.SliceOfN(rapid.IntRange(0, 40), 4, 4).Draw(t, "counts")
		d := Decisions{c[0] + 1, c[1] + 1, c[2], c[3] + 1}
		swapped := Decisions{d.NeitherClean, d.OnlyBClean, d.OnlyAClean, d.BothClean}
		assert.Equal(t, d.CleanAgreement(), swapped.NotCleanAgreement())
		assert.Equal(t, d.StricterChance(), swapped.StricterChance())
		assert.InDelta(t, value(t, d.Kappa().Value), value(t, swapped.Kappa().Value), close)
		assert.InDelta(t, value(t, d.AC1().Value), value(t, swapped.AC1().Value), close)
		// AC1 for two by two: luck is 2π(1−π).
		n := float64(d.Grooms())
		pi := (float64(2*d.BothClean+d.Disagreements()) / 2) / n
		luck := 2 * pi * (1 - pi)
		assert.InDelta(t, (value(t, d.Agreement().Value)-luck)/(1-luck), value(t, d.AC1().Value), close)
		assert.LessOrEqual(t, d.AC1().Value.Value, 1.0)
	})
}

func TestKappaIdentities(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(2, 5).Draw(t, "k")
		table := genTable(t, k)
		c := CohenKappa(table, Unweighted(k))
		kappa := value(t, c.Value)
		assert.LessOrEqual(t, kappa, 1.0)
		// Neither new names for the marks nor swapping the assessors matter.
		perm := rapid.Permutation([]int{0, 1, 2, 3, 4}[:k]).Draw(t, "names")
		renamed, turned := make([][]int, k), make([][]int, k)
		for i := range k {
			renamed[i], turned[i] = make([]int, k), make([]int, k)
			for j := range k {
				renamed[i][j], turned[i][j] = table[perm[i]][perm[j]], table[j][i]
			}
		}
		for _, other := range []Coefficient{CohenKappa(renamed, Unweighted(k)), CohenKappa(turned, Unweighted(k))} {
			assert.InDelta(t, kappa, value(t, other.Value), close)
			assert.InDelta(t, c.SE.Value, other.SE.Value, 1e-7)
			assert.Equal(t, c.SE.OK, other.SE.OK)
		}
		// With two marks there are no near misses.
		two := genTable(t, 2)
		for _, w := range []Weights{Linear(2), Quadratic(2)} {
			assert.Equal(t, CohenKappa(two, Unweighted(2)), CohenKappa(two, w))
			assert.Equal(t, GwetTable(two, Unweighted(2)), GwetTable(two, w))
		}
		// Quadratic weights give 2 cov / (var + var + (difference of means)²).
		var a, b []float64
		for _, u := range pairsOf(table) {
			a, b = append(a, u[0]), append(b, u[1])
		}
		ma, mb := stat.Mean(a, nil), stat.Mean(b, nil)
		cov, va, vb := 0.0, 0.0, 0.0
		for i := range a {
			cov += (a[i] - ma) * (b[i] - mb)
			va += (a[i] - ma) * (a[i] - ma)
			vb += (b[i] - mb) * (b[i] - mb)
		}
		want := 2 * cov / (va + vb + float64(len(a))*(ma-mb)*(ma-mb))
		assert.InDelta(t, want, value(t, CohenKappa(table, Quadratic(k)).Value), close)
	})
}

// slope is how fast f(table of shares) changes with each cell, numerically.
func slope(table [][]int, f func(p [][]float64) float64) (shares, slopes [][]float64) {
	k, n := len(table), 0
	for i := range table {
		for _, c := range table[i] {
			n += c
		}
	}
	shares, slopes = grid(k, k), grid(k, k)
	for i := range table {
		for j, c := range table[i] {
			shares[i][j] = float64(c) / float64(n)
		}
	}
	const h = 1e-5
	for i := range table {
		for j := range table[i] {
			was := shares[i][j]
			shares[i][j] = was + h
			up := f(shares)
			shares[i][j] = was - h
			slopes[i][j] = (up - f(shares)) / (2 * h)
			shares[i][j] = was
		}
	}
	return shares, slopes
}

// deltaVariance is n times the variance of a function of multinomial shares.
func deltaVariance(shares, slopes [][]float64) float64 {
	mean, square := 0.0, 0.0
	for i := range shares {
		for j, p := range shares[i] {
			mean += p * slopes[i][j]
			square += p * slopes[i][j] * slopes[i][j]
		}
	}
	return square - mean*mean
}

// kappaOf and acOf are the definitions, for shares that need not add up to 1.
func kappaOf(p [][]float64, w Weights) float64 {
	total, rows, cols := 0.0, make([]float64, len(p)), make([]float64, len(p))
	for i := range p {
		for j, v := range p[i] {
			total += v
			rows[i] += v
			cols[j] += v
		}
	}
	po, pe := 0.0, 0.0
	for i := range p {
		for j, v := range p[i] {
			po += w[i][j] * v / total
			pe += w[i][j] * rows[i] * cols[j] / total / total
		}
	}
	return (po - pe) / (1 - pe)
}

func acOf(p [][]float64, w Weights) float64 {
	q, total, credit, po, spread := float64(len(p)), 0.0, 0.0, 0.0, 0.0
	pi := make([]float64, len(p))
	for i := range p {
		for j, v := range p[i] {
			total += v
			credit += w[i][j]
			pi[i] += v / 2
			pi[j] += v / 2
		}
	}
	for i := range p {
		spread += pi[i] / total * (1 - pi[i]/total)
		for j, v := range p[i] {
			po += w[i][j] * v / total
		}
	}
	pe := credit / (q * (q - 1)) * spread
	return (po - pe) / (1 - pe)
}

// The standard errors against the delta method done numerically.
func TestStandardErrorsAgainstTheDeltaMethod(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(2, 4).Draw(t, "k")
		table := genTable(t, k)
		table[0][0]++
		w := rapid.SampledFrom([]Weights{Unweighted(k), Linear(k), Quadratic(k)}).Draw(t, "weights")
		kappa, ac := CohenKappa(table, w), GwetTable(table, w)
		n := float64(kappa.Grooms)
		p, d := slope(table, func(p [][]float64) float64 { return kappaOf(p, w) })
		assert.InDelta(t, kappaOf(p, w), value(t, kappa.Value), close)
		assert.InDelta(t, math.Sqrt(max(0, deltaVariance(p, d))/n), kappa.SE.Value, 1e-5)
		p, d = slope(table, func(p [][]float64) float64 { return acOf(p, w) })
		assert.InDelta(t, acOf(p, w), value(t, ac.Value), close)
		// Gwet divides by n − 1 where the delta method has n.
		assert.InDelta(t, math.Sqrt(max(0, deltaVariance(p, d))/(n-1)), ac.SE.Value, 1e-5)
	})
}

// Gwet 2014's 3 × 3 table of 100, with the standard errors printed in the
// documentation of his package irrCAC. For two assessors it divides AC1's variance
// by n, for more of them and here by n − 1.
func TestPrintedErrors(t *testing.T) {
	table := [][]int{{13, 0, 0}, {0, 20, 7}, {0, 4, 56}}
	ac, kappa := GwetTable(table, Unweighted(3)), CohenKappa(table, Unweighted(3))
	assert.InDelta(t, 0.8493305, value(t, ac.Value), 5e-8)
	assert.InDelta(t, 0.04321747, value(t, ac.SE)*math.Sqrt(0.99), 5e-9)
	assert.InDelta(t, 0.05891072, value(t, kappa.SE), 5e-9)
	assert.InDelta(t, 0.764, ac.Range.Low, 1e-3)
	assert.InDelta(t, 0.935, ac.Range.High, 1e-3)
}

func TestGwetTableIsGwet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(2, 4).Draw(t, "k")
		table := genTable(t, k)
		w := rapid.SampledFrom([]Weights{Unweighted(k), Linear(k), Quadratic(k)}).Draw(t, "weights")
		one, other := GwetTable(table, w), Gwet(pairsOf(table), upTo(k), w)
		assert.Equal(t, one.Grooms, other.Grooms)
		assert.InDelta(t, value(t, one.Value), value(t, other.Value), close)
		assert.LessOrEqual(t, one.Value.Value, 1.0)
		if one.SE.OK {
			assert.InDelta(t, one.SE.Value, value(t, other.SE), close)
		}
	})
}

// Fleiss by definition: two different assessors of a groom drawn at random, and
// two marks drawn from all with replacement.
func TestFleissByDefinition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, raters := rapid.IntRange(2, 8).Draw(t, "n"), rapid.IntRange(2, 5).Draw(t, "raters")
		x := genGrid(t, n, raters)
		x[0][0], x[1][0] = 1, 5 // some variation
		counts := make([][]int, n)
		alike, pairs := 0.0, 0.0
		var all []float64
		for i, row := range x {
			counts[i] = make([]int, 5)
			all = append(all, row...)
			for a, m := range row {
				counts[i][int(m)-1]++
				for b := range row {
					if a != b {
						pairs++
						if row[a] == row[b] {
							alike++
						}
					}
				}
			}
		}
		luck := 0.0
		for _, a := range all {
			for _, b := range all {
				if a == b {
					luck++
				}
			}
		}
		luck /= float64(len(all) * len(all))
		want := (alike/pairs - luck) / (1 - luck)
		assert.InDelta(t, want, value(t, FleissKappa(counts).Value), close)
		assert.InDelta(t, want, value(t, FleissKappaMissing(x, []float64{1, 2, 3, 4, 5}).Value), close)
	})
}

// Alpha by definition: mean squared distance of marks within grooms over that of
// any two marks, for every metric and with gaps.
func TestAlphaByDefinition(t *testing.T) {
	distance := map[Metric]func(a, b float64, all []float64) float64{
		Nominal: func(a, b float64, _ []float64) float64 {
			if a == b {
				return 0
			}
			return 1
		},
		IntervalScale: func(a, b float64, _ []float64) float64 { return (a - b) * (a - b) },
		RatioScale:    func(a, b float64, _ []float64) float64 { return (a - b) * (a - b) / (a + b) / (a + b) },
		Ordinal: func(a, b float64, all []float64) float64 {
			between := 0.0 // marks between, those at the ends by half
			for _, x := range all {
				switch {
				case x > min(a, b) && x < max(a, b):
					between++
				case a != b && (x == a || x == b):
					between += 0.5
				}
			}
			return between * between
		},
	}
	rapid.Check(t, func(t *rapid.T) {
		x := genGrid(t, rapid.IntRange(2, 6).Draw(t, "n"), rapid.IntRange(2, 4).Draw(t, "raters"))
		x[0][0], x[0][1], x[1][0], x[1][1] = 1, 2, 5, 5 // enough to work with
		for i := range x {
			for j := range x[i] {
				if i > 1 && rapid.IntRange(0, 3).Draw(t, "gap") == 0 {
					x[i][j] = NotRated()
				}
			}
		}
		var rows [][]float64
		var all []float64
		for _, row := range x {
			var given []float64
			for _, m := range row {
				if !math.IsNaN(m) {
					given = append(given, m)
				}
			}
			if len(given) > 1 {
				rows, all = append(rows, given), append(all, given...)
			}
		}
		n := float64(len(all))
		for metric, d := range distance {
			within, any := 0.0, 0.0
			for _, row := range rows {
				for _, a := range row {
					for _, b := range row {
						within += d(a, b, all) / float64(len(row)-1) / n
					}
				}
			}
			for _, a := range all {
				for _, b := range all {
					any += d(a, b, all) / (n * (n - 1))
				}
			}
			assert.InDelta(t, 1-within/any, value(t, KrippendorffAlpha(x, metric)), close, "metric %d", metric)
		}
	})
}

// For a full table, alpha is Fleiss' kappa with a correction for small samples.
func TestNominalAlphaIsFleissCorrected(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := genGrid(t, rapid.IntRange(2, 8).Draw(t, "n"), rapid.IntRange(2, 4).Draw(t, "raters"))
		x[0][0], x[1][0] = 1, 5
		kappa := value(t, FleissKappaMissing(x, []float64{1, 2, 3, 4, 5}).Value)
		marks := float64(len(x) * len(x[0]))
		assert.InDelta(t, kappa+(1-kappa)/marks, value(t, KrippendorffAlpha(x, Nominal)), close)
	})
}
