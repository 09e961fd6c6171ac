package exports

import (
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
)

// Six grooms rated twice, five decided alike: that share is shown with its
// interval, and what six cannot tell is said.
func TestAgreementSheet(t *testing.T) {
	s := newSalon()
	p := s.programme()
	groom := func(by string, level int) *assessment.Groom {
		g := &assessment.Groom{Assessor: by, Marks: map[string]assessment.Mark{}}
		for _, c := range p.Rubric.Criteria {
			g.Marks[c.ID] = assessment.Mark{Level: level}
		}
		return g
	}
	var twice []assessment.RatedTwice
	for i := range 6 {
		twice = append(twice, assessment.RatedTwice{Programme: p, First: groom("x", 4), Second: groom("y", 4-i/5)})
	}
	pairs := assessment.AssessorPairs(p, twice, func(key string) string { return key })
	require.Len(t, pairs, 1)
	s.book.Agreement = seq(AgreementsOf(&pairs[0])...)
	f := written(t, s.book)
	rows, err := f.GetRows("Agreement")
	require.NoError(t, err)
	require.Greater(t, len(rows), 5)
	byFigure := map[string][]string{}
	for _, r := range rows[1:] {
		byFigure[r[3]] = r
	}
	same := byFigure["Same decision"]
	require.NotEmpty(t, same, "%v", rows)
	assert.Equal(t, []string{"6", "Same decision", "percent agreement", "yes", "0.833"}, same[2:7])
	// Wilson's interval of 5 of 6 (Wilson 1927): 0.436 to 0.970.
	assert.Equal(t, []string{"0.436", "0.970"}, same[7:9])
	luck := byFigure["Agreement beyond luck"]
	assert.Equal(t, []string{"no", "", "", ""}, luck[5:9])
	assert.Contains(t, luck[9], "20 grooms")
}

// The rows of all assessors stand under those of the pairs. Three mark 30 grooms
// alike, but for one odd mark in every fifth.
func TestAgreementSheetOfAllAssessors(t *testing.T) {
	s := newSalon()
	p := s.programme()
	var twice []assessment.RatedTwice
	groom := func(n int, by string, level int) *assessment.Groom {
		g := &assessment.Groom{Assessor: by, Apprentice: "a", SecondOf: strconv.Itoa(n), Marks: map[string]assessment.Mark{}}
		for _, c := range p.Rubric.Criteria {
			g.Marks[c.ID] = assessment.Mark{Level: level}
		}
		return g
	}
	for n := range 30 {
		level := 3 + n%2
		first := groom(n, "x", level)
		twice = append(twice, assessment.RatedTwice{Programme: p, First: first, Second: groom(n, "y", level)})
		if n%5 == 0 {
			level = 7 - level
		}
		twice = append(twice, assessment.RatedTwice{Programme: p, First: first, Second: groom(n, "z", level)})
	}
	pairs, all := assessment.AssessorPairs(p, twice, func(key string) string { return key }), assessment.AllAssessors(twice)
	s.book.Agreement = seq(append(AgreementsOf(&pairs[0]), AgreementsOfAll(&all)...)...)
	rows, err := written(t, s.book).GetRows("Agreement")
	require.NoError(t, err)
	rows = rows[len(rows)-4:]
	// By hand: 45 of 90 marks are clean, and two of three pairs differ in 6 grooms, which
	// is 12 of 90. By luck 2 × 45 × 45 of 90 × 89 would (Krippendorff 2011), or half (Fleiss 1971).
	assert.Equal(t, []string{"All assessors", "", "30", "Agreement beyond luck, whoever marked", "Krippendorff's alpha", "yes", "0.736", "", ""}, rows[0][:9])
	assert.Equal(t, []string{"All assessors", "", "30", "Agreement beyond luck, as many marks each", "Fleiss' kappa", "yes", "0.733", "", ""}, rows[1][:9])
	assert.Equal(t, []string{"All assessors", "", "30", "How much of a mark is the groom", "intraclass correlation ICC(2,1)", "yes"}, rows[2][:6])
	for _, cell := range rows[2][6:9] {
		v, err := strconv.ParseFloat(cell, 64)
		require.NoError(t, err)
		assert.Greater(t, v, 0.5)
		assert.Less(t, v, 0.9)
	}
	assert.Equal(t, []string{"All assessors", "", "0", "How far a score can be relied on", "generalizability study", "no", "", "", ""}, rows[3][:9])
	assert.Contains(t, rows[3][9], "20 apprentices with two grooms each")
}
