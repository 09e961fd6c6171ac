package exports

import "tablehand/assessment"

// SignOff is one proposed sign-off and its decision, without the statement
// and the reason that people wrote.
type SignOff struct {
	Apprentice, Skill string // key; skill id
	Programme         string // id
	Version           int
	ProposedBy        string // key
	Proposed          assessment.Day
	Decision          assessment.Decision
	DecidedBy         string         // key
	Decided           assessment.Day // zero while it waits
	Evidence          int            // observations that counted when it was proposed; −1 when not known
}

// NewSignOff fills a row from a sign-off. evidence is the number of
// observations that counted when it was proposed; −1 when not known.
func NewSignOff(s *assessment.SignOff, evidence int) SignOff {
	return SignOff{Apprentice: s.Apprentice, Skill: s.Skill, Programme: s.Programme, Version: s.Version, ProposedBy: s.ProposedBy,
		Proposed: s.Proposed, Decision: s.Decision, DecidedBy: s.DecidedBy, Decided: s.Decided, Evidence: evidence}
}

func signOffSheet() *sheet {
	return &sheet{name: "Sign-offs", fixed: 2, fitted: true, columns: []column{
		{title: "Apprentice", width: 18, meaning: "Whose skill it is", source: "record"},
		{title: "Skill", width: 8, values: "skill id", meaning: "Skill that was proposed", source: "record"},
		{title: "Skill title", width: 40, as: asWrapped, meaning: "Its name in the current programme", source: "programme file"},
		{title: "Programme version", width: 28, meaning: "Version the decision rests on", source: "record"},
		{title: "Proposed by", width: 20, meaning: "Who proposed it", source: "record"},
		{title: "Proposed on", width: 12, as: asDate, unit: "date", values: "ISO date", meaning: "Day of the proposal", source: "record"},
		{title: "Decision", width: 22, values: "Awaiting confirmation, Confirmed, Declined", meaning: "What a second person decided", source: "record"},
		{title: "Decided by", width: 20, meaning: "Who decided; never the proposer", source: "record"},
		{title: "Decided on", width: 12, as: asDate, unit: "date", values: "ISO date; empty while it waits", meaning: "Day of the decision", source: "record"},
		{title: "Evidence", width: 10, as: asCount, unit: "observations", values: "0 or more; empty when not known", meaning: "Observations that counted when it was proposed", source: "counted from the record"},
	}}
}

func (wb *workbook) writeSignOffs() error {
	p, err := wb.beginTable(wb.signOffs)
	if err != nil {
		return err
	}
	err = each(wb.book.SignOffs, func(s *SignOff) error {
		title := ""
		if skill := wb.current.Skill(s.Skill); skill != nil {
			title = skill.Title
		}
		p.cells = append(p.cells, wb.apprentice(s.Apprentice), text(s.Skill), text(title), text(versionLabel(s.Programme, s.Version)),
			wb.person(s.ProposedBy), day(s.Proposed), s.Decision.String(), wb.person(s.DecidedBy), day(s.Decided), given(s.Evidence, -1))
		return p.end()
	})
	if err != nil {
		return err
	}
	return p.close()
}
