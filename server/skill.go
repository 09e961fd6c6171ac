package server

import (
	"fmt"
	"strconv"
	"strings"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/store"
	"tablehand/server/web"
)

// apprenticeSkill shows one skill of one apprentice and everything its
// standing rests on.
func apprenticeSkill(r *request) error {
	page, err := r.skillPage()
	if err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

func (r *request) skillPage() (web.ApprenticeSkill, error) {
	v, err := r.loadSkill(r.Param("apprentice"), r.Param("skill"))
	if err != nil {
		return web.ApprenticeSkill{}, err
	}
	who, a, s, names := v.who, v.evidence, v.standing, v.names
	page := web.ApprenticeSkill{Shell: r.shell(s.Skill.Title+" – "+who.Name, "/matrix"), Apprentice: who.Name, ApprenticeURL: apprenticeURL(who.Key),
		SkillID: s.Skill.ID, Skill: s.Skill.Title, SkillURL: "/skills/" + s.Skill.ID, Unit: r.prog.UnitOf(s.Skill.ID).Title,
		Safety: s.Skill.IsSafetyCritical(), Optional: !r.prog.Required(s.Skill), Standing: standing(s.State), Explanation: s.Sentence(),
		Cautions: cautions(s.Skill), Requirements: requirementLines(s.Requirements), SelfNote: "Self-ratings and logbook entries are shown and never earn points."}
	page.Counted, page.Excluded = r.usedLines(&s, names)
	if s.PointsRule != nil {
		page.Points = r.pointsPath(&s, names)
	}
	if why := assessment.RefuseProposal(&s, r.scope.Key, r.scope.Role, who.Key); why == "" {
		page.ProposeURL = skillURL(who.Key, s.Skill.ID) + "/propose"
	} else if r.scope.Role.Judges() {
		page.ProposeNote = why
	}
	if s.Review != assessment.NoReview {
		page.Monitor = s.Review.Words()
	}
	for _, so := range a.SignOffs[s.Skill.ID] {
		page.SignOffs = append(page.SignOffs, web.SignOffLine{Day: so.Proposed.Words(), What: "Proposed", By: names[so.ProposedBy], URL: "/signoffs/" + so.Key})
		if so.Decision != assessment.Awaiting {
			page.SignOffs = append(page.SignOffs, web.SignOffLine{Day: so.Decided.Words(), What: so.Decision.String(), By: names[so.DecidedBy], Note: so.Reason, URL: "/signoffs/" + so.Key})
		}
	}
	for i := range a.Holds {
		if h := &a.Holds[i]; h.Covers(r.prog, s.Skill) {
			page.Holds = append(page.Holds, r.holdPanel(h, a.Observations[h.Skill], names))
		}
	}
	page.Permission, err = r.permissionPanel(&s, who.Key)
	return page, err
}

// pointsPath shows the points rule with this apprentice's path.
func (r *request) pointsPath(s *assessment.Standing, names map[string]string) *web.PointsPath {
	rule := s.PointsRule
	figures := assessment.FiguresOf(rule)
	words := assessment.PointsWords(rule)
	p := &web.PointsPath{Rule: words[0], Guarantee: words[1], Now: fmt.Sprintf("%s after %s", count(s.Points.Score, "point"), count(s.Points.Judged, "observation")),
		Seen:    fmt.Sprintf("%d of %d observations were not clean.", s.Seen-s.Clean, s.Seen),
		Picture: web.OutOf100(int(figures.FalseSignOff*100 + 0.5)),
		PictureSay: fmt.Sprintf("Of 100 apprentices whose fault rate is %.0f %%, about %.0f would become eligible within %d observations (exactly %.2f %%). A competent one, with %.0f %%, needs %.1f observations on average; no rule with this error can need fewer than %.1f.",
			rule.Unacceptable*100, figures.FalseSignOff*100, rule.Within, figures.FalseSignOff*100, rule.Competent*100, figures.MeanCompetent, figures.Least)}
	var points []web.ChartPoint
	before := 0
	for _, u := range s.Used {
		if u.Observation.Source != assessment.Formal && u.Observation.Source != assessment.Logbook || u.Score == before && u.Verdict != assessment.Clean {
			continue
		}
		if u.Why == assessment.SameDogSameDay || u.Verdict == assessment.Neutral || u.Why == assessment.BeforeLapse {
			before = u.Score
			continue
		}
		o := u.Observation
		row := web.PointsRow{N: len(p.Rows) + 1, Day: o.Day.Words(), Dog: o.Dog, Outcome: u.Verdict.String(), Points: u.Score, Assessor: names[o.Assessor], Supervised: levelWord(int(o.Level))}
		if row.Change = fmt.Sprintf("%+d", u.Score-before); u.Score < before {
			row.Change = fmt.Sprintf("−%d", before-u.Score)
		}
		if o.Groom != "" {
			row.URL = "/grooms/signed/" + o.Groom
		}
		before = u.Score
		p.Rows = append(p.Rows, row)
		points = append(points, web.ChartPoint{Points: u.Score, Clean: u.Verdict == assessment.Clean, Label: o.Day.Words() + ", " + o.Dog})
	}
	p.Chart = web.ChartPoints(points, rule.EligibleAt, rule.NeverBelow)
	return p
}

func (r *request) permissionPanel(s *assessment.Standing, apprentice string) (web.PermissionPanel, error) {
	p := web.NewPermissionPanel(strconv.Itoa(s.Permission.Now))
	p.Now = permissionWord(s.Permission.Now)
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
			p.Since = "since " + h.Day.Words()
		}
		p.History = append(p.History, line)
	}
	return p, err
}

func (r *request) holdPanel(h *assessment.Hold, seen []assessment.Observation, names map[string]string) web.HoldPanel {
	p := web.NewHoldPanel(h.Key)
	p.Open, p.Since, p.By = h.Open(), h.From.Words(), names[h.RecordedBy]
	p.Reason = "An incident of severity " + h.Severity + " under " + r.skillTitle(h.Skill) + "."
	rule := r.prog.Incidents.Severity(h.Severity)
	p.Condition = releaseWords(rule)
	var shown []string
	for _, n := range assessment.ReleaseNeeds(r.prog, h, seen) {
		shown = append(shown, fmt.Sprintf("%s: %s of %s.", n.Name(), n.Found(), n.Wanted()))
	}
	p.Shown = strings.Join(shown, " ")
	if !h.Open() {
		p.Released = names[h.ReleasedBy] + ", " + h.Released.Words() + ": " + h.Reason
		return p
	}
	if !r.scope.Role.Judges() {
		return p
	}
	if why := assessment.RefuseRelease(r.prog, h, seen, assessment.Releaser{Person: r.scope.Key, HeadGroomer: r.scope.Role == assessment.HeadGroomer, Redemonstrate: true, Reason: "-"}); len(why) > 0 {
		p.WhyNot = strings.Join(why, " ")
		return p
	}
	p.CanRelease, p.Action, p.ClientID = true, "/holds/"+h.Key+"/release", newClientID()
	p.Met.Choices = []web.Choice{{Value: "met", Label: "Yes", Hint: "What the condition asks for has been shown, and I saw it or was told by who did."}, {Value: "not_shown", Label: "Not yet", Hint: "The hold stays."}}
	return p
}

func releaseWords(s *curriculum.Severity) string {
	var out []string
	if s.Release.Clean > 0 {
		out = append(out, count(s.Release.Clean, "clean observation")+" in a row since the incident")
	}
	if s.Release.DifferentDogs > 0 {
		out = append(out, "on "+count(s.Release.DifferentDogs, "different dog"))
	}
	if s.Release.Redemonstrate {
		out = append(out, "the skill demonstrated again by an assessor")
	}
	if s.Release.SecondAssessor {
		out = append(out, "release by someone other than who recorded it")
	}
	if s.Release.NamedPerson {
		out = append(out, "release by a head groomer, after the investigation")
	}
	return strings.Join(out, "; ") + "."
}

// skill shows one skill across all apprentices, with the standard.
func skill(r *request) error {
	s := r.prog.Skill(r.Param("skill"))
	if s == nil {
		return store.ErrNotFound
	}
	ctx := r.Request.Context()
	people, err := r.srv.Store.Apprentices(ctx, r.scope)
	if err != nil {
		return err
	}
	all, err := r.srv.Store.AllEvidence(ctx, r.scope)
	if err != nil {
		return err
	}
	page := web.Skill{Shell: r.shell(s.Title, "/matrix"), ID: s.ID, Name: s.Title, Unit: r.prog.UnitOf(s.ID).Title, Safety: s.IsSafetyCritical(),
		Optional: !r.prog.Required(s), Why: s.SafetyCritical, Standard: r.standard(s)}
	n := map[web.Standing]int{}
	for _, p := range people {
		if p.Left != 0 {
			continue
		}
		st, _ := all[p.Key].Standing(r.prog, s.ID, r.today())
		n[standing(st.State)]++
		page.People = append(page.People, web.SkillPerson{Name: p.Name, URL: skillURL(p.Key, s.ID), Standing: standing(st.State),
			Permission: permissionWord(st.Permission.Now), Missing: missingLine(&st), Last: st.LastSeen.Words()})
	}
	for _, w := range web.Standings {
		if n[w] > 0 {
			page.Counts = append(page.Counts, web.StandingCount{Standing: w, Count: n[w]})
		}
	}
	return r.show(page, page.Shell)
}

func (r *request) standard(s *curriculum.Skill) web.SkillStandard {
	rule := r.prog.EvidenceRule(s.Evidence)
	std := web.SkillStandard{Criteria: s.Criteria, Cautions: cautions(s), Kit: strings.Join(s.Kit, ", "), Evidence: strings.Join(assessment.RuleWords(rule, r.prog.PointsRule(s.Points)), " ")}
	for _, n := range s.Needs {
		std.Needs = append(std.Needs, web.Link{Label: r.skillTitle(n), URL: "/skills/" + n})
	}
	if c := r.prog.Rubric.CriterionOf(s.ID); c != nil {
		std.Seen = c.Title
	}
	return std
}

func setPermission(r *request) error {
	ctx := r.Request.Context()
	page, err := r.skillPage()
	if err != nil {
		return err
	}
	level, _ := strconv.Atoi(r.value("level"))
	page.Permission.Level.Choose(r.value("level"))
	page.Permission.Reason.Value = r.value("reason")
	if level == 0 {
		page.Fail(&page.Permission.Level, "Choose a permission from P1 to P5.")
	}
	if page.Permission.Reason.Value == "" {
		page.Fail(&page.Permission.Reason, "Say why, in a sentence the apprentice will read.")
	}
	r.checkText(&page.Shell, &page.Permission.Reason)
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	to, err := r.srv.Store.SetPermission(ctx, r.scope, r.Param("apprentice"), r.Param("skill"), level, r.value("reason"), r.value("client_id"))
	if refusal, ok := refused(err); ok {
		page.Fail(&page.Permission.Level, refusal)
		return r.show(page, page.Shell)
	}
	if err != nil {
		return err
	}
	return r.goTo(to, "The permission is set.")
}

func releaseHold(r *request) error {
	problem, err := r.verify(r.Request.PostFormValue("password"))
	if err != nil {
		return err
	}
	switch {
	case problem != "":
		return &store.Refusal{Reasons: []string{problem}}
	case r.value("condition") != "met":
		return &store.Refusal{Reasons: []string{"The hold stays until its condition has been shown."}}
	case len([]rune(r.value("reason"))) > assessment.MaxText:
		return &store.Refusal{Reasons: []string{"The reason is too long; keep it to 2,000 characters."}}
	}
	to, err := r.srv.Store.Release(r.Request.Context(), r.scope, r.Param("hold"), true, r.value("reason"), r.value("client_id"))
	if err != nil {
		return err
	}
	return r.goTo(to, "The hold is released.")
}

func addCheck(r *request) error {
	day, err := assessment.ParseDay(r.value("day"))
	if err != nil {
		return &store.Refusal{Reasons: []string{"Enter the day it took place, for example 2026-05-20."}}
	}
	level, _ := strconv.Atoi(r.value("level"))
	percent, err := strconv.Atoi(orElse(r.value("percent"), "0"))
	if err != nil {
		return &store.Refusal{Reasons: []string{"Enter the result in whole per cent, from 0 to 100."}}
	}
	to, err := r.srv.Store.AddCheck(r.Request.Context(), r.scope, store.CheckEntry{Apprentice: r.Param("apprentice"), Skill: r.Param("skill"), Day: day, Level: level, Percent: percent}, r.value("client_id"))
	if err != nil {
		return err
	}
	return r.goTo(to, "Recorded.")
}
