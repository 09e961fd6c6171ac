package server

import (
	"fmt"
	"slices"

	"tablehand/assessment"
	"tablehand/assessment/estimate"
	"tablehand/server/book"
	"tablehand/server/store"
	"tablehand/server/web"
)

// apprentice shows one apprentice's whole record.
func apprentice(r *request) error {
	ctx := r.Request.Context()
	who, err := r.srv.Store.Apprentice(ctx, r.scope, r.Param("apprentice"))
	if err != nil {
		return err
	}
	a, err := r.srv.Store.Evidence(ctx, r.scope, who.Key)
	if err != nil {
		return err
	}
	grooms, err := r.srv.Store.Grooms(ctx, r.scope, store.GroomFilter{Apprentice: who.Key})
	if err != nil {
		return err
	}
	whole := a
	a, left, err := r.unseal(a)
	if err != nil {
		return err
	}
	list := a.ExplainedStandings(r.prog, r.today())
	if left != "" {
		trustedAsTheyAre(list, whole.Standings(r.prog, r.today()))
	}
	r.nameCoats(list)
	page := web.Apprentice{LeftOut: left, Shell: r.shell(who.Name, "/matrix"), Name: who.Name, Programme: fmt.Sprintf("%s, version %d", r.prog.Title, r.prog.Version),
		AllGrooms: "/grooms?apprentice=" + who.Key, ExportURL: "/export?scope=" + who.Key,
		TimeURL: apprenticeURL(who.Key) + "/progress", ReviewURL: apprenticeURL(who.Key) + "/review", LogURL: "/logbook?apprentice=" + who.Key, Next: r.nextSteps(list, who.Key, 3)}
	if r.scope.Role.Judges() {
		page.MarkURL = "/grooms/new?apprentice=" + who.Key
	}
	if who.Start > 0 {
		page.Started, page.WeeksIn = who.Start.Words(), weekOf(who, r.today())
	}
	progress, shown := r.progressOf(list)
	page.Progress = shown
	if page.Completion, err = r.completion(who.Key, a, grooms, progress); err != nil {
		return err
	}
	r.forecast(&page.Progress, list, progress, a, who)
	page.Incidents = r.incidentCounts(grooms)
	for _, h := range a.Holds {
		if h.Open() {
			page.Holds = append(page.Holds, web.HoldLine{What: r.skillTitle(h.Skill), URL: skillURL(who.Key, h.Skill) + "#hold-" + h.Key,
				Reason: "Incident of severity " + h.Severity, Since: h.From.Words()})
		}
	}
	page.Units = r.unitSkills(list, who.Key)
	if page.Recent, err = r.groomLines(grooms[:min(8, len(grooms))]); err != nil {
		return err
	}
	if page.Own, err = r.ownRatings(who.Key); err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

func (r *request) incidentCounts(grooms []store.Groom) (out []web.IncidentCount) {
	n := map[string]int{}
	for _, g := range grooms {
		for _, in := range g.Groom.Incidents {
			if g.SupersededBy == "" {
				n[in.Severity]++
			}
		}
	}
	for _, s := range r.prog.Incidents.Severities {
		if n[s.ID] > 0 {
			out = append(out, web.IncidentCount{Severity: s.ID, Words: s.Name, Count: n[s.ID]})
		}
	}
	return out
}

// weekOf says how far an apprenticeship is, "week 52 of 78".
func weekOf(who store.Person, today assessment.Day) string {
	week := fmt.Sprintf("week %d", (today-who.Start)/7+1)
	if who.End > 0 {
		week += fmt.Sprintf(" of %d", (who.End-who.Start)/7+1)
	}
	return week
}

// forecast says when the programme may be finished, and sets it against the
// planned end.
func (r *request) forecast(page *web.Progress, list []assessment.Standing, g assessment.Progress, a *assessment.Apprenticeship, who store.Person) {
	today := r.today()
	required := func(s *assessment.Standing) bool { return r.prog.Required(s.Skill) }
	f := assessment.ForecastProgramme(list, required, a.Began(who.Start), today, int(max(0, who.End-today)))
	page.Forecast = estimate.ProgrammeSentence(f)
	if f.WhyNot == "" {
		page.ForecastNote = estimate.ProgrammeAssumptions()
		if f.TargetDays > 0 {
			page.Forecast += " " + estimate.ProgrammeTargetSentence(f)
		}
	}
	if who.Start > 0 {
		pace := assessment.PaceOf(g, who.Start, who.End, today)
		if page.Pace = pace.Sentence(); pace.Told() {
			page.PaceNote = "A straight line on from what was: sign-offs often come late, many together."
		}
	}
	page.End, page.EndMissing = who.End.Words(), ""
	if who.End == 0 {
		page.EndMissing = "None is set."
		if r.scope.Role == assessment.HeadGroomer {
			page.SetEnd = personURL(who.Key)
		}
	}
}

// completion is what finishing the programme needs, counted as the workbook
// counts it. An apprentice's grooms that they have not rated yet are left out:
// whether they meet the standard would tell their marks.
func (r *request) completion(apprentice string, a *assessment.Apprenticeship, grooms []store.Groom, progress assessment.Progress) ([]web.Requirement, error) {
	unrated, err := r.unrated()
	if err != nil {
		return nil, err
	}
	ordered := without(grooms, unrated)
	slices.Reverse(ordered) // the oldest first
	list := book.Completion(r.prog, apprentice, a, ordered, progress)
	out := requirementLines(list)
	for i := range list {
		q := &list[i]
		out[i].What, out[i].Close = completionWords(q)
		if q.Met {
			out[i].Close = ""
		}
	}
	return out, nil
}

// completionWords names what the whole programme needs, and what would close
// it: the same kinds of need are about skills and grooms here instead of
// observations.
func completionWords(q *assessment.Requirement) (what, missing string) {
	switch q.Need {
	case assessment.NeedPrerequisites:
		return "Required skills signed", fmt.Sprintf("%s to be signed.", count(q.Missing, "skill"))
	case assessment.NeedCount:
		return "Whole grooms scored", fmt.Sprintf("%s more with a whole-groom result.", count(q.Missing, "groom"))
	case assessment.NeedStreak:
		return "Newest grooms in a row that meet the standard", fmt.Sprintf("%s more in a row.", count(q.Missing, "groom"))
	case assessment.NeedCoats:
		return "Coat classes among the grooms", fmt.Sprintf("%d more.", q.Missing)
	case assessment.NeedSizes:
		return "Size bands among the grooms", fmt.Sprintf("%d more.", q.Missing)
	case assessment.NeedAssessors:
		return "Assessors among the grooms", fmt.Sprintf("%d more.", q.Missing)
	}
	return q.Name(), q.Closing()
}

func (r *request) unitSkills(list []assessment.Standing, apprentice string) []web.UnitSkills {
	var out []web.UnitSkills
	n := 0
	for i := range r.prog.Units {
		u := &r.prog.Units[i]
		unit := web.UnitSkills{ID: u.ID, Title: u.Title}
		for range u.Skills {
			s := &list[n]
			n++
			line := web.SkillLine{ID: s.Skill.ID, Title: s.Skill.Title, URL: skillURL(apprentice, s.Skill.ID), Standing: standing(s.State),
				Permission: permissionWord(s.Permission.Now), Missing: missingLine(s), Safety: s.Skill.IsSafetyCritical(), Optional: !r.prog.Required(s.Skill)}
			if !line.Optional {
				unit.Required++
				if s.SignedNow() {
					unit.Signed++
				}
			}
			unit.Skills = append(unit.Skills, line)
		}
		out = append(out, unit)
	}
	return out
}
