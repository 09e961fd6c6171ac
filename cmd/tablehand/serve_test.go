package main

import (
	"database/sql"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/curriculum"
	"tablehand/server/store"
)

const port0 = "127.0.0.1:0"

// setUpCode is the one-time code that was printed, or "".
func (r *running) setUpCode() string {
	return regexp.MustCompile(`(?:[a-z0-9]{5}-){3}[a-z0-9]{5}`).FindString(r.out.String())
}

func founding(code string) url.Values {
	return url.Values{"code": {code}, "salon": {"Salon Alder"}, "zone": {"Europe/London"}, "name": {"Rowan Ash"}, "login": {"rowan"}, "password": {"towels before blasters"}}
}

func TestServe(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "record")
	first := start(t, "serve", "--data", dir, "--addr", port0)
	unused := first.setUpCode()
	require.NotEmpty(t, unused, "a new record prints a code")
	assert.Equal(t, done, first.stop())
	first.gone()
	assert.Empty(t, first.errOut.String())

	second := start(t, "serve", "--data", dir, "--addr", port0)
	code := second.setUpCode()
	require.NotEmpty(t, code, "and prints another until the salon is set up")
	assert.NotEqual(t, unused, code)
	visitor := browser(t)
	res, page := second.send(visitor, "/set-up", nil)
	assert.Equal(t, http.StatusOK, res.StatusCode)
	assert.Contains(t, page, `name="code"`)
	res, _ = second.send(visitor, "/set-up", founding(unused))
	assert.Equal(t, http.StatusUnprocessableEntity, res.StatusCode, "an old code")
	res, page = second.send(visitor, "/set-up", founding(code))
	require.Equal(t, http.StatusSeeOther, res.StatusCode, page)
	_, page = second.send(visitor, res.Header.Get("Location"), nil)
	assert.Contains(t, page, "The salon is set up.")
	assert.Equal(t, done, second.stop())

	third := start(t, "serve", "--data", dir, "--addr", port0)
	assert.Empty(t, third.setUpCode(), "a salon that is set up")
	assert.NotContains(t, third.out.String(), "set-up")
	res, _ = third.send(visitor, "/set-up", nil)
	assert.Equal(t, http.StatusNotFound, res.StatusCode)
	assert.Equal(t, done, third.stop())
	assert.Empty(t, third.errOut.String())
}

func TestServeTakesAProgrammeIntoUse(t *testing.T) {
	dir := t.TempDir()
	data := filepath.Join(dir, "record")
	// write makes the built-in programme the salon's own, with one change.
	write := func(version, title string) string {
		text := string(curriculum.Default().Source())
		for old, now := range map[string]string{"\nversion: 1\n": "\nversion: " + version + "\n", "\ntitle: " + curriculum.Default().Title + "\n": "\ntitle: " + title + "\n"} {
			require.Equal(t, 1, strings.Count(text, old), old)
			text = strings.Replace(text, old, now, 1)
		}
		file := filepath.Join(dir, "ours-"+version+".yaml")
		require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
		return file
	}
	one, two := write("1", "Alder one"), write("2", "Alder two")
	first := start(t, "serve", "--data", data, "--addr", port0, "--programme", one)
	visitor := browser(t)
	res, page := first.send(visitor, "/set-up", founding(first.setUpCode()))
	require.Equal(t, http.StatusSeeOther, res.StatusCode, page)
	_, page = first.send(visitor, "/programme", nil)
	assert.Contains(t, page, "Alder one")
	assert.Equal(t, done, first.stop())

	second := start(t, "serve", "--data", data, "--addr", port0, "--programme", two)
	assert.Contains(t, second.out.String(), "The programme in use is now Alder two, version 2.")
	_, page = second.send(visitor, "/programme", nil)
	assert.Contains(t, page, "Alder two")
	assert.Equal(t, done, second.stop())
	third := start(t, "serve", "--data", data, "--addr", port0, "--programme", two)
	assert.NotContains(t, third.out.String(), "is now", "it is in use already")
	assert.Equal(t, done, third.stop())

	status, _, errOut := use(t, "serve", "--data", data, "--addr", port0, "--programme", write("2", "Alder changed"))
	assert.Equal(t, failed, status)
	assert.Contains(t, errOut, "Give the changed programme the next version number.")
	status, _, errOut = use(t, "serve", "--data", data, "--addr", port0, "--programme", filepath.Join(dir, "none.yaml"))
	assert.Equal(t, failed, status)
	assert.Contains(t, errOut, "there is no such file")
}

func TestServeKnowsItsNames(t *testing.T) {
	r := start(t, "serve", "--data", t.TempDir(), "--addr", port0, "--host", "salon.example, Dogs.Example,")
	_, port, err := net.SplitHostPort(r.addr())
	require.NoError(t, err)
	for host, want := range map[string]int{
		r.addr():                  http.StatusOK,
		"localhost:" + port:       http.StatusOK,
		"salon.example:" + port:   http.StatusOK,
		"dogs.example":            http.StatusOK,
		"other.example:" + port:   http.StatusMisdirectedRequest,
		"x.salon.example:" + port: http.StatusMisdirectedRequest,
	} {
		req, err := http.NewRequestWithContext(t.Context(), http.MethodGet, r.url+"/set-up", nil)
		require.NoError(t, err)
		req.Host = host
		res, page := r.do(browser(t), req)
		assert.Equal(t, want, res.StatusCode, host)
		if want != http.StatusOK {
			assert.Contains(t, page, "Start it with --host and the name")
		}
	}
}

func TestServeToANetwork(t *testing.T) {
	r := start(t, "serve", "--data", t.TempDir(), "--addr", "0.0.0.0:0")
	assert.Regexp(t, `^http://127\.0\.0\.1:\d+$`, r.url, "an address a browser here can open")
	for _, ip := range networkAddresses() {
		assert.Contains(t, r.out.String(), "http://"+ip+":")
	}
	assert.Contains(t, r.errOut.String(), "keep guests off it")
	res, _ := r.send(browser(t), "/set-up", nil)
	assert.Equal(t, http.StatusOK, res.StatusCode)
}

func TestATakenPort(t *testing.T) {
	l, err := net.Listen("tcp", port0)
	require.NoError(t, err)
	defer l.Close()
	addr, dir := l.Addr().String(), filepath.Join(t.TempDir(), "record")
	want := addr + " is taken: another program, perhaps another Tablehand, answers there. Stop that one, or choose another port, for example --addr 127.0.0.1:0, which takes any that is free.\n"
	for _, args := range [][]string{{"serve", "--data", dir, "--addr", addr}, {"demo", "--addr", addr}} {
		status, out, errOut := use(t, args...)
		assert.Equal(t, failed, status, args)
		assert.Empty(t, out)
		assert.Equal(t, want, errOut)
	}
	assert.NoDirExists(t, dir, "no record is made before it can be served")
}

// newer makes a record that a later Tablehand has been at.
func newer(t *testing.T) (dir string) {
	dir = t.TempDir()
	st, err := store.Open(t.Context(), dir, store.Options{})
	require.NoError(t, err)
	require.NoError(t, st.Close())
	db, err := sql.Open("sqlite", filepath.Join(dir, store.FileName))
	require.NoError(t, err)
	defer db.Close()
	_, err = db.Exec("INSERT INTO goose_db_version (version_id, is_applied) VALUES (9999, 1)")
	require.NoError(t, err)
	return dir
}

func TestARecordThatCannotBeOpened(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	letter := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(letter, store.FileName), []byte("This is a letter, not a database."), 0o600))
	later := newer(t)
	out := filepath.Join(t.TempDir(), "record.xlsx")
	for name, c := range map[string]struct{ dir, serve, export string }{
		"newer":     {later, "The record in " + later + " was written by a newer Tablehand. Use that one", "was written by a newer Tablehand. Use that one"},
		"a letter":  {letter, "tablehand.db cannot be opened: file is not a database (26). Check that", "tablehand.db cannot be opened"},
		"no folder": {file, "There is no folder " + file + ", and it cannot be made: not a directory. Choose another with --data.\n", "There is no record in " + file},
	} {
		t.Run(name, func(t *testing.T) {
			useCase{"serve --addr " + port0 + " --data " + c.dir, failed, "", c.serve}.check(t)
			useCase{"export --out " + out + " --data " + c.dir, failed, "", c.export}.check(t)
		})
	}
	assert.NoFileExists(t, out)
}
