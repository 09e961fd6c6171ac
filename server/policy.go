package server

import (
	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/store"
	"tablehand/server/web"
)

// policyPanel is what the salon decided about a disputed skill, or nil for any
// other skill.
func (r *request) policyPanel(s *curriculum.Skill) (*web.PolicyPanel, error) {
	rule := r.prog.EvidenceRule(s.Evidence)
	if rule.Kind != curriculum.Gated {
		return nil, nil
	}
	p := web.NewPolicyPanel()
	p.CanSet, p.Action, p.ClientID, p.Day.Value = r.scope.Role == assessment.HeadGroomer, "/skills/"+s.ID+"/policy", newClientID(), r.today().String()
	history, err := r.srv.Store.PolicyHistory(r.Request.Context(), r.scope, s.ID)
	for i, h := range history {
		line := web.PolicyLine{Day: h.Set.Words(), What: "Not here from this day", By: h.By.Name, Note: h.Note}
		if h.Day > 0 {
			line.What = "Allowed under the policy of " + h.Day.Words()
		}
		if i == 0 && h.Day > 0 {
			p.Now, p.Note = line.What+".", h.Note
			p.Until = "It can be relied on until " + h.Day.AddMonths(max(rule.RepeatMonths, 1)).Words() + "; then it has to be looked at again."
		}
		p.History = append(p.History, line)
	}
	return p, err
}

func setPolicy(r *request) error {
	page, err := r.skillOfAll()
	if err != nil {
		return err
	}
	p := page.Policy
	if p == nil {
		return &store.Refusal{Reasons: []string{"This skill needs no salon policy."}}
	}
	p.Choice.Choose(r.value("policy"))
	p.Day.Value, p.Text.Value = r.value("day"), r.value("note")
	if !p.Choice.Chosen() {
		page.Fail(&p.Choice, "Choose what the salon has decided.")
	}
	var day assessment.Day
	if r.value("policy") == "allowed" {
		if day, err = assessment.ParseDay(p.Day.Value); err != nil {
			page.Fail(&p.Day, "Enter the day as year-month-day, for example 2026-05-20.")
		} else if day > r.today() || day < assessment.Earliest {
			page.Fail(&p.Day, "This cannot be the day. Enter the day the policy was written, today or earlier; look at the year.")
		}
	}
	if p.Text.Value == "" {
		page.Fail(&p.Text, "Say what the policy allows and where it is kept, or why it is withdrawn.")
	}
	r.checkText(&page.Shell, &p.Text)
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	to, err := r.srv.Store.SetPolicy(r.Request.Context(), r.scope, r.Param("skill"), day, p.Text.Value, r.value("client_id"))
	if r.refusedBeside(&page.Shell, &p.Text, err) {
		return r.show(page, page.Shell)
	}
	if err != nil {
		return err
	}
	return r.goTo(to, "The salon's decision is recorded.")
}
