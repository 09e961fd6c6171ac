package agreement

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
)

type testCase struct {
	ID        string
	Inputs    inputs
	Expected  map[string]any
	Published map[string]any
	Decimals  int `json:"published_decimals"`
	Tolerance float64
}

type inputs struct {
	BothClean    int `json:"both_clean"`
	OnlyAClean   int `json:"a_clean_b_not"`
	OnlyBClean   int `json:"a_not_b_clean"`
	NeitherClean int `json:"both_not"`

	Table, Counts        [][]int
	Weights              json.RawMessage // a word or a matrix
	Units                [][]*float64
	Categories           []float64
	Level, Kind          string
	Ratings              [][]float64
	Conf                 float64
	A, B, Self, Assessor []float64
	Scores               json.RawMessage // two or three dimensions
	DN                   json.RawMessage `json:"d_n"` // numbers or pairs of numbers
	X, N                 int
}

func read[T any](t *testing.T, raw json.RawMessage) (v T) {
	t.Helper()
	require.NoError(t, json.Unmarshal(raw, &v), "input %s", raw)
	return v
}

// units turns a missing mark into NotRated.
func (in *inputs) units() [][]float64 {
	out := make([][]float64, len(in.Units))
	for i, row := range in.Units {
		for _, m := range row {
			if m == nil {
				out[i] = append(out[i], NotRated())
			} else {
				out[i] = append(out[i], *m)
			}
		}
	}
	return out
}

func weights(t *testing.T, raw json.RawMessage, k int) Weights {
	var word string
	if json.Unmarshal(raw, &word) != nil {
		return read[Weights](t, raw)
	}
	named := map[string]func(int) Weights{"unweighted": Unweighted, "linear": Linear, "quadratic": Quadratic}
	require.Contains(t, named, word)
	return named[word](k)
}

// forCases runs every case of a method. produce returns what this package has to
// say, in the shape of the expected values; every expected key must be among it,
// and must also round to the published figure where the case has one. sources
// names, for every case, where its published figure was printed, or how its
// values came about; "from memory" says that the print was not looked up again.
// Printed figures that were worked out from rounded ones are in printedRoughly.
func forCases(t *testing.T, method string, sources map[string]string, produce func(*testing.T, inputs) map[string]any, printedRoughly ...string) {
	cases := readCases(t, method)
	require.Len(t, cases, len(sources), "cases of %s", method)
	for _, c := range cases {
		t.Run(c.ID, func(t *testing.T) {
			source := sources[c.ID]
			require.NotEmpty(t, source, "no source is named")
			got := produce(t, c.Inputs)
			assert.Equal(t, sortedKeys(c.Expected), sortedKeys(got))
			for _, key := range sortedKeys(c.Expected) {
				compare(t, key, c.Expected[key], got[key], c.Tolerance)
			}
			for _, key := range sortedKeys(c.Published) {
				if slices.Contains(printedRoughly, key) {
					continue
				}
				comparePublished(t, source+": "+key, c.Published[key], got[key], c.Decimals)
			}
		})
	}
}

func readCases(t *testing.T, method string) (cases []testCase) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "cases", method+".json"))
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(data, &cases))
	return cases
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}

// compare checks a value, list or map: whole numbers exactly, others within
// tolerance × max(1, |want|). A figure that is not OK is a failure.
func compare(t *testing.T, at string, want, got any, tolerance float64) {
	t.Helper()
	switch got := got.(type) {
	case map[string]any:
		want, ok := want.(map[string]any)
		require.True(t, ok, at)
		require.Equal(t, sortedKeys(want), sortedKeys(got), at)
		for _, k := range sortedKeys(got) {
			compare(t, at+"."+k, want[k], got[k], tolerance)
		}
	case []any:
		want, ok := want.([]any)
		require.True(t, ok, at)
		require.Len(t, got, len(want), at)
		for i := range got {
			compare(t, at+"["+strconv.Itoa(i)+"]", want[i], got[i], tolerance)
		}
	case Interval:
		require.True(t, got.OK, "%s: %s", at, got.Why)
		compare(t, at, want, []any{got.Low, got.High}, tolerance)
	case Number:
		require.True(t, got.OK, "%s: %s", at, got.Why)
		compare(t, at, want, got.Value, tolerance)
	case float64:
		w, ok := want.(float64)
		require.True(t, ok, at)
		assert.InDelta(t, w, got, tolerance*max(1, math.Abs(w)), at)
	case int:
		assert.Equal(t, want, float64(got), at)
	default:
		require.Failf(t, "type", "%s: %T", at, got)
	}
}

// comparePublished checks that a figure agrees with a printed one to half a unit
// of its last decimal. A null stands for a printed figure that is not used.
func comparePublished(t *testing.T, at string, printed, got any, decimals int) {
	t.Helper()
	switch printed := printed.(type) {
	case nil:
	case []any:
		i := got.(Interval)
		require.True(t, i.OK, at)
		comparePublished(t, at+" low", printed[0], number(i.Low), decimals)
		comparePublished(t, at+" high", printed[1], number(i.High), decimals)
	case float64:
		n := got.(Number)
		require.True(t, n.OK, "%s: %s", at, n.Why)
		assert.InDelta(t, printed, n.Value, 0.5000001*math.Pow10(-decimals), at)
	default:
		require.Failf(t, "type", "%s: %T", at, printed)
	}
}

func TestCasesTwoAssessors(t *testing.T) {
	forCases(t, "two_assessor_binary", map[string]string{
		"two-assessor-0": "Feinstein & Cicchetti 1990, J Clin Epidemiol 43:543, balanced table; from memory",
		"two-assessor-1": "Feinstein & Cicchetti 1990, J Clin Epidemiol 43:543, paradox table; from memory",
		"two-assessor-4": "made by hand, a salon's size; computed",
		"two-assessor-5": "made by hand, a salon's size; computed",
	}, func(t *testing.T, in inputs) map[string]any {
		d := Decisions{in.BothClean, in.OnlyAClean, in.OnlyBClean, in.NeitherClean}
		return map[string]any{
			"n": d.Grooms(), "agreement": d.Agreement().Value, "agreement_wilson": d.Agreement().Range,
			"positive_agreement": d.CleanAgreement().Value, "negative_agreement": d.NotCleanAgreement().Value,
			"kappa": d.Kappa().Value, "kappa_se": d.Kappa().SE, "ac1": d.AC1().Value,
			"strictness_diff": d.StricterBy(), "mcnemar_exact_p": d.StricterChance(),
		}
	})
}

func TestCasesCohenKappa(t *testing.T) {
	sources := map[string]string{
		"cohen-1968":           "Cohen 1960, Educ Psychol Meas 20:37, and 1968, Psychol Bull 70:213, 3 × 3 table of 200",
		"cohen-1968-w":         "Cohen 1968, Psychol Bull 70:213, weighted kappa",
		"cohen-1968-linear":    "computed on Cohen's table",
		"cohen-1968-quadratic": "computed on Cohen's table",
		"gwet-3x3-kappa":       "Gwet 2014, Handbook of Inter-Rater Reliability, 4th ed., 3 × 3 table of 100",
		"kappa-paradox":        "Feinstein & Cicchetti 1990, J Clin Epidemiol 43:543, type of table",
	}
	for i := range 4 {
		for _, w := range []string{"unweighted", "linear", "quadratic"} {
			sources["gen-kappa-"+strconv.Itoa(i)+"-"+w] = "generated; computed"
		}
	}
	forCases(t, "cohen_kappa", sources, func(t *testing.T, in inputs) map[string]any {
		c := CohenKappa(in.Table, weights(t, in.Weights, len(in.Table)))
		return map[string]any{"po": c.Observed, "pe": c.Expected, "kappa": c.Value, "se": c.SE}
	})
}

func TestCasesFleissKappa(t *testing.T) {
	forCases(t, "fleiss_kappa", map[string]string{
		"fleiss-1971":     "Fleiss 1971, Psychol Bull 76:378, 30 patients by 6 psychiatrists, with Fleiss, Nee & Landis 1979 for z",
		"fleiss-14raters": "worked example of 14 raters in a public encyclopaedia",
		"gen-fleiss-0":    "generated; computed", "gen-fleiss-1": "generated; computed",
		"gen-fleiss-2": "generated; computed", "gen-fleiss-3": "generated; computed",
	}, func(t *testing.T, in inputs) map[string]any {
		c := FleissKappa(in.Counts)
		return map[string]any{"pbar": c.Observed, "pe": c.Expected, "kappa": c.Value, "z0": FleissZ(in.Counts)}
	})
}

func TestCasesFleissKappaMissing(t *testing.T) {
	forCases(t, "fleiss_kappa_missing", map[string]string{
		"gwet-fleiss-missing": "Gwet 2014, Handbook of Inter-Rater Reliability, 4th ed., p. 120, 12 units by 4 raters",
	}, func(t *testing.T, in inputs) map[string]any {
		c := FleissKappaMissing(in.units(), in.Categories)
		return map[string]any{"pa": c.Observed, "pe": c.Expected, "kappa": c.Value}
	})
}

func TestCasesKrippendorff(t *testing.T) {
	sources := map[string]string{
		"kripp-C-nominal":  "Krippendorff 2011, Computing Krippendorff's Alpha-Reliability, example C",
		"kripp-C-interval": "Krippendorff 2011, Computing Krippendorff's Alpha-Reliability, example C",
		"kripp-C-ordinal":  "Krippendorff 2011, Computing Krippendorff's Alpha-Reliability, example C; from memory",
		"kripp-A":          "Krippendorff 2011, Computing Krippendorff's Alpha-Reliability, example A",
		"kripp-W-nominal":  "public example of 3 coders by 15 units; value from memory",
	}
	for i := range 4 {
		for _, m := range []string{"nominal", "ordinal", "interval"} {
			sources["gen-kripp-"+strconv.Itoa(i)+"-"+m] = "generated; computed"
		}
	}
	metrics := map[string]Metric{"nominal": Nominal, "ordinal": Ordinal, "interval": IntervalScale, "ratio": RatioScale}
	forCases(t, "krippendorff_alpha", sources, func(t *testing.T, in inputs) map[string]any {
		require.Contains(t, metrics, in.Level)
		return map[string]any{"alpha": KrippendorffAlpha(in.units(), metrics[in.Level])}
	})
}

func TestCasesGwet(t *testing.T) {
	sources := map[string]string{
		"gwet-ac1":      "Gwet 2014, Handbook of Inter-Rater Reliability, 4th ed., p. 120, 12 units by 4 raters",
		"gwet-ac2-quad": "Gwet 2014, Handbook of Inter-Rater Reliability, 4th ed., p. 120, 12 units by 4 raters",
		"gwet-3x3-ac1":  "Gwet 2014, Handbook of Inter-Rater Reliability, 4th ed., 3 × 3 table of 100",
	}
	for i := range 4 {
		sources["gen-gwet-"+strconv.Itoa(i)+"-unweighted"] = "generated; computed"
		sources["gen-gwet-"+strconv.Itoa(i)+"-quadratic"] = "generated; computed"
	}
	forCases(t, "gwet_ac", sources, func(t *testing.T, in inputs) map[string]any {
		c := Gwet(in.units(), in.Categories, weights(t, in.Weights, len(in.Categories)))
		return map[string]any{"pa": c.Observed, "pe": c.Expected, "ac": c.Value}
	})
}

func TestCasesICC(t *testing.T) {
	forCases(t, "icc", map[string]string{
		"icc-sf1979": "Shrout & Fleiss 1979, Psychol Bull 86:420, Tables 2 to 4; mean squares from memory",
		"gen-icc-0":  "generated; computed", "gen-icc-1": "generated; computed", "gen-icc-2": "generated; computed",
	}, func(t *testing.T, in inputs) map[string]any {
		require.Equal(t, 0.95, in.Conf, "all intervals here are of 95 %")
		c := NewICC(in.Ratings)
		return map[string]any{
			"MSB": c.MSB, "MSW": c.MSW, "MSJ": c.MSJ, "MSE": c.MSE,
			"ICC1": c.One.Value, "ICC1_ci": c.One.Range, "ICC1k": c.OneK.Value, "ICC1k_ci": c.OneK.Range,
			"ICC2": c.Two.Value, "ICC2_ci": c.Two.Range, "ICC2k": c.TwoK.Value, "ICC2k_ci": c.TwoK.Range,
			"ICC3": c.Three.Value, "ICC3_ci": c.Three.Range, "ICC3k": c.ThreeK.Value, "ICC3k_ci": c.ThreeK.Range,
		}
	})
}

// The limits printed in 1986, -79.7 and 75.5, come from a rounded mean and SD; see
// TestPrintedLimitsAreFromRoundedFigures.
func TestCasesBlandAltman(t *testing.T) {
	forCases(t, "bland_altman", map[string]string{
		"ba-1986":  "Bland & Altman 1986, Lancet i:307, Table 1, first readings of each meter",
		"gen-ba-0": "generated; computed", "gen-ba-1": "generated; computed",
	}, func(t *testing.T, in inputs) map[string]any {
		d := BlandAltman(in.A, in.B)
		return map[string]any{
			"n": d.Pairs, "bias": d.Bias, "sd": d.SD, "bias_ci": d.BiasRange, "loa": d.Limits, "loa_2sd": d.Limits2SD,
			"lower_loa_ci_1986": d.LowRange, "upper_loa_ci_1986": d.HighRange, "se_loa_1999": d.LimitSE, "t_stat": d.T,
		}
	}, "loa_2sd")
}

func TestPrintedLimitsAreFromRoundedFigures(t *testing.T) {
	for _, c := range readCases(t, "bland_altman") {
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

// Three of these are printed: Newcombe 1998, Stat Med 17:857, Table I, method 3.
// The others are computed.
func TestCasesWilson(t *testing.T) {
	tested := 0
	for _, c := range readCases(t, "proportion_interval") {
		if c.Inputs.Kind == "wilson" {
			z := distuv.UnitNormal.Quantile(1 - (1-c.Inputs.Conf)/2)
			got := wilson(c.Inputs.X, c.Inputs.N, z)
			compare(t, c.ID, c.Expected["ci"], got, c.Tolerance)
			comparePublished(t, c.ID, c.Published["ci"], got, c.Decimals)
			tested++
		}
	}
	assert.Equal(t, 9, tested)
	assert.InEpsilon(t, distuv.UnitNormal.Quantile(0.975), z95, 1e-14)
}

func TestCasesGStudyPI(t *testing.T) {
	forCases(t, "gstudy_pi", map[string]string{
		"g-brennan-1": "Brennan 2001, Generalizability Theory, Table 2.2, Synthetic Data Set 1",
		"gen-gpr-0":   "generated; computed", "gen-gpr-1": "generated; computed",
	}, func(t *testing.T, in inputs) map[string]any {
		g := GStudyPI(read[[][]float64](t, in.Scores))
		var plans []any
		for _, n := range read[[]int](t, in.DN) {
			p := g.Plan(n)
			plans = append(plans, map[string]any{
				"n": n, "rel_var": p.RelativeVariance, "abs_var": p.AbsoluteVariance, "Erho2": p.Generalizability,
				"Phi": p.Dependability, "SEM_rel": p.RelativeSEM, "SEM_abs": p.AbsoluteSEM,
			})
		}
		return map[string]any{
			"MS_p": g.P.MeanSquare, "MS_i": g.I.MeanSquare, "MS_pi": g.PI.MeanSquare,
			"var_p": g.P.Variance, "var_i": g.I.Variance, "var_pi_e": g.PI.Variance, "dstudy": plans,
		}
	})
}

func TestCasesGStudyPIR(t *testing.T) {
	forCases(t, "gstudy_pir", map[string]string{
		"gen-gpir-0": "generated; computed", "gen-gpir-1": "generated; computed",
	}, func(t *testing.T, in inputs) map[string]any {
		g := GStudyPIR(read[[][][]float64](t, in.Scores))
		var plans []any
		for _, n := range read[[][2]int](t, in.DN) {
			p := g.Plan(n[0], n[1])
			plans = append(plans, map[string]any{
				"n_i": n[0], "n_r": n[1], "rel_var": p.RelativeVariance, "abs_var": p.AbsoluteVariance,
				"Erho2": p.Generalizability, "Phi": p.Dependability,
			})
		}
		out := map[string]any{"dstudy": plans, "var_pir_e": g.PIR.Variance, "MS_pir": g.PIR.MeanSquare}
		for name, c := range map[string]Component{"p": g.P, "i": g.I, "r": g.R, "pi": g.PI, "pr": g.PR, "ir": g.IR} {
			out["MS_"+name], out["var_"+name] = c.MeanSquare, c.Variance
		}
		return out
	})
}

func TestCasesGStudyIinP(t *testing.T) {
	forCases(t, "gstudy_i_in_p", map[string]string{
		"g-brennan-nested": "data of Brennan 2001, Generalizability Theory, Table 2.9; computed",
	}, func(t *testing.T, in inputs) map[string]any {
		g := GStudyIinP(read[[][]float64](t, in.Scores))
		shares := map[string]any{}
		for _, n := range read[[]int](t, in.DN) {
			shares[strconv.Itoa(n)] = g.Plan(n).Generalizability
		}
		return map[string]any{
			"MS_p": g.P.MeanSquare, "MS_ip": g.IP.MeanSquare, "var_p": g.P.Variance, "var_ip": g.IP.Variance, "Erho2": shares,
		}
	})
}

func TestCasesGStudyPRT(t *testing.T) {
	forCases(t, "gstudy_p_rt", map[string]string{
		"g-brennan-4": "Brennan 2001, Generalizability Theory, Table 3.2, Synthetic Data Set 4; components from memory",
	}, func(t *testing.T, in inputs) map[string]any {
		g := GStudyPRT(read[[][][]float64](t, in.Scores))
		return map[string]any{
			"MS_p": g.P.MeanSquare, "MS_t": g.T.MeanSquare, "MS_rt": g.RT.MeanSquare, "MS_pt": g.PT.MeanSquare, "MS_prt": g.PRT.MeanSquare,
			"var_p": g.P.Variance, "var_t": g.T.Variance, "var_rt": g.RT.Variance, "var_pt": g.PT.Variance, "var_prt_e": g.PRT.Variance,
		}
	})
}

func TestCasesCronbach(t *testing.T) {
	forCases(t, "cronbach_alpha_sem", map[string]string{
		"cronbach-attitude": "data of Chatterjee & Price 1977, Regression Analysis by Example; alpha from memory",
	}, func(t *testing.T, in inputs) map[string]any {
		c := Cronbach(read[[][]float64](t, in.Scores))
		return map[string]any{"alpha": c.Alpha, "sd_total": c.TotalSD, "sem_total": c.TotalSEM}
	})
}

func TestCasesSelf(t *testing.T) {
	forCases(t, "self_vs_assessor", map[string]string{
		"paired-student-sleep": "Student 1908, Biometrika 6:1, sleep data; from memory",
		"gen-paired-0":         "generated; computed", "gen-paired-1": "generated; computed",
	}, func(t *testing.T, in inputs) map[string]any {
		s := SelfVsAssessor(in.Self, in.Assessor)
		return map[string]any{
			"n": s.Pairs, "bias": s.Bias, "sd_diff": s.SD, "mae": s.MAE, "rmse": s.RMSE, "ci": s.BiasRange,
			"t": s.T, "pearson": s.Correlation, "over_share": s.HigherShare,
		}
	})
}
