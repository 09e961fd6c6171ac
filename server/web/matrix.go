package web

import (
	"html/template"
	"slices"
	"strconv"
	"sync"
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
	WallURL string // the sheet for the wall; empty hides it
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
	var n UnitCount
	n.take(&u, column)
	return n
}

// take counts anew, in the list it already has.
func (n *UnitCount) take(u *MatrixUnit, column int) {
	n.Of, n.Counts = 0, n.Counts[:0]
	for _, s := range Standings {
		n.Counts = append(n.Counts, StandingCount{s, 0})
	}
	for i := range u.Rows {
		r := &u.Rows[i]
		if r.Optional || column >= len(r.Cells) {
			continue
		}
		for k := range n.Counts {
			if c := &n.Counts[k]; c.Standing == r.Cells[column].Standing {
				c.Count++
				n.Of++
				break
			}
		}
	}
	n.Counts = slices.DeleteFunc(n.Counts, func(c StandingCount) bool { return c.Count == 0 })
}

// Tally is the unit as a list, one line for each apprentice, for screens too
// narrow for the table.
func (u MatrixUnit) Tally(columns []MatrixColumn) template.HTML {
	return written(func(b []byte) []byte {
		b = append(b, `<ul class="tally">`...)
		var n UnitCount
		for i := range columns {
			col := &columns[i]
			n.take(&u, i)
			b = appendAround(b, `<li><a href="`, safeURL(col.URL), `">`)
			b = appendAround(b, `<b>`, col.Name, `</b> <span>`)
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
		return append(b, `</ul>`...)
	})
}

// Table is the table's contents after its caption, in pieces that are each
// small enough for the template package to print without a new buffer. The
// table is the largest thing the program shows, so it is written straight into
// a buffer, escaped by hand.
func (m Matrix) Table() []template.HTML {
	pieces := make([]template.HTML, 0, len(m.Units)+2)
	pieces = append(pieces, written(func(b []byte) []byte {
		b = append(b, "<thead>\n    <tr>\n      <th scope=\"col\" class=\"corner\">Skill</th>"...)
		for i := range m.Columns {
			b = appendHead(b, &m.Columns[i])
		}
		return append(b, "\n    </tr>\n  </thead>"...)
	}))
	for i := range m.Units {
		pieces = append(pieces, written(func(b []byte) []byte { return appendUnit(b, &m.Units[i], len(m.Columns)) }))
	}
	if len(m.Foot) == 0 {
		return pieces
	}
	return append(pieces, written(func(b []byte) []byte {
		b = append(b, "\n  <tfoot>"...)
		for _, f := range m.Foot {
			b = appendAround(b, "\n    <tr><th scope=\"row\">", f.Label, `</th>`)
			for _, c := range f.Cells {
				b = appendAround(b, `<td>`, c, `</td>`)
			}
			b = append(b, `</tr>`...)
		}
		return append(b, "\n  </tfoot>"...)
	}))
}

func appendHead(b []byte, c *MatrixColumn) []byte {
	b = appendAround(b, "\n      <th scope=\"col\"><a href=\"", safeURL(c.URL), `">`)
	b = appendAround(b, `<span>`, c.Name, `</span>`)
	if c.Meta != "" {
		b = appendAround(b, `<span class="soft">`, c.Meta, `</span>`)
	}
	return append(b, `</a></th>`...)
}

func appendUnit(b []byte, u *MatrixUnit, columns int) []byte {
	b = appendAround(b, "\n  <tbody>\n    <tr class=\"unit-row\" id=\"unit-", u.ID, `">`)
	b = appendAround(b, `<th scope="rowgroup"><span>`, u.Title, `</span></th><td colspan="`)
	b = strconv.AppendInt(b, int64(columns), 10)
	b = append(b, `"></td></tr>`...)
	for i := range u.Rows {
		r := &u.Rows[i]
		b = appendAround(b, "\n    <tr><th scope=\"row\"><a href=\"", safeURL(r.URL), `">`)
		b = appendAround(b, "", r.Title, `</a>`)
		if r.Safety {
			b = append(b, safetyMark...)
		}
		if r.Optional {
			b = append(b, ` <span class="soft">by policy</span>`...)
		}
		b = append(b, `</th>`...)
		for j := range r.Cells {
			b = appendCell(b, &r.Cells[j])
		}
		b = append(b, `</tr>`...)
	}
	return append(b, "\n  </tbody>"...)
}

var safetyMark = `<span class="safety small">` + string(icon("i-paw")) + `<span class="vh">safety-critical</span></span>`

// cellParts is what a cell has before its link and inside it.
var cellParts = func() map[Standing][2]string {
	parts := map[Standing][2]string{}
	for _, s := range Standings {
		parts[s] = [2]string{`<td class="mc ` + s.Class() + `">`,
			`<svg aria-hidden="true"><use href="#` + s.Symbol() + `"/></svg><b aria-hidden="true">` + s.Letter() + `</b><span class="vh">` + s.Word()}
	}
	return parts
}()

func appendCell(b []byte, c *MatrixCell) []byte {
	parts, known := cellParts[c.Standing]
	if !known {
		return append(b, `<td class="mc"></td>`...)
	}
	b = append(b, parts[0]...)
	if c.URL != "" {
		b = append(b, `<a tabindex="-1" href="`...)
		b = appendEscaped(b, safeURL(c.URL))
		b = append(b, `">`...)
	}
	b = append(b, parts[1]...)
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

var scratch = sync.Pool{New: func() any { b := make([]byte, 0, 64<<10); return &b }}

// written is what write appends, made in a buffer that is used again.
func written(write func([]byte) []byte) template.HTML {
	b := scratch.Get().(*[]byte)
	defer scratch.Put(b)
	*b = write((*b)[:0])
	return template.HTML(*b)
}

// appendAround appends text, escaped, between two pieces of markup.
func appendAround(b []byte, before, text, after string) []byte {
	b = append(b, before...)
	b = appendEscaped(b, text)
	return append(b, after...)
}

// safeURL lets through addresses inside this program only.
func safeURL(u string) string {
	if len(u) > 0 && u[0] == '/' && (len(u) == 1 || (u[1] != '/' && u[1] != '\\')) {
		return u
	}
	return "#"
}

func appendEscaped(b []byte, s string) []byte {
	from := 0 // what needs no escaping is copied in runs
	for i := range len(s) {
		esc := ""
		switch s[i] {
		case '&':
			esc = "&amp;"
		case '<':
			esc = "&lt;"
		case '>':
			esc = "&gt;"
		case '"':
			esc = "&#34;"
		case '\'':
			esc = "&#39;"
		case 0:
			esc = "\uFFFD"
		default:
			continue
		}
		b = append(append(b, s[from:i]...), esc...)
		from = i + 1
	}
	return append(b, s[from:]...)
}

func itoa(n int) string { return strconv.Itoa(n) }
