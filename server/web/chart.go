package web

import (
	"fmt"
	"html/template"
)

// ChartPoint is the points after one observation.
type ChartPoint struct {
	Points int
	Clean  bool
	Label  string // "2 March 2026, Biscuit"
}

// ChartPoints draws the points of a skill observation by observation: a step
// line, the threshold above and the floor below. A clean observation is a
// filled dot, one that is not clean a crossed ring. Colours come from the
// stylesheet; without it the picture is drawn in the colour of the text.
func ChartPoints(points []ChartPoint, threshold, floor int) template.HTML {
	c := newPointsChart(points, threshold, floor)
	c.level("chart-threshold", threshold, "7 4")
	c.word(c.left()+4, c.y(float64(threshold))-5, "", "eligible here")
	c.level("chart-zero", 0, "")
	if floor < 0 {
		c.level("chart-floor", floor, "2 4")
		c.word(c.left()+4, c.y(float64(floor))+14, "", "debt stops here")
	}
	if len(points) == 0 {
		c.word((c.left()+c.right())/2, (c.y(float64(threshold))+c.y(0))/2+4, "middle", "no formal observation yet")
	} else {
		c.steps(points)
	}
	for i, p := range points {
		c.mark(i+1, p)
	}
	c.count()
	return c.html()
}

// pointsChart is the picture being drawn.
type pointsChart struct {
	*picture
	slots int // room for this many observations
}

func newPointsChart(points []ChartPoint, threshold, floor int) pointsChart {
	lo, hi, slots := min(floor, 0), threshold, max(len(points), 10)
	for _, p := range points {
		lo, hi = min(lo, p.Points), max(hi, p.Points)
	}
	return pointsChart{newPicture("points", "Points, observation by observation", chartWords(points, threshold, floor),
		axes{0, float64(slots), float64(lo), float64(max(hi, lo+1))}), slots}
}

func (c pointsChart) level(class string, points int, dash string) {
	c.across(class, float64(points), dash)
	c.word(c.left()-6, c.y(float64(points))+4, "end", signed(points))
}

func (c pointsChart) steps(points []ChartPoint) {
	c.write(`<path class="chart-path" stroke-width="2" stroke-linejoin="round" d="M%.1f %.1f`, c.x(0), c.y(0))
	for i, p := range points {
		c.write("H%.1fV%.1f", c.x(float64(i+1)), c.y(float64(p.Points)))
	}
	c.write(`"/>`)
}

func (c pointsChart) mark(n int, p ChartPoint) {
	x, y, r := c.x(float64(n)), c.y(float64(p.Points)), 4.0
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

func (c pointsChart) count() {
	step := 5
	if c.slots > 30 {
		step = 10
	}
	for n := step; n <= c.slots; n += step {
		c.under(float64(n), itoa(n))
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
