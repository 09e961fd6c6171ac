package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"tablehand/server/store"
)

const older = "what was exported before"

// outFolder is a folder with an older workbook in it. Afterwards nothing else
// may be there, and the older one as it was.
func outFolder(t *testing.T) (dir, old string) {
	dir = t.TempDir()
	old = filepath.Join(dir, "old.xlsx")
	require.NoError(t, os.WriteFile(old, []byte(older), 0o600))
	t.Cleanup(func() {
		list, err := os.ReadDir(dir)
		require.NoError(t, err)
		assert.Len(t, list, 1, "a failed export leaves nothing")
		kept, err := os.ReadFile(old)
		require.NoError(t, err)
		assert.Equal(t, older, string(kept))
	})
	return dir, old
}

// testExport exports a record that is served meanwhile.
func testExport(t *testing.T, record string) {
	export := "export --data " + record + " --out "
	t.Run("whole salon", func(t *testing.T) {
		name := filepath.Join(t.TempDir(), "record.XLSX")
		require.NoError(t, os.WriteFile(name, []byte(older), 0o600))
		status, out, errOut := use(t, strings.Fields(export+name)...)
		require.Equal(t, done, status, errOut)
		assert.Equal(t, "Wrote "+name+"\n", out)
		assert.Empty(t, errOut)
		wb, err := excelize.OpenFile(name)
		require.NoError(t, err)
		defer wb.Close()
		rows, err := wb.GetRows("Assessed grooms")
		require.NoError(t, err)
		assert.Greater(t, len(rows), 100)
	})

	dir, old := outFolder(t)
	for name, c := range map[string]useCase{
		"an apprentice": {export + old + " --by Tamsin", failed, "", "is an apprentice, and the whole salon is not exported in an apprentice's name."},
		"a stranger":    {export + old + " --by nobody", failed, "", `Nobody in the salon has the login "nobody".`},
		"no such place": {export + filepath.Join(dir, "gone", "record.xlsx"), failed, "", "there is no folder " + filepath.Join(dir, "gone")},
		"a file there":  {export + filepath.Join(old, "record.xlsx"), failed, "", "there is no folder " + old},
		"not a name":    {export + old + ".csv", misuse, "", "must end in .xlsx"},
		// The workbook is complete by then, and cannot be moved into place.
		"too long a name": {export + filepath.Join(dir, strings.Repeat("x", 300)+".xlsx"), failed, "", "x.xlsx cannot be written: file name too long. Check that"},
	} {
		t.Run(name, c.check)
	}
	t.Run("stopped", func(t *testing.T) {
		ctx, stop := context.WithCancel(t.Context())
		stop()
		errOut := newScreen()
		assert.Equal(t, failed, run(ctx, strings.Fields(export+old), newScreen(), errOut))
		assert.Equal(t, "Stopped before it was done.\n", errOut.String())
	})
	t.Run("read only", func(t *testing.T) {
		if os.Geteuid() == 0 {
			t.Skip("root may write everywhere")
		}
		require.NoError(t, os.Chmod(dir, 0o500))
		defer os.Chmod(dir, 0o700)
		useCase{export + old, failed, "", "cannot be written: permission denied."}.check(t)
	})
}

func TestExportOfNothing(t *testing.T) {
	_, old := outFolder(t)
	empty, unset := t.TempDir(), t.TempDir()
	st, err := store.Open(t.Context(), unset, store.Options{})
	require.NoError(t, err)
	require.NoError(t, st.Close())
	folder := filepath.Join(t.TempDir(), "folder.xlsx")
	require.NoError(t, os.Mkdir(folder, 0o700))
	for name, c := range map[string]useCase{
		"no record":   {"export --data " + empty + " --out " + old, failed, "", "There is no record in " + empty + ": no tablehand.db is there."},
		"not set up":  {"export --data " + unset + " --out " + old, failed, "", "is not set up yet"},
		"to a folder": {"export --data " + unset + " --out " + folder, failed, "", folder + " cannot be written: it is a folder."},
	} {
		t.Run(name, c.check)
	}
	list, err := os.ReadDir(empty)
	require.NoError(t, err)
	assert.Empty(t, list, "asking for a record makes none")
}
