package web

import (
	"slices"
	"testing"
)

// Each apprentice stands on exactly one sheet, in order, with their own cells, and
// no sheet holds more than fit.
func TestSheetsHoldEverybodyOnce(t *testing.T) {
	for people := 0; people <= 25; people++ {
		w := fixtureWall(people)
		for i := range w.Units {
			for j := range w.Units[i].Rows {
				for c := range people { // a cell says whose it is
					w.Units[i].Rows[j].Cells[c] = WallCell{Level: c}
				}
			}
		}
		var names []string
		sheets := w.Sheets()
		for n, s := range sheets {
			if len(s.Columns) == 0 || len(s.Columns) > MostOnASheet || s.N != n+1 || s.Of != len(sheets) {
				t.Errorf("%d people: sheet %d of %d holds %d", people, s.N, s.Of, len(s.Columns))
			}
			first := len(names)
			for _, c := range s.Columns {
				names = append(names, c.Name)
			}
			rows := 0
			for _, units := range s.Stacks {
				for _, u := range units {
					for _, r := range u.Rows {
						rows++
						for c, cell := range r.Cells {
							if cell.Level != first+c {
								t.Fatalf("%d people: a cell of %s stands under %s", people, w.Columns[cell.Level].Name, s.Columns[c].Name)
							}
						}
						if len(r.Cells) != len(s.Columns) {
							t.Fatalf("%d people: %d cells for %d columns", people, len(r.Cells), len(s.Columns))
						}
					}
				}
			}
			if rows != 60 {
				t.Errorf("%d people: %d skills on a sheet", people, rows)
			}
		}
		if !slices.Equal(names, apprenticeNames[:people]) {
			t.Errorf("%d people: %v", people, names)
		}
		if want := (people + MostOnASheet - 1) / MostOnASheet; len(sheets) != want {
			t.Errorf("%d people on %d sheets", people, len(sheets))
		}
	}
}

// The heights are the rows of the units and one more for each heading; the
// lowest tallest stack was found by hand.
func TestStacksAreEven(t *testing.T) {
	units := func(rows ...int) []WallUnit {
		var out []WallUnit
		for _, n := range rows {
			out = append(out, WallUnit{Rows: make([]WallRow, n)})
		}
		return out
	}
	for _, c := range []struct{ rows, want []int }{
		{[]int{5, 6, 4, 4, 6, 5, 9, 7, 6, 8}, []int{23, 23, 24}}, // the programme that ships
		{[]int{1, 1, 1}, []int{2, 2, 2}},
		{[]int{9, 1, 1, 1}, []int{10, 6}},
		{[]int{4}, []int{5}},
		{nil, nil},
	} {
		var got []int
		for _, s := range stack(units(c.rows...)) {
			height := 0
			for _, u := range s {
				height += len(u.Rows) + 1
			}
			got = append(got, height)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%v: stacks of %v, want %v", c.rows, got, c.want)
		}
	}
}

// What limits a level is drawn instead of it.
func TestWallSymbols(t *testing.T) {
	for c, want := range map[WallCell]string{{}: "", {Level: 1}: "p-1", {Level: 5}: "p-5", {Level: 5, Watched: true}: "i-eye",
		{Level: 3, OnHold: true}: "st-on-hold", {OnHold: true}: "st-on-hold", {Level: 3, OnHold: true, Watched: true}: "st-on-hold"} {
		if got := c.Symbol(); got != want || got != "" && !HasSymbol(got) {
			t.Errorf("%+v is drawn as %q", c, got)
		}
	}
}
