package server

import (
	"fmt"
	"html/template"

	"tablehand/assessment"
	"tablehand/assessment/estimate"
	"tablehand/server/store"
	"tablehand/server/web"
)

// lastGrooms is how many of the newest grooms the picture of them shows.
const lastGrooms = 20

// overTime shows how one apprentice came along. Nobody else is in it.
func overTime(r *request) error {
	ctx := r.Request.Context()
	who, err := r.srv.Store.Apprentice(ctx, r.scope, r.Param("apprentice"))
	if err != nil {
		return err
	}
	a, err := r.srv.Store.Evidence(ctx, r.scope, who.Key)
	if err != nil {
		return err
	}
	page := web.OverTime{Shell: r.shell("Progress over time – "+who.Name, "/matrix"), Name: who.Name, ApprenticeURL: apprenticeURL(who.Key), Own: who.Key == r.scope.Key}
	if a, page.LeftOut, err = r.unseal(a); err != nil {
		return err
	}
	r.months(&page, a.MonthEnds(r.prog, a.Began(who.Start), r.today()))
	if err := r.lastMeans(&page, who.Key); err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

func (r *request) months(page *web.OverTime, ends []assessment.MonthEnd) {
	if len(ends) < assessment.MonthsForPicture {
		page.MonthsFew = fmt.Sprintf("Too early to draw: %s of at least %d.", count(len(ends), "month"), assessment.MonthsForPicture)
		return
	}
	bars := make([]web.MonthBar, len(ends))
	for i, m := range ends {
		bars[i] = web.MonthBar{Label: m.Day.Time().Format("Jan"), Signed: m.Signed}
		row := web.MonthRow{Month: m.Day.Time().Format("January 2006"), Signed: m.Signed, New: m.New}
		if m.Day == r.today() {
			row.Month += ", so far"
		}
		page.MonthRows = append([]web.MonthRow{row}, page.MonthRows...)
	}
	required, _ := r.prog.RequiredCounts()
	page.Months = web.ChartMonths(bars, required)
}

// lastMeans draws the newest grooms that have a result. Second ratings, corrected
// versions and what the reader may not see yet are left out.
func (r *request) lastMeans(page *web.OverTime, apprentice string) error {
	ctx := r.Request.Context()
	all, err := r.srv.Store.Grooms(ctx, r.scope, store.GroomFilter{Apprentice: apprentice})
	if err != nil {
		return err
	}
	sealed, err := r.srv.Store.Sealed(ctx, r.scope)
	if err != nil {
		return err
	}
	var list []store.Groom // the newest first
	for _, g := range all {
		if g.SupersededBy == "" && g.Groom.SecondOf == "" && g.Outcome != assessment.Incomplete && !sealed[g.Key] && len(list) < lastGrooms {
			list = append(list, g)
		}
	}
	if page.GroomRows, err = r.groomLines(list); err != nil {
		return err
	}
	if len(list) < assessment.GroomsForPicture {
		page.GroomsFew = fmt.Sprintf("Too few to draw: %s with a result of at least %d.", count(len(list), "groom"), assessment.GroomsForPicture)
		return nil
	}
	page.Grooms = meansChart(list)
	return nil
}

func meansChart(newestFirst []store.Groom) template.HTML {
	dots, values := make([]web.GroomDot, len(newestFirst)), make([]float64, len(newestFirst))
	for i := range newestFirst {
		g, at := &newestFirst[i], len(newestFirst)-1-i
		values[at] = g.Mean().Float()
		dots[at] = web.GroomDot{Mean: values[at], Meets: g.Outcome == assessment.Meets, Label: g.Groom.Day.Words() + ", " + g.Groom.Dog}
	}
	middle, err := estimate.RunningMedian(values, middleOf)
	if err != nil {
		middle = nil // too few for a line
	}
	return web.ChartGrooms(dots, middle)
}
