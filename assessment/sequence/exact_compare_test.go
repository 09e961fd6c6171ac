package sequence

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
)

// exactTest is SPRT in exact fractions: the rates and the likelihood ratios of
// p0 against p1 at which it signs off or ends.
type exactTest struct{ p0, p1, signOff, end *big.Rat }

// table decides for clean observations c and faults f: 1 sign off, -1 end, 0 go on.
func (e exactTest) table() (decide [enumerated + 1][enumerated + 1]int) {
	one := big.NewRat(1, 1)
	clean := new(big.Rat).Quo(new(big.Rat).Sub(one, e.p0), new(big.Rat).Sub(one, e.p1))
	fault := new(big.Rat).Quo(e.p0, e.p1)
	for c, ratio := 0, one; c <= enumerated; c, ratio = c+1, new(big.Rat).Mul(ratio, clean) {
		for f, r := 0, ratio; f <= enumerated; f, r = f+1, new(big.Rat).Mul(r, fault) {
			switch {
			case r.Cmp(e.signOff) >= 0:
				decide[c][f] = 1
			case e.end != nil && r.Cmp(e.end) <= 0:
				decide[c][f] = -1
			}
		}
	}
	return decide
}

// firstOf is the observation at which a sequence of tests signs off, 0 for never.
// After an end the next one starts, if there is one; the last is repeated if so.
func firstOf(tests []exactTest, repeat bool) func(seq uint) int {
	var tables [][enumerated + 1][enumerated + 1]int
	for _, e := range tests {
		tables = append(tables, e.table())
	}
	return func(seq uint) int {
		c, f, k := 0, 0, 0
		for i := 1; i <= enumerated; i++ {
			if seq>>(i-1)&1 == 0 {
				c++
			} else {
				f++
			}
			switch tables[k][c][f] {
			case 1:
				return i
			case -1:
				c, f = 0, 0
				if k+1 < len(tables) {
					k++
				} else if !repeat {
					return 0
				}
			}
		}
		return 0
	}
}

func natural(r *big.Rat) float64 { f, _ := r.Float64(); return math.Log(f) }

// exactRules pairs each comparison rule with its definition on a sequence, in
// exact fractions.
func exactRules() map[string]struct {
	rule  comparison
	first func(seq uint) int
} {
	type pair = struct {
		rule  comparison
		first func(seq uint) int
	}
	fifth, half, one := big.NewRat(1, 5), big.NewRat(1, 2), big.NewRat(1, 1)
	up, down := big.NewRat(7, 1), big.NewRat(1, 9)
	fault := big.NewRat(2, 5) // exactly one fault's worth
	pairs := map[string]pair{
		"SPRT":         {SPRT{0.2, 0.5, natural(up), -natural(down)}, firstOf([]exactTest{{fifth, half, up, down}}, false)},
		"SPRT 1 fault": {SPRT{0.2, 0.5, natural(up), -natural(fault)}, firstOf([]exactTest{{fifth, half, up, fault}}, false)},
		"LR":           {LikelihoodRatio(0.2, 0.5, 1.0/7), firstOf([]exactTest{{fifth, half, up, nil}}, false)},
		"LC-CUSUM":     {LCCUSUM{0.2, 0.5, natural(up)}, firstOf([]exactTest{{fifth, half, up, one}}, true)},
	}
	var attempts, eager []exactTest
	for j := int64(1); j <= enumerated; j++ {
		attempts = append(attempts, exactTest{fifth, half, big.NewRat(2<<j, 1), fault})
		eager = append(eager, exactTest{fifth, half, big.NewRat(2<<j, 1), one})
	}
	pairs["restarts"] = pair{RestartAfterFault(0.2, 0.5, 0.5), firstOf(attempts, true)}
	pairs["restarts at 0"] = pair{Restarts{0.2, 0.5, 0.5, 0}, firstOf(eager, true)}
	for name, prior := range map[string][2]int{"Bayes": {1, 1}, "Bayes 2 3": {2, 3}} {
		b := BayesStop{float64(prior[0]), float64(prior[1]), 0.5, 0.75}
		pairs[name] = pair{b, firstBelieved(prior[0], prior[1])}
	}
	return pairs
}

// firstBelieved is BayesStop with whole numbers in the prior, unacceptable rate
// 1/2 and level 3/4: Beta(a, b) is below 1/2 as often as a+b-1 tosses give a
// heads or more.
func firstBelieved(a, b int) func(seq uint) int {
	var believed [enumerated + 1][enumerated + 1]bool // by observations and faults
	for n := range believed {
		for x := 0; x <= n; x++ {
			tosses := int64(a + b + n - 1)
			sum := new(big.Int)
			for heads := int64(a + x); heads <= tosses; heads++ {
				sum.Add(sum, new(big.Int).Binomial(tosses, heads))
			}
			belief := new(big.Rat).SetFrac(sum, new(big.Int).Lsh(big.NewInt(1), uint(tosses)))
			believed[n][x] = belief.Cmp(big.NewRat(3, 4)) > 0
		}
	}
	return func(seq uint) int {
		faults := 0
		for i := 1; i <= enumerated; i++ {
			faults += int(seq >> (i - 1) & 1)
			if believed[i][faults] {
				return i
			}
		}
		return 0
	}
}

func TestComparisonAgainstEnumeration(t *testing.T) {
	for name, c := range exactRules() {
		sprt, _ := c.rule.(SPRT)
		for _, p := range enumeratedRates {
			rate, _ := p.Float64()
			mean := new(big.Rat)
			for n, want := range enumerate(p, c.first) {
				assertClose(t, want, c.rule.Within(n, rate), "%s n=%d p=%v", name, n, p)
				if sprt.Reject == 0 || math.IsInf(sprt.Reject, 1) { // no end but a sign-off
					assertClose(t, mean, c.rule.MeanWithin(n, rate), "mean %s n=%d p=%v", name, n, p)
				}
				mean.Add(mean, new(big.Rat).Sub(big.NewRat(1, 1), want))
			}
		}
	}
}

// Turning any fault into a clean observation never delays a sign-off, over all
// sequences and all faults.
func TestCleanNeverDelaysComparison(t *testing.T) {
	for name, c := range exactRules() {
		at := make([]int, 1<<enumerated)
		for seq := range at {
			if at[seq] = c.first(uint(seq)); at[seq] == 0 {
				at[seq] = enumerated + 1
			}
		}
		worse := 0
		for seq := range at {
			for bit := 1; bit < len(at); bit <<= 1 {
				if seq&bit != 0 && at[seq&^bit] > at[seq] {
					worse++
				}
			}
		}
		assert.Zero(t, worse, name)
	}
}

// TestForecastAgainstEnumeration starts from every score.
func TestForecastAgainstEnumeration(t *testing.T) {
	r := Rule{3, -4, 6, 60}
	for score := r.Floor; score < r.Threshold; score++ {
		for _, p := range enumeratedRates {
			rate, _ := p.Float64()
			f := r.Forecast(score, enumerated, rate)
			for n, want := range enumerate(p, func(seq uint) int {
				s := score
				for i := 1; i <= enumerated; i++ {
					if s = r.Step(s, seq>>(i-1)&1 == 0); s == r.Threshold {
						return i
					}
				}
				return 0
			}) {
				assertClose(t, want, f.Within(n), "score=%d n=%d p=%v", score, n, p)
			}
		}
	}
}
