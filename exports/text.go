package exports

import (
	"strings"
	"time"
	"unicode/utf8"

	"tablehand/assessment"
)

// MaxText is the longest text a cell can hold, in UTF-16 code units.
const MaxText = 32767

// cutMark ends a text that was too long for a cell.
const cutMark = " … [cut: too long for a cell]"

const (
	yes = "yes"
	no  = "no"
)

func yesNo(b bool) string {
	if b {
		return yes
	}
	return no
}

// text is a cell of text, or an empty cell. A text that begins with = + - or
// @ stays text: it is stored as a string and never as a formula.
func text(s string) any {
	if s == "" {
		return nil
	}
	return clean(s)
}

// clean makes a text storable: what XML cannot hold becomes U+FFFD, and a
// text too long for a cell is cut with a mark instead of silently.
func clean(s string) string {
	plain := len(s) <= MaxText
	for i := 0; plain && i < len(s); i++ {
		plain = s[i] >= ' ' && s[i] < utf8.RuneSelf || s[i] == '\n'
	}
	if plain {
		return s
	}
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || r == '\n' || r == '\r':
			return r
		case r < ' ' || r == 0xFFFE || r == 0xFFFF:
			return utf8.RuneError
		}
		return r
	}, s)
	return cut(s)
}

func cut(s string) string {
	units, end := 0, 0
	room := MaxText - units16(cutMark)
	for i, r := range s {
		if units <= room {
			end = i
		}
		if units += unit16(r); units > MaxText {
			return s[:end] + cutMark
		}
	}
	return s
}

func units16(s string) (n int) {
	for _, r := range s {
		n += unit16(r)
	}
	return n
}

func unit16(r rune) int {
	if r > 0xFFFF {
		return 2
	}
	return 1
}

// A spreadsheet counts days from 30 December 1899; before 1 March 1900 the
// programs disagree, so such a date is written as text.
const (
	epochDays  = 25569
	firstExact = 61
)

// day is a date cell, or an empty one.
func day(d assessment.Day) any {
	switch {
	case d == 0:
		return nil
	case int(d)+epochDays < firstExact:
		return d.String()
	}
	return int(d) + epochDays
}

// instant is a date and time in UTC, cut to the second, or an empty cell. A
// ten-thousandth of a second is added so that a program that cuts the fraction
// of a day does not show the second before.
func instant(t time.Time) any {
	if t.IsZero() {
		return nil
	}
	return (float64(t.Unix()+epochDays*86400) + 1e-4) / 86400
}

// given is a whole number that may be missing; none is the value that stands
// for missing and gives an empty cell.
func given(n, none int) any {
	if n == none {
		return nil
	}
	return n
}
