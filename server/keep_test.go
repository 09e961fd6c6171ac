package server

import (
	"encoding/json"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// saved is the version that an autosave is answered with.
func saved(t *testing.T, body string) int {
	t.Helper()
	var answer struct{ Version int }
	require.NoError(t, json.Unmarshal([]byte(body), &answer), body)
	return answer.Version
}

// A page whose answer was lost goes on from its own save, with what it changed
// meanwhile; anybody else's save in between stays a conflict.
func TestASaveWhoseAnswerWasLostIsNoConflict(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	draft, sent := rowan.begin(s.wholeGroom("jory", "Moss 2"))
	sent.Set("action", "autosave")
	id, other := strings.Repeat("a1", 16), strings.Repeat("b2", 16)
	try := func(number, keep, id string) (int, string) {
		status, body, _ := rowan.post(draft, with(sent, "keep", keep, "save_id", id, "save_try", number))
		return status, body
	}
	status, body := try("1", "first", id)
	require.Equal(t, http.StatusOK, status, body)
	assert.Equal(t, 2, saved(t, body))
	_, body = try("1", "first", id)
	assert.Equal(t, 2, saved(t, body), "sent twice, saved once")
	status, body = try("3", "third", id)
	require.Equal(t, http.StatusOK, status, "more was written before the second try")
	assert.Equal(t, 3, saved(t, body))
	status, _ = try("2", "second", id)
	assert.Equal(t, http.StatusConflict, status, "an older try comes late")
	_, page := rowan.get(draft)
	assert.Contains(t, page, ">third</textarea>")
	assert.Contains(t, page, `data-saved-as="`+id+`"`)
	assert.NotContains(t, page, `name="save_`, "how it was sent is no entry")

	for _, bad := range []string{"", "A1", strings.Repeat("g", 32), id + "0"} {
		status, _ = try("9", "not known again", bad)
		assert.Equal(t, http.StatusConflict, status, "id %q", bad)
	}
	for _, bad := range []string{"", "0", "-4", "4.5", "99999999999999999999"} {
		status, _ = try(bad, "not known again", id)
		assert.Equal(t, http.StatusConflict, status, "try %q", bad)
	}
	status, _, _ = rowan.post(draft, with(sent, "base_version", "3", "keep", "another window", "save_id", other, "save_try", "1"))
	require.Equal(t, http.StatusOK, status)
	status, _ = try("10", "mine", id)
	assert.Equal(t, http.StatusConflict, status, "another window saved in between")
}

// The tablet changed hands while a form was open: nothing of it is saved under
// the next person's name, and the draft is not said to be gone.
func TestNobodySavesAnotherPersonsPage(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	draft, sent := rowan.begin(s.wholeGroom("jory", "Moss 2"))
	require.Equal(t, s.keys["rowan"], sent.Get("author"))
	for _, login := range []string{"hazel", "jory", "lark"} {
		other := s.signedIn(login)
		for _, action := range []string{"autosave", "save", "read_back", "add_incident", "drop_incident.0"} {
			status, body, _ := other.post(draft, with(sent, "action", action, "keep", "canary"))
			assert.Equal(t, http.StatusForbidden, status, "%s, %s", login, action)
			assert.NotContains(t, body, "canary")
			assert.NotContains(t, body, "discarded")
		}
		status, _, _ := other.post(draft+"/discard", sent)
		assert.Equal(t, http.StatusForbidden, status, login)
	}
	_, body, _ := s.signedIn("hazel").post(draft, with(sent, "action", "save"))
	assert.Contains(t, body, "This page was somebody else")
	_, page := rowan.get(draft)
	assert.Contains(t, page, `name="base_version" value="1"`)

	// Even on a draft of one's own: what is sent is another person's.
	hazel := s.signedIn("hazel")
	own, _ := hazel.begin(s.wholeGroom("jory", "Fern 9"))
	status, _, _ := hazel.post(own, with(sent, "action", "autosave"))
	assert.Equal(t, http.StatusForbidden, status)
}
