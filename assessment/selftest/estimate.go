package selftest

import "tablehand/assessment/estimate"

// estimateMethods are shares, calibration and smoothing.
var estimateMethods = map[string]adapter{
	"proportion_interval":      proportionInterval,
	"zero_events_upper":        zeroUpper,
	"zero_failure_sample_size": zeroFaultCount,
	"beta_posterior":           betaPosterior,
	"brier_decomposition":      brier,
	"ewma":                     ewma,
	"isotonic_regression":      isotonic,
}

const (
	// most is the longest list of marks, grades or predictions.
	most = 2000
	// large is the largest mark, up or down.
	large = 1e9
)

// proportionInterval. Printed: Wilson, Newcombe 1998, Stat Med 17:857, Table I,
// method 3; Clopper–Pearson, the same table, method 5 (from memory), NIST/SEMATECH
// e-Handbook 7.2.4.2 (its upper limit was found by a root finder that stopped
// early, so five decimals), R's binom.test (8 of 10), and 0 of 30 to four decimals
// (exact). The cases generated at random, Jeffreys' among them, are computed only.
func proportionInterval(a *args) calculation {
	kinds := map[string]func(x, n int, conf float64) (estimate.Interval, error){
		"wilson": estimate.Wilson, "clopper_pearson": estimate.Exact, "jeffreys": estimate.Jeffreys,
	}
	kind := a.word("kind", "wilson", "clopper_pearson", "jeffreys")
	x, n, conf := a.whole("x", 0, estimate.MaxCount), a.whole("n", 0, estimate.MaxCount), a.inside("conf")
	return func() (made, error) {
		i, err := kinds[kind](x, n, conf)
		return made{"ci": []any{i.Low, i.High}}, err
	}
}

// zeroUpper. Printed: 0 of 183, 0.0162. The rule of three is Hanley &
// Lippman-Hand 1983, JAMA 249:1743. The other values are computed.
func zeroUpper(a *args) calculation {
	n, conf := a.whole("n", 0, estimate.MaxCount), a.inside("conf")
	return func() (made, error) {
		return made{"exact": or(estimate.ZeroUpper(n, conf)), "rule_of_three": or(estimate.RuleOfThree(n))}, nil
	}
}

// zeroFaultCount. Printed: 59 for 95/95 (success-run theorem); 29 and 299 from
// memory; 14 computed.
func zeroFaultCount(a *args) calculation {
	p1, alpha := a.inside("p1"), a.inside("alpha")
	return func() (made, error) {
		return made{"n": or(estimate.ZeroFaultCount(p1, alpha))}, nil
	}
}

// betaPosterior is computed only.
func betaPosterior(a *args) calculation {
	prior, cut := a.beta(), a.share("cut")
	x, n := a.whole("x", 0, estimate.MaxCount), a.whole("n", 0, estimate.MaxCount)
	return func() (made, error) {
		d, err := prior.After(x, n)
		return made{"p_below": d.Below(cut), "mean": d.Mean(), "upper95": d.Quantile(0.95)}, err
	}
}

// brier is computed on data generated at random; the partition is Murphy 1973, J
// Appl Meteorol 12:595, over-confidence Lichtenstein, Fischhoff & Phillips 1982.
func brier(a *args) calculation {
	confidence, outcome := a.reals("confidence", most, 0, 1), a.wholes("outcome", most, 0, 1)
	return func() (made, error) {
		came := make([]bool, len(outcome))
		for i, o := range outcome {
			came[i] = o == 1
		}
		b, err := estimate.Calibrate(confidence, came)
		return made{
			"brier": b.Brier, "reliability": b.Reliability, "resolution": b.Resolution,
			"uncertainty": b.Uncertainty, "overconfidence": b.Overconfidence,
		}, err
	}
}

// ewma. Printed: NIST/SEMATECH e-Handbook 6.3.2.4, the example's table, two
// decimals.
func ewma(a *args) calculation {
	x, lambda, start := a.reals("x", most, -large, large), a.share("lam"), a.real("z0", -large, large)
	return func() (made, error) {
		z, err := estimate.EWMA(x, lambda, start)
		return made{"z": list(z)}, err
	}
}

// isotonic is computed; the first case is the example of R's isoreg.
func isotonic(a *args) calculation {
	y := a.reals("y", most, -large, large)
	return func() (made, error) {
		fit, err := estimate.Isotonic(y)
		return made{"fit": list(fit)}, err
	}
}
