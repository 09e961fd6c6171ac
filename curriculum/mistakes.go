package curriculum

import (
	"fmt"
	"sort"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Mistake is one thing wrong with a programme file, in words for whoever
// edits it.
type Mistake struct {
	File         string
	Line, Column int    // 1-based; the column counts characters, not bytes
	Excerpt      string // the line as it stands in the file, without blanks at its end
	Problem      string // what was found
	Do           string // what to do about it
}

// Error gives the mistake on its own: place, problem, excerpt and remedy.
func (m Mistake) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s:%d:%d: %s\n", m.File, m.Line, m.Column, m.Problem)
	if m.Excerpt != "" {
		gutter := fmt.Sprintf("%5d | ", m.Line)
		text, column := window([]rune(m.Excerpt), m.Column)
		fmt.Fprintf(&b, "%s%s\n%s%s^\n", gutter, string(text), strings.Repeat(" ", len(gutter)), blanks(text[:min(column-1, len(text))]))
	}
	fmt.Fprintf(&b, "      → %s\n", m.Do)
	return b.String()
}

// longest is the most characters of a line that are shown.
const longest = 120

// window cuts a long line to the part around a column, and moves the column
// with it.
func window(line []rune, column int) ([]rune, int) {
	if len(line) <= longest {
		return line, column
	}
	from := min(max(column-1-longest/2, 0), len(line)-longest)
	part := append([]rune{}, line[from:from+longest]...)
	if from > 0 {
		part[0] = '…'
	}
	if from+longest < len(line) {
		part[longest-1] = '…'
	}
	return part, column - from
}

// blanks is as wide on screen as the text: a tab stays a tab, and a character
// that takes two cells gives two blanks.
func blanks(text []rune) string {
	var b strings.Builder
	for _, r := range text {
		switch {
		case r == '\t':
			b.WriteByte('\t')
		case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		case unicode.In(r, wide):
			b.WriteString("  ")
		default:
			b.WriteByte(' ')
		}
	}
	return b.String()
}

// wide holds the East Asian scripts and pictures that a terminal draws two
// cells wide: the blocks of class W and F in Unicode Standard Annex 11.
var wide = &unicode.RangeTable{
	R16: []unicode.Range16{{0x1100, 0x115f, 1}, {0x2e80, 0x303e, 1}, {0x3041, 0xa4cf, 1}, {0xac00, 0xd7a3, 1}, {0xf900, 0xfaff, 1}, {0xfe30, 0xfe6f, 1}, {0xff01, 0xff60, 1}, {0xffe0, 0xffe6, 1}},
	R32: []unicode.Range32{{0x1f300, 0x1f64f, 1}, {0x1f680, 0x1f6ff, 1}, {0x1f900, 0x1f9ff, 1}, {0x1fa70, 0x1faff, 1}, {0x20000, 0x3fffd, 1}},
}

// Mistakes is every mistake found in one file, in file order.
type Mistakes []Mistake

// mostTold is the most mistakes that Error lists.
const mostTold = 100

// Error lists them, with a count first.
func (ms Mistakes) Error() string {
	var b strings.Builder
	if len(ms) == 1 {
		b.WriteString("1 mistake\n\n")
	} else {
		fmt.Fprintf(&b, "%d mistakes\n\n", len(ms))
	}
	for i, m := range ms {
		if i > 0 {
			b.WriteByte('\n')
		}
		if i == mostTold {
			fmt.Fprintf(&b, "… and %d more; put these right first\n", len(ms)-i)
			break
		}
		b.WriteString(m.Error())
	}
	return b.String()
}

func (ms Mistakes) inFileOrder() Mistakes {
	sort.SliceStable(ms, func(i, j int) bool {
		if ms[i].Line != ms[j].Line {
			return ms[i].Line < ms[j].Line
		}
		return ms[i].Column < ms[j].Column
	})
	return ms
}

// page collects mistakes against one file and knows where each value stands.
type page struct {
	file     string
	lines    []string
	places   map[string]place
	unread   map[string]bool // values that could not be read at all
	mistakes Mistakes
}

type place struct{ line, column int }

func newPage(file, text string) *page {
	return &page{file: file, lines: strings.Split(text, "\n"), places: map[string]place{}, unread: map[string]bool{}}
}

// at records a mistake at the place of a value. When the value itself is not
// in the file (a missing key), the nearest enclosing value is pointed at. What
// would only follow from a value that could not be read is not told.
func (p *page) at(path, problem, do string, args ...any) {
	for up := path; ; up = parent(up) {
		if p.unread[up] {
			return
		}
		if up == "" {
			break
		}
	}
	pl, ok := p.places[path]
	for !ok && path != "" {
		path = parent(path)
		pl, ok = p.places[path]
	}
	p.atPlace(pl, problem, do, args...)
}

// misread records that a value could not be read.
func (p *page) misread(path, problem, do string, args ...any) {
	p.at(path, problem, do, args...)
	p.unread[path] = true
}

// unreadIn reports whether any value below a path could not be read.
func (p *page) unreadIn(path string) bool {
	for at := range p.unread {
		if strings.HasPrefix(at, path) {
			return true
		}
	}
	return false
}

// parent is the path of the enclosing value.
func parent(path string) string { return path[:max(strings.LastIndexAny(path, ".["), 0)] }

func (p *page) atPlace(pl place, problem, do string, args ...any) {
	if len(args) > 0 {
		problem = fmt.Sprintf(problem, args...)
	}
	line := min(max(pl.line, 1), len(p.lines)) // the parser can point behind the end
	excerpt := p.lines[line-1]
	column := min(max(pl.column, 1), utf8.RuneCountInString(excerpt)+1)
	p.mistakes = append(p.mistakes, Mistake{File: p.file, Line: line, Column: column, Excerpt: excerpt, Problem: problem, Do: do})
}
