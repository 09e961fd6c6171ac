package server

import (
	"cmp"
	"errors"
	"slices"
	"strings"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/store"
	"tablehand/server/web"
)

func signOffs(r *request) error {
	list, err := r.srv.Store.SignOffs(r.Request.Context(), r.scope)
	if err != nil {
		return err
	}
	people, err := r.srv.Store.Apprentices(r.Request.Context(), r.scope)
	if err != nil {
		return err
	}
	page := web.SignOffs{Shell: r.shell("Sign-offs", "/signoffs")}
	page.Filters, page.Filtered = filterLinks("/signoffs", r.Query("apprentice"), people)
	if r.scope.Role != assessment.Apprentice {
		page.SampleURL = "/signoffs/sample"
	}
	for _, so := range list {
		if page.Filtered != "" && so.Apprentice != r.Query("apprentice") {
			continue
		}
		item := web.SignOffItem{URL: "/signoffs/" + so.Key, Skill: r.skillTitle(so.Skill), Apprentice: so.Who.Name, State: so.Decision.String(),
			Proposed: so.Proposer.Name + ", " + so.Proposed.Words()}
		if so.Decision == assessment.Awaiting {
			item.CanDecide = r.scope.Role.Judges() && so.ProposedBy != r.scope.Key
			page.Waiting = append(page.Waiting, item)
		} else {
			item.Decided = so.Decider.Name + ", " + so.Decided.Words()
			page.Decided = append(page.Decided, item)
		}
	}
	return r.show(page, page.Shell)
}

// proposal fills the page a sign-off is proposed on.
func (r *request) proposal() (web.Propose, error) {
	page := web.NewPropose()
	v, err := r.loadSkill(r.Param("apprentice"), r.Param("skill"))
	if err != nil {
		return page, err
	}
	who, s, names := v.who, v.standing, v.names
	page.Shell = r.shell("Propose sign-off: "+s.Skill.Title, "/signoffs")
	page.Apprentice, page.Skill, page.SkillURL = who.Name, s.Skill.Title, skillURL(who.Key, s.Skill.ID)
	shown := []assessment.Standing{s}
	r.nameCoats(shown)
	page.Requirements = requirementLines(shown[0].Requirements)
	page.Evidence, page.Costing, page.Excluded = r.usedGroups(&s, names)
	page.Cautions = cautions(s.Skill)
	page.Statement = "I have looked at this evidence and judge that " + who.Name + " does this safely and well. A different person confirms it."
	if s.PointsRule != nil {
		page.Guarantee = assessment.Promise(s.PointsRule)
	}
	page.Action, page.ClientID, page.Insecure = skillURL(who.Key, s.Skill.ID)+"/propose", newClientID(), r.insecure()
	page.Blocked = assessment.RefuseProposal(&s, r.scope.Key, r.scope.Role, who.Key)
	page.EvidenceHash, err = store.EvidenceDigest(&s)
	page.Fingerprint = fingerprint(page.EvidenceHash)
	return page, err
}

func proposePage(r *request) error {
	page, err := r.proposal()
	if err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

func propose(r *request) error {
	ctx := r.Request.Context()
	if key, done := r.srv.Store.Replayed(ctx, r.scope, r.value("client_id")); done {
		return r.goTo("/signoffs/"+key, "")
	}
	page, err := r.proposal()
	if err != nil {
		return err
	}
	page.Note.Value = r.value("note")
	if page.Blocked != "" {
		page.Fail(nil, page.Blocked+unsent(page.Note.Value))
	} else if err := r.checkSigner(&page.Shell, &page.Password); err != nil {
		return err
	}
	r.checkText(&page.Shell, &page.Note)
	if seen := r.value("content_hash"); page.Blocked == "" && seen != page.EvidenceHash {
		page.Fail(nil, "The evidence has changed since you looked at it. It stands below as it is now: look at it, then sign.")
	}
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	key, err := r.srv.Store.Propose(ctx, r.scope, r.Param("apprentice"), r.Param("skill"), page.Note.Value, page.EvidenceHash, r.value("client_id"))
	if r.refusedBeside(&page.Shell, nil, err) {
		return r.show(page, page.Shell)
	}
	if errors.Is(err, store.ErrConflict) {
		page.Fail(nil, "The evidence has changed this moment. Load the page again, look at it, then sign."+unsent(page.Note.Value))
		return r.show(page, page.Shell)
	}
	if err != nil {
		return err
	}
	return r.goTo("/signoffs/"+key, "Proposed. It counts when a different person has confirmed it.")
}

// fingerprint is the short form of a digest that people compare by eye.
func fingerprint(digest string) string { return digest[:10] }

// checkSigner asks for the password again before a signature.
func (r *request) checkSigner(shell *web.Shell, f *web.Field) error {
	problem, err := r.verify(r.Request.PostFormValue("password"))
	if problem != "" {
		shell.Fail(f, problem)
	}
	return err
}

func (r *request) checkText(shell *web.Shell, f *web.Field) {
	if len([]rune(f.Value)) > assessment.MaxText {
		shell.Fail(f, "This text is too long; keep it to 2,000 characters.")
	}
}

func cautions(s *curriculum.Skill) []string {
	var out []string
	for _, t := range []string{s.Hazard, s.Caution} {
		if t != "" {
			out = append(out, t)
		}
	}
	return out
}

// decision fills the page of one sign-off.
func (r *request) decision() (web.SignOff, error) {
	page := web.NewSignOff()
	so, err := r.srv.Store.SignOff(r.Request.Context(), r.scope, r.Param("signoff"))
	if err != nil {
		return page, err
	}
	names, err := r.names()
	if err != nil {
		return page, err
	}
	title := r.skillTitle(so.Skill)
	page.Shell = r.shell("Sign-off: "+title, "/signoffs")
	page.Apprentice, page.ApprenticeURL = so.Who.Name, apprenticeURL(so.Apprentice)
	page.Skill, page.SkillURL = title, skillURL(so.Apprentice, so.Skill)
	page.State, page.Open = so.Decision.String(), so.Decision == assessment.Awaiting
	page.ProposedBy = so.Proposer.Name + ", " + so.Proposer.Role.Words() + ", " + r.at(so.ProposedAt)
	page.ProposedNote = so.Statement
	page.Statement = "The evidence below was looked at and judged complete."
	page.Fingerprint = fingerprint(so.Digest)
	page.Requirements = requirementLines(so.Evidence.Requirements)
	for i := range so.Evidence.Counted {
		page.Evidence = append(page.Evidence, r.observationLine(&so.Evidence.Counted[i], "", "", names))
	}
	for i := range so.Evidence.Excluded {
		page.Excluded = append(page.Excluded, r.observationLine(&so.Evidence.Excluded[i].Observation, "", so.Evidence.Excluded[i].Why, names))
	}
	if s := r.prog.Skill(so.Skill); s != nil {
		page.Cautions = cautions(s)
		if rule := r.prog.PointsRule(s.Points); rule != nil {
			page.Guarantee = assessment.Promise(rule)
		}
	}
	if !page.Open {
		page.DecidedBy = so.Decider.Name + ", " + so.Decider.Role.Words() + ", " + so.Decided.Words()
		page.DecidedNote = so.Reason
		if so.Decision == assessment.Confirmed {
			page.Certificate = "/signoffs/" + so.Key + "/certificate"
		}
		return page, nil
	}
	page.Action, page.ClientID, page.Insecure = "/signoffs/"+so.Key+"/decide", newClientID(), r.insecure()
	return page, r.sinceProposed(&page, &so, names)
}

// sinceProposed says how the skill stands now, and what came or went since the
// sign-off was proposed: the second person confirms what is, not what was.
func (r *request) sinceProposed(page *web.SignOff, so *store.SignOff, names map[string]string) error {
	var now assessment.Standing
	v, err := r.loadSkill(so.Apprentice, so.Skill)
	switch {
	case r.prog.Skill(so.Skill) == nil:
		page.ChangedSince = "The programme no longer has this skill. The sign-off can be declined."
	case err != nil:
		return err
	default:
		now = v.standing
		if page.ContentHash, err = store.EvidenceDigest(&now); err != nil {
			return err
		}
		page.Added, page.Gone = r.changes(so, &now, names)
		if len(page.Added)+len(page.Gone) > 0 {
			page.ChangedSince = "The evidence is not the same any more. You decide on it as it is now."
		}
		if now.State != assessment.Eligible {
			page.ChangedSince = strings.TrimSpace("The standing has changed to: " + now.State.String() + ". " + page.ChangedSince)
		}
	}
	page.WhyNot = assessment.RefuseDecision(&so.SignOff, &now, r.scope.Key, r.scope.Role, false)
	page.CanDecide = page.WhyNot == ""
	return nil
}

// changes are the observations that are there now and were not, and those that
// were and are not, or not as they were.
func (r *request) changes(so *store.SignOff, now *assessment.Standing, names map[string]string) (added, gone []web.ObservationLine) {
	type mark struct {
		seq     int64
		counted bool
	}
	before := map[mark]*assessment.Observation{}
	for i := range so.Evidence.Counted {
		o := &so.Evidence.Counted[i]
		before[mark{o.Seq, true}] = o
	}
	for i := range so.Evidence.Excluded {
		o := &so.Evidence.Excluded[i].Observation
		before[mark{o.Seq, false}] = o
	}
	for _, u := range now.Used {
		m := mark{u.Observation.Seq, u.Counted}
		if before[m] == nil {
			line := r.observationLine(u.Observation, u.Verdict.String(), u.Why.Words(), names)
			if u.Observation.Severity != "" {
				line.Reason = strings.TrimSpace(line.Reason + " Incident " + u.Observation.Severity + ".")
			}
			added = append(added, line)
		}
		delete(before, m)
	}
	for _, o := range before {
		gone = append(gone, r.observationLine(o, "", "", names))
	}
	slices.SortFunc(gone, func(a, b web.ObservationLine) int { return cmp.Compare(a.URL+a.Day, b.URL+b.Day) })
	return added, gone
}

func signOff(r *request) error {
	page, err := r.decision()
	if err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

func decide(r *request) error {
	ctx := r.Request.Context()
	if to, done := r.srv.Store.Replayed(ctx, r.scope, r.value("client_id")); done {
		return r.goTo(to, "")
	}
	page, err := r.decision()
	if err != nil {
		return err
	}
	page.Decision.Choose(r.value("decision"))
	page.Reason.Value = r.value("reason")
	switch {
	case !page.Open:
		page.Fail(nil, "This sign-off has been decided already."+unsent(page.Reason.Value))
	case page.WhyNot != "":
		page.Fail(nil, page.WhyNot+unsent(page.Reason.Value))
	case !page.Decision.Chosen():
		page.Fail(&page.Decision, "Choose whether you confirm or decline.")
	case r.value("decision") == "decline" && page.Reason.Value == "":
		page.Fail(&page.Reason, "Say what you would want to see before confirming.")
	}
	r.checkText(&page.Shell, &page.Reason)
	if page.CanDecide && r.value("decision") == "confirm" && r.value("content_hash") != page.ContentHash {
		page.Fail(nil, "The evidence has changed since you looked at it. It stands below as it is now: look at it, then decide.")
	}
	if page.CanDecide {
		if err := r.checkSigner(&page.Shell, &page.Password); err != nil {
			return err
		}
	}
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	confirm := r.value("decision") == "confirm"
	err = r.srv.Store.Decide(ctx, r.scope, r.Param("signoff"), confirm, page.Reason.Value, page.ContentHash, r.value("client_id"))
	if r.refusedBeside(&page.Shell, &page.Reason, err) {
		return r.show(page, page.Shell)
	}
	if errors.Is(err, store.ErrConflict) { // between this page and the decision
		page.Fail(nil, "The evidence has changed this moment. Load the page again, look at it, then decide."+unsent(page.Reason.Value))
		return r.show(page, page.Shell)
	}
	if err != nil {
		return err
	}
	if confirm {
		return r.goTo("/signoffs/"+r.Param("signoff"), "Confirmed. The skill is signed off.")
	}
	return r.goTo("/signoffs/"+r.Param("signoff"), "Declined. The skill stays unsigned.")
}
