package main

import (
	"bufio"
	"database/sql"
	"net"
	"net/http"
	"net/url"
	"path/filepath"
	"regexp"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/server/store"
)

var aCode = regexp.MustCompile(`(?:[a-z2-7]{5}-){3}[a-z2-7]{5}`)

// A head groomer who forgot the password gets in again while the record is
// served.
func TestCode(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "record")
	r := start(t, "serve", "--data", dir, "--addr", port0)
	useCase{"code --data " + dir + " --login rowan", failed, "", "is not set up yet"}.check(t)
	signedIn := browser(t)
	res, page := r.send(signedIn, "/set-up", founding(r.setUpCode()))
	require.Equal(t, http.StatusSeeOther, res.StatusCode, page)

	status, out, errOut := use(t, "code", "--data", dir, "--login", "Rowan")
	require.Equal(t, done, status, errOut)
	assert.Contains(t, out, "One-time code for Rowan Ash, login rowan:")
	_, second, _ := use(t, "code", "--data", dir, "--login", "rowan")
	visitor := browser(t)
	form := url.Values{"login": {"rowan"}, "code": {aCode.FindString(out)}, "password": {"three warm blankets"}}
	res, page = r.send(visitor, "/welcome", form)
	assert.Equal(t, http.StatusUnprocessableEntity, res.StatusCode, "a later code replaces it: %s", page)
	form.Set("code", aCode.FindString(second))
	res, page = r.send(visitor, "/welcome", form)
	require.Equal(t, http.StatusSeeOther, res.StatusCode, page)
	res, _ = r.send(visitor, "/people", nil)
	assert.Equal(t, http.StatusOK, res.StatusCode)
	res, _ = r.send(signedIn, "/people", nil)
	assert.Equal(t, http.StatusSeeOther, res.StatusCode, "the session with the old password is over")

	useCase{"code --data " + dir + " --login robin", failed, "", `Nobody who is here has the login "robin". The login of Rowan Ash, head groomer, is rowan.`}.check(t)
	assert.Equal(t, done, r.stop())
	db, err := sql.Open("sqlite", filepath.Join(dir, store.FileName))
	require.NoError(t, err)
	defer db.Close()
	var n int
	require.NoError(t, db.QueryRow("SELECT count(*) FROM record WHERE kind = 'person.code_renewed' AND person_id = 0").Scan(&n))
	assert.Equal(t, 2, n, "the record says that the program did it")
}

func TestCodeIsToldWhatIsMissing(t *testing.T) {
	dir := t.TempDir()
	for _, u := range []useCase{
		{"code", misuse, "", "for example: tablehand code --data "},
		{"code --data " + dir, misuse, "", "whom the code is for"},
		{"code --login rowan", misuse, "", "where the record is"},
		{"code --help", done, "--login LOGIN", ""},
		{"code --data " + dir + " --login rowan", failed, "", "There is no record in " + dir},
	} {
		t.Run(u.args, u.check)
	}
}

// One machine does not keep the others out, however many connections it opens.
func TestConnectionsOfOneAddressAreBounded(t *testing.T) {
	l, err := net.Listen("tcp", port0)
	require.NoError(t, err)
	defer l.Close()
	places := limited(l)
	accepted := make(chan net.Conn, 2*connectionsEach)
	go func() {
		for {
			c, err := places.Accept()
			if err != nil {
				return
			}
			accepted <- c
		}
	}()
	dial := func() net.Conn {
		c, err := net.Dial("tcp", l.Addr().String())
		require.NoError(t, err)
		t.Cleanup(func() { c.Close() })
		return c
	}
	var first net.Conn
	for range connectionsEach {
		dial()
		c := <-accepted
		t.Cleanup(func() { c.Close() })
		first = c
	}
	over := dial()
	over.SetReadDeadline(time.Now().Add(patience))
	_, err = bufio.NewReader(over).ReadByte()
	assert.Error(t, err, "one too many is closed at once")
	assert.Empty(t, accepted)
	assert.NoError(t, first.Close())
	first.Close() // a second time gives nothing back
	for _, given := range []bool{true, false} {
		c := dial()
		if given {
			again := <-accepted
			t.Cleanup(func() { again.Close() })
			continue
		}
		c.SetReadDeadline(time.Now().Add(patience))
		_, err = bufio.NewReader(c).ReadByte()
		assert.Error(t, err)
	}
}
