package exports

import (
	"fmt"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"
)

func readMeSheet() *sheet {
	return &sheet{name: "Read me", fitted: true, columns: []column{
		{title: "Sheet", width: 18, as: asWrapped}, {title: "Column", width: 26, as: asWrapped}, {title: "Meaning", width: 58, as: asWrapped},
		{title: "Unit", width: 18, as: asWrapped}, {title: "Range", width: 34, as: asWrapped}, {title: "Source", width: 30, as: asWrapped},
	}}
}

// lineChars is how many characters fit on a line of a note, which runs over
// all columns but the first.
const lineChars = 150

func (wb *workbook) writeReadMe() error {
	p, err := wb.begin(wb.sheets[0])
	if err != nil {
		return err
	}
	if err := wb.file.SetSheetView(p.sheet.name, 0, &excelize.ViewOptions{ShowGridLines: new(false)}); err != nil {
		return err
	}
	if err := p.headline(wb.book.Salon + ": training record"); err != nil {
		return err
	}
	for _, s := range []struct {
		heading string
		notes   [][2]string
	}{
		{"This workbook", wb.aboutNotes()},
		{"Programme versions", wb.versionNotes()},
		{"Cautions", wb.cautionNotes()},
		{"Left out", leftOut},
		{"How the figures are worked out", howComputed},
	} {
		if err := p.section(s.heading); err != nil {
			return err
		}
		for _, n := range s.notes {
			if err := p.note(n[0], n[1]); err != nil {
				return err
			}
		}
	}
	if err := p.section("Columns of every sheet"); err != nil {
		return err
	}
	return wb.dictionary(p)
}

// note writes a label and a text that runs over the other columns. A merged
// cell does not grow by itself, so its height is set from the text.
func (p *page) note(label, words string) error {
	words = clean(words)
	lines := 0
	for _, l := range strings.Split(words, "\n") {
		lines += 1 + len([]rune(l))/lineChars
	}
	n := p.row + 1
	if err := p.out.MergeCell(fmt.Sprintf("B%d", n), fmt.Sprintf("%s%d", letter(len(p.sheet.columns)), n)); err != nil {
		return err
	}
	p.cells = append(p.cells, excelize.Cell{StyleID: p.wb.strong, Value: label}, words)
	return p.end(excelize.RowOpts{Height: min(lineHeight*float64(max(lines, 1+len([]rune(label))/18)), excelize.MaxRowHeight)})
}

func (wb *workbook) aboutNotes() [][2]string {
	b := wb.book
	return [][2]string{
		{"Salon", b.Salon},
		{"Scope", b.Scope},
		{"Standings of", b.Today.Words() + " (" + b.Today.String() + ")"},
		{"Made", wb.made()},
		{"Made by", b.By},
		{"How to check it", "The order of the parts inside the file is not fixed, so two exports of the same record differ as files. Compare the cells, or the digests of the record, never a checksum of the workbook."},
	}
}

// made is the time of the export in UTC and, where the zone is known, in the
// salon.
func (wb *workbook) made() string {
	made := wb.book.Made.UTC().Format("2006-01-02 15:04:05") + " UTC"
	zone, err := time.LoadLocation(wb.book.Zone)
	if wb.book.Zone == "" || err != nil {
		return made
	}
	return made + ", which is " + wb.book.Made.In(zone).Format("2006-01-02 15:04:05") + " in the salon (" + wb.book.Zone + ")"
}

func (wb *workbook) versionNotes() [][2]string {
	var notes [][2]string
	for i, p := range wb.book.Programmes {
		label := "Other version"
		if i == 0 {
			label = "Current version"
		}
		notes = append(notes, [2]string{label, fmt.Sprintf("%s, %s\nSHA-256 of its file: %s", versionLabel(p.ID, p.Version), p.Title, p.Digest())})
	}
	return notes
}

func (wb *workbook) cautionNotes() [][2]string {
	notes := [][2]string{{"", "This record supports licensed practice, veterinary advice and local law. It replaces none of them."}}
	for _, c := range wb.current.Cautions {
		notes = append(notes, [2]string{"", c})
	}
	return notes
}

var leftOut = [][2]string{
	{"People and owners", "Owners' names, addresses and briefs; dates of birth. A dog is a label."},
	{"Incidents", "Everything written in free text. Kind, severity, cause and hold are kept."},
	{"Grooms", "Feedback, help given, notes on the comb test and the reason why a criterion did not apply."},
	{"Photos", "Every photo, unless they were asked for; then each is here in small, on a sheet of its own. Why one was taken down stays in the salon."},
	{"Sign-offs", "The proposer's statement and the reason of a decision."},
	{"Apprentices' words", "What they wrote into their logbook or to the marks of a groom, and the answers to it."},
	{"Wellbeing", "Safeguarding concerns are not part of the record this workbook is made from."},
}

var howComputed = [][2]string{
	{"Formulas", "Matrix: required, signed and percent. Totals: everything but the last block. Rubric weights: the total. Assessed grooms: every figure from the rubric row to the outcome. Totals reach past the last row, so a row added below is counted; copy the formulas of the row above into it."},
	{"Values", "Everything else is a value as of the day above. Counting formulas over the long sheets Ratings and Observations can take a spreadsheet many seconds to open, so what rests on them is worked out beforehand: standings, requirements, permissions, which observation counts, and the last block of Totals."},
	{"A groom", "S = sum of weight × level, W = sum of the weights of the criteria that have a level, mean = S ÷ W. A criterion that does not apply or was not seen is left out of both. Not yet after an incident of a severity named on Rubric weights; else Incomplete when W is below the least applicable weight; else Not yet when a must-meet or the lowest level is too low, or S × under is less than over × W; else Incomplete when a must-meet was not seen; else Meets. The comparison is in whole numbers, never with the mean as displayed."},
	{"Programme versions", "A groom is judged by the version of its day. The column Programme version finds its weights on the sheet Rubric weights."},
	{"A standing", "Signed: confirmed by a second person, current and not on hold. On hold: an incident paused it; earlier evidence stays. Eligible: the evidence is complete and nobody has signed yet. Lapsed: not used for too long, the evidence begins again. A required skill counts as signed only when its standing is Signed."},
	{"Points", "A clean formal observation earns 1 point, one that is not clean costs the points the programme declares, and the score is kept between the programme's floor and the points needed."},
	{"Streak", "Clean ones among the newest formal observations, since the last harm by the apprentice."},
	{"One dog, one day", "Of several observations of a skill on the same dog and day the worst is taken. Self-ratings and logbook entries never count towards a sign-off."},
	{"Logbook", "An entry is its apprentice's word. Countersigned by whoever was there, it is an observation with the source Logbook: it earns nothing, keeps a skill in use, and a fault told in it costs as much as any other. An entry that was not countersigned is on the sheet Logbook only."},
	{"Percent", "Signed ÷ required over skills. The percentage of the programme is not the mean of the unit percentages."},
	{"Totals of grooms", "A corrected version and a second rating stay on the sheet and are not counted. The mean of the mean levels is over grooms with the result Meets or Not yet."},
	{"Texts", "A cell holds 32,767 characters; a longer text is cut and says so at its end. Characters that the file format cannot hold appear as �."},
}

// dictionary lists every column of every sheet as a table with filters.
func (wb *workbook) dictionary(p *page) error {
	var titles []string
	for _, c := range p.sheet.columns {
		titles = append(titles, c.title)
	}
	if err := p.titles(titles...); err != nil {
		return err
	}
	top := p.row
	for _, s := range wb.sheets[1:] {
		group := ""
		for _, c := range s.columns {
			if c.group != "" && c.group == group {
				continue
			}
			title, unit, values := c.title, c.unit, c.values
			if group = c.group; group != "" {
				title = group
			}
			if unit == "" {
				unit = "words"
			}
			if values == "" {
				values = "any"
			}
			if err := p.add(s.name, text(title), text(c.meaning), unit, text(values), c.source); err != nil {
				return err
			}
		}
	}
	table := &excelize.Table{Range: fmt.Sprintf("A%d:F%d", top, p.row), Name: "ColumnsTable", StyleName: "TableStyleLight1"}
	if err := p.out.AddTable(table); err != nil {
		return err
	}
	return p.out.Flush()
}
