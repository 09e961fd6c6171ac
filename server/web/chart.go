package web

import (
	"fmt"
	"html/template"
	"strconv"
	"strings"
)

// ChartPoint is the points after one observation.
type ChartPoint struct {
	Points int
	Clean  bool
	Label  string // "2 March 2026, Biscuit"
}

// Size of the points chart in its own units; text stays readable when the
// picture is as narrow as a phone.
const (
	chartWidth  = 440.0
	chartHeight = 250.0
	chartLeft   = 34.0
	chartRight  = 12.0
	chartTop    = 20.0
	chartBottom = 42.0
)

// ChartPoints draws the points of a skill observation by observation: a step
// line, the threshold above and the floor below. A clean observation is a
// filled dot, one that is not clean a crossed ring. Colours come from the
// stylesheet; without it the picture is drawn in the colour of the text.
func ChartPoints(points []ChartPoint, threshold, floor int) template.HTML {
	c := newPointsChart(points, threshold, floor)
	c.write(`<svg class="chart" viewBox="0 0 %.0f %.0f" role="img" aria-labelledby="chart-points-title chart-points-desc" fill="none" stroke="currentColor" font-size="12">`, chartWidth, chartHeight)
	c.write(`<title id="chart-points-title">Points, observation by observation</title>`)
	c.write(`<desc id="chart-points-desc">%s</desc>`, template.HTMLEscapeString(chartWords(points, threshold, floor)))

	c.level("chart-threshold", threshold, ` stroke-dasharray="7 4"`)
	c.word(chartLeft+4, c.y(threshold)-5, "", "eligible here")
	c.level("chart-zero", 0, "")
	if floor < 0 {
		c.level("chart-floor", floor, ` stroke-dasharray="2 4"`)
		c.word(chartLeft+4, c.y(floor)+14, "", "debt stops here")
	}
	if len(points) == 0 {
		c.word((chartLeft+chartWidth-chartRight)/2, (c.y(threshold)+c.y(0))/2+4, "middle", "no formal observation yet")
	} else {
		c.path(points)
	}
	for i, p := range points {
		c.mark(i+1, p)
	}
	c.count()
	c.write(`</svg>`)
	return template.HTML(c.b.String())
}

// pointsChart is the picture being drawn.
type pointsChart struct {
	b      strings.Builder
	lo, hi int // range of points
	slots  int // room for this many observations
}

func newPointsChart(points []ChartPoint, threshold, floor int) *pointsChart {
	c := &pointsChart{lo: min(floor, 0), hi: threshold, slots: max(len(points), 10)}
	for _, p := range points {
		c.lo, c.hi = min(c.lo, p.Points), max(c.hi, p.Points)
	}
	c.hi = max(c.hi, c.lo+1)
	return c
}

func (c *pointsChart) write(format string, args ...any) { fmt.Fprintf(&c.b, format, args...) }

func (c *pointsChart) x(n int) float64 {
	return chartLeft + (chartWidth-chartLeft-chartRight)*float64(n)/float64(c.slots)
}

func (c *pointsChart) y(points int) float64 {
	return chartTop + (chartHeight-chartTop-chartBottom)*float64(c.hi-points)/float64(c.hi-c.lo)
}

func (c *pointsChart) level(class string, points int, dash string) {
	c.write(`<line class="%s" x1="%.1f" x2="%.1f" y1="%.1f" y2="%.1f"%s/>`, class, chartLeft, chartWidth-chartRight, c.y(points), c.y(points), dash)
	c.word(chartLeft-6, c.y(points)+4, "end", signed(points))
}

func (c *pointsChart) word(x, y float64, anchor, text string) {
	if anchor != "" {
		anchor = ` text-anchor="` + anchor + `"`
	}
	c.write(`<text class="chart-word" stroke="none" fill="currentColor" x="%.1f" y="%.1f"%s>%s</text>`, x, y, anchor, text)
}

func (c *pointsChart) path(points []ChartPoint) {
	c.write(`<path class="chart-path" stroke-width="2" stroke-linejoin="round" d="M%.1f %.1f`, c.x(0), c.y(0))
	for i, p := range points {
		c.write("H%.1fV%.1f", c.x(i+1), c.y(p.Points))
	}
	c.write(`"/>`)
}

func (c *pointsChart) mark(n int, p ChartPoint) {
	x, y, r := c.x(n), c.y(p.Points), 4.0
	if c.slots > 30 {
		r = 3
	}
	title := fmt.Sprintf(`<title>%s: %s points</title>`, template.HTMLEscapeString(p.Label), signed(p.Points))
	if p.Clean {
		c.write(`<circle class="chart-clean" fill="currentColor" cx="%.1f" cy="%.1f" r="%.1f">%s</circle>`, x, y, r, title)
		return
	}
	d := (r + 1.5) / 2
	c.write(`<g class="chart-fault" stroke-width="2"><circle cx="%.1f" cy="%.1f" r="%.1f"/>`, x, y, r+2.5)
	c.write(`<path d="M%.1f %.1fL%.1f %.1fM%.1f %.1fL%.1f %.1f"/>%s</g>`, x-d, y-d, x+d, y+d, x-d, y+d, x+d, y-d, title)
}

func (c *pointsChart) count() {
	step := 5
	if c.slots > 30 {
		step = 10
	}
	for n := step; n <= c.slots; n += step {
		c.word(c.x(n), chartHeight-6, "middle", itoa(n))
	}
}

func chartWords(points []ChartPoint, threshold, floor int) string {
	say := fmt.Sprintf("Eligible at %s points; debt stops at %s. ", signed(threshold), signed(floor))
	if len(points) == 0 {
		return say + "There is no formal observation yet."
	}
	faults := 0
	for _, p := range points {
		if !p.Clean {
			faults++
		}
	}
	return say + fmt.Sprintf("%s so far, %d of them not clean; now at %s.",
		plural(len(points), "observation", "observations"), faults, pointsWord(points[len(points)-1].Points))
}

func pointsWord(n int) string {
	if n == 1 {
		return "1 point"
	}
	return signed(n) + " points"
}

// signed writes a whole number with a true minus sign.
func signed(n int) string {
	if n < 0 {
		return "−" + itoa(-n)
	}
	return itoa(n)
}

// OutOf100 draws n of a hundred dots filled, from the first one on, in rows of
// ten. The words beside the picture say what a dot is.
func OutOf100(n int) template.HTML {
	n = max(0, min(100, n))
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="hundred" viewBox="0 0 120 120" role="img" aria-label="%d of 100 dots are filled" stroke="currentColor">`, n)
	for i := range 100 {
		class, fill := "dot", "none"
		if i < n {
			class, fill = "dot full", "currentColor"
		}
		fmt.Fprintf(&b, `<circle class="%s" fill="%s" cx="%d" cy="%d" r="4"/>`, class, fill, 6+12*(i%10), 6+12*(i/10))
	}
	b.WriteString(`</svg>`)
	return template.HTML(b.String())
}

// barOrder is the order of the parts of a bar: what is done first.
var barOrder = []Standing{Signed, Eligible, Practising, OnHold, Lapsed, NotStarted}

// StandingBar draws how many skills have each standing as one bar. The words
// and numbers stand beside it.
func StandingBar(counts []StandingCount) template.HTML {
	return template.HTML(appendBar(nil, counts))
}

func appendBar(b []byte, counts []StandingCount) []byte {
	of := func(s Standing) (n int) {
		for _, c := range counts {
			if c.Standing == s {
				n += max(0, c.Count)
			}
		}
		return n
	}
	total := 0
	for _, s := range barOrder {
		total += of(s)
	}
	if total == 0 {
		return b
	}
	b = append(b, `<svg class="bar" viewBox="0 0 600 20" preserveAspectRatio="none" aria-hidden="true">`...)
	at := 0.0
	for _, s := range barOrder {
		n := of(s)
		if n == 0 {
			continue
		}
		width := 600 * float64(n) / float64(total)
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
