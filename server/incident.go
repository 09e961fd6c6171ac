package server

import (
	"fmt"
	"net/url"
	"strconv"
	"strings"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/web"
)

// dropIncident is the action that takes a row out, followed by its number.
const dropIncident = "drop_incident."

func incidentField(row int, name string) string { return fmt.Sprintf("incident.%d.%s", row, name) }

// incidentIn reads one row of a draft's incidents.
func (f *formReader) incidentIn(row int) assessment.Incident {
	at := func(name string) string { return f.text(incidentField(row, name)) }
	return assessment.Incident{Kind: at("kind"), Severity: at("severity"), Attribution: at("attribution"), Skill: at("skill"),
		SelfReported: f.form.Get(incidentField(row, "reported")) != "", Note: at("note")}
}

// filledIncidents are the rows with something in them.
func filledIncidents(form url.Values) []int {
	f := formReader{form: form}
	var rows []int
	for i := range assessment.MaxIncidents {
		if f.incidentIn(i) != (assessment.Incident{}) {
			rows = append(rows, i)
		}
	}
	return rows
}

// draftIncidents are the rows of the form: up to the last one with something in
// it, whatever stands before, and an empty one after it. A row that is not
// shown would be erased by the next save.
func (r *request) draftIncidents(form url.Values) []web.DraftIncident {
	filled := filledIncidents(form)
	n, _ := strconv.Atoi(form.Get("rows"))
	n = max(n, 1)
	if len(filled) > 0 {
		n = max(n, filled[len(filled)-1]+2)
	}
	var out []web.DraftIncident
	for i := range min(n, assessment.MaxIncidents) {
		out = append(out, r.draftIncident(i, form))
	}
	return out
}

func (r *request) draftIncident(i int, form url.Values) web.DraftIncident {
	ip := &r.prog.Incidents
	d := web.NewDraftIncident(i)
	for _, k := range ip.Kinds {
		d.Kind.Choices = append(d.Kind.Choices, web.Choice{Value: k.ID, Label: k.Name})
	}
	for j := range ip.Severities {
		s := &ip.Severities[j]
		d.Severity.Choices = append(d.Severity.Choices, web.Choice{Value: s.ID, Label: s.ID + " " + s.Name, Hint: severityHint(s)})
	}
	for _, a := range ip.Attributions {
		d.Attribution.Choices = append(d.Attribution.Choices, web.Choice{Value: a.ID, Label: a.Name})
	}
	for _, s := range r.prog.AllSkills() {
		d.Skill.Choices = append(d.Skill.Choices, web.Choice{Value: s.ID, Label: s.ID + " " + s.Title})
	}
	for _, c := range []*web.Choices{&d.Kind, &d.Severity, &d.Attribution, &d.Skill} {
		c.Choose(form.Get(c.Name))
		d.Open = d.Open || c.Chosen()
	}
	d.Reported.Checked, d.Note.Value = form.Get(d.Reported.Name) != "", form.Get(d.Note.Name)
	d.Open = d.Open || d.Reported.Checked || d.Note.Value != ""
	d.Drop = dropIncident + strconv.Itoa(i)
	return d
}

// severityHint is an example of a severity and what it does, so that nobody has
// to know the programme by heart to choose.
func severityHint(s *curriculum.Severity) string {
	example, _, _ := strings.Cut(s.Examples, ";")
	var out []string
	if example = strings.TrimSuffix(strings.TrimSpace(example), "."); example != "" {
		out = append(out, "For instance: "+strings.ToLower(example[:1])+example[1:]+".")
	}
	if does := severityEffects(s); len(does) > 0 {
		out = append(out, "What it does: "+strings.Join(does, "; ")+".")
	}
	return strings.Join(out, "\n")
}

func severityEffects(s *curriculum.Severity) []string {
	var does []string
	if s.NotCounted {
		does = append(does, "the observation does not count")
	}
	if s.CriterionCap > 0 {
		most := fmt.Sprintf("its criterion is at most L%d", s.CriterionCap)
		if s.SparesReport {
			most += ", unless the apprentice reported it"
		}
		does = append(does, most)
	}
	if s.GroomNotYet {
		does = append(does, "the groom cannot meet the standard")
	}
	if words := holdWords(s.Hold); words != "" {
		does = append(does, words)
	}
	if s.PermissionMax > 0 {
		does = append(does, fmt.Sprintf("at most P%d until released", s.PermissionMax))
	}
	return does
}

// newHolds says what signing would put on hold, why, and what releases it.
func (r *request) newHolds(before, after *assessment.Apprenticeship, g *assessment.Groom) []string {
	var out []string
	for i := range after.Holds {
		h := &after.Holds[i]
		if h.Key != "" { // it stands already
			continue
		}
		verb := "Signing puts"
		for j := range before.Holds {
			if o := &before.Holds[j]; g.Supersedes != "" && o.Groom == g.Supersedes && o.Open() && h.Same(o) {
				verb = "Signing keeps"
			}
		}
		what := r.skillTitle(h.Skill)
		switch h.Scope {
		case curriculum.HoldUnit:
			what = "every skill of the unit " + r.prog.UnitOf(h.Skill).Title
		case curriculum.HoldSafety:
			what = "every safety-critical skill"
		}
		out = append(out, fmt.Sprintf("%s %s on hold, because of an incident of severity %s under %s. What releases it: %s",
			verb, what, h.Severity, r.skillTitle(h.Skill), releaseWords(r.prog.Incidents.Severity(h.Severity))))
	}
	return out
}
