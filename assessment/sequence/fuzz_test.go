package sequence

import (
	"math"
	"testing"
)

// FuzzRule feeds a rule and its aims whatever numbers there are. Nothing panics;
// a chance is from 0 to 1 or NaN, and NaN only for rules and rates that make no
// sense.
func FuzzRule(f *testing.F) {
	f.Add(10, -10, 17, 60, 0, 0.02, 0.20, 0.05)
	f.Add(11, -19, 15, 60, -19, 0.05, 0.30, 0.10)
	f.Add(0, 1, 0, 0, 5, 0.0, 1.0, 0.0)
	f.Add(-1, -2000, 3000, 5000, -9, -0.5, 2.0, 3.0)
	f.Add(1, 0, 1, 1, 0, math.NaN(), math.Inf(1), math.Inf(-1))
	f.Add(math.MaxInt, math.MinInt, math.MaxInt, math.MinInt, math.MinInt, 1e-308, 1e-300, 1e-300)
	f.Fuzz(func(t *testing.T, fault, floor, threshold, horizon, score int, p0, p1, alpha float64) {
		r := Rule{Fault: fault, Floor: floor, Threshold: threshold, Horizon: horizon}
		valid, rates := r.Validate() == nil, isRate(p0) && isRate(p1)
		n := min(horizon, 100)
		chance := func(what string, v float64, sensible bool) {
			if math.IsNaN(v) == sensible || v < 0 || v > 1 {
				t.Errorf("%s of %+v at %v, %v, %v: %v", what, r, p0, p1, alpha, v)
			}
		}
		if r.usable() == (math.IsNaN(r.ReachWithin(n, 0.5))) {
			t.Errorf("%+v", r)
		}
		if valid {
			chance("reach", r.ReachWithin(n, p0), isRate(p0))
			chance("curve", r.Curve(n, []float64{p1})[0], isRate(p1))
			if mean := r.MeanWithin(n, p0); isRate(p0) && !(mean >= 0 && mean <= float64(n)*(1+1e-12)) {
				t.Errorf("mean of %+v: %v", r, mean)
			}
			o := r.Operating(p0, p1)
			if rates && (math.IsNaN(o.FalseSignOff) || math.IsNaN(o.MeanUnlimited)) {
				t.Errorf("%+v: %+v", r, o)
			}
			if forecast := r.Forecast(score, n, p0); forecast != nil {
				chance("never", forecast.Never(), true)
			}
		}
		if h, err := Threshold(fault, floor, n, p1, alpha); err == nil {
			chance("false sign-off", Rule{fault, floor, h, n}.ReachWithin(n, p1), true)
		}
		if bound := LowerBound(min(n, 20), p0, p1, alpha); bound < 0 || bound > float64(n) {
			t.Errorf("bound %v", bound)
		}
		fuzzComparison(chance, n, p0, p1, alpha)
	})
}

func fuzzComparison(chance func(string, float64, bool), n int, p0, p1, alpha float64) {
	sensible := separated(p0, p1) && isOpenRate(alpha)
	for what, rule := range map[string]comparison{
		"SPRT": WaldSPRT(p0, p1, alpha, alpha), "LR": LikelihoodRatio(p0, p1, alpha), "LC-CUSUM": LCCUSUM{p0, p1, -math.Log(alpha)},
		"restarts": RestartAfterFault(p0, p1, alpha), "Bayes": BayesStop{1, 1, p1, 1 - alpha},
	} {
		v := rule.Within(n, p0)
		chance(what, v, !math.IsNaN(v)) // from 0 to 1, if a number
		if what == "LR" && sensible {
			chance(what, v, true)
		}
	}
	n = min(n, 12)
	if frontier, err := Frontier(p0, p1, alpha, n, ImprovingFor(p0, p1)); err == nil {
		for _, c := range Choices(frontier) {
			chance("choice", c.ImprovingWithin, true)
		}
	}
}
