package web

import (
	"html/template"
	"strconv"
)

// Matrix is all apprentices against all skills.
type Matrix struct {
	Shell
	Caption string // says what, whose and when
	Columns []MatrixColumn
	Units   []MatrixUnit
	Foot    []MatrixFoot
	Filters []Filter
	Note    string // for instance "Apprentices who have left are not shown."
}

// Filter is one choice of what a list shows; a plain link.
type Filter struct {
	Label   string
	URL     string
	Current bool
}

// MatrixColumn is one apprentice.
type MatrixColumn struct {
	Name string
	URL  string
	Meta string // "week 52"
}

// MatrixUnit is a group of rows.
type MatrixUnit struct {
	ID, Title string
	Rows      []MatrixRow
}

// MatrixRow is one skill with one cell for each column.
type MatrixRow struct {
	ID, Title string
	URL       string
	Safety    bool
	Optional  bool // not needed for completion
	Cells     []MatrixCell
}

// MatrixCell is one skill of one apprentice.
type MatrixCell struct {
	Standing Standing
	URL      string
	Note     string // heard, not seen: "waits for a confirmer"; may be empty
}

// MatrixFoot is one row of totals.
type MatrixFoot struct {
	Label string
	Cells []string
}

// UnitCount is how many of a unit's needed skills one apprentice has in each
// standing.
type UnitCount struct {
	Of     int
	Counts []StandingCount // standings that occur, in the order of the legend
}

// Has is the number of skills with a standing.
func (u UnitCount) Has(s Standing) int {
	for _, c := range u.Counts {
		if c.Standing == s {
			return c.Count
		}
	}
	return 0
}

// Count sums one column of the unit. Skills that are not needed for completion
// are left out.
func (u MatrixUnit) Count(column int) UnitCount {
	var out UnitCount
	for _, s := range Standings {
		n := 0
		for _, r := range u.Rows {
			if !r.Optional && column < len(r.Cells) && r.Cells[column].Standing == s {
				n++
			}
		}
		if n > 0 {
			out.Of += n
			out.Counts = append(out.Counts, StandingCount{s, n})
		}
	}
	return out
}

// Tally is the unit as a list, one line for each apprentice, for screens too
// narrow for the table.
func (u MatrixUnit) Tally(columns []MatrixColumn) template.HTML {
	b := make([]byte, 0, 400*len(columns))
	b = append(b, `<ul class="tally">`...)
	for i, col := range columns {
		n := u.Count(i)
		b = append(b, `<li><a href="`...)
		b = appendEscaped(b, safeURL(col.URL))
		b = append(b, `"><b>`...)
		b = appendEscaped(b, col.Name)
		b = append(b, `</b> <span>`...)
		b = strconv.AppendInt(b, int64(n.Has(Signed)), 10)
		b = append(b, ` of `...)
		b = strconv.AppendInt(b, int64(n.Of), 10)
		b = append(b, ` signed`...)
		if held := n.Has(OnHold); held > 0 {
			b = append(b, `, `...)
			b = strconv.AppendInt(b, int64(held), 10)
			b = append(b, ` on hold`...)
		}
		b = append(b, `</span></a>`...)
		b = appendBar(b, n.Counts)
		b = append(b, `</li>`...)
	}
	return template.HTML(append(b, `</ul>`...))
}

// HTML is the row's cells. The table is the largest thing the program shows,
// so its cells are written straight into a buffer, escaped by hand.
func (r MatrixRow) HTML() template.HTML {
	b := make([]byte, 0, 160*len(r.Cells))
	for _, c := range r.Cells {
		b = appendCell(b, c)
	}
	return template.HTML(b)
}

func appendCell(b []byte, c MatrixCell) []byte {
	s := c.Standing
	if !s.Known() {
		return append(b, `<td class="mc"></td>`...)
	}
	b = append(b, `<td class="mc `...)
	b = append(b, s.Class()...)
	b = append(b, `">`...)
	if c.URL != "" {
		b = append(b, `<a tabindex="-1" href="`...)
		b = appendEscaped(b, safeURL(c.URL))
		b = append(b, `">`...)
	}
	b = append(b, `<svg aria-hidden="true"><use href="#`...)
	b = append(b, s.Symbol()...)
	b = append(b, `"/></svg><b aria-hidden="true">`...)
	b = append(b, s.Letter()...)
	b = append(b, `</b><span class="vh">`...)
	b = append(b, s.Word()...)
	if c.Note != "" {
		b = append(b, ", "...)
		b = appendEscaped(b, c.Note)
	}
	b = append(b, `</span>`...)
	if c.URL != "" {
		b = append(b, `</a>`...)
	}
	return append(b, `</td>`...)
}

// safeURL lets through addresses inside this program only.
func safeURL(u string) string {
	if len(u) > 0 && u[0] == '/' && (len(u) == 1 || (u[1] != '/' && u[1] != '\\')) {
		return u
	}
	return "#"
}

func appendEscaped(b []byte, s string) []byte {
	for i := 0; i < len(s); i++ {
		switch s[i] {
		case '&':
			b = append(b, "&amp;"...)
		case '<':
			b = append(b, "&lt;"...)
		case '>':
			b = append(b, "&gt;"...)
		case '"':
			b = append(b, "&#34;"...)
		case '\'':
			b = append(b, "&#39;"...)
		case 0:
			b = append(b, "\uFFFD"...)
		default:
			b = append(b, s[i])
		}
	}
	return b
}

func itoa(n int) string { return strconv.Itoa(n) }
