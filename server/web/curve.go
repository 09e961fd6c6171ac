package web

import (
	"fmt"
	"html/template"
)

// Curve is the chance of eligibility over the fault rate, of one rule.
type Curve struct {
	Name   string
	Chance []float64 // 0 to 1, at evenly spaced rates from 0 to Up
	Dashed bool
}

// CurveMark is a fault rate that the rule names: acceptable or not.
type CurveMark struct {
	Rate float64 // 0 to 1
	Word string
}

// ChartCurves draws how likely each rule is to make an apprentice eligible, over
// the true fault rate from 0 to up. words describes the picture.
func ChartCurves(id string, curves []Curve, marks []CurveMark, up float64, words string) template.HTML {
	p := newPicture(id, "Chance of becoming eligible, by true fault rate", words, axes{0, up, 0, 1})
	for _, v := range []float64{0, .25, .5, .75, 1} {
		class := "chart-grid"
		if v == 0 {
			class = "chart-zero"
		}
		p.across(class, v, "")
		p.word(p.left()-6, p.y(v)+4, "end", fmt.Sprintf("%.0f %%", 100*v))
	}
	for i := 0; i <= 4; i++ {
		v := up * float64(i) / 4
		p.under(v, fmt.Sprintf("%.0f %%", 100*v))
	}
	for _, m := range marks {
		p.up("chart-floor", m.Rate, "2 4")
		p.word(p.x(m.Rate)+4, chartTop-7, "", m.Word)
	}
	for _, c := range curves {
		p.curve(c, up)
	}
	return p.html()
}

// curve draws one line and writes its name where it has come halfway down.
func (p *picture) curve(c Curve, up float64) {
	class, dash := "chart-line", ""
	if c.Dashed {
		class, dash = "chart-line other", ` stroke-dasharray="6 4"`
	}
	p.write(`<path class="%s" stroke-width="2.5" stroke-linejoin="round"%s d="`, class, dash)
	// A curve that never comes down has its name under its end.
	named, nameX, nameY, anchor := false, p.right(), p.y(1)+16, "end"
	for i, v := range c.Chance {
		rate := up * share(float64(i), float64(len(c.Chance)-1))
		step := "L"
		if i == 0 {
			step = "M"
		}
		p.write("%s%.1f %.1f", step, p.x(rate), p.y(v))
		if !named && v <= .6 {
			named, nameX, nameY, anchor = true, p.x(rate)+8, p.y(v)+4, ""
		}
	}
	p.write(`"/>`)
	p.word(nameX, nameY, anchor, c.Name)
}
