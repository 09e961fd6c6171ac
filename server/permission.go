package server

import (
	"fmt"
	"strconv"

	"tablehand/assessment"
	"tablehand/server/web"
)

func (r *request) permissionPanel(s *assessment.Standing, apprentice string) (web.PermissionPanel, error) {
	p := web.NewPermissionPanel(strconv.Itoa(s.Permission.Now))
	p.Now, p.Set = permissionWord(s.Permission.Now), permissionWord(s.Permission.Set)
	if s.Permission.Now > 0 {
		p.Means = r.prog.Permissions[s.Permission.Now-1].Meaning
	}
	p.LimitNote = fmt.Sprintf("The evidence supports at most P%d now.", s.Permission.Ceiling)
	if s.Permission.Limited != "" {
		p.LimitNote += " It is limited by " + s.Permission.Limited + "."
	}
	p.CanSet, p.Action, p.ClientID = r.scope.Role.Judges(), skillURL(apprentice, s.Skill.ID)+"/permission", newClientID()
	history, err := r.srv.Store.PermissionHistory(r.Request.Context(), r.scope, apprentice, s.Skill.ID)
	for i, h := range history {
		line := web.PermissionLine{Day: h.Day.Words(), To: permissionWord(h.Level), By: h.By.Name, Reason: h.Reason}
		if i+1 < len(history) {
			line.From = permissionWord(history[i+1].Level)
		}
		if i == 0 {
			p.Since = r.permissionSince(s, h.Day)
		}
		p.History = append(p.History, line)
	}
	return p, err
}

// permissionSince says from when the permission holds. One that is lower than a
// person set it has another beginning than the day it was set.
func (r *request) permissionSince(s *assessment.Standing, set assessment.Day) string {
	if s.Permission.Now == s.Permission.Set {
		return "since " + set.Words()
	}
	why := "while it is limited by " + s.Permission.Limited
	var from assessment.Day
	for _, h := range s.Holds {
		sev := r.prog.Incidents.Severity(h.Severity)
		if sev != nil && sev.PermissionMax == s.Permission.Now && (from == 0 || h.From < from) {
			from = h.From
		}
	}
	if from > 0 {
		why = "while on hold since " + from.Words()
	}
	return fmt.Sprintf("%s; %s was set on %s", why, permissionWord(s.Permission.Set), set.Words())
}

func setPermission(r *request) error {
	if to, done := r.srv.Store.Replayed(r.Request.Context(), r.scope, r.value("client_id")); done {
		return r.goTo(to, "")
	}
	page, err := r.skillPage()
	if err != nil {
		return err
	}
	level, _ := strconv.Atoi(r.value("level"))
	page.Permission.Level.Choose(r.value("level"))
	page.Permission.Reason.Value = r.value("reason")
	switch {
	case level == 0:
		page.Fail(&page.Permission.Level, "Choose a permission from P1 to P5.")
	case permissionWord(level) == page.Permission.Set:
		page.Fail(&page.Permission.Level, page.Permission.Set+" is set already. Choose another level, or leave it as it is.")
	}
	if page.Permission.Reason.Value == "" {
		page.Fail(&page.Permission.Reason, "Say why, in a sentence the apprentice will read.")
	}
	r.checkText(&page.Shell, &page.Permission.Reason)
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	to, err := r.srv.Store.SetPermission(r.Request.Context(), r.scope, r.Param("apprentice"), r.Param("skill"), level, r.value("reason"), r.value("client_id"))
	if r.refusedBeside(&page.Shell, &page.Permission.Level, err) {
		return r.show(page, page.Shell)
	}
	if err != nil {
		return err
	}
	return r.goTo(to, "The permission is set.")
}
