package sequence

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// What careless and fault-finding assessors do to the textbook rule and to the
// one with round numbers: exact to the digits written.
func TestAssessorErrors(t *testing.T) {
	textbook, round := Rule{11, -11, 17, 60}, Rule{10, -10, 17, 60}
	for _, c := range []struct {
		p, missed, invented float64
		textbook, round     float64
	}{
		{0.20, 0, 0, 0.0425, 0.0493},
		{0.20, 0.20, 0, 0.115, 0.133},
		{0.20, 0.50, 0, 0.423, 0.465},
		{0.02, 0, 0, 0.991, 0.993},
		{0.02, 0.05, 0.05, 0.703, 0.742},
		{0.02, 0, 0.05, 0.694, 0.733},
	} {
		rate := ObservedRate(c.p, c.missed, c.invented)
		assert.InDelta(t, c.textbook, textbook.ReachWithin(60, rate), 0.0005001, "%+v", c)
		assert.InDelta(t, c.round, round.ReachWithin(60, rate), 0.0005001, "%+v", c)
	}
}

func TestObservedRate(t *testing.T) {
	assert.Equal(t, 0.2, ObservedRate(0.2, 0, 0))
	assert.Equal(t, 0.0, ObservedRate(0.2, 1, 0))
	assert.Equal(t, 1.0, ObservedRate(0.2, 0, 1))
	for _, bad := range [][3]float64{{-1, 0, 0}, {0.2, 2, 0}, {0.2, 0, math.NaN()}} {
		assert.True(t, math.IsNaN(ObservedRate(bad[0], bad[1], bad[2])))
	}
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.Float64Range(0, 1)
		got := ObservedRate(rate.Draw(t, "p"), rate.Draw(t, "missed"), rate.Draw(t, "invented"))
		assert.True(t, got >= 0 && got <= 1+1e-15, "%v", got)
	})
}

func TestSourceEvidenceRefuses(t *testing.T) {
	for _, bad := range [][3]float64{{0.2, 0.1, 1}, {0.02, 0.2, 0}, {0.02, 0.2, 1.1}, {0.02, 0.2, math.NaN()}} {
		clean, fault := SourceEvidence(bad[0], bad[1], bad[2])
		assert.True(t, math.IsNaN(clean) && math.IsNaN(fault))
	}
}
