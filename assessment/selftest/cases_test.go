package selftest

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestPublishedCases runs every case that the program carries. It fails on a
// value that differs, on one that is not produced, and when a file of the folder
// was not run.
func TestPublishedCases(t *testing.T) {
	cases, err := Published()
	require.NoError(t, err)
	ran, ids := map[string]int{}, map[string]string{}
	for i := range cases {
		c := &cases[i]
		assert.Equal(t, c.Method+".json", c.File, "a file of the folder is named after its method")
		assert.Empty(t, ids[c.ID], "%s is the id of another case", c.ID)
		ids[c.ID] = c.File
		ran[c.File]++
		t.Run(c.Method+"/"+c.ID, func(t *testing.T) {
			r, err := Run(t.Context(), cases[i:i+1])
			require.NoError(t, err)
			if !c.Implemented() {
				assert.Contains(t, []string{"many_facet_rasch_dichotomous", "normal_cusum_arl_optional"}, c.Method)
				assert.Equal(t, []string{c.Method}, r.Left)
				return
			}
			assert.NotEmpty(t, r.Results)
			for _, v := range r.Results {
				assert.Equal(t, Agrees, v.Verdict, "%s: expected %s, printed %q, ours %s: %s (%s)", v.Key, v.Expected, v.Published, v.Ours, v.Why, v.Source)
			}
		})
	}
	files, err := filepath.Glob(filepath.Join("..", "..", "testdata", "cases", "*.json"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, name := range files {
		assert.Positive(t, ran[filepath.Base(name)], "%s was not run", name)
		onDisk, err := os.ReadFile(name)
		require.NoError(t, err)
		_, err = Read(filepath.Base(name), onDisk)
		assert.NoError(t, err)
	}
	assert.Len(t, ran, len(files))
	assert.Len(t, ran, len(Methods()), "every method has a file")
}
