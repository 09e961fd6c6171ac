package server

import (
	"encoding/json"
	"html"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/server/store"
)

// notByPIN are the routes for which a PIN is not enough.
var notByPIN = []string{
	"POST /apprentices/:apprentice/skills/:skill/permission", "POST /apprentices/:apprentice/skills/:skill/check", "POST /apprentices/:apprentice/skills/:skill/review",
	"POST /grooms/signed/:groom/acknowledge", "POST /grooms/signed/:groom/answer", "POST /exercises/:exercise/adopt",
	"POST /phrases", "POST " + signedPhotos + "/:photo/withdraw", "POST /skills/:skill/policy", "POST /programme/rules/:rule", "GET /export", "POST /export/workbook",
	"GET /people", "POST /people", "GET /people/:person", "POST /people/:person", "POST /people/:person/left", "POST /people/:person/back", "POST /people/:person/code",
	"GET /devices", "POST /devices", "POST /devices/:device/revoke", "GET /account", "POST /account", "POST /account/pin", "POST /account/pin/remove",
}

// asking are the forms that ask for the password themselves, and byPIN those for
// which a PIN is enough: drafts, and what an apprentice tells of their own work.
var (
	asking = []string{"POST /apprentices/:apprentice/skills/:skill/holds/:hold", "POST /apprentices/:apprentice/skills/:skill/propose", "POST /grooms/drafts/:draft/sign",
		"POST /signoffs/:signoff/decide", "POST /logbook/countersign", "POST /logbook/:entry/deny", "POST /password"}
	byPIN = []string{"POST /grooms/new", "POST /grooms/drafts/:draft", "POST /grooms/drafts/:draft/cut-plan", "POST /grooms/drafts/:draft/discard",
		"POST " + draftPhotos, "POST " + draftPhotos + "/:photo/withdraw", "POST " + signedPhotos, "POST /grooms/signed/:groom/correct", "POST /grooms/second",
		"POST /grooms/signed/:groom/self", "POST /grooms/signed/:groom/show", "POST /exercises", "POST /exercises/:exercise", "POST /logbook/new"}
)

// Every route, every role, by PIN: as by password, but for what a PIN is not
// enough for. Whose role may not do a thing is not asked for the password first.
func TestRolesAndRoutesByPIN(t *testing.T) {
	s := newSalon(t)
	s.withPINs("rowan", "hazel", "jory", "wren", "lark")
	own, want := s.addresses(s.signedIn("rowan")), bareVisits()
	table := s.tablet("Table 1")
	asks := map[string]bool{}
	for _, name := range notByPIN {
		require.Contains(t, want, name)
		asks[name] = true
	}
	want["GET /password"] = [6]int{0, 200, 200, 200, 200, 200} // who signed in by password is led on
	role := map[string]assessment.Role{"rowan": assessment.HeadGroomer, "hazel": assessment.Assessor, "jory": assessment.Apprentice, "wren": assessment.Apprentice, "lark": assessment.Auditor}
	for _, r := range routes {
		name := r.method + " " + r.path
		if r.method == http.MethodPost && !r.policy.public {
			said := asks[name] || slices.Contains(asking, name) || slices.Contains(byPIN, name)
			require.True(t, said, "say whether a PIN is enough for %s, or whether its form asks for the password", name)
		}
		for i, login := range roles[1:] {
			visitor := s.holding(map[string]string{deviceCookie: table.cookie(deviceCookie)}).pins(login)
			status, _, to := visitor.do(r.method, own.Replace(r.path), url.Values{})
			switch has := want[name][i+1]; {
			case !asks[name] || has == http.StatusForbidden && !slices.Contains(r.policy.roles, role[login]):
				assert.Equal(t, has, status, "%s as %s", name, login)
			case r.method == http.MethodGet:
				assert.True(t, status == http.StatusSeeOther && strings.HasPrefix(to, "/password?next="), "%s as %s: %d %s", name, login, status, to)
			default:
				assert.Equal(t, http.StatusUnauthorized, status, "%s as %s", name, login)
			}
		}
	}
}

// The password is asked for once; then it goes on where it was going.
func TestThePasswordIsAskedForOnce(t *testing.T) {
	s := newSalon(t)
	s.withPINs("rowan")
	table := s.tablet("Table 1").pins("rowan")
	_, _, to := table.do(http.MethodGet, "/people?x=1", nil)
	assert.Equal(t, "/password?next=%2Fpeople%3Fx%3D1", to)
	_, page := table.get(to)
	form := hidden(page)
	weak := table.cookie(sessionCookie)
	for _, wrong := range []string{"", "not the password", testPINs["rowan"]} {
		status, body, _ := table.post("/password", with(form, "password", wrong))
		assert.Equal(t, http.StatusUnprocessableEntity, status)
		assert.Equal(t, form.Get("next"), hidden(body).Get("next"), "and where it was going is kept")
	}
	status, body, to := table.post("/password", with(form, "password", testPassword))
	require.Equal(t, http.StatusSeeOther, status, main(body))
	assert.Equal(t, "/people?x=1", to)
	status, _ = table.get(to)
	assert.Equal(t, http.StatusOK, status)
	status, _ = table.get("/export")
	assert.Equal(t, http.StatusOK, status, "once")
	_, _, to = table.do(http.MethodGet, "/password?next=%2Fmatrix", nil)
	assert.Equal(t, "/matrix", to, "and not again")

	strong := table.cookie(sessionCookie)
	assert.NotEqual(t, weak, strong)
	old := s.holding(map[string]string{deviceCookie: table.cookie(deviceCookie), sessionCookie: weak})
	status, _ = old.get("/")
	assert.Equal(t, http.StatusSeeOther, status, "the token before is dead")
	for _, next := range []string{"//elsewhere.test", "/\\elsewhere.test", "https://elsewhere.test/"} {
		_, _, to = table.do(http.MethodGet, "/password?next="+url.QueryEscape(next), nil)
		assert.Equal(t, "/", to, next)
	}
}

// A form waits while the password is asked for, with everything that was typed
// in it but what must not be seen again.
func TestAFormWaitsForThePassword(t *testing.T) {
	s := newSalon(t)
	s.withPINs("rowan")
	table := s.tablet("Table 1").pins("rowan")
	at := "/skills/NE4/policy"
	_, page := table.get("/skills/NE4")
	form := with(hidden(page), "policy", "allowed", "day", "2026-05-01", "note", "Long-coated ears only. <b>&</b>\r\nTwice.")
	status, body, _ := table.post(at, form)
	assert.Equal(t, http.StatusUnauthorized, status)
	assert.Contains(t, body, "This takes your password, once")
	assert.Contains(t, body, `action="`+at+`"`)
	waiting := hiddenText(body)
	status, body, _ = table.post(at, with(waiting, "password", "not the password"))
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	keeps(t, body, "Long-coated ears only.", 1)
	assert.NotContains(t, body, "not the password")
	status, body, to := table.post(at, with(hiddenText(body), "password", testPassword))
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, page = table.get(to)
	assert.Contains(t, page, "The salon&#39;s decision is recorded.")
	assert.Contains(t, page, "Long-coated ears only. &lt;b&gt;&amp;&lt;/b&gt;")
	assert.Contains(t, strings.Join(s.records("policy.set"), ""), `"method":"password"`)

	// What is signed in its own form is signed by password, however the session
	// began.
	table.switched()
	table.pins("rowan").mark(s.wholeGroom("jory", "Biscuit 17"))
	assert.Contains(t, strings.Join(s.records("groom.signed"), ""), `"method":"password"`)
	status, _ = table.get("/people")
	assert.Equal(t, http.StatusSeeOther, status, "which makes no other session of it")
	status, _, _ = table.post("/account/pin", url.Values{"new_pin": {"508274"}, "password": {"not the password"}})
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Len(t, s.records("person.pin_set"), 1)
}

// hiddenText reads the hidden fields of a page as a browser would send them,
// several of a name and with their text read back.
func hiddenText(body string) url.Values {
	out := url.Values{}
	for _, m := range hiddenInput.FindAllStringSubmatch(body, -1) {
		out.Add(m[1], html.UnescapeString(m[2]))
	}
	return out
}

// A starts, B takes the tablet over, A's tab sends what stands in it.
func TestAStaleTabWritesForNobody(t *testing.T) {
	s := newSalon(t)
	s.withPINs("rowan", "hazel")
	table := s.tablet("Table 1").pins("rowan")
	_, _, draft := table.post("/grooms/new", url.Values{"apprentice": {s.keys["jory"]}, "day": {"2026-05-20"}, "dog": {"Moss"}, "service": {"full"}})
	_, page := table.get(draft)
	stale := hidden(page)
	assert.Equal(t, s.keys["rowan"], stale.Get("author"))
	status, _, _ := table.post(draft, with(stale, "keep", "Calm at the loop", "action", "save"))
	require.Equal(t, http.StatusSeeOther, status)
	first := table.cookie(sessionCookie)
	_, page = table.get("/grooms/new")
	begun := with(hidden(page), "apprentice", s.keys["jory"], "day", "2026-05-20", "dog", "Fern", "service", "full")

	table.switched()
	status, body, _ := table.post(draft, with(stale, "keep", "Written late", "action", "save"))
	assert.Equal(t, http.StatusUnauthorized, status, "nobody is signed in")
	late := hidden(body)
	status, _, to := table.post("/sign-in/pin", with(late, "person", s.keys["hazel"], "own_pin", testPINs["hazel"]))
	require.Equal(t, http.StatusSeeOther, status)
	assert.Equal(t, "/", to, "where A was is not for B")
	for what, form := range map[string]url.Values{
		draft: with(stale, "keep", "Written late", "action", "save"), draft + "/discard": stale, "/grooms/new": begun,
	} {
		status, body, _ = table.post(what, form)
		assert.Equal(t, http.StatusForbidden, status, what)
		assert.Contains(t, body, "It was opened by another person, and Hazel is signed in now. Nothing was saved or changed in anybody&#39;s name.")
		assert.NotContains(t, body, "Rowan", "whose page it was is not said")
		assert.NotContains(t, main(body), "Written late")
	}
	status, _, _ = table.post(draft, with(stale, "action", "autosave"))
	assert.Equal(t, http.StatusForbidden, status, "nor does a script")
	status, _ = table.get(draft)
	assert.Equal(t, http.StatusNotFound, status)
	_, page = table.get("/grooms")
	assert.NotContains(t, page, "Fern")
	assert.NotContains(t, page, "Moss")
	old := s.holding(map[string]string{deviceCookie: table.cookie(deviceCookie), sessionCookie: first})
	status, _ = old.get("/")
	assert.Equal(t, http.StatusSeeOther, status, "A's token is dead")

	table.switched()
	table.pins("rowan")
	_, page = table.get(draft)
	assert.True(t, strings.Contains(page, "Calm at the loop") && !strings.Contains(page, "Written late"), "the draft is A's, as it was saved")
	d, err := s.store.Draft(t.Context(), table.scope(), strings.TrimPrefix(draft, "/grooms/drafts/"))
	require.NoError(t, err)
	assert.NotContains(t, d.Form, "author")
}

// A shared tablet locks itself; who typed goes on with what they typed, and
// nobody else does.
func TestSharedTabletLocksItself(t *testing.T) {
	s := newSalon(t)
	s.withPINs("rowan", "hazel")
	table := s.tablet("Table 1").pins("rowan")
	_, _, draft := table.post("/grooms/new", url.Values{"apprentice": {s.keys["jory"]}, "day": {"2026-05-20"}, "dog": {"Moss"}, "service": {"full"}})
	_, page := table.get(draft)
	form := with(hidden(page), "keep", "Calm at the loop", "action", "save")
	form["prep"] = []string{"armpits", "tail_base"}
	for range 5 {
		s.clock.add(idleLimit - time.Second)
		status, _ := table.get(draft)
		require.Equal(t, http.StatusOK, status, "whoever does something stays")
	}
	s.clock.add(idleLimit)
	before := table.cookie(sessionCookie)
	status, _, to := table.do(http.MethodGet, draft, nil)
	assert.Equal(t, [2]any{http.StatusSeeOther, "/sign-in?next=" + url.QueryEscape(draft)}, [2]any{status, to})
	_, page = table.get(to)
	assert.NotContains(t, page, "Switch person", "nobody is signed in")
	asB := hidden(page)

	status, body, _ := table.post(draft, form)
	assert.Equal(t, http.StatusUnauthorized, status)
	assert.Contains(t, body, "Are you Rowan Ash? Then unlock it")
	assert.Contains(t, body, `name="own_pin"`)
	waiting := hiddenText(body)
	for name, v := range map[string][]string{"keep": {"Calm at the loop"}, "prep": {"armpits", "tail_base"}, "action": {"save"}, "author": {s.keys["rowan"]}} {
		assert.Equal(t, v, waiting[name][:len(v)], name)
	}
	status, body, _ = table.post(draft, with(waiting, "own_pin", testPINs["hazel"]))
	assert.Equal(t, http.StatusUnprocessableEntity, status, "the PIN of somebody else")
	keeps(t, body, "Calm at the loop", 1)
	assert.Contains(t, body, "4 tries are left", "counted like any other")
	status, body, to = table.post(draft, with(hiddenText(body), "own_pin", testPINs["rowan"]))
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, page = table.get(to)
	assert.Contains(t, page, "Calm at the loop")
	assert.NotEqual(t, before, table.cookie(sessionCookie), "under a new token")

	s.clock.add(idleLimit)
	status, _, to = table.post("/sign-in/pin", with(asB, "person", s.keys["hazel"], "own_pin", testPINs["hazel"]))
	assert.Equal(t, [2]any{http.StatusSeeOther, "/"}, [2]any{status, to}, "somebody else does not land where it was locked")
	s.clock.add(idleLimit)
	status, body, _ = table.post(draft, form)
	assert.Equal(t, http.StatusForbidden, status, "locked for B, it is not unlocked for A's page")
	assert.NotContains(t, body, "Hazel")
}

// Photos are sent with their page's person too, by PIN as well, and do not wait
// in a page.
func TestPhotosOnASharedTablet(t *testing.T) {
	s := newSalon(t)
	s.withPINs("rowan", "hazel")
	table := s.tablet("Table 1").pins("rowan")
	draft, _ := table.begin(s.wholeGroom("jory", "Moss 2"))
	_, page := table.get(draft + "/photos")
	form := with(hidden(page), "kind", "before")
	files := map[string][]byte{"file": shot(40, 30, 90)}
	status, body, _ := table.upload(draft+"/photos", form, files)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	s.clock.add(idleLimit)
	form.Set("client_id", "later")
	status, body, _ = table.upload(draft+"/photos", form, files)
	assert.Equal(t, http.StatusUnauthorized, status)
	assert.NotContains(t, body, "is still here")
	receipt := s.signedIn("hazel").mark(s.wholeGroom("jory", "Fern 9"))
	table.pins("hazel")
	status, body, _ = table.upload(receipt+"/photos", form, files)
	assert.Equal(t, http.StatusForbidden, status)
	assert.Contains(t, body, "It was opened by another person")
	form.Set("author", s.keys["hazel"])
	status, body, _ = table.upload(receipt+"/photos", form, files)
	assert.Equal(t, http.StatusSeeOther, status, main(body))
	assert.Equal(t, []string{"pin", "pin"}, methods(t, s.records("photo.added")))
}

func methods(t *testing.T, details []string) (out []string) {
	for _, detail := range details {
		var d struct{ Method string }
		require.NoError(t, json.Unmarshal([]byte(detail), &d))
		out = append(out, d.Method)
	}
	return out
}

// A password typed into a form that took its time is proof enough.
func TestSigningAfterALongLook(t *testing.T) {
	s := newSalon(t)
	s.withPINs("rowan")
	table := s.tablet("Table 1").pins("rowan")
	draft, sent := table.begin(s.wholeGroom("jory", "Moss 2"))
	_, _, to := table.post(draft, with(sent, "action", "read_back"))
	_, page := table.get(to)
	s.clock.add(3 * idleLimit)
	status, body, receipt := table.post(draft+"/sign", with(hidden(page), "password", testPassword))
	require.Equal(t, http.StatusSeeOther, status, main(body))
	assert.Contains(t, receipt, "/grooms/signed/")
}

// A machine of one's own does not lock itself, and a session on a tablet ends
// with the PIN it was begun with.
func TestWhereSessionsEnd(t *testing.T) {
	s := newSalon(t)
	s.withPINs("jory")
	table, own := s.tablet("Table 1").pins("jory"), s.signedIn("jory")
	s.clock.add(idleLimit / 2)
	status, _, _ := own.post("/account/pin", url.Values{"new_pin": {"618350"}, "password": {testPassword}})
	require.Equal(t, http.StatusSeeOther, status)
	status, _ = table.get("/")
	assert.Equal(t, http.StatusSeeOther, status)
	s.clock.add(2 * time.Hour)
	status, _ = own.get("/")
	assert.Equal(t, http.StatusOK, status)
	status, _, _ = table.post("/sign-in/pin", s.byPIN("jory", "618350"))
	require.Equal(t, http.StatusSeeOther, status)
	status, _, _ = own.post("/account/pin/remove", nil)
	require.Equal(t, http.StatusSeeOther, status)
	status, _ = table.get("/")
	assert.Equal(t, http.StatusSeeOther, status)
	_, page := table.get("/sign-in")
	assert.NotContains(t, page, "Jory")
	status, _, _ = table.post("/sign-in", url.Values{"login": {"jory"}, "password": {testPassword}})
	require.Equal(t, http.StatusSeeOther, status)
	s.clock.add(idleLimit)
	status, body, _ := table.post("/account/pin/remove", nil)
	assert.Equal(t, http.StatusUnauthorized, status, "by password too, a shared tablet locks itself")
	assert.NotContains(t, body, `name="own_pin"`, "who has no PIN unlocks with the password")
	status, _, _ = table.post("/account/pin/remove", with(hiddenText(body), "password", testPassword))
	assert.Equal(t, http.StatusSeeOther, status)
	for _, kind := range []string{"person.pin_set", "person.pin_removed"} {
		for _, detail := range s.records(kind) {
			assert.Equal(t, `{"method":"`+store.ByPassword+`"}`, detail, kind)
		}
	}
}

// A token from before the sign-in is worth nothing after it, and nothing of the
// person before is carried along.
func TestEachSwitchHasANewToken(t *testing.T) {
	s := newSalon(t)
	s.withPINs("rowan", "hazel")
	table := s.tablet("Table 1")
	seen := map[string]bool{}
	for range 2 {
		for _, login := range []string{"rowan", "hazel"} {
			table.pins(login) // without switching first
			token := table.cookie(sessionCookie)
			assert.False(t, seen[token])
			seen[token] = true
			table.post("/grooms/new", nil)
		}
	}
	for token := range seen {
		r := s.holding(map[string]string{deviceCookie: table.cookie(deviceCookie), sessionCookie: token})
		status, _ := r.get("/")
		assert.Equal(t, token == table.cookie(sessionCookie), status == http.StatusOK)
	}
	_, page := table.get("/")
	require.Contains(t, page, "Hazel")
	status, _, _ := table.post("/grooms/new", url.Values{"apprentice": {s.keys["jory"]}, "day": {"2026-05-20"}, "dog": {"Moss"}, "service": {"full"}})
	require.Equal(t, http.StatusSeeOther, status)
	_, _, draft := table.post("/grooms/new", url.Values{"apprentice": {s.keys["jory"]}, "day": {"2026-05-20"}, "dog": {"Moss"}, "service": {"full"}})
	_, page = table.get(draft)
	status, _, _ = table.post(draft, with(hidden(page), "action", "save")) // leaves a notice for the next page
	require.Equal(t, http.StatusSeeOther, status)
	table.pins("rowan")
	_, page = table.get("/")
	assert.NotContains(t, page, "Nothing is signed yet.")
}

// Everything a signed-in person is answered is kept by no browser.
func TestNothingIsKeptByTheBrowser(t *testing.T) {
	s := newSalon(t)
	s.withPINs("rowan")
	table := s.tablet("Table 1").pins("rowan")
	for _, path := range []string{"/", "/matrix", "/grooms/new", "/sign-in", "/password", "/nowhere"} {
		res, err := table.client.Get(s.http.URL + path)
		require.NoError(t, err)
		res.Body.Close()
		assert.Contains(t, strings.Join(res.Header.Values("Cache-Control"), ","), "no-store", path)
	}
}
