package selftest

import "tablehand/assessment/estimate"

// standardMethods are pass lines and item difficulties.
var standardMethods = map[string]adapter{
	"angoff":              angoff,
	"borderline_standard": borderline,
	"rasch_cml":           rasch,
}

// angoff is computed by hand; the method is Angoff 1971.
func angoff(a *args) calculation {
	percent := a.realTable("judge_by_item_percent", 0, 100)
	return func() (made, error) {
		p, err := estimate.Angoff(percent)
		return made{"cut": p.Line, "judge_means": list(p.Judges), "se_judges": p.SE}, err
	}
}

// borderline is computed on data generated at random.
func borderline(a *args) calculation {
	grade, score := a.reals("global_grade", most, -large, large), a.reals("score", most, -large, large)
	line := a.real("borderline", -large, large)
	return func() (made, error) {
		l, err := estimate.BorderlineRegression(grade, score, line)
		if err != nil {
			return nil, err
		}
		g, err := estimate.BorderlineGroup(grade, score, line)
		return made{
			"slope": l.Slope, "intercept": l.Intercept, "cut_regression": l.Line, "cut_group_mean": g.Mean, "cut_group_median": g.Median,
		}, err
	}
}

// rasch. Data: Bock & Lieberman 1970, Psychometrika 35:179, LSAT section 6. Four
// difficulties to three decimals from memory (Andersen; Thissen 1982); the fifth
// as remembered breaks the sum of 0 and is left out. The likelihood is computed.
func rasch(a *args) calculation {
	patterns, counts := a.wholeTable("patterns", most, estimate.MaxItems, 0, 1), a.wholes("counts", most, 0, 1e6)
	return func() (made, error) {
		d, err := estimate.Rasch(patterns, counts)
		return made{"difficulty": list(d.Difficulty), "cloglik": d.LogLikelihood}, err
	}
}
