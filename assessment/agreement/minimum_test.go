package agreement

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestMinimumsAreComplete(t *testing.T) {
	for f := range figures {
		m, ok := MinimumFor(f)
		require.True(t, ok)
		require.NotEmpty(t, m.Title, "figure %d", f)
		assert.NotEmpty(t, m.Known, m.Title)
		assert.True(t, strings.HasSuffix(m.Because, "."), m.Title)
		require.NotEmpty(t, m.Needs, m.Title)
		// Enough is exactly enough: one less of anything is not.
		seen := Seen{}
		for _, n := range m.Needs {
			assert.Positive(t, n.AtLeast)
			seen[n.Amount] = n.AtLeast
		}
		ok, instead := Enough(f, seen)
		assert.True(t, ok, m.Title)
		assert.Empty(t, instead)
		for _, n := range m.Needs {
			seen[n.Amount]--
			ok, instead = Enough(f, seen)
			assert.False(t, ok, m.Title)
			assert.Contains(t, instead, n.What)
			seen[n.Amount]++
		}
	}
	_, ok := MinimumFor(figures)
	assert.False(t, ok)
	ok, instead := Enough(figures, Seen{})
	assert.False(t, ok)
	assert.NotEmpty(t, instead)
}

// The numbers themselves, so that a change is seen.
func TestMinimums(t *testing.T) {
	for f, want := range map[Figure]Seen{
		SameLevel:         {Grooms: 5},
		SameDecision:      {Grooms: 5},
		CleanAgreement:    {SomeClean: 5},
		NotCleanAgreement: {SomeNotClean: 5},
		Stricter:          {Disagreements: 6},
		BeyondLuck:        {Grooms: 20},
		HarshBeyondLuck:   {Grooms: 30, SomeNotClean: 5},
		LinearLevels:      {Grooms: 30, SomeNotClean: 5},
		QuadraticLevels:   {Grooms: 30, SomeNotClean: 5},
		ScoreDifference:   {Grooms: 8},
		ScoreLimits:       {Grooms: 20},
		GroupAgreement:    {Grooms: 30, Assessors: 3, SomeNotClean: 5},
		GroupAlpha:        {Grooms: 20, SomeNotClean: 5},
		GroomShare:        {Grooms: 30},
		GroomShareDrawn:   {Grooms: 50, Assessors: 10},
		CriteriaTogether:  {Grooms: 30},
		Dependable:        {Apprentices: 20},
		SelfDifference:    {Grooms: 8},
		SelfLeaning:       {Grooms: 15},
	} {
		got := Seen{}
		for _, n := range minimums[f].Needs {
			got[n.Amount] = n.AtLeast
		}
		assert.Equal(t, want, got, minimums[f].Title)
	}
	assert.Equal(t, 3, shareAssessors)
	assert.Contains(t, minimums[GroomShare].Needs[0].What, "three")
	assert.Equal(t, 10, studyAssessors)
	assert.Contains(t, minimums[Dependable].Needs[0].What, "ten")
}

// The reasons given in the table hold.
func TestReasonsForMinimums(t *testing.T) {
	five := NewShare(5, 5).Range
	assert.InDelta(t, 0.57, five.Low, 0.005)
	assert.Greater(t, Decisions{OnlyAClean: 5}.StricterChance().Value, 0.05)
	assert.Less(t, Decisions{OnlyAClean: 6}.StricterChance().Value, 0.05)
	assert.InDelta(t, 0.84, t95(7)/2.8284271, 0.005)  // 8 pairs, standard deviations
	assert.InDelta(t, 0.55, t95(14)/3.8729833, 0.005) // 15
	low, high := intervalOfOne(0.80, 10, 2), intervalOfOne(0.80, 30, 3)
	assert.InDelta(t, 0.41, low.Low, 0.01)
	assert.InDelta(t, 0.95, low.High, 0.01)
	assert.InDelta(t, 0.67, high.Low, 0.01)
	assert.InDelta(t, 0.89, high.High, 0.01)
	drawn := intervalOfOne(0.80, 50, 2)
	assert.InDelta(t, 0.67, drawn.Low, 0.01)
	assert.InDelta(t, 0.88, drawn.High, 0.01)
}

// intervalOfOne is the interval of an ICC(1,1) found to be r.
func intervalOfOne(r, n, k float64) Interval {
	one, _ := forms(1+(k-1)*r, 1-r, n-1, n*(k-1), k)
	return one.Range
}
