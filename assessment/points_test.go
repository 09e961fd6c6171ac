package assessment_test

import (
	"errors"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// The figures of the default rule, to the digits of the frontier of integer
// rules that it was chosen from: false sign-off 0.0493, 21.57 observations on
// average, no rule below 19.39, eligible within 60 with 0.993. Exact Markov
// chains worked out apart from this package.
func TestFiguresOfTheDefaultRule(t *testing.T) {
	r := curriculum.Default().PointsRule("safety")
	for range 2 { // the second time from memory
		f := assessment.FiguresOf(r)
		assert.InDelta(t, 0.0493, f.FalseSignOff, 0.00005)
		assert.InDelta(t, 21.57, f.MeanCompetent, 0.005)
		assert.InDelta(t, 0.993, f.CompetentWithin, 0.0005)
		assert.InDelta(t, 19.39, f.Least, 0.005)
		assert.InDelta(t, 19.39/21.57, f.Efficiency(), 0.0005)
	}
	other := *r
	other.EligibleAt = 18
	assert.Less(t, assessment.FiguresOf(&other).FalseSignOff, 0.0493, "another rule has figures of its own")
}

func readWith(t *testing.T, oldNew ...string) curriculum.Mistakes {
	t.Helper()
	data, err := os.ReadFile("../testdata/curriculum/base.yaml")
	require.NoError(t, err)
	text := string(data)
	for i := 0; i < len(oldNew); i += 2 {
		require.Equal(t, 1, strings.Count(text, oldNew[i]), oldNew[i])
		text = strings.Replace(text, oldNew[i], oldNew[i+1], 1)
	}
	_, err = assessment.ReadProgramme("programme.yaml", []byte(text))
	if err == nil {
		return nil
	}
	var ms curriculum.Mistakes
	require.True(t, errors.As(err, &ms))
	return ms
}

// A points rule whose chance of error is above the one it declares is refused,
// with the least number of points that keeps it: for a fault of 10, a floor of
// −10 and 60 observations that is 17, for a textbook fault of 11 and floor of
// −11 too, and for 100 observations of those 18.
func TestPointsRuleAboveItsError(t *testing.T) {
	assert.Empty(t, readWith(t))
	ms := readWith(t, "eligible_at: 17", "eligible_at: 16")
	require.Len(t, ms, 1)
	assert.Contains(t, ms[0].Excerpt, "eligible_at: 16")
	assert.Equal(t, 18, ms[0].Column)
	assert.Regexp(t, `^with 16 points the chance of a false sign-off is 0\.0[5-9]\d\d, above the declared 0\.05$`, ms[0].Problem)
	assert.Equal(t, "Set eligible_at to 17, the least that keeps the error.", ms[0].Do)

	ms = readWith(t, "fault_costs: 10", "fault_costs: 11", "never_below: -10", "never_below: -11", "within_observations: 60", "within_observations: 100")
	require.Len(t, ms, 1)
	assert.Equal(t, "Set eligible_at to 18, the least that keeps the error.", ms[0].Do)

	// 14 clean ones in a row are too few for any rule: 0.8^14 is 0.044, 0.8^13 is 0.055.
	ms = readWith(t, "within_observations: 60", "within_observations: 13", "eligible_at: 17", "eligible_at: 13")
	require.Len(t, ms, 1)
	assert.Contains(t, ms[0].Problem, "0.0550", "0.8 to the power of 13")
	assert.NotContains(t, ms[0].Do, "Set eligible_at")
	assert.Empty(t, readWith(t, "within_observations: 60", "within_observations: 14", "eligible_at: 17", "eligible_at: 14"))
}

// A rule too long to be worked out exactly is not let through unchecked.
func TestPointsRuleTooLongToCheck(t *testing.T) {
	ms := readWith(t, "within_observations: 60", "within_observations: 1001")
	require.Len(t, ms, 1)
	assert.Contains(t, ms[0].Excerpt, "1001")
	assert.Contains(t, ms[0].Problem, "cannot be worked out")
	assert.Equal(t, "Stay within 1000.", ms[0].Do)
	ms = readWith(t, "within_observations: 60", "within_observations: 1000")
	require.Len(t, ms, 1, "long, but worked out: and then 17 points are too few")
	assert.Contains(t, ms[0].Do, "Set eligible_at to ")
	assert.Len(t, readWith(t, "fault_costs: 10", "fault_costs: 1001"), 1)
	assert.Len(t, readWith(t, "never_below: -10", "never_below: -1001"), 1)
}

// A rule that the file's own checks refuse is not refused a second time.
func TestPointsRuleIsRefusedOnce(t *testing.T) {
	assert.Len(t, readWith(t, "eligible_at: 17", "eligible_at: 61"), 1)
	assert.Len(t, readWith(t, "unacceptable_fault_rate: 0.20", "unacceptable_fault_rate: 0.01"), 1)
	assert.Len(t, readWith(t, "false_sign_off_at_most: 0.05", "false_sign_off_at_most: 0"), 1)
	assert.Len(t, readWith(t, "eligible_at: 17", "eligible_at: seventeen"), 1)
}
