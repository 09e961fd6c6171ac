package sequence

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"sort"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

type testCase struct {
	ID        string
	Inputs    inputs
	Expected  map[string]any
	Tolerance float64
}

type inputs struct {
	K, M, H, Floor, Horizon int
	N, P                    json.RawMessage // a number in some methods, a list in others
	Q, P0, P1, P2           float64
	A, B, Alpha, Beta       float64
	Upper, Lower            float64
	Lambda0, Lambda1        float64
	Sensitivity             float64
	ScoreNow                int `json:"score_now"`
	SuccessesNeeded         int `json:"successes_needed"`
	QuantilePoints          int `json:"quantile_points"`
	Horizons, ByN           []int
	Sequence                string
}

func read[T any](t *testing.T, raw json.RawMessage) (v T) {
	t.Helper()
	require.NoError(t, json.Unmarshal(raw, &v), "input %s", raw)
	return v
}

// forCases runs every case of a method. produce returns what this package has
// to say, in the shape of the expected values. An expected key that it does not
// return is a failure unless it is listed in foreign.
func forCases(t *testing.T, method string, want int, produce func(*testing.T, inputs) map[string]any, foreign ...string) {
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "cases", method+".json"))
	require.NoError(t, err)
	var cases []testCase
	require.NoError(t, json.Unmarshal(data, &cases))
	require.Len(t, cases, want, "cases of %s", method)
	for _, c := range cases {
		t.Run(c.ID, func(t *testing.T) {
			got := produce(t, c.Inputs)
			compared := 0
			for _, key := range sortedKeys(c.Expected) {
				if _, ok := got[key]; !ok {
					assert.Contains(t, foreign, key, "expected value not produced")
					continue
				}
				compared += compare(t, key, c.Expected[key], got[key], c.Tolerance)
			}
			assert.Positive(t, compared, "nothing was compared")
		})
	}
}

func sortedKeys(m map[string]any) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}

// compare returns how many numbers it looked at. Whole numbers and nil must be
// equal, other numbers within tolerance × max(1, |want|).
func compare(t *testing.T, at string, want, got any, tolerance float64) int {
	t.Helper()
	n := 0
	switch got := got.(type) {
	case map[string]any:
		want, ok := want.(map[string]any)
		require.True(t, ok, at)
		require.Equal(t, sortedKeys(want), sortedKeys(got), at)
		for _, k := range sortedKeys(got) {
			n += compare(t, at+"."+k, want[k], got[k], tolerance)
		}
	case []any:
		want, ok := want.([]any)
		require.True(t, ok, at)
		require.Len(t, got, len(want), at)
		for i := range got {
			n += compare(t, at+"["+strconv.Itoa(i)+"]", want[i], got[i], tolerance)
		}
	case float64:
		w, ok := want.(float64)
		require.True(t, ok, at)
		assert.InDelta(t, w, got, tolerance*max(1, math.Abs(w)), at)
		n = 1
	case int:
		assert.Equal(t, want, float64(got), at)
		n = 1
	case nil:
		assert.Nil(t, want, at)
		n = 1
	default:
		require.Failf(t, "type", "%s: %T", at, got)
	}
	return n
}

func byHorizon(horizons []int, within func(n int) float64) map[string]any {
	m := map[string]any{}
	for _, n := range horizons {
		m[strconv.Itoa(n)] = within(n)
	}
	return m
}

func TestCasesPointsRule(t *testing.T) {
	forCases(t, "score_engine_oc", 5, func(t *testing.T, in inputs) map[string]any {
		r := Rule{Fault: in.M, Floor: in.Floor, Threshold: in.H, Horizon: read[int](t, in.N)}
		require.NoError(t, r.Validate())
		var rows []any
		for _, p := range read[[]float64](t, in.P) {
			rows = append(rows, map[string]any{
				"p":            p,
				"signoff_by_N": r.ReachWithin(r.Horizon, p),
				"e_min_T_N":    r.MeanWithin(r.Horizon, p),
				"mean_T":       r.MeanUnlimited(p),
			})
		}
		return map[string]any{"rows": rows}
	})
}

func TestCasesPath(t *testing.T) {
	forCases(t, "score_engine_path", 7, func(t *testing.T, in inputs) map[string]any {
		r := Rule{Fault: in.M, Floor: in.Floor, Threshold: in.H}
		var scores []any
		var eligible any
		score := 0
		for i, seen := range in.Sequence {
			score = r.Step(score, seen == 'C')
			scores = append(scores, score)
			if score >= r.Threshold {
				eligible = i + 1
				break
			}
		}
		return map[string]any{"scores": scores, "signoff_at": eligible}
	})
}

func TestCasesThreshold(t *testing.T) {
	forCases(t, "score_engine_threshold", 4, func(t *testing.T, in inputs) map[string]any {
		n := read[int](t, in.N)
		fault := FaultFor(in.P0, in.P1)
		h, err := Threshold(fault, in.Floor, n, in.P1, in.Alpha)
		require.NoError(t, err)
		return map[string]any{
			"m": fault, "h": h,
			"exact_false_signoff": Rule{fault, in.Floor, h, n}.ReachWithin(n, in.P1),
			"at_h_minus_1":        Rule{fault, in.Floor, h - 1, n}.ReachWithin(n, in.P1),
		}
	})
}

func TestCasesRun(t *testing.T) {
	forCases(t, "run_waiting", 12, func(t *testing.T, in inputs) map[string]any {
		w, p := RunWaiting{in.K}, 1-in.Q
		return map[string]any{
			"mean": w.Mean(p), "var": w.Variance(p),
			"cdf": byHorizon(in.Horizons, func(n int) float64 { return w.Within(n, p) }),
		}
	})
}

func TestCasesWindow(t *testing.T) {
	// "N" and "n" both fill inputs.N: encoding/json ignores case.
	forCases(t, "rolling_window", 3, func(t *testing.T, in inputs) map[string]any {
		w, p := RollingWindow{in.K, read[int](t, in.N)}, read[float64](t, in.P)
		return map[string]any{
			"one_shot": w.OneShot(p),
			"cdf":      byHorizon(in.Horizons, func(n int) float64 { return w.Within(n, p) }),
		}
	})
}

func TestCasesMonitor(t *testing.T) {
	forCases(t, "bernoulli_cusum_monitor", 3, func(t *testing.T, in inputs) map[string]any {
		m := Monitor{in.M, in.H}
		var rows []any
		for _, p := range read[[]float64](t, in.P) {
			rows = append(rows, map[string]any{
				"p": p, "mean_to_alarm": m.MeanToAlarm(p), "alarm_by_N": m.AlarmWithin(read[int](t, in.N), p),
			})
		}
		return map[string]any{"rows": rows}
	})
}

func TestCasesLimits(t *testing.T) {
	forCases(t, "theoretical_limits", 2, func(t *testing.T, in inputs) map[string]any {
		at0, at1 := WaldBounds(in.P0, in.P1, in.Alpha, in.Beta)
		return map[string]any{
			"kl_bound_p0":   at0,
			"kl_bound_p1":   at1,
			"nmin":          LeastObservations(in.P1, in.Alpha),
			"dual_bound_60": LowerBound(60, in.P0, in.P1, in.Alpha),
			"np_power": byHorizon(read[[]int](t, in.N), func(n int) float64 {
				return GreatestCompetent(n, in.P0, in.P1, in.Alpha)
			}),
		}
	})
}

func TestCasesForecast(t *testing.T) {
	forCases(t, "forecast_engine", 2, func(t *testing.T, in inputs) map[string]any {
		r, p := Rule{Fault: in.M, Floor: in.Floor, Threshold: in.H}, read[float64](t, in.P)
		f := r.Forecast(in.ScoreNow, 200, p)
		return map[string]any{
			"mean": r.MeanFrom(in.ScoreNow, p), "by20": f.Within(20), "by40": f.Within(40),
			"q10": quantile(f, 0.10), "q50": quantile(f, 0.50), "q90": quantile(f, 0.90),
		}
	})
}

func TestCasesForecastUnknownRate(t *testing.T) {
	forCases(t, "forecast_engine_beta_mix", 1, func(t *testing.T, in inputs) map[string]any {
		r := Rule{Fault: in.M, Floor: in.Floor, Threshold: in.H}
		f := r.Forecast(in.ScoreNow, 100, BetaRates(in.A, in.B, in.QuantilePoints)...)
		return map[string]any{
			"by20": f.Within(20), "by40": f.Within(40), "by100": f.Within(100),
			"q50": quantile(f, 0.50), "q80": quantile(f, 0.80),
		}
	})
}

// quantile is nil, as in the cases, if the forecast does not go far enough.
func quantile(f Forecast, share float64) any {
	if n, ok := f.Quantile(share); ok {
		return n
	}
	return nil
}

func TestCasesCleanTotal(t *testing.T) {
	forCases(t, "forecast_negbin", 1, func(t *testing.T, in inputs) map[string]any {
		c, p := CleanTotal{in.SuccessesNeeded}, 1-in.Q
		f := c.Forecast(100, p)
		return map[string]any{
			"mean": c.Mean(p), "var": c.Variance(p), "q50": quantile(f, 0.50), "q90": quantile(f, 0.90),
			"cdf": byHorizon([]int{5, 7, 10}, f.Within),
		}
	})
}

func TestCasesPlan(t *testing.T) {
	forCases(t, "sprt_plan", 3, func(t *testing.T, in inputs) map[string]any {
		// In the plan beta is the chance of accepting at the worse rate.
		s := WaldSPRT(in.P1, in.P2, in.Beta, in.Alpha)
		h1, h2, slope := s.Lines()
		accept, reject := map[string]any{}, map[string]any{}
		for _, n := range read[[]int](t, in.N) {
			a, r := s.Plan(n)
			accept[strconv.Itoa(n)], reject[strconv.Itoa(n)] = a, r
			if a < 0 {
				accept[strconv.Itoa(n)] = nil
			}
			if r > n {
				reject[strconv.Itoa(n)] = nil
			}
		}
		return map[string]any{"h1": h1, "h2": h2, "s": slope, "accept": accept, "reject": reject}
	})
}

func TestCasesSPRT(t *testing.T) {
	forCases(t, "sprt_exact", 7, func(t *testing.T, in inputs) map[string]any {
		s := SPRT{P0: in.P0, P1: in.P1, SignOff: -in.Lower, Reject: in.Upper}
		var accept, asn, by []any
		for _, p := range read[[]float64](t, in.P) {
			signOff, mean := s.Unlimited(p)
			accept, asn = append(accept, signOff), append(asn, mean)
			by = append(by, byHorizon(in.ByN, func(n int) float64 { return s.Within(n, p) }))
		}
		atP0, _ := s.Unlimited(in.P0)
		atP1, _ := s.Unlimited(in.P1)
		return map[string]any{
			"accept": accept, "asn": asn, "accept_by": by, "reject_p0": 1 - atP0, "accept_p1": atP1,
		}
	})
}

func TestCasesKieferWeiss(t *testing.T) {
	forCases(t, "kiefer_weiss_modified", 2, func(t *testing.T, in inputs) map[string]any {
		k := KieferWeiss{P0: in.P0, P1: in.P1, P: read[float64](t, in.P), Missed: in.Lambda0, Falsely: in.Lambda1, Horizon: in.Horizon}
		missed, falsely, mean := k.Operating()
		return map[string]any{"alpha": missed, "beta": falsely, "asn": mean}
	})
}

func TestCasesSource(t *testing.T) {
	forCases(t, "source_llr", 3, func(t *testing.T, in inputs) map[string]any {
		clean, fault := SourceEvidence(in.P0, in.P1, in.Sensitivity)
		full, _ := SourceEvidence(in.P0, in.P1, 1)
		return map[string]any{"clean": clean, "not_clean": fault, "credit_ratio": clean / full}
	})
}
