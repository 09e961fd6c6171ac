package server

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/store"
)

const testPassword = "towels before blasters"

// salon is a running server on an invented salon with one person of each role
// and a second apprentice.
type salon struct {
	*testing.T
	store *store.Store
	http  *httptest.Server
	keys  map[string]string // login → key
	clock *clock
	dir   string
}

func newSalon(t *testing.T) *salon {
	t.Helper()
	ctx := context.Background()
	s := &salon{T: t, keys: map[string]string{}, clock: &clock{at: time.Date(2026, time.May, 20, 10, 0, 0, 0, time.UTC)}, dir: t.TempDir()}
	st, err := store.Open(ctx, s.dir, store.Options{Now: s.clock.now})
	require.NoError(t, err)
	t.Cleanup(func() { st.Close() })
	encoded, err := EncodePassword(testPassword)
	require.NoError(t, err)
	head, err := st.Found(ctx, store.Founding{Salon: "Salon Alder", Zone: "Europe/London", Name: "Rowan Ash", Login: "rowan", Password: encoded, Programme: curriculum.Default()})
	require.NoError(t, err)
	sc, err := st.ScopeOf(ctx, head.Key)
	require.NoError(t, err)
	for login, role := range map[string]assessment.Role{"hazel": assessment.Assessor, "jory": assessment.Apprentice, "wren": assessment.Apprentice, "lark": assessment.Auditor} {
		code, err := st.AddPerson(ctx, sc, store.Person{Name: strings.ToUpper(login[:1]) + login[1:], Login: login, Role: role}, "")
		require.NoError(t, err)
		_, err = st.SetPassword(ctx, login, code, encoded)
		require.NoError(t, err)
	}
	s.store = st
	people, err := st.People(ctx, sc)
	require.NoError(t, err)
	for _, p := range people {
		s.keys[p.Login] = p.Key
	}
	srv, err := New(Options{Store: st, Now: s.clock.now, Hosts: LocalHosts("127.0.0.1:0")})
	require.NoError(t, err)
	s.http = httptest.NewServer(srv)
	t.Cleanup(s.http.Close)
	return s
}

// clock is a time that tests set.
type clock struct {
	mu sync.Mutex
	at time.Time
}

func (c *clock) now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.at
}

func (c *clock) add(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.at = c.at.Add(d)
}

// reader is one browser.
type reader struct {
	s      *salon
	client *http.Client
	login  string
}

func (s *salon) visitor() *reader {
	jar, err := cookiejar.New(nil)
	require.NoError(s, err)
	return &reader{s: s, client: &http.Client{Jar: jar, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}}
}

func (s *salon) signedIn(login string) *reader {
	r := s.visitor()
	status, _, to := r.post("/sign-in", url.Values{"login": {login}, "password": {testPassword}, "next": {"/"}})
	require.Equal(s, http.StatusSeeOther, status)
	require.Equal(s, "/", to)
	r.login = login
	return r
}

// scope is that of the person who is signed in.
func (r *reader) scope() store.Scope {
	sc, err := r.s.store.ScopeOf(context.Background(), r.s.keys[r.login])
	require.NoError(r.s, err)
	return sc
}

func (r *reader) do(method, path string, form url.Values) (status int, body, location string) {
	req, err := http.NewRequest(method, r.s.http.URL+path, strings.NewReader(form.Encode()))
	require.NoError(r.s, err)
	if method == http.MethodPost {
		req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		req.Header.Set("Origin", r.s.http.URL)
	}
	res, err := r.client.Do(req)
	require.NoError(r.s, err)
	defer res.Body.Close()
	data, err := io.ReadAll(res.Body)
	require.NoError(r.s, err)
	return res.StatusCode, string(data), res.Header.Get("Location")
}

func (r *reader) get(path string) (int, string) {
	status, body, _ := r.do(http.MethodGet, path, nil)
	return status, body
}

func (r *reader) post(path string, form url.Values) (int, string, string) {
	return r.do(http.MethodPost, path, form)
}

var hiddenInput = regexp.MustCompile(`<input type="hidden" name="([^"]+)" value="([^"]*)"`)

// hidden reads the hidden fields of a page, as a browser would send them.
func hidden(body string) url.Values {
	out := url.Values{}
	for _, m := range hiddenInput.FindAllStringSubmatch(body, -1) {
		out.Set(m[1], m[2])
	}
	return out
}

// wholeGroom is a full groom with every criterion at L4.
func (s *salon) wholeGroom(apprentice, dog string) url.Values {
	f := url.Values{"apprentice": {s.keys[apprentice]}, "day": {"2026-05-20"}, "dog": {dog}, "coat": {"WO"}, "size_kg": {"8,4"}, "matting": {"1"}, "temperament": {"2"},
		"service": {"full"}, "asked": {"Short all over, 10 mm"}, "prep": {"behind_ears", "armpits", "between_toes", "tail_base"}, "keep": {"Calm hands"}}
	for _, c := range curriculum.Default().Rubric.Criteria {
		f.Set("level."+c.ID, "4")
	}
	return f
}

// mark takes a groom from the first page to the receipt.
func (r *reader) mark(form url.Values) (receipt string) {
	_, page := r.get("/grooms/new")
	first := hidden(page)
	for _, name := range []string{"apprentice", "day", "dog", "service"} {
		first[name] = form[name]
	}
	status, body, draft := r.post("/grooms/new", first)
	require.Equal(r.s, http.StatusSeeOther, status, body)
	_, page = r.get(draft)
	sent := hidden(page)
	for name, v := range form {
		sent[name] = v
	}
	sent.Set("action", "read_back")
	status, body, to := r.post(draft, sent)
	require.Equal(r.s, http.StatusSeeOther, status, body)
	status, page = r.get(to)
	require.Equal(r.s, http.StatusOK, status, page)
	sign := hidden(page)
	sign.Set("password", testPassword)
	status, body, receipt = r.post(draft+"/sign", sign)
	require.Equal(r.s, http.StatusSeeOther, status, body)
	status, _, again := r.post(draft+"/sign", sign)
	require.Equal(r.s, http.StatusSeeOther, status, "a repeated signature leads to the same receipt")
	require.Equal(r.s, receipt, again)
	return receipt
}

func TestTheWholeJob(t *testing.T) {
	s := newSalon(t)
	rowan, hazel, jory := s.signedIn("rowan"), s.signedIn("hazel"), s.signedIn("jory")

	receipt := rowan.mark(s.wholeGroom("jory", "Biscuit 17"))
	_, page := rowan.get(receipt)
	assert.Contains(t, page, "Meets")
	assert.Contains(t, page, "4.00")
	_, page = jory.get(receipt)
	assert.Contains(t, page, "Biscuit 17", "the apprentice sees their own groom")

	edge := s.wholeGroom("jory", "Clover 3")
	for id, level := range map[string]string{"R5": "3", "R8": "3", "R9": "2", "R11": "3", "R12": "2", "R13": "2"} {
		edge.Set("level."+id, level)
	}
	_, page = rowan.get(rowan.mark(edge))
	assert.Contains(t, page, "3.49", "just below the line, shown as such")
	assert.NotContains(t, page, "3.50<")
	assert.Contains(t, page, "Not yet")

	short := s.wholeGroom("jory", "Fern 9")
	short.Set("level.R4", "3")
	_, page = rowan.get(rowan.mark(short))
	assert.Contains(t, page, "is a must-meet at L4 and stands at L3")

	// Eighteen more clean grooms on different coats and sizes by two assessors
	// make a skill without prerequisites eligible.
	coats, weights := []string{"SI", "WI", "DB"}, []string{"4", "12", "30"}
	for i := range 17 {
		g := s.wholeGroom("wren", fmt.Sprintf("Dog %d", i))
		g.Set("coat", coats[i%3])
		g.Set("size_kg", weights[i%3])
		if i%2 == 0 {
			rowan.mark(g)
		} else {
			hazel.mark(g)
		}
	}
	skill := "/apprentices/" + s.keys["wren"] + "/skills/HC4"
	_, page = rowan.get(skill)
	assert.Contains(t, page, "Eligible")
	_, page = rowan.get(skill + "/propose")
	form := hidden(page)
	form.Set("password", testPassword)
	status, body, signOff := rowan.post(skill+"/propose", form)
	require.Equal(t, http.StatusSeeOther, status, body)

	_, page = rowan.get(signOff)
	assert.Contains(t, page, "A different person confirms it")
	status, _, _ = rowan.post(signOff+"/decide", url.Values{"decision": {"confirm"}, "password": {testPassword}, "client_id": {"x"}})
	assert.Equal(t, http.StatusUnprocessableEntity, status, "the proposer does not confirm")
	_, page = hazel.get(signOff)
	form = hidden(page)
	form.Set("decision", "confirm")
	form.Set("password", testPassword)
	status, body, _ = hazel.post(signOff+"/decide", form)
	require.Equal(t, http.StatusSeeOther, status, body)
	_, page = rowan.get(skill)
	assert.Contains(t, page, "Signed off and current until")
	_, page = rowan.get("/matrix")
	assert.Contains(t, page, "1 of 58")

	status, body, _ = rowan.post("/export/workbook", url.Values{"scope": {"salon"}})
	require.Equal(t, http.StatusOK, status)
	assert.True(t, strings.HasPrefix(body, "PK"), "a workbook")
}

// roles are the columns of the table of routes: signed out, head groomer,
// another assessor, the apprentice whose object it is, another apprentice,
// auditor.
var roles = []string{"", "rowan", "hazel", "jory", "wren", "lark"}

// addresses makes what the routes of the table need, and puts it into them.
func (s *salon) addresses(rowan *reader) *strings.Replacer {
	groomURL := rowan.mark(s.wholeGroom("jory", "Biscuit 17"))
	_, _, draftURL := rowan.post("/grooms/new", url.Values{"apprentice": {s.keys["jory"]}, "day": {"2026-05-20"}, "dog": {"Moss 2"}, "service": {"full"}})
	_, _, entryURL := s.signedIn("jory").log(s.entry("rowan"))
	photo := rowan.photo(strings.TrimPrefix(groomURL, "/grooms/signed/"))
	return strings.NewReplacer(":entry", strings.TrimPrefix(entryURL, "/logbook/"), ":photo", photo, ":apprentice", s.keys["jory"], ":skill", "HC4", ":groom", strings.TrimPrefix(groomURL, "/grooms/signed/"),
		":draft", strings.TrimPrefix(draftURL, "/grooms/drafts/"), ":hold", "none", ":person", s.keys["jory"], ":rule", "safety", ":signoff", "none", ":device", "none", ":exercise", s.exercise("jory"))
}

// bareVisits are the statuses of a visit with nothing in it, for each role. 0:
// sent to sign in.
func bareVisits() map[string][6]int {
	const (
		out, ok, no, gone, bad, see = 0, 200, 403, 404, 422, 303
	)
	return map[string][6]int{
		"GET /help":    {ok, ok, ok, ok, ok, ok},
		"GET /sign-in": {ok, ok, ok, ok, ok, ok}, "POST /sign-in": {bad, bad, bad, bad, bad, bad}, "POST /sign-in/pin": {bad, bad, bad, bad, bad, bad}, "POST /sign-out": {see, see, see, see, see, see},
		"GET /set-up": {gone, gone, gone, gone, gone, gone}, "POST /set-up": {gone, gone, gone, gone, gone, gone},
		"GET /welcome": {ok, ok, ok, ok, ok, ok}, "POST /welcome": {bad, bad, bad, bad, bad, bad},
		"GET /": {out, ok, ok, ok, ok, ok}, "GET /matrix": {out, ok, ok, ok, ok, ok}, "GET /wall": {out, ok, ok, no, no, ok},
		"GET /apprentices/:apprentice": {out, ok, ok, ok, gone, ok}, "GET /apprentices/:apprentice/review": {out, ok, ok, ok, gone, ok}, "GET /apprentices/:apprentice/skills/:skill": {out, ok, ok, ok, gone, ok},
		"POST /apprentices/:apprentice/skills/:skill/permission": {out, bad, bad, no, no, no}, "POST /apprentices/:apprentice/skills/:skill/check": {out, bad, bad, no, no, no},
		"GET /apprentices/:apprentice/skills/:skill/propose": {out, ok, ok, no, no, no}, "POST /apprentices/:apprentice/skills/:skill/propose": {out, bad, bad, no, no, no},
		"GET /skills/:skill": {out, ok, ok, ok, ok, ok}, "POST /skills/:skill/policy": {out, bad, no, no, no, no},
		"POST /apprentices/:apprentice/skills/:skill/review":      {out, bad, bad, no, no, no},
		"POST /apprentices/:apprentice/skills/:skill/holds/:hold": {out, gone, gone, no, no, no},
		"GET /grooms": {out, ok, ok, ok, ok, ok}, "GET /grooms/new": {out, ok, ok, no, no, no}, "POST /grooms/new": {out, bad, bad, no, no, no},
		"GET /grooms/drafts/:draft": {out, ok, gone, no, no, no}, "POST /grooms/drafts/:draft": {out, 409, gone, no, no, no},
		"GET /grooms/drafts/:draft/read-back": {out, bad, gone, no, no, no}, "POST /grooms/drafts/:draft/sign": {out, bad, gone, no, no, no},
		"POST /grooms/drafts/:draft/discard": {out, see, gone, no, no, no},
		"GET /grooms/drafts/:draft/cut-plan": {out, ok, gone, no, no, no}, "POST /grooms/drafts/:draft/cut-plan": {out, see, gone, no, no, no},
		"GET /exercises": {out, ok, ok, ok, ok, ok}, "POST /exercises": {out, no, no, see, see, no},
		"GET /exercises/:exercise": {out, ok, ok, ok, gone, ok}, "POST /exercises/:exercise": {out, no, no, bad, gone, no}, "POST /exercises/:exercise/adopt": {out, bad, bad, no, no, no},
		"GET /grooms/signed/:groom": {out, ok, ok, ok, gone, ok}, "GET /grooms/signed/:groom/correct": {out, ok, no, no, no, no}, "POST /grooms/signed/:groom/correct": {out, bad, no, no, no, no},
		"POST /grooms/signed/:groom/self": {out, no, no, bad, gone, no}, "POST /grooms/signed/:groom/show": {out, no, no, see, gone, no},
		"POST /grooms/second": {out, gone, gone, no, no, no}, "GET /agreement": {out, ok, ok, no, no, ok}, "GET /signoffs/sample": {out, ok, ok, no, no, ok},
		"GET /apprentices/:apprentice/progress":  {out, ok, ok, ok, gone, ok},
		"POST /grooms/signed/:groom/acknowledge": {out, no, no, bad, gone, no}, "POST /grooms/signed/:groom/answer": {out, bad, bad, no, no, no},
		"GET /logbook": {out, ok, ok, ok, ok, ok}, "GET /logbook/new": {out, no, no, ok, ok, no}, "POST /logbook/new": {out, no, no, bad, bad, no},
		"GET /logbook/countersign": {out, ok, ok, no, no, no}, "POST /logbook/countersign": {out, bad, bad, no, no, no},
		"GET /logbook/:entry": {out, ok, ok, ok, gone, ok}, "POST /logbook/:entry/deny": {out, bad, bad, no, no, no},
		"GET /phrases": {out, ok, ok, no, no, no}, "POST /phrases": {out, see, see, no, no, no},
		"GET /grooms/drafts/:draft/photos": {out, ok, gone, no, no, no}, "POST /grooms/drafts/:draft/photos": {out, bad, gone, no, no, no},
		"GET /grooms/drafts/:draft/photos/:photo/small": {out, gone, gone, no, no, no}, "GET /grooms/drafts/:draft/photos/:photo/large": {out, gone, gone, no, no, no},
		"POST /grooms/drafts/:draft/photos/:photo/withdraw": {out, gone, gone, no, no, no},
		"GET /grooms/signed/:groom/photos":                  {out, ok, ok, ok, gone, ok}, "POST /grooms/signed/:groom/photos": {out, bad, no, no, no, no},
		"GET /grooms/signed/:groom/photos/:photo/small": {out, ok, ok, ok, gone, ok}, "GET /grooms/signed/:groom/photos/:photo/large": {out, ok, ok, ok, gone, ok},
		"POST /grooms/signed/:groom/photos/:photo/withdraw": {out, bad, no, no, no, no},
		"GET /signoffs": {out, ok, ok, ok, ok, ok}, "GET /signoffs/:signoff": {out, gone, gone, gone, gone, gone}, "GET /signoffs/:signoff/certificate": {out, gone, gone, gone, gone, gone}, "POST /signoffs/:signoff/decide": {out, gone, gone, no, no, no},
		"GET /programme": {out, ok, ok, ok, ok, ok}, "GET /programme/rules/:rule": {out, ok, ok, ok, ok, ok}, "POST /programme/rules/:rule": {out, bad, no, no, no, no}, "GET /export": {out, ok, ok, ok, ok, ok}, "POST /export/workbook": {out, bad, bad, bad, bad, bad},
		"GET /people": {out, ok, ok, no, no, ok}, "POST /people": {out, bad, no, no, no, no},
		"POST /people/:person/code": {out, ok, no, no, no, no},
		"GET /people/:person":       {out, ok, no, no, no, no}, "POST /people/:person": {out, bad, no, no, no, no},
		"POST /people/:person/left": {out, bad, no, no, no, no}, "POST /people/:person/back": {out, ok, no, no, no, no},
		"GET /account": {out, ok, ok, ok, ok, ok}, "POST /account": {out, bad, bad, bad, bad, bad},
		"POST /account/pin": {out, bad, bad, bad, bad, bad}, "POST /account/pin/remove": {out, see, see, see, see, see},
		"GET /password": {out, see, see, see, see, see}, "POST /password": {out, bad, bad, bad, bad, bad},
		"GET /devices": {out, ok, no, no, no, no}, "POST /devices": {out, bad, no, no, no, no}, "POST /devices/:device/revoke": {out, gone, no, no, no, no},
	}
}

// Every route, every role: the status of a bare visit. A route that is missing
// from the table fails the test.
func TestRolesAndRoutes(t *testing.T) {
	s := newSalon(t)
	own, want := s.addresses(s.signedIn("rowan")), bareVisits()
	for _, r := range routes {
		row, listed := want[r.method+" "+r.path]
		require.True(t, listed, "route %s %s is missing from the table", r.method, r.path)
		for i, login := range roles {
			visitor := s.visitor()
			if login != "" {
				visitor = s.signedIn(login)
			}
			status, _, to := visitor.do(r.method, own.Replace(r.path), url.Values{})
			switch {
			case row[i] != 0:
				assert.Equal(t, row[i], status, "%s %s as %q", r.method, r.path, login)
			case r.method == http.MethodGet:
				assert.True(t, status == http.StatusSeeOther && strings.HasPrefix(to, "/sign-in?next="), "%s %s signed out: %d %s", r.method, r.path, status, to)
			default:
				assert.Equal(t, http.StatusUnauthorized, status, "%s %s signed out", r.method, r.path)
			}
		}
	}
	assert.Len(t, want, len(routes), "a row without a route")
}

var pageTitle = regexp.MustCompile(`<title>([^<]*)</title>`)

// Pages can be told apart in a list of tabs.
func TestTitlesTellPagesApart(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	own := strings.NewReplacer(":apprentice", s.keys["jory"], ":skill", "HC4", ":person", s.keys["jory"], ":rule", "safety",
		":groom", strings.TrimPrefix(rowan.mark(s.wholeGroom("jory", "Biscuit 17")), "/grooms/signed/"))
	seen := map[string]string{}
	for _, r := range routes {
		path := own.Replace(r.path)
		if r.method != http.MethodGet || strings.Contains(path, ":") {
			continue
		}
		status, page := rowan.get(path)
		if status != http.StatusOK {
			continue
		}
		title := pageTitle.FindStringSubmatch(page)
		require.NotNil(t, title, path)
		assert.Empty(t, seen[title[1]], "%s and %s are both called %q", path, seen[title[1]], title[1])
		seen[title[1]] = path
	}
	assert.Greater(t, len(seen), 15)
}

func TestRouteWithoutPolicyKeepsTheServerFromStarting(t *testing.T) {
	s := newSalon(t)
	srv, err := New(Options{Store: s.store})
	require.NoError(t, err)
	assert.ErrorContains(t, srv.addRoutes([]route{{method: "GET", path: "/open", handler: help}}), "no policy")
}

func TestForeignOriginAndHostAreRefused(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	for _, origin := range []string{"http://elsewhere.test", "null", ""} {
		req, _ := http.NewRequest(http.MethodPost, s.http.URL+"/people", strings.NewReader(""))
		if origin != "" {
			req.Header.Set("Origin", origin)
		}
		res, err := rowan.client.Do(req)
		require.NoError(t, err)
		res.Body.Close()
		assert.Equal(t, http.StatusForbidden, res.StatusCode, "origin %q", origin)
	}
	req, _ := http.NewRequest(http.MethodGet, s.http.URL+"/sign-in", nil)
	req.Host = "elsewhere.test"
	res, err := rowan.client.Do(req)
	require.NoError(t, err)
	res.Body.Close()
	assert.Equal(t, http.StatusMisdirectedRequest, res.StatusCode)
	assert.Contains(t, res.Header.Get("Content-Security-Policy"), "default-src 'none'")
}
