package exports

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"tablehand/curriculum"
)

const (
	colVersion   = "Programme version"
	colExempt    = "Must-meets not applicable"
	colGravest   = "Gravest incident"
	colRubricRow = "Rubric row"
	colSum       = "Weighted sum S"
	colWeight    = "Applicable weight W"
	colMean      = "Mean level"
	colFailed    = "Must-meets below"
	colNotSeen   = "Must-meets not seen"
	colMustMeets = "Must-meets ok"
	colLowest    = "Lowest level"
	colOutcome   = "Outcome"
	colRecorded  = "Outcome on record"
	colSame      = "Same as on record"
	colCounts    = "Counts in totals"
)

func (wb *workbook) groomSheet() *sheet {
	s := &sheet{name: "Assessed grooms", fixed: 3, pages: 3, titleHeight: 64, fitted: true, columns: []column{
		{title: "Groom", width: 28, meaning: "Reference of the assessed groom", source: "record"},
		{title: "Day", width: 11, as: asDate, unit: "date", values: "ISO date", meaning: "Day of the groom in the salon", source: "record"},
		{title: "Apprentice", width: 18, meaning: "Who groomed", source: "record"},
		{title: "Assessor", width: 18, meaning: "Who watched and judged", source: "record"},
		{title: "Dog", width: 14, meaning: "Label of the dog; never an owner's name", source: "record"},
		{title: "Coat", width: 16, as: asWrapped, meaning: "Coat class", source: "record"},
		{title: "Size", width: 7, values: "size band id of the programme", meaning: "Size band by body weight", source: "record"},
		{title: "Body weight", width: 8, as: asKilos, unit: "kg", values: "above 0; empty when not given", meaning: "At check-in; shown to 0.1 kg", source: "record"},
		{title: "Matting", width: 10, as: asCount, unit: "grade", values: "0 (none) to 4; empty when not given", meaning: "Matting at check-in", source: "record"},
		{title: "Temperament", width: 15, as: asCount, unit: "grade", values: "1 (relaxed) to 5; empty when not given", meaning: "Behaviour on the table", source: "record"},
		{title: "Service", width: 16, as: asWrapped, meaning: "What was done", source: "record"},
		{title: "Style", width: 18, as: asWrapped, meaning: "Style of the trim", source: "record"},
		{title: colVersion, width: 26, values: "as on the sheet Rubric weights", meaning: "Version the groom is judged by", source: "record"},
	}}
	for _, c := range wb.criteria {
		s.columns = append(s.columns, column{title: levelTitle(c.ID), width: 6, as: asCount, unit: "level", values: "1 to 5; empty when not applicable or not seen",
			meaning: "Level that counts for " + c.Title, source: "record, lowered where the column “Why lowered” of the sheet Ratings says so"})
	}
	s.columns = append(s.columns, groomFigures()...)
	return s
}

// groomFigures are the columns behind the levels.
func groomFigures() []column {
	return []column{
		{title: "Not applicable", width: 12, as: asWrapped, values: "criterion ids", meaning: "Criteria left out on purpose; they are neither 0 nor 1", source: "record"},
		{title: colExempt, width: 12, as: asCount, unit: "criteria", values: "0 or more", meaning: "How many of those are must-meets", source: "counted from the record"},
		{title: colGravest, width: 10, values: "severity id; empty when there was none", meaning: "Gravest incident in the groom", source: "record"},
		{title: colRubricRow, width: 8, as: asCount, unit: "row", values: "1 or more", meaning: "Row of the version among the rubric weights", source: "formula"},
		{title: colSum, width: 11, as: asCount, unit: "weight × level", values: "0 to 5 × total weight", meaning: "Sum of weight × level over the criteria that have a level", source: "formula"},
		{title: colWeight, width: 12, as: asCount, unit: "weight", values: "0 to the total weight", meaning: "Sum of the weights of the criteria that have a level", source: "formula"},
		{title: colMean, width: 8, as: asMean, unit: "level", values: "1 to 5, exact, shown to 3 decimals; empty when W is 0", meaning: "S ÷ W", source: "formula"},
		{title: colFailed, width: 10, as: asCount, unit: "criteria", values: "0 or more", meaning: "Must-meets that stand below their level", source: "formula"},
		{title: colNotSeen, width: 10, as: asCount, unit: "criteria", values: "0 or more", meaning: "Must-meets that apply and have no level", source: "formula"},
		{title: colMustMeets, width: 10, values: "yes, no, not seen", meaning: "Whether every must-meet is met", source: "formula"},
		{title: colLowest, width: 9, as: asCount, unit: "level", values: "1 to 5; empty when there is none", meaning: "Lowest level of the row", source: "formula"},
		{title: colOutcome, width: 12, values: "Meets, Not yet, Incomplete", meaning: "Result by the rubric; S × under is compared with over × W in whole numbers", source: "formula"},
		{title: colRecorded, width: 12, values: "Meets, Not yet, Incomplete", meaning: "Result in the record", source: "record"},
		{title: colSame, width: 11, values: "yes, no; empty without a record", meaning: "Whether formula and record agree", source: "formula"},
		{title: "Reasons", width: 50, as: asWrapped, meaning: "Every reason for a result other than Meets", source: "judged from the record"},
		{title: "Cut plan", width: 50, as: asWrapped, values: "one sentence for each area; empty when nothing was planned", meaning: "What was to be clipped how, with what the programme's table of blades says against it", source: "record, judged by the programme version"},
		{title: "Minutes", width: 10, as: asCount, unit: "min", values: "1 or more; empty when not given", meaning: "From start to stop, without breaks", source: "record"},
		{title: "Supersedes", width: 28, meaning: "Reference of the groom this one corrects", source: "record"},
		{title: "Superseded by", width: 28, meaning: "Reference of the groom that corrects this one", source: "record"},
		{title: "Second rating of", width: 28, meaning: "Reference of the groom it rates a second time", source: "record"},
		{title: colCounts, width: 9, values: "yes, no", meaning: "No for a corrected version and for a second rating", source: "record"},
		{title: "Signed at (UTC)", width: 19, as: asInstant, unit: "date and time, UTC", values: "to the second", meaning: "When the assessor signed", source: "record"},
	}
}

// groomFormulas are the formulas of a row; # stands for its number. They use
// no arrays beyond SUMPRODUCT and no empty cell ever counts as level 0.
type groomFormulas struct {
	row, sum, weight, mean, failed, notSeen, mustMeets, lowest, outcome, same string
}

func (wb *workbook) groomFormulas() groomFormulas {
	s, r := wb.grooms, wb.rubric
	first, last := wb.criteria[0].ID, wb.criteria[len(wb.criteria)-1].ID
	cell := func(title string) string { return s.at(title) + "#" }
	levels := cell(levelTitle(first)) + ":" + cell(levelTitle(last))
	end := 1 + len(wb.book.Programmes) + headroom
	block := func(from, to, column string) string {
		return fmt.Sprintf("INDEX(%s!$%s$2:$%s$%d,%s,%s)", r.quoted(), r.at(from), r.at(to), end, cell(colRubricRow), column)
	}
	one := func(title string) string { return block(title, title, "1") }
	weights := block(weightTitle(first), weightTitle(last), "0")
	musts := block(mustTitle(first), mustTitle(last), "0")
	var below []string
	for must := curriculum.TopLevel; must > 1; must-- {
		below = append(below, fmt.Sprintf(`COUNTIFS(%s,%d,%s,"<%d")`, musts, must, levels, must))
	}
	return groomFormulas{
		row:       fmt.Sprintf("MATCH(%s,%s!$A$2:$A$%d,0)", cell(colVersion), r.quoted(), end),
		sum:       "SUMPRODUCT(" + levels + "," + weights + ")",
		weight:    `SUMIF(` + levels + `,">0",` + weights + `)`,
		mean:      fmt.Sprintf(`IF(%s>0,%s/%s,"")`, cell(colWeight), cell(colSum), cell(colWeight)),
		failed:    strings.Join(below, "+"),
		notSeen:   fmt.Sprintf(`MAX(0,COUNTIFS(%s,">0",%s,"=")-%s)`, musts, levels, cell(colExempt)),
		mustMeets: fmt.Sprintf(`IF(%s>0,"no",IF(%s>0,"not seen","yes"))`, cell(colFailed), cell(colNotSeen)),
		lowest:    fmt.Sprintf(`IF(COUNT(%s)>0,MIN(%s),"")`, levels, levels),
		outcome: fmt.Sprintf(`IF(AND(%s<>"",ISNUMBER(SEARCH(", "&%s&",",", "&%s&","))),"Not yet",IF(%s<%s,"Incomplete",IF(OR(%s>0,%s<%s,%s*%s<%s*%s),"Not yet",IF(%s>0,"Incomplete","Meets"))))`,
			cell(colGravest), cell(colGravest), one(colHarm), cell(colWeight), one(colLeastWeight),
			cell(colFailed), cell(colLowest), one(colLeastLevel), cell(colSum), one(colPassUnder), one(colPassOver), cell(colWeight), cell(colNotSeen)),
		same: fmt.Sprintf(`IF(%s="","",IF(%s=%s,"yes","no"))`, cell(colRecorded), cell(colRecorded), cell(colOutcome)),
	}
}

func (wb *workbook) writeGrooms() error {
	p, err := wb.beginTable(wb.grooms)
	if err != nil {
		return err
	}
	levels := excelize.NewDataValidation(true)
	levels.SetSqref(p.body(wb.grooms.at(levelTitle(wb.criteria[0].ID)), wb.grooms.at(levelTitle(wb.criteria[len(wb.criteria)-1].ID))))
	levels.SetError(excelize.DataValidationErrorStyleStop, "Level", "Give a whole level from 1 to 5, or leave the cell empty.")
	if err := levels.SetRange(1, curriculum.TopLevel, excelize.DataValidationTypeWhole, excelize.DataValidationOperatorBetween); err != nil {
		return err
	}
	if err := wb.file.AddDataValidation(wb.grooms.name, levels); err != nil {
		return err
	}
	f := wb.groomFormulas()
	err = each(wb.book.Grooms, func(g *Groom) error {
		v, ok := wb.versions[versionLabel(g.Programme, g.Version)]
		if !ok {
			return fmt.Errorf("groom %s refers to programme %s, which the book does not hold", g.Ref, versionLabel(g.Programme, g.Version))
		}
		t := tallyOf(v.programme, g)
		wb.counted.add(g, t)
		wb.groomCells(p, g, v.programme)
		p.groomResult(&f, g, v, t)
		return p.end()
	})
	if err != nil {
		return err
	}
	return p.close()
}

// groomCells collects what the record says of a groom.
func (wb *workbook) groomCells(p *page, g *Groom, pr *curriculum.Programme) {
	coat, kilos := g.Coat, any(nil)
	if c := pr.Vocabulary.Coat(g.Coat); c != nil {
		coat = c.Name
	}
	if g.Grams > 0 {
		kilos = float64(g.Grams) / 1000
	}
	p.cells = append(p.cells, text(g.Ref), day(g.Day), wb.apprentice(g.Apprentice), wb.person(g.Assessor), text(g.Dog),
		text(coat), text(g.Size), kilos, given(g.Matting, -1), given(g.Temperament, 0),
		text(curriculum.TermName(pr.Vocabulary.Services, g.Service)), text(curriculum.TermName(pr.Vocabulary.Styles, g.Style)),
		text(versionLabel(pr.ID, pr.Version)))
	for _, c := range wb.criteria {
		p.cells = append(p.cells, given(g.Levels[c.ID], 0))
	}
}

// groomResult collects the formulas with the values they come to.
func (p *page) groomResult(f *groomFormulas, g *Groom, v version, t tally) {
	n := strconv.Itoa(p.row + 1)
	live := func(formula string, value any) {
		p.cells = append(p.cells, excelize.Cell{Formula: strings.ReplaceAll(formula, "#", n), Value: value})
	}
	var mean, lowest any = "", ""
	if t.weight > 0 {
		mean, lowest = t.mean().Float(), t.lowest
	}
	p.cells = append(p.cells, text(strings.Join(g.NotApplicable, ", ")), t.exempt, text(g.Gravest))
	live(f.row, v.row)
	live(f.sum, t.sum)
	live(f.weight, t.weight)
	live(f.mean, mean)
	live(f.failed, t.failed)
	live(f.notSeen, t.notSeen)
	live(f.mustMeets, t.mustMeets())
	live(f.lowest, lowest)
	live(f.outcome, t.outcome.String())
	p.cells = append(p.cells, g.Outcome.String())
	live(f.same, yesNo(t.outcome == g.Outcome))
	p.cells = append(p.cells, joinWords(g.Reasons), text(strings.Join(g.CutPlan, "; ")), given(g.Minutes, 0), text(g.Supersedes), text(g.SupersededBy),
		text(g.SecondOf), yesNo(g.counts()), instant(g.Signed))
}
