package server

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gin-gonic/gin"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func (s *salon) server() *Server { return s.http.Config.Handler.(*Server) }

// from posts a form as a machine at another address does, without a session.
func (s *salon) from(addr, path string, form url.Values) (status int, body string) {
	req := httptest.NewRequest(http.MethodPost, path, strings.NewReader(form.Encode()))
	req.Host, req.RemoteAddr = "127.0.0.1", net.JoinHostPort(addr, "40000")
	req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	req.Header.Set("Origin", "http://127.0.0.1")
	w := httptest.NewRecorder()
	s.server().ServeHTTP(w, req)
	return w.Code, w.Body.String()
}

// lines collects what a server logs.
type lines struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (l *lines) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.Write(p)
}

func (l *lines) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.String()
}

// logged makes the salon's server log into a text.
func (s *salon) logged() *lines {
	l := &lines{}
	s.server().Log = slog.New(slog.NewTextHandler(l, &slog.HandlerOptions{Level: slog.LevelWarn}))
	return l
}

func wrong(login string) url.Values {
	return url.Values{"login": {login}, "password": {"not the password"}, "next": {"/"}}
}

const tooMany = "Too many wrong"

func TestOverlongLoginsAndCodesAreNotLookedAt(t *testing.T) {
	s := newSalon(t)
	long := strings.Repeat("x", 200_000)
	for range 5 {
		status, body := s.from("192.0.2.7", "/sign-in", wrong(long))
		assert.Equal(t, http.StatusUnprocessableEntity, status)
		assert.Contains(t, body, "A login has at most 40 characters")
		status, body = s.from("192.0.2.7", "/welcome", url.Values{"login": {long}, "code": {"wrong"}, "password": {testPassword}})
		assert.Equal(t, http.StatusUnprocessableEntity, status)
		assert.Contains(t, body, "A login has at most 40 characters")
		status, body = s.from("192.0.2.7", "/welcome", url.Values{"login": {"jory"}, "code": {long}, "password": {testPassword}})
		assert.Equal(t, http.StatusUnprocessableEntity, status)
		assert.Contains(t, body, "A code has 20 letters and digits")
	}
	assert.Zero(t, s.server().tries.kept(), "nothing is kept of them")
}

func TestManyTriesAtTheSameMoment(t *testing.T) {
	s := newSalon(t)
	var wg sync.WaitGroup
	checked := make(chan bool, 60)
	for range 60 {
		wg.Go(func() {
			_, body := s.from("192.0.2.7", "/sign-in", wrong("rowan"))
			checked <- !strings.Contains(body, tooMany)
		})
	}
	wg.Wait()
	n := 0
	for range 60 {
		if <-checked {
			n++
		}
	}
	assert.LessOrEqual(t, n, 4, "tries that were checked")
	assert.Positive(t, n)
}

func TestALongPasswordIsATryToo(t *testing.T) {
	s := newSalon(t)
	form := wrong("rowan")
	form.Set("password", strings.Repeat("long ", 60))
	for range 4 {
		s.from("192.0.2.7", "/sign-in", form)
	}
	_, body := s.from("192.0.2.7", "/sign-in", form)
	assert.Contains(t, body, tooMany)
}

func TestStrangersCloseNobodysLogin(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	receipt := func() string { return rowan.mark(s.wholeGroom("jory", "Biscuit 17")) }
	for range 12 {
		s.from("192.0.2.7", "/sign-in", wrong("rowan"))
		rowan.s.visitor().post("/sign-in", wrong("rowan"))
	}
	_, body := s.from("192.0.2.7", "/sign-in", wrong("rowan"))
	assert.Contains(t, body, tooMany)
	status, _ := s.from("192.0.2.8", "/sign-in", url.Values{"login": {"rowan"}, "password": {testPassword}, "next": {"/"}})
	assert.Equal(t, http.StatusSeeOther, status, "from another address the login is open")
	assert.Contains(t, receipt(), "/grooms/signed/", "and so is a signature, from the very same address")

	for range 12 {
		s.from("192.0.2.7", "/welcome", url.Values{"login": {"jory"}, "code": {"aaaaa-aaaaa-aaaaa-aaaaa"}, "password": {testPassword}})
	}
	_, body = s.from("192.0.2.7", "/welcome", url.Values{"login": {"jory"}, "code": {"aaaaa-aaaaa-aaaaa-aaaaa"}, "password": {testPassword}})
	assert.Contains(t, body, tooMany)
	_, page, _ := rowan.post("/people/"+s.keys["jory"]+"/code", nil)
	status, body = s.from("192.0.2.8", "/welcome", url.Values{"login": {"jory"}, "code": {oneTime(t, page)}, "password": {"three warm blankets"}})
	assert.Equal(t, http.StatusSeeOther, status, main(body))
}

// oneTime is the code that a page shows.
func oneTime(t *testing.T, page string) string {
	t.Helper()
	_, code, ok := strings.Cut(page, `<p class="one-time">`)
	require.True(t, ok, main(page))
	code, _, _ = strings.Cut(code, "<")
	return code
}

func TestOneAddressMayNotTryEveryLogin(t *testing.T) {
	s := newSalon(t)
	closed := false
	for i := range 60 {
		_, body := s.from("192.0.2.7", "/sign-in", wrong(fmt.Sprint("login", i)))
		closed = closed || strings.Contains(body, tooMany)
		assert.False(t, closed && i < 20, "a few mistakes of several people are no attack")
	}
	assert.True(t, closed)
	status, _ := s.from("192.0.2.8", "/sign-in", url.Values{"login": {"rowan"}, "password": {testPassword}, "next": {"/"}})
	assert.Equal(t, http.StatusSeeOther, status)
}

func TestOtherLoginsOpenNoneThatWaits(t *testing.T) {
	now := time.Date(2026, time.May, 20, 10, 0, 0, 0, time.UTC)
	tr := tries{now: func() time.Time { return now }}
	key := tryKey{signInAs, "rowan", "192.0.2.7"}
	for range 4 {
		assert.Zero(t, tr.begin(key))
	}
	for i := range maxKept + 500 {
		now = now.Add(time.Microsecond)
		tr.begin(tryKey{signInAs, fmt.Sprint("login", i), "192.0.2.9"})
	}
	assert.Positive(t, tr.begin(key))
	assert.LessOrEqual(t, tr.kept(), maxKept)
	now = now.Add(5 * time.Second)
	assert.Zero(t, tr.begin(key), "nobody waits for ever")
	assert.Positive(t, tr.begin(key), "but longer after each failure")
	tr.right(key)
	for range 3 {
		assert.Zero(t, tr.begin(key), "a success clears it")
	}
	now = now.Add(2 * time.Hour)
	tr.begin(key)
	assert.Equal(t, 1, tr.rows[key].n, "and so does time")
	tr.begin(tryKey{signInAs, "one more", "192.0.2.9"})
	assert.LessOrEqual(t, tr.kept(), 2, "what is forgotten makes room first")
}

func TestAddressOfARequest(t *testing.T) {
	for remote, want := range map[string]string{"192.0.2.7:1": "192.0.2.7", "[::ffff:192.0.2.7]:1": "192.0.2.7", "[2001:db8:1:2:3::4]:1": "2001:db8:1:2::/64",
		"[2001:db8:1:2:ffff::9]:1": "2001:db8:1:2::/64", "[fe80::1%eth0]:1": "fe80::/64", "": ""} {
		r := &request{Context: &gin.Context{Request: &http.Request{RemoteAddr: remote}}}
		assert.Equal(t, want, r.address(), remote)
	}
}

func TestNoLoginClosesTheSetUp(t *testing.T) {
	s := newSalon(t)
	fresh := s.unfounded()
	for range 6 {
		fresh.post("/sign-in", wrong("set-up"))
		fresh.post("/welcome", url.Values{"login": {"set-up"}, "code": {"wrong"}, "password": {testPassword}})
	}
	_, body, _ := fresh.post("/set-up", url.Values{"code": {"wrong"}})
	assert.Contains(t, body, "This is not the set-up code.")
	for range 6 {
		_, body, _ = fresh.post("/set-up", url.Values{"code": {"wrong"}})
	}
	assert.Contains(t, body, tooMany)
}

func TestANewPasswordEndsEverySession(t *testing.T) {
	s := newSalon(t)
	rowan, jory := s.signedIn("rowan"), s.signedIn("jory")
	_, page, _ := rowan.post("/people/"+s.keys["jory"]+"/code", nil)
	code := oneTime(t, page)
	status, _ := jory.get("/matrix")
	require.Equal(t, http.StatusOK, status, "a code alone ends nothing")
	other := s.visitor()
	status, body, _ := other.post("/welcome", url.Values{"login": {"jory"}, "code": {code}, "password": {"three warm blankets"}})
	require.Equal(t, http.StatusSeeOther, status, main(body))
	status, _, to := jory.do(http.MethodGet, "/matrix", nil)
	assert.Equal(t, http.StatusSeeOther, status)
	assert.Equal(t, "/sign-in?next=%2Fmatrix", to)
	status, _ = other.get("/matrix")
	assert.Equal(t, http.StatusOK, status, "the one that was begun with it goes on")
}

// A form that takes its time to arrive does not bring back a session that was
// ended meanwhile.
func TestSignOutWhileAFormIsOnItsWay(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	at, err := url.Parse(s.http.URL)
	require.NoError(t, err)
	cookie := rowan.client.Jar.Cookies(at)[0]
	conn, err := net.Dial("tcp", at.Host)
	require.NoError(t, err)
	defer conn.Close()
	form := url.Values{"level": {"1"}, "reason": {"First day at the table."}, "client_id": {"slow"}}.Encode()
	fmt.Fprintf(conn, "POST /apprentices/%s/skills/TH4/permission HTTP/1.1\r\nHost: %s\r\nOrigin: %s\r\nCookie: %s=%s\r\nConnection: close\r\n"+
		"Content-Type: application/x-www-form-urlencoded\r\nContent-Length: %d\r\n\r\n%s", s.keys["wren"], at.Host, s.http.URL, cookie.Name, cookie.Value, len(form), form[:9])
	time.Sleep(100 * time.Millisecond) // until its header has been read
	status, _, _ := rowan.post("/sign-out", nil)
	require.Equal(t, http.StatusSeeOther, status)
	io.WriteString(conn, form[9:])
	answer, err := io.ReadAll(conn)
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(string(answer), "HTTP/1.1 401 "), "%.80s", answer)
	rowan.client.Jar.SetCookies(at, []*http.Cookie{cookie})
	status, _ = rowan.get("/matrix")
	assert.Equal(t, http.StatusSeeOther, status, "the session stays ended")
}

func TestFormsThatCannotBeRead(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	log := s.logged()
	const form = "application/x-www-form-urlencoded"
	for name, c := range map[string]struct{ query, contentType, body string }{
		"percent":         {"", form, "dog=%zz"},
		"semicolon":       {"", form, "a;b"},
		"too many fields": {"", form, strings.Repeat("a=1&", 10_001)},
		"no such type":    {"", "text/plain; charset", "dog=Moss"},
		"plain text":      {"", "text/plain", "dog=Moss"},
		"a file":          {"", "multipart/form-data; boundary=x", "--x--"},
		"without a type":  {"", "", "dog=Moss"},
		"a query":         {"?x=%zz", form, "dog=Moss"},
	} {
		t.Run(name, func(t *testing.T) {
			req, err := http.NewRequest(http.MethodPost, s.http.URL+"/grooms/new"+c.query, strings.NewReader(c.body))
			require.NoError(t, err)
			req.Header.Set("Origin", s.http.URL)
			if c.contentType != "" {
				req.Header.Set("Content-Type", c.contentType)
			}
			res, err := rowan.client.Do(req)
			require.NoError(t, err)
			defer res.Body.Close()
			body, err := io.ReadAll(res.Body)
			require.NoError(t, err)
			assert.Equal(t, http.StatusBadRequest, res.StatusCode)
			assert.Contains(t, string(body), "Go back")
		})
	}
	at, _ := url.Parse(s.http.URL)
	conn, err := net.Dial("tcp", at.Host)
	require.NoError(t, err)
	fmt.Fprintf(conn, "POST /sign-in HTTP/1.1\r\nHost: %s\r\nOrigin: %s\r\nContent-Type: %s\r\nContent-Length: 100\r\n\r\nlogin=ro", at.Host, s.http.URL, form)
	conn.(*net.TCPConn).CloseWrite()
	answer, err := io.ReadAll(conn)
	conn.Close()
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(string(answer), "HTTP/1.1 400 "), "%.80s", answer)
	assert.NotContains(t, log.String(), "level=ERROR")
	status, body, _ := rowan.post("/grooms/new", url.Values{"dog": {strings.Repeat("x", maxBody)}})
	assert.Equal(t, http.StatusRequestEntityTooLarge, status)
	assert.Contains(t, body, "1 megabyte")
}

func TestHeadAnswersWhereverGetDoes(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	for _, r := range routes {
		if r.method != http.MethodGet {
			continue
		}
		path := strings.NewReplacer(":apprentice", s.keys["jory"], ":skill", "HC4", ":groom", "none", ":entry", "none", ":draft", "none", ":person", s.keys["jory"], ":rule", "safety", ":signoff", "none", ":exercise", "none").Replace(r.path)
		get, _, _ := rowan.do(http.MethodGet, path, nil)
		head, body, _ := rowan.do(http.MethodHead, path, nil)
		assert.Equal(t, get, head, path)
		assert.Empty(t, body, path)
	}
	status, _, to := s.visitor().do(http.MethodHead, "/matrix", nil)
	assert.Equal(t, http.StatusSeeOther, status)
	assert.Equal(t, "/sign-in?next=%2Fmatrix", to)
}

// busy keeps every place for hashing taken until the test ends.
func busy(t *testing.T, places chan struct{}) {
	for range cap(places) {
		places <- struct{}{}
	}
	t.Cleanup(func() {
		for range cap(places) {
			<-places
		}
	})
}

// send posts a form and gives up after a moment; it reports the status, or 0.
func (r *reader) send(path string, form url.Values, patience time.Duration) (status int, body string) {
	ctx, stop := context.WithTimeout(r.s.Context(), patience)
	defer stop()
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, r.s.http.URL+path, strings.NewReader(form.Encode()))
	require.NoError(r.s, err)
	req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	req.Header.Set("Origin", r.s.http.URL)
	res, err := r.client.Do(req)
	if err != nil {
		return 0, ""
	}
	defer res.Body.Close()
	data, _ := io.ReadAll(res.Body)
	return res.StatusCode, string(data)
}

func TestAWrongCodeIsNotWorthAHash(t *testing.T) {
	s := newSalon(t)
	busy(t, hashing)
	status, body := s.visitor().send("/welcome", url.Values{"login": {"jory"}, "code": {"aaaaa-aaaaa-aaaaa-aaaaa"}, "password": {testPassword}}, 5*time.Second)
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "This code does not belong to this login")
}

func TestWhoGivesUpLeavesTheQueue(t *testing.T) {
	s := newSalon(t)
	log := s.logged()
	rowan := s.signedIn("rowan")
	_, page, _ := rowan.post("/people/"+s.keys["jory"]+"/code", nil)
	code := oneTime(t, page)
	t.Run("busy", func(t *testing.T) {
		busy(t, hashing)
		var wg sync.WaitGroup
		for i := range 20 {
			wg.Go(func() {
				form, to := url.Values{"login": {"jory"}, "code": {code}, "password": {"three warm blankets"}}, "/welcome"
				if i%2 == 0 {
					form, to = wrong(fmt.Sprint("login", i)), "/sign-in"
				}
				status, body := s.visitor().send(to, form, 300*time.Millisecond)
				assert.True(t, status == 0 || strings.Contains(body, tooMany), "%d %s", status, main(body))
			})
		}
		wg.Wait()
	})
	begin := time.Now()
	s.signedIn("hazel")
	assert.Less(t, time.Since(begin), 5*time.Second)
	status, body, _ := s.visitor().post("/sign-in", url.Values{"login": {"jory"}, "password": {testPassword}, "next": {"/"}})
	assert.Equal(t, http.StatusSeeOther, status, "a request that ended sets no password: %s", main(body))
	assert.Empty(t, log.String(), "and is no fault")
}

func TestAFormOfAnEndedSessionIsGivenBack(t *testing.T) {
	s := newSalon(t)
	skill := "/apprentices/" + s.keys["wren"] + "/skills/TH4"
	form := url.Values{"level": {"1"}, "reason": {"Holds the head, “gently” & <well>.\nTwice."}, "client_id": {"hidden-one"}, "content_hash": {"hidden-two"}, "base_version": {"31"},
		"password": {"a secret of mine"}, "old_password": {"a secret of mine"}, "new_password": {"a secret of mine"}, "code": {"a secret of mine"}, "account": {"rowan-hidden"}, "next": {"/hidden"}}
	for referer, next := range map[string]string{
		s.http.URL + skill + "?show=all": skill + "?show=all",
		s.http.URL + skill + "/propose":  skill + "/propose",
		"":                               skill, // the nearest page above the address it was sent to
		"http://elsewhere.test" + skill:  skill,
		s.http.URL + "//elsewhere.test":  skill,
		s.http.URL + "/\\elsewhere.test": skill,
		s.http.URL + skill + "/check":    skill, // where a form is sent, but no page
	} {
		req, err := http.NewRequest(http.MethodPost, s.http.URL+skill+"/permission", strings.NewReader(form.Encode()))
		require.NoError(t, err)
		req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		req.Header.Set("Origin", s.http.URL)
		if referer != "" {
			req.Header.Set("Referer", referer)
		}
		res, err := s.visitor().client.Do(req)
		require.NoError(t, err)
		data, err := io.ReadAll(res.Body)
		require.NoError(t, err)
		res.Body.Close()
		body := string(data)
		assert.Equal(t, http.StatusUnauthorized, res.StatusCode)
		assert.Contains(t, body, "Holds the head, “gently” &amp; &lt;well&gt;.\nTwice.")
		for _, hidden := range []string{"hidden", "a secret", ">31<"} {
			assert.NotContains(t, strings.ReplaceAll(main(body), `type="hidden"`, ""), hidden)
		}
		assert.Equal(t, next, strings.ReplaceAll(hidden(body).Get("next"), "&amp;", "&"), "sent from %q", referer)
	}
}

// Every hidden field of the pages is known as such.
func TestHiddenFieldsAreKnown(t *testing.T) {
	files, err := filepath.Glob("web/templates/*.html")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	input := regexp.MustCompile(`<input[^>]*(?:type="hidden"|\shidden)[^>]*>`)
	name := regexp.MustCompile(`name="([a-z_]+)"`)
	for _, f := range files {
		text, err := os.ReadFile(f)
		require.NoError(t, err)
		for _, field := range input.FindAllString(string(text), -1) {
			if m := name.FindStringSubmatch(field); m != nil {
				assert.Contains(t, notTyped, m[1], filepath.Base(f))
			}
		}
	}
}

func TestOneLineOfText(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	for name, c := range map[string]struct{ text, problem string }{
		"line break":        {"Moss\nGreen", "line break"},
		"line separator":    {"Moss\u2028Green", "line break"},
		"control":           {"Moss\x07Green", "cannot be shown"},
		"override":          {"Moss \u202eneerG", "direction"},
		"isolate":           {"Moss \u2066Green", "direction"},
		"invisible":         {"\u200b\u200d\u2060", "nothing to be seen"},
		"blank letters":     {"\u3164\u115f\u2800", "nothing to be seen"},
		"only a mark":       {"\ufe0f", "nothing to be seen"},
		"not text":          {"Moss \xff", "cannot be shown"},
		"plain":             {"Moss", ""},
		"right to left":     {"كلب هادئ", ""},
		"joined":            {"می\u200cخواهم 👩\u200d🔬", ""},
		"decomposed accent": {"Zoe\u0308", ""},
	} {
		t.Run(name, func(t *testing.T) {
			for _, f := range []struct {
				to, field string
				form      url.Values
			}{
				{"/people", "name", url.Values{"login": {"x"}, "role": {"assessor"}}}, // the login is too short: nothing is saved
				{"/grooms/new", "dog", url.Values{"service": {"full"}}},
			} {
				f.form.Set(f.field, c.text)
				status, body, _ := rowan.post(f.to, f.form)
				require.Equal(t, http.StatusUnprocessableEntity, status)
				_, field, found := strings.Cut(body, `id="f-`+f.field+`-error"`)
				assert.Equal(t, c.problem != "", found, main(body))
				if found {
					field, _, _ = strings.Cut(field, "</p>")
					assert.Contains(t, field, c.problem)
				}
				if !strings.Contains(c.text, "\xff") {
					assert.Contains(t, body, c.text, "it stays in the form")
				}
			}
		})
	}
}

func TestTwoWorkbooksAtOnce(t *testing.T) {
	s := newSalon(t)
	log := s.logged()
	rowan := s.signedIn("rowan")
	t.Run("busy", func(t *testing.T) {
		busy(t, workbooks)
		status, _ := rowan.send("/export/workbook", url.Values{"scope": {"salon"}}, 300*time.Millisecond)
		assert.Zero(t, status, "a third waits, and ends with its request")
	})
	status, body := rowan.send("/export/workbook", url.Values{"scope": {"salon"}}, time.Minute)
	assert.Equal(t, http.StatusOK, status)
	assert.True(t, strings.HasPrefix(body, "PK"))
	assert.Empty(t, log.String())
}
