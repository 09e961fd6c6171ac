package web

import (
	"flag"
	"html/template"
	"io/fs"
	"maps"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the golden files anew")

func templateEscape(w interface{ Write([]byte) (int, error) }, s string) {
	template.HTMLEscape(w, []byte(s))
}

func stylesheet(t *testing.T) string {
	t.Helper()
	css, err := fs.ReadFile(Static, "tablehand.css")
	if err != nil {
		t.Fatal(err)
	}
	return string(css)
}

// themes reads the custom properties of every theme. What a theme does not name
// it has from the one that lies under it.
func themes(t *testing.T) map[string]map[string]string {
	css := stylesheet(t)
	prop := regexp.MustCompile(`--([a-z0-9-]+):\s*(#[0-9a-fA-F]{3,6})\s*;`)
	read := func(from string, bases ...map[string]string) map[string]string {
		out := map[string]string{}
		for _, base := range bases {
			maps.Copy(out, base)
		}
		start := strings.Index(css, from)
		if start < 0 {
			t.Fatalf("%q is not in the sheet", from)
		}
		block := css[start:]
		block = block[strings.Index(block, ":root {"):]
		for _, m := range prop.FindAllStringSubmatch(block[:strings.Index(block, "}")], -1) {
			out[m[1]] = m[2]
		}
		return out
	}
	light := read(":root {")
	dark := read("@media (prefers-color-scheme: dark) {", light)
	more := read("@media (prefers-contrast: more) {", light)
	return map[string]map[string]string{"light": light, "dark": dark, "more": more, "print": read("@media print", light),
		"more dark": read("@media (prefers-contrast: more) and (prefers-color-scheme: dark) {", light, dark, more)}
}

func luminance(hex string) float64 {
	hex = strings.TrimPrefix(hex, "#")
	if len(hex) == 3 {
		hex = string([]byte{hex[0], hex[0], hex[1], hex[1], hex[2], hex[2]})
	}
	l := 0.0
	for i, share := range []float64{.2126, .7152, .0722} {
		n, _ := strconv.ParseUint(hex[2*i:2*i+2], 16, 8)
		c := float64(n) / 255
		if c <= .04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+.055)/1.055, 2.4)
		}
		l += share * c
	}
	return l
}

func contrast(a, b string) float64 {
	x, y := luminance(a), luminance(b)
	if x < y {
		x, y = y, x
	}
	return (x + .05) / (y + .05)
}

// moreContrast is what a reader gets who asks for more than the usual ratio:
// text that of WCAG 2.2, 1.4.6 (AAA); for edges and marks, where it has no
// higher step, that of text.
func moreContrast(usual float64) float64 {
	if usual < 4.5 {
		return 4.5
	}
	return 7
}

func TestContrast(t *testing.T) {
	pairs := []struct {
		fore, back string
		least      float64
	}{
		{"ink", "paper", 7}, {"ink", "card", 7}, {"ink", "sunk", 7},
		{"soft", "paper", 4.5}, {"soft", "card", 4.5}, {"soft", "sunk", 4.5},
		{"link", "paper", 4.5}, {"link", "card", 4.5}, {"link", "sunk", 4.5}, {"link", "s1", 4.5},
		{"on-spruce", "spruce", 4.5}, {"on-spruce", "spruce-down", 4.5},
		{"wrong", "paper", 4.5}, {"wrong", "card", 4.5}, {"wrong", "wrong-paper", 4.5}, {"ink", "wrong-paper", 4.5},
		{"care-ink", "care", 7},
		{"s0-ink", "s0", 4.5}, {"s1-ink", "s1", 4.5}, {"s2-ink", "s2", 4.5}, {"s3-ink", "s3", 4.5}, {"sh-ink", "sh", 4.5}, {"sh-ink", "sh-line", 4.5}, {"sl-ink", "sl", 4.5},
		// Edges of controls, the ring of the focus, marks in charts.
		{"edge", "paper", 3}, {"edge", "card", 3}, {"spruce", "card", 3}, {"spruce", "paper", 3}, {"spruce", "s1", 3}, {"focus", "paper", 3}, {"focus", "card", 3},
	}
	for name, theme := range themes(t) {
		for _, p := range pairs {
			if theme[p.fore] == "" || theme[p.back] == "" {
				t.Fatalf("%s: %s or %s is not in the sheet", name, p.fore, p.back)
			}
			least := p.least
			if strings.HasPrefix(name, "more") {
				least = moreContrast(least)
			}
			if c := contrast(theme[p.fore], theme[p.back]); c < least {
				t.Errorf("%s: %s on %s is %.2f, needs %.1f", name, p.fore, p.back, c, least)
			}
		}
	}
}

// The depths of standing run one way, so that more is always darker on light
// paper and lighter on dark.
func TestShadesRunOneWay(t *testing.T) {
	for name, theme := range themes(t) {
		for i := range 3 {
			a, b := theme["s"+itoa(i)], theme["s"+itoa(i+1)]
			if darker := luminance(a) > luminance(b); darker == strings.HasSuffix(name, "dark") {
				t.Errorf("%s: s%d and s%d are in the wrong order", name, i, i+1)
			}
			if contrast(a, b) < 1.2 {
				t.Errorf("%s: s%d and s%d are too close", name, i, i+1)
			}
		}
	}
}

func TestStandingsAreDistinct(t *testing.T) {
	symbol := regexp.MustCompile(`<symbol id="([^"]+)"[^>]*>(.*?)</symbol>`)
	drawn := map[string]string{}
	for _, m := range symbol.FindAllStringSubmatch(symbolSheet, -1) {
		drawn[m[1]] = m[2]
	}
	css := stylesheet(t)
	seen := map[string]Standing{}
	for _, s := range Standings {
		if !s.Known() || s.Word() == "" || s.Meaning() == "" {
			t.Errorf("%q has no words", s)
		}
		if drawn[s.Symbol()] == "" {
			t.Errorf("%s has no shape", s)
		}
		if !strings.Contains(css, "."+s.Class()+" {") {
			t.Errorf("%s has no shade", s)
		}
		for _, v := range []string{s.Word(), s.Letter(), drawn[s.Symbol()]} {
			if other, ok := seen[v]; ok {
				t.Errorf("%s and %s share %q", s, other, v)
			}
			seen[v] = s
		}
	}
	if Standing("ready").Known() {
		t.Error("an unknown standing is known")
	}
}

// Every class in a template has a rule or is known to need none, and the sheet
// loads nothing.
func TestStylesheet(t *testing.T) {
	css := stylesheet(t)
	for _, bad := range []string{"url(", "@import", "http:", "https:"} {
		if strings.Contains(css, bad) {
			t.Errorf("the sheet has %q", bad)
		}
	}
	if o, c := strings.Count(css, "{"), strings.Count(css, "}"); o != c {
		t.Errorf("%d braces open and %d close", o, c)
	}
	defined := map[string]bool{}
	for _, m := range regexp.MustCompile(`--([a-z0-9-]+):`).FindAllStringSubmatch(css, -1) {
		defined[m[1]] = true
	}
	for _, m := range regexp.MustCompile(`var\(--([a-z0-9-]+)\)`).FindAllStringSubmatch(css, -1) {
		if !defined[m[1]] {
			t.Errorf("--%s is used and not defined", m[1])
		}
	}
}

func TestChartPoints(t *testing.T) {
	fifty := make([]ChartPoint, 50)
	for i := range fifty {
		fifty[i] = ChartPoint{i - 10, i != 7, "day"}
	}
	for _, c := range []struct {
		points []ChartPoint
		say    string
	}{
		{nil, "There is no formal observation yet."},
		{[]ChartPoint{{1, true, "a"}}, "1 observation so far, 0 of them not clean; now at 1 point."},
		{[]ChartPoint{{-10, false, "a"}, {-9, true, "b"}}, "2 observations so far, 1 of them not clean; now at −9 points."},
		{fifty, "50 observations so far, 1 of them not clean; now at 39 points."},
	} {
		got := string(ChartPoints(c.points, 17, -10))
		if !strings.Contains(got, c.say) {
			t.Errorf("%d points: %q is not said in %s", len(c.points), c.say, got)
		}
		if strings.Contains(got, "NaN") || strings.Contains(got, "Inf") || strings.Contains(got, "style=") {
			t.Errorf("%d points: %s", len(c.points), got)
		}
		checkBalanced(t, got)
		if n := strings.Count(got, "<title>"); n != len(c.points) {
			t.Errorf("%d marks for %d points", n, len(c.points))
		}
	}
	if strings.Contains(string(ChartPoints(nil, 0, 0)), "NaN") {
		t.Error("a rule of nothing divides by nothing")
	}
}

// Golden pictures, so that a change of one is seen in review. Write them anew
// with: go test ./server/web -run TestPictures -update
func TestPictures(t *testing.T) {
	falling, flat := make([]float64, 101), make([]float64, 101)
	for i := range falling {
		falling[i], flat[i] = 1-float64(i)/100, 1
	}
	marks := []CurveMark{{.02, "acceptable"}, {.2, "unacceptable"}}
	for name, picture := range map[string]template.HTML{
		"points":     ChartPoints([]ChartPoint{{1, true, "1 March 2026, Biscuit"}, {-9, false, "2 March 2026, Tarn"}, {-10, false, "3 March 2026, Pip & Co"}, {-9, true, "4 March 2026, Fern"}}, 17, -10),
		"no-points":  ChartPoints(nil, 17, -10),
		"curves":     ChartCurves("curve", []Curve{{"this rule", falling, false}, {"three in a row", flat, true}}, marks, .4, "One falls, one stays."),
		"no-curves":  ChartCurves("curve", nil, nil, 0, "Nothing to draw."),
		"one-value":  ChartCurves("curve", []Curve{{"a <rule>", []float64{.5}, false}}, marks, .4, "One value."),
		"levels":     ChartLevels([]LevelPoint{{3, false, "1 March 2026, Biscuit"}, {4, true, "2 March 2026, Tarn & Co"}, {2, false, "3 March 2026, Pip"}, {4, true, "4 March 2026, Fern"}, {5, true, "5 March 2026, Moss"}, {4, true, "6 March 2026, Rook"}}, []float64{4, 4}),
		"no-levels":  ChartLevels(nil, nil),
		"spans":      ChartSpans("spans", "Shares", []Span{{"Same decision", .6, .9, .98}, {"Agreement on <clean>", .2, .5, .8}}),
		"no-spans":   ChartSpans("spans", "Shares", nil),
		"out-of-100": OutOf100(5),
	} {
		t.Run(name, func(t *testing.T) {
			checkBalanced(t, string(picture))
			for _, never := range []string{"NaN", "Inf", "style=", "<rule>"} {
				if strings.Contains(string(picture), never) {
					t.Errorf("%s stands in the picture", never)
				}
			}
			file := filepath.Join("testdata", name+".svg")
			text := strings.ReplaceAll(string(picture), "><", ">\n<") + "\n"
			if *update {
				if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if text != string(want) {
				t.Errorf("%s has changed:\n%s", file, text)
			}
		})
	}
}

func TestOutOf100(t *testing.T) {
	for n, want := range map[int]int{-3: 0, 0: 0, 5: 5, 100: 100, 140: 100} {
		if got := strings.Count(string(OutOf100(n)), `class="dot full"`); got != want {
			t.Errorf("OutOf100(%d) fills %d", n, got)
		}
	}
}

func TestUnitCounts(t *testing.T) {
	u := MatrixUnit{Rows: []MatrixRow{
		{Cells: []MatrixCell{{Standing: Signed}, {Standing: OnHold}}},
		{Optional: true, Cells: []MatrixCell{{Standing: Signed}, {Standing: Signed}}},
		{Cells: []MatrixCell{{Standing: NotStarted}}},
	}}
	one, two := u.Count(0), u.Count(1)
	if one.Has(Signed) != 1 || one.Of != 2 || two.Has(Signed) != 0 || two.Of != 1 || two.Has(OnHold) != 1 {
		t.Errorf("%+v %+v", one, two)
	}
	text := string(u.Tally([]MatrixColumn{{Name: "A<", URL: "/a"}, {Name: "B", URL: "//elsewhere"}}))
	checkBalanced(t, text)
	if strings.Contains(text, "A<") || strings.Contains(text, "elsewhere") || !strings.Contains(text, "1 of 2 signed") || !strings.Contains(text, "0 of 1 signed, 1 on hold") {
		t.Error(text)
	}
}
