package server

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/server/store"
)

// PINs of the people in these tests; none is weak.
var testPINs = map[string]string{"rowan": "739461", "hazel": "508274", "jory": "942716", "wren": "618350", "lark": "850937"}

// withPINs lets people choose their PIN on a machine of their own.
func (s *salon) withPINs(logins ...string) {
	s.Helper()
	for _, login := range logins {
		status, body, _ := s.signedIn(login).post("/account/pin", url.Values{"new_pin": {testPINs[login]}, "password": {testPassword}})
		require.Equal(s, http.StatusSeeOther, status, main(body))
	}
}

// tablet is a shared tablet that nobody has signed in on.
func (s *salon) tablet(name string) *reader {
	s.Helper()
	r := s.signedIn("rowan")
	_, page := r.get("/devices")
	form := hidden(page)
	form.Set("name", name)
	form.Set("password", testPassword)
	status, body, _ := r.post("/devices", form)
	require.Equal(s, http.StatusSeeOther, status, main(body))
	r.switched()
	return r
}

// switched presses Switch person.
func (r *reader) switched() {
	r.s.Helper()
	status, _, to := r.post("/sign-out", nil)
	require.Equal(r.s, http.StatusSeeOther, status)
	require.Equal(r.s, "/sign-in?switched", to)
	r.login = ""
}

func (s *salon) byPIN(login, pin string) url.Values {
	return url.Values{"person": {s.keys[login]}, "own_pin": {pin}, "next": {"/"}}
}

// pins signs somebody in with their PIN.
func (r *reader) pins(login string) *reader {
	r.s.Helper()
	status, body, to := r.post("/sign-in/pin", r.s.byPIN(login, testPINs[login]))
	require.Equal(r.s, http.StatusSeeOther, status, main(body))
	require.Equal(r.s, "/", to)
	r.login = login
	return r
}

// cookie is a cookie that a browser holds.
func (r *reader) cookie(name string) string {
	at, err := url.Parse(r.s.http.URL)
	require.NoError(r.s, err)
	for _, c := range r.client.Jar.Cookies(at) {
		if c.Name == name {
			return c.Value
		}
	}
	return ""
}

// holding is a browser of its own with these cookies.
func (s *salon) holding(cookies map[string]string) *reader {
	r := s.visitor()
	at, err := url.Parse(s.http.URL)
	require.NoError(s, err)
	for name, value := range cookies {
		r.client.Jar.SetCookies(at, []*http.Cookie{{Name: name, Value: value, Path: "/"}})
	}
	return r
}

// restart stops the server and starts it again on the same record.
func (s *salon) restart() {
	s.Helper()
	s.http.Close()
	require.NoError(s, s.store.Close())
	st, err := store.Open(s.Context(), s.dir, store.Options{Now: s.clock.now})
	require.NoError(s, err)
	s.Cleanup(func() { st.Close() })
	srv, err := New(Options{Store: st, Now: s.clock.now, Hosts: LocalHosts("127.0.0.1:0")})
	require.NoError(s, err)
	s.store, s.http = st, httptest.NewServer(srv)
	s.Cleanup(s.http.Close)
}

// records are the details of the record's entries of a kind.
func (s *salon) records(kind string) (out []string) {
	s.Helper()
	db := s.raw()
	defer db.Close()
	rows, err := db.Query("SELECT detail FROM record WHERE kind = ? ORDER BY id", kind)
	require.NoError(s, err)
	defer rows.Close()
	for rows.Next() {
		var detail string
		require.NoError(s, rows.Scan(&detail))
		out = append(out, detail)
	}
	return out
}

func tokenHashOf(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

// raw is the database behind the store's back.
func (s *salon) raw() *sql.DB {
	db, err := sql.Open("sqlite", "file:"+filepath.Join(s.dir, store.FileName)+"?_pragma=busy_timeout(10000)")
	require.NoError(s, err)
	return db
}

func TestEnrolledTabletOffersPeople(t *testing.T) {
	s := newSalon(t)
	s.withPINs("hazel", "jory")
	names := []string{"Hazel", "Jory", s.keys["hazel"], s.keys["jory"], "Salon Alder", "own_pin"}
	_, page := s.visitor().get("/sign-in")
	for _, name := range names {
		assert.NotContains(t, page, name, "not enrolled")
	}
	status, body, _ := s.visitor().post("/sign-in/pin", s.byPIN("hazel", testPINs["hazel"]))
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "A PIN works only on a tablet that the head groomer has enrolled.")
	for _, name := range names {
		assert.NotContains(t, body, name, "not enrolled")
	}

	table := s.tablet("Table 1")
	_, page = table.get("/sign-in")
	for _, name := range names {
		assert.Contains(t, page, name)
	}
	for _, login := range []string{"rowan", "wren", "lark"} {
		assert.NotContains(t, page, s.keys[login], "has no PIN")
	}
	assert.Regexp(t, `name="own_pin" type="password" value="" autocomplete="off" inputmode="numeric"`, page)
	status, page = table.pins("jory").get("/")
	assert.Equal(t, http.StatusOK, status)
	assert.True(t, strings.Contains(page, "Switch person") && !strings.Contains(page, "Sign out"))
	_, page = s.signedIn("jory").get("/")
	assert.True(t, strings.Contains(page, "Sign out") && !strings.Contains(page, "Switch person"), "on a machine of one's own")

	db := s.raw()
	defer db.Close()
	for login, pin := range testPINs {
		var stored string
		require.NoError(t, db.QueryRow("SELECT pin FROM person WHERE login = ?", login).Scan(&stored))
		assert.Equal(t, login == "hazel" || login == "jory", strings.HasPrefix(stored, "$argon2id$"), login)
		if stored != "" {
			right, err := checkPassword(context.Background(), stored, pin)
			require.NoError(t, err)
			assert.False(t, right, "the database alone finds no PIN")
		}
	}
}

func TestDeviceCookie(t *testing.T) {
	s := newSalon(t)
	form := url.Values{"name": {"Table 1"}, "password": {testPassword}}
	for _, scheme := range []string{"http", "https"} {
		rowan := s.signedIn("rowan")
		req := httptest.NewRequest(http.MethodPost, scheme+"://127.0.0.1/devices", strings.NewReader(form.Encode()))
		req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		req.Header.Set("Origin", scheme+"://127.0.0.1")
		req.AddCookie(&http.Cookie{Name: sessionCookie, Value: rowan.cookie(sessionCookie)})
		w := httptest.NewRecorder()
		s.server().ServeHTTP(w, req)
		require.Equal(t, http.StatusSeeOther, w.Code)
		var got *http.Cookie
		for _, c := range w.Result().Cookies() {
			if c.Name == deviceCookie {
				got = c
			}
		}
		require.NotNil(t, got)
		assert.Len(t, got.Value, 43, "256 bits, six to a character")
		assert.True(t, got.HttpOnly)
		assert.Equal(t, http.SameSiteLaxMode, got.SameSite)
		assert.Equal(t, scheme == "https", got.Secure)
		assert.Equal(t, [2]any{"/", 400 * 24 * 60 * 60}, [2]any{got.Path, got.MaxAge})
	}
	assert.Equal(t, []string{`{"method":"password","name":"Table 1"}`, `{"method":"password","name":"Table 1"}`}, s.records("device.enrolled"))
}

func TestEnrollingTakesAHeadAndThePassword(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	for _, password := range []string{"", "not the password"} {
		status, body, _ := rowan.post("/devices", url.Values{"name": {"Table 1"}, "password": {password}})
		assert.Equal(t, http.StatusUnprocessableEntity, status)
		keeps(t, body, "Table 1", 1)
	}
	for _, v := range mistyped {
		status, body, _ := rowan.post("/devices", url.Values{"name": {v.text}, "password": {"not the password"}})
		assert.Equal(t, http.StatusUnprocessableEntity, status)
		if strings.Contains(body, tooMany) {
			s.clock.add(15 * time.Minute)
		}
		keeps(t, body, v.text, 1)
		assert.NotContains(t, body, "not the password", "a password is never sent back")
	}
	s.clock.add(2 * time.Hour)
	status, body, _ := rowan.post("/devices", url.Values{"name": {strings.Repeat("long ", 17)}, "password": {testPassword}})
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "Keep it to 80 characters.")
	assert.Empty(t, rowan.cookie(deviceCookie))
	_, page := rowan.get("/devices")
	form := with(hidden(page), "name", "Table 1", "password", testPassword)
	status, body, _ = rowan.post("/devices", form)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	token := rowan.cookie(deviceCookie)
	status, _, _ = s.holding(map[string]string{sessionCookie: rowan.cookie(sessionCookie)}).post("/devices", form)
	assert.Equal(t, http.StatusUnauthorized, status, "the session is one of the tablet, and nowhere else")
	status, _, _ = rowan.post("/devices", form)
	require.Equal(t, http.StatusSeeOther, status)
	_, page = rowan.get("/devices")
	assert.Contains(t, page, "This tablet is enrolled already, as “Table 1”.")
	assert.Contains(t, page, `<span class="tag">this one</span>`)
	assert.NotContains(t, page, `name="name"`)
	assert.Equal(t, token, rowan.cookie(deviceCookie))
	assert.Len(t, s.records("device.enrolled"), 1)
}

func TestStolenTokenIsRevoked(t *testing.T) {
	s := newSalon(t)
	s.withPINs("hazel")
	table := s.tablet("Table 1")
	thief := s.holding(map[string]string{deviceCookie: table.cookie(deviceCookie)})
	_, page := thief.get("/sign-in")
	require.Contains(t, page, "Hazel", "a copied token is the tablet")
	table.pins("hazel")
	thief.pins("hazel")
	byPassword := s.holding(map[string]string{deviceCookie: table.cookie(deviceCookie)})
	status, _, _ := byPassword.post("/sign-in", url.Values{"login": {"hazel"}, "password": {testPassword}})
	require.Equal(t, http.StatusSeeOther, status)

	rowan := s.signedIn("rowan")
	_, page = rowan.get("/devices")
	_, at, found := strings.Cut(page, `action="/devices/`)
	require.True(t, found, main(page))
	at, _, _ = strings.Cut(at, `"`)
	status, body, _ := rowan.post("/devices/"+at, nil)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	for name, r := range map[string]*reader{"the tablet": table, "the copy": thief, "by password": byPassword} {
		status, _, to := r.do(http.MethodGet, "/grooms", nil)
		assert.Equal(t, [2]any{http.StatusSeeOther, "/sign-in?next=%2Fgrooms"}, [2]any{status, to}, "%s is signed out", name)
		assert.Empty(t, r.cookie(deviceCookie), "%s forgets its token", name)
		_, page = r.get("/sign-in")
		assert.NotContains(t, page, "Hazel", name)
	}
	again := s.holding(map[string]string{deviceCookie: table.cookie(deviceCookie)})
	status, _, _ = again.post("/sign-in/pin", s.byPIN("hazel", testPINs["hazel"]))
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	_, page = rowan.get("/devices")
	assert.Regexp(t, `(?s)<h2>Revoked</h2>.*Table 1`, page)
	assert.Len(t, s.records("device.revoked"), 1)
}

// The head groomer who revokes the tablet in hand goes on there as on any other
// machine.
func TestRevokingTheTabletInHand(t *testing.T) {
	s := newSalon(t)
	rowan := s.tablet("Table 1")
	status, _, _ := rowan.post("/sign-in", url.Values{"login": {"rowan"}, "password": {testPassword}})
	require.Equal(t, http.StatusSeeOther, status)
	_, page := rowan.get("/devices")
	_, at, _ := strings.Cut(page, `action="/devices/`)
	at, _, _ = strings.Cut(at, `"`)
	status, _, _ = rowan.post("/devices/"+at, nil)
	require.Equal(t, http.StatusSeeOther, status)
	status, page = rowan.get("/devices")
	assert.Equal(t, http.StatusOK, status)
	assert.True(t, strings.Contains(page, "The tablet is revoked") && strings.Contains(page, "Sign out"))
}

// A tablet of another salon in the same record knows nobody of this one.
func TestTabletOfAnotherSalon(t *testing.T) {
	s := newSalon(t)
	s.withPINs("hazel")
	near := s.tablet("Table 1")
	db := s.raw()
	defer db.Close()
	const token = "a-token-that-only-this-test-knows"
	for _, q := range []string{
		"INSERT INTO salon (id, key, name, zone, programme_id, created_at) SELECT 99, 'far', 'Far Shore Dogs', 'Asia/Tokyo', programme_id, created_at FROM salon",
		"INSERT INTO person (id, key, salon_id, name, login, role, password, pin, created_at) SELECT 900, 'olan', 99, 'Olan', 'olan', 'head_groomer', password, pin, created_at FROM person WHERE login = 'hazel'",
		"INSERT INTO device (id, key, salon_id, name, token, enrolled_by, enrolled_at, seen_at) VALUES (90, 'far-device', 99, 'Far table', '" + tokenHashOf(token) + "', 900, 1, 1)",
	} {
		_, err := db.Exec(q)
		require.NoError(t, err, q)
	}
	far := s.holding(map[string]string{deviceCookie: token})
	_, page := far.get("/sign-in")
	assert.True(t, strings.Contains(page, "Olan") && strings.Contains(page, "Far Shore Dogs") && !strings.Contains(page, "Hazel"), main(page))
	status, _, _ := far.post("/sign-in/pin", s.byPIN("hazel", testPINs["hazel"]))
	assert.Equal(t, http.StatusUnprocessableEntity, status, "the right PIN on a tablet of another salon")
	status, _, _ = near.post("/sign-in/pin", url.Values{"person": {"olan"}, "own_pin": {testPINs["hazel"]}})
	assert.Equal(t, http.StatusUnprocessableEntity, status, "and the other way round")
	_, page = near.get("/sign-in")
	assert.NotContains(t, page, "Olan")
	rowan := s.signedIn("rowan")
	_, page = rowan.get("/devices")
	assert.NotContains(t, page, "Far table")
	status, _, _ = rowan.post("/devices/far-device/revoke", nil)
	assert.Equal(t, http.StatusNotFound, status)
	// A session begun on one tablet is none on the other.
	near.pins("hazel")
	moved := s.holding(map[string]string{deviceCookie: token, sessionCookie: near.cookie(sessionCookie)})
	status, _ = moved.get("/grooms")
	assert.Equal(t, http.StatusSeeOther, status)
}

func TestPINsAreNotFoundByTrying(t *testing.T) {
	s := newSalon(t)
	s.withPINs("hazel", "jory")
	table := s.tablet("Table 1")
	send := func(login, pin string) (int, string) {
		status, body, _ := table.post("/sign-in/pin", s.byPIN(login, pin))
		return status, main(body)
	}
	for _, short := range []string{"", "50827", "5082744", "a08274"} {
		status, _ := send("hazel", short)
		assert.Equal(t, http.StatusUnprocessableEntity, status)
	}
	_, body := send("hazel", "000001")
	assert.Contains(t, body, "Try again: 3 tries are left.", "what is no PIN at all is no try, what has six signs is one")
	assert.Regexp(t, `value="`+s.keys["hazel"]+`" checked`, body, "who was chosen stays chosen")
	assert.NotContains(t, body, "000001")
	s.restart()
	s.clock.add(48 * time.Hour)
	send("hazel", "000002")
	_, body = send("hazel", "000003")
	assert.Contains(t, body, "One more try, then it takes your password.")
	_, body = send("hazel", "000004")
	assert.Contains(t, body, "This was the fifth wrong PIN.")
	s.restart()
	for range 3 {
		status, body := send("hazel", testPINs["hazel"])
		assert.Equal(t, http.StatusUnprocessableEntity, status, "the right one is not looked at any more")
		assert.Contains(t, body, "The PIN was wrong five times on this tablet.")
	}
	assert.Len(t, s.records("person.pin_tries_spent"), 1)
	table.pins("jory")
	other := s.tablet("Table 2")
	other.pins("hazel")

	table.switched()
	status, _, _ := table.post("/sign-in", url.Values{"login": {"hazel"}, "password": {testPassword}})
	require.Equal(t, http.StatusSeeOther, status)
	table.switched()
	table.pins("hazel") // after the password the PIN works again
}

func TestThePINKeyIsGone(t *testing.T) {
	s := newSalon(t)
	s.withPINs("hazel")
	table := s.tablet("Table 1")
	require.NoError(t, os.Remove(filepath.Join(s.dir, store.PINKeyFile)))
	status, body, _ := table.post("/sign-in/pin", s.byPIN("hazel", testPINs["hazel"]))
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "No PIN can be checked just now.")
	_, err := os.Stat(filepath.Join(s.dir, store.PINKeyFile))
	assert.ErrorIs(t, err, fs.ErrNotExist, "a key that checks nothing is not made")
	s.withPINs("hazel")
	status, _, _ = table.post("/sign-in", url.Values{"login": {"hazel"}, "password": {testPassword}})
	require.Equal(t, http.StatusSeeOther, status)
	table.switched()
	table.pins("hazel")
}

func TestChoosingAPIN(t *testing.T) {
	s := newSalon(t)
	jory := s.signedIn("jory")
	for _, c := range []struct{ pin, password, problem string }{
		{"", testPassword, "A PIN is six digits"}, {"123456", testPassword, "counts up or down"},
		{testPINs["jory"], "", "Enter your password."}, {testPINs["jory"], "not the password", "This is not your password."},
	} {
		status, body, _ := jory.post("/account/pin", url.Values{"new_pin": {c.pin}, "password": {c.password}})
		assert.Equal(t, http.StatusUnprocessableEntity, status)
		assert.Contains(t, body, c.problem)
		for _, secret := range []string{testPINs["jory"], "123456", "not the password"} {
			assert.NotContains(t, main(body), secret, "a secret is never sent back")
		}
	}
	assert.Empty(t, s.records("person.pin_set"))
	s.withPINs("jory")
	_, page := jory.get("/account")
	assert.Contains(t, page, "You have one.")
	_, page = s.signedIn("wren").get("/account")
	assert.Contains(t, page, "You have none yet.")
	status, body, _ := jory.post("/account", url.Values{"old_password": {testPassword}, "new_password": {"three warm blankets"}})
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, page = jory.get("/account")
	assert.Contains(t, page, "You have none yet.", "the PIN goes with the password")
}

func TestPINProblem(t *testing.T) {
	for pin, problem := range map[string]string{
		"": "six digits", "12345": "six digits", "1234567": "six digits", "12 456": "six digits", "１２３４５６": "six digits", "73946a": "six digits",
		"000000": "one digit six times", "777777": "one digit six times",
		"121212": "repeats itself", "909090": "repeats itself", "739739": "repeats itself",
		"123456": "counts up or down", "345678": "counts up or down", "567890": "counts up or down", "789012": "counts up or down",
		"654321": "counts up or down", "210987": "counts up or down",
		"310199": "a date", "290200": "a date", "123199": "a date", "990131": "a date", "010100": "a date",
		"739461": "", "508274": "", "320199": "", "311399": "", "135792": "",
	} {
		if problem == "" {
			assert.Empty(t, pinProblem(pin), pin)
		} else {
			assert.Contains(t, pinProblem(pin), problem, pin)
		}
	}
}
