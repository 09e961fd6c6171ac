package assessment_test

import (
	"encoding/json"
	"fmt"
	"math/big"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"tablehand/assessment"
)

// The reference cases of the weighted score: exact fractions worked out apart
// from this package; each names its source.
func TestRubricScoreCases(t *testing.T) {
	data, err := os.ReadFile("../testdata/cases/rubric_score.json")
	require.NoError(t, err)
	var cases []struct {
		ID     string
		Inputs struct {
			Criteria []struct {
				Weight, Max  int64
				Rating, Must *int64
			}
			PassNum int64 `json:"pass_num"`
			PassDen int64 `json:"pass_den"`
		}
		Expected struct {
			Score          *string
			HalfUp         *string `json:"pct_half_up_1dp"`
			Cut            *string `json:"pct_trunc_1dp"`
			MeetsScore     bool    `json:"meets_score"`
			MustFailed     []int   `json:"must_failed"`
			MustUnobserved []int   `json:"must_unobserved"`
			Outcome        string
		}
	}
	require.NoError(t, json.Unmarshal(data, &cases))
	require.Len(t, cases, 12)
	outcomes := map[string]assessment.Outcome{"met": assessment.Meets, "not_met": assessment.NotYet, "incomplete": assessment.Incomplete}
	or := func(s *string) string {
		if s == nil {
			return "–"
		}
		return *s
	}
	for _, c := range cases {
		t.Run(c.ID, func(t *testing.T) {
			var parts []assessment.Part
			for _, cr := range c.Inputs.Criteria {
				p := assessment.Part{Weight: cr.Weight, Top: cr.Max}
				if cr.Must != nil {
					p.Must = *cr.Must
				}
				if cr.Rating != nil {
					p.Rating, p.Rated = *cr.Rating, true
				}
				parts = append(parts, p)
			}
			pass := assessment.Ratio{Num: c.Inputs.PassNum, Den: c.Inputs.PassDen}
			w := assessment.Weigh(parts)
			score := "–"
			if w.Score.Den != 0 {
				lowest := w.Score.Lowest()
				score = fmt.Sprintf("%d/%d", lowest.Num, lowest.Den)
			}
			assert.Equal(t, or(c.Expected.Score), score)
			assert.Equal(t, or(c.Expected.HalfUp), w.Score.Rounded(100, 1))
			assert.Equal(t, or(c.Expected.Cut), w.Score.Truncated(100, 1))
			assert.Equal(t, c.Expected.MeetsScore, w.Score.AtLeast(pass))
			assert.Equal(t, c.Expected.MustFailed, append([]int{}, w.Failed...))
			assert.Equal(t, c.Expected.MustUnobserved, append([]int{}, w.Unobserved...))
			outcome, known := outcomes[c.Expected.Outcome]
			require.True(t, known, c.Expected.Outcome)
			assert.Equal(t, outcome, w.Decide(pass))
		})
	}
}

// Truncated, Rounded and AtLeast against exact fractions of math/big.
func TestRatioAgainstBigRat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := assessment.Ratio{Num: rapid.Int64Range(0, 1e6).Draw(t, "num"), Den: rapid.Int64Range(1, 1e6).Draw(t, "den")}
		s := assessment.Ratio{Num: rapid.Int64Range(0, 1e6).Draw(t, "num2"), Den: rapid.Int64Range(1, 1e6).Draw(t, "den2")}
		decimals := rapid.IntRange(0, 4).Draw(t, "decimals")
		exact := big.NewRat(r.Num, r.Den)
		assert.Equal(t, exact.Cmp(big.NewRat(s.Num, s.Den)) >= 0, r.AtLeast(s))
		assert.Equal(t, exact.Num().Int64(), r.Lowest().Num)
		if r.Num != 0 {
			assert.Equal(t, exact.Denom().Int64(), r.Lowest().Den)
		}

		// Rat.FloatString rounds half away from zero, which is half up here.
		hundred := new(big.Rat).Mul(exact, big.NewRat(100, 1))
		assert.Equal(t, hundred.FloatString(decimals), r.Rounded(100, decimals))

		// Cut off: the greatest multiple of the unit that is not above.
		unit := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(decimals)), nil))
		scaled := new(big.Rat).Mul(hundred, unit)
		floor := new(big.Rat).SetInt(new(big.Int).Quo(scaled.Num(), scaled.Denom()))
		assert.Equal(t, floor.Quo(floor, unit).FloatString(decimals), r.Truncated(100, decimals))
	})
}

func TestRatioWithoutAValue(t *testing.T) {
	none := assessment.Ratio{}
	assert.Equal(t, "–", none.Truncated(1, 2))
	assert.Equal(t, "–", none.Rounded(1, 2))
	assert.Zero(t, none.Float())
	assert.False(t, none.AtLeast(assessment.Ratio{Num: 0, Den: 1}), "nothing is not zero")
	assert.InDelta(t, 3.51, assessment.Ratio{Num: 351, Den: 100}.Float(), 1e-12)
	minus := assessment.Ratio{Num: -7, Den: 2}
	assert.Equal(t, "−3.5", minus.Truncated(1, 1))
	tiny, half := assessment.Ratio{Num: -1, Den: 1000}, assessment.Ratio{Num: -1, Den: 20}
	assert.Equal(t, []string{"0.0", "−0.1"}, []string{tiny.Truncated(1, 1), half.Rounded(1, 1)})
	assert.Equal(t, assessment.Ratio{Num: -1, Den: 2}, assessment.Ratio{Num: -50, Den: 100}.Lowest())
}

// The doc comment's own example, by hand: 3.496 is 437/125.
func TestAValueBelowALineIsNotPrintedAsTheLine(t *testing.T) {
	r := assessment.Ratio{Num: 437, Den: 125}
	assert.Equal(t, "3.49", r.Truncated(1, 2))
	assert.Equal(t, "3.50", r.Rounded(1, 2))
	assert.False(t, r.AtLeast(assessment.Ratio{Num: 7, Den: 2}))
}
