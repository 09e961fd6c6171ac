package exports

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"tablehand/assessment"
)

func itoa(n int) string { return strconv.Itoa(n) }

func totalsSheet() *sheet {
	return &sheet{name: "Totals", fitted: true, columns: []column{
		{title: "Group", width: 54, as: asWrapped, meaning: "The programme, a unit or an apprentice", source: "as on the sheet Progress"},
		{title: "Required", width: 11, as: asCount, unit: "skills", values: "0 or more", meaning: "Required skills, added up over the apprentices of the group", source: "formula"},
		{title: "Signed", width: 11, as: asCount, unit: "skills", values: "0 to Required", meaning: "Signed, current and not on hold", source: "formula"},
		{title: "On hold", width: 11, as: asCount, unit: "skills", values: "0 to Required", meaning: "Signed before and now on hold; not counted as signed", source: "formula"},
		{title: "Eligible", width: 11, as: asCount, unit: "skills", values: "0 to Required", meaning: "Evidence complete, not signed; not counted as signed", source: "formula"},
		{title: "Under way", width: 11, as: asCount, unit: "skills", values: "0 to Required", meaning: "Practising, lapsed, or on hold before any sign-off", source: "formula"},
		{title: "Not started", width: 11, as: asCount, unit: "skills", values: "0 to Required", meaning: "Nothing seen yet", source: "formula"},
		{title: "Percent signed", width: 11, as: asPercent, unit: "per cent", values: "0 to 100, exact, shown to 0.1; empty when nothing is required", meaning: "Signed ÷ Required over skills, not a mean of unit percentages", source: "formula"},
		{title: "Safety-critical", width: 11, as: asCount, unit: "skills", values: "0 to Required", meaning: "Safety-critical ones among the required", source: "formula"},
		{title: "Safety signed", width: 11, as: asCount, unit: "skills", values: "0 to Safety-critical", meaning: "Signed ones among those", source: "formula"},
		{title: "Percent safety", width: 11, as: asPercent, unit: "per cent", values: "0 to 100, exact, shown to 0.1; empty when there are none", meaning: "Safety signed ÷ Safety-critical", source: "formula"},
	}}
}

// writeTotals writes live formulas over Progress and Assessed grooms, with the
// values they come to.
func (wb *workbook) writeTotals() error {
	p, err := wb.begin(wb.totals)
	if err != nil {
		return err
	}
	if err := p.out.SetPanes(panes(1, 1)); err != nil {
		return err
	}
	if err := p.headline("Totals as of " + wb.book.Today.Words()); err != nil {
		return err
	}
	all, units, people, err := wb.countProgress()
	if err != nil {
		return err
	}
	if err := wb.skillTotals(p, all, units, people); err != nil {
		return err
	}
	if err := wb.groomTotals(p); err != nil {
		return err
	}
	if err := wb.completion(p); err != nil {
		return err
	}
	return p.out.Flush()
}

func (p *page) headline(s string) error {
	p.cells = append(p.cells, excelize.Cell{StyleID: p.wb.title, Value: clean(s)})
	return p.end(excelize.RowOpts{Height: 24})
}

// section leaves a row free and writes a heading across the sheet.
func (p *page) section(s string) error {
	p.row++
	p.cells = append(p.cells, excelize.Cell{StyleID: p.wb.heading, Value: clean(s)})
	for range len(p.sheet.columns) - 1 {
		p.cells = append(p.cells, excelize.Cell{StyleID: p.wb.heading})
	}
	return p.end(excelize.RowOpts{Height: 20})
}

func (p *page) titles(titles ...string) error {
	height := 18.0
	for i, t := range titles {
		p.cells = append(p.cells, p.wb.titleCell(&p.sheet.columns[i], t))
		if len(t) > int(p.sheet.columns[i].width) {
			height = 32
		}
	}
	return p.end(excelize.RowOpts{Height: height})
}

// countProgress counts the standings for the whole, by unit and by apprentice.
func (wb *workbook) countProgress() (all assessment.Progress, units, people []assessment.Progress, err error) {
	at := map[string]int{}
	for i := range wb.current.Units {
		at[wb.current.Units[i].ID] = i
	}
	units = make([]assessment.Progress, len(wb.current.Units))
	for i := range wb.book.Apprentices {
		a := &wb.book.Apprentices[i]
		g, err := wb.checkProgress(a)
		if err != nil {
			return all, nil, nil, err
		}
		people = append(people, g)
		for j := range a.Standings {
			s := &a.Standings[j]
			all.Add(wb.current, s)
			if u := wb.current.UnitOf(s.Skill.ID); u != nil {
				units[at[u.ID]].Add(wb.current, s)
			}
		}
	}
	return all, units, people, nil
}

func (wb *workbook) skillTotals(p *page, all assessment.Progress, units, people []assessment.Progress) error {
	rows := 0
	for i := range wb.book.Apprentices {
		rows += len(wb.book.Apprentices[i].Standings)
	}
	c := wb.newCounter(rows)
	titles := make([]string, len(wb.totals.columns))
	block := func(heading, group string) error {
		for i := range titles {
			titles[i] = wb.totals.columns[i].title
		}
		titles[0] = group
		return errors.Join(p.section(heading), p.titles(titles...))
	}
	if err := block("Programme, all apprentices together", "Programme"); err != nil {
		return err
	}
	if err := c.row(p, versionLabel(wb.current.ID, wb.current.Version)+", "+wb.current.Title, "", &all); err != nil {
		return err
	}
	if err := block("By unit, all apprentices together", "Unit"); err != nil {
		return err
	}
	for i := range units {
		if err := c.row(p, unitWords(&wb.current.Units[i]), c.unit, &units[i]); err != nil {
			return err
		}
	}
	if err := block("By apprentice", "Apprentice"); err != nil {
		return err
	}
	for i := range people {
		if err := c.row(p, wb.labels[wb.book.Apprentices[i].Key], c.apprentice, &people[i]); err != nil {
			return err
		}
	}
	return nil
}

// counter builds the counting formulas over the sheet Progress.
type counter struct{ apprentice, unit, required, safety, standing, before string }

func (wb *workbook) newCounter(rows int) counter {
	of := func(title string) string { return wb.progress.span(title, rows) }
	return counter{of(colApprentice), of(colUnit), of(colRequired), of(colSafety), of(colStanding), of(colEverSigned)}
}

// row writes one group. by is the range its name is looked for in; empty for
// everybody.
func (c *counter) row(p *page, label, by string, g *assessment.Progress) error {
	n := itoa(p.row + 1)
	group := ""
	if by != "" {
		group = "," + by + "," + equalTo("$A"+n, label)
	}
	count := func(value int, more string) excelize.Cell {
		return excelize.Cell{Value: value, Formula: "COUNTIFS(" + c.required + `,"yes"` + group + more + ")"}
	}
	is := func(s assessment.State) string { return "," + c.standing + `,"` + s.String() + `"` }
	safe := "," + c.safety + `,"yes"`
	share := func(r assessment.Ratio, part, whole string) excelize.Cell {
		var v any = ""
		if r.Den > 0 {
			v = r.Float()
		}
		return excelize.Cell{Value: v, Formula: fmt.Sprintf(`IF(%s%s>0,%s%s/%s%s,"")`, whole, n, part, n, whole, n)}
	}
	return p.add(text(label), count(g.Required, ""), count(g.Signed, is(assessment.Signed)),
		count(g.Held, is(assessment.OnHold)+","+c.before+`,"yes"`), count(g.Eligible, is(assessment.Eligible)),
		excelize.Cell{Value: g.Underway, Formula: fmt.Sprintf("B%s-C%s-D%s-E%s-G%s", n, n, n, n, n)},
		count(g.NotBegun, is(assessment.NotStarted)), share(g.Share(), "C", "B"),
		count(g.Safety, safe), count(g.SafetyNow, safe+is(assessment.Signed)), share(g.SafetyShare(), "J", "I"))
}

// equalTo is the criterion "the same text as this cell". The sign in front
// keeps a name that begins with = < or > from being read as a comparison, and
// wildcards are taken literally.
func equalTo(cell, label string) string {
	if strings.ContainsAny(label, "~*?") {
		for _, c := range []string{"~", "*", "?"} {
			cell = fmt.Sprintf(`SUBSTITUTE(%s,"%s","~%s")`, cell, c, c)
		}
	}
	return `"="&` + cell
}

func (wb *workbook) groomTotals(p *page) error {
	t := &wb.counted
	of := func(title string) string { return wb.grooms.span(title, t.rows) }
	counts, outcome := of(colCounts)+`,"yes"`, of(colOutcome)
	where := func(o assessment.Outcome) string {
		return "COUNTIFS(" + counts + "," + outcome + `,"` + o.String() + `")`
	}
	if err := errors.Join(p.section("Assessed grooms"), p.titles("Figure", "Value")); err != nil {
		return err
	}
	for _, row := range []struct {
		label, formula string
		value          any
	}{
		{"Grooms counted", "COUNTIFS(" + counts + ")", t.grooms},
		{"Meets", where(assessment.Meets), t.meets},
		{"Not yet", where(assessment.NotYet), t.notYet},
		{"Incomplete", where(assessment.Incomplete), t.incomplete},
		{"Mean of the mean levels, grooms with a result", `IFERROR(AVERAGEIFS(` + of(colMean) + "," + counts + "," + outcome + `,"<>Incomplete"),"")`, t.meanOfMeans()},
		{"Rows where the formula and the record disagree", "COUNTIFS(" + of(colSame) + `,"no")`, t.differ},
	} {
		cell := excelize.Cell{Formula: row.formula, Value: row.value}
		if strings.HasPrefix(row.label, "Mean") {
			cell.StyleID = wb.styles[asMean]
		}
		if err := p.add(row.label, cell); err != nil {
			return err
		}
	}
	return nil
}

// completion lists what the whole programme still needs. These are values:
// the order of the grooms decides some of them.
func (wb *workbook) completion(p *page) error {
	if err := errors.Join(p.section("What completing the programme needs"), p.titles("Apprentice and requirement", "Have", "Need", "Missing", "Met")); err != nil {
		return err
	}
	for i := range wb.book.Apprentices {
		a := &wb.book.Apprentices[i]
		for j := range a.Completion {
			r := &a.Completion[j]
			short := any(r.Missing)
			if r.Need == assessment.NeedNoHolds {
				short = nil // a hold is released, not made up for
			}
			if err := p.add(text(wb.labels[a.Key]+": "+completionName(r)), r.Have, r.Want, short, yesNo(r.Met)); err != nil {
				return err
			}
		}
	}
	return nil
}

// completionName names a requirement of the whole programme, where the same
// kinds of need are about skills and grooms instead of observations.
func completionName(r *assessment.Requirement) string {
	switch r.Need {
	case assessment.NeedPrerequisites:
		return "required skills signed"
	case assessment.NeedCount:
		return "grooms with a result"
	case assessment.NeedStreak:
		return fmt.Sprintf("newest grooms in a row that meet the standard, up to %d", r.Of)
	case assessment.NeedCoats:
		return "coat classes among them"
	case assessment.NeedSizes:
		return "size bands among them"
	case assessment.NeedAssessors:
		return "assessors among them"
	case assessment.NeedNoHolds:
		return "open holds, none allowed"
	}
	return r.Name()
}
