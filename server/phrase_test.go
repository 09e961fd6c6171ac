package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
)

// Without a script the buttons of the form do their work through the server, and
// what was typed besides stays.
func TestTouchesWithoutAScript(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	at, _ := rowan.begin(s.wholeGroom("jory", "Biscuit 17"))
	_, page := rowan.get(at)
	assert.Contains(t, page, "The clock has not been started.")
	assert.Contains(t, page, "Bevel the foot all round, pads last.", "the programme's phrases until the salon has its own")

	press := func(action string, more ...string) string {
		t.Helper()
		_, page := rowan.get(at)
		form := s.wholeGroom("jory", "Biscuit 17")
		for name, values := range hidden(page) {
			form[name] = values
		}
		for i := 0; i < len(more); i += 2 {
			form.Set(more[i], more[i+1])
		}
		form.Set("action", action)
		status, body, to := rowan.post(at, form)
		require.Equal(t, http.StatusSeeOther, status, main(body))
		_, page = rowan.get(at)
		return to + "\n" + page
	}
	page = press("phrase.change.3", "change", "Slow down.")
	assert.True(t, strings.HasPrefix(page, at+"#phrases-change"))
	assert.Contains(t, page, "Slow down. Bevel the foot all round, pads last.</textarea>")
	page = press("phrase.change.3", "change", "Bevel the foot all round, pads last.")
	assert.Equal(t, 1, strings.Count(page, "Bevel the foot all round, pads last.</textarea>"))
	assert.NotContains(t, page, "pads last. Bevel", "once is enough")
	press("phrase.dog.0")
	page = press("phrase.keep.99")
	assert.Contains(t, page, "Biscuit 17", "no such phrase: nothing happens")

	page = press("clock.start")
	assert.True(t, strings.HasPrefix(page, at+"#clock"))
	assert.Contains(t, page, "Running since 11:00.") // the test's clock stands at 11:00
}

// The clock against times worked by hand.
func TestTouchClock(t *testing.T) {
	form := url.Values{}
	touch := func(button string, hour, minute int) string {
		touchClock(form, button, assessment.Clock(60*hour+minute))
		return draftClock(form).Words
	}
	shown := func() (out []string) {
		for _, b := range draftClock(form).Buttons {
			if !b.Hidden {
				out = append(out, b.Does)
			}
		}
		return out
	}
	assert.Equal(t, []string{"start"}, shown())
	assert.Equal(t, "Running since 09:55.", touch("start", 9, 55))
	assert.Equal(t, []string{"break", "finish"}, shown())
	assert.Equal(t, "On a break since 10:10.", touch("break", 10, 10))
	assert.Equal(t, []string{"on", "finish"}, shown())
	assert.Equal(t, "Running since 09:55.", touch("on", 10, 22))
	assert.Equal(t, "12", form.Get("breaks"))
	touch("break", 11, 0)
	assert.Equal(t, "09:55 to 11:05: 53 minutes without breaks.", touch("finish", 11, 5), "70 minutes less 12 and 5")
	assert.Equal(t, "17", form.Get("breaks"))
	assert.Empty(t, shown())
	assert.Empty(t, form.Get("break_since"))
	touch("nonsense", 12, 0)
	assert.Equal(t, "11:05", form.Get("stop"))
}

func TestOwnPhrases(t *testing.T) {
	s := newSalon(t)
	rowan, hazel := s.signedIn("rowan"), s.signedIn("hazel")
	_, page := hazel.get("/phrases")
	form := with(hidden(page), "keep", "Gentle with the ears.\n\n  Clean table.  ", "change", "Slow down at the tuck-up.", "next", "")
	status, body, _ := hazel.post("/phrases", form)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	at, _ := rowan.begin(s.wholeGroom("jory", "Biscuit 17"))
	_, page = rowan.get(at)
	for _, says := range []string{">Gentle with the ears.<", ">Clean table.<", ">Slow down at the tuck-up.<"} {
		assert.Contains(t, page, says)
	}
	assert.NotContains(t, page, "Bevel the foot all round")
	assert.NotContains(t, page, "phrases-next", "none were wanted")

	for field, text := range map[string]string{"keep": strings.Repeat("Good.\n", 13), "next": strings.Repeat("x", 121)} {
		_, page = rowan.get("/phrases")
		status, body, _ = rowan.post("/phrases", with(hidden(page), "keep", "One.", "change", "Two.", "next", "Three.", field, text))
		assert.Equal(t, http.StatusUnprocessableEntity, status, field)
		keeps(t, body, strings.TrimSpace(text), 1)
	}
	_, page = rowan.get("/phrases")
	assert.Contains(t, page, "Gentle with the ears.", "nothing of it was taken")
}
