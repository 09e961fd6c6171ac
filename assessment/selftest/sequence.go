package selftest

import (
	"strconv"

	"tablehand/assessment/sequence"
)

// sequenceMethods are the points rule and what it is compared with. The rule's
// figures and the limits have no print: they follow from their definitions by
// exact calculation. Printed are the runs (Feller, An Introduction to Probability
// Theory and Its Applications I, XIII.7), the sampling plan (NIST/SEMATECH
// e-Handbook 7.6, from Wald 1947) and the tests of Novikov, Novikov & Farkhshatov
// 2021 with their optimum (Kiefer & Weiss 1957).
var sequenceMethods = map[string]adapter{
	"score_engine_oc":         pointsRule,
	"score_engine_path":       pointsPath,
	"score_engine_threshold":  pointsNeeded,
	"run_waiting":             runOfClean,
	"rolling_window":          rollingWindow,
	"bernoulli_cusum_monitor": monitor,
	"theoretical_limits":      limits,
	"sprt_plan":               samplingPlan,
	"sprt_exact":              ratioTest,
	"kiefer_weiss_modified":   kieferWeiss,
	"source_llr":              sourceEvidence,
}

// longest is the largest number of observations that a case may look ahead.
const longest = 2000

// rule reads m, h and floor.
func (a *args) rule() sequence.Rule {
	return sequence.Rule{
		Fault: a.whole("m", 1, sequence.MaxHorizon), Threshold: a.whole("h", 1, sequence.MaxHorizon),
		Floor: a.whole("floor", -sequence.MaxHorizon, 0), Horizon: sequence.MaxHorizon,
	}
}

// byNumber gives a chance for each number of observations.
func byNumber(horizons []int, within func(n int) float64) made {
	m := made{}
	for _, n := range horizons {
		m[strconv.Itoa(n)] = within(n)
	}
	return m
}

func pointsRule(a *args) calculation {
	r, n, rates := a.rule(), a.whole("N", 1, longest), a.reals("p", 20, 0, 1)
	return func() (made, error) {
		var rows []any
		for _, p := range rates {
			rows = append(rows, made{"p": p, "signoff_by_N": r.ReachWithin(n, p), "e_min_T_N": r.MeanWithin(n, p), "mean_T": r.MeanUnlimited(p)})
		}
		return made{"rows": rows}, nil
	}
}

// pointsPath follows one sequence of C, clean, and N, not clean, to eligibility.
func pointsPath(a *args) calculation {
	r, v := a.rule(), a.get("sequence")
	seen, ok := v.(string)
	for i, letter := range seen {
		if ok = ok && (letter == 'C' || letter == 'N'); !ok {
			a.fail("sequence", "has %q at place %d: C is clean and N is not", letter, i+1)
		}
	}
	if !ok {
		a.fail("sequence", "is %s: a text of C for clean and N for not clean is needed", kind(v))
	}
	return func() (made, error) {
		var scores []int
		var eligible any
		score := 0
		for i, letter := range seen {
			score = r.Step(score, letter == 'C')
			scores = append(scores, score)
			if score >= r.Threshold {
				eligible = i + 1
				break
			}
		}
		return made{"scores": list(scores), "signoff_at": eligible}, nil
	}
}

func pointsNeeded(a *args) calculation {
	p0, p1, alpha := a.inside("p0"), a.inside("p1"), a.inside("alpha")
	n, floor := a.whole("N", 1, sequence.MaxHorizon), a.whole("floor", -sequence.MaxHorizon, 0)
	return func() (made, error) {
		fault := sequence.FaultFor(p0, p1)
		h, err := sequence.Threshold(fault, floor, n, p1, alpha)
		if err != nil {
			return nil, err
		}
		at := func(h int) float64 {
			return sequence.Rule{Fault: fault, Floor: floor, Threshold: h, Horizon: n}.ReachWithin(n, p1)
		}
		return made{"m": fault, "h": h, "exact_false_signoff": at(h), "at_h_minus_1": at(h - 1)}, nil
	}
}

func runOfClean(a *args) calculation {
	w := sequence.RunWaiting{Clean: a.whole("k", 1, sequence.MaxHorizon)}
	q, horizons := a.share("q"), a.wholes("horizons", 20, 0, longest)
	return func() (made, error) {
		p := 1 - q
		return made{"mean": w.Mean(p), "var": w.Variance(p), "cdf": byNumber(horizons, func(n int) float64 { return w.Within(n, p) })}, nil
	}
}

func rollingWindow(a *args) calculation {
	w := sequence.RollingWindow{Clean: a.whole("k", 1, sequence.MaxWindow), Of: a.whole("n", 1, sequence.MaxWindow)}
	p, horizons := a.share("p"), a.wholes("horizons", 10, 0, 200)
	return func() (made, error) {
		if err := w.Validate(); err != nil {
			return nil, err
		}
		return made{"one_shot": w.OneShot(p), "cdf": byNumber(horizons, func(n int) float64 { return w.Within(n, p) })}, nil
	}
}

func monitor(a *args) calculation {
	m := sequence.Monitor{Fault: a.whole("m", 1, sequence.MaxHorizon), Alarm: a.whole("h", 1, sequence.MaxHorizon)}
	n, rates := a.whole("N", 0, longest), a.reals("p", 20, 0, 1)
	return func() (made, error) {
		var rows []any
		for _, p := range rates {
			rows = append(rows, made{"p": p, "mean_to_alarm": m.MeanToAlarm(p), "alarm_by_N": m.AlarmWithin(n, p)})
		}
		return made{"rows": rows}, nil
	}
}

// limits are Wald's bounds on the mean, the Neyman–Pearson power and the bound of
// the Lagrangian dual.
func limits(a *args) calculation {
	p0, p1, alpha, beta := a.inside("p0"), a.inside("p1"), a.inside("alpha"), a.inside("beta")
	horizons := a.wholes("N", 20, 1, sequence.MaxHorizon)
	return func() (made, error) {
		at0, at1 := sequence.WaldBounds(p0, p1, alpha, beta)
		return made{
			"kl_bound_p0": at0, "kl_bound_p1": at1, "nmin": sequence.LeastObservations(p1, alpha),
			"dual_bound_60": sequence.LowerBound(60, p0, p1, alpha),
			"np_power":      byNumber(horizons, func(n int) float64 { return sequence.GreatestCompetent(n, p0, p1, alpha) }),
		}, nil
	}
}

func samplingPlan(a *args) calculation {
	p1, p2, alpha, beta := a.inside("p1"), a.inside("p2"), a.inside("alpha"), a.inside("beta")
	sizes := a.wholes("n", 100, 1, longest)
	return func() (made, error) {
		// In the plan beta is the chance of accepting at the worse rate.
		s := sequence.WaldSPRT(p1, p2, beta, alpha)
		h1, h2, slope := s.Lines()
		accept, reject := made{}, made{}
		for _, n := range sizes {
			few, many := s.Plan(n)
			at := strconv.Itoa(n)
			if accept[at] = few; few < 0 {
				accept[at] = nil
			}
			if reject[at] = many; many > n {
				reject[at] = nil
			}
		}
		return made{"h1": h1, "h2": h2, "s": slope, "accept": accept, "reject": reject}, nil
	}
}

// ratioTest gives the chances within so many observations only where the case
// asks for them with byn.
func ratioTest(a *args) calculation {
	const far = 50 // evidence of e⁵⁰ to 1
	s := sequence.SPRT{P0: a.inside("p0"), P1: a.inside("p1"), SignOff: -a.real("lower", -far, 0), Reject: a.real("upper", 0, far)}
	rates := a.reals("p", 5, 0, 1)
	var by []int
	if _, asked := a.in.at["byn"]; asked {
		by = a.wholes("byn", 10, 0, longest)
	}
	return func() (made, error) {
		var accept, mean, within []any
		for _, p := range rates {
			signOff, observations := s.Unlimited(p)
			accept, mean = append(accept, signOff), append(mean, observations)
			within = append(within, byNumber(by, func(n int) float64 { return s.Within(n, p) }))
		}
		at0, _ := s.Unlimited(s.P0)
		at1, _ := s.Unlimited(s.P1)
		return made{"accept": accept, "asn": mean, "accept_by": within, "reject_p0": 1 - at0, "accept_p1": at1}, nil
	}
}

func kieferWeiss(a *args) calculation {
	k := sequence.KieferWeiss{
		P0: a.inside("p0"), P1: a.inside("p1"), P: a.inside("p"), Horizon: a.whole("horizon", 1, sequence.MaxHorizon),
		Missed: a.real("lambda0", 0, 1e12), Falsely: a.real("lambda1", 0, 1e12),
	}
	return func() (made, error) {
		missed, falsely, mean := k.Operating()
		return made{"alpha": missed, "beta": falsely, "asn": mean}, nil
	}
}

func sourceEvidence(a *args) calculation {
	p0, p1, recorded := a.inside("p0"), a.inside("p1"), a.share("sensitivity")
	return func() (made, error) {
		clean, fault := sequence.SourceEvidence(p0, p1, recorded)
		full, _ := sequence.SourceEvidence(p0, p1, 1)
		return made{"clean": clean, "not_clean": fault, "credit_ratio": clean / full}, nil
	}
}
