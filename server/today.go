package server

import (
	"tablehand/assessment"
	"tablehand/server/store"
	"tablehand/server/web"
)

// today shows what waits for this person.
func today(r *request) error {
	ctx := r.Request.Context()
	page := web.Today{Shell: r.shell("Today", "/"), Greeting: greeting(r.local(r.srv.Now()).Hour()) + ", " + r.scope.Name,
		Day: r.local(r.srv.Now()).Format("Monday 2 January 2006")}
	var err error
	switch r.scope.Role {
	case assessment.Apprentice:
		err = r.apprenticeToday(&page)
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
	if page.Waiting() == 0 && len(page.MissingNow) == 0 && r.scope.Role != assessment.Auditor {
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

func (r *request) apprenticeToday(page *web.Today) error {
	a, err := r.srv.Store.Evidence(r.Request.Context(), r.scope, r.scope.Key)
	if err != nil {
		return err
	}
	if a, page.LeftOut, err = r.unseal(a); err != nil {
		return err
	}
	list := a.Standings(r.prog, r.today())
	r.nameCoats(list)
	_, progress := r.progressOf(list)
	page.Summary, page.MineURL = &progress, apprenticeURL(r.scope.Key)
	page.MissingNow = r.nextSteps(list, r.scope.Key, 5)
	if r.prog.Cutting != nil {
		page.Practise = web.Link{Label: "Practise the choice of blades: " + count(r.prog.Cutting.Exercise.Questions, "question"), URL: "/exercises"}
	}
	return nil
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
	return r.standingsToday(page, people)
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
