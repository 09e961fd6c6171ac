package store

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSessions(t *testing.T) {
	h := newHouse(t)
	x := h.Sessions()
	find := func(token string) (string, bool) {
		t.Helper()
		data, ok, err := x.Find(token)
		require.NoError(t, err)
		return string(data), ok
	}
	const token = "a-cookie-that-nobody-else-has"
	_, ok := find(token)
	assert.False(t, ok)
	require.NoError(t, x.Commit(token, []byte("\x00first\xff"), begin.Add(time.Hour)))
	require.NoError(t, x.Commit("another", []byte("other"), begin.Add(3*time.Hour)))
	data, ok := find(token)
	assert.True(t, ok)
	assert.Equal(t, "\x00first\xff", data)
	require.NoError(t, x.Commit(token, []byte("second"), begin.Add(2*time.Hour)))
	data, _ = find(token)
	assert.Equal(t, "second", data)
	assert.Equal(t, 2, h.rows("session"))

	sum := sha256.Sum256([]byte(token))
	assert.Equal(t, 1, h.count("SELECT count(*) FROM session WHERE token = ?", hex.EncodeToString(sum[:])))
	_, ok = find(hex.EncodeToString(sum[:]))
	assert.False(t, ok, "what the database holds is no cookie")

	h.clock.add(2*time.Hour - time.Second)
	_, ok = find(token)
	assert.True(t, ok)
	h.clock.add(time.Second)
	_, ok = find(token)
	assert.False(t, ok, "over at its expiry, removed or not")
	require.NoError(t, x.Expire())
	assert.Equal(t, 1, h.rows("session"))
	_, ok = find("another")
	assert.True(t, ok)
	require.NoError(t, x.Delete("another"))
	_, ok = find("another")
	assert.False(t, ok)
	require.NoError(t, x.Delete("another"), "ending it twice is no fault")
	require.NoError(t, x.Commit("another", []byte("late"), begin.Add(9*time.Hour)), "a request that began before")
	_, ok = find("another")
	assert.False(t, ok, "what was ended stays ended")
	h.clock.add(time.Hour)
	require.NoError(t, x.Expire())
	assert.Zero(t, h.rows("session"))

	require.NoError(t, h.Close())
	files, err := filepath.Glob(filepath.Join(h.dir, "*"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, f := range files {
		raw, err := os.ReadFile(f)
		require.NoError(t, err)
		assert.False(t, strings.Contains(string(raw), token), "the cookie is nowhere in %s", filepath.Base(f))
	}
}
