package server

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What is to be talked over has a heading of its own: most of those skills were
// never signed, and are not getting old.
func TestTodaySeparatesReviewsFromWhatFades(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	for i := range 3 {
		g := s.wholeGroom("jory", fmt.Sprint("Moss ", i))
		for name, v := range map[string]string{"kind": "strangulation", "severity": "S0", "attribution": "apprentice", "skill": "HR2", "reported": "yes"} {
			g.Set("incident.0."+name, v)
		}
		rowan.mark(g)
	}
	_, page := rowan.get("/")
	assert.NotContains(t, page, "Getting old")
	_, talk, found := strings.Cut(page, "To talk over together")
	require.True(t, found)
	assert.Contains(t, talk, "3 incidents of severity S0")

	_, page = rowan.get("/apprentices/" + s.keys["jory"])
	assert.NotContains(t, page, "Started ·", "no day, no label for one")
}

// A signed skill whose evidence has fallen since says that the sign-off stands.
func TestOpenRequirementsOfASignedSkill(t *testing.T) {
	s := newSalon(t)
	rowan, hazel := s.signedIn("rowan"), s.signedIn("hazel")
	for i := range 18 {
		g := s.wholeGroom("wren", fmt.Sprint("Moss ", i))
		g.Set("size_kg", []string{"4", "12", "30"}[i%3])
		g.Set("coat", []string{"SI", "WI", "DB"}[i%3])
		[]*reader{rowan, hazel}[i%2].mark(g)
	}
	skill := "/apprentices/" + s.keys["wren"] + "/skills/HC4"
	_, page := hazel.get(skill + "/propose")
	status, body, to := hazel.post(skill+"/propose", with(hidden(page), "password", testPassword))
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, page = rowan.get(to)
	status, body, _ = rowan.post(to+"/decide", with(hidden(page), "decision", "confirm", "password", testPassword))
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, page = rowan.get(skill)
	assert.NotContains(t, page, "does not touch the sign-off")
	assert.Contains(t, page, "17 when the points were reached")
	hazel.mark(with(s.wholeGroom("wren", "Fern 9"), "skill.HC4", "2"))
	_, page = rowan.get(skill)
	assert.Contains(t, page, "Signed off and current until")
	assert.Contains(t, page, "does not touch the sign-off")
}
