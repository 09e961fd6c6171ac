package exports

import (
	"fmt"
	"strings"

	"github.com/xuri/excelize/v2"

	"tablehand/curriculum"
)

// Titles of the columns that formulas on other sheets refer to.
const (
	colPassOver    = "Pass mean, over"
	colPassUnder   = "Pass mean, under"
	colLeastWeight = "Least applicable weight"
	colLeastLevel  = "Least level"
	colHarm        = "Incidents that mean Not yet"
)

// levelTitle is the column title of a criterion. No other title has a digit in
// it, so only an id without one needs a word that keeps it apart.
func levelTitle(id string) string {
	if strings.ContainsAny(id, "0123456789") {
		return clean(id)
	}
	return clean("criterion " + id)
}

func weightTitle(id string) string { return levelTitle(id) + " weight" }
func mustTitle(id string) string   { return levelTitle(id) + " must-meet" }

func (wb *workbook) rubricSheet() *sheet {
	s := &sheet{name: "Rubric weights", fixed: 1, pages: 2, titleHeight: 48, fitted: true, columns: []column{
		{title: "Programme version", width: 28, meaning: "Programme id and version; a groom is judged by the version of its day", source: "programme file"},
		{title: "Title", width: 26, as: asWrapped, meaning: "Name of the programme", source: "programme file"},
	}}
	for _, c := range wb.criteria {
		s.columns = append(s.columns, column{title: weightTitle(c.ID), width: 8, as: asCount, group: "R… weight", unit: "weight", values: "1 or more; empty when the version lacks the criterion",
			meaning: "Weight of the criterion in the mean", source: "programme file"})
	}
	s.columns = append(s.columns,
		column{title: "Total weight", width: 9, as: asCount, unit: "weight", values: "1 or more", meaning: "Sum of the weights", source: "formula"},
		column{title: colPassOver, width: 9, as: asCount, unit: "none", values: "1 or more", meaning: "Numerator of the lowest mean that meets the standard; 7 over 2 is 3.50", source: "programme file"},
		column{title: colPassUnder, width: 9, as: asCount, unit: "none", values: "1 or more", meaning: "Denominator of the same", source: "programme file"},
		column{title: colLeastWeight, width: 11, as: asCount, unit: "weight", values: "0 to the total", meaning: "Applicable weight below which a groom has no whole-groom result", source: "programme file"},
		column{title: colLeastLevel, width: 8, as: asCount, unit: "level", values: "1 to 5", meaning: "No criterion may stand below this level", source: "programme file"})
	for _, c := range wb.criteria {
		s.columns = append(s.columns, column{title: mustTitle(c.ID), width: 8, as: asCount, group: "R… must-meet", unit: "level", values: "2 to 5; empty when it is not a must-meet",
			meaning: "Level that decides regardless of the mean", source: "programme file"})
	}
	s.columns = append(s.columns, column{title: colHarm, width: 16, values: "ids, separated by a comma and a space", meaning: "Severities of incident with which a groom is Not yet", source: "programme file"})
	return s
}

// writeRubric writes one row per programme version. Formulas of the grooms
// look their version up here.
func (wb *workbook) writeRubric() error {
	p, err := wb.beginTable(wb.rubric)
	if err != nil {
		return err
	}
	for i, pr := range wb.book.Programmes {
		row := append(p.cells, text(versionLabel(pr.ID, pr.Version)), text(pr.Title))
		sum := 0
		for _, c := range wb.criteria {
			var weight any
			if c := pr.Rubric.Criterion(c.ID); c != nil {
				weight = c.Weight
				sum += c.Weight
			}
			row = append(row, weight)
		}
		total := excelize.Cell{Value: sum, Formula: fmt.Sprintf("SUM(%s%d:%s%d)", wb.rubric.at(weightTitle(wb.criteria[0].ID)), i+2,
			wb.rubric.at(weightTitle(wb.criteria[len(wb.criteria)-1].ID)), i+2)}
		row = append(row, total, pr.Rubric.Pass.Over, pr.Rubric.Pass.Under, pr.Rubric.LeastWeight, pr.Rubric.LeastLevel)
		for _, c := range wb.criteria {
			var must any
			if c := pr.Rubric.Criterion(c.ID); c != nil {
				must = given(c.MustMeet, 0)
			}
			row = append(row, must)
		}
		p.cells = append(row, text(strings.Join(harmful(pr), ", ")))
		if err := p.end(); err != nil {
			return err
		}
	}
	return p.close()
}

// harmful lists the severities with which a groom cannot meet the standard.
func harmful(p *curriculum.Programme) []string {
	var ids []string
	for _, s := range p.Incidents.Severities {
		if s.GroomNotYet {
			ids = append(ids, s.ID)
		}
	}
	return ids
}
