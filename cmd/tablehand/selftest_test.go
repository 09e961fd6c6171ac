package main

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment/selftest"
	"tablehand/testdata"
)

// counted counts cases and values by reading the files apart from the reader.
func countIn(t *testing.T) (methods, cases, values int) {
	t.Helper()
	files, err := filepath.Glob("../../testdata/cases/*.json")
	require.NoError(t, err)
	for _, name := range files {
		if strings.Contains(name, "many_facet_rasch") || strings.Contains(name, "normal_cusum") {
			continue
		}
		data, err := os.ReadFile(name)
		require.NoError(t, err)
		var list []struct{ Expected any }
		require.NoError(t, json.Unmarshal(data, &list))
		methods++
		cases += len(list)
		for _, c := range list {
			values += leaves(c.Expected)
		}
	}
	return methods, cases, values
}

func leaves(v any) int {
	n := 0
	switch v := v.(type) {
	case map[string]any:
		for _, e := range v {
			n += leaves(e)
		}
		return n
	case []any:
		for _, e := range v {
			n += leaves(e)
		}
		return max(1, n) // an empty list is compared as well
	}
	return 1
}

func TestSelftest(t *testing.T) {
	methods, cases, values := countIn(t)
	summary := fmt.Sprintf("\n%d methods, %d cases, %s values: all agree; 2 methods (5 cases) not implemented: many_facet_rasch_dichotomous, normal_cusum_arl_optional\n%s\n",
		methods, cases, thousands(values), whatItShows)
	status, out, errOut := use(t, "selftest")
	assert.Equal(t, done, status)
	assert.Empty(t, errOut)
	assert.True(t, strings.HasSuffix(out, summary), out[max(0, len(out)-400):])
	assert.Equal(t, cases, strings.Count(out, " pass\n"), "one line for each case")
	assert.Contains(t, out, "\nkiefer_weiss_modified\n")

	status, all, _ := use(t, "selftest", "--all")
	assert.Equal(t, done, status)
	assert.True(t, strings.HasSuffix(all, summary))
	assert.Equal(t, values, strings.Count(all, " pass\n"), "one line for each value")
	assert.Contains(t, all, "Fleiss 1971")
	for _, text := range []string{out, all} {
		for line := range strings.Lines(strings.TrimSuffix(text, summary)) {
			assert.LessOrEqual(t, utf8.RuneCountInString(strings.TrimRight(line, "\n")), 100, line)
		}
	}
}

func TestSelftestOfFiles(t *testing.T) {
	good, err := testdata.Cases.ReadFile("cases/zero_events_upper.json")
	require.NoError(t, err)
	left, err := testdata.Cases.ReadFile("cases/normal_cusum_arl_optional.json")
	require.NoError(t, err)
	wrong := strings.Replace(string(good), "0.19263617565013536", "0.19263618565013536", 1)
	require.NotEqual(t, string(good), wrong)
	t.Chdir(t.TempDir())
	write := func(name, text string) { require.NoError(t, os.WriteFile(name, []byte(text), 0o600)) }
	write("good.json", string(good))
	write("left.json", string(left))
	write("wrong.json", wrong)
	write("lost.json", strings.Replace(string(good), `"rule_of_three":`, `"rule_of_four":`, 1))
	write("broken.json", string(good[:len(good)/2]))
	write("large.json", strings.Repeat(" ", selftest.MaxFile+10))
	require.NoError(t, os.Mkdir("folder", 0o700))
	const agree = "1 method, 4 cases, 8 values: all agree\n"

	for _, u := range []useCase{
		{"selftest good.json", done, agree, ""},
		{"selftest left.json", done, "0 methods, 0 cases, 0 values: nothing was compared; 1 method (4 cases) not implemented: normal_cusum_arl_optional\n", ""},
		{"selftest wrong.json", failed, "it is off by 1e-08, and 1e-09 is allowed.\n", ""},
		{"selftest --all wrong.json", failed, "        expected 0.19263618565013536, ours 0.19263617565013", ""},
		{"selftest wrong.json good.json", failed, "1 method, 8 cases, 16 values: 1 does not agree\n", ""},
		{"selftest lost.json", failed, "ours nothing: the calculation has no such value.\n", ""},
		{"selftest broken.json", failed, "", "broken.json: the file ends too early: a bracket is not closed.\n"},
		{"selftest broken.json good.json", failed, agree, "broken.json: the file ends too early"},
		{"selftest large.json", failed, "", "large.json: the file is larger than 4 MB: split it.\n"},
		{"selftest gone.json good.json", failed, agree, "gone.json: there is no such file. Check the name, and the folder you are in.\n"},
		{"selftest folder", failed, "", "folder: this cannot be read: is a directory. Name a file that you may read.\n"},
		{"selftest --loud", misuse, "", "There is no flag --loud. See tablehand selftest --help.\n"},
		{"selftest --all=maybe", misuse, "", `The flag --all cannot be "maybe".`},
		{"selftest --help", done, "tablehand selftest [FLAGS] [FILE ...]\n", ""},
		{"help selftest", done, whatItShows, ""},
	} {
		t.Run("tablehand "+u.args, u.check)
	}
	ctx, stop := context.WithCancel(t.Context())
	stop()
	errOut := newScreen()
	assert.Equal(t, failed, run(ctx, []string{"selftest"}, newScreen(), errOut))
	assert.Equal(t, "Stopped before it was done.\n", errOut.String())
}
