package exports

import (
	"tablehand/assessment"
	"tablehand/assessment/agreement"
)

// Agreement is one figure of how far assessors agree, shown or not yet.
type Agreement struct {
	A, B     string // keys of two assessors; none: all of them together
	Grooms   int    // rated by both; of all, those the figure rests on
	Figure   string
	Known    string // the name to look it up by
	Shown    bool   // false: too little to rest on; Sentence says what is missing
	Value    agreement.Number
	Range    agreement.Interval // 95 %
	Sentence string
}

// AgreementsOf lists the figures of a pair of assessors.
func AgreementsOf(p *assessment.AssessorPair) []Agreement {
	var out []Agreement
	for _, f := range p.Figures() {
		out = append(out, Agreement{p.A, p.B, p.Whole.Grooms, f.Title, f.Known, f.Shown, f.Value, f.Range, f.Sentence})
	}
	return out
}

// AgreementsOfAll lists the figures of all assessors together.
func AgreementsOfAll(g *agreement.Group) []Agreement {
	var out []Agreement
	for _, t := range g.All() {
		f := t.Figure
		out = append(out, Agreement{Grooms: t.Grooms, Figure: f.Title, Known: f.Known, Shown: f.Shown, Value: f.Value, Range: f.Range, Sentence: f.Sentence})
	}
	return out
}

// allAssessors stands for everybody in the column of one of the two.
const allAssessors = "All assessors"

func agreementSheet() *sheet {
	return &sheet{name: "Agreement", fixed: 2, fitted: true, columns: []column{
		{title: "Assessor", width: 20, meaning: "One of the two; " + allAssessors + " for the figures of everybody together, at the end", source: "record"},
		{title: "Other assessor", width: 20, values: "empty for all assessors", meaning: "The other; each rated without knowing the other's marks", source: "record"},
		{title: "Grooms", width: 9, as: asCount, unit: "grooms", values: "0 or more", meaning: "Grooms that both rated; for all assessors, those that the figure could use. Corrected ones are left out", source: "counted from the record"},
		{title: "Figure", width: 30, as: asWrapped, meaning: "What is measured; clean is a whole groom that meets the standard, scores are weighted means in levels", source: "worked out"},
		{title: "Known as", width: 28, as: asWrapped, meaning: "Its name in the literature", source: "published method"},
		{title: "Shown", width: 8, values: "yes, no", meaning: "No while there is too little to rest on, or nothing to tell apart; In words says which", source: "worked out"},
		{title: "Value", width: 9, as: asMean, unit: "share, coefficient or levels", values: "empty when not shown", meaning: "The figure, exact, shown to 3 decimals", source: "worked out"},
		{title: "From", width: 9, as: asMean, unit: "as Value", values: "empty when there is none", meaning: "Lower end of the 95 % interval, or of the limits", source: "worked out"},
		{title: "To", width: 9, as: asMean, unit: "as Value", values: "empty when there is none", meaning: "Upper end", source: "worked out"},
		{title: "In words", width: 70, as: asWrapped, meaning: "What it says, or what is still missing", source: "worked out"},
	}}
}

func (wb *workbook) writeAgreement() error {
	p, err := wb.beginTable(wb.agreement)
	if err != nil {
		return err
	}
	err = each(wb.book.Agreement, func(a *Agreement) error {
		var value, from, to any
		if a.Shown && a.Value.OK {
			value = a.Value.Value
		}
		if a.Shown && a.Range.OK {
			from, to = a.Range.Low, a.Range.High
		}
		who := wb.person(a.A)
		if a.A == "" && a.B == "" {
			who = allAssessors
		}
		p.cells = append(p.cells, who, wb.person(a.B), a.Grooms, text(a.Figure), text(a.Known), yesNo(a.Shown), value, from, to, text(a.Sentence))
		return p.end()
	})
	if err != nil {
		return err
	}
	return p.close()
}
