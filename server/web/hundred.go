package web

import (
	"fmt"
	"html/template"
	"strconv"
	"strings"
)

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
