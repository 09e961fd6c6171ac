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
func improving(t int) float64 { return 0.02 + 0.28*math.Exp(-float64(t-1)/20) }

// The rules on the efficient frontier for p0 = 0.02, p1 = 0.20, alpha = 0.05
// and 60 observations, and the textbook rule that they dominate. Figures are
// exact to the digits written.
func TestFrontier(t *testing.T) {
	limit := LowerBound(60, 0.02, 0.20, 0.05)
	assert.InDelta(t, 19.39, limit, 0.005)
	for _, row := range []struct {
		rule                                  Rule
		falsely, mean, competent, improvingBy float64
	}{
		{Rule{11, -19, 15, 60}, 0.0499, 19.59, 0.990, 0.269},
		{Rule{10, -14, 16, 60}, 0.0495, 20.39, 0.997, 0.413},
		{Rule{12, -11, 16, 60}, 0.0500, 21.11, 0.991, 0.456},
		{Rule{10, -10, 17, 60}, 0.0493, 21.57, 0.993, 0.494},
		{Rule{9, -9, 18, 60}, 0.0484, 22.34, 0.997, 0.529},
		{Rule{8, -8, 19, 60}, 0.0495, 23.07, 0.998, 0.564},
		{Rule{8, -3, 22, 60}, 0.0498, 26.27, 0.997, 0.633},
		{Rule{6, -2, 25, 60}, 0.0489, 28.76, 0.999, 0.675},
		{Rule{11, -11, 17, 60}, 0.0425, 22.03, 0.991, 0.436},
	} {
		require.NoError(t, row.rule.Validate())
		o := row.rule.Operating(0.02, 0.20)
		assert.InDelta(t, row.falsely, o.FalseSignOff, 0.00005001, "%+v false", row.rule)
		assert.InDelta(t, row.mean, o.MeanCompetent, 0.005001, "%+v mean", row.rule)
		assert.InDelta(t, row.competent, o.CompetentWithin, 0.0005001, "%+v competent", row.rule)
		assert.InDelta(t, row.improvingBy, row.rule.ReachWithinVarying(improving, 60), 0.0005001, "%+v improving", row.rule)
		assert.LessOrEqual(t, o.FalseSignOff, 0.05)
		assert.Greater(t, o.MeanCompetent, limit)
		assert.Equal(t, row.rule.MeanUnlimited(0.02), o.MeanUnlimited)
		h, err := Threshold(row.rule.Fault, row.rule.Floor, 60, 0.20, 0.05)
		require.NoError(t, err)
		assert.Equal(t, row.rule.Threshold, h)
	}
}

// Rules for other rates and longer programmes.
func TestOtherRules(t *testing.T) {
	for _, c := range []struct {
		rule          Rule
		p0, p1, alpha float64
		falsely, mean float64
	}{
		{Rule{6, -6, 10, 60}, 0.05, 0.30, 0.10, 0.0901, 14.94},
		{Rule{5, -10, 9, 60}, 0.05, 0.30, 0.10, 0.0946, 12.82},
		{Rule{19, -21, 36, 100}, 0.02, 0.10, 0.05, 0.0490, 55.09},
		{Rule{8, -19, 18, 100}, 0.02, 0.20, 0.05, 0.0496, 21.95},
	} {
		h, err := Threshold(c.rule.Fault, c.rule.Floor, c.rule.Horizon, c.p1, c.alpha)
		require.NoError(t, err)
		assert.Equal(t, c.rule.Threshold, h)
		o := c.rule.Operating(c.p0, c.p1)
		assert.InDelta(t, c.falsely, o.FalseSignOff, 0.00005001)
		assert.InDelta(t, c.mean, o.MeanCompetent, 0.005001)
	}
	h, err := Threshold(19, -19, 100, 0.10, 0.05)
	require.NoError(t, err)
	assert.Equal(t, 37, h)
}

func TestValidateSaysWhatToDo(t *testing.T) {
	good := Rule{10, -10, 17, 60}
	require.NoError(t, good.Validate())
	for _, c := range []struct {
		rule Rule
		want string
	}{
		{Rule{0, -10, 17, 60}, "an observation that is not clean takes away 0 points: choose between 1 and 1000"},
		{Rule{10, 1, 17, 60}, "the lowest score is 1: choose between -1000 and 0"},
		{Rule{10, -1001, 17, 60}, "the lowest score is -1001: choose between -1000 and 0"},
		{Rule{10, -10, 0, 60}, "the points needed are 0: choose between 1 and the declared number of observations, 60"},
		{Rule{10, -10, 61, 60}, "the points needed are 61: choose between 1 and the declared number of observations, 60"},
		{Rule{10, -10, 17, 0}, "the declared number of observations is 0: choose between 1 and 1000"},
	} {
		assert.EqualError(t, c.rule.Validate(), c.want)
	}
}

func TestEdgesOfTheRates(t *testing.T) {
	r := Rule{10, -10, 17, 60}
	assert.Equal(t, 0.0, r.ReachWithin(0, 0.2))
	assert.Equal(t, 0.0, r.ReachWithin(16, 0))
	assert.Equal(t, 1.0, r.ReachWithin(17, 0))
	assert.Equal(t, 0.0, r.ReachWithin(1000, 1))
	assert.InEpsilon(t, math.Pow(0.8, 17), r.ReachWithin(17, 0.2), 1e-13)
	assert.Equal(t, 17.0, r.MeanWithin(60, 0))
	assert.Equal(t, 60.0, r.MeanWithin(60, 1))
	assert.Equal(t, 0.0, r.MeanWithin(0, 0.2))
	assert.Equal(t, 17.0, r.MeanUnlimited(0))
	assert.True(t, math.IsInf(r.MeanUnlimited(1), 1))
	assert.Equal(t, 0.0, r.ReachWithinVarying(func(int) float64 { return 2 }, 0))
	for _, p := range []float64{-0.1, 1.1, math.NaN()} {
		for _, v := range []float64{
			r.ReachWithin(0, p), r.ReachWithin(60, p), r.ReachWithinVarying(constant(p), 60),
			r.MeanWithin(60, p), r.MeanUnlimited(p),
			RunWaiting{3}.Mean(p), RunWaiting{3}.Variance(p), RunWaiting{3}.Within(9, p),
			RollingWindow{4, 5}.Within(9, p), RollingWindow{4, 5}.OneShot(p),
			DefaultMonitor().MeanToAlarm(p), DefaultMonitor().AlarmWithin(9, p),
			FalseSignOffAttempts(p, 1), LowerBound(60, p, 0.2, 0.05), GreatestCompetent(60, 0.02, 0.2, p),
		} {
			assert.True(t, math.IsNaN(v), "p=%v", p)
		}
	}
	for _, bad := range []Rule{{}, {0, -1, 1, 1}, {1, 1, 1, 1}, {1, 0, 0, 1}, {1, 0, MaxHorizon + 1, 1}} {
		assert.True(t, math.IsNaN(bad.ReachWithin(9, 0.2)), "%+v", bad)
		assert.True(t, math.IsNaN(bad.MeanWithin(9, 0.2)), "%+v", bad)
		assert.True(t, math.IsNaN(bad.MeanUnlimited(0.2)), "%+v", bad)
	}
}

func TestStepIsNotCappedAtThreshold(t *testing.T) {
	r := Rule{10, -10, 17, 60}
	assert.Equal(t, 18, r.Step(17, true))
	assert.Equal(t, 7, r.Step(17, false))
	assert.Equal(t, -10, r.Step(-3, false))
	assert.Equal(t, -9, r.Step(-10, true))
}

func TestThresholdRefuses(t *testing.T) {
	for _, c := range []struct {
		fault, floor, horizon int
		p1, alpha             float64
		want                  string
	}{
		{0, -10, 60, 0.2, 0.05, "takes away 0 points"},
		{10, 5, 60, 0.2, 0.05, "lowest score is 5"},
		{10, -10, 0, 0.2, 0.05, "declared number of observations is 0"},
		{10, -10, 60, 0, 0.05, "unacceptable fault rate is 0"},
		{10, -10, 60, math.NaN(), 0.05, "unacceptable fault rate is NaN"},
		{10, -10, 60, 0.2, 1, "false sign-off is 1"},
		{10, -10, 13, 0.2, 0.05, "13 observations are too few: even if all of them are clean, at least 14 are needed"},
	} {
		_, err := Threshold(c.fault, c.floor, c.horizon, c.p1, c.alpha)
		assert.ErrorContains(t, err, c.want)
	}
	h, err := Threshold(10, -10, 14, 0.2, 0.05) // only 14 clean out of 14 will do
	require.NoError(t, err)
	assert.Equal(t, 14, h)
}

func TestFaultFor(t *testing.T) {
	assert.Equal(t, 11, FaultFor(0.02, 0.20))
	assert.Equal(t, 19, FaultFor(0.02, 0.10))
	assert.Equal(t, 6, FaultFor(0.05, 0.30))
	assert.Equal(t, 1, FaultFor(0.50, 0.90))
	for _, p := range [][2]float64{{0.2, 0.2}, {0.2, 0.1}, {0, 0.2}, {0.2, 1}, {math.NaN(), 0.2}} {
		assert.Equal(t, 0, FaultFor(p[0], p[1]), "%v", p)
	}
}

func genRule(t *rapid.T) Rule {
	n := rapid.IntRange(1, 60).Draw(t, "horizon")
	return Rule{
		Fault:     rapid.IntRange(1, 15).Draw(t, "fault"),
		Floor:     rapid.IntRange(-15, 0).Draw(t, "floor"),
		Threshold: rapid.IntRange(1, n).Draw(t, "threshold"),
		Horizon:   n,
	}
}

func eligibleAt(r Rule, clean []bool) int {
	score := 0
	for i, c := range clean {
		if score = r.Step(score, c); score >= r.Threshold {
			return i + 1
		}
	}
	return math.MaxInt
}

func TestCleanNeverDelays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := genRule(t)
		clean := rapid.SliceOfN(rapid.Bool(), 1, 60).Draw(t, "clean")
		before := eligibleAt(r, clean)
		clean[rapid.IntRange(0, len(clean)-1).Draw(t, "changed")] = true
		assert.LessOrEqual(t, eligibleAt(r, clean), before)
	})
}

func TestReachWithinIsMonotone(t *testing.T) {
	const slack = 1e-13
	rapid.Check(t, func(t *rapid.T) {
		r := genRule(t)
		p := rapid.Float64Range(0, 1).Draw(t, "p")
		worse := rapid.Float64Range(p, 1).Draw(t, "worse")
		n := r.Horizon
		now := r.ReachWithin(n, p)
		assert.True(t, now >= 0 && now <= 1)
		assert.GreaterOrEqual(t, r.ReachWithin(n+1, p), now-slack, "in n")
		assert.GreaterOrEqual(t, now, r.ReachWithin(n, worse)-slack, "in p")
		stricter := Rule{r.Fault, r.Floor, r.Threshold + 1, n}
		assert.GreaterOrEqual(t, now, stricter.ReachWithin(n, p)-slack, "in the threshold")
		// Whatever the pattern, rates of at least p give no more than p does.
		varying := rapid.SliceOfN(rapid.Float64Range(p, 1), n, n).Draw(t, "varying")
		assert.GreaterOrEqual(t, now, r.ReachWithinVarying(func(i int) float64 { return varying[i-1] }, n)-slack, "coupling")
		mean := r.MeanWithin(n, p)
		assert.True(t, mean >= float64(min(n, r.Threshold))-slack*60 && mean <= float64(n)+slack*60, "mean %v", mean)
	})
}

func TestThresholdIsLeast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := genRule(t)
		p1 := rapid.Float64Range(0.05, 0.95).Draw(t, "p1")
		alpha := rapid.Float64Range(0.001, 0.5).Draw(t, "alpha")
		h, err := Threshold(r.Fault, r.Floor, r.Horizon, p1, alpha)
		if r.Horizon < LeastObservations(p1, alpha) {
			assert.Error(t, err)
			return
		}
		require.NoError(t, err)
		r.Threshold = h
		assert.NoError(t, r.Validate())
		assert.True(t, atMost(r.ReachWithin(r.Horizon, p1), alpha))
		if r.Threshold--; r.Threshold > 0 {
			assert.False(t, atMost(r.ReachWithin(r.Horizon, p1), alpha))
		}
	})
}
