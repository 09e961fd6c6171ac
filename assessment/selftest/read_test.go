package selftest

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/testdata"
)

// good is a case that passes, and the start of every bad one.
const good = `[{"id": "one", "method": "zero_failure_sample_size", "inputs": {"p1": 0.05, "alpha": 0.05}, "expected": {"n": 59}, "tolerance": 0,
 "published": {"n": 59}, "published_decimals": 0, "agrees_with_published": true, "source": "success-run theorem", "source_status": "computed",
 "verified_with": [], "recomputed_max_rel_diff": 0, "note": ""}]`

func changed(t testing.TB, old, now string) string {
	t.Helper()
	require.Equal(t, 1, strings.Count(good, old), old)
	return strings.Replace(good, old, now, 1)
}

func TestReadRefuses(t *testing.T) {
	both := strings.TrimSuffix(good, "]") + "," + strings.TrimPrefix(good, "[")
	for name, c := range map[string]struct{ data, want string }{
		"nothing":           {"", "f.json: the file ends too early: a bracket is not closed"},
		"cut off":           {good[:200], "f.json: the file ends too early: a bracket is not closed"},
		"not a list":        {`{"id": 1}`, "f.json: the file holds an object: a list of cases is needed"},
		"no cases":          {`[]`, "f.json: the file holds 0 cases: it can hold 1 to 1000"},
		"no object":         {`[1]`, "f.json: case 1: the number 1 was found: an object is needed"},
		"more":              {good + `[]`, "f.json: line 3: something follows the end of the list: remove it"},
		"NaN":               {changed(t, `"p1": 0.05`, `"p1": NaN`), "f.json: line 1 is not JSON: invalid character 'N' looking for beginning of value"},
		"infinite":          {changed(t, `"p1": 0.05`, `"p1": 1e999`), "f.json: line 1: the number 1e999 is too long or too large: at most 40 characters and 1e+308 are taken"},
		"vanishing":         {changed(t, `"p1": 0.05`, `"p1": 1e-999`), "f.json: line 1: the number 1e-999 is too small to be held"},
		"too deep":          {changed(t, `"n": 59}, "tol`, `"n": [[[[[[[1]]]]]]]}, "tol`), "f.json: line 1: lists and objects lie more than 8 deep in each other"},
		"too large":         {strings.Repeat(" ", MaxFile+1), "f.json: the file is larger than 4 MB: split it"},
		"not UTF-8":         {"\xff", "f.json: the file is not UTF-8 text: save it as such"},
		"a long text":       {changed(t, `"note": ""`, `"note": "`+strings.Repeat("x", 3000)+`"`), "f.json: line 3: a text is 3000 bytes long: at most 2000 are taken"},
		"the same key":      {changed(t, `"note": ""`, `"note": "", "note": ""`), `f.json: line 3: the key "note" stands twice in the same object: remove one`},
		"an unknown key":    {changed(t, `"note": ""`, `"note": "", "Note": ""`), `f.json: case 1 (one): "Note" is no key of a case: remove it or correct its name`},
		"a missing key":     {changed(t, `, "note": ""`, ``), "f.json: case 1 (one): note is missing"},
		"the same id":       {both, `f.json: case 2 (one): id is "one": an earlier case has it already`},
		"an odd id":         {changed(t, `"one"`, `"one two"`), `f.json: case 1: id is "one two": 1 to 60 letters, digits, dots, dashes and underscores are taken`},
		"two lines":         {changed(t, `"success-run theorem"`, `"a\nb"`), "f.json: case 1 (one): source holds a line break or another control character: write it in one line"},
		"no source":         {changed(t, `"success-run theorem"`, `""`), "f.json: case 1 (one): source is empty"},
		"a wide tolerance":  {changed(t, `"tolerance": 0`, `"tolerance": 1`), "f.json: case 1 (one): tolerance is the number 1: a number from 0 to 0.001 is needed"},
		"no tolerance":      {changed(t, `"tolerance": 0`, `"tolerance": null`), "f.json: case 1 (one): tolerance is null: a number from 0 to 0.001 is needed"},
		"nothing expected":  {changed(t, `"expected": {"n": 59}`, `"expected": {}`), "f.json: case 1 (one): expected is an object: an object with at least one value is needed"},
		"an empty object":   {changed(t, `"expected": {"n": 59}`, `"expected": {"n": [1, {}]}`), "f.json: case 1 (one): expected.n[1] is an object without values: give it one or remove it"},
		"no decimals":       {changed(t, `"published_decimals": 0`, `"published_decimals": null`), "f.json: case 1 (one): published_decimals is null: with a printed value it is a whole number from 0 to 15"},
		"does not agree":    {changed(t, `true`, `false`), "f.json: case 1 (one): agrees_with_published is false: a printed value that the expected one does not round to is left out of published, and note says why"},
		"another print":     {changed(t, `"published": {"n": 59}`, `"published": {"m": 59}`), "f.json: case 1 (one): published.m has no value in expected: give it one"},
		"a print as text":   {changed(t, `"published": {"n": 59}`, `"published": {"n": "59"}`), `f.json: case 1 (one): published.n is the text "59": what is expected there is the number 59`},
		"verified by one":   {changed(t, `"verified_with": []`, `"verified_with": "me"`), `f.json: case 1 (one): verified_with is the text "me": a list of texts is needed`},
		"a difference":      {changed(t, `"recomputed_max_rel_diff": 0`, `"recomputed_max_rel_diff": -1`), "f.json: case 1 (one): recomputed_max_rel_diff is -1: it cannot be below 0"},
		"inputs":            {changed(t, `"inputs": {"p1": 0.05, "alpha": 0.05}`, `"inputs": []`), "f.json: case 1 (one): inputs is a list: an object is needed"},
		"an unknown input":  {changed(t, `"p1": 0.05`, `"p1": 0.05, "P1": 0.05`), "f.json: case 1 (one): inputs.P1 is not an input of this method: remove it or correct its name"},
		"a missing input":   {changed(t, `"p1": 0.05, `, ``), "f.json: case 1 (one): inputs.p1 is missing"},
		"an input as text":  {changed(t, `"p1": 0.05`, `"p1": "0.05"`), `f.json: case 1 (one): inputs.p1 is the text "0.05": a number from 1e-06 to 0.999999 is needed`},
		"an input too high": {changed(t, `"p1": 0.05`, `"p1": 2`), "f.json: case 1 (one): inputs.p1 is 2: it can be from 1e-06 to 0.999999"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Read("f.json", []byte(c.data))
			assert.EqualError(t, err, c.want)
		})
	}
	_, err := Read("f.json", []byte(changed(t, "zero_failure_sample_size", "guess")))
	assert.ErrorContains(t, err, `f.json: case 1 (one): method is "guess": there is no such method. Known are angoff, bernoulli_cusum_monitor, `)
}

func TestReadRefusesInputs(t *testing.T) {
	for name, c := range map[string]struct{ method, inputs, want string }{
		"a share of a whole": {"score_engine_path", `{"sequence": "C", "m": 1.5, "h": 1, "floor": 0}`, "inputs.m is 1.5: a whole number is needed"},
		"a letter":           {"score_engine_path", `{"sequence": "CX", "m": 1, "h": 1, "floor": 0}`, "inputs.sequence has 'X' at place 2: C is clean and N is not"},
		"an empty list":      {"isotonic_regression", `{"y": []}`, "inputs.y is a list of 0: it can hold 1 to 2000"},
		"a ragged table":     {"icc", `{"ratings": [[1, 2], [3]], "conf": 0.95}`, "inputs.ratings[1] is a list of 1 and the first row one of 2: all rows are equally long"},
		"other confidence":   {"icc", `{"ratings": [[1, 2], [3, 4]], "conf": 0.9}`, "inputs.conf is 0.9: it can be from 0.95 to 0.95"},
		"a ragged cube":      {"gstudy_p_rt", `{"scores": [[[1, 2]], [[1]]]}`, "inputs.scores[1] is not as large as the first table: all are"},
		"a word":             {"krippendorff_alpha", `{"units": [[1, null]], "level": "odd"}`, `inputs.level is the text "odd": it can be nominal, ordinal, interval, ratio`},
		"a criterion":        {"rubric_score", `{"criteria": [{"weight": 1, "max": 4, "rating": 5, "must": null}], "pass_num": 1, "pass_den": 2}`, "inputs.criteria[0].rating is 5: it can be from 0 to 4"},
		"too far":            {"run_waiting", `{"k": 3, "q": 0.5, "horizons": [2001]}`, "inputs.horizons[0] is 2001: it can be from 0 to 2000"},
	} {
		t.Run(name, func(t *testing.T) {
			data := strings.Replace(changed(t, "zero_failure_sample_size", c.method), `{"p1": 0.05, "alpha": 0.05}`, c.inputs, 1)
			_, err := Read("f.json", []byte(data))
			assert.EqualError(t, err, "f.json: case 1 (one): "+c.want)
		})
	}
}

// outcome runs a file of one case with one value.
func outcome(t *testing.T, data string) Result {
	t.Helper()
	cases, err := Read("f.json", []byte(data))
	require.NoError(t, err)
	r, err := Run(t.Context(), cases)
	require.NoError(t, err)
	require.Len(t, r.Results, 1)
	return r.Results[0]
}

func TestVerdicts(t *testing.T) {
	r := outcome(t, good)
	assert.Equal(t, Result{Method: "zero_failure_sample_size", Case: "one", Key: "n", Published: "59", Expected: "59", Ours: "59",
		Source: "success-run theorem", SourceStatus: "computed"}, r)
	for name, c := range map[string]struct {
		old, now string
		verdict  Verdict
		why      string
	}{
		"a whole number":     {`"expected": {"n": 59}`, `"expected": {"n": 60}`, Differs, "it has to be equal"},
		"null":               {`"expected": {"n": 59}, "tolerance": 0,` + "\n " + `"published": {"n": 59}`, `"expected": {"n": null}, "tolerance": 0, "published": {"n": null}`, Differs, "it has to be equal"},
		"a list":             {`"expected": {"n": 59}, "tolerance": 0,` + "\n " + `"published": {"n": 59}`, `"expected": {"n": [1, 2]}, "tolerance": 0, "published": {"n": null}`, Differs, "a list is expected"},
		"an object":          {`"expected": {"n": 59}, "tolerance": 0,` + "\n " + `"published": {"n": 59}`, `"expected": {"n": {"5": 1}}, "tolerance": 0, "published": {"n": null}`, Differs, "an object is expected"},
		"a print":            {`"published": {"n": 59}`, `"published": {"n": 61}`, Differs, "it does not round to the printed value, to 0 decimals"},
		"no such value":      {`"expected": {"n": 59}, "tolerance": 0,` + "\n " + `"published": {"n": 59}`, `"expected": {"m": 59}, "tolerance": 0, "published": {"m": 59}`, NotProduced, "the calculation has no such value"},
		"cannot be produced": {`"p1": 0.05`, `"p1": 0.000001`, NotProduced, "a share of 1e-06 takes more than 10000 observations to rule out"},
	} {
		t.Run(name, func(t *testing.T) {
			r := outcome(t, changed(t, c.old, c.now))
			assert.Equal(t, c.verdict, r.Verdict)
			assert.Equal(t, c.why, r.Why)
		})
	}
}

func TestTolerance(t *testing.T) {
	const upper = 0.016236859435101225 // 0 of 183 at 95 %
	for _, c := range []struct {
		expected float64
		verdict  Verdict
	}{{upper, Agrees}, {upper + 0.9e-6, Agrees}, {upper - 0.9e-6, Agrees}, {upper + 1.1e-6, Differs}, {upper - 1.1e-6, Differs}} {
		data := strings.NewReplacer("zero_failure_sample_size", "zero_events_upper", `{"p1": 0.05, "alpha": 0.05}`, `{"n": 183, "conf": 0.95}`, `"tolerance": 0`, `"tolerance": 1e-6`,
			`"expected": {"n": 59}`, fmt.Sprintf(`"expected": {"exact": %v}`, c.expected), `"published": {"n": 59}`, `"published": {"exact": null}`).Replace(good)
		r := outcome(t, data)
		assert.Equal(t, c.verdict, r.Verdict, c.expected)
		assert.Equal(t, c.verdict == Agrees, r.Used <= 1)
	}
}

func TestRunStopsAndGoesOn(t *testing.T) {
	cases, err := Read("f.json", []byte(good))
	require.NoError(t, err)
	cases[0].run = func() (made, error) { panic("a mistake") }
	r, err := Run(t.Context(), cases)
	require.NoError(t, err)
	assert.Equal(t, NotProduced, r.Results[0].Verdict)
	assert.Equal(t, "the calculation broke off: a mistake", r.Results[0].Why)
	assert.Equal(t, 1, r.Failed())

	ctx, stop := context.WithCancel(t.Context())
	stop()
	_, err = Run(ctx, cases)
	assert.ErrorIs(t, err, context.Canceled)
}

// The largest inputs that are taken, of the methods that have most to do.
func TestLargestInputs(t *testing.T) {
	many := func(n int, each string) string {
		return "[" + strings.TrimSuffix(strings.Repeat(each+",", n), ",") + "]"
	}
	var marks, patterns strings.Builder
	for i := range 100 {
		fmt.Fprintf(&marks, ",[%d", 10*i)
		for j := 1; j < 10; j++ {
			fmt.Fprintf(&marks, ",%d", 10*i+j)
		}
		marks.WriteString("]")
	}
	for i := range 2000 {
		row := make([]string, 30)
		for j := range row {
			row[j] = fmt.Sprint((i*7919 + j*j*104729 + i*j) % 3 % 2)
		}
		patterns.WriteString(",[" + strings.Join(row, ",") + "]")
	}
	for method, inputs := range map[string]string{
		"score_engine_oc":          `{"m": 1, "h": 1000, "floor": -1000, "N": 2000, "p": ` + many(20, "0.5") + `}`,
		"score_engine_threshold":   `{"p0": 0.0011, "p1": 0.0031, "alpha": 0.5, "N": 1000, "floor": -1000}`,
		"run_waiting":              `{"k": 1000, "q": 0.999, "horizons": ` + many(20, "2000") + `}`,
		"rolling_window":           `{"k": 16, "n": 16, "p": 0.5, "horizons": ` + many(10, "200") + `}`,
		"bernoulli_cusum_monitor":  `{"m": 500, "h": 1000, "N": 2000, "p": ` + many(20, "0.5") + `}`,
		"theoretical_limits":       `{"p0": 0.001, "p1": 0.0011, "alpha": 0.05, "beta": 0.05, "N": ` + many(20, "1000") + `}`,
		"sprt_exact":               `{"p0": 0.4, "p1": 0.4001, "upper": 50, "lower": -50, "p": ` + many(5, "0.40005") + `, "byn": ` + many(10, "2000") + `}`,
		"kiefer_weiss_modified":    `{"p0": 0.4, "p1": 0.41, "p": 0.405, "lambda0": 1e12, "lambda1": 1e12, "horizon": 1000}`,
		"forecast_engine":          `{"m": 1, "h": 1000, "floor": -1000, "score_now": 0, "p": 0.5}`,
		"forecast_engine_beta_mix": `{"m": 1, "h": 1000, "floor": -1000, "score_now": 0, "a": 0.01, "b": 0.01, "quantile_points": 400}`,
		"forecast_beta_negbin":     `{"successes_needed": 1000, "a": 0.01, "b": 10000}`,
		"krippendorff_alpha":       `{"level": "ordinal", "units": [` + marks.String()[1:] + `]}`,
		"rasch_cml":                `{"patterns": [` + patterns.String()[1:] + `], "counts": ` + many(2000, "1") + `}`,
		"icc":                      `{"conf": 0.95, "ratings": ` + many(200, many(50, "3")) + `}`,
		"gstudy_pir":               `{"d_n": [[1, 1]], "scores": ` + many(100, many(20, many(20, "2"))) + `}`,
	} {
		t.Run(method, func(t *testing.T) {
			t.Parallel()
			data := strings.Replace(changed(t, "zero_failure_sample_size", method), `{"p1": 0.05, "alpha": 0.05}`, inputs, 1)
			cases, err := Read("f.json", []byte(data))
			require.NoError(t, err)
			began := time.Now()
			_, _ = cases[0].run()
			assert.Less(t, time.Since(began), moment)
			t.Log(time.Since(began))
		})
	}
}

// moment is the longest that one case may take, with the race detector on a busy
// machine included.
const moment = time.Minute

// FuzzRead looks for files that the reader or a calculation cannot take: no panic
// and no long wait, whatever the file holds.
func FuzzRead(f *testing.F) {
	f.Add([]byte(good))
	f.Add([]byte(changed(f, `{"n": 59}, "tol`, `{"n": [null, {"a": "b"}, true]}, "tol`)))
	for _, name := range []string{"icc", "krippendorff_alpha", "rubric_score", "sprt_exact", "rolling_window", "rasch_cml", "forecast_engine_beta_mix", "gstudy_pir"} {
		data, err := testdata.Cases.ReadFile("cases/" + name + ".json")
		require.NoError(f, err)
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		cases, err := Read("f.json", data)
		if err != nil {
			assert.NotContains(t, err.Error(), "\n", "one line")
			assert.Empty(t, cases)
			return
		}
		require.NotEmpty(t, cases)
		for i := range min(len(cases), 20) {
			c := &cases[i]
			if !c.Implemented() {
				continue
			}
			began := time.Now()
			out, err := c.run() // not calculate: a panic is what is looked for
			assert.NotEmpty(t, c.compare(out, err))
			assert.Less(t, time.Since(began), moment, "%s %s", c.Method, c.ID)
		}
	})
}
