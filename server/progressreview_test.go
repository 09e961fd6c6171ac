package server

import (
	"net/http"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// text is a page as it is read: without its markup, with single blanks.
func text(page string) string {
	return strings.Join(strings.Fields(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(main(page), " ")), " ")
}

// What an apprentice has not rated yet is in nobody else's way, and not in their
// own figures: neither the groom nor its incident.
func TestProgressReviewLeavesSealedGroomsOut(t *testing.T) {
	s := newSalon(t)
	rowan, jory := s.signedIn("rowan"), s.signedIn("jory")
	rowan.mark(s.wholeGroom("jory", "Biscuit 17"))
	short := s.wholeGroom("jory", "Fern 9")
	short.Set("level.R4", "3")
	for name, v := range map[string]string{"kind": "near_miss", "severity": "S0", "attribution": "apprentice", "skill": "HR2", "note": "Loop left on, told in private"} {
		short.Set("incident.0."+name, v)
	}
	second := rowan.mark(short)

	at := "/apprentices/" + s.keys["jory"] + "/review"
	_, page := rowan.get(at)
	assert.Contains(t, text(page), "2: 1 met the standard, 1 not yet, 0 without a whole-groom result")
	assert.Contains(t, text(page), "1 of S0 (near miss)")
	assert.NotContains(t, page, "told in private", "numbers, and nothing that anybody wrote")
	assert.NotContains(t, page, "not in these figures yet")

	_, page = jory.get(at)
	assert.Contains(t, text(page), "0: 0 met the standard, 0 not yet, 0 without a whole-groom result")
	assert.Contains(t, text(page), "2 newer grooms not in these figures yet")
	assert.Contains(t, text(page), "Incidents none")
	status, _, _ := jory.post(second+"/show", nil)
	require.Equal(t, http.StatusSeeOther, status)
	_, page = jory.get(at)
	assert.Contains(t, text(page), "1: 0 met the standard, 1 not yet, 0 without a whole-groom result")
	assert.Contains(t, text(page), "1 of S0 (near miss)")
	assert.Contains(t, text(page), "1 newer groom not in these figures yet")
}

func TestProgressReviewSinceADay(t *testing.T) {
	s := newSalon(t)
	rowan, hazel := s.signedIn("rowan"), s.signedIn("hazel")
	s.signedOffTH4(rowan, hazel)
	at := "/apprentices/" + s.keys["jory"] + "/review"
	_, page := rowan.get(at)
	assert.Contains(t, text(page), "from 25 February 2026 to 20 May 2026", "twelve weeks before the day")
	assert.Contains(t, text(page), "Look after and store scissors 20 May 2026 , Rowan Ash and Hazel")
	status, page := rowan.get(at + "?since=2026-05-20")
	assert.Equal(t, http.StatusOK, status)
	assert.Contains(t, text(page), "Signed off in this time 1", "the day itself is in it")
	for since, says := range map[string]string{
		"last spring": "Enter the day as year-month-day, for example 2026-05-20. Below stands the time since 25 February 2026 instead.",
		"2026-05-21":  "This day has not come yet.",
		"1026-05-20":  "This day is too long ago. Look at the year.",
	} {
		status, page = rowan.get(at + "?since=" + strings.ReplaceAll(since, " ", "+"))
		assert.Equal(t, http.StatusUnprocessableEntity, status, since)
		assert.Contains(t, text(page), says)
		assert.Contains(t, page, `value="`+since+`"`, "what was typed stays")
		assert.Contains(t, text(page), "Agreed actions", "the sheet is there all the same")
	}
}

// The fingerprint of a sheet is that of what it says: the same for whoever looks
// and whenever, another when the record changes.
func TestSheetFingerprint(t *testing.T) {
	s := newSalon(t)
	rowan, hazel := s.signedIn("rowan"), s.signedIn("hazel")
	of := func(r *reader, path string) string {
		_, page := r.get(path)
		m := regexp.MustCompile(`Fingerprint <code>([0-9a-f]{10})</code>`).FindStringSubmatch(page)
		require.NotNil(t, m, page)
		return m[1]
	}
	review := "/apprentices/" + s.keys["jory"] + "/review"
	wall, sheet := of(rowan, "/wall"), of(rowan, review)
	assert.Equal(t, wall, of(hazel, "/wall"))
	assert.NotEqual(t, wall, sheet)
	rowan.mark(s.wholeGroom("jory", "Biscuit 17"))
	assert.NotEqual(t, sheet, of(rowan, review))
	assert.Equal(t, wall, of(rowan, "/wall"), "nobody may do anything else because of it")
	_, err := s.store.SetPermission(t.Context(), rowan.scope(), s.keys["jory"], "HC1", 1, "Fetches and steadies.", "")
	require.NoError(t, err)
	assert.NotEqual(t, wall, of(rowan, "/wall"))
}
