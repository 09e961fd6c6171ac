package server

import (
	"fmt"

	"tablehand/assessment"
	"tablehand/server/store"
	"tablehand/server/web"
)

// reviewPanel is what is to be talked over in a skill, and what was; nil when
// there is neither.
func (r *request) reviewPanel(s *assessment.Standing, held []assessment.Reviewed, apprentice string, names map[string]string) *web.ReviewPanel {
	open := s.Review != assessment.NoReview && s.Review != assessment.IncidentsRepeated
	if !open && len(held) == 0 {
		return nil
	}
	p := web.NewReviewPanel()
	for _, h := range held {
		p.History = append(p.History, web.ReviewLine{Day: h.Day.Words(), By: names[h.By], Note: h.Note})
	}
	if !open {
		return p
	}
	p.Why = s.ReviewWords()
	switch s.Review {
	case assessment.ObservationsUsedUp:
		p.Effect = fmt.Sprintf("Recording it begins a new series of %d observations, with the points from 0. Over all series the chance of a false sign-off is then at most %s.",
			s.PointsRule.Within, assessment.ChanceWords(assessment.FalseSignOffOver(s.PointsRule, s.Series+1)))
	case assessment.MonitorAlarm:
		p.Effect = "Recording it starts the watch on faults afresh. The sign-off stands."
	case assessment.EvidenceCorrected:
		p.Effect = "Recording it says that the evidence was looked at again and the sign-off stands."
	}
	switch why := assessment.RefuseReview(s, r.scope.Role, "-"); {
	case why == "":
		p.CanSet, p.Action, p.ClientID = true, skillURL(apprentice, s.Skill.ID)+"/review", newClientID()
	case r.scope.Role.Judges():
		p.WhyNot = why
	}
	return p
}

func reviewSkill(r *request) error {
	ctx := r.Request.Context()
	if to, done := r.srv.Store.Replayed(ctx, r.scope, r.value("client_id")); done {
		return r.goTo(to, "")
	}
	page, err := r.skillPage()
	if err != nil {
		return err
	}
	if page.Review == nil || !page.Review.CanSet {
		return &store.Refusal{Reasons: []string{"There is nothing to review in this skill now." + unsent(r.value("note"))}}
	}
	note := &page.Review.Note
	note.Value = r.value("note")
	if note.Value == "" {
		page.Fail(note, "Write down what you agreed.")
	}
	r.checkText(&page.Shell, note)
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	to, err := r.srv.Store.Review(ctx, r.scope, r.Param("apprentice"), r.Param("skill"), note.Value, r.value("client_id"))
	if r.refusedBeside(&page.Shell, note, err) {
		return r.show(page, page.Shell)
	}
	if err != nil {
		return err
	}
	return r.goTo(to, "The review is recorded.")
}
