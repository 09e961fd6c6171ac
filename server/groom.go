package server

import (
	"errors"
	"fmt"
	"net/url"
	"strings"

	"tablehand/assessment"
	"tablehand/server/store"
	"tablehand/server/web"
)

// grooms lists assessed grooms.
func grooms(r *request) error {
	ctx := r.Request.Context()
	page := web.Grooms{Shell: r.shell("Grooms", "/grooms")}
	people, err := r.srv.Store.Apprentices(ctx, r.scope)
	if err != nil {
		return err
	}
	filter := r.Query("apprentice")
	page.Filters, page.Filtered = filterLinks("/grooms", filter, people)
	limit := 100
	if r.Query("all") != "" {
		limit = 0
	}
	list, err := r.srv.Store.Grooms(ctx, r.scope, store.GroomFilter{Apprentice: filter, Limit: limit})
	if err != nil {
		return err
	}
	if page.Lines, err = r.groomLines(list); err != nil {
		return err
	}
	if limit > 0 && len(list) == limit {
		page.More = web.Link{Label: "Show all of them", URL: "/grooms?all=1&apprentice=" + url.QueryEscape(filter)}
	}
	if r.scope.Role.Judges() {
		page.NewURL = "/grooms/new"
		drafts, err := r.srv.Store.Drafts(ctx, r.scope)
		if err != nil {
			return err
		}
		names := map[string]string{}
		for _, p := range people {
			names[p.Key] = p.Name
		}
		for _, d := range drafts {
			day := d.Form.Get("day")
			if read, err := assessment.ParseDay(day); err == nil {
				day = read.Words()
			}
			page.Drafts = append(page.Drafts, web.GroomLine{URL: "/grooms/drafts/" + d.Key, Day: day, Dog: orElse(d.Form.Get("dog"), "No label yet"), Apprentice: names[d.Form.Get("apprentice")], Result: "Draft"})
		}
	}
	return r.show(page, page.Shell)
}

func (r *request) newGroomForm() (web.GroomNew, error) {
	page := web.NewGroomNew()
	page.Shell, page.ClientID = r.shell("Mark a groom", "/grooms"), newClientID()
	people, err := r.srv.Store.Apprentices(r.Request.Context(), r.scope)
	for _, p := range people {
		if p.Left == 0 {
			page.Apprentice.Choices = append(page.Apprentice.Choices, web.Choice{Value: p.Key, Label: p.Name})
		}
	}
	for _, t := range r.prog.Vocabulary.Services {
		page.Service.Choices = append(page.Service.Choices, web.Choice{Value: t.ID, Label: t.Name})
	}
	return page, err
}

func newGroomPage(r *request) error {
	page, err := r.newGroomForm()
	if err != nil {
		return err
	}
	page.Apprentice.Choose(r.Query("apprentice"))
	page.Day.Value = r.today().String()
	if page.Seconds, err = r.seconds(); err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

func newGroom(r *request) error {
	page, err := r.newGroomForm()
	if err != nil {
		return err
	}
	form := url.Values{}
	for _, name := range []string{"apprentice", "day", "dog", "service"} {
		form.Set(name, r.Request.PostFormValue(name))
	}
	page.Apprentice.Choose(form.Get("apprentice"))
	page.Service.Choose(form.Get("service"))
	page.Day.Value, page.Dog.Value = form.Get("day"), form.Get("dog")
	if !page.Apprentice.Chosen() {
		page.Fail(&page.Apprentice, "Choose the apprentice who groomed.")
	}
	if _, err := assessment.ParseDay(r.value("day")); err != nil {
		page.Fail(&page.Day, "Enter the day of the groom, for example 2026-05-20.")
	}
	r.checkLine(&page.Shell, &page.Dog, "Give the dog a label. No owner's name.")
	if !page.Service.Chosen() {
		page.Fail(&page.Service, "Choose the service.")
	}
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	if err := r.knownDog(form); err != nil {
		return err
	}
	key, err := r.srv.Store.NewDraft(r.Request.Context(), r.scope, form, r.value("client_id"))
	if err != nil {
		return err
	}
	return r.goTo("/grooms/drafts/"+key, "")
}

// knownDog puts in what does not change from one visit of a dog to the next. A
// weight does.
func (r *request) knownDog(form url.Values) error {
	last, err := r.srv.Store.Grooms(r.Request.Context(), r.scope, store.GroomFilter{Dog: strings.TrimSpace(form.Get("dog")), Limit: 1})
	if err == nil && len(last) > 0 && r.prog.Vocabulary.Coat(last[0].Groom.Coat) != nil {
		form.Set("coat", last[0].Groom.Coat)
	}
	return err
}

// readBackPage is exactly what is about to be signed.
func (r *request) readBackPage(d store.Draft) (web.GroomReadBack, error) {
	ctx := r.Request.Context()
	in := r.signing(d)
	g := in.Groom
	page := web.GroomReadBack{Shell: r.shell("Read back before signing", "/grooms"), Dog: g.Dog}
	who, err := r.srv.Store.Apprentice(ctx, r.scope, g.Apprentice)
	if err != nil {
		return page, err
	}
	edit := "/grooms/drafts/" + d.Key
	view := r.groomView(r.prog, &g, edit)
	page.Apprentice, page.About, page.Brief, page.Prep, page.Feedback = who.Name, view.About, view.Brief, view.Prep, view.Feedback
	page.Criteria, page.Incidents, page.Result = view.Criteria, view.Incidents, view.Result
	page.Rubric = fmt.Sprintf("%s, %s version %d", r.prog.Rubric.Title, r.prog.Title, r.prog.Version)
	page.Signer = r.scope.Name + ", " + r.scope.Role.Words()
	switch {
	case g.Supersedes != "":
		page.Corrects = "Corrects a signed groom, because: " + g.Because
	case g.SecondOf != "":
		page.Corrects = secondWords
	}
	page.EditURL, page.Action, page.ContentHash, page.Fingerprint = edit, edit+"/sign", in.Digest, fingerprint(in.Digest)
	page.ClientID, page.Password, page.Insecure = d.Key, web.SigningPassword(), r.insecure()
	if page.Cut, err = r.cutPlanOf(r.prog, d.Key, &g, edit+"/cut-plan"); err != nil {
		return page, err
	}
	a, err := r.srv.Store.Evidence(ctx, r.scope, who.Key)
	if err != nil {
		return page, err
	}
	after := a.With(r.prog, &g, r.today())
	page.Moved, page.Same = r.effects(a.Standings(r.prog, r.today()), after.Standings(r.prog, r.today()), &g, who.Key)
	page.Holds = r.newHolds(a, after, &g)
	page.Photos, err = r.draftPhotos(d)
	return page, err
}

// ready wraps the two last steps of marking: a draft that was signed leads to
// its receipt, one with problems back to the form.
func ready(next func(*request, store.Draft) error) handler {
	return func(r *request) error {
		d, err := r.srv.Store.Draft(r.Request.Context(), r.scope, r.Param("draft"))
		if r.signedAlready(err) {
			return r.goTo("/grooms/signed/"+r.Param("draft"), "")
		}
		if err != nil {
			return err
		}
		if len(r.problems(d)) > 0 {
			return r.goToReadBack()
		}
		return next(r, d)
	}
}

func readBack(r *request, d store.Draft) error {
	page, err := r.readBackPage(d)
	if err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

// signing is what signing this draft would store.
func (r *request) signing(d store.Draft) store.Signing {
	g, _ := readGroom(r.prog, d.Form, orElse(d.Form.Get("assessor"), r.scope.Key))
	return store.Signing{Draft: d.Key, Version: d.Version, Groom: g, Digest: store.Digest(r.prog, &g)}
}

func signGroom(r *request, d store.Draft) error {
	in := r.signing(d)
	if r.value("content_hash") != in.Digest {
		return r.signingConflict(d)
	}
	problem, err := r.verify(r.Request.PostFormValue("password"))
	if err != nil {
		return err
	}
	if problem != "" {
		return r.readBackAgain(d, func(page *web.GroomReadBack) { page.Fail(&page.Password, problem) })
	}
	key, err := r.srv.Store.Sign(r.Request.Context(), r.scope, in)
	var refusal *store.Refusal
	switch {
	case errors.Is(err, store.ErrConflict):
		return r.signingConflict(d)
	case errors.As(err, &refusal):
		return r.readBackAgain(d, func(page *web.GroomReadBack) { r.refusedBeside(&page.Shell, nil, err) })
	}
	if err != nil {
		return err
	}
	return r.goTo("/grooms/signed/"+key, "Signed. It can be corrected, never changed.")
}

// readBackAgain shows what was to be signed once more, with why it was not.
func (r *request) readBackAgain(d store.Draft, why func(*web.GroomReadBack)) error {
	page, err := r.readBackPage(d)
	if err != nil {
		return err
	}
	why(&page)
	return r.show(page, page.Shell)
}

// groom shows a signed groom.
func groom(r *request) error {
	ctx := r.Request.Context()
	g, err := r.srv.Store.Groom(ctx, r.scope, r.Param("groom"))
	if err != nil {
		return err
	}
	sealed, err := r.seal(&g)
	if err != nil {
		return err
	}
	if sealed {
		page, err := r.sealedGroom(&g)
		if err != nil {
			return err
		}
		return r.show(page, page.Shell)
	}
	page, err := r.groomPage(&g)
	if err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

// groomPage is a signed groom whose marks the reader may see.
func (r *request) groomPage(g *store.Groom) (web.Groom, error) {
	ctx := r.Request.Context()
	view := r.groomView(g.Programme, &g.Groom, "")
	own, err := r.srv.Store.SelfRatings(ctx, r.scope, g.Key)
	if err != nil {
		return web.Groom{}, err
	}
	for i := range view.Criteria {
		if l := own[view.Criteria[i].ID]; l > 0 {
			view.Criteria[i].Own = levelWord(l)
		}
	}
	page := web.Groom{Shell: r.shell(g.Groom.Dog+" – "+g.Apprentice.Name, "/grooms"), Apprentice: g.Apprentice.Name, ApprenticeURL: apprenticeURL(g.Apprentice.Key),
		Dog: g.Groom.Dog, Day: g.Groom.Day.Words(), SignedBy: r.signedBy(g),
		Fingerprint: fingerprint(g.Digest), Rubric: fmt.Sprintf("%s, %s version %d", g.Programme.Rubric.Title, g.Programme.Title, g.Programme.Version),
		About: view.About, Brief: view.Brief, Prep: view.Prep, Feedback: view.Feedback, Criteria: view.Criteria, Incidents: view.Incidents, Result: view.Result}
	if page.Cut, err = r.cutPlanOf(g.Programme, g.Key, &g.Groom, ""); err != nil {
		return page, err
	}
	if g.SupersededBy != "" {
		if page.Superseded = r.version(g.SupersededBy); page.Superseded == nil { // it went to somebody this reader does not see
			page.Superseded = &web.Version{}
		}
	}
	if g.Groom.Supersedes != "" {
		page.Supersedes = r.version(g.Groom.Supersedes)
		if page.Supersedes != nil {
			page.Supersedes.Reason = g.Groom.Because
		}
	}
	if g.Groom.SecondOf != "" {
		page.SecondOf = r.version(g.Groom.SecondOf)
	}
	a, err := r.srv.Store.Evidence(ctx, r.scope, g.Apprentice.Key)
	if err != nil {
		return page, err
	}
	if a, page.LeftOut, err = r.unseal(a); err != nil {
		return page, err
	}
	page.Moved, page.Same = r.standingNow(a, g)
	if page.Photos, err = r.groomPhotos(g); err != nil {
		return page, err
	}
	if r.scope.Role.Judges() && g.SupersededBy == "" {
		page.NewURL = "/grooms/new"
		if g.Assessor.Key == r.scope.Key || r.scope.Role == assessment.HeadGroomer {
			page.Correct = "/grooms/signed/" + g.Key + "/correct"
		}
	}
	page.Said, err = r.saidPanel(g)
	return page, err
}

func (r *request) version(key string) *web.Version {
	g, err := r.srv.Store.Groom(r.Request.Context(), r.scope, key)
	if err != nil {
		return nil
	}
	return &web.Version{URL: "/grooms/signed/" + key, When: r.at(g.Signed), By: g.Assessor.Name, Reason: g.Groom.Because}
}

func (r *request) correction() (web.GroomCorrect, store.Groom, error) {
	page := web.NewGroomCorrect()
	g, err := r.srv.Store.Groom(r.Request.Context(), r.scope, r.Param("groom"))
	if err != nil {
		return page, g, err
	}
	if g.Assessor.Key != r.scope.Key && r.scope.Role != assessment.HeadGroomer {
		return page, g, store.ErrDenied
	}
	if g.SupersededBy != "" {
		return page, g, &store.Refusal{Reasons: []string{"This groom has been corrected already. Correct the newer one."}}
	}
	page.Shell = r.shell("Correct this groom", "/grooms")
	page.Apprentice, page.Dog, page.Day, page.SignedBy = g.Apprentice.Name, g.Groom.Dog, g.Groom.Day.Words(), g.Assessor.Name+", "+r.at(g.Signed)
	page.Action, page.ClientID, page.CancelURL = "/grooms/signed/"+g.Key+"/correct", newClientID(), "/grooms/signed/"+g.Key
	return page, g, nil
}

func correctPage(r *request) error {
	page, _, err := r.correction()
	if err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

func correct(r *request) error {
	page, g, err := r.correction()
	if err != nil {
		return err
	}
	page.Reason.Value = r.value("reason")
	if page.Reason.Value == "" {
		page.Fail(&page.Reason, "Say what is wrong with it. Both versions will show this.")
	}
	r.checkText(&page.Shell, &page.Reason)
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	form := groomForm(&g.Groom)
	form.Set("supersedes", g.Key)
	form.Set("because", page.Reason.Value)
	form.Set("assessor", g.Assessor.Key) // whoever watched the dog stays the one who judged it
	key, err := r.srv.Store.NewDraft(r.Request.Context(), r.scope, form, r.value("client_id"))
	if err != nil {
		return err
	}
	return r.goTo("/grooms/drafts/"+key, "Change what was wrong, then read back and sign.")
}
