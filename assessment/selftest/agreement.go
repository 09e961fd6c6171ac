package selftest

import (
	"errors"

	"tablehand/assessment/agreement"
)

// agreementMethods are how far two or more assessors agree. Where a case has no
// printed value, it was made by hand or generated at random, and computed.
var agreementMethods = map[string]adapter{
	"two_assessor_binary":  twoAssessors,
	"cohen_kappa":          cohenKappa,
	"fleiss_kappa":         fleissKappa,
	"fleiss_kappa_missing": fleissKappaMissing,
	"krippendorff_alpha":   krippendorff,
	"gwet_ac":              gwet,
	"icc":                  icc,
	"bland_altman":         blandAltman,
	"self_vs_assessor":     selfVsAssessor,
}

// figure is a number, or the reason why there is none.
func figure(n agreement.Number) any {
	if !n.OK {
		return errors.New(n.Why)
	}
	return n.Value
}

// ends are the two ends of an interval, or the reason why there is none.
func ends(i agreement.Interval) any {
	if !i.OK {
		return errors.New(i.Why)
	}
	return []any{i.Low, i.High}
}

// marks is a table of marks; null is a mark that was not given.
func (a *args) marks(key string) [][]float64 {
	return table(a, key, a.get(key), 100, 10, func(at string, v any) float64 {
		if v == nil {
			return agreement.NotRated()
		}
		return a.number(at, v, -large, large)
	})
}

// weights is a word or a square table.
func (a *args) weights(k int) agreement.Weights {
	v := a.get("weights")
	if _, isList := v.([]any); isList {
		return table(a, "weights", v, 50, 50, func(at string, v any) float64 { return a.number(at, v, 0, 1) })
	}
	named := map[string]func(int) agreement.Weights{"unweighted": agreement.Unweighted, "linear": agreement.Linear, "quadratic": agreement.Quadratic}
	return named[a.word("weights", "unweighted", "linear", "quadratic")](k)
}

// twoAssessors. Printed: Feinstein & Cicchetti 1990, J Clin Epidemiol 43:543, the
// balanced table and that of the paradox; from memory.
func twoAssessors(a *args) calculation {
	const all = 100000
	d := agreement.Decisions{
		BothClean: a.whole("both_clean", 0, all), OnlyAClean: a.whole("a_clean_b_not", 0, all),
		OnlyBClean: a.whole("a_not_b_clean", 0, all), NeitherClean: a.whole("both_not", 0, all),
	}
	return func() (made, error) {
		return made{
			"n": d.Grooms(), "agreement": figure(d.Agreement().Value), "agreement_wilson": ends(d.Agreement().Range),
			"positive_agreement": figure(d.CleanAgreement().Value), "negative_agreement": figure(d.NotCleanAgreement().Value),
			"kappa": figure(d.Kappa().Value), "kappa_se": figure(d.Kappa().SE), "ac1": figure(d.AC1().Value),
			"strictness_diff": figure(d.StricterBy()), "mcnemar_exact_p": figure(d.StricterChance()),
		}, nil
	}
}

// cohenKappa. Printed: Cohen 1960, Educ Psychol Meas 20:37, and 1968, Psychol Bull
// 70:213, 3 × 3 table of 200; Gwet 2014, Handbook of Inter-Rater Reliability, 4th
// ed., 3 × 3 table of 100; Feinstein & Cicchetti 1990, type of table.
func cohenKappa(a *args) calculation {
	counts := a.wholeTable("table", 50, 50, 0, 100000)
	w := a.weights(len(counts))
	return func() (made, error) {
		c := agreement.CohenKappa(counts, w)
		return made{"po": figure(c.Observed), "pe": figure(c.Expected), "kappa": figure(c.Value), "se": figure(c.SE)}, nil
	}
}

// fleissKappa. Printed: Fleiss 1971, Psychol Bull 76:378, 30 patients by 6
// psychiatrists, with Fleiss, Nee & Landis 1979 for z; a worked example of 14
// raters in a public encyclopaedia.
func fleissKappa(a *args) calculation {
	counts := a.wholeTable("counts", 200, 50, 0, 100000)
	return func() (made, error) {
		c := agreement.FleissKappa(counts)
		return made{"pbar": figure(c.Observed), "pe": figure(c.Expected), "kappa": figure(c.Value), "z0": figure(agreement.FleissZ(counts))}, nil
	}
}

// fleissKappaMissing. Printed: Gwet 2014, Handbook of Inter-Rater Reliability, 4th
// ed., p. 120, 12 units by 4 raters.
func fleissKappaMissing(a *args) calculation {
	units, categories := a.marks("units"), a.reals("categories", 50, -large, large)
	return func() (made, error) {
		c := agreement.FleissKappaMissing(units, categories)
		return made{"pa": figure(c.Observed), "pe": figure(c.Expected), "kappa": figure(c.Value)}, nil
	}
}

// krippendorff. Printed: Krippendorff 2011, Computing Krippendorff's
// Alpha-Reliability, examples A and C (ordinal from memory); a public example of 3
// coders by 15 units, value from memory.
func krippendorff(a *args) calculation {
	metrics := map[string]agreement.Metric{
		"nominal": agreement.Nominal, "ordinal": agreement.Ordinal, "interval": agreement.IntervalScale, "ratio": agreement.RatioScale,
	}
	units, level := a.marks("units"), a.word("level", "nominal", "ordinal", "interval", "ratio")
	return func() (made, error) {
		return made{"alpha": figure(agreement.KrippendorffAlpha(units, metrics[level]))}, nil
	}
}

// gwet. Printed: Gwet 2014, Handbook of Inter-Rater Reliability, 4th ed., p. 120,
// 12 units by 4 raters, and the 3 × 3 table of 100.
func gwet(a *args) calculation {
	units, categories := a.marks("units"), a.reals("categories", 50, -large, large)
	w := a.weights(len(categories))
	return func() (made, error) {
		c := agreement.Gwet(units, categories, w)
		return made{"pa": figure(c.Observed), "pe": figure(c.Expected), "ac": figure(c.Value)}, nil
	}
}

// icc. Printed: Shrout & Fleiss 1979, Psychol Bull 86:420, Tables 2 to 4; mean
// squares from memory. All intervals here are of 95 %.
func icc(a *args) calculation {
	marks := a.realTable("ratings", -large, large)
	a.real("conf", 0.95, 0.95)
	return func() (made, error) {
		c := agreement.NewICC(marks)
		out := made{"MSB": figure(c.MSB), "MSW": figure(c.MSW), "MSJ": figure(c.MSJ), "MSE": figure(c.MSE)}
		for name, f := range map[string]agreement.Form{"ICC1": c.One, "ICC2": c.Two, "ICC3": c.Three, "ICC1k": c.OneK, "ICC2k": c.TwoK, "ICC3k": c.ThreeK} {
			out[name], out[name+"_ci"] = figure(f.Value), ends(f.Range)
		}
		return out, nil
	}
}

// blandAltman. Printed: Bland & Altman 1986, Lancet i:307, Table 1, first readings
// of each meter. The limits printed there come from a rounded mean and standard
// deviation, so they are not used.
func blandAltman(a *args) calculation {
	first, second := a.reals("a", most, -large, large), a.reals("b", most, -large, large)
	return func() (made, error) {
		d := agreement.BlandAltman(first, second)
		return made{
			"n": d.Pairs, "bias": figure(d.Bias), "sd": figure(d.SD), "bias_ci": ends(d.BiasRange), "loa": ends(d.Limits), "loa_2sd": ends(d.Limits2SD),
			"lower_loa_ci_1986": ends(d.LowRange), "upper_loa_ci_1986": ends(d.HighRange), "se_loa_1999": figure(d.LimitSE), "t_stat": figure(d.T),
		}, nil
	}
}

// selfVsAssessor. Printed: Student 1908, Biometrika 6:1, sleep data; from memory.
func selfVsAssessor(a *args) calculation {
	own, assessor := a.reals("self", most, -large, large), a.reals("assessor", most, -large, large)
	return func() (made, error) {
		s := agreement.SelfVsAssessor(own, assessor)
		return made{
			"n": s.Pairs, "bias": figure(s.Bias), "sd_diff": figure(s.SD), "mae": figure(s.MAE), "rmse": figure(s.RMSE), "ci": ends(s.BiasRange),
			"t": figure(s.T), "pearson": figure(s.Correlation), "over_share": figure(s.HigherShare),
		}, nil
	}
}
