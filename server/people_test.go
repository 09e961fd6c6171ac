package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func person(name, login, role, start string) url.Values {
	return url.Values{"name": {name}, "login": {login}, "role": {role}, "start_day": {start}}
}

func TestWhoHasLeft(t *testing.T) {
	s := newSalon(t)
	rowan, hazel := s.signedIn("rowan"), s.signedIn("hazel")
	at := "/people/" + s.keys["hazel"]
	status, body, to := rowan.post(at+"/left", url.Values{"last_day": {"2026-05-20"}})
	require.Equal(t, http.StatusSeeOther, status, main(body))
	assert.Equal(t, "/people", to)
	_, page := rowan.get("/people")
	assert.Contains(t, page, "Hazel has left, and cannot sign in any more.")
	here, left, ok := strings.Cut(main(page), "<h2>Have left</h2>")
	require.True(t, ok)
	assert.NotContains(t, here[strings.Index(here, "<h2>"):], "hazel")
	assert.Contains(t, left, "left 20 May 2026")
	assert.NotContains(t, left, "/code")

	status, _ = hazel.get("/")
	assert.Equal(t, http.StatusSeeOther, status, "signed out at once")
	status, _, _ = s.visitor().post("/sign-in", url.Values{"login": {"hazel"}, "password": {testPassword}})
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	status, body, _ = rowan.post(at+"/left", url.Values{"last_day": {"2026-05-19"}})
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "Hazel has left already, on 20 May 2026.")

	status, page, _ = rowan.post(at+"/back", nil)
	require.Equal(t, http.StatusOK, status)
	code := oneTime(t, page)
	status, _ = hazel.get("/")
	assert.Equal(t, http.StatusSeeOther, status, "an old session does not come back with them")
	status, _, _ = s.visitor().post("/sign-in", url.Values{"login": {"hazel"}, "password": {testPassword}})
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	status, body, _ = s.visitor().post("/welcome", url.Values{"login": {"hazel"}, "code": {code}, "password": {"three warm blankets"}})
	assert.Equal(t, http.StatusSeeOther, status, main(body))
}

func TestCorrectAPerson(t *testing.T) {
	s := newSalon(t)
	rowan, wren := s.signedIn("rowan"), s.signedIn("wren")
	at := "/people/" + s.keys["wren"]
	_, page := rowan.get("/people")
	assert.Contains(t, page, `<a href="`+at+`">Change<span class="vh"> Wren</span></a>`)
	_, page = rowan.get(at)
	assert.Contains(t, page, `value="Wren"`)
	status, body, _ := rowan.post(at, person("Wren Moss", "wmoss", "assessor", ""))
	require.Equal(t, http.StatusSeeOther, status, main(body))
	status, page = wren.get("/people")
	assert.Equal(t, http.StatusOK, status, "the role holds at once, and the session goes on")
	assert.True(t, strings.Contains(page, "Wren Moss") && strings.Contains(page, "wmoss"))
	s.signedIn("wmoss")

	status, body, _ = rowan.post(at, person("Wren Moss", "hazel", "assessor", ""))
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	keeps(t, body, "hazel", 1)
	assert.Contains(t, body, "This login is taken.")

	rowan.mark(s.wholeGroom("jory", "Biscuit 17"))
	status, body, _ = rowan.post("/people/"+s.keys["jory"], person("Jory Pell", "jory", "assessor", "2026-01-07"))
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "so the role stays Apprentice.")
	keeps(t, body, "Jory Pell", 1)
	status, body, _ = rowan.post("/people/"+s.keys["jory"], person("Jory Pell", "jory", "apprentice", "2026-01-07"))
	assert.Equal(t, http.StatusSeeOther, status, main(body))
	_, page = rowan.get("/people")
	assert.Contains(t, page, "since 7 January 2026")

	_, page = rowan.get("/apprentices/" + s.keys["jory"])
	assert.Contains(t, page, `None is set. <a href="/people/`+s.keys["jory"]+`">Set it</a>`)
	planned := person("Jory Pell", "jory", "apprentice", "2026-01-07")
	planned.Set("end_day", "2026-01-06")
	status, body, _ = rowan.post("/people/"+s.keys["jory"], planned)
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "The planned last day, 6 January 2026, is not after the first, 7 January 2026.")
	keeps(t, body, "2026-01-06", 1)
	planned.Set("end_day", "2027-07-06")
	status, body, _ = rowan.post("/people/"+s.keys["jory"], planned)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, page = rowan.get("/apprentices/" + s.keys["jory"])
	assert.Contains(t, page, "of 78")
	assert.Contains(t, page, "<dd>6 July 2027</dd>")
	assert.Contains(t, page, "To end as planned, ")
	status, _ = rowan.get("/people/nobody")
	assert.Equal(t, http.StatusNotFound, status)
}

func TestSomebodyStaysHeadGroomer(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	own := "/people/" + s.keys["rowan"]
	const sentence = "Rowan Ash is the only head groomer here. Make somebody else head groomer first."
	status, body, _ := rowan.post(own, person("Rowan Ash", "rowan", "assessor", ""))
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, sentence)
	status, body, _ = rowan.post(own+"/left", url.Values{"last_day": {"2026-05-20"}})
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, sentence)
	status, body, _ = rowan.post("/people/"+s.keys["hazel"], person("Hazel", "hazel", "head_groomer", ""))
	require.Equal(t, http.StatusSeeOther, status, main(body))
	status, body, to := rowan.post(own, person("Rowan Ash", "rowan", "apprentice", ""))
	require.Equal(t, http.StatusSeeOther, status, main(body))
	assert.Equal(t, "/", to, "the list is not theirs to see any more")
	status, _ = rowan.get(own)
	assert.Equal(t, http.StatusForbidden, status)
}

func TestOwnAccount(t *testing.T) {
	s := newSalon(t)
	jory, elsewhere := s.signedIn("jory"), s.signedIn("jory")
	_, page := jory.get("/")
	assert.Contains(t, page, `href="/account"`)
	const next = "three warm blankets"
	send := func(old, password string) (int, string) {
		status, body, _ := jory.post("/account", url.Values{"old_password": {old}, "new_password": {password}})
		return status, body
	}
	for _, c := range []struct{ old, next, problem string }{
		{"", next, "Enter the password you sign in with now."},
		{"not the password", next, "This is not your password. Try again."},
		{testPassword, "short", "use at least 12"},
		{testPassword, testPassword, "the password you have already"},
	} {
		status, body := send(c.old, c.next)
		assert.Equal(t, http.StatusUnprocessableEntity, status)
		assert.Contains(t, body, c.problem)
		assert.NotContains(t, body, next, "a password is never sent back")
	}
	status, body := send(testPassword, next)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	status, page = jory.get("/account")
	assert.Equal(t, http.StatusOK, status, "here they stay")
	assert.Contains(t, page, "Your password is changed.")
	status, _ = elsewhere.get("/account")
	assert.Equal(t, http.StatusSeeOther, status, "elsewhere not")
	status, _, _ = s.visitor().post("/sign-in", url.Values{"login": {"jory"}, "password": {testPassword}})
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	status, _, _ = s.visitor().post("/sign-in", url.Values{"login": {"jory"}, "password": {next}})
	assert.Equal(t, http.StatusSeeOther, status)
	for range 4 {
		send("not the password", next+" more")
	}
	_, body = send(next, next+" more")
	assert.Contains(t, body, tooMany)
}
