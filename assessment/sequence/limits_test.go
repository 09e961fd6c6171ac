package sequence

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestLeastObservations(t *testing.T) {
	for _, c := range []struct {
		p1, alpha float64
		want      int
	}{
		{0.20, 0.05, 14}, {0.10, 0.05, 29}, {0.20, 0.10, 11}, {0.10, 0.10, 22},
		{0.5, 0.125, 3}, {0.1, 0.81, 2}, {0.9, 0.1, 1}, {0.9, 0.01, 2}, {0.99, 0.5, 1},
		{0, 0.05, 0}, {1, 0.05, 0}, {0.2, 0, 0}, {0.2, 1, 0}, {math.NaN(), 0.05, 0},
		{1e-300, 0.05, math.MaxInt},
	} {
		assert.Equal(t, c.want, LeastObservations(c.p1, c.alpha), "%v %v", c.p1, c.alpha)
	}
}

func TestLowerBoundFigures(t *testing.T) {
	assert.InDelta(t, 35.20, LowerBound(60, 0.02, 0.10, 0.10), 0.005)
	assert.InDelta(t, 14.96, LowerBound(60, 0.02, 0.20, 0.10), 0.005)
	assert.Less(t, LowerBound(13, 0.02, 0.20, 0.05), 13.0)
	assert.True(t, math.IsNaN(LowerBound(0, 0.02, 0.20, 0.05)))
	assert.True(t, math.IsNaN(LowerBound(MaxHorizon+1, 0.02, 0.20, 0.05)))
	assert.True(t, math.IsNaN(LowerBound(60, 0.20, 0.02, 0.05)))
	assert.True(t, math.IsNaN(GreatestCompetent(0, 0.02, 0.20, 0.05)))
}

// No points rule gets below the bound or above the greatest power that belong
// to the false sign-off it has.
func TestNoRuleBeatsTheLimits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := genRule(t)
		p0 := rapid.Float64Range(0.01, 0.3).Draw(t, "p0")
		p1 := rapid.Float64Range(p0+0.01, 0.9).Draw(t, "p1")
		o := r.Operating(p0, p1)
		if !isOpenRate(o.FalseSignOff) {
			return
		}
		assert.GreaterOrEqual(t, o.MeanCompetent, LowerBound(r.Horizon, p0, p1, o.FalseSignOff)-1e-9)
		assert.LessOrEqual(t, o.CompetentWithin, GreatestCompetent(r.Horizon, p0, p1, o.FalseSignOff)+1e-9)
	})
}

func TestFalseSignOffAttempts(t *testing.T) {
	for _, c := range []struct {
		alpha    float64
		attempts int
		want     float64
	}{{0.05, 1, 0.05}, {0.05, 2, 0.10}, {0.05, 30, 1}, {0.05, 0, 0}, {0.05, -1, 0}, {0, 5, 0}} {
		assert.Equal(t, c.want, FalseSignOffAttempts(c.alpha, c.attempts))
	}
}

func TestMonitorFigures(t *testing.T) {
	m := DefaultMonitor()
	assert.InDelta(t, 0.905, m.AlarmWithin(20, 0.20), 0.0005)
	m18 := Monitor{11, 18}
	assert.InDelta(t, 538, m18.MeanToAlarm(0.02), 0.5)
	assert.InDelta(t, 12.0, m18.MeanToAlarm(0.20), 0.05)
	assert.True(t, math.IsInf(m.MeanToAlarm(0), 1))
	assert.Equal(t, 2.0, m.MeanToAlarm(1))
	assert.Equal(t, 0.0, m.AlarmWithin(0, 0.5))
	assert.Equal(t, 0.0, m.AlarmWithin(50, 0))
	assert.Equal(t, 1.0, Monitor{12, 12}.AlarmWithin(1, 1))

	score, alarm := m.Step(0, true)
	assert.Equal(t, 0, score)
	assert.False(t, alarm)
	score, alarm = m.Step(1, false)
	assert.Equal(t, 12, score)
	assert.True(t, alarm)
	score, alarm = m.Step(0, false)
	assert.Equal(t, 11, score)
	assert.False(t, alarm)

	assert.NoError(t, m.Validate())
	assert.ErrorContains(t, Monitor{0, 12}.Validate(), "adds 0 points")
	assert.ErrorContains(t, Monitor{11, 0}.Validate(), "at 0 points")
	assert.True(t, math.IsNaN(Monitor{}.MeanToAlarm(0.1)))
	assert.True(t, math.IsNaN(Monitor{}.AlarmWithin(5, 0.1)))
}

func TestRunAndWindowEdges(t *testing.T) {
	assert.Equal(t, 3.0, RunWaiting{3}.Mean(0))
	assert.Equal(t, 0.0, RunWaiting{3}.Variance(0))
	assert.True(t, math.IsInf(RunWaiting{3}.Mean(1), 1))
	assert.True(t, math.IsInf(RunWaiting{3}.Variance(1), 1))
	assert.InDelta(t, 0.512, RunWaiting{3}.Within(3, 0.2), 1e-12)
	assert.Equal(t, 0.0, RunWaiting{3}.Within(2, 0.2))
	assert.True(t, math.IsNaN(RunWaiting{}.Mean(0.2)))
	assert.True(t, math.IsNaN(RunWaiting{}.Variance(0.2)))
	assert.True(t, math.IsNaN(RunWaiting{}.Within(3, 0.2)))
	assert.ErrorContains(t, RunWaiting{0}.Validate(), "choose between 1 and 1000")
	assert.NoError(t, RunWaiting{3}.Validate())

	assert.Equal(t, 0.0, RollingWindow{4, 5}.Within(4, 0.1))
	assert.Equal(t, 0.0, RollingWindow{4, 5}.Within(-9, 0.1))
	assert.Equal(t, 1.0, RollingWindow{4, 5}.Within(5, 0))
	assert.Equal(t, 0.0, RollingWindow{4, 5}.Within(50, 1))
	assert.True(t, math.IsNaN(RollingWindow{6, 5}.Within(9, 0.1)))
	assert.ErrorContains(t, RollingWindow{1, 17}.Validate(), "17 observations long")
	assert.ErrorContains(t, RollingWindow{6, 5}.Validate(), "6 clean observations are asked for")
	assert.NoError(t, RollingWindow{9, 10}.Validate())

	// The least run that keeps alpha within the declared number.
	for _, c := range []struct {
		n, want int
		p1      float64
	}{{60, 23, 0.20}, {100, 26, 0.20}, {60, 40, 0.10}, {100, 47, 0.10}} {
		assert.LessOrEqual(t, RunWaiting{c.want}.Within(c.n, c.p1), 0.05)
		assert.Greater(t, RunWaiting{c.want - 1}.Within(c.n, c.p1), 0.05)
	}
}
