package server

import (
	"fmt"

	"tablehand/assessment"
	"tablehand/server/store"
	"tablehand/server/web"
)

// certificate is a sign-off on one page of paper, or why there is none.
func certificate(r *request) error {
	so, err := r.srv.Store.SignOff(r.Request.Context(), r.scope, r.Param("signoff"))
	if err != nil {
		return err
	}
	at := "/signoffs/" + so.Key
	page := web.Certificate{Apprentice: so.Who.Name, Skill: r.skillTitle(so.Skill), SignOffURL: at}
	var now *assessment.Standing
	if r.prog.Skill(so.Skill) != nil {
		v, err := r.loadSkill(so.Apprentice, so.Skill)
		if err != nil {
			return err
		}
		now, page.LeftOut = &v.standing, v.left
	}
	page.WhyNot = assessment.RefuseCertificate(&so.SignOff, now)
	if page.WhyNot == "" {
		if err := r.certify(&page, &so, now); err != nil {
			return err
		}
	}
	page.Shell = r.shell("Certificate: "+page.Skill+", "+so.Who.Name, "/signoffs")
	page.Back = web.Link{Label: "Sign-off", URL: at}
	if page.WhyNot == "" {
		page.Sheet = fingerprint(so.Digest)
	}
	return r.show(page, page.Shell)
}

// certify fills the page of a sign-off that stands. Skill and rule are those of
// the version it was proposed under; whether it stands is a matter of today's.
func (r *request) certify(page *web.Certificate, so *store.SignOff, now *assessment.Standing) (err error) {
	then := so.Standard
	s := then.Skill(so.Skill)
	points := then.PointsRule(s.Points)
	page.Skill, page.Unit = s.Title, then.UnitOf(s.ID).Title
	page.Programme = fmt.Sprintf("%s, version %d", then.Title, then.Version)
	page.Criteria, page.Cautions = s.Criteria, cautions(s)
	page.Proposed = so.Proposer.Name + ", " + so.Proposer.Role.Words() + ", " + so.Proposed.Words()
	page.Confirmed = so.Decider.Name + ", " + so.Decider.Role.Words() + ", " + so.Decided.Words()
	page.Evidence = count(len(so.Evidence.Counted), "counting observation") + ", listed in the record."
	page.Rule = assessment.RuleWords(then.EvidenceRule(s.Evidence), points)
	page.Error = assessment.ErrorWords(points, now.Series)
	page.Currency = now.CurrencyWords(r.prog)
	if now.Review != assessment.NoReview {
		page.Review = now.ReviewWords()
	}
	page.Digest, page.Address, page.OnlyHere = so.Digest, r.absolute(page.SignOffURL), r.onLoopback()
	page.Code, err = web.QR(page.Address)
	return err
}
