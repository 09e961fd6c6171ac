package web

import (
	"strings"
	"testing"
)

// The words of a picture say what it shows, and every month or groom is drawn;
// the axis does not depend on what was reached.
func TestPicturesOverTime(t *testing.T) {
	for _, n := range []int{0, 1, 3, 14, 36} {
		bars, dots := make([]MonthBar, n), make([]GroomDot, n)
		for i := range bars {
			bars[i] = MonthBar{"May", i}
			dots[i] = GroomDot{Mean: 3.5, Meets: i%2 == 0, Label: `<b>"Moss"`}
		}
		months, grooms := string(ChartMonths(bars, 58)), string(ChartGrooms(dots, nil))
		if got := strings.Count(months, `class="chart-bar"`); got != n {
			t.Errorf("%d bars for %d months", got, n)
		}
		if n > 0 && !strings.Contains(months, plural(n, "month", "months")+", from 0 signed in May to "+itoa(n-1)+" in May, of 58 that are needed.") {
			t.Errorf("%d months: %.300s", n, months)
		}
		// 250 high, 20 above and 42 below: 58 of 58 stands at the top.
		if !strings.Contains(months, `class="chart-threshold" x1="42.0" x2="428.0" y1="20.0"`) {
			t.Errorf("%d months: the line of what is needed is not at the top", n)
		}
		if got := strings.Count(grooms, "<circle"); got != n {
			t.Errorf("%d dots for %d grooms", got, n)
		}
		if filled := strings.Count(grooms, `class="chart-clean"`); filled != (n+1)/2 {
			t.Errorf("%d of %d are filled", filled, n)
		}
		for _, svg := range []string{months, grooms} {
			if strings.Contains(svg, "NaN") || strings.Contains(svg, "<b>") || strings.Count(svg, "</svg>") != 1 {
				t.Errorf("%d: %.200s", n, svg)
			}
		}
	}
}
