package estimate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestRunningMedian(t *testing.T) {
	got, err := RunningMedian([]float64{3, 4, 1, 4, 5, 5, 2}, 5)
	require.NoError(t, err)
	assert.Equal(t, []float64{4, 4, 4}, got, "by hand: {3 4 1 4 5}, {4 1 4 5 5}, {1 4 5 5 2}")
	for _, bad := range []struct {
		values []float64
		window int
	}{{nil, 5}, {[]float64{1, 2, 3, 4}, 5}, {[]float64{1, 2, 3}, 2}, {[]float64{1, 2, 3}, 1}, {[]float64{1, math.NaN(), 3}, 3}} {
		_, err := RunningMedian(bad.values, bad.window)
		assert.Error(t, err, "%v", bad)
	}
}
