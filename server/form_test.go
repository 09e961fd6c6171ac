package server

import (
	"fmt"
	"html"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/server/store"
)

// mistyped is what people type by mistake, by haste or on purpose.
var mistyped = []struct{ name, text string }{
	{"empty", ""},
	{"markup", `"><script>alert('x')</script>`},
	{"a formula", "=HYPERLINK(0)"},
	{"right to left", "كلب هادئ"},
	{"emoji", "🐩 très calme ✂️"},
	{"long", strings.Repeat("long ", 1999) + "long"},
}

// Whatever is typed into the marking form stays in it.
func TestDraftKeepsWhatWasTyped(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	for _, v := range mistyped {
		t.Run(v.name, func(t *testing.T) {
			_, _, draft := rowan.post("/grooms/new", url.Values{"apprentice": {s.keys["jory"]}, "day": {"2026-05-20"}, "dog": {"Moss"}, "service": {"full"}})
			_, page := rowan.get(draft)
			form := hidden(page)
			for _, field := range []string{"asked", "keep", "size_kg", "day", "start"} {
				form.Set(field, v.text)
			}
			form.Set("action", "read_back")
			status, body, _ := rowan.post(draft, form)
			assert.Equal(t, http.StatusUnprocessableEntity, status)
			keeps(t, body, v.text, 5)
		})
	}
}

// keeps checks that a form came back with a problem told and with a text in at
// least n fields, and that the text is nowhere read as markup.
func keeps(t *testing.T, body, text string, n int) {
	t.Helper()
	assert.True(t, strings.Contains(body, "<title>Error: ") && strings.Contains(body, `id="problems"`), "the problem is told: %s", main(body))
	assert.False(t, strings.Contains(body, "<script>alert"), "markup stays text")
	if text != "" {
		assert.GreaterOrEqual(t, strings.Count(body, html.EscapeString(text)), n, "every field still holds it: %s", main(body))
	}
}

// main is the part of a page that is its own, for messages.
func main(body string) string {
	_, body, _ = strings.Cut(body, "<main")
	return body
}

// filledForm is one form of the program: where it stands, where it is sent,
// what is chosen in it and which fields are typed.
type filledForm struct {
	name, page, to string
	by             *reader
	chosen         url.Values
	texts          []string
	mayBeEmpty     bool
	signed         bool // carries a password
}

// Every other form keeps what was typed when it is refused, whether for what
// was typed or for a wrong password.
func TestFormsKeepWhatWasTyped(t *testing.T) {
	s := newSalon(t)
	for _, f := range s.forms(t) {
		t.Run(f.name, func(t *testing.T) {
			refused := 0
			send := func(text, password string) (int, string) {
				_, page := f.by.get(f.page)
				form := hidden(page)
				for name, v := range f.chosen {
					form[name] = v
				}
				for _, name := range f.texts {
					form.Set(name, text)
				}
				form.Set("password", password)
				status, body, _ := f.by.post(f.to, form)
				return status, body
			}
			if f.signed {
				status, body := send("Typed with care", "not the password")
				assert.Equal(t, http.StatusUnprocessableEntity, status)
				keeps(t, body, "Typed with care", len(f.texts))
				assert.NotContains(t, body, "not the password", "a password is never sent back")
			}
			for _, v := range mistyped {
				status, body := send(v.text, testPassword)
				if v.name == "long" || v.text == "" && !f.mayBeEmpty {
					assert.Equal(t, http.StatusUnprocessableEntity, status, v.name)
				}
				if status == http.StatusUnprocessableEntity {
					refused++
					keeps(t, body, v.text, len(f.texts))
				} else {
					assert.Less(t, status, 400, "%s: %s", v.name, main(body))
				}
			}
			assert.Positive(t, refused)
		})
	}
}

// forms makes what each form needs: an eligible skill, a proposal, a hold and a
// signed groom.
func (s *salon) forms(t *testing.T) []filledForm {
	s.withPINs("hazel")
	rowan, hazel := s.signedIn("rowan"), s.signedIn("hazel")
	wren, jory := "/apprentices/"+s.keys["wren"]+"/skills/", "/apprentices/"+s.keys["jory"]+"/skills/"
	var groom string
	var receipts []string
	for i := range 6 {
		who := []string{"wren", "jory"}[i%2]
		g := s.wholeGroom(who, fmt.Sprint("Moss ", i))
		g.Set("size_kg", []string{"4", "12", "30"}[i/2])
		groom = []*reader{rowan, hazel}[i/2%2].mark(g)
		receipts = append(receipts, groom)
	}
	learner := s.signedIn("jory")
	for _, i := range []int{1, 3} {
		learner.show(receipts[i])
	}
	learner.say(receipts[3], "disagree", "I would have said L4.")
	_, _, entry := learner.log(s.entry("rowan"))
	_, page := hazel.get(jory + "TH4/propose")
	form := hidden(page)
	form.Set("password", testPassword)
	status, body, signOff := hazel.post(jory+"TH4/propose", form)
	require.Equal(t, http.StatusSeeOther, status, body)

	harm := s.wholeGroom("wren", "Fern 9")
	for name, v := range map[string]string{"kind": "fall", "severity": "S4", "attribution": "apprentice", "skill": "HR2", "note": "Slipped off the table."} {
		harm.Set("incident.0."+name, v)
	}
	hazel.mark(harm)
	sc, err := s.store.ScopeOf(t.Context(), s.keys["rowan"])
	require.NoError(t, err)
	holds, err := s.store.OpenHolds(t.Context(), sc)
	require.NoError(t, err)
	require.Len(t, holds, 1)

	_, _, draft := rowan.post("/grooms/new", url.Values{"apprentice": {s.keys["jory"]}, "day": {"2026-05-20"}, "dog": {"Moss 9"}, "service": {"full"}})
	fresh := s.unfounded()
	choose := func(pairs ...string) url.Values {
		out := url.Values{}
		for i := 0; i < len(pairs); i += 2 {
			out.Set(pairs[i], pairs[i+1])
		}
		return out
	}
	return []filledForm{
		{name: "sign in", page: "/sign-in", to: "/sign-in", by: s.visitor(), texts: []string{"login"}},
		{name: "sign in with a PIN", page: "/sign-in", to: "/sign-in/pin", by: s.tablet("Table 1"), chosen: choose("person", s.keys["hazel"])},
		{name: "choose a PIN", page: "/account", to: "/account/pin", by: rowan, chosen: choose("new_pin", "123456"), signed: true},
		{name: "welcome", page: "/welcome", to: "/welcome", by: s.visitor(), texts: []string{"login", "code"}},
		{name: "set up", page: "/set-up", to: "/set-up", by: fresh, chosen: choose("zone", "Europe/London"), texts: []string{"code", "salon", "name", "login"}},
		{name: "new groom", page: "/grooms/new", to: "/grooms/new", by: rowan, chosen: choose("apprentice", s.keys["jory"], "service", "full"), texts: []string{"dog", "day"}},
		{name: "the dog's label", page: "/grooms/new", to: "/grooms/new", by: rowan, chosen: choose("apprentice", s.keys["jory"], "service", "full", "day", "2026-05-20"), texts: []string{"dog"}},
		{name: "add a person", page: "/people", to: "/people", by: rowan, chosen: choose("role", "apprentice"), texts: []string{"name", "login", "start_day", "end_day"}},
		{name: "correct a person", page: "/people/" + s.keys["lark"], to: "/people/" + s.keys["lark"], by: rowan, chosen: choose("role", "auditor"), texts: []string{"name", "login", "start_day", "end_day"}},
		{name: "a person has left", page: "/people/" + s.keys["lark"], to: "/people/" + s.keys["lark"] + "/left", by: rowan, texts: []string{"last_day"}},
		{name: "permission", page: wren + "TH4", to: wren + "TH4/permission", by: rowan, chosen: choose("level", "1"), texts: []string{"reason"}},
		{name: "knowledge check", page: wren + "CW7", to: wren + "CW7/check", by: rowan, texts: []string{"day", "percent"}},
		{name: "rehearsal", page: wren + "CW5", to: wren + "CW5/check", by: rowan, chosen: choose("level", "4"), texts: []string{"day"}},
		{name: "salon policy", page: "/skills/NE4", to: "/skills/NE4/policy", by: rowan, chosen: choose("policy", "allowed", "day", "2026-05-01"), texts: []string{"note"}},
		{name: "policy day", page: "/skills/NE4", to: "/skills/NE4/policy", by: rowan, chosen: choose("policy", "allowed"), texts: []string{"note", "day"}},
		{name: "correct", page: groom + "/correct", to: groom + "/correct", by: rowan, texts: []string{"reason"}},
		{name: "cut plan", page: draft + "/cut-plan", to: draft + "/cut-plan", by: rowan, chosen: choose("cut.back.tool", "7F"), texts: []string{"cut.back.agreed", "cut.legs.agreed"}, mayBeEmpty: true},
		{name: "disagree", page: receipts[1], to: receipts[1] + "/acknowledge", by: learner, chosen: choose("said", "disagree"), texts: []string{"words"}},
		{name: "answer a disagreement", page: receipts[3], to: receipts[3] + "/answer", by: hazel, texts: []string{"words"}},
		{name: "logbook", page: "/logbook/new", to: "/logbook/new", by: learner, chosen: s.entry("rowan"), texts: []string{"dog", "words"}},
		{name: "day and weight of the logbook", page: "/logbook/new", to: "/logbook/new", by: learner, chosen: s.entry("rowan"), texts: []string{"day", "size_kg"}},
		{name: "not as it was", page: entry, to: entry + "/deny", by: rowan, texts: []string{"reason"}, signed: true},
		{name: "propose", page: wren + "TH4/propose", to: wren + "TH4/propose", by: rowan, texts: []string{"note"}, mayBeEmpty: true, signed: true},
		{name: "decline", page: signOff, to: signOff + "/decide", by: rowan, chosen: choose("decision", "decline"), texts: []string{"reason"}, signed: true},
		{name: "release a hold", page: wren + "HR2", to: wren + "HR2/holds/" + holds[0].Key, by: rowan, chosen: choose("condition", "met"), texts: []string{"reason"}, signed: true},
	}
}

// unfounded is a visitor of a second server whose record is new.
func (s *salon) unfounded() *reader {
	now := func() time.Time { return time.Date(2026, time.May, 20, 10, 0, 0, 0, time.UTC) }
	st, err := store.Open(s.Context(), s.TempDir(), store.Options{Now: now})
	require.NoError(s, err)
	s.Cleanup(func() { st.Close() })
	srv, err := New(Options{Store: st, Now: now, Hosts: LocalHosts("127.0.0.1:0"), SetUpCode: "one-two-three"})
	require.NoError(s, err)
	fresh := &salon{T: s.T, store: st, http: httptest.NewServer(srv)}
	s.Cleanup(fresh.http.Close)
	return fresh.visitor()
}

// A refusal that no form field caused still gives back what was typed.
func TestDecidingTooLateGivesTheReasonBack(t *testing.T) {
	s := newSalon(t)
	rowan, hazel := s.signedIn("rowan"), s.signedIn("hazel")
	for i := range 3 {
		g := s.wholeGroom("wren", fmt.Sprint("Moss ", i))
		g.Set("size_kg", []string{"4", "12", "30"}[i])
		[]*reader{rowan, hazel}[i%2].mark(g)
	}
	skill := "/apprentices/" + s.keys["wren"] + "/skills/TH4"
	_, page := hazel.get(skill + "/propose")
	form := hidden(page)
	form.Set("password", testPassword)
	status, body, signOff := hazel.post(skill+"/propose", form)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, page = rowan.get(signOff)
	tabs := [2]url.Values{hidden(page), hidden(page)}
	for i, reason := range []string{"Want to see a wire coat first.", "Seen enough."} {
		tabs[i].Set("client_id", fmt.Sprint("tab ", i))
		tabs[i].Set("decision", []string{"decline", "confirm"}[i])
		tabs[i].Set("reason", reason)
		tabs[i].Set("password", testPassword)
	}
	status, body, _ = rowan.post(signOff+"/decide", tabs[0])
	require.Equal(t, http.StatusSeeOther, status, main(body))
	status, body, _ = rowan.post(signOff+"/decide", tabs[1])
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "decided already")
	assert.Contains(t, body, "Seen enough.")
	assert.Contains(t, body, "Declined")
}

// Nobody signs for other evidence than they looked at.
func TestProposingOnOldEvidenceIsLookedAtAgain(t *testing.T) {
	s := newSalon(t)
	rowan, hazel := s.signedIn("rowan"), s.signedIn("hazel")
	for i := range 3 {
		g := s.wholeGroom("wren", fmt.Sprint("Moss ", i))
		g.Set("size_kg", []string{"4", "12", "30"}[i])
		rowan.mark(g)
	}
	propose := "/apprentices/" + s.keys["wren"] + "/skills/TH4/propose"
	_, page := rowan.get(propose)
	old := hidden(page)
	old.Set("password", testPassword)
	old.Set("note", "Ready since spring.")
	hazel.mark(s.wholeGroom("wren", "Fern 9"))
	status, body, _ := rowan.post(propose, old)
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	keeps(t, body, "Ready since spring.", 1)
	assert.True(t, strings.Contains(body, "The evidence has changed") && strings.Contains(body, "Fern 9"), main(body))
	again := hidden(body)
	again.Set("password", testPassword)
	status, body, _ = rowan.post(propose, again)
	assert.Equal(t, http.StatusSeeOther, status, main(body))
}

func TestZonesAreKnown(t *testing.T) {
	for _, z := range zones {
		_, err := time.LoadLocation(z)
		assert.NoError(t, err)
	}
}
