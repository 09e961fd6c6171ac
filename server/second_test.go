package server

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// A second assessor rates the same groom without ever being shown the first
// marks; then the two stand side by side on the agreement page.
func TestSecondRatingIsBlind(t *testing.T) {
	s := newSalon(t)
	rowan, hazel := s.signedIn("rowan"), s.signedIn("hazel")
	g := s.wholeGroom("jory", "Biscuit 17")
	g.Set("level.R5", "2")
	g.Set("change", "Mind the sanitary area")
	first := rowan.mark(g)

	_, page := rowan.get("/agreement")
	assert.NotContains(t, page, "All assessors together", "no groom was rated twice yet")
	_, page = hazel.get("/grooms/new")
	require.Contains(t, page, "Or rate one a second time")
	start := url.Values{"groom": {strings.TrimPrefix(first, "/grooms/signed/")}, "client_id": {"one click"}}
	status, body, draft := hazel.post("/grooms/second", start)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	status, _, again := hazel.post("/grooms/second", start)
	assert.Equal(t, http.StatusSeeOther, status)
	assert.Equal(t, draft, again, "two clicks, one draft")

	_, page = hazel.get(draft)
	assert.Contains(t, page, "Short all over, 10 mm", "the brief is known to both")
	for at, looked := range map[string]string{"the draft": draft, "the first groom": first, "the list": "/grooms", "today": "/"} {
		_, page = hazel.get(looked)
		assert.False(t, strings.Contains(page, "Mind the sanitary area") || strings.Contains(page, "Not yet"), "%s tells the first marks", at)
	}
	_, page = hazel.get(first)
	assert.Contains(t, page, "You are rating this groom a second time")
	_, page = rowan.get(first)
	assert.Contains(t, page, "Mind the sanitary area", "for everybody else it is as it was")

	second := s.wholeGroom("jory", "Biscuit 17")
	_, page = hazel.get(draft)
	sent := hidden(page)
	for name, v := range second {
		sent[name] = v
	}
	sent.Set("action", "read_back")
	status, body, to := hazel.post(draft, sent)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, page = hazel.get(to)
	sign := hidden(page)
	sign.Set("password", testPassword)
	status, body, _ = hazel.post(draft+"/sign", sign)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, page = hazel.get(first)
	assert.Contains(t, page, "Mind the sanitary area", "both are in")

	_, page = rowan.get("/agreement")
	assert.Regexp(t, `<h2>(Hazel and Rowan Ash|Rowan Ash and Hazel) `, page)
	assert.Contains(t, page, "0 of 1")
	assert.Contains(t, page, "All assessors together")
	assert.Contains(t, page, "it takes 20 grooms that two or more called clean or not clean and 5 grooms")
	status, workbook, _ := rowan.post("/export/workbook", url.Values{"scope": {"salon"}})
	require.Equal(t, http.StatusOK, status)
	f, err := excelize.OpenReader(strings.NewReader(workbook))
	require.NoError(t, err)
	rows, err := f.GetRows("Agreement")
	require.NoError(t, err)
	require.Greater(t, len(rows), 5)
	last := rows[len(rows)-4]
	assert.Equal(t, []string{"All assessors", "", "1", "Agreement beyond luck, whoever marked", "Krippendorff's alpha", "no"}, last[:6])
	_, page = rowan.get("/grooms/new")
	assert.NotContains(t, page, "Or rate one a second time", "nobody rates a second rating")
}

func TestWhoHasSeenTheMarksRatesNothing(t *testing.T) {
	s := newSalon(t)
	rowan, hazel := s.signedIn("rowan"), s.signedIn("hazel")
	first := rowan.mark(s.wholeGroom("jory", "Biscuit 17"))
	hazel.get(first)
	_, page := hazel.get("/grooms/new")
	assert.NotContains(t, page, "Or rate one a second time")
	status, body, _ := hazel.post("/grooms/second", url.Values{"groom": {strings.TrimPrefix(first, "/grooms/signed/")}})
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "You have seen the marks")
}

// An apprentice is asked first, and sees both afterwards; the standing they are
// shown does not give the marks away before.
func TestOwnRatingComesFirst(t *testing.T) {
	s := newSalon(t)
	rowan, jory := s.signedIn("rowan"), s.signedIn("jory")
	var receipts []string
	for i := range 3 {
		g := s.wholeGroom("jory", fmt.Sprint("Moss ", i))
		g.Set("change", "Mind the sanitary area")
		receipts = append(receipts, rowan.mark(g))
	}
	skill := "/apprentices/" + s.keys["jory"] + "/skills/HC4"
	_, page := jory.get(skill)
	assert.Contains(t, page, "3 newer grooms not in these figures yet")
	assert.Contains(t, page, "0 points after 0 observations")
	_, page = rowan.get(skill)
	assert.Contains(t, page, "3 points after 3 observations", "the assessor sees all")

	_, page = jory.get(receipts[0])
	assert.NotContains(t, page, "Mind the sanitary area")
	form := hidden(page)
	status, body, _ := jory.post(receipts[0]+"/self", form)
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "at least one criterion")
	form.Set("self.R1", "5")
	form.Set("self.R5", "nonsense")
	status, body, _ = jory.post(receipts[0]+"/self", form)
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, `value="5" checked`, "what was chosen stays chosen")
	form.Set("self.R5", "3")
	status, body, to := jory.post(receipts[0]+"/self", form)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, page = jory.get(to)
	assert.Contains(t, page, "Mind the sanitary area")
	assert.Contains(t, page, "own L5")
	_, page = rowan.get(to)
	assert.Contains(t, page, "own L3", "the assessor sees it too")

	_, page = jory.get(receipts[1])
	status, _, to = jory.post(receipts[1]+"/show", hidden(page))
	require.Equal(t, http.StatusSeeOther, status)
	_, page = jory.get(to)
	assert.Contains(t, page, "Mind the sanitary area")
	assert.NotContains(t, page, "own L")
	status, body, _ = jory.post(receipts[1]+"/self", url.Values{"self.R1": {"4"}})
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "You have seen the marks already")
	_, page = jory.get(skill)
	assert.Contains(t, page, "2 points after 2 observations")
	_, page = jory.get("/apprentices/" + s.keys["jory"])
	assert.Contains(t, page, "Own levels beside the assessors")
}

// A groom put down to the wrong apprentice goes to the right one, and the first
// is told that it no longer counts.
func TestACorrectionToAnotherApprentice(t *testing.T) {
	s := newSalon(t)
	rowan, jory, wren := s.signedIn("rowan"), s.signedIn("jory"), s.signedIn("wren")
	first := rowan.mark(s.wholeGroom("jory", "Biscuit 17"))
	second := rowan.correct(first, map[string]string{"apprentice": s.keys["wren"]})
	_, page := jory.get(first)
	jory.post(first+"/show", hidden(page))
	_, page = jory.get(first)
	assert.Contains(t, page, "This version was replaced")
	assert.NotContains(t, page, strings.TrimPrefix(second, "/grooms/signed/"), "nobody else's groom is linked")
	status, _ := jory.get(second)
	assert.Equal(t, http.StatusNotFound, status)
	status, _ = wren.get(second)
	assert.Equal(t, http.StatusOK, status)
	_, page = jory.get("/apprentices/" + s.keys["jory"] + "/skills/HC4")
	assert.Contains(t, page, "0 points after 0 observations")
}
