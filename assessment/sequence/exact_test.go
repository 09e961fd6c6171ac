package sequence

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const enumerated = 14 // observations

// enumerate goes through all 2^14 sequences and returns, for n = 0 … 14, the
// exact chance that first(sequence) ≤ n. first returns the 1-based observation
// at which something happens, 0 for never; bit t-1 of the sequence is set if
// observation t is not clean.
func enumerate(p *big.Rat, first func(seq uint) int) []*big.Rat {
	one := big.NewRat(1, 1)
	q := new(big.Rat).Sub(one, p)
	// weight[x] is the chance of one sequence with x faults.
	weight := make([]*big.Rat, enumerated+1)
	for x := range weight {
		weight[x] = new(big.Rat).Set(one)
		for i := range enumerated {
			weight[x].Mul(weight[x], map[bool]*big.Rat{true: p, false: q}[i < x])
		}
	}
	count := make([][enumerated + 1]int64, enumerated+1) // by time and faults
	for seq := range uint(1) << enumerated {
		if t := first(seq); t > 0 {
			faults := 0
			for b := seq; b > 0; b >>= 1 {
				faults += int(b & 1)
			}
			count[t][faults]++
		}
	}
	chance := make([]*big.Rat, enumerated+1)
	sum := new(big.Rat)
	for t := range chance {
		for x, c := range count[t] {
			sum.Add(sum, new(big.Rat).Mul(big.NewRat(c, 1), weight[x]))
		}
		chance[t] = new(big.Rat).Set(sum)
	}
	return chance
}

var enumeratedRates = []*big.Rat{big.NewRat(1, 50), big.NewRat(1, 5), big.NewRat(1, 2), big.NewRat(9, 10)}

func assertClose(t *testing.T, want *big.Rat, got float64, msg ...any) {
	t.Helper()
	w, _ := want.Float64()
	assert.InDelta(t, w, got, 1e-15+1e-13*w, msg...)
}

func TestReachWithinAgainstEnumeration(t *testing.T) {
	for _, r := range []Rule{{3, -3, 5, 14}, {2, -1, 4, 14}, {1, -2, 3, 14}, {11, -11, 6, 14}, {4, 0, 5, 14}, {10, -10, 10, 14}} {
		for _, p := range enumeratedRates {
			rate, _ := p.Float64()
			chance := enumerate(p, func(seq uint) int {
				score := 0
				for i := 1; i <= enumerated; i++ {
					if seq>>(i-1)&1 == 0 {
						score++
					} else if score -= r.Fault; score < r.Floor {
						score = r.Floor
					}
					if score == r.Threshold {
						return i
					}
				}
				return 0
			})
			mean := new(big.Rat)
			for n, want := range chance {
				assertClose(t, want, r.ReachWithin(n, rate), "%+v n=%d p=%v", r, n, p)
				assertClose(t, mean, r.MeanWithin(n, rate), "mean %+v n=%d p=%v", r, n, p)
				mean.Add(mean, new(big.Rat).Sub(big.NewRat(1, 1), want))
			}
		}
	}
}

func TestWindowAgainstEnumeration(t *testing.T) {
	for _, w := range []RollingWindow{{1, 1}, {1, 3}, {4, 5}, {5, 5}, {7, 9}} {
		for _, p := range enumeratedRates {
			rate, _ := p.Float64()
			chance := enumerate(p, func(seq uint) int {
				for end := w.Of; end <= enumerated; end++ {
					clean := 0
					for i := end - w.Of; i < end; i++ {
						clean += 1 - int(seq>>i&1)
					}
					if clean >= w.Clean {
						return end
					}
				}
				return 0
			})
			for n, want := range chance {
				assertClose(t, want, w.Within(n, rate), "%+v n=%d p=%v", w, n, p)
			}
		}
	}
}

func TestMonitorAgainstEnumeration(t *testing.T) {
	for _, m := range []Monitor{{1, 1}, {2, 3}, {3, 2}, {11, 12}} {
		for _, p := range enumeratedRates {
			rate, _ := p.Float64()
			chance := enumerate(p, func(seq uint) int {
				score := 0
				for i := 1; i <= enumerated; i++ {
					if seq>>(i-1)&1 == 1 {
						score += m.Fault
					} else if score > 0 {
						score--
					}
					if score >= m.Alarm {
						return i
					}
				}
				return 0
			})
			for n, want := range chance {
				assertClose(t, want, m.AlarmWithin(n, rate), "%+v n=%d p=%v", m, n, p)
			}
		}
	}
}

// solveMean is the mean time to absorption from state start, by elimination in
// exact fractions; next gives the state after an observation, or -1.
func solveMean(t *testing.T, states, start int, p *big.Rat, next func(state int, clean bool) int) float64 {
	t.Helper()
	q := new(big.Rat).Sub(big.NewRat(1, 1), p)
	a := make([][]*big.Rat, states) // [I-Q | 1]
	for i := range a {
		a[i] = make([]*big.Rat, states+1)
		for j := range a[i] {
			a[i][j] = new(big.Rat)
		}
		a[i][i].SetInt64(1)
		a[i][states].SetInt64(1)
		for clean, chance := range map[bool]*big.Rat{true: q, false: p} {
			if j := next(i, clean); j >= 0 {
				a[i][j].Sub(a[i][j], chance)
			}
		}
	}
	for k := range a {
		require.NotZero(t, a[k][k].Sign())
		for i := range a {
			if i == k || a[i][k].Sign() == 0 {
				continue
			}
			f := new(big.Rat).Quo(a[i][k], a[k][k])
			for j := k; j <= states; j++ {
				a[i][j].Sub(a[i][j], new(big.Rat).Mul(f, a[k][j]))
			}
		}
	}
	mean, _ := new(big.Rat).Quo(a[start][states], a[start][start]).Float64()
	return mean
}

func TestMeansAgainstLinearEquations(t *testing.T) {
	for _, p := range []*big.Rat{big.NewRat(1, 100000), big.NewRat(1, 50), big.NewRat(1, 4), big.NewRat(4, 5)} {
		rate, _ := p.Float64()
		for _, r := range []Rule{{1, 0, 1, 60}, {2, -5, 7, 60}, {10, -10, 17, 60}, {11, 0, 12, 60}} {
			want := solveMean(t, r.Threshold-r.Floor, -r.Floor, p, func(i int, clean bool) int {
				if clean && i+1 == r.Threshold-r.Floor {
					return -1
				} else if clean {
					return i + 1
				}
				return max(0, i-r.Fault)
			})
			assert.InEpsilon(t, want, r.MeanUnlimited(rate), 1e-12, "%+v p=%v", r, p)
		}
		for _, m := range []Monitor{{1, 1}, {1, 6}, {3, 8}, {11, 12}, {11, 20}} {
			want := solveMean(t, m.Alarm, 0, p, func(i int, clean bool) int {
				if clean {
					return max(0, i-1)
				} else if i+m.Fault >= m.Alarm {
					return -1
				}
				return i + m.Fault
			})
			assert.InEpsilon(t, want, m.MeanToAlarm(rate), 1e-12, "%+v p=%v", m, p)
		}
	}
}

func TestRunAgainstClosedForm(t *testing.T) {
	for _, k := range []int{1, 2, 5, 10} {
		for _, p := range []float64{0.1, 0.3, 0.5} {
			q := 1 - p
			pq := p * math.Pow(q, float64(k))
			w := RunWaiting{k}
			assert.InEpsilon(t, (1-math.Pow(q, float64(k)))/pq, w.Mean(p), 1e-12)
			assert.InEpsilon(t, 1/(pq*pq)-float64(2*k+1)/pq-q/(p*p), w.Variance(p), 1e-9)
		}
	}
}

func TestWindowOneShotIsBinomial(t *testing.T) {
	for _, w := range []RollingWindow{{9, 10}, {3, 7}, {16, 16}} {
		for _, p := range []float64{0.02, 0.2, 0.7} {
			want := 0.0
			for faults := 0; faults <= w.Of-w.Clean; faults++ {
				want += binomial(w.Of, faults, p)
			}
			assert.InEpsilon(t, want, w.OneShot(p), 1e-12)
		}
	}
}
