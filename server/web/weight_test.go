package web

import (
	"bytes"
	"io/fs"
	"testing"

	"github.com/klauspost/compress/gzip"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// mostBytes is what a page may weigh with its stylesheet and scripts, compressed
// as it is sent, so that a tablet on bad Wi-Fi has it at once.
const mostBytes = 150_000

func compressed(t *testing.T, data []byte) int {
	t.Helper()
	var out bytes.Buffer
	w, err := gzip.NewWriterLevel(&out, gzip.DefaultCompression)
	require.NoError(t, err)
	_, err = w.Write(data)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return out.Len()
}

func TestPageWeight(t *testing.T) {
	assets := 0
	require.NoError(t, fs.WalkDir(Static, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(Static, path)
		assets += compressed(t, data)
		return err
	}))
	heaviest, name := 0, ""
	for _, f := range fixtures() {
		var page bytes.Buffer
		require.NoError(t, Render(&page, f.page), f.name)
		n := compressed(t, page.Bytes())
		assert.Less(t, n+assets, mostBytes, f.name)
		if n > heaviest {
			heaviest, name = n, f.name
		}
	}
	t.Logf("all assets %d bytes; the heaviest page, %s, %d bytes", assets, name, heaviest)
}
