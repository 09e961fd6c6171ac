package agreement

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"tablehand/assessment/estimate"
	"tablehand/testdata"
)

// Bland & Altman 1986, Lancet i:307, print -79.7 and 75.5 as the limits. They come
// from the mean and standard deviation as printed, to one decimal, which is why the
// reference case leaves them out.
func TestPrintedLimitsAreFromRoundedFigures(t *testing.T) {
	data, err := testdata.Cases.ReadFile("cases/bland_altman.json")
	require.NoError(t, err)
	var cases []struct {
		ID     string
		Inputs struct{ A, B []float64 }
	}
	require.NoError(t, json.Unmarshal(data, &cases))
	for _, c := range cases {
		if c.ID == "ba-1986" {
			d := BlandAltman(c.Inputs.A, c.Inputs.B)
			tenth := func(v float64) float64 { return math.Round(v*10) / 10 }
			assert.InDelta(t, -79.7, tenth(d.Bias.Value)-2*tenth(d.SD.Value), 1e-9)
			assert.InDelta(t, 75.5, tenth(d.Bias.Value)+2*tenth(d.SD.Value), 1e-9)
			return
		}
	}
	t.Fatal("the case is missing")
}

// The reference cases are of the interval of package estimate. Here it is worked
// out for shares of agreement, and has to be the same. Printed are three:
// Newcombe 1998, Stat Med 17:857, Table I, method 3.
func TestWilson(t *testing.T) {
	for _, c := range []struct {
		hits, of  int
		low, high float64
	}{{81, 263, 0.2553, 0.3662}, {15, 148, 0.0624, 0.1605}, {0, 20, 0, 0.1611}} {
		i := wilson(c.hits, c.of, z95)
		assert.InDelta(t, c.low, i.Low, 0.00005)
		assert.InDelta(t, c.high, i.High, 0.00005)
	}
	for of := 1; of <= 60; of++ {
		for hits := range of + 1 {
			for _, conf := range []float64{0.8, 0.95, 0.99} {
				want, err := estimate.Wilson(hits, of, conf)
				require.NoError(t, err)
				got := wilson(hits, of, distuv.UnitNormal.Quantile(1-(1-conf)/2))
				require.True(t, got.OK)
				assert.InDelta(t, want.Low, got.Low, 1e-12, "%d of %d", hits, of)
				assert.InDelta(t, want.High, got.High, 1e-12, "%d of %d", hits, of)
			}
		}
	}
	assert.InEpsilon(t, distuv.UnitNormal.Quantile(0.975), z95, 1e-14)
}
