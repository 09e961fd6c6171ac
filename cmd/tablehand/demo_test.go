package main

import (
	"context"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// demoFolders are the folders of invented salons that are there now.
func demoFolders(t *testing.T) []string {
	list, err := filepath.Glob(filepath.Join(os.TempDir(), "tablehand-demo-*"))
	require.NoError(t, err)
	return list
}

// Making the salon takes most of the time of all these tests, so the one that
// is served here is also the one that is exported.
func TestDemo(t *testing.T) {
	r := start(t, "demo", "--addr", port0)
	folders := demoFolders(t)
	require.Len(t, folders, 1)
	t.Run("logins", func(t *testing.T) { testLogins(t, r) })
	t.Run("export", func(t *testing.T) { testExport(t, folders[0]) })
	assert.Equal(t, done, r.stop())
	r.gone()
	assert.Empty(t, demoFolders(t), "nothing is left of it")
	assert.Equal(t, "Making an invented salon. This takes a few seconds …\n", r.errOut.String())
}

func testLogins(t *testing.T, r *running) {
	logins := regexp.MustCompile(`(?m)^    (\S+) +password (\S+) +(.+), (.+)$`).FindAllStringSubmatch(r.out.String(), -1)
	roles := map[string]bool{}
	for _, l := range logins {
		roles[l[4]] = true
	}
	assert.Equal(t, map[string]bool{"Head groomer": true, "Assessor": true, "Auditor": true, "Apprentice": true}, roles)
	for _, l := range [][]string{logins[0], logins[len(logins)-1]} {
		c := browser(t)
		res, page := r.send(c, "/sign-in", url.Values{"login": {l[1]}, "password": {l[2]}, "next": {"/"}})
		require.Equal(t, http.StatusSeeOther, res.StatusCode, page)
		_, page = r.send(c, res.Header.Get("Location"), nil)
		assert.Contains(t, page, l[3], "the page says who is here")
	}
}

func TestDemoStoppedWhileItIsMade(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir()) // another demo on the machine may come and go
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	time.AfterFunc(300*time.Millisecond, stop)
	out, errOut := newScreen(), newScreen()
	before := demoFolders(t)
	assert.Equal(t, failed, run(ctx, []string{"demo", "--addr", port0}, out, errOut))
	assert.Empty(t, out.String())
	assert.Contains(t, errOut.String(), "\nStopped before it was done.\n")
	assert.Equal(t, before, demoFolders(t))
}
