package server

import (
	"strings"

	"tablehand/assessment"
	"tablehand/server/store"
	"tablehand/server/web"
)

// today shows what waits for this person.
func today(r *request) error {
	if r.scope.Role == assessment.Apprentice {
		return myDay(r)
	}
	ctx := r.Request.Context()
	page := web.Today{Shell: r.shell("Today", "/"), Greeting: greeting(r.local(r.srv.Now()).Hour()) + ", " + r.scope.Name,
		Day: r.local(r.srv.Now()).Format("Monday 2 January 2006")}
	var err error
	switch r.scope.Role {
	case assessment.Auditor:
		page.AuditNote = "You can read everything in this record and take a copy. You cannot change it."
		page.Audit = []web.Link{{Label: "Skills matrix", URL: "/matrix"}, {Label: "Sign-offs", URL: "/signoffs"}, {Label: "How far the assessors agree", URL: "/agreement"}, {Label: "The programme", URL: "/programme"}, {Label: "Take a copy", URL: "/export"}}
	default:
		page.Primary = web.Link{Label: "Mark a groom", URL: "/grooms/new"}
		err = r.judgeToday(&page)
	}
	if err != nil {
		return err
	}
	if page.Waiting() == 0 && r.scope.Role != assessment.Auditor {
		page.Empty = "Nothing waits for you."
	}
	recent, err := r.srv.Store.Grooms(ctx, r.scope, store.GroomFilter{Limit: 8})
	if err != nil {
		return err
	}
	if page.Recent, err = r.groomLines(recent); err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

func greeting(hour int) string {
	switch {
	case hour < 12:
		return "Good morning"
	case hour < 18:
		return "Good afternoon"
	}
	return "Good evening"
}

func (r *request) judgeToday(page *web.Today) error {
	ctx := r.Request.Context()
	drafts, err := r.srv.Store.Drafts(ctx, r.scope)
	if err != nil {
		return err
	}
	people, err := r.srv.Store.Apprentices(ctx, r.scope)
	if err != nil {
		return err
	}
	names := map[string]string{}
	for _, p := range people {
		names[p.Key] = p.Name
	}
	for _, d := range drafts {
		page.Drafts = append(page.Drafts, web.WaitingItem{Title: orElse(d.Form.Get("dog"), "A dog without a label yet"), Detail: names[d.Form.Get("apprentice")],
			URL: "/grooms/drafts/" + d.Key, Action: "Go on", When: "saved " + r.local(d.Updated).Format("2 January 15:04")})
	}
	waiting, err := r.srv.Store.SignOffs(ctx, r.scope)
	if err != nil {
		return err
	}
	for _, so := range waiting {
		if so.Decision == assessment.Awaiting && so.ProposedBy != r.scope.Key {
			page.ToConfirm = append(page.ToConfirm, web.WaitingItem{Title: r.skillTitle(so.Skill) + " – " + so.Who.Name, Detail: "Proposed by " + so.Proposer.Name + ", " + so.Proposed.Words(),
				URL: "/signoffs/" + so.Key, Action: "Look and decide", Standing: web.Eligible})
		}
	}
	holds, err := r.srv.Store.OpenHolds(ctx, r.scope)
	if err != nil {
		return err
	}
	for _, h := range holds {
		page.Holds = append(page.Holds, web.WaitingItem{Title: r.skillTitle(h.Skill) + " – " + h.Apprentice.Name, Detail: "Incident of severity " + h.Severity,
			URL: skillURL(h.Apprentice.Key, h.Skill) + "#hold-" + h.Key, Action: "Look at it", Standing: web.OnHold, When: "since " + h.From.Words()})
	}
	if page.Exercises, err = r.exercisesToday(); err != nil {
		return err
	}
	if err := r.wordsToday(page); err != nil {
		return err
	}
	return r.standingsToday(page, people)
}

// wordsToday lists what apprentices wrote that waits for this person: logbook
// entries they were there for, and disagreements with marks. A head groomer sees
// every disagreement, an assessor those with their own marks.
func (r *request) wordsToday(page *web.Today) error {
	ctx := r.Request.Context()
	entries, err := r.srv.Store.LogEntries(ctx, r.scope, store.LogFilter{Supervisor: r.scope.Key})
	if err != nil {
		return err
	}
	for i := range entries {
		e := &entries[i]
		page.ToSign = append(page.ToSign, web.WaitingItem{Title: e.Dog + " – " + e.Who.Name, Detail: strings.Join(r.titles(e.Skills), "; ") + ". " + e.Outcome.String() + ".",
			URL: "/logbook/countersign?entry=" + e.Key, Action: "Countersign", When: e.Day.Words()})
	}
	said, err := r.srv.Store.Acknowledgements(ctx, r.scope, store.AcknowledgementFilter{Open: true})
	if err != nil {
		return err
	}
	for _, a := range said {
		if r.scope.Role == assessment.HeadGroomer || a.Assessor.Key == r.scope.Key {
			page.Disagrees = append(page.Disagrees, web.WaitingItem{Title: a.Dog + " – " + a.Apprentice.Name, Detail: "Marked by " + a.Assessor.Name + ", " + a.Day.Words(),
				URL: "/grooms/signed/" + a.Groom + "#said", Action: "Answer", When: "since " + r.local(a.At).Format("2 January")})
		}
	}
	return nil
}

// standingsToday lists what is ready to propose, what fades and what is to be
// talked over.
func (r *request) standingsToday(page *web.Today, people []store.Person) error {
	all, err := r.srv.Store.AllEvidence(r.Request.Context(), r.scope)
	if err != nil {
		return err
	}
	for _, p := range people {
		if p.Left != 0 || all[p.Key] == nil {
			continue
		}
		list := all[p.Key].Standings(r.prog, r.today())
		for i := range list {
			s := &list[i]
			item := web.WaitingItem{Title: s.Skill.Title + " – " + p.Name, URL: skillURL(p.Key, s.Skill.ID), Standing: standing(s.State), Detail: s.Sentence()}
			switch {
			case s.State == assessment.Eligible && s.Awaiting == nil:
				item.Action, item.Detail, item.URL = "Propose", "The evidence is complete.", item.URL+"/propose"
				page.ToPropose = append(page.ToPropose, item)
			case s.Due || s.State == assessment.Lapsed:
				item.Action = "Look at it"
				page.Fading = append(page.Fading, item)
			}
			if s.Review != assessment.NoReview {
				item.Action, item.Detail, item.URL = "Look at it", s.ReviewWords(), skillURL(p.Key, s.Skill.ID)
				page.Reviews = append(page.Reviews, item)
			}
		}
	}
	return nil
}

func (r *request) skillTitle(id string) string {
	if s := r.prog.Skill(id); s != nil {
		return s.Title
	}
	return id
}

func orElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}
