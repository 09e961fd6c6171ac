package selftest

import (
	"strconv"

	"tablehand/assessment/agreement"
)

// studyMethods are where differences between marks come from.
var studyMethods = map[string]adapter{
	"gstudy_pi":          studyPI,
	"gstudy_pir":         studyPIR,
	"gstudy_i_in_p":      studyIinP,
	"gstudy_p_rt":        studyPRT,
	"gstudy_i_in_p_r":    studyIinPR,
	"cronbach_alpha_sem": cronbach,
}

// furthest is the largest number of marks that a plan may ask about.
const furthest = 1000

// component adds a source of differences; variance is the name that its variance
// has in the cases.
func (m made) component(name, variance string, c agreement.Component) {
	m["MS_"+name], m[variance] = figure(c.MeanSquare), figure(c.Variance)
}

// studyPI. Printed: Brennan 2001, Generalizability Theory, Table 2.2, Synthetic
// Data Set 1. The others are generated at random and computed.
func studyPI(a *args) calculation {
	scores, sizes := a.realTable("scores", -large, large), a.wholes("d_n", 20, 1, furthest)
	return func() (made, error) {
		g := agreement.GStudyPI(scores)
		var plans []any
		for _, n := range sizes {
			p := g.Plan(n)
			plans = append(plans, made{
				"n": n, "rel_var": figure(p.RelativeVariance), "abs_var": figure(p.AbsoluteVariance), "Erho2": figure(p.Generalizability),
				"Phi": figure(p.Dependability), "SEM_rel": figure(p.RelativeSEM), "SEM_abs": figure(p.AbsoluteSEM),
			})
		}
		out := made{"dstudy": plans}
		out.component("p", "var_p", g.P)
		out.component("i", "var_i", g.I)
		out.component("pi", "var_pi_e", g.PI)
		return out, nil
	}
}

// planSizes are pairs of a number of items and one of assessors.
func (a *args) planSizes() [][]int {
	sizes := a.wholeTable("d_n", 20, 2, 1, furthest)
	if len(sizes) > 0 && len(sizes[0]) != 2 {
		a.fail("d_n[0]", "has 1 element: a number of items and one of assessors are needed")
	}
	return sizes
}

func plans(sizes [][]int, plan func(items, raters int) agreement.Plan) []any {
	var out []any
	for _, n := range sizes {
		p := plan(n[0], n[1])
		out = append(out, made{
			"n_i": n[0], "n_r": n[1], "rel_var": figure(p.RelativeVariance), "abs_var": figure(p.AbsoluteVariance),
			"Erho2": figure(p.Generalizability), "Phi": figure(p.Dependability),
		})
	}
	return out
}

// studyPIR is generated at random and computed.
func studyPIR(a *args) calculation {
	scores, sizes := a.cube("scores", -large, large), a.planSizes()
	return func() (made, error) {
		g := agreement.GStudyPIR(scores)
		out := made{"dstudy": plans(sizes, g.Plan)}
		for name, c := range map[string]agreement.Component{"p": g.P, "i": g.I, "r": g.R, "pi": g.PI, "pr": g.PR, "ir": g.IR} {
			out.component(name, "var_"+name, c)
		}
		out.component("pir", "var_pir_e", g.PIR)
		return out, nil
	}
}

// studyIinP. Data of Brennan 2001, Generalizability Theory, Table 2.9; computed.
func studyIinP(a *args) calculation {
	scores, sizes := a.realTable("scores", -large, large), a.wholes("d_n", 20, 1, furthest)
	return func() (made, error) {
		g := agreement.GStudyIinP(scores)
		shares := made{}
		for _, n := range sizes {
			shares[strconv.Itoa(n)] = figure(g.Plan(n).Generalizability)
		}
		out := made{"Erho2": shares}
		out.component("p", "var_p", g.P)
		out.component("ip", "var_ip", g.IP)
		return out, nil
	}
}

// studyPRT. Printed: Brennan 2001, Generalizability Theory, Table 3.2, Synthetic
// Data Set 4; components from memory.
func studyPRT(a *args) calculation {
	scores := a.cube("scores", -large, large)
	return func() (made, error) {
		g := agreement.GStudyPRT(scores)
		out := made{}
		out.component("p", "var_p", g.P)
		out.component("t", "var_t", g.T)
		out.component("rt", "var_rt", g.RT)
		out.component("pt", "var_pt", g.PT)
		out.component("prt", "var_prt_e", g.PRT)
		return out, nil
	}
}

// studyIinPR. Components printed: those of studyPRT, whose data it reads with
// other letters. The others are generated at random and computed.
func studyIinPR(a *args) calculation {
	scores, sizes := a.cube("scores", -large, large), a.planSizes()
	return func() (made, error) {
		g := agreement.GStudyIinPR(scores)
		out := made{"dstudy": plans(sizes, g.Plan)}
		for name, c := range map[string]agreement.Component{"p": g.P, "r": g.R, "pr": g.PR, "ip": g.IP} {
			out.component(name, "var_"+name, c)
		}
		out.component("ipr", "var_ipr_e", g.IPR)
		return out, nil
	}
}

// cronbach. Data of Chatterjee & Price 1977, Regression Analysis by Example; alpha
// from memory.
func cronbach(a *args) calculation {
	scores := a.realTable("scores", -large, large)
	return func() (made, error) {
		c := agreement.Cronbach(scores)
		return made{"alpha": figure(c.Alpha), "sd_total": figure(c.TotalSD), "sem_total": figure(c.TotalSEM)}, nil
	}
}
