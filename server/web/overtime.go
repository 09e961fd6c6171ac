package web

import (
	"fmt"
	"html/template"
)

// OverTime is an apprentice's progress over time. Nobody else is in it.
type OverTime struct {
	Shell
	Name          string
	ApprenticeURL string
	Own           bool // the reader looks at their own
	LeftOut       string

	Months    template.HTML // empty while there are too few
	MonthsFew string        // said instead
	MonthRows []MonthRow

	Grooms    template.HTML
	GroomsFew string
	GroomRows []GroomLine // the newest first
}

// MonthRow is one month in the table beside the picture.
type MonthRow struct {
	Month       string // "May 2026", "May 2026, so far"
	Signed, New int
}

// MonthBar is the signed skills at the end of one month.
type MonthBar struct {
	Label  string // below the bar, "May"
	Signed int
}

// ChartMonths draws how many required skills counted as signed at the end of each
// month, as bars on an axis from none to all that are needed, so that two
// pictures can be laid beside each other.
func ChartMonths(bars []MonthBar, required int) template.HTML {
	slots := max(len(bars), 6)
	p := newPicture("months", "Signed skills at the end of each month", monthWords(bars, required), axes{0, float64(slots), 0, float64(max(required, 1))})
	p.across("chart-threshold", float64(required), "7 4")
	p.word(p.left()+4, p.y(float64(required))-5, "", fmt.Sprintf("%d needed", required))
	p.across("chart-zero", 0, "")
	p.word(p.left()-6, p.y(0)+4, "end", "0")
	for i, b := range bars {
		left, right, top := p.x(float64(i)+.18), p.x(float64(i)+.82), p.y(float64(b.Signed))
		p.write(`<rect class="chart-bar" fill="currentColor" stroke="none" x="%.1f" y="%.1f" width="%.1f" height="%.1f"/>`, left, top, right-left, p.y(0)-top)
		if every := (slots + 11) / 12; (len(bars)-1-i)%every == 0 { // the newest always has its words
			mid := (left + right) / 2
			y := top - 4
			if line := p.y(float64(required)); y-12 < line { // the line would cross the number
				y = line - 4
			}
			p.word(mid, y, "middle", itoa(b.Signed))
			p.word(mid, chartHeight-chartBottom+18, "middle", b.Label)
		}
	}
	return p.html()
}

func monthWords(bars []MonthBar, required int) string {
	if len(bars) == 0 {
		return "No month has passed yet."
	}
	first, last := bars[0], bars[len(bars)-1]
	return fmt.Sprintf("%s, from %d signed in %s to %d in %s, of %d that are needed.", plural(len(bars), "month", "months"), first.Signed, first.Label, last.Signed, last.Label, required)
}

// GroomDot is the mean level of one groom.
type GroomDot struct {
	Mean  float64 // 1 to 5
	Meets bool
	Label string // "2 March 2026, Biscuit"
}

// ChartGrooms draws the mean levels of grooms in the order they were made, with a
// line through middle, which has one value for each of the newest dots and is
// empty while they are too few for one.
func ChartGrooms(dots []GroomDot, middle []float64) template.HTML {
	meets := 0
	for _, d := range dots {
		if d.Meets {
			meets++
		}
	}
	words := fmt.Sprintf("%s, of which %d met the standard.", plural(len(dots), "groom", "grooms"), meets)
	if len(middle) > 1 {
		words += " The line is the middle of each five in a row."
	}
	p := newPicture("grooms", "Mean level of each groom, in order", words, axes{0, float64(max(len(dots), 10)) + 1, 1, 5})
	for l := 1; l <= 5; l++ {
		p.across("chart-grid", float64(l), "")
		p.word(p.left()-6, p.y(float64(l))+4, "end", "L"+itoa(l))
	}
	p.middleLine(len(dots), middle)
	for i, d := range dots {
		p.dot(float64(i+1), d.Mean, 4, d.Meets, fmt.Sprintf("%s: %.2f", d.Label, d.Mean))
	}
	for n := 5; n <= max(len(dots), 10); n += 5 {
		p.under(float64(n), itoa(n))
	}
	return p.html()
}
