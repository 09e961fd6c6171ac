package server

import (
	"fmt"
	"slices"
	"strings"

	"tablehand/assessment"
	"tablehand/server/store"
	"tablehand/server/web"
)

// mostSeed is the longest seed, in characters.
const mostSeed = 100

// sample draws decisions to be looked at again. Its address repeats the draw.
func sample(r *request) error {
	page := web.NewSample()
	page.Shell = r.shell("Look again at some decisions", "/signoffs")
	for _, p := range assessment.SamplePlans {
		page.Plan.Choices = append(page.Plan.Choices, web.Choice{Value: p.ID, Label: p.Name, Hint: p.Note})
	}
	today := r.today()
	from, to := today.AddMonths(-12)+1, today
	asked := r.Request.URL.Query()
	if !asked.Has("plan") && !asked.Has("seed") {
		page.Plan.Choose(assessment.SamplePlans[0].ID)
		page.From.Value, page.To.Value, page.Seed.Value = from.String(), to.String(), today.String()
		return r.show(page, page.Shell)
	}
	page.Plan.Choose(asked.Get("plan"))
	page.From.Value, page.To.Value, page.Seed.Value = asked.Get("from"), asked.Get("to"), strings.TrimSpace(asked.Get("seed"))
	plan, ok := assessment.SamplePlanOf(asked.Get("plan"))
	if !ok {
		page.Fail(&page.Plan, "Choose how many.")
	}
	from, to = readDay(&page.Shell, &page.From), readDay(&page.Shell, &page.To)
	if from > to && page.To.Error == "" {
		page.Fail(&page.To, "The last day comes before the first. Look at both again.")
	}
	if page.Seed.Value == "" || len([]rune(page.Seed.Value)) > mostSeed {
		page.Fail(&page.Seed, fmt.Sprintf("Enter a few words, at most %d characters.", mostSeed))
	}
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	return r.drawSample(&page, plan, from, to)
}

func (r *request) drawSample(page *web.Sample, plan assessment.SamplePlan, from, to assessment.Day) error {
	list, err := r.srv.Store.SignOffs(r.Request.Context(), r.scope)
	if err != nil {
		return err
	}
	byKey := map[string]*store.SignOff{}
	var all, population []assessment.SignOff
	by := map[string]int{}
	for i := range list {
		so := &list[i]
		byKey[so.Key] = so
		all = append(all, so.SignOff)
		if so.Proposed >= from && so.Proposed <= to && so.Decision != assessment.Awaiting {
			population = append(population, so.SignOff)
			by[so.Proposer.Name]++
		}
	}
	page.Drawn = true
	if len(population) == 0 {
		page.Population = fmt.Sprintf("No sign-off that has been decided was proposed between %s and %s. Choose other days.", from.Words(), to.Words())
		return r.show(*page, page.Shell)
	}
	page.Population = fmt.Sprintf("From %s between %s and %s%s.", count(len(population), "decision"), from.Words(), to.Words(), shares(by))
	for _, s := range assessment.Sample(population, plan, page.Seed.Value, assessment.SampleRisks(all)) {
		so := byKey[s.SignOff.Key]
		line := web.SampleLine{URL: "/signoffs/" + so.Key, Skill: r.skillTitle(so.Skill), Apprentice: so.Who.Name, Proposed: so.Proposer.Name + ", " + so.Proposed.Words(),
			Decided: so.Decision.String() + " by " + so.Decider.Name + ", " + so.Decided.Words(), Why: s.Risks}
		if s.Drawn {
			line.Why = append([]string{"drawn"}, line.Why...)
		}
		page.Lines = append(page.Lines, line)
	}
	return r.show(*page, page.Shell)
}

// shares says how many were proposed by whom, ": 12 proposed by Rowan, 8 by Hazel".
func shares(by map[string]int) string {
	var names []string
	for name := range by {
		names = append(names, name)
	}
	slices.Sort(names)
	said := ""
	for i, name := range names {
		switch i {
		case 0:
			said += fmt.Sprintf(": %d proposed by %s", by[name], name)
		default:
			said += fmt.Sprintf(", %d by %s", by[name], name)
		}
	}
	return said
}
