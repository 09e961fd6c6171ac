package sequence

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// improving is an apprentice whose fault rate falls from 0.30 at the first
// observation towards 0.02.
var improving = Improving{From: 0.30, To: 0.02, Over: 20}

// Rules that nothing beats and, last of each group, rules that something does.
// Figures are computed exactly, to the digits written; an independent route is
// the enumeration of all short sequences.
func TestFrontier(t *testing.T) {
	for _, programme := range []struct {
		p0, p1, alpha float64
		n             int
		limit         float64 // no rule needs fewer observations of the competent
		rows          []Candidate
		beaten        []Candidate
	}{
		{0.02, 0.20, 0.05, 60, 19.39, []Candidate{
			{Rule{11, -19, 15, 60}, 0.0499, 19.59, 0.990, 0.269},
			{Rule{10, -14, 16, 60}, 0.0495, 20.39, 0.997, 0.413},
			{Rule{12, -11, 16, 60}, 0.0500, 21.11, 0.991, 0.456},
			{Rule{10, -10, 17, 60}, 0.0493, 21.57, 0.993, 0.494},
			{Rule{9, -9, 18, 60}, 0.0484, 22.34, 0.997, 0.529},
			{Rule{8, -8, 19, 60}, 0.0495, 23.07, 0.998, 0.564},
			{Rule{8, -3, 22, 60}, 0.0498, 26.27, 0.997, 0.633},
			{Rule{6, -2, 25, 60}, 0.0489, 28.76, 0.999, 0.675},
		}, []Candidate{{Rule{11, -11, 17, 60}, 0.0425, 22.03, 0.991, 0.436}}},
		{0.02, 0.20, 0.05, 100, 19.60, []Candidate{
			{Rule{8, -19, 18, 100}, 0.0496, 21.95, 1.000, 0.952},
			{Rule{8, -14, 19, 100}, 0.0495, 23.16, 1.000, 0.972},
			{Rule{7, -11, 22, 100}, 0.0474, 26.18, 1.000, 0.984},
		}, []Candidate{{Rule{11, -11, 18, 100}, 0.0497, 23.43, 1.000, 0.952}}},
		{0.05, 0.30, 0.10, 60, 11.49, []Candidate{
			{Rule{5, -10, 9, 60}, 0.0946, 12.82, 0.999, 0.957},
		}, []Candidate{{Rule{6, -6, 10, 60}, 0.0901, 14.94, 0.999, 0.961}}},
		{0.02, 0.10, 0.05, 100, 52.07, nil, []Candidate{
			{Rule{19, -21, 36, 100}, 0.0490, 55.09, 0.916, 0.279},
			{Rule{19, -19, 37, 100}, 0.0468, 56.37, 0.915, 0.297},
		}},
	} {
		limit := LowerBound(programme.n, programme.p0, programme.p1, programme.alpha)
		assert.InDelta(t, programme.limit, limit, 0.005001)
		frontier, err := Frontier(programme.p0, programme.p1, programme.alpha, programme.n, improving)
		require.NoError(t, err)
		on := map[Rule]Candidate{}
		for _, c := range frontier {
			on[c.Rule] = c
		}
		for _, want := range programme.rows {
			require.Contains(t, on, want.Rule)
			assertRow(t, want, on[want.Rule], programme.p0, programme.p1, programme.alpha)
			assert.Greater(t, on[want.Rule].MeanCompetent, limit)
		}
		for _, want := range programme.beaten {
			assert.NotContains(t, on, want.Rule)
			o := want.Operating(programme.p0, programme.p1)
			got := Candidate{want.Rule, o.FalseSignOff, o.MeanCompetent, o.CompetentWithin, want.ReachWithinVarying(improving.Rate, want.Horizon)}
			assertRow(t, want, got, programme.p0, programme.p1, programme.alpha)
			assert.Condition(t, func() bool { return beaten(got, frontier) }, "%+v", got)
		}
	}
}

func assertRow(t *testing.T, want, got Candidate, p0, p1, alpha float64) {
	t.Helper()
	require.NoError(t, want.Validate())
	assert.InDelta(t, want.FalseSignOff, got.FalseSignOff, 0.00005001, "%+v false", want.Rule)
	assert.InDelta(t, want.MeanCompetent, got.MeanCompetent, 0.005001, "%+v mean", want.Rule)
	assert.InDelta(t, want.CompetentWithin, got.CompetentWithin, 0.0005001, "%+v competent", want.Rule)
	assert.InDelta(t, want.ImprovingWithin, got.ImprovingWithin, 0.0005001, "%+v improving", want.Rule)
	assert.LessOrEqual(t, got.FalseSignOff, alpha)
	o := want.Operating(p0, p1)
	assert.Equal(t, Operating{got.FalseSignOff, got.MeanCompetent, got.CompetentWithin, want.MeanUnlimited(p0)}, o)
	h, err := Threshold(want.Fault, want.Floor, want.Horizon, p1, alpha)
	require.NoError(t, err)
	assert.Equal(t, want.Threshold, h)
}

// beaten reports whether some rule of the frontier needs no more of the
// competent and lets through no fewer of the improving, and is better in one.
func beaten(c Candidate, frontier []Candidate) bool {
	const same = 1e-9
	for _, f := range frontier {
		cheaper, kinder := c.MeanCompetent-f.MeanCompetent, f.ImprovingWithin-c.ImprovingWithin
		if cheaper >= -same && kinder >= -same && max(cheaper, kinder) > same {
			return true
		}
	}
	return false
}

// The short cuts of the search change nothing: every fault and floor that it
// tries, with the threshold found by itself, is on the frontier or beaten.
func TestFrontierAgainstEveryRule(t *testing.T) {
	for _, c := range []struct {
		p0, p1, alpha float64
		n             int
	}{{0.02, 0.20, 0.05, 60}, {0.05, 0.30, 0.10, 25}, {0.02, 0.20, 0.05, 16}, {0.30, 0.70, 0.10, 40}, {0.001, 0.25, 0.01, 50}} {
		frontier, err := Frontier(c.p0, c.p1, c.alpha, c.n, ImprovingFor(c.p0, c.p1))
		require.NoError(t, err)
		rates := make([]float64, c.n+1)
		for i := 1; i <= c.n; i++ {
			rates[i] = ImprovingFor(c.p0, c.p1).Rate(i)
		}
		var every []Candidate
		for _, fault := range searchSteps(c.p0, c.p1) {
			for _, depth := range append([]int{0}, searchSteps(c.p0, c.p1)...) {
				h, err := Threshold(fault, -depth, c.n, c.p1, c.alpha)
				require.NoError(t, err)
				every = append(every, Rule{fault, -depth, h, c.n}.candidate(c.p0, c.p1, rates))
			}
		}
		want := undominated(every)
		require.Len(t, frontier, len(want), "%+v", c)
		for i := range want { // rules with the same figures may stand for each other
			assert.InDelta(t, want[i].MeanCompetent, frontier[i].MeanCompetent, 1e-9)
			assert.InDelta(t, want[i].ImprovingWithin, frontier[i].ImprovingWithin, 1e-9)
		}
	}
}

func TestFrontierAndChoicesProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p0 := rapid.Float64Range(0.001, 0.3).Draw(t, "p0")
		p1 := rapid.Float64Range(p0+0.05, 0.9).Draw(t, "p1")
		alpha := rapid.Float64Range(0.005, 0.3).Draw(t, "alpha")
		n := rapid.IntRange(1, 60).Draw(t, "n")
		frontier, err := Frontier(p0, p1, alpha, n, ImprovingFor(p0, p1))
		if LeastObservations(p1, alpha) > n {
			assert.Error(t, err)
			return
		}
		require.NoError(t, err)
		require.NotEmpty(t, frontier)
		for i, c := range frontier {
			assert.NoError(t, c.Validate())
			assert.True(t, atMost(c.FalseSignOff, alpha))
			h, err := Threshold(c.Fault, c.Floor, n, p1, alpha)
			require.NoError(t, err)
			assert.Equal(t, h, c.Threshold)
			if i > 0 {
				assert.GreaterOrEqual(t, c.MeanCompetent, frontier[i-1].MeanCompetent)
				assert.Greater(t, c.ImprovingWithin, frontier[i-1].ImprovingWithin)
			}
			if i == 0 && isOpenRate(c.FalseSignOff) { // the cheapest comes nearest to the limit
				assert.LessOrEqual(t, Efficiency(n, p0, p1, c.FalseSignOff, c.MeanCompetent), 1+1e-9)
			}
		}
		choices := Choices(frontier)
		assert.True(t, len(choices) >= min(4, len(frontier)) && len(choices) <= 6, "%d of %d", len(choices), len(frontier))
		for i, c := range choices {
			assert.Contains(t, frontier, c)
			assert.False(t, beaten(c, frontier), "%+v", c)
			if i > 0 {
				assert.Greater(t, c.ImprovingWithin, choices[i-1].ImprovingWithin)
			}
		}
	})
}

func TestFrontierRefuses(t *testing.T) {
	good := ImprovingFor(0.02, 0.20)
	for _, c := range []struct {
		p0, p1, alpha float64
		n             int
		improving     Improving
		want          string
	}{
		{0.02, 0.20, 0.05, 0, good, "declared number of observations is 0"},
		{0.02, 0.20, 0.05, 13, good, "13 observations are too few"},
		{0.02, 1.20, 0.05, 60, good, "unacceptable fault rate is 1.2"},
		{0.02, 0.20, math.NaN(), 60, good, "false sign-off is NaN"},
		{0.20, 0.20, 0.05, 60, good, "the acceptable fault rate is 0.2: choose a number between 0 and the unacceptable rate, 0.2"},
		{0, 0.20, 0.05, 60, good, "the acceptable fault rate is 0"},
		{0.02, 0.20, 0.05, 60, Improving{0.3, 0.02, 0}, "from a fault rate of 0.3 to 0.02 over 0 observations makes no sense"},
	} {
		_, err := Frontier(c.p0, c.p1, c.alpha, c.n, c.improving)
		assert.ErrorContains(t, err, c.want)
	}
	assert.Empty(t, Choices(nil))
	assert.InDelta(t, 0.30, good.Rate(1), 1e-15)
	assert.InDelta(t, 0.16, good.Rate(1+int(math.Round(20*math.Ln2))), 0.002)
	assert.True(t, math.IsNaN(good.Rate(0)))
}

// What a publisher of the default programme is offered.
func TestChoicesForTheDefault(t *testing.T) {
	frontier, err := Frontier(0.02, 0.20, 0.05, 60, ImprovingFor(0.02, 0.20))
	require.NoError(t, err)
	var rules []Rule
	for _, c := range Choices(frontier) {
		rules = append(rules, c.Rule)
	}
	assert.Contains(t, rules, Rule{10, -10, 17, 60})
	assert.Len(t, rules, 5)
}
