package server

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// checkWall holds the sheet for the wall to the record: each cell stands under its
// apprentice and beside its skill, and says what the standing says.
func (s *salon) checkWall(r *reader, all map[string]*assessment.Apprenticeship) {
	ctx, today, prog := context.Background(), s.store.Today(r.scope()), curriculum.Default()
	_, page := r.get("/wall")
	cells := wallCells(s.T, page)
	people, err := s.store.Apprentices(ctx, r.scope())
	require.NoError(s, err)
	held, set := 0, 0
	for _, p := range people {
		for _, st := range all[p.Key].Standings(prog, today) {
			want := "–none set"
			if n := st.Permission.Now; n > 0 {
				want, set = "P"+string(rune('0'+n)), set+1
			}
			switch {
			case len(st.Holds) > 0:
				want, held = want+", on hold", held+1
			case st.Due:
				want += ", the next one is watched"
			}
			assert.Equal(s, want, cells[p.Name+" "+st.Skill.Title], "%s, %s", p.Name, st.Skill.ID)
		}
	}
	assert.Len(s, cells, 360, "6 apprentices, 60 skills")
	assert.NotZero(s, held)
	assert.Greater(s, set, 50)
}

// wallCells reads the tables of the wall: name and skill → what the cell says.
func wallCells(t *testing.T, page string) map[string]string {
	t.Helper()
	doc, err := html.Parse(strings.NewReader(page))
	require.NoError(t, err)
	cells := map[string]string{}
	var names []string
	for n := range doc.Descendants() {
		if n.Data != "tr" {
			continue
		}
		var row []string
		inHead := n.Parent.Data == "thead"
		for c := range n.ChildNodes() {
			text := ""
			for d := range c.Descendants() {
				if d.Type == html.TextNode {
					text += d.Data
				}
			}
			row = append(row, strings.TrimPrefix(text, "safety-critical: "))
		}
		switch {
		case inHead:
			names = row
		case len(row) == len(names):
			for i := 1; i < len(row); i++ {
				cells[names[i]+" "+row[0]] = row[i]
			}
		}
	}
	return cells
}
