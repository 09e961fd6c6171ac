package server

import (
	"encoding/json"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// begin starts a draft and returns its address and what its form would send.
func (r *reader) begin(form url.Values) (draft string, sent url.Values) {
	first := url.Values{}
	for _, name := range []string{"apprentice", "day", "dog", "service"} {
		first[name] = form[name]
	}
	status, body, draft := r.post("/grooms/new", first)
	require.Equal(r.s, http.StatusSeeOther, status, main(body))
	_, page := r.get(draft)
	sent = hidden(page)
	for name, v := range form {
		sent[name] = v
	}
	return draft, sent
}

func with(form url.Values, pairs ...string) url.Values {
	out := url.Values{}
	for name, v := range form {
		out[name] = v
	}
	for i := 0; i < len(pairs); i += 2 {
		out.Set(pairs[i], pairs[i+1])
	}
	return out
}

// The bar of the form moves with what is saved by itself.
func TestAutosaveTellsTheResultSoFar(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	form := s.wholeGroom("jory", "Moss 2")
	form.Del("level.R4")
	draft, sent := rowan.begin(form)
	status, body, _ := rowan.post(draft, with(sent, "action", "autosave"))
	require.Equal(t, http.StatusOK, status, body)
	var answer struct {
		Version int
		SoFar   map[string]string `json:"so_far"`
	}
	require.NoError(t, json.Unmarshal([]byte(body), &answer))
	assert.Equal(t, 2, answer.Version)
	assert.Equal(t, "12 of 13", answer.SoFar["marked"])
	assert.Equal(t, "mean 4.00", answer.SoFar["mean"])
	assert.Contains(t, answer.SoFar["why"], "was not seen")
	_, page := rowan.get(draft)
	for part, words := range answer.SoFar {
		assert.Contains(t, page, `data-so-far="`+part+`">`+words+"<", "the page shows what the answer says")
	}

	// The same once more, because the answer was lost on the way: nobody else
	// has saved anything.
	status, _, _ = rowan.post(draft, with(sent, "action", "autosave"))
	assert.Equal(t, http.StatusOK, status)
	status, _, _ = rowan.post(draft, with(sent, "action", "autosave", "keep", "Something else"))
	assert.Equal(t, http.StatusConflict, status, "but another text meets the newer version")
}

func TestAutosaveOfADraftThatIsGone(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	receipt := rowan.mark(s.wholeGroom("jory", "Moss 2"))
	draft := strings.Replace(receipt, "/signed/", "/drafts/", 1)
	status, body, to := rowan.post(draft, url.Values{"action": {"autosave"}, "base_version": {"2"}})
	assert.Equal(t, http.StatusGone, status, "not a redirect, which a script cannot follow")
	assert.Empty(t, to)
	assert.Contains(t, body, "was signed in another window")

	draft, sent := rowan.begin(s.wholeGroom("jory", "Fern 9"))
	rowan.post(draft+"/discard", url.Values{})
	status, body, _ = rowan.post(draft, with(sent, "action", "autosave"))
	assert.Equal(t, http.StatusNotFound, status)
	assert.Contains(t, body, "was discarded in another window")
}

// Two windows on one draft: what differs is shown in words, both ways round.
func TestDraftConflictComparesBoth(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	draft, sent := rowan.begin(s.wholeGroom("jory", "Moss 2"))
	theirs := with(sent, "action", "save", "next", "Ears", "level.R4", "2", "incident.0.kind", "cut")
	theirs["prep"] = []string{"behind_ears", "armpits"}
	status, _, _ := rowan.post(draft, theirs)
	require.Equal(t, http.StatusSeeOther, status)
	mine := with(sent, "action", "save", "coat", "SI")
	mine["prep"] = []string{"behind_ears", "tail_base"}
	status, body, _ := rowan.post(draft, mine)
	require.Equal(t, http.StatusConflict, status)
	page := strings.ReplaceAll(main(body), "\n", "")
	for _, row := range []string{
		`<h3>Practise next</h3>    <dl><div><dt>Saved meanwhile</dt><dd>Ears</dd></div><div><dt>Yours</dt><dd><span class="soft">empty</span>`, // only in theirs
		`<h3>Coat</h3>`, `<dd>Silky</dd>`,
		`<h3>Level of Drying`, `<dd>L2</dd></div><div><dt>Yours</dt><dd>L4</dd>`,
		`<h3>Incident 1, What happened</h3>`, `<dd>Nick or cut</dd>`,
		`<dd>Armpits, Behind the ears</dd>`, // every value, in words
	} {
		assert.Contains(t, page, row)
	}
	for _, raw := range []string{"<h3>level.R4", "<h3>coat", "<h3>prep", "<h3>rows"} {
		assert.NotContains(t, page, raw)
	}
	assert.Equal(t, 5, strings.Count(page, `class="versus"`), "what is the same in both is not listed")

	keep := url.Values{}
	for _, m := range hiddenInput.FindAllStringSubmatch(body, -1) {
		keep.Add(m[1], m[2])
	}
	status, _, _ = rowan.post(draft, keep)
	require.Equal(t, http.StatusSeeOther, status)
	_, page = rowan.get(draft)
	assert.Contains(t, page, `name="coat" value="SI" checked`)
	assert.Equal(t, 2, strings.Count(page, `name="prep" value="behind_ears" checked`)+strings.Count(page, `name="prep" value="tail_base" checked`), "all values of mine")
}

// A draft that was changed after it was read back leads to pages that can be
// visited.
func TestSigningConflictLeadsToTheDraft(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	draft, sent := rowan.begin(s.wholeGroom("jory", "Moss 2"))
	_, _, to := rowan.post(draft, with(sent, "action", "read_back"))
	_, page := rowan.get(to)
	sign := with(hidden(page), "password", testPassword)
	_, page = rowan.get(draft)
	rowan.post(draft, with(sent, "action", "save", "base_version", hidden(page).Get("base_version"), "keep", "Another word"))
	status, body, _ := rowan.post(draft+"/sign", sign)
	require.Equal(t, http.StatusConflict, status)
	assert.NotContains(t, main(body), `href="`+draft+`/sign"`)
	for _, path := range []string{draft, draft + "/read-back"} {
		assert.Contains(t, main(body), `href="`+path+`"`)
		status, _ := rowan.get(path)
		assert.Equal(t, http.StatusOK, status, path)
	}
}

// An emptied row of incidents does not take those after it along, and what is
// wrong in a row is told where it is seen.
func TestIncidentRowsStay(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	form := s.wholeGroom("jory", "Moss 2")
	for name, v := range map[string]string{"1.kind": "cut", "1.severity": "S1", "1.note": "A graze at the hock"} {
		form.Set("incident."+name, v)
	}
	draft, sent := rowan.begin(form)
	rowan.post(draft, with(sent, "action", "save"))
	_, page := rowan.get(draft)
	assert.Contains(t, page, "A graze at the hock", "row 2 is shown although row 1 is empty")
	assert.Contains(t, page, `id="incident-2"`, "and an empty one after it")

	status, page, _ := rowan.post(draft, with(sent, "action", "read_back", "base_version", hidden(page).Get("base_version")))
	require.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, page, `href="#f-incident-1-attribution"`, "the problem is told of row 2")
	assert.NotContains(t, page, `href="#f-incident-0-attribution"`)
	assert.Regexp(t, `id="incident-1" open`, page)

	status, _, _ = rowan.post(draft, with(sent, "action", "drop_incident.1", "base_version", hidden(page).Get("base_version")))
	require.Equal(t, http.StatusSeeOther, status)
	_, page = rowan.get(draft)
	assert.NotContains(t, page, "A graze at the hock", "taken out on purpose")
}

func TestMarkingFormExplainsItself(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	draft, _ := rowan.begin(s.wholeGroom("jory", "Moss 2"))
	_, page := rowan.get(draft)
	assert.Contains(t, page, "S2 Visible harm")
	assert.Contains(t, page, "For instance: a burn from blade or brush.\nWhat it does: the observation does not count; its criterion is at most L3; a signed skill goes on hold; at most P3 until released.")
	assert.Contains(t, page, "caught later by a blade. Draw each one on the body map", "a caution has its subject")
	assert.Equal(t, 1, strings.Count(page[strings.Index(page, `id="c-R1"`):strings.Index(page, `<details class="more-cautions">`)], `class="caution-line"`), "one strip, the others folded")
	_, page = rowan.get("/grooms")
	assert.Regexp(t, `Moss 2</b> <span>Jory</span>`, page, "a draft names the apprentice")
}

// What a grave incident would do is said before it is signed.
func TestReadBackTellsOfHolds(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	form := s.wholeGroom("jory", "Moss 2")
	for name, v := range map[string]string{"kind": "fall", "severity": "S3", "attribution": "apprentice", "skill": "HR2", "note": "Limped."} {
		form.Set("incident.0."+name, v)
	}
	draft, sent := rowan.begin(form)
	_, _, to := rowan.post(draft, with(sent, "action", "read_back"))
	_, page := rowan.get(to)
	assert.Contains(t, page, "Signing puts every skill of the unit Handling, holding and moving dogs on hold, because of an incident of severity S3 under ")
	assert.Contains(t, page, "What releases it: 3 clean observations in a row since the incident; on 3 different dogs; ")
	assert.Less(t, strings.Index(page, "Signing puts"), strings.Index(page, `class="effects"`), "above the list")
	assert.Contains(t, page, "<dt>Do differently</dt>")
}

// A draft that was saved in another window since is looked at before it goes.
func TestDiscardLooksAtTheNewestDraft(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	_, _, draft := rowan.post("/grooms/new", url.Values{"apprentice": {s.keys["jory"]}, "day": {"2026-05-20"}, "dog": {"Moss"}, "service": {"full"}})
	_, page := rowan.get(draft)
	old := hidden(page)
	newer := hidden(page)
	newer.Set("keep", "Calm at the loop")
	newer.Set("action", "save")
	status, body, _ := rowan.post(draft, newer)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	status, body, _ = rowan.post(draft+"/discard", old)
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "Calm at the loop")
	status, _, _ = rowan.post(draft+"/discard", hidden(body))
	assert.Equal(t, http.StatusSeeOther, status)
	status, _ = rowan.get(draft)
	assert.Equal(t, http.StatusNotFound, status)
}
