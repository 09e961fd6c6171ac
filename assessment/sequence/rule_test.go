package sequence

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

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
