package server

import (
	"context"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// Every sign-off of the invented salon: there is a certificate exactly of the
// newest confirmed one of each skill that the matrix shows as signed, and every
// other page says why not.
func TestCertificateOfEverySignOff(t *testing.T) {
	s := demoSalon(t)
	hesper := s.signedIn("hesper")
	ctx, prog := context.Background(), curriculum.Default()
	all, err := s.store.AllEvidence(ctx, hesper.scope())
	require.NoError(t, err)
	signed := map[string]bool{} // key of the apprentice and id of the skill
	for key, a := range all {
		for _, st := range a.Standings(prog, s.store.Today(hesper.scope())) {
			signed[key+st.Skill.ID] = st.State == assessment.Signed
		}
	}
	list, err := s.store.SignOffs(ctx, hesper.scope()) // the newest first
	require.NoError(t, err)
	newest, reasons := map[string]bool{}, map[string]int{}
	for _, so := range list {
		skill := so.Apprentice + so.Skill
		stands := so.Decision == assessment.Confirmed && !newest[skill] && signed[skill]
		if so.Decision == assessment.Confirmed {
			newest[skill] = true
		}
		status, page := hesper.get("/signoffs/" + so.Key + "/certificate")
		require.Equal(t, http.StatusOK, status)
		page = main(page)
		require.Equal(t, stands, strings.Contains(page, "Certificate of sign-off"), "%s of %s: %s", so.Skill, so.Who.Name, page)
		if stands {
			for _, says := range []string{so.Who.Name, so.Proposer.Name + ", " + so.Proposer.Role.Words() + ", " + so.Proposed.Words(), so.Decider.Name + ", " + so.Decider.Role.Words() + ", " + so.Decided.Words(),
				so.Digest, s.http.URL + "/signoffs/" + so.Key, "asks for a login"} {
				assert.Contains(t, page, says)
			}
			reasons["stands"]++
			continue
		}
		assert.NotContains(t, page, `class="qr"`)
		told := 0
		for _, why := range []string{"waits for a second person", "was declined on", "on hold since", "lapsed because", "signed off again since"} {
			if strings.Contains(page, why) {
				told++
				reasons[why]++
			}
		}
		assert.Equal(t, 1, told, "one reason: %s", page)
	}
	for _, why := range []string{"stands", "waits for a second person", "was declined on", "on hold since", "lapsed because"} {
		assert.NotZero(t, reasons[why], "the salon has one: %s", why)
	}
	s.checkWall(hesper, all)
}

// signedOffTH4 makes a sign-off of a skill without points: proposed by one,
// confirmed by the other.
func (s *salon) signedOffTH4(rowan, hazel *reader) (signOff string) {
	for dog, kg := range map[string]string{"Biscuit 17": "8", "Fern 9": "14", "Moss 2": "31"} {
		g := s.wholeGroom("jory", dog)
		g.Set("size_kg", kg)
		rowan.mark(g)
	}
	skill := "/apprentices/" + s.keys["jory"] + "/skills/TH4"
	_, page := rowan.get(skill + "/propose")
	form := hidden(page)
	form.Set("password", testPassword)
	status, body, signOff := rowan.post(skill+"/propose", form)
	require.Equal(s, http.StatusSeeOther, status, main(body))
	_, page = rowan.get(signOff)
	assert.NotContains(s, page, signOff+"/certificate", "nothing to certify yet")
	_, page = hazel.get(signOff)
	form = hidden(page)
	form.Set("decision", "confirm")
	form.Set("password", testPassword)
	status, body, _ = hazel.post(signOff+"/decide", form)
	require.Equal(s, http.StatusSeeOther, status, main(body))
	return signOff
}

// Who may see a certificate, how it is reached, and that it shows the standard of
// the version it was proposed under.
func TestCertificatePage(t *testing.T) {
	s := newSalon(t)
	rowan, hazel := s.signedIn("rowan"), s.signedIn("hazel")
	at := s.signedOffTH4(rowan, hazel)
	_, page := rowan.get(at)
	assert.Contains(t, page, `href="`+at+`/certificate"`)
	for login, want := range map[string]int{"rowan": 200, "hazel": 200, "lark": 200, "jory": 200, "wren": 404} {
		status, _ := s.signedIn(login).get(at + "/certificate")
		assert.Equal(t, want, status, login)
	}
	_, page = rowan.get(at + "/certificate")
	for _, says := range []string{"Look after and store scissors", "Pet groomer, salon core, version 1", "3 counting observations, listed in the record.", "so no chance of error is stated for it",
		"Current until 19 August 2026. It lapses when the skill is not done cleanly by 18 November 2026."} { // 91 and 182 days after 20 May 2026
		assert.Contains(t, main(page), says)
	}

	rule := *curriculum.Default().PointsRule("safety")
	rule.FaultCosts, rule.NeverBelow, rule.EligibleAt = 11, -19, 15
	_, err := s.store.PublishRule(context.Background(), rowan.scope(), rule, "")
	require.NoError(t, err)
	_, page = rowan.get("/programme")
	require.Contains(t, page, "Pet groomer, salon core")
	_, page = rowan.get(at + "/certificate")
	assert.Contains(t, main(page), "Pet groomer, salon core, version 1", "the version it was proposed under")

	req, err := http.NewRequest(http.MethodGet, s.http.URL+at+"/certificate", nil)
	require.NoError(t, err)
	req.Host = "elsewhere.test"
	res, err := rowan.client.Do(req)
	require.NoError(t, err)
	res.Body.Close()
	assert.Equal(t, http.StatusMisdirectedRequest, res.StatusCode, "a code never leads to a name this server does not have")
}
