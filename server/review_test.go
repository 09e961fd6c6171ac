package server

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Evidence that was corrected downwards after the confirmation is seen, talked
// over and recorded.
func TestReviewOfCorrectedEvidence(t *testing.T) {
	s := newSalon(t)
	rowan, hazel := s.signedIn("rowan"), s.signedIn("hazel")
	var last string
	for i := range 3 {
		g := s.wholeGroom("wren", []string{"Moss 1", "Moss 2", "Moss 3"}[i])
		g.Set("size_kg", []string{"4", "12", "30"}[i])
		last = rowan.mark(g)
	}
	skill := "/apprentices/" + s.keys["wren"] + "/skills/TH4"
	_, page := rowan.get(skill + "/propose")
	form := hidden(page)
	form.Set("password", testPassword)
	status, body, signOff := rowan.post(skill+"/propose", form)
	require.Equal(t, http.StatusSeeOther, status, main(body))

	more := rowan.mark(s.wholeGroom("wren", "Fern 9"))
	_, page = hazel.get(signOff)
	assert.Contains(t, page, "Since it was proposed")
	assert.Contains(t, page, "Fern 9")
	form = hidden(page)
	form.Set("decision", "confirm")
	form.Set("password", testPassword)
	rowan.correct(more, map[string]string{"keep": "Very calm hands"})
	status, body, _ = hazel.post(signOff+"/decide", form)
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "The evidence has changed since you looked at it")
	form = hidden(body)
	form.Set("decision", "confirm")
	form.Set("password", testPassword)
	status, body, _ = hazel.post(signOff+"/decide", form)
	require.Equal(t, http.StatusSeeOther, status, main(body))

	rowan.correct(last, map[string]string{"skill.TH4": "2"})
	_, page = hazel.get(skill)
	assert.Contains(t, page, "corrected downwards since")
	_, page = hazel.get("/")
	assert.Contains(t, page, "corrected downwards since", "it waits on Today")
	_, page = hazel.get(skill)
	form = hidden(page)
	form.Set("note", "")
	status, _, _ = hazel.post(skill+"/review", form)
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	form.Set("note", "Watched two more; she is safe.")
	status, body, to := hazel.post(skill+"/review", form)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, page = hazel.get(to)
	assert.NotContains(t, page, "corrected downwards since")
	assert.Contains(t, page, "Watched two more; she is safe.")
}

// correct signs a correction of a groom with some fields changed.
func (r *reader) correct(groom string, change map[string]string) string {
	_, page := r.get(groom + "/correct")
	form := hidden(page)
	form.Set("reason", "Seen again on the film.")
	status, body, draft := r.post(groom+"/correct", form)
	require.Equal(r.s, http.StatusSeeOther, status, main(body))
	d, err := r.s.store.Draft(r.s.Context(), r.scope(), draft[len("/grooms/drafts/"):])
	require.NoError(r.s, err)
	_, page = r.get(draft)
	sent := hidden(page)
	for name, v := range d.Form {
		if sent.Get(name) == "" {
			sent[name] = v
		}
	}
	for name, v := range change {
		sent.Set(name, v)
	}
	sent.Set("action", "read_back")
	status, body, to := r.post(draft, sent)
	require.Equal(r.s, http.StatusSeeOther, status, main(body))
	_, page = r.get(to)
	sign := hidden(page)
	sign.Set("password", testPassword)
	status, body, receipt := r.post(draft+"/sign", sign)
	require.Equal(r.s, http.StatusSeeOther, status, main(body))
	return receipt
}
