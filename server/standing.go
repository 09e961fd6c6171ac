package server

import (
	"fmt"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/store"
	"tablehand/server/web"
)

// progressOf counts standings for a page.
func (r *request) progressOf(list []assessment.Standing) (assessment.Progress, web.Progress) {
	var g assessment.Progress
	n := map[web.Standing]int{}
	for i := range list {
		g.Add(r.prog, &list[i])
		if r.prog.Required(list[i].Skill) {
			n[standing(list[i].State)]++
		}
	}
	p := web.Progress{Signed: g.Signed, Required: g.Required, SafetySigned: g.SafetyNow, Safety: g.Safety, Percent: g.Share().Rounded(100, 1) + " %",
		HowComputed: "Signed, current and not on hold, out of the skills the programme needs. A skill on hold, or one that waits for a second person, is not counted."}
	for _, s := range web.Standings {
		if n[s] > 0 {
			p.Counts = append(p.Counts, web.StandingCount{Standing: s, Count: n[s]})
		}
	}
	return g, p
}

func missingLine(s *assessment.Standing) string {
	if s.State == assessment.Signed {
		return ""
	}
	if s.State == assessment.OnHold || s.State == assessment.Eligible {
		return s.Sentence()
	}
	return s.NextStep()
}

func apprenticeURL(key string) string { return "/apprentices/" + key }
func skillURL(apprentice, skill string) string {
	return "/apprentices/" + apprentice + "/skills/" + skill
}

// skillView is one skill of one apprentice, loaded for a page.
type skillView struct {
	who      store.Person
	evidence *assessment.Apprenticeship
	standing assessment.Standing
	names    map[string]string // of people, by key
	left     string            // what is not in the evidence yet; may be empty
}

// loadSkill loads a skill of an apprentice the reader may see.
func (r *request) loadSkill(apprentice, skill string) (v skillView, err error) {
	ctx := r.Request.Context()
	if v.who, err = r.srv.Store.Apprentice(ctx, r.scope, apprentice); err != nil {
		return v, err
	}
	if v.evidence, err = r.srv.Store.Evidence(ctx, r.scope, apprentice); err != nil {
		return v, err
	}
	whole, ok := v.evidence.Standing(r.prog, skill, r.today())
	if !ok {
		return v, store.ErrNotFound
	}
	if v.evidence, v.left, err = r.unseal(v.evidence); err != nil {
		return v, err
	}
	if v.standing = whole; v.left != "" {
		v.standing, _ = v.evidence.Standing(r.prog, skill, r.today())
		v.standing.Permission = whole.Permission // see trustedAsTheyAre
	}
	v.names, err = r.names()
	return v, err
}

func requirementLines(list []assessment.Requirement) []web.Requirement {
	out := make([]web.Requirement, len(list))
	for i, r := range list {
		out[i] = web.Requirement{What: r.Name(), Need: r.Wanted(), Have: r.Found(), Close: r.Closing(), Met: r.Met}
		if r.OpenLimit() {
			out[i].State = "not used up"
		}
	}
	return out
}

// observationLine shows one observation; names maps keys of people to names.
func (r *request) observationLine(o *assessment.Observation, verdict, why string, names map[string]string) web.ObservationLine {
	l := web.ObservationLine{Day: o.Day.Words(), Dog: o.Dog, Level: levelWord(int(o.Level)), Assessor: names[o.Assessor], Outcome: verdict, Reason: why}
	if o.Source == assessment.Check {
		l.Level = fmt.Sprintf("%d %%", o.Percent)
	}
	if o.Source == assessment.Logbook {
		l.About = "logbook, countersigned"
	} else if o.Source != assessment.Formal {
		l.Dog = sourceWord(o.Source)
	} else if c := r.prog.Vocabulary.Coat(o.Coat); c != nil {
		l.About = c.Name + " · " + o.Size
	}
	if o.Groom != "" {
		l.URL = "/grooms/signed/" + o.Groom
	}
	return l
}

// sourceWord is how an observation came about, in the words of the pages, where
// it is entered as a rehearsal.
func sourceWord(s assessment.Source) string {
	if s == assessment.Simulation {
		return "Rehearsal"
	}
	return s.String()
}

func (r *request) names() (map[string]string, error) {
	list, err := r.srv.Store.People(r.Request.Context(), r.scope)
	out := map[string]string{}
	for _, p := range list {
		out[p.Key] = p.Name
	}
	return out, err
}

// filterLinks lead to a list narrowed to one apprentice; filtered is the name of
// the one it is narrowed to.
func filterLinks(at, apprentice string, people []store.Person) (links []web.Filter, filtered string) {
	links = []web.Filter{{Label: "Everyone", URL: at, Current: apprentice == ""}}
	for _, p := range people {
		links = append(links, web.Filter{Label: p.Name, URL: at + "?apprentice=" + p.Key, Current: apprentice == p.Key})
		if p.Key == apprentice {
			filtered = p.Name
		}
	}
	return links, filtered
}

// groomLines shows grooms in a list; of sealed ones, that they are.
func (r *request) groomLines(list []store.Groom) ([]web.GroomLine, error) {
	sealed, err := r.srv.Store.Sealed(r.Request.Context(), r.scope)
	out := make([]web.GroomLine, len(list))
	for i, g := range list {
		out[i] = r.groomLine(g)
		if sealed[g.Key] {
			out[i].Result, out[i].Mean, out[i].Flag = "Rate it first", "", ""
		}
	}
	return out, err
}

func (r *request) groomLine(g store.Groom) web.GroomLine {
	v := &g.Programme.Vocabulary
	l := web.GroomLine{URL: "/grooms/signed/" + g.Key, Day: g.Groom.Day.Words(), Dog: g.Groom.Dog, Apprentice: g.Apprentice.Name, Assessor: g.Assessor.Name,
		Result: g.Outcome.String(), About: curriculum.TermName(v.Services, g.Groom.Service)}
	if c := v.Coat(g.Groom.Coat); c != nil {
		l.About += " · " + c.Name
	}
	if g.Weight > 0 {
		l.Mean = g.Mean().Truncated(1, 2)
	}
	switch {
	case g.SupersededBy != "":
		l.Flag = "Replaced"
	case g.Groom.SecondOf != "":
		l.Flag = "Second rating"
	case len(g.Groom.Incidents) > 0:
		l.Flag = "Incident " + g.Groom.Incidents[0].Severity
	}
	return l
}
