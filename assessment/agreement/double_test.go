package agreement

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Ten grooms that two assessors rated, worked by hand: within one level they
// always agree, yet one decision in five comes out the other way. Common
// practice, no source.
func TestTenGroomsRatedTwice(t *testing.T) {
	x := []int{3, 4, 4, 5, 2, 3, 4, 4, 3, 5}
	y := []int{3, 4, 3, 5, 2, 4, 4, 4, 3, 4}
	table := make([][]int, 5)
	for i := range table {
		table[i] = make([]int, 5)
	}
	var joint []Joint
	var a, b []float64
	within := 0
	mark := func(level int) Mark {
		m := Mark{Level: level, Decision: NotClean, Score: float64(level)}
		if level >= 4 {
			m.Decision = Clean
		}
		return m
	}
	for i := range x {
		table[x[i]-1][y[i]-1]++
		joint = append(joint, Joint{mark(x[i]), mark(y[i])})
		a, b = append(a, float64(x[i])), append(b, float64(y[i]))
		if math.Abs(a[i]-b[i]) <= 1 {
			within++
		}
	}
	p := NewPair("X", "Y", 5, "levels", joint)
	assert.Equal(t, 10, within)
	assert.InDelta(t, 0.70, p.SameLevel.Value.Value, 1e-15)
	assert.InDelta(t, 0.80, p.SameDecision.Value.Value, 1e-15)
	assert.InDelta(t, 0.10, BlandAltman(a, b).Bias.Value, 1e-12)
	// 1 − observed disagreement over expected, by hand: 0.30/0.68, 0.30/0.92, 0.30/1.46.
	assert.InDelta(t, 0.559, CohenKappa(table, Unweighted(5)).Value.Value, 0.0005)
	assert.InDelta(t, 1-0.30/0.92, CohenKappa(table, Linear(5)).Value.Value, 1e-12)
	assert.InDelta(t, 1-0.30/1.46, CohenKappa(table, Quadratic(5)).Value.Value, 1e-12)
	assert.InDelta(t, (0.80-0.52)/0.48, p.Decisions.Kappa().Value.Value, 1e-12)
	assert.False(t, p.LinearLevels.Shown, "ten grooms are too few to show it")
}
