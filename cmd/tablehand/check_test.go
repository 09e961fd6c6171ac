package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/curriculum"
)

const small = `: good
    A small programme, version 1
    2 units, 3 skills: 3 required, 2 of them safety-critical
    rubric: 2 criteria, weight 10 in all
    points rule points: clean +1, not clean −10, never below −10, eligible at 17
        faults in 20% of observations: eligible within 60 with probability 0.0493 (at most 0.05 is allowed)
        faults in 2% of observations: eligible within 60 with probability 0.9934; 21.57 observations on average
    SHA-256 966c4305d9cd30ba5600e020b32bce1b15242036671c48deea69097e5f30c90a
`

func TestCheck(t *testing.T) {
	reference, err := filepath.Abs("../../testdata/curriculum")
	require.NoError(t, err)
	read := func(name string) string {
		data, err := os.ReadFile(filepath.Join(reference, name))
		require.NoError(t, err)
		return string(data)
	}
	write := func(name, text string) { require.NoError(t, os.WriteFile(name, []byte(text), 0o600)) }
	t.Chdir(t.TempDir())
	write("good.yaml", read("base.yaml"))
	write("programme.yaml", strings.Replace(read("base.yaml"), "weight: 4", "weight: 5", 1))
	require.NoError(t, os.Mkdir("folder", 0o700))
	mistake := "programme.yaml: " + read("weights_do_not_sum.golden") + "\n"
	const missing = "gone.yaml: there is no such file. Check the name, and the folder you are in.\n"

	for _, c := range []struct {
		args        string
		status      int
		out, errOut string // the whole of each
	}{
		{"good.yaml", done, "good.yaml" + small, ""},
		{"programme.yaml", failed, mistake, ""},
		{"good.yaml programme.yaml good.yaml", failed, "good.yaml" + small + mistake + "good.yaml" + small, ""},
		{"gone.yaml", failed, "", missing},
		{"gone.yaml good.yaml", failed, "good.yaml" + small, missing},
		{"folder", failed, "", "folder: this cannot be read: is a directory. Name a file that you may read.\n"},
		{"--print", done, string(curriculum.Default().Source()), ""},
	} {
		t.Run("check "+c.args, func(t *testing.T) {
			status, out, errOut := use(t, append([]string{"check"}, strings.Fields(c.args)...)...)
			assert.Equal(t, c.status, status)
			assert.Equal(t, c.out, out)
			assert.Equal(t, c.errOut, errOut)
		})
	}
}

func TestTheBuiltInProgrammeIsGood(t *testing.T) {
	_, printed, _ := use(t, "check", "--print")
	name := filepath.Join(t.TempDir(), "ours.yaml")
	require.NoError(t, os.WriteFile(name, []byte(printed), 0o600))
	status, out, errOut := use(t, "check", name)
	assert.Equal(t, done, status, errOut)
	assert.Contains(t, out, name+": good\n")
	assert.Contains(t, out, "SHA-256 "+curriculum.Default().Digest())
}
