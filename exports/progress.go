package exports

import (
	"errors"
	"strings"

	"github.com/xuri/excelize/v2"

	"tablehand/assessment"
	"tablehand/curriculum"
)

const (
	colApprentice = "Apprentice"
	colUnit       = "Unit"
	colRequired   = "Required"
	colSafety     = "Safety-critical"
	colStanding   = "Standing"
	colEverSigned = "Signed before"
	colLastPrint  = "Caution"
)

// needColumns are the requirements as columns, in the order a person goes
// through them. Every requirement of every kind of evidence is among them.
var needColumns = []struct {
	title, unit string
	needs       []assessment.Need
	of          bool // has the length of a window
	ceiling     bool // the need is an upper limit: nothing is missing, or it is over
}{
	{title: "Points", unit: "points", needs: []assessment.Need{assessment.NeedPoints}},
	{title: "Declared observations", unit: "observations", needs: []assessment.Need{assessment.NeedWithin}, ceiling: true},
	{title: "Count", unit: "observations or rehearsals", needs: []assessment.Need{assessment.NeedCount, assessment.NeedSimulations}},
	{title: "Streak", unit: "clean observations", needs: []assessment.Need{assessment.NeedStreak}, of: true},
	{title: "Coats", unit: "coat classes", needs: []assessment.Need{assessment.NeedCoats}},
	{title: "Sizes", unit: "size bands", needs: []assessment.Need{assessment.NeedSizes}},
	{title: "Styles", unit: "styles", needs: []assessment.Need{assessment.NeedStyles}},
	{title: "Assessors", unit: "people", needs: []assessment.Need{assessment.NeedAssessors}},
	{title: "Newest days", unit: "days", needs: []assessment.Need{assessment.NeedNewest}, ceiling: true},
	{title: "Prerequisites", unit: "skills", needs: []assessment.Need{assessment.NeedPrerequisites}},
	{title: "Check", unit: "per cent, whole", needs: []assessment.Need{assessment.NeedCheck}},
	{title: "Policy", unit: "policies in date", needs: []assessment.Need{assessment.NeedPolicy}},
}

func progressSheet() *sheet {
	s := &sheet{name: "Progress", fixed: 1, fitted: true, columns: []column{
		{title: colApprentice, width: 18, meaning: "Name, as on the sheet Matrix", source: "record"},
		{title: colUnit, width: 24, as: asWrapped, meaning: "Unit id and title", source: "programme file"},
		{title: "Skill", width: 7, values: "skill id", meaning: "Skill", source: "programme file"},
		{title: "Skill title", width: 32, as: asWrapped, meaning: "Its name", source: "programme file"},
		{title: colRequired, width: 9, values: "yes, no", meaning: "Whether completing the programme needs it; a disputed skill is never needed", source: "programme file"},
		{title: colSafety, width: 9, values: "yes, no", meaning: "Whether a slip can hurt a dog or a person", source: "programme file"},
		{title: colStanding, width: 12, values: stateWords(), meaning: "Standing on the day of the export", source: "worked out from the record"},
		{title: colEverSigned, width: 9, values: "yes, no", meaning: "Whether it has been signed at any time; a held skill that says yes was signed", source: "record"},
		{title: "Permission", width: 11, values: "P1 to P5; empty when never set", meaning: "What the apprentice may do next: the lower of what a person set and what the evidence supports", source: "worked out from the record"},
		{title: "Permission set", width: 11, values: "P1 to P5; empty when never set", meaning: "What a person set", source: "record"},
		{title: "Last seen", width: 11, as: asDate, unit: "date", values: "ISO date; empty when never seen", meaning: "Newest formal observation", source: "record"},
		{title: "Current until", width: 11, as: asDate, unit: "date", values: "ISO date; empty when nothing counts yet", meaning: "Last day on which the evidence or the sign-off is current", source: "worked out from the record"},
		{title: "What is missing", width: 52, as: asWrapped, meaning: "What would close each gap, in words; empty when nothing is missing", source: "worked out from the record"},
		{title: colLastPrint, width: 44, as: asWrapped, meaning: "The caution that belongs to the skill", source: "programme file"},
	}}
	for _, n := range needColumns {
		parts := []string{"have", "need"}
		if n.ceiling {
			parts[1] = "at most"
		}
		if n.of {
			parts = append(parts, "among the last")
		}
		parts = append(parts, "missing")
		for _, part := range parts {
			s.columns = append(s.columns, column{title: n.title + ": " + part, width: 12, as: asCount,
				group: n.title + ": " + strings.Join(parts, ", "), unit: n.unit, values: "whole numbers; empty when the skill does not ask for it",
				meaning: needMeaning(n.ceiling), source: "worked out from the record"})
		}
	}
	return s
}

func needMeaning(ceiling bool) string {
	if ceiling {
		return "What there is, the most there may be, and 1 under missing when that is not kept"
	}
	return "What there is, what is needed, and how many more would close the gap"
}

func (wb *workbook) writeProgress() error {
	p, err := wb.beginTable(wb.progress)
	if err != nil {
		return err
	}
	standing := wb.progress.at(colStanding)
	if err := wb.washStandings(p, standing, standing); err != nil {
		return err
	}
	for i := range wb.book.Apprentices {
		a := &wb.book.Apprentices[i]
		for j := range a.Standings {
			wb.progressCells(p, a, &a.Standings[j])
			if err := p.end(); err != nil {
				return err
			}
		}
	}
	// The requirements in numbers are for filters and sums, not for paper.
	area := "Progress!$A$1:$" + wb.progress.at(colLastPrint) + "$" + itoa(max(p.row, 2))
	return errors.Join(wb.file.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Area", Scope: wb.progress.name, RefersTo: area}), p.close())
}

func (wb *workbook) progressCells(p *page, a *Apprentice, s *assessment.Standing) {
	p.cells = append(p.cells, wb.apprentice(a.Key), text(wb.unitLabel(s.Skill.ID)), text(s.Skill.ID), text(s.Skill.Title),
		yesNo(wb.current.Required(s.Skill)), yesNo(s.Skill.IsSafetyCritical()), s.State.String(), yesNo(s.WasSigned()),
		permission(s.Permission.Now), permission(s.Permission.Set), day(s.LastSeen), day(s.CurrentUntil),
		text(missing(s)), text(s.Skill.Caution))
	for _, n := range needColumns {
		var r *assessment.Requirement
		for i := range s.Requirements {
			for _, need := range n.needs {
				if s.Requirements[i].Need == need {
					r = &s.Requirements[i]
				}
			}
		}
		if r == nil {
			p.cells = append(p.cells, nil, nil, nil)
			if n.of {
				p.cells = append(p.cells, nil)
			}
			continue
		}
		p.cells = append(p.cells, have(r), r.Want)
		if n.of {
			p.cells = append(p.cells, r.Of)
		}
		p.cells = append(p.cells, short(r, n.ceiling))
	}
}

// have is what there is; an empty cell stands for "nothing yet" where a
// number would be misread as an age of some days.
func have(r *assessment.Requirement) any {
	if r.Need == assessment.NeedNewest {
		return given(r.Have, -1)
	}
	return r.Have
}

func short(r *assessment.Requirement, ceiling bool) int {
	switch {
	case r.Met:
		return 0
	case ceiling:
		return 1
	}
	return r.Missing
}

func permission(level int) any {
	if level == 0 {
		return nil
	}
	return "P" + itoa(level)
}

// missing says in words what stands between a skill and its sign-off.
func missing(s *assessment.Standing) string {
	var say []string
	switch {
	case s.State == assessment.Signed && !s.Due:
		return ""
	case s.State == assessment.Signed:
		return s.Sentence()
	case s.State != assessment.Practising && s.State != assessment.NotStarted:
		say = append(say, s.Sentence())
	}
	for _, r := range s.Missing() {
		say = append(say, r.Name()+": "+r.Closing())
	}
	return strings.Join(say, " ")
}

func (wb *workbook) unitLabel(skill string) string {
	if u := wb.current.UnitOf(skill); u != nil {
		return unitWords(u)
	}
	return ""
}

func unitWords(u *curriculum.Unit) string { return clean(u.ID + " " + u.Title) }
