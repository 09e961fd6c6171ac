package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// draftOf begins a draft with everything in it and returns its address.
func (r *reader) draftOf(form url.Values) string {
	first := url.Values{}
	for _, name := range []string{"apprentice", "day", "dog", "service"} {
		first[name] = form[name]
	}
	status, body, draft := r.post("/grooms/new", first)
	require.Equal(r.s, http.StatusSeeOther, status, main(body))
	_, page := r.get(draft)
	sent := hidden(page)
	for name, v := range form {
		sent[name] = v
	}
	sent.Set("action", "cut_plan")
	status, body, to := r.post(draft, sent)
	require.Equal(r.s, http.StatusSeeOther, status, main(body))
	require.Equal(r.s, draft+"/cut-plan", to, "the draft is saved on the way to its plan")
	return draft
}

// A plan is written from the draft, held against the table, and stands on the
// read-back and on the signed groom.
func TestCutPlan(t *testing.T) {
	s := newSalon(t)
	rowan, jory := s.signedIn("rowan"), s.signedIn("jory")
	groom := s.wholeGroom("jory", "Biscuit 17")
	groom.Set("coat", "SI")
	draft := rowan.draftOf(groom)
	at := draft + "/cut-plan"
	_, page := rowan.get(at)
	assert.Contains(t, page, "Silky · matting 1 · the comb passed in 4 of 4 hidden places", "what the plan is judged by is said")
	assert.Contains(t, page, "Nothing is planned yet.")
	form := hidden(page)
	for name, v := range map[string]string{"cut.back.tool": "7F", "cut.back.direction": "with", "cut.back.agreed": "6,5 mm", "cut.back.skin": "sound",
		"cut.groin.tool": "7", "cut.groin.direction": "with", "cut.legs.tool": "c13", "cut.legs.direction": "with", "cut.legs.under": "40", "cut.tail.tool": "nothing known"} {
		form.Set(name, v)
	}
	status, body, to := rowan.post(at, form)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	assert.Equal(t, at, to)
	_, page = rowan.get(at)
	assert.Contains(t, page, "The plan is saved, with 2 things to change.")
	for _, want := range []string{"#7F with the lie", "about 6.4 mm, give or take 1 · agreed 6.5 mm · skin: sound", "Unsafe.", "#7 (skip-tooth) is unsafe on it", "Not here.", "#40 may not sit under the 13 mm comb. Take #30, #15 or #10."} {
		assert.Contains(t, page, want)
	}
	assert.Contains(t, page, `name="cut.back.agreed" type="text" value="6.5"`)
	assert.NotContains(t, page, `id="area-tail" open`, "a word that nobody offered is no plan")
	assert.Contains(t, page, `id="area-groin" open`)

	_, page = rowan.get(draft)
	assert.Contains(t, page, "Change the cut plan")
	assert.Contains(t, page, "is unsafe on it")
	stale := form
	form = hidden(func() string { _, page := rowan.get(at); return page }())
	form.Set("cut.back.tool", "7F")
	form.Set("cut.back.direction", "with")
	form.Set("cut.back.agreed", "6")
	form.Set("cut.face.skin", "broken") // what is left out is taken back: the groin and the legs are gone
	status, body, _ = rowan.post(at, form)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	stale.Set("cut.back.agreed", "20")
	status, body, _ = rowan.post(at, stale)
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "saved in another window since")
	assert.Contains(t, body, `value="20"`, "what was typed stays")
	again := hidden(body)
	assert.Equal(t, "2", again.Get("base_version"), "and can be sent again")

	_, page = rowan.get(draft)
	sent := hidden(page)
	for name, v := range groom {
		sent[name] = v
	}
	sent.Set("action", "read_back")
	_, _, to = rowan.post(draft, sent)
	_, page = rowan.get(to)
	assert.Contains(t, page, "<h2>Cut plan</h2>")
	assert.Contains(t, page, "about 6.4 mm, give or take 1 · agreed 6 mm")
	assert.Contains(t, page, "not clipped <span class=\"soft\">skin: broken, wet or sore")
	assert.NotContains(t, page, "Groin")
	sign := hidden(page)
	sign.Set("password", testPassword)
	status, body, receipt := rowan.post(draft+"/sign", sign)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, page = rowan.get(receipt)
	assert.Contains(t, page, "#7F with the lie")
	status, _, _ = jory.post(receipt+"/show", nil)
	require.Equal(t, http.StatusSeeOther, status)
	_, page = jory.get(receipt)
	assert.Contains(t, page, "#7F with the lie")
	for _, method := range []string{http.MethodGet, http.MethodPost} {
		status, _, to = rowan.do(method, at, form)
		assert.Equal(t, [2]any{http.StatusSeeOther, receipt}, [2]any{status, to}, "it stays as it was signed")
	}

	_, page = rowan.get(receipt + "/correct")
	correct := hidden(page)
	correct.Set("reason", "Wrong weight.")
	_, _, second := rowan.post(receipt+"/correct", correct)
	_, page = rowan.get(second)
	assert.Contains(t, page, "#7F with the lie", "a correction begins with the plan of what it corrects")

	plain := rowan.mark(s.wholeGroom("jory", "Moss 3"))
	_, page = rowan.get(plain)
	assert.NotContains(t, page, "Cut plan", "nothing was planned")
}

// The plan follows the draft: the same lines are judged anew when the dog turns out
// to be knotted.
func TestCutPlanFollowsTheDog(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	groom := s.wholeGroom("jory", "Biscuit 17")
	draft := rowan.draftOf(groom)
	_, page := rowan.get(draft + "/cut-plan")
	form := hidden(page)
	for name, v := range map[string]string{"cut.legs.tool": "c13", "cut.legs.direction": "with", "cut.legs.under": "10"} {
		form.Set(name, v)
	}
	status, body, _ := rowan.post(draft+"/cut-plan", form)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, page = rowan.get(draft)
	assert.NotContains(t, page, "Unsafe.")
	sent := hidden(page)
	for name, v := range groom {
		sent[name] = v
	}
	sent.Set("matting", "3")
	sent.Set("action", "save")
	status, body, _ = rowan.post(draft, sent)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, page = rowan.get(draft)
	assert.Contains(t, page, "Unsafe.")
	assert.Contains(t, page, "the 13 mm comb catches and pulls the skin up")
}

func TestLengthsThatCannotBeRead(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	draft := rowan.draftOf(s.wholeGroom("jory", "Biscuit 17"))
	_, page := rowan.get(draft + "/cut-plan")
	for text, wrong := range map[string]bool{"6": false, "6.25": false, "6,5": false, " 6 mm ": false, "6.255": true, "0": true, "-6": true, "1/4": true, "six": true, "1e3": true, "99999": true, "": false} {
		form := hidden(page)
		form.Set("cut.back.agreed", text)
		form.Set("cut.back.tool", "10")
		status, body, _ := rowan.post(draft+"/cut-plan", form)
		if !wrong {
			assert.Equal(t, http.StatusSeeOther, status, "%q", text)
			_, page = rowan.get(draft + "/cut-plan")
			continue
		}
		assert.Equal(t, http.StatusUnprocessableEntity, status, "%q", text)
		assert.True(t, strings.Contains(body, "Back and sides") && strings.Contains(body, "is not a length"), "%q", text)
	}
}
