package server

import (
	"fmt"
	"math"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/web"
)

var ruleLink = regexp.MustCompile(`href="(/programme/rules/safety\?[^"#]*)#picked">([^<]*)<`)

func TestRulePage(t *testing.T) {
	s := newSalon(t)
	rowan, jory := s.signedIn("rowan"), s.signedIn("jory")
	_, page := rowan.get("/programme")
	assert.Contains(t, page, `href="/programme/rules/safety"`)
	status, page := jory.get("/programme/rules/safety")
	require.Equal(t, http.StatusOK, status)
	for _, says := range []string{"exactly 4.93 %", "needs 21.6 observations on average", "fewer than 19.4 on average", "it would have to be 23 clean in a row"} {
		assert.True(t, strings.Contains(page, says), says)
	}
	assert.Empty(t, ruleLink.FindAllString(page, -1), "nothing was asked for yet")
	status, _ = rowan.get("/programme/rules/none")
	assert.Equal(t, http.StatusNotFound, status)
}

// Numbers that make no sense are told beside their field and stay in it.
func TestRuleFormKeepsWhatWasTyped(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	good := url.Values{"competent": {"2"}, "unacceptable": {"20"}, "error": {"5"}, "within": {"60"}}
	for _, field := range []string{"competent", "unacceptable", "error", "within"} {
		for _, v := range append(mistyped[:len(mistyped):len(mistyped)], []struct{ name, text string }{{"zero", "0"}, {"negative", "-3"}, {"too much", "100"}, {"not a number", "NaN"}, {"no end", "Inf"}, {"huge", "1e309"}}...) {
			ask := url.Values{}
			for k, x := range good {
				ask[k] = x
			}
			ask.Set(field, v.text)
			if field == "within" && v.name == "too much" {
				ask.Set(field, "201")
			}
			status, body := rowan.get("/programme/rules/safety?" + ask.Encode())
			assert.Equal(t, http.StatusUnprocessableEntity, status, "%s: %s", field, v.name)
			keeps(t, body, ask.Get(field), 1)
		}
	}
	for name, ask := range map[string]url.Values{
		"turned round": {"competent": {"20"}, "unacceptable": {"2"}, "error": {"5"}, "within": {"60"}},
		"too few":      {"competent": {"2"}, "unacceptable": {"20"}, "error": {"5"}, "within": {"10"}},
	} {
		status, body := rowan.get("/programme/rules/safety?" + ask.Encode())
		assert.Equal(t, http.StatusUnprocessableEntity, status, name)
		assert.True(t, strings.Contains(body, "things to put right") || strings.Contains(body, "One thing to put right"), name)
	}
}

// A rule is found, tried on the salon's record and published; the standing that
// was promised to change does, and what was signed stays.
func TestPublishingARule(t *testing.T) {
	s := newSalon(t)
	rowan, hazel := s.signedIn("rowan"), s.signedIn("hazel")
	coats, weights := []string{"SI", "WI", "DB"}, []string{"4", "12", "30"}
	mark := func(n int) {
		g := s.wholeGroom("wren", fmt.Sprint("Dog ", n))
		g.Set("coat", coats[n%3])
		g.Set("size_kg", weights[n%3])
		[]*reader{rowan, hazel}[n%2].mark(g)
	}
	for n := range 14 {
		mark(n)
	}
	skill := "/apprentices/" + s.keys["wren"] + "/skills/HC4"
	_, page := rowan.get(skill)
	require.Contains(t, page, "Practising")

	// A chance of error of 10 % asks for fewer points than the fourteen she has.
	_, page = rowan.get("/programme/rules/safety?" + url.Values{"competent": {"2"}, "unacceptable": {"20"}, "error": {"10"}, "within": {"60"}}.Encode())
	links := ruleLink.FindAllStringSubmatch(page, -1)
	require.NotEmpty(t, links)
	var pick string
	for _, l := range links {
		if strings.Contains(l[2], "eligible at 14") || strings.Contains(l[2], "eligible at 13") {
			pick = strings.ReplaceAll(l[1], "&amp;", "&")
		}
	}
	require.NotEmpty(t, pick, "%v", links)
	_, page = hazel.get(pick)
	assert.Contains(t, page, "A head groomer can take it into use.")
	_, page = rowan.get(pick)
	assert.Contains(t, page, "What it would change today")
	assert.Contains(t, page, "Wren")
	form := hidden(page)
	form.Set("password", "not the password")
	status, body, _ := rowan.post("/programme/rules/safety", form)
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	keeps(t, body, form.Get("costs"), 1)
	form.Set("password", testPassword)
	status, body, to := rowan.post("/programme/rules/safety", form)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	assert.Equal(t, "/programme#points", to)
	status, _, again := rowan.post("/programme/rules/safety", form)
	assert.Equal(t, http.StatusSeeOther, status, "a repeat is one publication")
	assert.Equal(t, to, again)

	_, page = rowan.get("/programme")
	assert.Contains(t, page, "Version 2 ·")
	_, page = rowan.get(skill)
	assert.Contains(t, page, "Eligible")
}

// Whatever is typed into the form of a rule, it is told or taken, and no number
// that makes no sense comes out of it.
func FuzzReadRule(f *testing.F) {
	for _, seed := range [][4]string{{"2", "20", "5", "60"}, {"2,5", "20 %", "0.1", "200"}, {"NaN", "Inf", "-1", "1e9"}, {"", "", "", ""}, {"1e-320", "99.999999", "1e-9", "1"}} {
		f.Add(seed[0], seed[1], seed[2], seed[3])
	}
	shipped := curriculum.Default().Points[0]
	f.Fuzz(func(t *testing.T, competent, unacceptable, chance, within string) {
		page, rule := web.Rule{Search: web.NewRuleSearch("/")}, shipped
		ask := url.Values{"competent": {competent}, "unacceptable": {unacceptable}, "error": {chance}, "within": {within}}
		if !readRule(&page, &rule, ask) {
			if len(page.Problems) == 0 {
				t.Fatal("refused without a word")
			}
			return
		}
		if !(rule.Competent > 0 && rule.Competent < rule.Unacceptable && rule.Unacceptable < 1 && rule.FalseSignOff > 0 && rule.FalseSignOff < 1 && rule.Within >= 1 && rule.Within <= assessment.MostObservations) {
			t.Fatalf("taken: %+v", rule)
		}
		choices, err := assessment.RuleChoices(rule)
		for _, c := range choices {
			if err != nil || !(c.Figures.FalseSignOff <= rule.FalseSignOff*(1+1e-9)) || math.IsNaN(c.MeanCompetent) || math.IsInf(c.MeanCompetent, 0) {
				t.Fatalf("%v: %+v", err, c)
			}
		}
	})
}
