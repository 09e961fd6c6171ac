package server

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strconv"

	"tablehand/assessment"
	"tablehand/curriculum"
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
	page.Filters = append(page.Filters, web.Filter{Label: "Everyone", URL: "/grooms", Current: filter == ""})
	for _, p := range people {
		page.Filters = append(page.Filters, web.Filter{Label: p.Name, URL: "/grooms?apprentice=" + p.Key, Current: filter == p.Key})
		if p.Key == filter {
			page.Filtered = p.Name
		}
	}
	limit := 100
	if r.Query("all") != "" {
		limit = 0
	}
	list, err := r.srv.Store.Grooms(ctx, r.scope, store.GroomFilter{Apprentice: filter, Limit: limit})
	if err != nil {
		return err
	}
	for _, g := range list {
		page.Lines = append(page.Lines, r.groomLine(g))
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
		for _, d := range drafts {
			page.Drafts = append(page.Drafts, web.GroomLine{URL: "/grooms/drafts/" + d.Key, Day: d.Form.Get("day"), Dog: orElse(d.Form.Get("dog"), "No label yet"), Result: "Draft"})
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
	key, err := r.srv.Store.NewDraft(r.Request.Context(), r.scope, form, r.value("client_id"))
	if err != nil {
		return err
	}
	return r.goTo("/grooms/drafts/"+key, "")
}

// draft loads one of the person's drafts and fills the form. One that has been
// signed meanwhile leads to its receipt.
func (r *request) draft() (store.Draft, web.GroomDraft, error) {
	ctx := r.Request.Context()
	d, err := r.srv.Store.Draft(ctx, r.scope, r.Param("draft"))
	if err != nil {
		return d, web.GroomDraft{}, err
	}
	people, err := r.srv.Store.Apprentices(ctx, r.scope)
	return d, r.draftForm(d, people), err
}

func (r *request) signedAlready(err error) bool {
	if !errors.Is(err, store.ErrNotFound) {
		return false
	}
	_, gone := r.srv.Store.Groom(r.Request.Context(), r.scope, r.Param("draft"))
	return gone == nil
}

func draftPage(r *request) error {
	_, page, err := r.draft()
	if r.signedAlready(err) {
		return r.goTo("/grooms/signed/"+r.Param("draft"), "")
	}
	if err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

func saveDraft(r *request) error {
	ctx := r.Request.Context()
	d, err := r.srv.Store.Draft(ctx, r.scope, r.Param("draft"))
	if r.signedAlready(err) {
		return r.goTo("/grooms/signed/"+r.Param("draft"), "This groom was signed meanwhile.")
	}
	if err != nil {
		return err
	}
	action := r.value("action")
	form := url.Values{}
	for name, values := range r.Request.PostForm {
		if name != "action" && name != "base_version" && name != "client_id" {
			form[name] = values
		}
	}
	for _, keep := range []string{"supersedes", "because"} {
		form.Del(keep)
		if v := d.Form.Get(keep); v != "" {
			form.Set(keep, v)
		}
	}
	if action == "add_incident" {
		form.Set("rows", strconv.Itoa(len(r.draftIncidents(form))+1))
	}
	seen, _ := strconv.Atoi(r.value("base_version"))
	version, err := r.srv.Store.SaveDraft(ctx, r.scope, d.Key, seen, form)
	if errors.Is(err, store.ErrConflict) {
		return r.draftConflict(d, form, action)
	}
	if err != nil {
		return err
	}
	switch action {
	case "autosave":
		r.Header("X-Draft-Version", strconv.Itoa(version))
		r.Status(http.StatusNoContent)
		r.Writer.WriteHeaderNow()
		return nil
	case "add_incident":
		return r.goTo("/grooms/drafts/"+d.Key+"#incidents", "")
	case "read_back":
		return r.goToReadBack()
	}
	return r.goTo("/grooms/drafts/"+d.Key, "Saved. Nothing is signed yet.")
}

// goToReadBack leads on only when the draft can be signed; otherwise the form
// comes back with everything that was typed and what is missing.
func (r *request) goToReadBack() error {
	d, page, err := r.draft()
	if err != nil {
		return err
	}
	if problems := r.problems(d); len(problems) > 0 {
		failDraft(&page, problems)
		return r.show(page, page.Shell)
	}
	return r.goTo("/grooms/drafts/"+d.Key+"/read-back", "")
}

func (r *request) problems(d store.Draft) []assessment.Problem {
	g, unread := readGroom(r.prog, d.Form, r.scope.Key)
	return append(unread, assessment.Problems(r.prog, &g, r.today())...)
}

// draftConflict shows both versions of what differs and lets the reader keep
// their own.
func (r *request) draftConflict(d store.Draft, mine url.Values, action string) error {
	if action == "autosave" {
		return store.ErrConflict
	}
	var rows []web.ConflictRow
	keep := &web.KeepForm{Action: "/grooms/drafts/" + d.Key, Label: "Keep mine", Hidden: []web.HiddenField{{Name: "base_version", Value: strconv.Itoa(d.Version)}, {Name: "action", Value: "save"}}}
	for name, values := range mine {
		for _, v := range values {
			keep.Hidden = append(keep.Hidden, web.HiddenField{Name: name, Value: v})
		}
		if theirs := d.Form.Get(name); theirs != mine.Get(name) {
			rows = append(rows, web.ConflictRow{Field: name, Theirs: theirs, Yours: mine.Get(name)})
		}
	}
	page := web.Conflict(r.shell("", "/grooms"), rows, web.Link{Label: "Open the saved one", URL: "/grooms/drafts/" + d.Key})
	page.Keep = keep
	r.srv.page(r.Writer, http.StatusConflict, page)
	return nil
}

// readBackPage is exactly what is about to be signed.
func (r *request) readBackPage(d store.Draft) (web.GroomReadBack, store.Signing, error) {
	ctx := r.Request.Context()
	g, _ := readGroom(r.prog, d.Form, r.scope.Key)
	page := web.GroomReadBack{Shell: r.shell("Read back before signing", "/grooms"), Dog: g.Dog}
	who, err := r.srv.Store.Apprentice(ctx, r.scope, g.Apprentice)
	if err != nil {
		return page, store.Signing{}, err
	}
	in := store.Signing{Draft: d.Key, Version: d.Version, Groom: g, Digest: store.Digest(r.prog, &g)}
	edit := "/grooms/drafts/" + d.Key
	view := r.groomView(r.prog, &g, edit)
	page.Apprentice, page.About, page.Brief, page.Prep, page.Feedback = who.Name, view.About, view.Brief, view.Prep, view.Feedback
	page.Criteria, page.Incidents, page.Result = view.Criteria, view.Incidents, view.Result
	page.Rubric = fmt.Sprintf("%s, %s version %d", r.prog.Rubric.Title, r.prog.Title, r.prog.Version)
	page.Signer = r.scope.Name + ", " + r.scope.Role.Words()
	if g.Supersedes != "" {
		page.Corrects = "Corrects a signed groom, because: " + g.Because
	}
	page.EditURL, page.Action, page.ContentHash, page.Fingerprint = edit, edit+"/sign", in.Digest, in.Digest[:10]
	page.ClientID, page.Password, page.Insecure = d.Key, web.SigningPassword(), r.insecure()
	a, err := r.srv.Store.Evidence(ctx, r.scope, who.Key)
	if err != nil {
		return page, in, err
	}
	page.Effects = r.effects(a, &g, who.Key)
	return page, in, nil
}

func readBack(r *request) error {
	d, _, err := r.draft()
	if r.signedAlready(err) {
		return r.goTo("/grooms/signed/"+r.Param("draft"), "")
	}
	if err != nil {
		return err
	}
	if len(r.problems(d)) > 0 {
		return r.goToReadBack()
	}
	page, _, err := r.readBackPage(d)
	if err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

func signGroom(r *request) error {
	ctx := r.Request.Context()
	d, _, err := r.draft()
	if r.signedAlready(err) {
		return r.goTo("/grooms/signed/"+r.Param("draft"), "")
	}
	if err != nil {
		return err
	}
	if len(r.problems(d)) > 0 {
		return r.goToReadBack()
	}
	page, in, err := r.readBackPage(d)
	if err != nil {
		return err
	}
	if r.value("content_hash") != in.Digest {
		return store.ErrConflict
	}
	if err := r.checkSigner(&page.Shell, &page.Password); err != nil {
		return err
	}
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	key, err := r.srv.Store.Sign(ctx, r.scope, in)
	if err != nil {
		return err
	}
	return r.goTo("/grooms/signed/"+key, "Signed. It can be corrected, never changed.")
}

// groom shows a signed groom.
func groom(r *request) error {
	ctx := r.Request.Context()
	g, err := r.srv.Store.Groom(ctx, r.scope, r.Param("groom"))
	if err != nil {
		return err
	}
	view := r.groomView(g.Programme, &g.Groom, "")
	page := web.Groom{Shell: r.shell(g.Groom.Dog+" – "+g.Apprentice.Name, "/grooms"), Apprentice: g.Apprentice.Name, ApprenticeURL: apprenticeURL(g.Apprentice.Key),
		Dog: g.Groom.Dog, Day: g.Groom.Day.Words(), SignedBy: "Signed by " + g.Assessor.Name + ", " + g.Assessor.Role.Words() + ", " + r.at(g.Signed),
		Fingerprint: g.Digest[:10], Rubric: fmt.Sprintf("%s, %s version %d", g.Programme.Rubric.Title, g.Programme.Title, g.Programme.Version),
		About: view.About, Brief: view.Brief, Prep: view.Prep, Feedback: view.Feedback, Criteria: view.Criteria, Incidents: view.Incidents, Result: view.Result}
	if g.SupersededBy != "" {
		page.Superseded = r.version(g.SupersededBy)
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
		return err
	}
	page.Effects = r.standingNow(a, &g)
	if r.scope.Role.Judges() && g.SupersededBy == "" {
		page.NewURL = "/grooms/new"
		if g.Assessor.Key == r.scope.Key || r.scope.Role == assessment.HeadGroomer {
			page.Correct = "/grooms/signed/" + g.Key + "/correct"
		}
	}
	return r.show(page, page.Shell)
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
	key, err := r.srv.Store.NewDraft(r.Request.Context(), r.scope, form, r.value("client_id"))
	if err != nil {
		return err
	}
	return r.goTo("/grooms/drafts/"+key, "Change what was wrong, then read back and sign.")
}

// groomView is what a groom says, in words; edit is where it can be changed,
// or empty.
type groomView struct {
	About, Brief, Prep, Feedback []web.Row
	Criteria                     []web.CriterionResult
	Incidents                    []web.IncidentLine
	Result                       web.Result
}

func (r *request) groomView(p *curriculum.Programme, g *assessment.Groom, edit string) groomView {
	var v groomView
	row := func(key, value, at string) web.Row {
		if edit == "" {
			return web.Row{Key: key, Value: value}
		}
		return web.Row{Key: key, Value: value, ChangeURL: edit + at}
	}
	voc := &p.Vocabulary
	coat, weight := g.Coat, strconv.FormatFloat(float64(g.Grams)/1000, 'f', -1, 64)+" kg"
	if c := voc.Coat(g.Coat); c != nil {
		coat = c.Name
	}
	if s := voc.SizeOf(float64(g.Grams) / 1000); s != nil {
		weight += " (" + s.ID + ")"
	}
	v.About = []web.Row{row("Day", g.Day.Words(), "#dog"), row("Time", g.Start.String()+" – "+g.Stop.String(), "#dog"), row("Dog", g.Dog, "#dog"), row("Coat", coat, "#dog"),
		row("Weight", weight, "#dog"), row("Matting", grade(g.Matting, len(voc.Matting), func(i int) string { return voc.Matting[i].Name }), "#dog"),
		row("Temperament", grade(g.Temperament, len(voc.Temperament)+1, func(i int) string { return voc.Temperament[max(i-1, 0)].Name }), "#dog"),
		row("Service", curriculum.TermName(voc.Services, g.Service), "#dog"), row("Style", curriculum.TermName(voc.Styles, g.Style), "#dog")}
	v.Brief = []web.Row{row("Asked for", g.Brief.Asked, "#brief"), row("The coat allows", g.Brief.CoatAllows, "#brief"), row("Agreed instead", g.Brief.Agreed, "#brief"),
		row("Why", g.Brief.Why, "#brief"), row("Leave alone", g.Brief.LeaveAlone, "#brief")}
	passed := ""
	for i, id := range g.CombTest {
		if i > 0 {
			passed += ", "
		}
		passed += curriculum.TermName(voc.CombTest, id)
	}
	v.Prep = []web.Row{row("The comb passed", passed, "#prep"), row("Where it did not", g.CombNote, "#prep")}
	v.Feedback = []web.Row{row("Help given", g.Help, "#feedback"), row("Keep", g.Keep, "#feedback"), row("Change", g.Change, "#feedback"), row("Practise next", g.Next, "#feedback")}
	res := assessment.Judge(p, g)
	for _, c := range res.Criteria {
		v.Criteria = append(v.Criteria, criterionResult(p, g, c, edit))
	}
	for _, in := range g.Incidents {
		l := web.IncidentLine{Kind: curriculum.TermName(p.Incidents.Kinds, in.Kind), Severity: in.Severity, Attribution: curriculum.TermName(p.Incidents.Attributions, in.Attribution),
			Skill: r.skillTitle(in.Skill), Note: in.Note, Reported: in.SelfReported}
		if edit != "" {
			l.ChangeURL = edit + "#incidents"
		}
		v.Incidents = append(v.Incidents, l)
	}
	v.Result = web.Result{Word: res.Outcome.String(), Weight: fmt.Sprintf("%d of %d", res.Weight, p.Rubric.Total)}
	if res.Weight > 0 {
		v.Result.Mean, v.Result.Percent = res.Mean().Truncated(1, 2), res.Percent().Truncated(100, 2)+" %"
	}
	for _, why := range res.Reasons {
		v.Result.Reasons = append(v.Result.Reasons, web.Reason{Text: why})
	}
	return v
}

func grade(g, n int, name func(int) string) string {
	if g < 0 || g >= n {
		return ""
	}
	return fmt.Sprintf("%d, %s", g, name(g))
}

func criterionResult(p *curriculum.Programme, g *assessment.Groom, c assessment.CriterionResult, edit string) web.CriterionResult {
	out := web.CriterionResult{ID: c.Criterion.ID, Title: c.Criterion.Title, Weight: c.Criterion.Weight, MustMeet: mustWords(c.Criterion), Reason: c.Lowered}
	switch {
	case c.NotApplicable:
		out.Given, out.Reason = "not applicable", c.Reason
	case c.Given == 0:
		out.Given = "not marked"
	default:
		out.Given, out.Effective = levelWord(c.Given), levelWord(c.Effective)
		out.Short = c.Effective < max(c.Criterion.MustMeet, p.Rubric.LeastLevel)
	}
	for _, list := range [][]string{c.Criterion.Skills, c.Criterion.SkillsIfSeen} {
		for _, id := range list {
			switch l := g.Skills[id]; {
			case l == assessment.Unseen:
				out.Skills = append(out.Skills, p.Skill(id).Title+": not seen")
			case l > 0:
				out.Skills = append(out.Skills, p.Skill(id).Title+": "+levelWord(l))
			}
		}
	}
	if edit != "" {
		out.ChangeURL = edit + "#c-" + c.Criterion.ID
	}
	return out
}

// effects works out what signing would change for each skill: the standing
// without and with the groom's observations.
func (r *request) effects(a *assessment.Apprenticeship, g *assessment.Groom, apprentice string) []web.Effect {
	today := r.today()
	before := a.Standings(r.prog, today)
	seen := map[string]assessment.Observation{}
	for _, o := range assessment.Derive(r.prog, g) {
		seen[o.Skill] = o
	}
	after := a.With(r.prog, g, today).Standings(r.prog, today)
	var out []web.Effect
	for i := range before {
		o, touched := seen[before[i].Skill.ID]
		if !touched && before[i].State == after[i].State {
			continue
		}
		e := web.Effect{Skill: before[i].Skill.Title, URL: skillURL(apprentice, before[i].Skill.ID), StandingFrom: standing(before[i].State), StandingTo: standing(after[i].State),
			Before: evidenceWords(&before[i]), After: evidenceWords(&after[i])}
		if touched {
			e.Outcome = assessment.VerdictOf(r.prog, &o).String()
		}
		out = append(out, e)
	}
	return out
}

func evidenceWords(s *assessment.Standing) string {
	if s.PointsRule != nil {
		return count(s.Points.Score, "point")
	}
	for _, q := range s.Requirements {
		switch q.Need {
		case assessment.NeedCount, assessment.NeedSimulations:
			return fmt.Sprintf("%d of %d", q.Have, q.Want)
		}
	}
	return s.State.String()
}

// standingNow lists the skills a signed groom showed, with where they stand.
func (r *request) standingNow(a *assessment.Apprenticeship, g *store.Groom) []web.Effect {
	list := a.ExplainedStandings(r.prog, r.today())
	var out []web.Effect
	for i := range list {
		for _, u := range list[i].Used {
			if u.Observation.Groom != g.Key {
				continue
			}
			out = append(out, web.Effect{Skill: list[i].Skill.Title, URL: skillURL(g.Apprentice.Key, list[i].Skill.ID), Outcome: u.Verdict.String(), Note: u.Why.Words(),
				Before: levelWord(int(u.Observation.Level)), After: evidenceWords(&list[i]), StandingFrom: standing(list[i].State), StandingTo: standing(list[i].State)})
		}
	}
	return out
}
