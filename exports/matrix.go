package exports

import (
	"errors"
	"fmt"

	"github.com/xuri/excelize/v2"

	"tablehand/assessment"
)

// skillsAPage is how many skill columns of the matrix are legible side by
// side on landscape A4.
const skillsAPage = 12

func (wb *workbook) matrixSheet() *sheet {
	s := &sheet{name: "Matrix", fixed: 6, titleHeight: 80, fitted: true, columns: []column{
		{title: "Apprentice", width: 20, meaning: "Name; with the key behind it when two share a name", source: "record"},
		{title: "Start", width: 11, as: asDate, unit: "date", values: "ISO date", meaning: "First day of the programme", source: "record"},
		{title: "Required", width: 11, as: asCount, unit: "skills", values: "0 or more", meaning: "Skills that completing the programme needs", source: "formula"},
		{title: "Signed", width: 9, as: asCount, unit: "skills", values: "0 to Required", meaning: "Required skills that are signed, current and not on hold", source: "formula"},
		{title: "Percent signed", width: 10, as: asPercent, unit: "per cent", values: "0 to 100, exact, shown to 0.1", meaning: "Signed ÷ Required", source: "formula"},
		{title: "Planned end", width: 11, as: asDate, unit: "date", values: "ISO date; empty when none is planned", meaning: "Planned last day of the apprenticeship", source: "record"},
	}}
	s.above = []any{excelize.Cell{StyleID: wb.quiet, Value: "Needed to complete the programme"}, nil, nil, nil, nil, nil}
	skills := wb.current.AllSkills()
	for _, k := range skills {
		s.columns = append(s.columns, column{title: clean(k.ID + " " + k.Title), width: 13, group: "each skill", values: stateWords(),
			meaning: "Standing of the skill. A held skill says On hold and is not counted as signed. The row above the titles says which skills are needed", source: "worked out from the record"})
		s.above = append(s.above, excelize.Cell{StyleID: wb.quiet, Value: yesNo(wb.current.Required(k))})
	}
	s.pages = max(1, (len(skills)+skillsAPage-1)/skillsAPage)
	return s
}

func stateWords() string {
	words := ""
	for i, s := range assessment.States {
		if i > 0 {
			words += ", "
		}
		words += s.String()
	}
	return words
}

func (wb *workbook) writeMatrix() error {
	p, err := wb.beginTable(wb.matrix)
	if err != nil {
		return err
	}
	first, last := letter(wb.matrix.fixed+1), letter(len(wb.matrix.columns))
	if err := wb.washStandings(p, first, last); err != nil {
		return err
	}
	skills := wb.current.AllSkills()
	needed := fmt.Sprintf("$%s$1:$%s$1", first, last)
	for i := range wb.book.Apprentices {
		a := &wb.book.Apprentices[i]
		g, err := wb.checkProgress(a)
		if err != nil {
			return err
		}
		n := p.row + 1
		var share any = ""
		if g.Required > 0 {
			share = g.Share().Float()
		}
		p.cells = append(p.cells, wb.apprentice(a.Key), day(a.Start),
			excelize.Cell{Value: g.Required, Formula: fmt.Sprintf(`COUNTIFS(%s,"yes",%s%d:%s%d,"?*")`, needed, first, n, last, n)},
			excelize.Cell{Value: g.Signed, Formula: fmt.Sprintf(`COUNTIFS(%s,"yes",%s%d:%s%d,"Signed")`, needed, first, n, last, n)},
			excelize.Cell{Value: share, Formula: fmt.Sprintf(`IF(C%d>0,D%d/C%d,"")`, n, n, n)}, day(a.End))
		states := map[string]assessment.State{}
		for j := range a.Standings {
			states[a.Standings[j].Skill.ID] = a.Standings[j].State
		}
		for _, k := range skills {
			var word any
			if s, ok := states[k.ID]; ok {
				word = s.String()
			}
			p.cells = append(p.cells, word)
		}
		if err := p.end(); err != nil {
			return err
		}
	}
	return p.close()
}

// washStandings tints standings by their words. The words alone carry the
// meaning; the tint only helps to find them.
func (wb *workbook) washStandings(p *page, from, to string) error {
	var rules []excelize.ConditionalFormatOptions
	var errs []error
	for _, w := range []struct {
		state assessment.State
		fill  string
		font  *excelize.Font
	}{
		{assessment.NotStarted, "", &excelize.Font{Color: greyWords}},
		{assessment.Eligible, "DCE8F5", nil},
		{assessment.Signed, "DDEFE2", nil},
		{assessment.OnHold, "F8DAD5", &excelize.Font{Bold: true}},
		{assessment.Lapsed, "F6EBCB", nil},
	} {
		style := &excelize.Style{Font: w.font}
		if w.fill != "" {
			style.Fill = excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{w.fill}}
		}
		id, err := wb.file.NewConditionalStyle(style)
		errs = append(errs, err)
		rules = append(rules, excelize.ConditionalFormatOptions{Type: "cell", Criteria: "==", Value: `"` + w.state.String() + `"`, Format: &id})
	}
	return errors.Join(append(errs, wb.file.SetConditionalFormat(p.sheet.name, p.body(from, to), rules))...)
}
