package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gorm.io/gorm"
)

// Every connection of a pool has every pragma, not only the first.
func TestPragmasOnEveryConnection(t *testing.T) {
	h := newHouse(t)
	both := map[string]string{"foreign_keys": "1", "busy_timeout": "10000", "journal_mode": "wal", "synchronous": "2", "trusted_schema": "0", "recursive_triggers": "1"}
	check := func(t *testing.T, c *sql.Conn, queryOnly string) {
		t.Helper()
		want := map[string]string{"query_only": queryOnly}
		for name, value := range both {
			want[name] = value
		}
		for name, value := range want {
			var got string
			require.NoError(t, c.QueryRowContext(h.ctx, "PRAGMA "+name).Scan(&got))
			assert.Equal(t, value, got, name)
		}
	}
	pool := func(db *gorm.DB) *sql.DB {
		p, err := db.DB()
		require.NoError(t, err)
		return p
	}
	conn := func(p *sql.DB) *sql.Conn {
		c, err := p.Conn(h.ctx)
		require.NoError(t, err)
		return c
	}
	t.Run("reader", func(t *testing.T) {
		p := pool(h.read)
		a, b := conn(p), conn(p)
		defer a.Close()
		defer b.Close()
		assert.Equal(t, 2, p.Stats().InUse)
		check(t, a, "1")
		check(t, b, "1")
		_, err := a.ExecContext(h.ctx, "DELETE FROM draft")
		assert.ErrorContains(t, err, "readonly")
	})
	t.Run("writer", func(t *testing.T) {
		p := pool(h.write)
		assert.Equal(t, 1, p.Stats().MaxOpenConnections)
		a := conn(p)
		check(t, a, "0")
		assert.ErrorIs(t, a.Raw(func(any) error { return driver.ErrBadConn }), driver.ErrBadConn) // throws the connection away
		b := conn(p)
		defer b.Close()
		check(t, b, "0")
		var version string
		require.NoError(t, b.QueryRowContext(h.ctx, "SELECT sqlite_version()").Scan(&version))
		assert.Regexp(t, regexp.MustCompile(`^3\.(5[2-9]|[6-9]\d|\d{3}|51\.([3-9]|\d\d))`), version, "3.51.3 or later: earlier ones could damage a database in WAL mode")
	})
}

// A writer that only begins to read must not be told later that it may not
// write: two writers wait for each other.
func TestWritersOfTwoProgramsWait(t *testing.T) {
	h := newHouse(t)
	second := h.open(Options{Now: h.clock.Now})
	var drafts []Signing
	for range 30 {
		drafts = append(drafts, h.draft(h.ines, h.groom(h.ines, h.pia)))
	}
	_, errs := together(len(drafts), func(i int) (string, error) {
		s := []*Store{h.Store, second}[i%2]
		return s.Sign(h.ctx, h.ines, drafts[i])
	})
	for _, err := range errs {
		assert.NoError(t, err)
	}
	assert.Equal(t, len(drafts), h.rows("groom"))
	assert.Equal(t, 13*len(drafts), h.rows("rating"))
}

func TestOpenInAwkwardFolders(t *testing.T) {
	for _, name := range []string{"two words", "what?", "no#1", "100%", "%41bc", "a&b=c;d", "ünï 🐩", "'quoted' \"twice\"", "plus+sign", "?_pragma=query_only(1)"} {
		t.Run(name, func(t *testing.T) {
			if runtime.GOOS == "windows" && strings.ContainsAny(name, `?"`) {
				t.Skip("no folder can have this name here")
			}
			parent := t.TempDir()
			h := &house{t: t, ctx: context.Background(), dir: filepath.Join(parent, name, "data")}
			s := h.open(Options{})
			require.NoError(t, s.write.Exec("INSERT INTO session (token, data, expiry) VALUES ('here', '', 1)").Error)
			require.NoError(t, s.Close())
			info, err := os.Stat(filepath.Join(h.dir, FileName))
			require.NoError(t, err)
			assert.Positive(t, info.Size())
			for dir, only := range map[string]string{parent: name, filepath.Join(parent, name): "data"} {
				list, err := os.ReadDir(dir)
				require.NoError(t, err)
				require.Len(t, list, 1)
				assert.Equal(t, only, list[0].Name())
			}
			h.Store = h.open(Options{})
			assert.Equal(t, 1, h.rows("session"))
		})
	}
}

func TestCloseLeavesOneFile(t *testing.T) {
	h := newHouse(t)
	h.sign(h.ines, h.groom(h.ines, h.pia))
	require.NoError(t, h.Close())
	list, err := os.ReadDir(h.dir)
	require.NoError(t, err)
	require.Len(t, list, 1, "no journal is left beside it")
	assert.Equal(t, FileName, list[0].Name())
}

// The driver is a translation of C that talks to its library in private ways:
// the two versions belong together, and updating one alone breaks it.
func TestLibraryOfTheDriverIsTheOneItNames(t *testing.T) {
	tool, err := exec.LookPath("go")
	if err != nil {
		t.Skip("there is no go command here to ask for the modules")
	}
	module := func(path string) (m struct{ Version, GoMod string }) {
		cmd := exec.Command(tool, "list", "-m", "-json", path)
		cmd.Env = append(os.Environ(), "GOFLAGS=-mod=readonly", "GOPROXY=off") // asks about this module, fetches nothing
		out, err := cmd.Output()
		require.NoError(t, err)
		require.NoError(t, json.Unmarshal(out, &m))
		return m
	}
	text, err := os.ReadFile(module("modernc.org/sqlite").GoMod)
	require.NoError(t, err)
	want := regexp.MustCompile(`(?m)^\s*(?:require\s+)?modernc\.org/libc\s+(\S+)`).FindStringSubmatch(string(text))
	require.NotNil(t, want, "the driver names no library")
	assert.Equal(t, want[1], module("modernc.org/libc").Version, "go get modernc.org/libc@%s", want[1])
	assert.True(t, strings.HasPrefix(want[1], "v"))
}
