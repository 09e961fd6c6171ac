package exports

import (
	"tablehand/assessment"
	"tablehand/curriculum"
)

// Incident is one incident without a word anybody wrote about it.
type Incident struct {
	Groom        string // reference
	Day          assessment.Day
	Apprentice   string // key
	Kind         string // id
	Severity     string // id
	Attribution  string // id
	Skill        string // id of the skill it happened under
	SelfReported bool
	Hold         curriculum.HoldScope // what it put on hold, or nothing
	Released     assessment.Day       // end of the hold; zero while open or without one
}

func incidentSheet() *sheet {
	return &sheet{name: "Incidents", fixed: 2, fitted: true, columns: []column{
		{title: "Groom", width: 28, meaning: "Reference of the assessed groom", source: "record"},
		{title: "Day", width: 11, as: asDate, unit: "date", values: "ISO date", meaning: "Day in the salon", source: "record"},
		{title: "Apprentice", width: 18, meaning: "Who groomed", source: "record"},
		{title: "Kind", width: 34, as: asWrapped, meaning: "Kind of incident", source: "record"},
		{title: "Severity", width: 9, values: "id of the programme, S0 to S4", meaning: "Severity", source: "record"},
		{title: "Severity name", width: 18, meaning: "Its name", source: "programme file"},
		{title: "Caused by", width: 24, meaning: "Whose act caused it", source: "record"},
		{title: "Skill", width: 8, values: "skill id", meaning: "Skill it happened under", source: "record"},
		{title: "Skill title", width: 38, as: asWrapped, meaning: "Its name", source: "programme file"},
		{title: "Self-reported", width: 10, values: "yes, no", meaning: "Whether the apprentice told of it unasked", source: "record"},
		{title: "Hold", width: 24, as: asWrapped, values: "empty when there was none", meaning: "What it put on hold", source: "record"},
		{title: "Hold ended", width: 11, as: asDate, unit: "date", values: "ISO date; empty while open", meaning: "Day of the release", source: "record"},
	}}
}

func (wb *workbook) writeIncidents() error {
	p, err := wb.beginTable(wb.incidents)
	if err != nil {
		return err
	}
	policy := &wb.current.Incidents
	err = each(wb.book.Incidents, func(in *Incident) error {
		severity, skill := "", ""
		if s := policy.Severity(in.Severity); s != nil {
			severity = s.Name
		}
		if s := wb.current.Skill(in.Skill); s != nil {
			skill = s.Title
		}
		p.cells = append(p.cells, text(in.Groom), day(in.Day), wb.apprentice(in.Apprentice), text(curriculum.TermName(policy.Kinds, in.Kind)),
			text(in.Severity), text(severity), text(curriculum.TermName(policy.Attributions, in.Attribution)),
			text(in.Skill), text(skill), yesNo(in.SelfReported), text(holdWords(in.Hold)), day(in.Released))
		return p.end()
	})
	if err != nil {
		return err
	}
	return p.close()
}

func holdWords(s curriculum.HoldScope) string {
	switch s {
	case curriculum.HoldSkill:
		return "this skill"
	case curriculum.HoldUnit:
		return "every skill of the unit"
	case curriculum.HoldSafety:
		return "every safety-critical skill"
	}
	return ""
}
