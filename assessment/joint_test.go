package assessment_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/assessment/agreement"
	"tablehand/curriculum"
)

// twice is a groom that X and Y rated, with every criterion at the levels given.
func twice(first, second string, a, b int) assessment.RatedTwice {
	p := curriculum.Default()
	one := func(by string, level int) *assessment.Groom {
		g := &assessment.Groom{Assessor: by, Marks: map[string]assessment.Mark{}}
		for _, c := range p.Rubric.Criteria {
			g.Marks[c.ID] = assessment.Mark{Level: level}
		}
		return g
	}
	return assessment.RatedTwice{Programme: p, First: one(first, a), Second: one(second, b)}
}

func TestAssessorPairs(t *testing.T) {
	p := curriculum.Default()
	name := func(key string) string { return "Assessor " + key }
	list := []assessment.RatedTwice{twice("X", "Y", 4, 4), twice("Y", "X", 3, 5), twice("X", "Y", 4, 5), twice("X", "Y", 3, 3), twice("Y", "X", 4, 4), twice("Z", "Y", 4, 4)}
	pairs := assessment.AssessorPairs(p, list, name)
	require.Len(t, pairs, 2)
	xy := pairs[0]
	assert.Equal(t, [2]string{"X", "Y"}, [2]string{xy.A, xy.B})
	assert.Equal(t, 5, xy.Whole.Grooms)
	d := xy.Whole.Decisions
	assert.Equal(t, [4]int{3, 1, 0, 1}, [4]int{d.BothClean, d.OnlyAClean, d.OnlyBClean, d.NeitherClean}, "the second groom: Y first with 3, X second with 5")
	assert.True(t, xy.Whole.SameDecision.Shown)
	assert.InDelta(t, 0.8, xy.Whole.SameDecision.Value.Value, 1e-15)
	assert.False(t, xy.Whole.BeyondLuck.Shown, "five grooms are too few for it")
	for _, c := range xy.Criteria {
		assert.Equal(t, [4]int{3, 5, 4, 5}, [4]int{c.SameLevel.Hits, c.SameLevel.Of, c.Clean.Hits, c.Clean.Of}, c.Criterion.ID)
	}
	assert.Equal(t, [2]string{"Y", "Z"}, [2]string{pairs[1].A, pairs[1].B})
	assert.False(t, pairs[1].Whole.SameDecision.Shown)
	assert.Empty(t, assessment.AssessorPairs(p, nil, name))
}

func TestDoublesWanted(t *testing.T) {
	have := map[string]int{"AB": 1, "BC": 2}
	got := assessment.DoublesWanted([]string{"A", "B", "C"}, map[string]int{"A": 40, "B": 20, "C": 1}, func(a, b string) int { return have[a+b] })
	// Two others each: one in twenty of the grooms of both, rounded up.
	assert.Equal(t, []assessment.Doubles{{"A", "C", 0, 3}, {"A", "B", 1, 3}, {"B", "C", 2, 2}}, got)
	assert.Empty(t, assessment.DoublesWanted([]string{"A"}, map[string]int{"A": 40}, nil))
	assert.Empty(t, assessment.DoublesWanted([]string{"A", "B"}, nil, nil))
}

func TestSecondRefuses(t *testing.T) {
	first := &assessment.Groom{Apprentice: "P", Assessor: "X", Day: 100, Dog: "Biscuit"}
	good := assessment.Second{First: first, Person: "Y", Role: assessment.Assessor, Today: 107}
	assert.Empty(t, good.Refuse())
	for name, change := range map[string]func(s *assessment.Second){
		"apprentice": func(s *assessment.Second) { s.Role = assessment.Apprentice },
		"self":       func(s *assessment.Second) { s.Person = "X" },
		"own work":   func(s *assessment.Second) { s.Person = "P" },
		"corrected":  func(s *assessment.Second) { s.Corrected = true },
		"opened":     func(s *assessment.Second) { s.Opened = true },
		"twice":      func(s *assessment.Second) { s.Already = true },
		"late":       func(s *assessment.Second) { s.Today = 108 },
		"of second":  func(s *assessment.Second) { s.First = &assessment.Groom{Assessor: "X", Day: 100, SecondOf: "k"} },
	} {
		s := good
		change(&s)
		assert.NotEmpty(t, s.Refuse(), name)
	}
}

// Twenty grooms by three assessors with gaps, one of them by all three. Alpha by its
// definition: observed disagreement over the one expected from all pairable values
// (Krippendorff 2011); of one groom's three values, each pair has half the say.
func TestAllAssessors(t *testing.T) {
	var list []assessment.RatedTwice
	levels := map[int][]int{}
	add := func(groom int, first, second string, a, b int) {
		one := twice(first, second, a, b)
		one.Second.SecondOf = fmt.Sprint("groom ", groom)
		list = append(list, one)
		if levels[groom] == nil {
			levels[groom] = []int{a}
		}
		levels[groom] = append(levels[groom], b)
	}
	for i := range 19 {
		second := 4
		if i%5 == 0 {
			second = 3
		}
		add(i, "X", []string{"Y", "Z"}[i%2], 4-i%7/6, second)
	}
	few := assessment.AllAssessors(list)
	assert.False(t, few.Alpha.Figure.Shown)
	assert.Contains(t, few.Alpha.Figure.Sentence, "20 grooms that two or more called clean or not clean; so far 19.")
	add(19, "Y", "Z", 3, 3)
	add(19, "Y", "X", 3, 4)
	g := assessment.AllAssessors(list)
	require.True(t, g.Alpha.Figure.Shown, g.Alpha.Figure.Sentence)
	assert.Equal(t, [2]int{20, 3}, [2]int{g.Alpha.Grooms, g.Alpha.Assessors}, "a groom rated three times is one groom")
	differ, clean, n := 0.0, 0.0, 0.0
	for _, marks := range levels {
		for i, a := range marks {
			n++
			if a >= 4 {
				clean++
			}
			for j, b := range marks {
				if i != j && (a >= 4) != (b >= 4) {
					differ += 1 / float64(len(marks)-1)
				}
			}
		}
	}
	expected := 2 * clean * (n - clean) / (n * (n - 1))
	assert.InDelta(t, 1-differ/n/expected, g.Alpha.Figure.Value.Value, 1e-12)
	assert.Equal(t, 19, g.Kappa.Grooms, "the others have as many marks as most")
	assert.Equal(t, 3, g.Kappa.Assessors)
	for _, f := range g.All()[1:] {
		assert.False(t, f.Figure.Shown, f.Figure.Title)
	}
	for _, f := range new(agreement.Group).All() {
		assert.False(t, f.Figure.Shown)
	}
}

// Data of Shrout & Fleiss 1979, Psychol Bull 86:420, whose marks from 1 to 10 are put
// as three criteria of equal weight that add up to two more, each groom five times.
// ICC(2,1) does not change with the unit; expected as in agreement.TestGroupShareOfTheSameAssessors.
func TestAllAssessorsOnWholeGrooms(t *testing.T) {
	p := *curriculum.Default()
	p.Rubric.Criteria = slices.Clone(p.Rubric.Criteria[:3])
	for i := range p.Rubric.Criteria {
		p.Rubric.Criteria[i].Weight = 10
	}
	groom := func(key, by string, mark int) *assessment.Groom {
		g := &assessment.Groom{Assessor: by, SecondOf: key, Marks: map[string]assessment.Mark{}}
		for i := range p.Rubric.Criteria {
			g.Marks[p.Rubric.Criteria[i].ID] = assessment.Mark{Level: (mark + 2 + i) / 3}
		}
		return g
	}
	var list []assessment.RatedTwice
	for n := range 30 {
		row := [][]int{{9, 2, 5, 8}, {6, 1, 3, 2}, {8, 4, 6, 8}, {7, 1, 2, 6}, {10, 5, 6, 9}, {6, 2, 4, 7}}[n%6]
		key := fmt.Sprint("groom ", n)
		for j := 1; j < 4; j++ {
			list = append(list, assessment.RatedTwice{Programme: &p, First: groom("", "A", row[0]), Second: groom(key, string(rune('A'+j)), row[j])})
		}
	}
	g := assessment.AllAssessors(list)
	require.True(t, g.Share.Figure.Shown, g.Share.Figure.Sentence)
	assert.InDelta(t, 0.2601957124, g.Share.Figure.Value.Value, 1e-9)
	assert.InDelta(t, 0.0239669991, g.Share.Figure.Range.Low, 1e-8)
	assert.InDelta(t, 0.5357006037, g.Share.Figure.Range.High, 1e-8)
	assert.Equal(t, [2]int{30, 4}, [2]int{g.Share.Grooms, g.Share.Assessors})
}
