package web

import (
	"bytes"
	"io"
	"strconv"
	"strings"
	"testing"
)

// BenchmarkMatrixPage renders the whole page of 25 apprentices and 60 skills.
// Its limit copies the frame and the legend, which say nothing about them, and
// writes the summary and the table from the same struct with nothing but
// append: the least any program could do for the same bytes. Read them as a
// ratio of one run:
//
//	go test ./server/web -run '^$' -bench . -count 6
//
// Goal: at most 5 of the limit.
func BenchmarkMatrixPage(b *testing.B) {
	m := fixtureMatrix(25)
	var page bytes.Buffer
	if err := Render(&page, m); err != nil {
		b.Fatal(err)
	}
	text := page.String()
	frame := make([]string, 0, 3)
	rest := text
	for _, mark := range [][2]string{{"\n  <h2>", "\n  <h2>The whole table"}, {`<table class="matrix`, "</table>"}} {
		before, _, _ := strings.Cut(rest, mark[0])
		frame = append(frame, before)
		if rest = rest[max(strings.Index(rest, mark[1]), 0):]; len(rest) == 0 || len(before) == 0 {
			b.Fatalf("the page has no %q", mark[1])
		}
	}
	frame = append(frame, rest)
	byHand := func(out []byte) []byte {
		out = append(out, frame[0]...)
		for i := range m.Units {
			out = handSummary(out, &m.Units[i], m.Columns)
		}
		out = append(out, frame[1]...)
		out = handTable(out, &m)
		return append(out, frame[2]...)
	}
	if got := string(byHand(nil)); got != text {
		at := 0
		for at < min(len(got), len(text)) && got[at] == text[at] {
			at++
		}
		b.Fatalf("from byte %d of %d on the page has %q, by hand it has %q", at, len(text), text[at:min(at+80, len(text))], got[at:min(at+80, len(got))])
	}

	b.Run("ours", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if err := Render(io.Discard, m); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("limit", func(b *testing.B) {
		b.ReportAllocs()
		var out []byte
		for b.Loop() {
			out = byHand(out[:0])
			if n, err := io.Discard.Write(out); n != len(text) || err != nil {
				b.Fatal(n, err)
			}
		}
	})
}

// handSummary appends the signed skills of one unit: a line and a bar for each
// apprentice.
func handSummary(b []byte, u *MatrixUnit, columns []MatrixColumn) []byte {
	b = append(b, "\n  <h2>"...)
	b = handText(b, u.Title)
	b = append(b, "</h2>\n  <ul class=\"tally\">"...)
	for i := range columns {
		var signed, held, all int64
		var n [6]int64 // in the order of the bar
		for j := range u.Rows {
			if u.Rows[j].Optional {
				continue
			}
			all++
			s := u.Rows[j].Cells[i].Standing
			switch s {
			case Signed:
				signed++
			case OnHold:
				held++
			}
			for k := range barOrder {
				if barOrder[k] == s {
					n[k]++
					break
				}
			}
		}
		b = append(b, `<li><a href="`...)
		b = handText(b, columns[i].URL)
		b = append(b, `"><b>`...)
		b = handText(b, columns[i].Name)
		b = append(b, `</b> <span>`...)
		b = strconv.AppendInt(b, signed, 10)
		b = append(b, ` of `...)
		b = strconv.AppendInt(b, all, 10)
		b = append(b, ` signed`...)
		if held > 0 {
			b = append(b, `, `...)
			b = strconv.AppendInt(b, held, 10)
			b = append(b, ` on hold`...)
		}
		b = append(b, `</span></a>`...)
		b = handBar(b, &n, all)
		b = append(b, `</li>`...)
	}
	return append(b, `</ul>`...)
}

func handBar(b []byte, n *[6]int64, all int64) []byte {
	b = append(b, `<svg class="bar" viewBox="0 0 600 20" preserveAspectRatio="none" aria-hidden="true">`...)
	at := 0.0
	for k, s := range barOrder {
		if n[k] == 0 {
			continue
		}
		width := 600 * float64(n[k]) / float64(all)
		b = append(b, `<rect class="bar-`...)
		b = append(b, s...)
		b = append(b, `" y="0" height="20" x="`...)
		b = strconv.AppendFloat(b, at, 'f', 1, 64)
		b = append(b, `" width="`...)
		b = strconv.AppendFloat(b, max(width-2, 1), 'f', 1, 64)
		b = append(b, `"/>`...)
		at += width
	}
	return append(b, `</svg>`...)
}

// handTable appends the table of a matrix page, without its closing tag.
func handTable(b []byte, m *Matrix) []byte {
	b = append(b, `<table class="matrix`...)
	if len(m.Columns) > 8 {
		b = append(b, ` many`...)
	}
	b = append(b, "\" data-grid>\n  <caption class=\"vh\">"...)
	b = handText(b, m.Caption)
	b = append(b, " Rows are skills, columns are apprentices.</caption>\n  <thead>\n    <tr>\n      <th scope=\"col\" class=\"corner\">Skill</th>"...)
	for i := range m.Columns {
		c := &m.Columns[i]
		b = append(b, "\n      <th scope=\"col\"><a href=\""...)
		b = handText(b, c.URL)
		b = append(b, `"><span>`...)
		b = handText(b, c.Name)
		b = append(b, `</span>`...)
		if c.Meta != "" {
			b = append(b, `<span class="soft">`...)
			b = handText(b, c.Meta)
			b = append(b, `</span>`...)
		}
		b = append(b, `</a></th>`...)
	}
	b = append(b, "\n    </tr>\n  </thead>"...)
	for i := range m.Units {
		b = handUnit(b, &m.Units[i], len(m.Columns))
	}
	if len(m.Foot) > 0 {
		b = append(b, "\n  <tfoot>"...)
		for _, f := range m.Foot {
			b = append(b, "\n    <tr><th scope=\"row\">"...)
			b = handText(b, f.Label)
			b = append(b, `</th>`...)
			for _, cell := range f.Cells {
				b = append(b, `<td>`...)
				b = handText(b, cell)
				b = append(b, `</td>`...)
			}
			b = append(b, `</tr>`...)
		}
		b = append(b, "\n  </tfoot>"...)
	}
	return append(b, '\n')
}

func handUnit(b []byte, u *MatrixUnit, columns int) []byte {
	b = append(b, "\n  <tbody>\n    <tr class=\"unit-row\" id=\"unit-"...)
	b = handText(b, u.ID)
	b = append(b, `"><th scope="rowgroup"><span>`...)
	b = handText(b, u.Title)
	b = append(b, `</span></th><td colspan="`...)
	b = strconv.AppendInt(b, int64(columns), 10)
	b = append(b, `"></td></tr>`...)
	for i := range u.Rows {
		r := &u.Rows[i]
		b = append(b, "\n    <tr><th scope=\"row\"><a href=\""...)
		b = handText(b, r.URL)
		b = append(b, `">`...)
		b = handText(b, r.Title)
		b = append(b, `</a>`...)
		if r.Safety {
			b = append(b, `<span class="safety small"><svg class="icon" aria-hidden="true"><use href="#i-paw"/></svg><span class="vh">safety-critical</span></span>`...)
		}
		if r.Optional {
			b = append(b, ` <span class="soft">by policy</span>`...)
		}
		b = append(b, `</th>`...)
		for j := range r.Cells {
			b = handCell(b, &r.Cells[j])
		}
		b = append(b, `</tr>`...)
	}
	return append(b, "\n  </tbody>"...)
}

// handCells is what stands before the address and after it in a cell.
var handCells = func() map[Standing][2]string {
	cells := map[Standing][2]string{}
	for s, w := range standingWords {
		cells[s] = [2]string{`<td class="mc st-` + string(s) + `"><a tabindex="-1" href="`,
			`"><svg aria-hidden="true"><use href="#st-` + string(s) + `"/></svg><b aria-hidden="true">` + w.letter + `</b><span class="vh">` + w.word}
	}
	return cells
}()

func handCell(b []byte, c *MatrixCell) []byte {
	around := handCells[c.Standing]
	b = append(b, around[0]...)
	b = handText(b, c.URL)
	b = append(b, around[1]...)
	if c.Note != "" {
		b = append(b, ", "...)
		b = handText(b, c.Note)
	}
	return append(b, `</span></a></td>`...)
}

// handText appends text, escaped; what needs no escaping is copied in runs.
func handText(b []byte, s string) []byte {
	from := 0
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
		default:
			continue
		}
		b = append(append(b, s[from:i]...), esc...)
		from = i + 1
	}
	return append(b, s[from:]...)
}
