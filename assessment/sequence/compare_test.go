package sequence

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// comparison is what all rules have in common here.
type comparison interface {
	Within(n int, p float64) float64
	MeanWithin(n int, p float64) float64
}

// A good stretch lets everybody through. Figures are exact to the digits
// written; an independent route is the enumeration of all short sequences.
func TestGoodStretches(t *testing.T) {
	for _, row := range []struct {
		rule comparison
		p    float64
		by   [3]float64 // within 20, 40 and 60 observations
	}{
		{RunWaiting{3}, 0.10, [3]float64{1, 1, 1}},
		{RunWaiting{3}, 0.20, [3]float64{0.999, 1, 1}},
		{RunWaiting{5}, 0.10, [3]float64{0.993, 1, 1}},
		{RunWaiting{5}, 0.20, [3]float64{0.920, 0.996, 1}},
		{RunWaiting{10}, 0.10, [3]float64{0.697, 0.945, 0.990}},
		{RunWaiting{10}, 0.20, [3]float64{0.322, 0.621, 0.789}},
		{RollingWindow{9, 10}, 0.10, [3]float64{0.963, 1, 1}},
		{RollingWindow{9, 10}, 0.20, [3]float64{0.740, 0.960, 0.994}},
	} {
		for i, want := range row.by {
			assert.InDelta(t, want, row.rule.Within(20*(i+1), row.p), 0.0005001, "%+v p=%v", row.rule, row.p)
		}
	}
	assert.InDelta(t, 3.1, RunWaiting{3}.Mean(0.02), 0.05001)
	assert.InDelta(t, 5.3, RunWaiting{5}.Mean(0.02), 0.05001)
	assert.InDelta(t, 11.2, RunWaiting{10}.Mean(0.02), 0.05001)
	window := RollingWindow{9, 10}
	assert.InDelta(t, 10.1, unlimited(window, 0.02), 0.05001) // nobody is left at MaxHorizon
	assert.InDelta(t, 0.736, window.OneShot(0.10), 0.0005001)
	assert.InDelta(t, 0.376, window.OneShot(0.20), 0.0005001)
	assert.InDelta(t, 0.984, window.OneShot(0.02), 0.0005001)
}

// The designed rules at p0 = 0.02 and alpha = 0.05, exact to the digits written.
// share is the lower bound for alpha over the mean within 60.
func TestDesignedRules(t *testing.T) {
	const p0, alpha = 0.02, 0.05
	for _, row := range []struct {
		name                    string
		rule                    comparison
		p1                      float64
		by                      [3]float64 // false sign-off within 20, 40 and 60
		mean, mean60, share     float64    // observations at p0; share 0 if the error is not kept
		meanDecimals, byDecimal float64    // half of the last digit written
	}{
		{"LR", LikelihoodRatio(p0, 0.10, alpha), 0.10, [3]float64{0, 0.023, 0.033}, 59.5, 47.5, 0.890, 0.05, 0.0005},
		{"LR", LikelihoodRatio(p0, 0.20, alpha), 0.20, [3]float64{0.035, 0.045, 0.046}, 20.1, 19.9, 0.973, 0.05, 0.0005},
		{"LC-CUSUM at the SPRT's limit", LCCUSUM{p0, 0.10, math.Log(19)}, 0.10, [3]float64{0, 0.038, 0.094}, 48.4, 44.3, 0, 0.05, 0.0005},
		{"LC-CUSUM at the SPRT's limit", LCCUSUM{p0, 0.20, math.Log(19)}, 0.20, [3]float64{0.070, 0.209, 0.328}, 17.6, 17.6, 0, 0.05, 0.0005},
		{"LC-CUSUM in points", points{19, 0, 40, 60}, 0.10, [3]float64{0, 0.015, 0.048}, 56.5, 49.4, 0.855, 0.05, 0.0005},
		{"LC-CUSUM in points", points{11, 0, 24, 60}, 0.20, [3]float64{0, 0.021, 0.043}, 29.3, 29.2, 0.664, 0.05, 0.0005},
		{"points", points{19, -19, 33, 60}, 0.10, [3]float64{0, 0.031, 0.046}, 52.9, 44.5, 0.949, 0.05, 0.0005},
		{"points", points{11, -11, 17, 60}, 0.20, [3]float64{0.023, 0.032, 0.043}, 22.1, 22.0, 0.880, 0.05, 0.0005},
		{"restarts", RestartAfterFault(p0, 0.20, alpha), 0.20, [3]float64{0.0144, 0.0275, 0.0355}, 24.3, 24.2, 0.801, 0.05, 0.00005},
		{"Bayes", BayesStop{1, 1, 0.10, 0.95}, 0.10, [3]float64{0, 0.052, 0.098}, 41.0, 38.4, 0, 0.05, 0.0005},
		{"Bayes", BayesStop{0.5, 0.5, 0.10, 0.95}, 0.10, [3]float64{0.150, 0.187, 0.208}, 28.0, 26.6, 0, 0.05, 0.0005},
		{"Bayes", BayesStop{1, 1, 0.20, 0.95}, 0.20, [3]float64{0.055, 0.116, 0.145}, 15.5, 15.4, 0, 0.05, 0.0005},
		{"Bayes", BayesStop{0.5, 0.5, 0.20, 0.95}, 0.20, [3]float64{0.175, 0.226, 0.251}, 10.9, 10.9, 0, 0.05, 0.0005},
	} {
		for i, want := range row.by {
			assert.InDelta(t, want, row.rule.Within(20*(i+1), row.p1), row.byDecimal*1.001, "%s %v", row.name, row.p1)
		}
		assert.InDelta(t, row.mean, unlimited(row.rule, p0), row.meanDecimals*1.001, "%s %v", row.name, row.p1)
		mean60 := row.rule.MeanWithin(60, p0)
		assert.InDelta(t, row.mean60, mean60, row.meanDecimals*1.001, "%s %v", row.name, row.p1)
		if row.share > 0 {
			assert.InDelta(t, row.share, LowerBound(60, p0, row.p1, alpha)/mean60, 0.0005001, "%s %v", row.name, row.p1)
			assert.LessOrEqual(t, row.rule.Within(60, row.p1), alpha)
		}
	}
}

// points has the names of the other rules.
type points Rule

func (r points) Within(n int, p float64) float64     { return Rule(r).ReachWithin(n, p) }
func (r points) MeanWithin(n int, p float64) float64 { return Rule(r).MeanWithin(n, p) }
func (r points) Mean(p float64) float64              { return Rule(r).MeanUnlimited(p) }

func unlimited(rule comparison, p float64) float64 {
	if s, ok := rule.(SPRT); ok {
		_, mean := s.Unlimited(p)
		return mean
	}
	if m, ok := rule.(interface{ Mean(p float64) float64 }); ok {
		return m.Mean(p)
	}
	return rule.MeanWithin(MaxHorizon, p)
}

// Wald's test with nominal errors, exact to the digits written. It comes
// near Wald's bound for the errors it really has, and cutting it
// off does harm unless whoever is undecided is not signed off.
func TestSPRTFigures(t *testing.T) {
	const p0 = 0.02
	for _, row := range []struct {
		p1, nominal              float64
		falsely, missed          float64
		mean0, mean1, cut0       float64 // observations at p0, at p1, and at p0 cut off at 60
		by                       [3]float64
		positive, good, ofBounds float64
	}{
		{0.10, 0.05, 0.0489, 0.0297, 54.6, 38.3, 45.7, [3]float64{0, 0.025, 0.037}, 0.1367, 0.728, 0.999},
		{0.20, 0.05, 0.0471, 0.0229, 18.9, 11.9, 18.8, [3]float64{0.035, 0.046, 0.047}, 0.0472, 0.973, 0.999},
		{0.10, 0.10, 0.1025, 0.0569, 37.8, 27.4, 34.9, [3]float64{0, 0.065, 0.087}, 0.1495, 0.801, 0.998},
		{0.20, 0.10, 0.1004, 0.0472, 13.2, 8.8, 13.2, [3]float64{0.086, 0.100, 0.100}, 0.1004, 0.952, 0.995},
	} {
		s := WaldSPRT(p0, row.p1, row.nominal, row.nominal)
		signed0, mean0 := s.Unlimited(p0)
		falsely, mean1 := s.Unlimited(row.p1)
		assert.InDelta(t, row.falsely, falsely, 0.00005001)
		assert.InDelta(t, row.missed, 1-signed0, 0.00005001)
		assert.InDelta(t, row.mean0, mean0, 0.05001)
		assert.InDelta(t, row.mean1, mean1, 0.05001)
		assert.InDelta(t, row.cut0, s.MeanWithin(60, p0), 0.05001)
		for i, want := range row.by {
			assert.InDelta(t, want, s.Within(20*(i+1), row.p1), 0.0005001)
		}
		assert.InDelta(t, row.positive, s.WithinOrPositive(60, row.p1), 0.00005001)
		assert.InDelta(t, row.good, s.Within(60, p0), 0.0005001)
		bound, _ := WaldBounds(p0, row.p1, falsely, 1-signed0)
		assert.InDelta(t, row.ofBounds, bound/mean0, 0.0005001)
		assert.Less(t, bound, mean0)
	}
}

// What a likelihood ratio rule ever lets through stays within alpha; where the
// evidence falls on average it is not known how long it takes.
func TestLikelihoodRatioForEver(t *testing.T) {
	for _, p1 := range []float64{0.10, 0.20} {
		assert.LessOrEqual(t, LikelihoodRatio(0.02, p1, 0.05).Within(1000, p1), 0.05)
		assert.LessOrEqual(t, RestartAfterFault(0.02, p1, 0.05).Within(300, p1), 0.05)
		_, mean := LikelihoodRatio(0.02, p1, 0.05).Unlimited(p1)
		assert.True(t, math.IsInf(mean, 1))
		assert.True(t, math.IsInf(RestartAfterFault(0.02, p1, 0.05).Mean(p1), 1))
	}
	// A fresh attempt needs this many clean observations.
	for _, c := range []struct {
		p1    float64
		clean int
	}{{0.10, 36}, {0.20, 15}} {
		s := LikelihoodRatio(0.02, c.p1, 0.05)
		assert.Equal(t, 0.0, s.Within(c.clean-1, 0))
		assert.Equal(t, 1.0, s.Within(c.clean, 0))
	}
}

// Peeking is what costs: after one more look the belief is the same, the chance
// of having been signed off is not.
func TestBayesStopIsNoPromise(t *testing.T) {
	b := BayesStop{1, 1, 0.20, 0.95}
	assert.Greater(t, b.Within(1000, 0.20), 0.3)
	assert.InDelta(t, 0.188, BayesStop{1, 1, 0.10, 0.90}.Within(60, 0.10), 0.0005001)
	assert.InDelta(t, 0.276, BayesStop{1, 1, 0.20, 0.90}.Within(60, 0.20), 0.0005001)
	assert.True(t, math.IsInf(b.Mean(0.3), 1))
	assert.InEpsilon(t, 1-math.Pow(0.8, 6), b.Belief(0, 5), 1e-13) // Beta(1, 6)
	assert.True(t, math.IsNaN(b.Belief(6, 5)))
	// Sign-off after nine clean observations, with no fault allowed sooner.
	jeffreys := BayesStop{0.5, 0.5, 0.20, 0.95}
	assert.Equal(t, 0.0, jeffreys.Within(8, 0))
	assert.Equal(t, 1.0, jeffreys.Within(9, 0))
}

// A threshold that no fault leaves above 0 makes the LC-CUSUM a run, and fault
// and clean observation of equal weight make it the points rule.
func TestLCCUSUMSpecialCases(t *testing.T) {
	clean, fault := evidence(0.02, 0.20)
	run := LCCUSUM{0.02, 0.20, fault}
	k := int(math.Ceil(fault / clean))
	even, inPoints := LCCUSUM{0.2, 0.8, 5 * math.Log(4)}, Rule{1, 0, 5, 60}
	assert.Equal(t, inPoints, even.Points(60))
	for _, p := range []float64{0, 0.02, 0.3, 0.6} {
		assert.InEpsilon(t, RunWaiting{k}.Mean(p), run.Mean(p), 1e-11)
		assert.InDelta(t, RunWaiting{k}.Within(60, p), run.Within(60, p), 1e-14)
		assert.InDelta(t, RunWaiting{k}.MeanWithin(60, p), run.MeanWithin(60, p), 1e-11)
		assert.InEpsilon(t, inPoints.MeanUnlimited(p), even.Mean(p), 1e-11)
		assert.InDelta(t, inPoints.ReachWithin(60, p), even.Within(60, p), 1e-14)
	}
	assert.True(t, math.IsInf(run.Mean(1), 1))
	assert.Equal(t, Rule{11, 0, 15, 60}, LCCUSUM{0.02, 0.20, math.Log(19)}.Points(60))
	assert.Equal(t, Rule{}, LCCUSUM{}.Points(60))
}

func TestComparisonRefuses(t *testing.T) {
	nan := math.NaN()
	for _, rule := range []comparison{
		SPRT{}, SPRT{0.2, 0.02, 3, 3}, SPRT{0.02, 0.2, 0, 3}, SPRT{0.02, 0.2, 3, -1}, SPRT{0.02, 0.2, nan, nan},
		WaldSPRT(0.02, 0.2, 0.9, 0.9), LikelihoodRatio(0.02, 0.2, 1), LCCUSUM{0.02, 0.2, 0}, LCCUSUM{0.02, 0.2, math.Inf(1)},
		Restarts{0.02, 0.2, 0, 1}, Restarts{0.02, 0.2, 0.05, -1}, RestartAfterFault(0.2, 0.02, 0.05), Restarts{0.02, 0.2, 0.05, math.Inf(1)},
		BayesStop{0, 1, 0.2, 0.95}, BayesStop{1, 1, 0, 0.95}, BayesStop{1, 1, 0.2, 1}, BayesStop{nan, 1, 0.2, 0.95},
	} {
		assert.True(t, math.IsNaN(rule.Within(9, 0.1)), "%+v", rule)
		assert.True(t, math.IsNaN(rule.MeanWithin(9, 0.1)), "%+v", rule)
		assert.True(t, math.IsNaN(unlimited(rule, 0.1)), "%+v", rule)
	}
	for _, rule := range []comparison{
		WaldSPRT(0.02, 0.2, 0.05, 0.05), LCCUSUM{0.02, 0.2, 3}, RestartAfterFault(0.02, 0.2, 0.05),
		BayesStop{1, 1, 0.2, 0.95}, RunWaiting{3}, RollingWindow{4, 5},
	} {
		assert.Equal(t, 0.0, rule.Within(0, 0.1))
		assert.Equal(t, 0.0, rule.Within(-1, 0.1))
		assert.Equal(t, 0.0, rule.MeanWithin(-1, 0.1))
		for _, p := range []float64{-0.1, 1.1, nan} {
			assert.True(t, math.IsNaN(rule.Within(9, p)), "%+v", rule)
			assert.True(t, math.IsNaN(rule.MeanWithin(9, p)), "%+v", rule)
		}
	}
	assert.True(t, math.IsNaN(SPRT{}.WithinOrPositive(9, 0.1)))
	a, b, c := SPRT{}.Lines()
	assert.True(t, math.IsNaN(a) && math.IsNaN(b) && math.IsNaN(c))
	signOff, reject := SPRT{}.Plan(9)
	assert.Equal(t, 0, signOff)
	assert.Equal(t, 0, reject)
	for _, k := range []KieferWeiss{{}, {0.05, 0.15, 0.2, 100, 100, 50}, {0.05, 0.15, 0.1, 0, 100, 50}, {0.05, 0.15, 0.1, 100, 100, 0}} {
		missed, falsely, mean := k.Operating()
		assert.True(t, math.IsNaN(missed) && math.IsNaN(falsely) && math.IsNaN(mean), "%+v", k)
	}
	at0, at1 := WaldBounds(0.02, 0.2, 0.6, 0.6)
	assert.True(t, math.IsNaN(at0) && math.IsNaN(at1))
	assert.True(t, math.IsNaN(Efficiency(60, 0.02, 0.2, 0.05, 0)))
}

// genComparison draws a rule that p1 is the unacceptable rate of.
func genComparison(t *rapid.T, p0, p1 float64) comparison {
	alpha := rapid.Float64Range(0.01, 0.4).Draw(t, "alpha")
	beta := rapid.Float64Range(0.01, 0.4).Draw(t, "beta")
	return rapid.SampledFrom([]comparison{
		WaldSPRT(p0, p1, alpha, beta), LikelihoodRatio(p0, p1, alpha), LCCUSUM{p0, p1, -math.Log(alpha)},
		Restarts{p0, p1, alpha, 5 * beta}, BayesStop{5 * beta, 1, p1, 1 - alpha},
		RunWaiting{1 + int(20*beta)}, RollingWindow{6, 8}, points(genRule(t)),
	}).Draw(t, "rule")
}

func TestComparisonRulesAreSane(t *testing.T) {
	const slack = 1e-12
	rapid.Check(t, func(t *rapid.T) {
		p0 := rapid.Float64Range(0.01, 0.3).Draw(t, "p0")
		p1 := rapid.Float64Range(p0+0.1, 0.9).Draw(t, "p1")
		rule := genComparison(t, p0, p1)
		n := rapid.IntRange(1, 80).Draw(t, "n")
		p := rapid.Float64Range(0, 1).Draw(t, "p")
		worse := rapid.Float64Range(p, 1).Draw(t, "worse")
		within, mean := rule.Within(n, p), rule.MeanWithin(n, p)
		assert.True(t, within >= 0 && within <= 1, "%+v", rule)
		assert.True(t, mean >= 1-slack && mean <= float64(n)+slack*100, "%+v %v", rule, mean)
		assert.GreaterOrEqual(t, rule.Within(n+1, p), within-slack, "%+v in n", rule)
		assert.GreaterOrEqual(t, within, rule.Within(n, worse)-slack, "%+v in p", rule)
		// No rule needs less than the best conceivable with its false sign-off.
		if falsely := rule.Within(n, p1); isOpenRate(falsely) {
			efficiency := Efficiency(n, p0, p1, falsely, rule.MeanWithin(n, p0))
			assert.Greater(t, efficiency, 0.0, "%+v", rule)
			if s, ok := rule.(SPRT); !ok || math.IsInf(s.Reject, 1) { // the bound is not for rules that give up
				assert.LessOrEqual(t, efficiency, 1+1e-9, "%+v", rule)
			}
		}
		if _, ok := rule.(Restarts); !ok { // many attempts can take too long to settle
			assert.False(t, math.IsNaN(unlimited(rule, p0)), "%+v", rule)
		}
	})
}
