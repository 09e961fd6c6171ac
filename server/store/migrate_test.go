package store

import (
	"flag"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// golden is the path of a reference file.
func golden(name string) string { return filepath.Join("..", "..", "testdata", "store", name) }

var update = flag.Bool("update", false, "write the reference files anew")

func TestOpenTwice(t *testing.T) {
	h := newHouse(t)
	key := h.sign(h.ines, h.groom(h.ines, h.pia))
	schema := h.schema()
	second := h.open(Options{Now: h.clock.Now}) // while the first is open
	sc, err := second.ScopeOf(h.ctx, h.ines.Key)
	require.NoError(t, err)
	_, err = second.Groom(h.ctx, sc, key)
	require.NoError(t, err)
	require.NoError(t, second.Close())
	require.NoError(t, h.Close())

	h.Store = h.open(Options{Now: h.clock.Now})
	got, err := h.Groom(h.ctx, h.scope(h.ines.Key), key)
	require.NoError(t, err)
	assert.Equal(t, "Biscuit 1", got.Groom.Dog)
	assert.Equal(t, schema, h.schema())
}

func TestOpenRefusesANewerDatabase(t *testing.T) {
	h := newHouse(t)
	h.sql("INSERT INTO goose_db_version (version_id, is_applied) VALUES (41, 1)")
	before := h.dump()
	require.NoError(t, h.Close())
	_, err := Open(h.ctx, h.dir, Options{})
	require.ErrorIs(t, err, ErrNewer)
	assert.Regexp(t, `^the database is newer than this program: it is at version 41, this program knows \d+; use a newer program$`, err.Error())

	db, err := connect("sqlite", dsn(filepath.Join(h.dir, FileName), false), 1)
	require.NoError(t, err)
	defer closeDB(db)
	h.Store = &Store{read: db}
	assert.Equal(t, before, h.dump(), "and leaves it as it is")
}

func TestOpenRefusesWhatIsNoDatabase(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, FileName)
	text := []byte(strings.Repeat("This is a letter, not a database. ", 200))
	require.NoError(t, os.WriteFile(file, text, 0o600))
	_, err := Open(t.Context(), dir, Options{})
	require.Error(t, err)
	now, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, text, now, "a file that is not ours is left alone")

	_, err = Open(t.Context(), file, Options{})
	assert.ErrorContains(t, err, "data folder", "a file where the folder should be")
}

// schema is the text of every table, index and trigger of ours.
func (h *house) schema() string {
	var list []string
	require.NoError(h.t, h.read.Raw(`SELECT sql || ';' FROM sqlite_master WHERE sql IS NOT NULL AND tbl_name NOT LIKE 'goose_%' AND tbl_name NOT LIKE 'sqlite_%'
		ORDER BY tbl_name, type = 'table' DESC, type, name`).Scan(&list).Error)
	return strings.Join(list, "\n") + "\n"
}

// The schema that a fresh database ends up with, so that a change of it is seen
// in review. Write it anew with: go test ./server/store -run TestSchema -update
func TestSchema(t *testing.T) {
	h := newHouse(t)
	got := h.schema()
	if *update {
		require.NoError(t, os.MkdirAll(golden(""), 0o755))
		require.NoError(t, os.WriteFile(golden("schema.sql"), []byte(got), 0o644))
	}
	want, err := os.ReadFile(golden("schema.sql"))
	require.NoError(t, err)
	assert.Equal(t, string(want), got)
	assert.Equal(t, "ok", h.text("PRAGMA integrity_check"))
}

func (h *house) text(query string) (s string) {
	h.t.Helper()
	require.NoError(h.t, h.read.Raw(query).Scan(&s).Error)
	return s
}

// units are the words of which a schema comment of an INTEGER column has one:
// what the number counts, or what its values stand for.
var units = regexp.MustCompile(`unix seconds|\bday\b|\blevel\b|\bweight\b|\bL1-L5\b|\bP1-P5\b|1 = yes|%|^1 up|^1, 2, 3|: 0 = |: 1 = `)

func TestEveryNumberInTheSchemaHasAUnit(t *testing.T) {
	files, err := fs.Glob(migrations, "migrations/*.sql")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	column := regexp.MustCompile(`^\s+(\w+)\s+(INTEGER|REAL|NUMERIC)\b(.*)$`)
	n := 0
	for _, name := range files {
		text, err := migrations.ReadFile(name)
		require.NoError(t, err)
		for i, line := range strings.Split(string(text), "\n") {
			m := column.FindStringSubmatch(line)
			if m == nil || m[1] == "id" || strings.HasSuffix(m[1], "_id") || strings.Contains(m[3], "REFERENCES person (id)") {
				continue
			}
			n++
			_, comment, has := strings.Cut(m[3], "-- ")
			if assert.True(t, has, "%s:%d: %s has no comment", name, i+1, m[1]) {
				assert.Regexp(t, units, comment, "%s:%d: %s", name, i+1, m[1])
			}
		}
	}
	assert.GreaterOrEqual(t, n, 30)
}

// Each table of history has both of its triggers.
func TestHistoryHasItsTriggers(t *testing.T) {
	h := newHouse(t)
	var tables, triggers []string
	require.NoError(t, h.read.Raw("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND name NOT LIKE 'goose_%'").Scan(&tables).Error)
	require.NoError(t, h.read.Raw("SELECT name FROM sqlite_master WHERE type = 'trigger' ORDER BY name").Scan(&triggers).Error)
	var want []string
	for _, name := range tables {
		if !slices.Contains(mutable, name) {
			want = append(want, name+"_no_delete", name+"_no_update")
		}
	}
	assert.ElementsMatch(t, want, triggers)
}
