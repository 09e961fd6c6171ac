package server

import (
	"slices"
	"strings"

	"tablehand/assessment"
	"tablehand/server/store"
	"tablehand/server/web"
)

// myDay is an apprentice's first page.
func myDay(r *request) error {
	ctx := r.Request.Context()
	whole, err := r.srv.Store.Evidence(ctx, r.scope, r.scope.Key)
	if err != nil {
		return err
	}
	page := web.MyDay{Shell: r.shell("Today", "/"), Greeting: greeting(r.local(r.srv.Now()).Hour()) + ", " + r.scope.Name, Day: r.local(r.srv.Now()).Format("Monday 2 January 2006"),
		MineURL: apprenticeURL(r.scope.Key), TimeURL: apprenticeURL(r.scope.Key) + "/progress", LogURL: "/logbook", NewLogURL: "/logbook/new", CopyURL: "/export?scope=" + r.scope.Key}
	a, left, err := r.unseal(whole)
	if err != nil {
		return err
	}
	list := a.Standings(r.prog, r.today())
	if left != "" {
		trustedAsTheyAre(list, whole.Standings(r.prog, r.today()))
	}
	r.nameCoats(list)
	_, page.Summary = r.progressOf(list)
	page.LeftOut = left
	page.Stopped, page.Trust = r.trust(list, a)
	if page.Asked, err = r.asked(); err != nil {
		return err
	}
	r.first(&page, list)
	if r.prog.Cutting != nil {
		page.Practise = web.Link{Label: "Practise the choice of blades: " + count(r.prog.Cutting.Exercise.Questions, "question"), URL: "/exercises"}
	}
	entries, err := r.srv.Store.LogEntries(ctx, r.scope, store.LogFilter{Apprentice: r.scope.Key, Limit: 3})
	if err != nil {
		return err
	}
	page.Log = r.logLines(entries)
	recent, err := r.srv.Store.Grooms(ctx, r.scope, store.GroomFilter{Limit: 5})
	if err != nil {
		return err
	}
	if page.Recent, err = r.groomLines(recent); err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

// trustedAsTheyAre puts the permissions that hold into standings that leave newer
// grooms out. What may be done today is never told from less than everything,
// although it may give away that something was seen.
func trustedAsTheyAre(list, whole []assessment.Standing) {
	for i := range list {
		list[i].Permission = whole[i].Permission
	}
}

// first chooses the one thing that comes first: an own groom to rate, because
// that can only be done before the marks are seen and for some days, and else
// the nearest skill with all that is missing.
func (r *request) first(page *web.MyDay, list []assessment.Standing) {
	page.Next = r.nextSteps(list, r.scope.Key, 6)
	if len(page.Asked) > 0 && page.Asked[0].Action == rateAction {
		w := page.Asked[0]
		page.First = &web.FirstThing{Over: "First", Title: w.Title, URL: w.URL, Action: w.Action, Note: "Say how you would mark it yourself, before you see the marks. Then both stand side by side."}
		page.Asked, page.Next = page.Asked[1:], page.Next[:min(5, len(page.Next))]
		return
	}
	// What is eligible waits for an assessor, not for the apprentice.
	i := slices.IndexFunc(page.Next, func(n web.NextStep) bool { return n.Standing != web.Eligible })
	if i < 0 {
		return
	}
	n := page.Next[i]
	page.Next = slices.Delete(page.Next, i, i+1)
	page.First = &web.FirstThing{Over: "You are closest to", Title: n.Skill, URL: n.URL, Action: "Look at it", Standing: n.Standing, Safety: n.Safety}
	for i := range list {
		if s := &list[i]; s.Skill.Title == n.Skill {
			for _, q := range s.Missing() {
				page.First.Missing = append(page.First.Missing, q.Line())
			}
		}
	}
}

// trust groups the skills by what is trusted today.
func (r *request) trust(list []assessment.Standing, a *assessment.Apprenticeship) (stopped []web.StopGroup, groups []web.TrustGroup) {
	held, trusted := assessment.ByTrust(list)
	for _, s := range held {
		line, until := r.trustLine(s), s.NotUntil(r.prog, a.Observations)
		if len(s.Holds) > 0 && s.Permission.Now == 0 {
			line.Note = "nobody has set what to do meanwhile: ask"
		} else if len(s.Holds) > 0 {
			p := &r.prog.Permissions[s.Permission.Now-1]
			line.Note = "for now " + permissionWord(p.Level) + ", " + strings.ToLower(p.Name)
		}
		i := slices.IndexFunc(stopped, func(g web.StopGroup) bool { return g.Until == until })
		if i < 0 {
			i, stopped = len(stopped), append(stopped, web.StopGroup{Until: until})
		}
		stopped[i].Skills = append(stopped[i].Skills, line)
	}
	for _, t := range trusted {
		g := web.TrustGroup{Name: "Nobody has set it yet", Means: "Ask an assessor before you begin. Until somebody sets a permission, look on and assist."}
		if t.Level > 0 {
			p := &r.prog.Permissions[t.Level-1]
			g = web.TrustGroup{Level: permissionWord(t.Level), Name: p.Name, Means: p.Meaning}
		}
		for _, s := range t.Skills {
			line := r.trustLine(s)
			if s.Permission.Now < s.Permission.Set {
				line.Note = permissionWord(s.Permission.Set) + " was set; limited by " + s.Permission.Limited
			}
			g.Lines = append(g.Lines, line)
		}
		groups = append(groups, g)
	}
	return stopped, groups
}

func (r *request) trustLine(s *assessment.Standing) web.TrustLine {
	l := web.TrustLine{Title: s.Skill.Title, URL: skillURL(r.scope.Key, s.Skill.ID), Safety: s.Skill.IsSafetyCritical()}
	if l.Safety {
		l.Cautions = cautions(s.Skill)
	}
	return l
}

const rateAction = "Rate it"

// asked is what waits for the apprentice: own grooms to rate, marks to read, and
// answers to what they disagreed with, of the last weeks.
func (r *request) asked() ([]web.WaitingItem, error) {
	ctx := r.Request.Context()
	since := r.today() - assessment.AcknowledgeDays
	grooms, err := r.srv.Store.Grooms(ctx, r.scope, store.GroomFilter{Since: since})
	if err != nil {
		return nil, err
	}
	sealed, err := r.srv.Store.Sealed(ctx, r.scope)
	if err != nil {
		return nil, err
	}
	said, err := r.srv.Store.Acknowledgements(ctx, r.scope, store.AcknowledgementFilter{Since: since})
	if err != nil {
		return nil, err
	}
	read := map[string]bool{}
	var answers []web.WaitingItem
	for _, a := range said {
		read[a.Groom] = true
		if a.Answer != nil {
			answers = append(answers, web.WaitingItem{Title: a.Answer.By.Name + " answers you about " + a.Dog, Detail: "You disagreed with the marks of " + a.Day.Words() + ".",
				URL: "/grooms/signed/" + a.Groom + "#said", Action: "Read it", When: r.local(a.Answer.At).Format("2 January")})
		}
	}
	var rate, marks []web.WaitingItem
	for _, g := range grooms {
		if g.Groom.SecondOf != "" || g.SupersededBy != "" {
			continue
		}
		w := web.WaitingItem{Title: g.Groom.Dog, Detail: "Marked by " + g.Assessor.Name, When: g.Groom.Day.Words(), URL: "/grooms/signed/" + g.Key}
		switch {
		case sealed[g.Key]:
			w.Title, w.Action = "Rate your own work on "+w.Title, rateAction
			rate = append(rate, w)
		case !read[g.Key]:
			w.Title, w.Action, w.URL = "Read the marks of "+w.Title, "Read them", w.URL+"#said"
			marks = append(marks, w)
		}
	}
	return slices.Concat(rate, answers, marks), nil
}
