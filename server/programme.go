package server

import (
	"fmt"
	"strconv"
	"strings"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/web"
)

// programme shows the standard with its rules in plain words.
func programme(r *request) error {
	p := r.prog
	page := web.Programme{Shell: r.shell("Programme", "/programme"), Name: p.Title, Version: strconv.Itoa(p.Version), Digest: p.Digest(), About: p.Summary}
	required, safety := p.RequiredCounts()
	for i := range p.Units {
		u := &p.Units[i]
		unit := web.ProgrammeUnit{ID: u.ID, Title: u.Title}
		for j := range u.Skills {
			s := &u.Skills[j]
			unit.Skills = append(unit.Skills, web.ProgrammeSkill{ID: s.ID, Title: s.Title, URL: "/skills/" + s.ID, Safety: s.IsSafetyCritical(), Optional: !p.Required(s), Why: s.SafetyCritical, Standard: r.standard(s)})
		}
		page.Units = append(page.Units, unit)
	}
	page.Totals = fmt.Sprintf("%d units, %d skills, %d of them required, %d of those safety-critical", len(p.Units), len(p.AllSkills()), required, safety)
	for i := range p.Evidence {
		e := &p.Evidence[i]
		page.Rules = append(page.Rules, web.ProgrammeRule{ID: e.ID, Title: e.Name, Lines: assessment.RuleWords(e, nil)})
	}
	for i := range p.Points {
		rule := &p.Points[i]
		f := assessment.FiguresOf(rule)
		lines := append(assessment.PointsWords(rule), fmt.Sprintf("Exactly: %.4f for a fault rate of %v. A competent apprentice (fault rate %v) needs %.2f observations on average and becomes eligible within %d with probability %.3f; no rule with this error can need fewer than %.2f.",
			f.FalseSignOff, rule.Unacceptable, rule.Competent, f.MeanCompetent, rule.Within, f.CompetentWithin, f.Least))
		page.Points = append(page.Points, web.ProgrammeRule{ID: rule.ID, Title: rule.Name, Lines: lines, URL: "/programme/rules/" + rule.ID})
	}
	for i := range p.Rubric.Criteria {
		c := &p.Rubric.Criteria[i]
		pc := web.ProgrammeCriterion{ID: c.ID, Title: c.Title, Weight: c.Weight, MustMeet: mustWords(c), SkipWhen: c.NotApplicable, Anchors: c.Anchors}
		for _, id := range append(append([]string{}, c.Skills...), c.SkillsIfSeen...) {
			pc.Skills = append(pc.Skills, web.Link{Label: r.skillTitle(id), URL: "/skills/" + id})
		}
		page.Rubric = append(page.Rubric, pc)
	}
	page.RubricNote = meetsRule(p)
	for _, l := range p.Levels {
		page.Levels = append(page.Levels, web.Term{ID: levelWord(l.Level), Name: l.Name, Note: l.Meaning})
	}
	for _, l := range p.Permissions {
		page.Permissions = append(page.Permissions, web.Term{ID: permissionWord(l.Level), Name: l.Name, Note: l.Meaning})
	}
	page.Vocabularies = vocabularies(&p.Vocabulary)
	for i := range p.Incidents.Severities {
		page.Severities = append(page.Severities, severity(&p.Incidents.Severities[i]))
	}
	page.IncidentNote = "Whose act it was is settled before any effect is worked out. What the dog, the equipment or an instruction caused does not count against the apprentice."
	page.Completion = []string{fmt.Sprintf("Every required skill signed, none on hold: %d.", required), fmt.Sprintf("At least %d whole grooms scored, the last %d all meeting the standard.", p.Completion.Grooms, p.Completion.LastMeet),
		fmt.Sprintf("Among them at least %d coat classes, %d size bands and %d assessors.", p.Completion.Coats, p.Completion.Sizes, p.Completion.Assessors)}
	if p.Cutting != nil {
		chart := bladeChart(p)
		page.Blades = &chart
	}
	return r.show(page, page.Shell)
}

func meetsRule(p *curriculum.Programme) string {
	pass := assessment.Ratio{Num: p.Rubric.Pass.Over, Den: p.Rubric.Pass.Under}
	return fmt.Sprintf("A groom meets the standard when every must-meet that applies is reached, the weighted mean is at least %s (compared exactly, never as printed), no criterion is below L%d and no grave incident happened. What does not apply is left out and the weights are shared among the rest; below %d of %d applicable there is no whole-groom result.",
		pass.Truncated(1, 2), p.Rubric.LeastLevel, p.Rubric.LeastWeight, p.Rubric.Total)
}

func vocabularies(v *curriculum.Vocabulary) []web.Vocabulary {
	coats, sizes := web.Vocabulary{Title: "Coat classes"}, web.Vocabulary{Title: "Size bands", Note: "By weight at check-in."}
	matting, temper := web.Vocabulary{Title: "Matting grades"}, web.Vocabulary{Title: "Temperament"}
	for _, c := range v.Coats {
		t := web.Term{ID: c.ID, Name: c.Name, Symbol: web.CoatSymbol(c.ID)}
		if c.CountsAs != "" {
			t.Note = "counts as " + c.CountsAs
		}
		coats.Terms = append(coats.Terms, t)
	}
	for _, s := range v.Sizes {
		note := fmt.Sprintf("from %v kg to below %v kg", s.From, s.To)
		if s.To == 0 {
			note = fmt.Sprintf("from %v kg", s.From)
		}
		sizes.Terms = append(sizes.Terms, web.Term{ID: s.ID, Name: s.Name, Note: note})
	}
	for _, m := range v.Matting {
		matting.Terms = append(matting.Terms, web.Term{ID: fmt.Sprint(m.Grade), Name: m.Name})
	}
	for _, t := range v.Temperament {
		temper.Terms = append(temper.Terms, web.Term{ID: fmt.Sprint(t.Grade), Name: t.Name, Note: t.Caution})
	}
	return []web.Vocabulary{coats, sizes, matting, temper}
}

func severity(s *curriculum.Severity) web.Severity {
	var on, then []string
	switch {
	case s.NotCounted:
		on = append(on, "does not count, and starts the streak again")
	case s.CriterionCap > 0:
		on = append(on, fmt.Sprintf("leaves its criterion at most L%d", s.CriterionCap))
	}
	if s.SparesReport {
		on = append(on, "nothing is lowered when the apprentice reported it")
	}
	if s.GroomNotYet {
		on = append(on, "the groom is Not yet")
	}
	then = append(then, orElse(holdWords(s.Hold), "none"))
	if s.PermissionMax > 0 {
		then = append(then, fmt.Sprintf("at most P%d until released", s.PermissionMax))
	}
	return web.Severity{ID: s.ID, Name: s.Name, Examples: s.Examples, OnObservation: strings.Join(on, "; "), OnPermissionSignOff: strings.Join(then, "; ")}
}

// holdWords says what a hold covers; nothing when there is none.
func holdWords(s curriculum.HoldScope) string {
	switch s {
	case curriculum.HoldSkill:
		return "a signed skill goes on hold"
	case curriculum.HoldUnit:
		return "every skill of the unit goes on hold"
	case curriculum.HoldSafety:
		return "every safety-critical skill goes on hold"
	}
	return ""
}

// help explains how it all works; it needs no sign-in.
func help(r *request) error {
	p := r.prog
	if p == nil {
		p = r.srv.Programme
	}
	page := web.Help{Shell: r.shell("Help", ""), MeetsRule: meetsRule(p)}
	if len(p.Points) > 0 {
		words := assessment.PointsWords(&p.Points[0])
		page.PointsRule, page.Guarantee = words[0], words[1]
	}
	return r.show(page, page.Shell)
}
