package server

import (
	"fmt"
	"strings"

	"tablehand/assessment"
	"tablehand/assessment/estimate"
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
	who, a, names := v.who, v.evidence, v.names
	named := []assessment.Standing{v.standing}
	r.nameCoats(named)
	s := named[0]
	page := web.ApprenticeSkill{Shell: r.shell(s.Skill.Title+" – "+who.Name, "/matrix"), Apprentice: who.Name, ApprenticeURL: apprenticeURL(who.Key),
		SkillID: s.Skill.ID, Skill: s.Skill.Title, SkillURL: "/skills/" + s.Skill.ID, Unit: r.prog.UnitOf(s.Skill.ID).Title,
		Safety: s.Skill.IsSafetyCritical(), Optional: !r.prog.Required(s.Skill), Standing: standing(s.State), Explanation: s.Sentence(),
		Cautions: cautions(s.Skill), Requirements: requirementLines(s.Requirements), SelfNote: "Self-ratings and logbook entries are shown and never earn points.", LeftOut: v.left}
	page.Counted, page.Costing, page.Excluded = r.usedGroups(&s, names)
	page.NextCounted = nextCounted(s.Rule.Kind)
	if s.Watch != nil {
		page.Watch = s.Watch.Words()
	}
	if s.PointsRule != nil {
		page.Points = r.pointsPath(&s, names)
		if f, ok := assessment.Forecast(&s, a.Began(who.Start), r.today(), who.End); ok {
			page.Points.Forecast = forecastLines(f)
		}
	}
	if why := assessment.RefuseProposal(&s, r.scope.Key, r.scope.Role, who.Key); why == "" {
		page.ProposeURL = skillURL(who.Key, s.Skill.ID) + "/propose"
	} else if r.scope.Role.Judges() && s.State == assessment.Eligible { // any other state has said so itself
		page.ProposeNote = why
	}
	if s.Review == assessment.IncidentsRepeated { // any other stands in the panel of reviews
		page.Repeated = s.ReviewWords()
	}
	if s.WasSigned() && !s.Again && len(s.Missing()) > 0 {
		page.StandsAnyway = "The skill is signed off. What is open below is how the evidence stands now; it does not touch the sign-off."
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
	page.Review = r.reviewPanel(&s, a.Reviews[s.Skill.ID], who.Key, names)
	if r.scope.Role.Judges() {
		page.Check = r.checkPanel(s.Skill, who.Key)
	}
	if c := r.prog.Cutting; c != nil && c.Exercise.Skill == s.Skill.ID {
		page.Exercises = web.Link{Label: "Questions on the choice of blades, and what came of them", URL: "/exercises?apprentice=" + who.Key}
	}
	page.Levels = levelsChart(&s)
	page.Permission, err = r.permissionPanel(&s, who.Key)
	return page, err
}

// pointsPath shows the points rule with this apprentice's path.
func (r *request) pointsPath(s *assessment.Standing, names map[string]string) *web.PointsPath {
	rule := s.PointsRule
	figures := assessment.FiguresOf(rule)
	words := assessment.PointsWords(rule)
	p := &web.PointsPath{Rule: words[0], Guarantee: words[1], Now: fmt.Sprintf("%s after %s", pointsWord(s.Points.Score), count(s.Points.Judged, "observation")),
		Seen:    fmt.Sprintf("%d of %d observations were not clean.", s.Seen-s.Clean, s.Seen),
		Picture: web.OutOf100(int(figures.FalseSignOff*100 + 0.5)),
		PictureSay: fmt.Sprintf("Of 100 apprentices whose fault rate is %.0f %%, about %.0f would become eligible within %d observations (exactly %.2f %%). A competent one, with %.0f %%, needs %.1f observations on average; no rule with this error can need fewer than %.1f.",
			rule.Unacceptable*100, figures.FalseSignOff*100, rule.Within, figures.FalseSignOff*100, rule.Competent*100, figures.MeanCompetent, figures.Least)}
	var points []web.ChartPoint
	before := 0
	for _, u := range s.Used {
		if !u.Judged {
			continue
		}
		o := u.Observation
		row := web.PointsRow{N: len(p.Rows) + 1, Day: o.Day.Words(), Dog: orElse(o.Dog, sourceWord(o.Source)), Outcome: u.Verdict.String(), Points: u.Score,
			Change: signed(u.Score - before), Assessor: names[o.Assessor], Supervised: levelWord(int(o.Level))}
		switch {
		case u.Verdict == assessment.Clean && u.Score == before:
			row.Note = fmt.Sprintf("stays at the %d needed", rule.EligibleAt)
		case u.Verdict == assessment.NotClean && u.Score == rule.NeverBelow && before-u.Score < rule.FaultCosts:
			row.Note = "the debt stops at " + signed(rule.NeverBelow)
		}
		if o.Groom != "" {
			row.URL = "/grooms/signed/" + o.Groom
		}
		before = u.Score
		p.Rows = append(p.Rows, row)
		points = append(points, web.ChartPoint{Points: u.Score, Clean: u.Verdict == assessment.Clean, Label: o.Day.Words() + ", " + row.Dog})
	}
	p.Chart = web.ChartPoints(points, rule.EligibleAt, rule.NeverBelow)
	return p
}

// forecastLines say what a skill may still need, or why that is not told.
func forecastLines(f estimate.SkillForecast) []string {
	if f.WhyNot != "" {
		return []string{estimate.NotShownSentence(f.WhyNot)}
	}
	lines := []string{estimate.ObservationsSentence(f), estimate.WeeksSentence(f)}
	if f.TargetDays > 0 {
		lines = append(lines, estimate.TargetSentence(f))
	}
	return lines
}

// nextCounted says what will be the first to count.
func nextCounted(kind curriculum.EvidenceKind) string {
	switch kind {
	case curriculum.Simulations:
		return "The next rehearsal that is recorded will stand here."
	case curriculum.Knowledge:
		return "The next knowledge check that is recorded will stand here."
	}
	return "The next groom that shows this skill will stand here."
}

// usedGroups puts every observation into one of three lists, the newest first:
// those that count, those that cost points, and those left out with the reason.
func (r *request) usedGroups(s *assessment.Standing, names map[string]string) (counted, costing, excluded []web.ObservationLine) {
	for i := len(s.Used) - 1; i >= 0; i-- {
		u := &s.Used[i]
		line := r.observationLine(u.Observation, u.Verdict.String(), u.Why.Words(), names)
		scored := s.PointsRule != nil && u.Judged
		if scored {
			line.Points = pointsStep(pointsMove(s, i))
		}
		switch {
		case scored && u.Verdict == assessment.NotClean:
			costing = append(costing, line)
		case u.Counted || scored:
			if s.PointsRule != nil && !scored {
				line.Reason = "points of an earlier series; it still shows coat, size and assessor"
			}
			counted = append(counted, line)
		default:
			excluded = append(excluded, line)
		}
	}
	return counted, costing, excluded
}

// signed is a whole number with its sign, with a true minus.
func signed(n int) string {
	if n < 0 {
		return assessment.Minus(n)
	}
	return fmt.Sprintf("+%d", n)
}

// skill shows one skill across all apprentices, with the standard.
func skill(r *request) error {
	page, err := r.skillOfAll()
	if err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

func (r *request) skillOfAll() (page web.Skill, err error) {
	s := r.prog.Skill(r.Param("skill"))
	if s == nil {
		return page, store.ErrNotFound
	}
	ctx := r.Request.Context()
	people, err := r.srv.Store.Apprentices(ctx, r.scope)
	if err != nil {
		return page, err
	}
	all, err := r.srv.Store.AllEvidence(ctx, r.scope)
	if err != nil {
		return page, err
	}
	page = web.Skill{Shell: r.shell(s.Title, "/matrix"), ID: s.ID, Name: s.Title, Unit: r.prog.UnitOf(s.ID).Title, Safety: s.IsSafetyCritical(),
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
	page.Policy, err = r.policyPanel(s)
	return page, err
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
