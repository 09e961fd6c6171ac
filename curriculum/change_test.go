package curriculum_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/curriculum"
)

func TestWithPointsRule(t *testing.T) {
	p := curriculum.Default()
	r := p.Points[0]
	r.Competent, r.Unacceptable, r.FalseSignOff, r.Within, r.FaultCosts, r.NeverBelow, r.EligibleAt = 0.05, 0.3, 0.1, 100, 5, -11, 9
	changed, err := p.WithPointsRule(r, 7)
	require.NoError(t, err)
	assert.Equal(t, r, changed.Points[0])
	assert.Equal(t, 7, changed.Version)

	// Only the lines of those eight numbers differ, and each only in its number.
	before, after := strings.Split(string(p.Source()), "\n"), strings.Split(string(changed.Source()), "\n")
	require.Len(t, after, len(before))
	differ := 0
	for i := range before {
		if before[i] != after[i] {
			differ++
			key, _, _ := strings.Cut(before[i], ":")
			assert.True(t, strings.HasPrefix(after[i], key+": "), "%q became %q", before[i], after[i])
		}
	}
	assert.Equal(t, 8, differ)

	back, err := changed.WithPointsRule(p.Points[0], p.Version)
	require.NoError(t, err)
	assert.Equal(t, strings.Replace(string(p.Source()), "0.20\n", "0.2\n", 1), string(back.Source()), "there and back is the same file")
	same, err := p.WithPointsRule(p.Points[0], p.Version)
	require.NoError(t, err)
	assert.Equal(t, p.Digest(), same.Digest(), "a number that does not change stays as it was written")
}

func TestWithPointsRuleRefuses(t *testing.T) {
	p := curriculum.Default()
	r := p.Points[0]
	r.ID = "none"
	_, err := p.WithPointsRule(r, 2)
	assert.ErrorContains(t, err, `no points rule "none"`)
	r = p.Points[0]
	r.EligibleAt = 0
	_, err = p.WithPointsRule(r, 2)
	var mistakes curriculum.Mistakes
	assert.ErrorAs(t, err, &mistakes, "a rule that makes no sense is told as any other mistake")
}
