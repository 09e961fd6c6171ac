package curriculum

import (
	"fmt"
	"sort"
	"strings"
)

// Mistake is one thing wrong with a programme file, in words for whoever
// edits it.
type Mistake struct {
	File         string
	Line, Column int    // 1-based; 0 when the mistake has no single place
	Excerpt      string // the line as it stands in the file
	Problem      string // what was found
	Do           string // what to do about it
}

// Error gives the mistake on its own: place, problem, excerpt and remedy.
func (m Mistake) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s:%d:%d: %s\n", m.File, m.Line, m.Column, m.Problem)
	if m.Excerpt != "" {
		gutter := fmt.Sprintf("%5d | ", m.Line)
		fmt.Fprintf(&b, "%s%s\n%s^\n", gutter, m.Excerpt, strings.Repeat(" ", len(gutter)+m.Column-1))
	}
	fmt.Fprintf(&b, "      → %s\n", m.Do)
	return b.String()
}

// Mistakes is every mistake found in one file, in file order.
type Mistakes []Mistake

// Error lists all of them, with a count first.
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
	mistakes Mistakes
}

type place struct{ line, column int }

func newPage(file string, data []byte) *page {
	return &page{file: file, lines: strings.Split(string(data), "\n"), places: map[string]place{}}
}

// at records a mistake at the place of a value. When the value itself is not
// in the file (a missing key), the nearest enclosing value is pointed at.
func (p *page) at(path, problem, do string, args ...any) {
	pl, ok := p.places[path]
	for !ok && path != "" {
		path = path[:max(strings.LastIndexAny(path, ".["), 0)]
		pl, ok = p.places[path]
	}
	p.atPlace(pl, problem, do, args...)
}

func (p *page) atPlace(pl place, problem, do string, args ...any) {
	if len(args) > 0 {
		problem = fmt.Sprintf(problem, args...)
	}
	pl.line, pl.column = max(pl.line, 1), max(pl.column, 1)
	m := Mistake{File: p.file, Line: pl.line, Column: pl.column, Problem: problem, Do: do}
	if pl.line <= len(p.lines) {
		m.Excerpt = strings.TrimRight(p.lines[pl.line-1], "\r")
	}
	p.mistakes = append(p.mistakes, m)
}
