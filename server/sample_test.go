package server

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestSamplePage(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	_, page := rowan.get("/signoffs")
	assert.Contains(t, page, `href="/signoffs/sample"`)
	status, page := rowan.get("/signoffs/sample")
	assert.Equal(t, http.StatusOK, status)
	assert.NotContains(t, main(page), "decisions to look at", "nothing was asked for yet")

	good := url.Values{"plan": {"all"}, "from": {"2025-01-01"}, "to": {"2026-12-31"}, "seed": {"autumn"}}
	status, page = rowan.get("/signoffs/sample?" + good.Encode())
	assert.Equal(t, http.StatusOK, status)
	assert.Contains(t, page, "No sign-off that has been decided was proposed between 1 January 2025 and 31 December 2026.")
	assert.Contains(t, page, `value="autumn"`)
	for field, wrong := range map[string][]string{"plan": {"", "some"}, "from": {"", "1.1.2025", "2027-01-01"}, "to": {"", "soon"}, "seed": {"", strings.Repeat("x", 101)}} {
		for _, v := range wrong {
			ask := url.Values{}
			for k, x := range good {
				ask[k] = x
			}
			ask.Set(field, v)
			status, page := rowan.get("/signoffs/sample?" + ask.Encode())
			assert.Equal(t, http.StatusUnprocessableEntity, status, "%s: %q", field, v)
			assert.NotContains(t, main(page), "decisions to look at")
			if field != "plan" && v != "" {
				keeps(t, page, v, 1)
			}
		}
	}
}
