package web

import (
	"fmt"
	"html/template"
)

// LevelPoint is one level that was seen.
type LevelPoint struct {
	Level int // 1 to 5
	Clean bool
	Label string // "2 March 2026, Biscuit"
}

// ChartLevels draws the levels of a skill in the order they were seen, as dots,
// with a line through middle, which has one value for each of the newest dots and
// is empty while they are too few for one. Levels are steps, so the axis has no
// decimals.
func ChartLevels(points []LevelPoint, middle []float64) template.HTML {
	slots := max(len(points), 10)
	p := newPicture("levels", "Levels, in the order they were seen", levelWords(points, len(middle) > 0), axes{0, float64(slots) + 1, 1, 5})
	for l := 1; l <= 5; l++ {
		p.across("chart-grid", float64(l), "")
		p.word(p.left()-6, p.y(float64(l))+4, "end", "L"+itoa(l))
	}
	p.middleLine(len(points), middle)
	r := 4.0
	if slots > 30 {
		r = 3
	}
	for i, pt := range points {
		p.dot(float64(i+1), float64(pt.Level), r, pt.Clean, fmt.Sprintf("%s: L%d", pt.Label, pt.Level))
	}
	step := 5
	if slots > 30 {
		step = 10
	}
	for n := step; n <= slots; n += step {
		p.under(float64(n), itoa(n))
	}
	return p.html()
}

// middleLine is the line through middle values, of which the last belongs to dot
// number n; nothing for fewer than two.
func (p *picture) middleLine(n int, middle []float64) {
	if len(middle) < 2 {
		return
	}
	p.write(`<path class="chart-path" stroke-width="2" stroke-linejoin="round" d="`)
	for i, v := range middle {
		step := "L"
		if i == 0 {
			step = "M"
		}
		p.write("%s%.1f %.1f", step, p.x(float64(n-len(middle)+i+1)), p.y(v))
	}
	p.write(`"/>`)
}

// dot is a filled dot where it went well, and a ring where it did not.
func (p *picture) dot(x, y, r float64, well bool, title string) {
	class, fill := "chart-fault", "none"
	if well {
		class, fill = "chart-clean", "currentColor"
	}
	p.write(`<circle class="%s" fill="%s" stroke-width="1.8" cx="%.1f" cy="%.1f" r="%.1f"><title>%s</title></circle>`,
		class, fill, p.x(x), p.y(y), r, template.HTMLEscapeString(title))
}

func levelWords(points []LevelPoint, middle bool) string {
	if len(points) == 0 {
		return "Nothing has been seen yet."
	}
	var at [6]int
	for _, p := range points {
		at[min(max(p.Level, 0), 5)]++
	}
	say := plural(len(points), "observation", "observations") + ":"
	for l := 5; l >= 1; l-- {
		if at[l] > 0 {
			say += fmt.Sprintf(" L%d %d times,", l, at[l])
		}
	}
	say = say[:len(say)-1] + "."
	if middle {
		say += " The line is the middle of each five in a row."
	}
	return say
}

// Span is a share with its range, for a picture of several.
type Span struct {
	Name             string
	Low, Value, High float64 // 0 to 1
}

// ChartSpans draws shares with their ranges below each other, on one axis from 0
// to 100.
func ChartSpans(id, title string, spans []Span) template.HTML {
	words := ""
	for _, s := range spans {
		words += fmt.Sprintf("%s: %.0f in 100, from %.0f to %.0f. ", s.Name, 100*s.Value, 100*s.Low, 100*s.High)
	}
	p := newPicture(id, title, words, axes{0, 1, 0, float64(max(len(spans), 1))})
	for _, v := range []float64{0, .25, .5, .75, 1} {
		p.up("chart-grid", v, "")
		p.under(v, fmt.Sprintf("%.0f", 100*v))
	}
	for i, s := range spans {
		y := p.y(float64(len(spans)-i) - .5)
		p.line("chart-line", p.x(s.Low), y, p.x(s.High), y, "")
		for _, end := range []float64{s.Low, s.High} {
			p.line("chart-line", p.x(end), y-5, p.x(end), y+5, "")
		}
		p.write(`<circle class="chart-clean" fill="currentColor" cx="%.1f" cy="%.1f" r="4.5"/>`, p.x(s.Value), y)
		p.word(p.left()+4, y-9, "", s.Name)
	}
	return p.html()
}
