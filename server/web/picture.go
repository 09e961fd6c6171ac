package web

import (
	"fmt"
	"html/template"
	"math"
	"strings"
)

// Size of a chart in its own units; text stays readable when the picture is as
// narrow as a phone.
const (
	chartWidth  = 440.0
	chartHeight = 250.0
	chartLeft   = 42.0
	chartRight  = 12.0
	chartTop    = 20.0
	chartBottom = 42.0
)

// axes is the range of a picture: values, not places on the page.
type axes struct{ left, right, low, high float64 }

// picture is what every chart shares: a title and a description for those who
// do not see it, axes, lines and words. Colours come from the stylesheet by
// class; without it everything is drawn in the colour of the text. The numbers
// stand in a table beside it.
type picture struct {
	b strings.Builder
	axes
}

// newPicture begins a picture. id is its own on the page; words describes what
// is to be seen.
func newPicture(id, title, words string, a axes) *picture {
	p := &picture{axes: a}
	id = "chart-" + id
	p.write(`<svg class="chart" viewBox="0 0 %.0f %.0f" role="img" aria-labelledby="%s-title %s-desc" fill="none" stroke="currentColor" font-size="12">`, chartWidth, chartHeight, id, id)
	p.write(`<title id="%s-title">%s</title><desc id="%s-desc">%s</desc>`, id, template.HTMLEscapeString(title), id, template.HTMLEscapeString(words))
	return p
}

func (p *picture) html() template.HTML {
	p.write(`</svg>`)
	return template.HTML(p.b.String())
}

func (p *picture) write(format string, args ...any) { fmt.Fprintf(&p.b, format, args...) }

func (p *picture) left() float64  { return chartLeft }
func (p *picture) right() float64 { return chartWidth - chartRight }

// x and y are the place of a value. An axis without length puts everything at
// its beginning.
func (p *picture) x(v float64) float64 {
	return chartLeft + (chartWidth-chartLeft-chartRight)*share(v-p.axes.left, p.axes.right-p.axes.left)
}

func (p *picture) y(v float64) float64 {
	return chartTop + (chartHeight-chartTop-chartBottom)*share(p.high-v, p.high-p.low)
}

func share(part, whole float64) float64 {
	if s := part / whole; !math.IsNaN(s) && !math.IsInf(s, 0) {
		return s
	}
	return 0
}

// across is a line over the whole width at a value; dash may be empty.
func (p *picture) across(class string, v float64, dash string) {
	p.line(class, p.left(), p.y(v), p.right(), p.y(v), dash)
}

// up is a line over the whole height at a value.
func (p *picture) up(class string, v float64, dash string) {
	p.line(class, p.x(v), chartTop, p.x(v), chartHeight-chartBottom, dash)
}

func (p *picture) line(class string, x1, y1, x2, y2 float64, dash string) {
	if dash != "" {
		dash = ` stroke-dasharray="` + dash + `"`
	}
	p.write(`<line class="%s" x1="%.1f" x2="%.1f" y1="%.1f" y2="%.1f"%s/>`, class, x1, x2, y1, y2, dash)
}

// under is a word below the picture at a value.
func (p *picture) under(v float64, text string) {
	x, anchor := p.x(v), "middle"
	if x > p.right()-10 { // the last one would be cut off
		x, anchor = p.right()+8, "end"
	}
	p.word(x, chartHeight-6, anchor, text)
}

func (p *picture) word(x, y float64, anchor, text string) {
	if anchor != "" {
		anchor = ` text-anchor="` + anchor + `"`
	}
	p.write(`<text class="chart-word" stroke="none" fill="currentColor" x="%.1f" y="%.1f"%s>%s</text>`, x, y, anchor, template.HTMLEscapeString(text))
}
