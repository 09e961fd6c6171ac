package exports

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// Colours of the workbook: dark pine for words, pale washes for standings.
const (
	ink       = "1F2E2A"
	pine      = "2F5D50"
	paleHead  = "E4ECE8"
	greyWords = "6B7672"
)

func (wb *workbook) makeStyles() error {
	left := &excelize.Alignment{Vertical: "top", Horizontal: "left"}
	wrap := &excelize.Alignment{Vertical: "top", Horizontal: "left", WrapText: true}
	middle := &excelize.Alignment{Vertical: "top", Horizontal: "center"}
	wrapMiddle := &excelize.Alignment{Vertical: "top", Horizontal: "center", WrapText: true}
	format := func(code string, at *excelize.Alignment) *excelize.Style {
		return &excelize.Style{Alignment: at, CustomNumFmt: &code}
	}
	font := func(size float64, colour string) *excelize.Font {
		return &excelize.Font{Family: "Calibri", Bold: true, Size: size, Color: colour}
	}
	var errs []error
	add := func(s *excelize.Style) int {
		id, err := wb.file.NewStyle(s)
		errs = append(errs, err)
		return id
	}
	wb.styles = [formats]int{
		asText: add(&excelize.Style{Alignment: left}), asWrapped: add(&excelize.Style{Alignment: wrap}),
		asDate: add(format("yyyy-mm-dd", left)), asInstant: add(format("yyyy-mm-dd hh:mm:ss", left)),
		asCount: add(format("0", middle)), asKilos: add(format("0.0", middle)), asMean: add(format("0.000", middle)),
		asPercent: add(format("0.0%", middle)),
	}
	under := []excelize.Border{{Type: "bottom", Color: pine, Style: 1}}
	pale := excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{paleHead}}
	wb.head = add(&excelize.Style{Alignment: wrap, Border: under, Font: font(11, ink), Fill: pale})
	wb.headMiddle = add(&excelize.Style{Alignment: wrapMiddle, Border: under, Font: font(11, ink), Fill: pale})
	wb.title = add(&excelize.Style{Font: font(16, pine)})
	wb.heading = add(&excelize.Style{Font: font(12, pine), Border: under})
	wb.quiet = add(&excelize.Style{Alignment: left, Font: &excelize.Font{Family: "Calibri", Size: 11, Italic: true, Color: greyWords}})
	wb.strong = add(&excelize.Style{Alignment: wrap, Font: font(11, ink)})
	return errors.Join(errs...)
}

// page is a sheet being written, row after row.
type page struct {
	wb    *workbook
	sheet *sheet
	out   *excelize.StreamWriter
	row   int // the last row written
	cells []any
}

// begin opens a sheet. The order of the calls matters: what comes too late is
// lost without an error, and panes and widths must stand before the first row.
func (wb *workbook) begin(s *sheet) (*page, error) {
	f := wb.file
	if err := f.SetSheetProps(s.name, &excelize.SheetPropsOptions{FitToPage: new(true)}); err != nil {
		return nil, err
	}
	out, err := f.NewStreamWriter(s.name)
	if err != nil {
		return nil, err
	}
	errs := []error{wb.printSetUp(s)}
	for i, c := range s.columns {
		errs = append(errs, out.SetColStyle(i+1, i+1, wb.styles[c.as]), out.SetColWidth(i+1, i+1, c.width))
	}
	return &page{wb: wb, sheet: s, out: out, cells: make([]any, 0, len(s.columns))}, errors.Join(errs...)
}

// beginTable opens a sheet and writes its header row.
func (wb *workbook) beginTable(s *sheet) (*page, error) {
	p, err := wb.begin(s)
	if err != nil {
		return nil, err
	}
	if err := p.out.SetPanes(panes(s.fixed, s.header())); err != nil {
		return nil, err
	}
	if s.above != nil {
		if err := p.add(s.above...); err != nil {
			return nil, err
		}
	}
	for _, c := range s.columns {
		p.cells = append(p.cells, wb.titleCell(&c, c.title))
	}
	if err := p.end(excelize.RowOpts{Height: max(32, s.titleHeight)}); err != nil {
		return nil, err
	}
	return p, nil
}

// titleCell is a column title, aligned with the values below it.
func (wb *workbook) titleCell(c *column, title string) excelize.Cell {
	style := wb.head
	if c.as >= asCount {
		style = wb.headMiddle
	}
	return excelize.Cell{StyleID: style, Value: clean(title)}
}

func panes(columns, rows int) *excelize.Panes {
	active := "bottomLeft"
	if columns > 0 {
		active = "bottomRight"
	}
	return &excelize.Panes{Freeze: true, XSplit: columns, YSplit: rows,
		TopLeftCell: letter(columns+1) + strconv.Itoa(rows+1), ActivePane: active}
}

// add writes one row.
func (p *page) add(cells ...any) error {
	p.cells = append(p.cells[:0], cells...)
	return p.end()
}

// end writes the row collected in p.cells. It can be used again after it.
func (p *page) end(opts ...excelize.RowOpts) error {
	if p.row >= maxRow {
		return fmt.Errorf("more than %d rows do not fit on a sheet; choose a narrower scope", maxRow-1)
	}
	p.row++
	if len(opts) == 0 && p.sheet.fitted {
		opts = append(opts, excelize.RowOpts{Height: p.height()})
	}
	err := p.out.SetRow("A"+strconv.Itoa(p.row), p.cells, opts...)
	p.cells = p.cells[:0]
	return err
}

// lineHeight is the height of one line of text, in points.
const lineHeight = 15

// height is what the longest wrapped cell of the row needs, in points. Not
// every program works it out when it opens a file.
func (p *page) height() float64 {
	lines := 1
	for i, c := range p.cells {
		if s, ok := c.(string); ok && i < len(p.sheet.columns) && p.sheet.columns[i].as == asWrapped {
			lines = max(lines, int(math.Ceil(float64(len(s))*1.08/p.sheet.columns[i].width)))
		}
	}
	return float64(min(lines*lineHeight, excelize.MaxRowHeight))
}

// body is the range of some columns below the header, as far as anybody is
// likely to add rows.
func (p *page) body(from, to string) string {
	return fmt.Sprintf("%s%d:%s%d", from, p.sheet.header()+1, to, 20000)
}

// close makes the rows a table with filters and finishes the sheet.
func (p *page) close() error {
	h := p.sheet.header()
	name := strings.NewReplacer(" ", "", "-", "").Replace(p.sheet.name) + "Table"
	err := p.out.AddTable(&excelize.Table{
		Range: fmt.Sprintf("A%d:%s%d", h, letter(len(p.sheet.columns)), max(p.row, h+1)), Name: name, StyleName: "TableStyleLight1"})
	if err != nil {
		return err
	}
	titles := fmt.Sprintf("%s!$%d:$%d", p.sheet.quoted(), h, h)
	if p.sheet.pages > 1 {
		titles = p.sheet.quoted() + "!$A:$A," + titles
	}
	return errors.Join(
		p.wb.file.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", Scope: p.sheet.name, RefersTo: titles}),
		p.out.Flush())
}

// printSetUp makes a sheet come out on landscape A4, as wide as the page.
func (wb *workbook) printSetUp(s *sheet) error {
	f := wb.file
	margin, edge := 0.4, 0.7 // inches
	return errors.Join(
		f.SetPageLayout(s.name, &excelize.PageLayoutOptions{Size: new(9), Orientation: new("landscape"),
			FitToWidth: new(max(s.pages, 1)), FitToHeight: new(0), PageOrder: new("overThenDown")}),
		f.SetPageMargins(s.name, &excelize.PageLayoutMarginsOptions{Left: &margin, Right: &margin, Top: &edge, Bottom: &edge,
			Header: new(0.3), Footer: new(0.3)}),
		f.SetHeaderFooter(s.name, &excelize.HeaderFooterOptions{
			OddHeader: `&L&"-,Bold"` + headerText(wb.book.Salon) + "&R" + headerText(s.name),
			OddFooter: "&LAs it stood on " + wb.book.Today.String() + ". Supports, and does not replace, licensed practice, veterinary advice and local law.&RPage &P of &N",
		}),
	)
}

// headerText escapes a text for a page header, which holds 255 characters in
// all and reads & as a command. A leading space keeps digits from being read
// as a font size.
func headerText(s string) string {
	r := []rune(strings.NewReplacer("\n", " ", "\r", " ", "\t", " ").Replace(clean(s)))
	if len(r) > 60 {
		r = append(r[:59], '…')
	}
	return " " + strings.ReplaceAll(string(r), "&", "&&")
}
