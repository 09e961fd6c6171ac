package estimate

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment/sequence"
)

// Everything here is a second route to a figure, sharing nothing with the first.

// tailBelow is the chance of at most x in n at share p, as a sum of binomial terms
// in exact fractions.
func tailBelow(x, n int, p *big.Rat) float64 {
	q := new(big.Rat).Sub(big.NewRat(1, 1), p)
	sum := new(big.Rat)
	for k := 0; k <= x; k++ {
		term := new(big.Rat).SetInt(new(big.Int).Binomial(int64(n), int64(k)))
		for range k {
			term.Mul(term, p)
		}
		for range n - k {
			term.Mul(term, q)
		}
		sum.Add(sum, term)
	}
	v, _ := sum.Float64()
	return v
}

// bisect finds where a falling function crosses 0 between lo and hi.
func bisect(lo, hi float64, f func(float64) float64) float64 {
	for range 60 {
		if m := (lo + hi) / 2; f(m) > 0 {
			lo = m
		} else {
			hi = m
		}
	}
	return (lo + hi) / 2
}

// simpson integrates f from lo to hi.
func simpson(lo, hi float64, n int, f func(float64) float64) float64 {
	h := (hi - lo) / float64(2*n)
	sum := f(lo) + f(hi)
	for i := 1; i < 2*n; i++ {
		sum += f(lo+float64(i)*h) * float64(2+2*(i%2))
	}
	return sum * h / 3
}

func TestExactByBisection(t *testing.T) {
	for _, c := range [][2]int{{0, 1}, {1, 1}, {0, 7}, {3, 7}, {7, 7}, {2, 19}} {
		x, n := c[0], c[1]
		tail := func(x int) func(float64) float64 {
			return func(p float64) float64 { return tailBelow(x, n, new(big.Rat).SetFloat64(p)) }
		}
		want := Interval{0, 1}
		if x > 0 {
			want.Low = bisect(0, 1, func(p float64) float64 { return tail(x-1)(p) - 0.975 })
		}
		if x < n {
			want.High = bisect(0, 1, func(p float64) float64 { return tail(x)(p) - 0.025 })
		}
		got := must(Exact(x, n, 0.95))
		assert.InDelta(t, want.Low, got.Low, 1e-12, "%v", c)
		assert.InDelta(t, want.High, got.High, 1e-12, "%v", c)
		if x == 0 {
			assert.InDelta(t, must(ZeroUpper(n, 0.975)), got.High, 1e-12)
			assert.InDelta(t, must(ZeroUpper(n, 0.9)), must(ExactUpper(0, n, 0.9)), 1e-12)
		}
	}
}

// Exact holds whatever the share; Wilson on average over shares.
func TestCoverageOfIntervals(t *testing.T) {
	const n, grid = 12, 200
	sum := 0.0
	for g := range grid {
		p := (float64(g) + 0.5) / grid
		exact, wilson := 0.0, 0.0
		for x := 0; x <= n; x++ {
			chance := math.Exp(lchoose(n, x) + float64(x)*math.Log(p) + float64(n-x)*math.Log1p(-p))
			if i := must(Exact(x, n, 0.9)); i.Low <= p && p <= i.High {
				exact += chance
			}
			if i := must(Wilson(x, n, 0.9)); i.Low <= p && p <= i.High {
				wilson += chance
			}
		}
		assert.GreaterOrEqual(t, exact, 0.9-1e-12, "at %v", p)
		sum += wilson / grid
	}
	assert.InDelta(t, 0.9, sum, 0.01)
}

func lchoose(n, k int) float64 {
	f := func(v int) float64 { l, _ := math.Lgamma(float64(v + 1)); return l }
	return f(n) - f(k) - f(n-k)
}

// A share is in the score interval if x is within z standard errors, at that
// share, of its expectation.
func TestWilsonByItsDefinition(t *testing.T) {
	const z = 1.9599639845400545
	for _, c := range [][2]int{{1, 3}, {6, 20}, {19, 20}} {
		i, n := must(Wilson(c[0], c[1], 0.95)), float64(c[1])
		for _, p := range []float64{i.Low, i.High} {
			assert.InDelta(t, z*math.Sqrt(p*(1-p)*n), math.Abs(float64(c[0])-n*p), 1e-10)
		}
	}
}

func TestBetaAgainstClosedForms(t *testing.T) {
	arcsine := must(NewBeta(0.5, 0.5))
	for _, x := range []float64{0.001, 0.2, 0.5, 0.97} {
		assert.InDelta(t, 2/math.Pi*math.Asin(math.Sqrt(x)), arcsine.Below(x), 1e-13)
		assert.InDelta(t, x, arcsine.Quantile(2/math.Pi*math.Asin(math.Sqrt(x))), 1e-12)
		assert.InDelta(t, x, Beta{}.Below(x), 1e-15)
		// After x of n the share is below p if a binomial variable exceeds x.
		d := must(Beta{}.After(3, 20))
		assert.InDelta(t, 1-tailBelow(3, 21, new(big.Rat).SetFloat64(x)), d.Below(x), 1e-13)
		if y := d.Below(x); y < 1-1e-6 { // above, the chance has no digits left
			assert.InDelta(t, x, d.Quantile(y), 1e-9)
		}
		tiny := must(NewBeta(0.05, 1)) // Below(x) = x^0.05
		assert.InEpsilon(t, math.Pow(x, 20), tiny.Quantile(x), 1e-9)
	}
	sum := 0.0
	points := must(Beta{}.After(1, 12)).points(MixPoints)
	for _, p := range points {
		sum += p / MixPoints
	}
	assert.IsIncreasing(t, points)
	assert.InDelta(t, 2.0/14, sum, 1e-4)
}

func TestWaitAgainstBinomialAndIntegral(t *testing.T) {
	for _, needed := range []int{1, 2, 7} {
		known := must(WaitKnown(needed, 0.75))
		share := must(NewBeta(4.5, 2.5))
		unknown := must(WaitUnknown(needed, share))
		norm := simpson(0, 1, 5000, func(q float64) float64 { return math.Pow(q, 3.5) * math.Pow(1-q, 1.5) })
		for _, n := range []int{needed, needed + 1, 12, 40} {
			enough := func(q float64) float64 { // chance of at least needed clean in n
				chance := 1.0
				for k := range needed {
					chance -= math.Exp(lchoose(n, k)) * math.Pow(q, float64(k)) * math.Pow(1-q, float64(n-k))
				}
				return chance
			}
			assert.InDelta(t, enough(0.75), known.Within(n), 1e-12)
			want := simpson(0, 1, 200, func(q float64) float64 {
				return math.Pow(q, 3.5) * math.Pow(1-q, 1.5) * enough(q)
			}) / norm
			assert.InDelta(t, want, unknown.Within(n), 1e-6, "needed %d of %d", needed, n)
		}
	}
	// Moments, from the chances themselves.
	for _, w := range []Wait{must(WaitKnown(3, 0.8)), must(WaitUnknown(3, must(NewBeta(30, 3))))} {
		m, v, last := 0.0, 0.0, 0.0
		for n := 3; n <= 400; n++ {
			p := w.Within(n) - last
			last += p
			m, v = m+p*float64(n), v+p*float64(n*n)
		}
		assert.InDelta(t, m, must(w.Mean()), 1e-6)
		assert.InDelta(t, v-m*m, must(w.Variance()), 1e-5)
	}
}

// The pace by integrating a Poisson chance over the rate's Gamma density. With
// rate = s², the density is smooth at 0.
func TestPaceAgainstIntegral(t *testing.T) {
	for _, count := range []int{0, 1, 9} {
		const past = 6.5
		p := must(NewPace(count, past))
		gamma, _ := math.Lgamma(float64(count) + 0.5)
		for _, ahead := range []float64{0.3, 4, 20} {
			cdf := p.made(ahead, 5)
			for n := 1; n <= 5; n++ {
				want := simpson(0, 3.5, 2000, func(s float64) float64 {
					rate, fewer, term := s*s, 0.0, math.Exp(-s*s*ahead)
					for k := range n {
						fewer += term
						term *= rate * ahead / float64(k+1)
					}
					density := 2 * math.Pow(s, 2*float64(count)) * math.Exp((float64(count)+0.5)*math.Log(past)-past*rate-gamma)
					return density * (1 - fewer)
				})
				assert.InDelta(t, want, p.Within(n, ahead), 1e-9, "%d past, observation %d in %v", count, n, ahead)
				assert.InDelta(t, 1-want, cdf[n-1], 1e-9)
				assert.InEpsilon(t, ahead, must(p.Quantile(n, p.Within(n, ahead))), 1e-8)
			}
		}
	}
}

var twoRules = []struct {
	rule  sequence.Rule
	score int
}{
	{sequence.Rule{Fault: 3, Floor: -3, Threshold: 5, Horizon: 60}, 0},
	{sequence.Rule{Fault: 2, Floor: -4, Threshold: 4, Horizon: 60}, -3},
	{sequence.Rule{Fault: 10, Floor: -10, Threshold: 17, Horizon: 60}, 9},
}

func TestReachAgainstEnumerationAndSequence(t *testing.T) {
	const longest = 12
	for _, c := range twoRules {
		for _, p := range []float64{0, 0.05, 0.4, 1} {
			count := make([]float64, longest+1)
			for seq := range 1 << longest {
				score, chance := c.score, 1.0
				for n := 1; n <= longest; n++ {
					if seq>>(n-1)&1 == 0 {
						score, chance = score+1, chance*(1-p)
					} else {
						score, chance = max(score-c.rule.Fault, c.rule.Floor), chance*p
					}
					if score == c.rule.Threshold {
						count[n] += chance / float64(int(1)<<(longest-n)) // shared by all that begin so
						break
					}
				}
			}
			r := must(ReachKnown(c.rule, c.score, 60, p))
			sum := 0.0
			for n, v := range count {
				sum += v
				assert.InDelta(t, sum, r.Within(n), 1e-12, "%+v n=%d p=%v", c, n, p)
			}
			moved := sequence.Rule{Fault: c.rule.Fault, Floor: c.rule.Floor - c.score, Threshold: c.rule.Threshold - c.score, Horizon: 60}
			for _, n := range []int{0, 1, 13, 60} {
				assert.InDelta(t, moved.ReachWithin(n, p), r.Within(n), 1e-12)
			}
		}
	}
}

// urn is the exact mixture: after x faults in t observations the next one is a
// fault with chance (a+x)/(a+b+t).
func urn(rule sequence.Rule, score, n int, a, b float64) float64 {
	type state struct{ score, faults int }
	at, done := map[state]float64{{score, 0}: 1}, 0.0
	for t := range n {
		next := map[state]float64{}
		for s, mass := range at {
			fault := (a + float64(s.faults)) / (a + b + float64(t))
			if up := rule.Step(s.score, true); up >= rule.Threshold {
				done += mass * (1 - fault)
			} else {
				next[state{up, s.faults}] += mass * (1 - fault)
			}
			next[state{rule.Step(s.score, false), s.faults + 1}] += mass * fault
		}
		at = next
	}
	return done
}

// The points that stand for all rates cost less than one in 10000.
func TestReachUnknownAgainstUrn(t *testing.T) {
	for _, c := range twoRules {
		for _, seen := range [][2]int{{0, 5}, {1, 12}, {4, 30}} {
			d := must(Beta{}.After(seen[0], seen[1]))
			r := must(ReachUnknown(c.rule, c.score, 60, d))
			for _, n := range []int{8, 20, 60} {
				assert.InDelta(t, urn(c.rule, c.score, n, d.a, d.b), r.Within(n), 1e-4, "%+v %v n=%d", c, seen, n)
			}
		}
	}
}

func aSkill(clean string, score int) Skill {
	s := Skill{Rule: sequence.Rule{Fault: 10, Floor: -10, Threshold: 17, Horizon: 60}, Score: score, Used: len(clean), Days: 70, TargetDays: 56}
	for i, c := range clean {
		s.Recent = append(s.Recent, c == 'C')
		s.DaysAgo = append(s.DaysAgo, 3*(len(clean)-1-i))
	}
	return s
}

// The weeks of one skill by adding up over the observations needed; of several
// with the same pace, over the observations made; with unlike paces, over many
// quantiles.
func TestWeeksBySummation(t *testing.T) {
	f := Forecast(aSkill("CCCCCCCCCCCC", 12))
	require.Empty(t, f.WhyNot)
	g := Forecast(aSkill("CCCCCCCCCCCCCC", 14))
	require.Empty(t, g.WhyNot)
	for _, weeks := range []float64{0, 0.5, 4, 30} {
		want := 0.0
		for n := 1; n <= f.Remaining; n++ {
			want += (f.reach.Within(n) - f.reach.Within(n-1)) * f.pace.Within(n, weeks)
		}
		assert.InDelta(t, want, chanceBy([]SkillForecast{f}, weeks), 1e-10)

		same := g
		same.pace = f.pace
		want = 0
		for n := range 400 {
			want += (f.pace.Within(n, weeks) - f.pace.Within(n+1, weeks)) * f.reach.Within(n) * g.reach.Within(n)
		}
		assert.InDelta(t, want, chanceBy([]SkillForecast{f, same}, weeks), 1e-9)

		cf, cg := f.pace.made(weeks, f.Remaining), g.pace.made(weeks, g.Remaining)
		const fine = 20000
		want = 0
		for i := range fine {
			u := (float64(i) + 0.5) / fine
			want += f.reach.Within(passed(cf, u)) * g.reach.Within(passed(cg, u)) / fine
		}
		assert.InDelta(t, want, chanceBy([]SkillForecast{f, g}, weeks), 1e-3)
	}
	assert.InDelta(t, 0.1*f.WithinRemaining, chanceBy([]SkillForecast{f}, f.Weeks.Low), 1e-7)
	assert.InDelta(t, 0.9*f.WithinRemaining, chanceBy([]SkillForecast{f}, f.Weeks.High), 1e-7)
	one := ForecastProgramme([]SkillForecast{f}, 56)
	assert.Equal(t, f.Weeks, one.Weeks)
	assert.Equal(t, f.ByTarget, one.ByTarget)
	two := ForecastProgramme([]SkillForecast{f, g}, 56)
	assert.Empty(t, two.WhyNot)
	assert.Less(t, two.ByTarget, min(f.ByTarget, g.ByTarget))
}

// passed is how many of the rising chances lie below u.
func passed(cdf []float64, u float64) int {
	n := 0
	for n < len(cdf) && cdf[n] < u {
		n++
	}
	return n
}
