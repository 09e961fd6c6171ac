package agreement

import "math"

// Component is the mean square of one source of differences and the variance put
// down to it, both in squared units of the marks. An estimated variance can come
// out below 0; it is left as it is.
type Component struct{ MeanSquare, Variance Number }

func component(ms, variance float64) Component { return Component{number(ms), number(variance)} }

func noComponent(why string) Component { return Component{none(why), none(why)} }

// Plan is what a number of marks would be worth if marking went on as before
// (a D study; Cronbach et al. 1972, The Dependability of Behavioral Measurements;
// Brennan 2001, Generalizability Theory).
type Plan struct {
	RelativeVariance Number // error when apprentices are put in order, squared units
	AbsoluteVariance Number // error when apprentices are held against a line, squared units
	RelativeSEM      Number // roots of the two, units of the marks
	AbsoluteSEM      Number
	Generalizability Number // Eρ², 0 to 1: share of the differences that is the apprentices', in order
	Dependability    Number // Φ, 0 to 1: the same against a line
}

// newPlan takes the variance of persons and of the two errors.
func newPlan(persons, relative, absolute float64) Plan {
	sem := func(v float64) Number { return number(math.Sqrt(max(0, v))) } // below 0 by rounding alone
	share := func(err float64) Number {
		if persons <= 0 {
			return none(whyApprenticesAlike)
		}
		return number(persons / (persons + err))
	}
	return Plan{number(relative), number(absolute), sem(relative), sem(absolute), share(relative), share(absolute)}
}

func noPlan(why string) Plan {
	return Plan{none(why), none(why), none(why), none(why), none(why), none(why)}
}

const (
	whyApprenticesAlike = "The apprentices do not differ more than their own marks do, so there is nothing to tell apart."
	whyNoPlan           = "A plan needs at least one mark of each kind."
)

// ByItem is the study of a table in which every apprentice (p) meets every item or
// assessor (i): p × i, one mark in each cell, both drawn at random.
type ByItem struct {
	P, I Component
	PI   Component // interaction and everything else
}

// GStudyPI takes scores[p][i], at least two of each and no gaps.
func GStudyPI(scores [][]float64) ByItem {
	a, why := analyse(scores)
	if why != "" {
		return ByItem{noComponent(why), noComponent(why), noComponent(why)}
	}
	p, i, e := a.msRows(), a.msCols(), a.msRest()
	return ByItem{
		P:  component(p, (p-e)/float64(a.cols)),
		I:  component(i, (i-e)/float64(a.rows)),
		PI: component(e, e),
	}
}

// Plan is what the mean over n items would be worth. Components are taken as
// estimated, below 0 or not.
func (g ByItem) Plan(n int) Plan {
	if why := planFault(g.P, n); why != "" {
		return noPlan(why)
	}
	f := float64(n)
	relative := g.PI.Variance.Value / f
	return newPlan(g.P.Variance.Value, relative, relative+g.I.Variance.Value/f)
}

func planFault(first Component, sizes ...int) string {
	for _, n := range sizes {
		if n < 1 || n > maxCount {
			return whyNoPlan
		}
	}
	return first.Variance.Why
}

// ByItemAndRater is the study of p × i × r: every assessor (r) marks every
// apprentice (p) on every item (i), all drawn at random (Shavelson & Webb 1991,
// Generalizability Theory: A Primer, ch. 3).
type ByItemAndRater struct {
	P, I, R, PI, PR, IR Component
	PIR                 Component // interaction of all three and everything else
}

// GStudyPIR takes scores[p][i][r], at least two of each and no gaps.
func GStudyPIR(scores [][][]float64) ByItemAndRater {
	a, why := analyse3(scores)
	if why != "" {
		c := noComponent(why)
		return ByItemAndRater{c, c, c, c, c, c, c}
	}
	np, ni, nr := float64(a.np), float64(a.ni), float64(a.nr)
	p, i, r := a.ssP/(np-1), a.ssI/(ni-1), a.ssR/(nr-1)
	pi, pr, ir := a.ssPI/((np-1)*(ni-1)), a.ssPR/((np-1)*(nr-1)), a.ssIR/((ni-1)*(nr-1))
	e := a.e / ((np - 1) * (ni - 1) * (nr - 1))
	return ByItemAndRater{
		P:   component(p, (p-pi-pr+e)/(ni*nr)),
		I:   component(i, (i-pi-ir+e)/(np*nr)),
		R:   component(r, (r-pr-ir+e)/(np*ni)),
		PI:  component(pi, (pi-e)/nr),
		PR:  component(pr, (pr-e)/ni),
		IR:  component(ir, (ir-e)/np),
		PIR: component(e, e),
	}
}

// Plan is what the mean over items items by raters assessors would be worth.
// Components below 0 are taken as 0.
func (g ByItemAndRater) Plan(items, raters int) Plan {
	if why := planFault(g.P, items, raters); why != "" {
		return noPlan(why)
	}
	v := func(c Component) float64 { return max(0, c.Variance.Value) }
	ni, nr := float64(items), float64(raters)
	relative := v(g.PI)/ni + v(g.PR)/nr + v(g.PIR)/(ni*nr)
	return newPlan(v(g.P), relative, relative+v(g.I)/ni+v(g.R)/nr+v(g.IR)/(ni*nr))
}

// ItemInPerson is the study of i:p: every apprentice (p) has items (i) of their
// own, as many for each. Being strict and being hard cannot be told apart here.
type ItemInPerson struct {
	P  Component
	IP Component // items within apprentices and everything else
}

// GStudyIinP takes scores[p][i], at least two of each and no gaps.
func GStudyIinP(scores [][]float64) ItemInPerson {
	a, why := analyse(scores)
	if why != "" {
		return ItemInPerson{noComponent(why), noComponent(why)}
	}
	p, w := a.msRows(), a.msWithin()
	return ItemInPerson{P: component(p, (p-w)/float64(a.cols)), IP: component(w, w)}
}

// Plan is what the mean over n items would be worth; the two errors are the same.
func (g ItemInPerson) Plan(n int) Plan {
	if why := planFault(g.P, n); why != "" {
		return noPlan(why)
	}
	err := g.IP.Variance.Value / float64(n)
	return newPlan(g.P.Variance.Value, err, err)
}

// ByRaterInTask is the study of p × (r:t): every apprentice (p) does every task
// (t), and each task has assessors (r) of its own, as many for each.
type ByRaterInTask struct {
	P, T, PT Component
	RT       Component // assessors within tasks
	PRT      Component // their interaction with apprentices and everything else
}

// GStudyPRT takes scores[p][t][r], at least two of each and no gaps. Assessor r
// of one task is not assessor r of another.
func GStudyPRT(scores [][][]float64) ByRaterInTask {
	a, why := analyse3(scores)
	if why != "" {
		c := noComponent(why)
		return ByRaterInTask{c, c, c, c, c}
	}
	// Nested effects are the crossed ones added up.
	np, nt, nr := float64(a.np), float64(a.ni), float64(a.nr)
	p, t, pt := a.ssP/(np-1), a.ssI/(nt-1), a.ssPI/((np-1)*(nt-1))
	rt := (a.ssR + a.ssIR) / (nt * (nr - 1))
	e := (a.ssPR + a.e) / ((np - 1) * nt * (nr - 1))
	return ByRaterInTask{
		P:   component(p, (p-pt)/(nt*nr)),
		T:   component(t, (t-pt-rt+e)/(np*nr)),
		PT:  component(pt, (pt-e)/nr),
		RT:  component(rt, (rt-e)/np),
		PRT: component(e, e),
	}
}

// Plan is what the mean over tasks tasks with raters assessors each would be
// worth. Components below 0 are taken as 0.
func (g ByRaterInTask) Plan(tasks, raters int) Plan {
	if why := planFault(g.P, tasks, raters); why != "" {
		return noPlan(why)
	}
	v := func(c Component) float64 { return max(0, c.Variance.Value) }
	nt, nr := float64(tasks), float64(raters)
	relative := v(g.PT)/nt + v(g.PRT)/(nt*nr)
	return newPlan(v(g.P), relative, relative+v(g.T)/nt+v(g.RT)/(nt*nr))
}

// ItemInPersonByRater is the study of (i:p) × r: every apprentice (p) has items
// (i) of their own, as many for each, and every assessor (r) marks all of them. It
// is p × (r:t) with assessors for its p, apprentices for its t and items for its r.
type ItemInPersonByRater struct {
	P, R, PR Component
	IP       Component // items within apprentices
	IPR      Component // their interaction with assessors and everything else
}

// GStudyIinPR takes scores[p][i][r], at least two of each and no gaps. Item i of
// one apprentice is not item i of another.
func GStudyIinPR(scores [][][]float64) ItemInPersonByRater {
	a, why := analyse3(scores)
	if why != "" {
		c := noComponent(why)
		return ItemInPersonByRater{c, c, c, c, c}
	}
	// Nested effects are the crossed ones added up.
	np, ni, nr := float64(a.np), float64(a.ni), float64(a.nr)
	p, r, pr := a.ssP/(np-1), a.ssR/(nr-1), a.ssPR/((np-1)*(nr-1))
	ip := (a.ssI + a.ssPI) / (np * (ni - 1))
	e := (a.ssIR + a.e) / (np * (ni - 1) * (nr - 1))
	return ItemInPersonByRater{
		P:   component(p, (p-ip-pr+e)/(ni*nr)),
		R:   component(r, (r-pr)/(np*ni)),
		PR:  component(pr, (pr-e)/ni),
		IP:  component(ip, (ip-e)/nr),
		IPR: component(e, e),
	}
}

// Plan is what the mean over items items, all marked by the same raters assessors,
// would be worth. Components below 0 are taken as 0.
func (g ItemInPersonByRater) Plan(items, raters int) Plan {
	if why := planFault(g.P, items, raters); why != "" {
		return noPlan(why)
	}
	v := func(c Component) float64 { return max(0, c.Variance.Value) }
	ni, nr := float64(items), float64(raters)
	relative := v(g.IP)/ni + v(g.PR)/nr + v(g.IPR)/(ni*nr)
	return newPlan(v(g.P), relative, relative+v(g.R)/nr)
}
