package web

import "unicode/utf8"

// Wall is the sheet for the wall: what each apprentice may do today, and how far
// away somebody stands. It is one page of paper on its side for up to
// [MostOnASheet] apprentices.
type Wall struct {
	Shell
	Date      string // "Wednesday 20 May 2026"
	Programme string // name and version
	Levels    []WallLevel
	Columns   []WallColumn
	Units     []WallUnit
	Cautions  []string
}

// WallLevel is one step of trust, in words.
type WallLevel struct {
	Level int // 1–5
	Name  string
}

// WallColumn is one apprentice.
type WallColumn struct {
	Name string
	URL  string
	Held []string // what is on hold
}

// Long says whether the name needs small type to stand over its column.
func (c WallColumn) Long() bool { return utf8.RuneCountInString(c.Name) > 24 }

// WallUnit is a group of rows.
type WallUnit struct {
	Title string
	Rows  []WallRow
}

// WallRow is one skill with one cell for each column.
type WallRow struct {
	Title  string
	Safety bool
	Cells  []WallCell
}

// WallCell is what one apprentice may do with one skill.
type WallCell struct {
	Level   int  // P1–P5; 0 when none was set
	OnHold  bool // Level is the most that the hold allows
	Watched bool // out of use: the next one is watched
}

// Symbol is the id of the cell's drawing in the symbol sheet; what limits the
// level goes before the level.
func (c WallCell) Symbol() string {
	switch {
	case c.OnHold:
		return "st-on-hold"
	case c.Watched:
		return "i-eye"
	case c.Level > 0:
		return "p-" + itoa(c.Level)
	}
	return ""
}

const (
	// MostOnASheet is how many apprentices fit on one page of paper.
	MostOnASheet = 6
	// stacks is how many stacks of units stand side by side.
	stacks = 3
)

// WallSheet is one page of paper: some of the apprentices, all of the skills.
type WallSheet struct {
	N, Of   int // page n of so many
	Columns []WallColumn
	Stacks  [][]WallUnit
}

// Held is how many holds there are of those on the sheet.
func (s WallSheet) Held() (n int) {
	for _, c := range s.Columns {
		n += len(c.Held)
	}
	return n
}

// Sheets spreads the apprentices evenly over as few pages as hold them. The
// skills stand on each.
func (w Wall) Sheets() []WallSheet {
	of := (len(w.Columns) + MostOnASheet - 1) / MostOnASheet
	sheets := make([]WallSheet, of)
	for n := range sheets {
		from, to := n*len(w.Columns)/of, (n+1)*len(w.Columns)/of
		units := make([]WallUnit, len(w.Units))
		for i, u := range w.Units {
			units[i] = WallUnit{Title: u.Title, Rows: make([]WallRow, len(u.Rows))}
			for j, r := range u.Rows {
				r.Cells = r.Cells[from:to]
				units[i].Rows[j] = r
			}
		}
		sheets[n] = WallSheet{N: n + 1, Of: of, Columns: w.Columns[from:to], Stacks: stack(units)}
	}
	return sheets
}

// stack puts the units, in their order and unbroken, into stacks of which the
// tallest is as low as can be.
func stack(units []WallUnit) [][]WallUnit {
	for tall := 1; ; tall++ {
		var out [][]WallUnit
		height, fits := tall, true
		for i := range units {
			rows := len(units[i].Rows) + 1 // with its heading
			if height += rows; height > tall {
				out, height = append(out, nil), rows
			}
			fits = fits && rows <= tall
			out[len(out)-1] = append(out[len(out)-1], units[i])
		}
		if fits && len(out) <= stacks {
			return out
		}
	}
}
