package exports

import (
	"archive/zip"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/klauspost/compress/flate"
	"github.com/xuri/excelize/v2"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// maxRow is the last row a worksheet has.
const maxRow = excelize.TotalRows

// headroom is how many rows below the last one a total already covers, so
// that a row added by hand is counted.
const headroom = 1000

// format is how a column shows its values.
type format int

const (
	asText format = iota
	asWrapped
	asDate    // yyyy-mm-dd
	asInstant // yyyy-mm-dd hh:mm:ss
	asCount   // whole number
	asKilos   // one decimal
	asMean    // three decimals
	asPercent // a fraction of 1, shown as per cent with one decimal
	formats   // how many there are
)

// column is one column of a sheet, and its line in the data dictionary.
type column struct {
	title   string
	width   float64 // in characters of the standard font
	as      format
	meaning string
	unit    string
	values  string // range or allowed words
	source  string
	// group stands for several columns of one kind in the dictionary.
	group string
}

// sheet is a table with one header row.
type sheet struct {
	name    string
	columns []column
	fixed   int  // columns that stay in view
	pages   int  // pages side by side in print
	fitted  bool // rows as high as their wrapped text
	above   []any
	// titleHeight is the height of the title row in points; at least 32.
	titleHeight float64
}

// at returns the letter of the column with this title.
func (s *sheet) at(title string) string {
	for i := range s.columns {
		if s.columns[i].title == title {
			return letter(i + 1)
		}
	}
	panic("exports: sheet " + s.name + " has no column " + title)
}

func letter(n int) string {
	l, err := excelize.ColumnNumberToName(n)
	if err != nil {
		panic(err) // more columns than a worksheet has
	}
	return l
}

// header is the row the column titles are in.
func (s *sheet) header() int {
	if s.above != nil {
		return 2
	}
	return 1
}

// quoted is the sheet's name as formulas write it.
func (s *sheet) quoted() string {
	if strings.Contains(s.name, " ") || strings.Contains(s.name, "-") {
		return "'" + s.name + "'"
	}
	return s.name
}

// span is the absolute range of a column below its header, with headroom.
func (s *sheet) span(title string, rows int) string {
	l, first := s.at(title), s.header()+1
	return fmt.Sprintf("%s!$%s$%d:$%s$%d", s.quoted(), l, first, l, min(first+rows+headroom, maxRow))
}

// workbook is a Book being written.
type workbook struct {
	book             *Book
	file             *excelize.File
	current          *curriculum.Programme
	styles           [formats]int
	head, headMiddle int // column titles
	title            int
	heading          int
	quiet            int
	strong           int

	labels   map[string]string // apprentice key → name, unique in the workbook
	criteria []*curriculum.Criterion
	versions map[string]version // by programme label

	sheets []*sheet // in the order they are in the book
	rubric, matrix, progress, totals, grooms, ratings,
	observations, incidents, signOffs, logbook, agreement, photos *sheet
	counted groomTotals
}

// version is a programme version and its row among the rubric weights.
type version struct {
	programme *curriculum.Programme
	row       int // 1 for the first
}

func newWorkbook(b *Book) (*workbook, error) {
	if len(b.Programmes) == 0 {
		return nil, errors.New("a workbook needs at least the current programme")
	}
	wb := &workbook{book: b, file: excelize.NewFile(), current: b.Programmes[0], versions: map[string]version{}}
	for i, p := range b.Programmes {
		wb.versions[versionLabel(p.ID, p.Version)] = version{p, i + 1}
		for j := range p.Rubric.Criteria {
			wb.addCriterion(&p.Rubric.Criteria[j])
		}
	}
	wb.nameApprentices()
	wb.file.SetZipWriter(fastZip)
	if err := wb.makeStyles(); err != nil {
		wb.file.Close()
		return nil, err
	}
	return wb, nil
}

// fastZip packs quickly: a quarter larger than the default, in a third of the
// time.
func fastZip(w io.Writer) excelize.ZipWriter {
	z := zip.NewWriter(w)
	z.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) {
		return flate.NewWriter(w, flate.BestSpeed)
	})
	return z
}

func versionLabel(id string, n int) string { return fmt.Sprintf("%s v%d", id, n) }

// addCriterion keeps every criterion of every version once; the newest words
// come first because the current programme does.
func (wb *workbook) addCriterion(c *curriculum.Criterion) {
	for _, have := range wb.criteria {
		if have.ID == c.ID {
			return
		}
	}
	wb.criteria = append(wb.criteria, c)
}

// nameApprentices gives everybody a name of their own: totals count by name,
// and two people may share one.
func (wb *workbook) nameApprentices() {
	wb.labels = map[string]string{}
	seen := map[string]int{}
	for _, a := range wb.book.Apprentices {
		seen[strings.ToLower(a.Name)]++
	}
	for _, a := range wb.book.Apprentices {
		label := a.Name
		if label == "" {
			label = a.Key
		} else if seen[strings.ToLower(label)] > 1 {
			label += " (" + a.Key + ")"
		}
		wb.labels[a.Key] = clean(label)
	}
}

func (wb *workbook) apprentice(key string) any {
	if l, ok := wb.labels[key]; ok {
		return text(l)
	}
	return wb.person(key)
}

func (wb *workbook) person(key string) any {
	if key == "" || wb.book.Name == nil {
		return text(key)
	}
	return text(wb.book.Name(key))
}

// build writes every sheet. The totals and the first sheet come last although
// they stand before others: they hold values counted on the way.
func (wb *workbook) build() error {
	wb.describe()
	for i, s := range wb.sheets {
		if i == 0 {
			if err := wb.file.SetSheetName("Sheet1", s.name); err != nil {
				return err
			}
			continue
		}
		if _, err := wb.file.NewSheet(s.name); err != nil {
			return err
		}
	}
	type step struct {
		sheet *sheet
		write func() error
	}
	steps := []step{
		{wb.matrix, wb.writeMatrix}, {wb.progress, wb.writeProgress}, {wb.rubric, wb.writeRubric},
		{wb.grooms, wb.writeGrooms}, {wb.ratings, wb.writeRatings}, {wb.observations, wb.writeObservations},
		{wb.incidents, wb.writeIncidents}, {wb.signOffs, wb.writeSignOffs}, {wb.logbook, wb.writeLogbook}, {wb.agreement, wb.writeAgreement}, {wb.totals, wb.writeTotals},
		{wb.sheets[0], wb.writeReadMe},
	}
	if wb.photos != nil {
		steps = append(steps, step{wb.photos, wb.writePhotos})
	}
	for _, step := range steps {
		if err := step.write(); err != nil {
			return fmt.Errorf("sheet %s: %w", step.sheet.name, err)
		}
	}
	return wb.properties()
}

// describe lays out every sheet before any is written: formulas of one name
// columns of another.
func (wb *workbook) describe() {
	wb.matrix, wb.progress, wb.totals = wb.matrixSheet(), progressSheet(), totalsSheet()
	wb.rubric, wb.grooms, wb.ratings = wb.rubricSheet(), wb.groomSheet(), ratingSheet()
	wb.observations, wb.incidents, wb.signOffs, wb.logbook, wb.agreement = observationSheet(), incidentSheet(), signOffSheet(), logbookSheet(), agreementSheet()
	wb.sheets = []*sheet{readMeSheet(), wb.matrix, wb.progress, wb.totals, wb.rubric, wb.grooms,
		wb.ratings, wb.observations, wb.incidents, wb.signOffs, wb.logbook, wb.agreement}
	if wb.book.Photos != nil {
		wb.photos = photoSheet()
		wb.sheets = append(wb.sheets, wb.photos)
	}
}

// properties replaces what the library puts into the file's own description;
// no account or machine name is in it.
func (wb *workbook) properties() error {
	made := wb.book.Made.UTC().Format("2006-01-02T15:04:05Z")
	return wb.file.SetDocProps(&excelize.DocProperties{
		Title: clean("Training record, " + wb.book.Salon), Creator: "Tablehand", LastModifiedBy: "Tablehand",
		Created: made, Modified: made,
	})
}

// checkProgress counts an apprentice's standings and refuses a book whose
// progress says otherwise.
func (wb *workbook) checkProgress(a *Apprentice) (assessment.Progress, error) {
	var g assessment.Progress
	for i := range a.Standings {
		g.Add(wb.current, &a.Standings[i])
	}
	if a.Progress != (assessment.Progress{}) && a.Progress != g {
		return g, fmt.Errorf("%s: the progress given does not follow from the standings", a.Name)
	}
	return g, nil
}
