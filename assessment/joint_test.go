package assessment_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
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

// Twenty grooms by three assessors with gaps. Alpha by its definition: observed
// disagreement over the one expected from all pairable values (Krippendorff 2011).
func TestGroupAgreement(t *testing.T) {
	var list []assessment.RatedTwice
	for i := range 19 {
		a, b := "X", []string{"Y", "Z"}[i%2]
		second := 4
		if i%5 == 0 {
			second = 3
		}
		list = append(list, twice(a, b, 4-i%7/6, second))
	}
	assert.False(t, assessment.GroupAgreement(list).Shown)
	assert.Contains(t, assessment.GroupAgreement(list).Sentence, "20 grooms")
	list = append(list, twice("Y", "Z", 3, 3))
	got := assessment.GroupAgreement(list)
	require.True(t, got.Shown, got.Sentence)
	differ, clean, n := 0.0, 0.0, float64(2*len(list))
	for _, g := range list {
		a, b := g.First.Marks["R1"].Level >= 4, g.Second.Marks["R1"].Level >= 4
		if a != b {
			differ += 2
		}
		for _, c := range []bool{a, b} {
			if c {
				clean++
			}
		}
	}
	expected := 2 * clean * (n - clean) / (n * (n - 1))
	assert.InDelta(t, 1-differ/n/expected, got.Value.Value, 1e-12)
}
