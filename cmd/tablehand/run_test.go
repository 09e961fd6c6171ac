package main

import (
	"bytes"
	"context"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// patience is the longest a test waits for one thing, the race detector and a
// busy machine included.
const patience = 2 * time.Minute

// Temporary folders go into one of ours, where a test can see what is left.
func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "tablehand-test-")
	if err != nil {
		panic(err)
	}
	for _, name := range []string{"TMPDIR", "TMP", "TEMP"} {
		os.Setenv(name, dir)
	}
	status := m.Run()
	os.RemoveAll(dir)
	os.Exit(status)
}

// use runs a command to its end.
func use(t *testing.T, args ...string) (status int, out, errOut string) {
	t.Helper()
	var o, e bytes.Buffer
	status = run(t.Context(), args, &o, &e)
	return status, o.String(), e.String()
}

// useCase is one use of a command and what must come of it.
type useCase struct {
	args        string
	status      int
	out, errOut string // a part of each; nothing may be printed where it is empty
}

func (u useCase) check(t *testing.T) {
	status, out, errOut := use(t, strings.Fields(u.args)...)
	assert.Equal(t, u.status, status)
	holds(t, u.out, out)
	holds(t, u.errOut, errOut)
	assert.NotContains(t, errOut, "no such file or directory")
}

func holds(t *testing.T, part, text string) {
	t.Helper()
	if part == "" {
		assert.Empty(t, text)
		return
	}
	assert.Contains(t, text, part)
	assert.True(t, strings.HasSuffix(text, "\n"), "the last line ends: %q", text)
}

func TestUse(t *testing.T) {
	folder := t.TempDir()
	t.Chdir(folder)
	for _, u := range []useCase{
		{"", misuse, "", "Commands:"},
		{"--help", done, "Commands:", ""},
		{"-h", done, "Commands:", ""},
		{"help", done, "Commands:", ""},
		{"help check", done, "tablehand check: ", ""},
		{"groom", misuse, "", `There is no command "groom".`},
		{"help groom", misuse, "", `There is no command "groom".`},
		{"--loud", misuse, "", `There is no command "--loud".`},

		{"demo --help", done, "tablehand demo [FLAGS]\n", ""},
		{"serve --help", done, "--addr HOST:PORT  to answer on; 127.0.0.1:8420 when left out\n", ""},
		{"check --help", done, "tablehand check [FLAGS] FILE ...\n", ""},
		{"export --help", done, "--data DIR", ""},
		{"export --data x -h", done, "--data DIR", ""},

		{"demo --loud", misuse, "", "There is no flag --loud. See tablehand demo --help.\n"},
		{"serve --loud", misuse, "", "There is no flag --loud. See tablehand serve --help.\n"},
		{"check --loud", misuse, "", "There is no flag --loud. See tablehand check --help.\n"},
		{"export --loud", misuse, "", "There is no flag --loud. See tablehand export --help.\n"},
		{"serve --data", misuse, "", "The flag --data needs a value. See tablehand serve --help.\n"},
		{"demo --seed one", misuse, "", `The flag --seed cannot be "one". See tablehand demo --help.`},
		{"check --print=maybe", misuse, "", `The flag --print cannot be "maybe".`},

		{"serve", misuse, "", "for example: tablehand serve --data "},
		{"check", misuse, "", "for example: tablehand check "},
		{"export", misuse, "", "for example: tablehand export --data "},
		{"export --data x", misuse, "", "what to write"},
		{"export --out x.xlsx", misuse, "", "where the record is"},

		{"demo now", misuse, "", `"now" means nothing here: tablehand demo takes flags only.`},
		{"serve x --data x", misuse, "", `"x" means nothing here`},
		{"export --data x --out x.xlsx y", misuse, "", `"y" means nothing here`},
		{"check --print x.yaml", misuse, "", "takes no file"},
		{"check x.yaml --print", misuse, "", "takes no file"},

		{"demo --addr here", misuse, "", `"here" is not that`},
		{"serve --data x --addr 127.0.0.1:99999", misuse, "", `"127.0.0.1:99999" is not that`},
		{"serve --data x --host http://salon.example", misuse, "", "without http://"},
		{"serve --data x --host salon.example:8420", misuse, "", "or a port"},
	} {
		t.Run("tablehand "+u.args, u.check)
	}
	left, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Empty(t, left, "wrong use leaves nothing behind")
}

func TestEveryCommandShowsAnExampleOfItself(t *testing.T) {
	for _, c := range commands() {
		_, out, _ := use(t, c.name, "--help")
		assert.Contains(t, out, "For example:\n    tablehand "+c.name)
		assert.NotContains(t, out, " -addr")
	}
}

// screen keeps what a command prints, and lets a test wait for it.
type screen struct {
	mu   sync.Mutex
	text strings.Builder
	more chan struct{} // signalled after a write
}

func newScreen() *screen { return &screen{more: make(chan struct{}, 1)} }

func (s *screen) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	select {
	case s.more <- struct{}{}:
	default:
	}
	return s.text.Write(p)
}

func (s *screen) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.text.String()
}

// running is a command that serves.
type running struct {
	t           *testing.T
	url         string
	out, errOut *screen
	end         context.CancelFunc
	ended       chan struct{}
	status      int // once ended
}

// start runs a command that serves and waits until it has told how to stop it,
// which it does last.
func start(t *testing.T, args ...string) *running {
	t.Helper()
	ctx, end := context.WithCancel(t.Context())
	r := &running{t: t, out: newScreen(), errOut: newScreen(), end: end, ended: make(chan struct{})}
	go func() {
		defer close(r.ended)
		r.status = run(ctx, args, r.out, r.errOut)
	}()
	t.Cleanup(func() { r.stop() })
	late := time.After(patience)
	for !strings.Contains(r.out.String(), "Ctrl-C.\n") {
		select {
		case <-r.out.more:
		case <-r.ended:
			require.Fail(t, "it ended at once", "status %d, %s", r.status, r.errOut)
		case <-late:
			require.Fail(t, "it does not serve", "%s%s", r.out, r.errOut)
		}
	}
	at := regexp.MustCompile(`(?m)^Tablehand is at (http://\S+)/$`).FindStringSubmatch(r.out.String())
	require.NotNil(t, at, r.out)
	r.url = at[1]
	return r
}

// stop ends it as Ctrl-C does and returns its status.
func (r *running) stop() int {
	r.end()
	select {
	case <-r.ended:
	case <-time.After(patience):
		require.Fail(r.t, "it does not stop")
	}
	return r.status
}

// addr is what --addr would take to be at the same place.
func (r *running) addr() string { return strings.TrimPrefix(r.url, "http://") }

// browser is a client that keeps cookies and shows a redirect as it is.
func browser(t *testing.T) *http.Client {
	jar, err := cookiejar.New(nil)
	require.NoError(t, err)
	c := &http.Client{Jar: jar, Transport: &http.Transport{}, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	t.Cleanup(c.CloseIdleConnections)
	return c
}

// send asks for a page, or posts a form to it when there is one.
func (r *running) send(c *http.Client, path string, form url.Values) (*http.Response, string) {
	r.t.Helper()
	method := http.MethodGet
	if form != nil {
		method = http.MethodPost
	}
	req, err := http.NewRequestWithContext(r.t.Context(), method, r.url+path, strings.NewReader(form.Encode()))
	require.NoError(r.t, err)
	if form != nil {
		req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		req.Header.Set("Origin", r.url)
	}
	return r.do(c, req)
}

func (r *running) do(c *http.Client, req *http.Request) (*http.Response, string) {
	r.t.Helper()
	res, err := c.Do(req)
	require.NoError(r.t, err)
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	require.NoError(r.t, err)
	return res, string(body)
}

// gone checks that nothing listens any more.
func (r *running) gone() {
	c, err := net.Dial("tcp", r.addr())
	if !assert.Error(r.t, err, "something still answers") {
		c.Close()
	}
}
