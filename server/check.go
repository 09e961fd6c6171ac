package server

import (
	"strconv"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/store"
	"tablehand/server/web"
)

// checkPanel is the form for a rehearsal or a knowledge check, or nil where the
// skill is judged on dogs.
func (r *request) checkPanel(s *curriculum.Skill, apprentice string) *web.CheckPanel {
	var levels []string
	switch r.prog.EvidenceRule(s.Evidence).Kind {
	case curriculum.Simulations:
		for _, l := range r.prog.Levels {
			levels = append(levels, l.Name)
		}
	case curriculum.Knowledge:
	default:
		return nil
	}
	p := web.NewCheckPanel(levels)
	p.Action, p.ClientID, p.Day.Value = skillURL(apprentice, s.ID)+"/check", newClientID(), r.today().String()
	return &p
}

func addCheck(r *request) error {
	page, err := r.skillPage()
	if err != nil {
		return err
	}
	p := page.Check
	if p == nil {
		return &store.Refusal{Reasons: []string{"This skill is judged on assessed grooms."}}
	}
	entry := store.CheckEntry{Apprentice: r.Param("apprentice"), Skill: r.Param("skill")}
	p.Day.Value, p.Percent.Value = r.value("day"), r.value("percent")
	p.Level.Choose(r.value("level"))
	if entry.Day, err = assessment.ParseDay(p.Day.Value); err != nil {
		page.Fail(&p.Day, "Enter the day it took place as year-month-day, for example 2026-05-20.")
	} else if entry.Day > r.today() || entry.Day < assessment.Earliest {
		page.Fail(&p.Day, "This cannot be the day. Enter the day it took place, today or earlier; look at the year.")
	}
	if len(p.Level.Choices) > 0 {
		if entry.Level, _ = strconv.Atoi(r.value("level")); !p.Level.Chosen() {
			page.Fail(&p.Level, "Choose the level you saw.")
		}
	} else if entry.Percent, err = strconv.Atoi(p.Percent.Value); err != nil || entry.Percent < 0 || entry.Percent > 100 {
		page.Fail(&p.Percent, "Enter the result in whole per cent, from 0 to 100.")
	}
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	to, err := r.srv.Store.AddCheck(r.Request.Context(), r.scope, entry, r.value("client_id"))
	if r.refusedBeside(&page.Shell, &p.Day, err) {
		return r.show(page, page.Shell)
	}
	if err != nil {
		return err
	}
	return r.goTo(to, "Recorded.")
}
