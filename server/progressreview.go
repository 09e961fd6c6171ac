package server

import (
	"fmt"
	"strings"

	"tablehand/assessment"
	"tablehand/server/book"
	"tablehand/server/store"
	"tablehand/server/web"
)

// reviewWeeks is how far a review of progress looks back when no day is named.
const reviewWeeks = 12

// progressReview is the sheet for a review of one apprentice's progress.
func progressReview(r *request) error {
	ctx := r.Request.Context()
	who, err := r.srv.Store.Apprentice(ctx, r.scope, r.Param("apprentice"))
	if err != nil {
		return err
	}
	a, err := r.srv.Store.Evidence(ctx, r.scope, who.Key)
	if err != nil {
		return err
	}
	grooms, err := r.srv.Store.Grooms(ctx, r.scope, store.GroomFilter{Apprentice: who.Key})
	if err != nil {
		return err
	}
	unrated, err := r.unrated()
	if err != nil {
		return err
	}
	page := web.NewProgressReview(apprenticeURL(who.Key))
	if a, page.LeftOut, err = r.unseal(a); err != nil {
		return err
	}
	today := r.today()
	from, problem := reviewedSince(r.Query("since"), today)
	page.Since.Value = from.String()
	page.Name, page.Programme, page.From, page.To = who.Name, fmt.Sprintf("%s, version %d", r.prog.Title, r.prog.Version), from.Words(), today.Words()
	if who.Start > 0 {
		page.Started, page.WeeksIn = who.Start.Words(), weekOf(who, today)
	}
	list := a.ExplainedStandings(r.prog, today)
	r.nameCoats(list)
	progress, shown := r.progressOf(list)
	page.Progress, page.Progress.HowComputed = shown, ""
	r.forecast(&page.Progress, list, progress, a, who)
	page.Next = r.nextSteps(list, who.Key, 5)
	p := assessment.PeriodOf(a, book.Counted(who.Key, without(grooms, unrated)), unrated, from, today)
	page.Numbers = r.periodNumbers(&p)
	if page.SignOffs, err = r.periodSignOffs(&p, list); err != nil {
		return err
	}
	for i := range a.Holds {
		if h := &a.Holds[i]; h.OpenOn(today) {
			page.Holds = append(page.Holds, web.HoldLine{What: h.What(r.prog), URL: skillURL(who.Key, h.Skill) + "#hold-" + h.Key, Since: "since " + h.From.Words()})
		}
	}
	sheet, err := sheetFingerprint(page)
	if err != nil {
		return err
	}
	page.Shell = r.shell("Progress review: "+who.Name, "/matrix")
	page.Back, page.Sheet = web.Link{Label: who.Name, URL: apprenticeURL(who.Key)}, sheet
	if problem != "" {
		page.Since.Value = r.Query("since")
		page.Fail(&page.Since, problem)
	}
	return r.show(page, page.Shell)
}

// reviewedSince is the first day of the time to review. What cannot be one is
// told, and the usual time stands for it.
func reviewedSince(asked string, today assessment.Day) (from assessment.Day, problem string) {
	usual := today - 7*reviewWeeks
	asked = strings.TrimSpace(asked)
	if asked == "" {
		return usual, ""
	}
	from, err := assessment.ParseDay(asked)
	instead := fmt.Sprintf(" Below stands the time since %s instead.", usual.Words())
	switch {
	case err != nil:
		return usual, "Enter the day as year-month-day, for example 2026-05-20." + instead
	case from > today:
		return usual, "This day has not come yet. Enter the day of the last review, today or earlier." + instead
	case from < assessment.Earliest:
		return usual, "This day is too long ago. Look at the year." + instead
	}
	return from, ""
}

// without leaves out grooms by key.
func without(grooms []store.Groom, keys map[string]bool) []store.Groom {
	var out []store.Groom
	for _, g := range grooms {
		if !keys[g.Key] {
			out = append(out, g)
		}
	}
	return out
}

// periodNumbers says in numbers what happened in a time, and nothing that anybody
// wrote.
func (r *request) periodNumbers(p *assessment.Period) []web.Row {
	var incidents []string
	for _, s := range r.prog.Incidents.Severities {
		if n := p.Incidents[s.ID]; n > 0 {
			incidents = append(incidents, fmt.Sprintf("%d of %s (%s)", n, s.ID, strings.ToLower(s.Name)))
		}
	}
	return []web.Row{
		{Key: "Grooms marked", Value: fmt.Sprintf("%d: %d met the standard, %d not yet, %d without a whole-groom result", p.Grooms, p.Meets, p.NotYet, p.Grooms-p.Meets-p.NotYet)},
		{Key: "Skills signed off", Value: fmt.Sprint(len(p.SignOffs))},
		{Key: "Incidents", Value: orElse(strings.Join(incidents, ", "), "none")},
		{Key: "Holds", Value: fmt.Sprintf("%d began, %d released, %d open now", p.Began, p.Released, p.Open)},
	}
}

// periodSignOffs lists the sign-offs of a time, with how the skills stand today.
func (r *request) periodSignOffs(p *assessment.Period, list []assessment.Standing) ([]web.PeriodSignOff, error) {
	names, err := r.names()
	if err != nil {
		return nil, err
	}
	now := map[string]web.Standing{}
	for i := range list {
		now[list[i].Skill.ID] = standing(list[i].State)
	}
	var out []web.PeriodSignOff
	for _, so := range p.SignOffs {
		out = append(out, web.PeriodSignOff{Day: so.Decided.Words(), Skill: r.skillTitle(so.Skill), URL: "/signoffs/" + so.Key, Standing: now[so.Skill],
			By: names[so.ProposedBy] + " and " + names[so.DecidedBy]})
	}
	return out, nil
}
