package exports

import (
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
