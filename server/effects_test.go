package server

import (
	"fmt"
	"html"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What a signed groom's page says of a skill is true of every groom, the newest
// and an old one.
func TestReceiptSaysWhatIsTrueToday(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	var receipts []string
	for i := range 3 {
		g := s.wholeGroom("jory", fmt.Sprint("Moss ", i))
		g.Set("day", fmt.Sprintf("2026-05-1%d", i))
		if i == 1 {
			g.Set("skill.HC4", "3")
		}
		receipts = append(receipts, rowan.mark(g))
	}
	line := func(receipt string) string {
		_, page := rowan.get(receipt)
		assert.NotContains(t, page, "What it changed")
		_, rest, found := strings.Cut(page, `/skills/HC4">`)
		require.True(t, found)
		rest, _, _ = strings.Cut(rest, "</li>")
		return html.UnescapeString(rest)
	}
	for i, says := range []string{"L4, clean, +1, 1 point after it", "L3, not clean, −10, −9 points after it", "L4, clean, +1, −8 points after it"} {
		got := line(receipts[i])
		assert.Contains(t, got, says)
		assert.Contains(t, got, `now</span> <b>−8 points</b>`, "where it stands today, without an arrow from then")
		assert.NotContains(t, got, "→")
	}

	_, page := rowan.get(receipts[1] + "/correct")
	form := hidden(page)
	form.Set("reason", "Wrong skill")
	_, _, draft := rowan.post(receipts[1]+"/correct", form)
	_, page = rowan.get(draft)
	sent := with(s.wholeGroom("jory", "Moss 1"), "action", "read_back", "day", "2026-05-11", "base_version", hidden(page).Get("base_version"))
	status, body, to := rowan.post(draft, sent)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, page = rowan.get(to)
	status, body, newer := rowan.post(draft+"/sign", with(hidden(page), "password", testPassword))
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, page = rowan.get(receipts[1])
	assert.Contains(t, page, `This version no longer counts; see <a href="`+newer+`">the newer one</a>.`)
	assert.NotContains(t, page, "No skill moved")
	assert.Contains(t, line(receipts[2]), "3 points after it", "of the record as it stands now")
	_, page = rowan.get("/grooms")
	assert.Equal(t, 1, strings.Count(page, `<span class="tag">Replaced</span>`))
	assert.NotContains(t, page, `<span class="tag">Corrected</span>`)
}

// Many skills that have enough already do not bury the few that move.
func TestReadBackShowsWhatMovesFirst(t *testing.T) {
	s := newSalon(t)
	rowan, hazel := s.signedIn("rowan"), s.signedIn("hazel")
	for i := range 7 {
		g := s.wholeGroom("wren", fmt.Sprint("Moss ", i))
		g.Set("size_kg", []string{"4", "12", "30"}[i%3])
		[]*reader{rowan, hazel}[i%2].mark(g)
	}
	draft, sent := rowan.begin(with(s.wholeGroom("wren", "Fern 9"), "skill.HC4", "2"))
	_, _, to := rowan.post(draft, with(sent, "action", "read_back"))
	_, page := rowan.get(to)
	_, changes, _ := strings.Cut(page, "What signing changes")
	changes, _, _ = strings.Cut(changes, "<h2>The dog")
	first, folded, has := strings.Cut(changes, "<details>")
	require.True(t, has)
	assert.Regexp(t, `^(?s)[^/]*<a href="/apprentices/[^"]+/skills/HC4">`, first[strings.Index(first, `class="effect-skill"`):], "what is not clean comes first")
	assert.Contains(t, first, `−3 points`)
	assert.Contains(t, folded, "enough (3 needed)")
	assert.Contains(t, folded, "as they are")
	assert.NotContains(t, changes, "8 of 3")
}

// The three lists of a skill add up and say what each observation did.
func TestSkillPageGroups(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	for i := range 4 {
		g := s.wholeGroom("jory", fmt.Sprint("Moss ", i))
		if i == 2 {
			g.Set("skill.HC4", "2")
		}
		rowan.mark(g)
	}
	rowan.mark(s.wholeGroom("jory", "Moss 3")) // the same dog again on the same day
	jory := "/apprentices/" + s.keys["jory"] + "/skills/"
	_, page := rowan.get(jory + "HC4")
	for _, heading := range []string{`Observations that count <span class="soft">3</span>`, `Observations that cost points <span class="soft">1</span>`, `Left out, and why <span class="soft">1</span>`} {
		assert.Contains(t, page, heading)
	}
	_, cost, _ := strings.Cut(page, "Observations that cost points")
	cost, left, _ := strings.Cut(cost, "Left out, and why")
	assert.Contains(t, cost, "<span>not clean</span> <b>−10</b>")
	assert.NotContains(t, left, "not clean")
	assert.Contains(t, page, "24 observations more if all are clean") // from −7 to 17
}

func TestSkillsThatGroomsDoNotShow(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	jory := "/apprentices/" + s.keys["jory"] + "/skills/"
	for skill, says := range map[string]string{"CW5": "The next rehearsal that is recorded", "CW7": "The next knowledge check that is recorded", "HC4": "The next groom that shows this skill"} {
		_, page := rowan.get(jory + skill)
		assert.Contains(t, page, "None yet. "+says)
	}
	_, page := rowan.get(jory + "HC4")
	assert.Contains(t, page, "0 made, 60 left")
	assert.Contains(t, page, "not used up")
	assert.NotContains(t, page, "Reached within the declared observations")

	_, page = rowan.get(jory + "CW5")
	status, body, _ := rowan.post(jory+"CW5/check", with(hidden(page), "day", "2026-05-19", "level", "4"))
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, page = rowan.get(jory + "CW5")
	assert.Contains(t, page, "<b>Rehearsal</b>")
	assert.NotContains(t, page, "Simulation")
}

// A permission is set once; setting it again says so.
func TestSamePermissionTwice(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	skill := "/apprentices/" + s.keys["jory"] + "/skills/HC4"
	set := func(level, id string) (int, string) {
		status, body, _ := rowan.post(skill+"/permission", url.Values{"level": {level}, "reason": {"Seen"}, "client_id": {id}})
		return status, body
	}
	status, body := set("1", "first")
	require.Equal(t, http.StatusSeeOther, status, main(body))
	status, _ = set("1", "first")
	assert.Equal(t, http.StatusSeeOther, status, "a repeat gets the first answer")
	status, body = set("1", "second")
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "P1 is set already")
	_, page := rowan.get(skill)
	assert.NotContains(t, page, "since since")
	assert.Contains(t, page, "since 20 May 2026")
	assert.NotContains(t, page, "P1 → ")
}

// A hold caps a permission from its own day on.
func TestPermissionUnderAHold(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	for i := range 8 {
		g := s.wholeGroom("jory", fmt.Sprint("Moss ", i))
		g.Set("day", fmt.Sprintf("2026-05-0%d", i+1))
		rowan.mark(g)
	}
	skill := "/apprentices/" + s.keys["jory"] + "/skills/HR2"
	_, page := rowan.get(skill)
	status, body, _ := rowan.post(skill+"/permission", with(hidden(page), "level", "3", "reason", "Seen often", "client_id", "p"))
	require.Equal(t, http.StatusSeeOther, status, main(body))
	harm := s.wholeGroom("jory", "Fern 9")
	for name, v := range map[string]string{"kind": "fall", "severity": "S3", "attribution": "apprentice", "skill": "HR2", "note": "Limped."} {
		harm.Set("incident.0."+name, v)
	}
	harm.Set("day", "2026-05-15")
	rowan.mark(harm)
	_, page = rowan.get(skill)
	assert.Contains(t, page, "while on hold since 15 May 2026; P3 was set on 20 May 2026")
}

// The page and the workbook count the same grooms: no second ratings, no
// replaced versions.
func TestCompletionOnTheApprenticesPage(t *testing.T) {
	s := newSalon(t)
	rowan, hazel := s.signedIn("rowan"), s.signedIn("hazel")
	first := rowan.mark(s.wholeGroom("jory", "Biscuit 17"))
	_, _, draft := hazel.post("/grooms/second", url.Values{"groom": {strings.TrimPrefix(first, "/grooms/signed/")}, "client_id": {"x"}})
	_, page := hazel.get(draft)
	_, _, to := hazel.post(draft, with(s.wholeGroom("jory", "Biscuit 17"), "action", "read_back", "base_version", hidden(page).Get("base_version")))
	_, page = hazel.get(to)
	status, body, _ := hazel.post(draft+"/sign", with(hidden(page), "password", testPassword))
	require.Equal(t, http.StatusSeeOther, status, main(body))

	_, page = rowan.get("/apprentices/" + s.keys["jory"])
	_, finish, found := strings.Cut(page, "What finishing the programme needs")
	require.True(t, found)
	finish, _, _ = strings.Cut(finish, "</section>")
	finish = strings.Join(strings.Fields(finish), " ")
	assert.Contains(t, finish, `<b>Whole grooms scored</b> <span class="req-state">still open</span></p> <p class="req-nums"><span><span class="soft">have</span> 1</span>`)
	for _, what := range []string{"Required skills signed", "Newest grooms in a row that meet the standard", "Coat classes among the grooms", "Size bands among the grooms", "Assessors among the grooms", "Open holds"} {
		assert.Contains(t, finish, what)
	}
	assert.NotContains(t, page, "Started  ·")
	assert.NotContains(t, page, "Started ·")
}

func TestWorkbookOfOneApprenticeIsNamed(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	for scope, name := range map[string]string{"salon": "tablehand-2026-05-20.xlsx", s.keys["jory"]: "tablehand-jory-2026-05-20.xlsx"} {
		req, _ := http.NewRequest(http.MethodPost, s.http.URL+"/export/workbook", strings.NewReader(url.Values{"scope": {scope}}.Encode()))
		req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		req.Header.Set("Origin", s.http.URL)
		res, err := rowan.client.Do(req)
		require.NoError(t, err)
		res.Body.Close()
		assert.Contains(t, res.Header.Get("Content-Disposition"), name)
	}
}

func TestSignOffsOfOneApprentice(t *testing.T) {
	s := newSalon(t)
	rowan, hazel := s.signedIn("rowan"), s.signedIn("hazel")
	for i := range 6 {
		g := s.wholeGroom([]string{"wren", "jory"}[i%2], fmt.Sprint("Moss ", i))
		g.Set("size_kg", []string{"4", "12", "30"}[i/2])
		[]*reader{rowan, hazel}[i/2%2].mark(g)
	}
	for _, who := range []string{"wren", "jory"} {
		skill := "/apprentices/" + s.keys[who] + "/skills/TH4/propose"
		_, page := hazel.get(skill)
		assert.Contains(t, page, `<a href="/apprentices/`+s.keys[who]+`">`, "the way up is a link")
		status, body, _ := hazel.post(skill, with(hidden(page), "password", testPassword))
		require.Equal(t, http.StatusSeeOther, status, main(body))
	}
	_, page := rowan.get("/signoffs")
	assert.Equal(t, 2, strings.Count(page, `<li><a href="/signoffs/`))
	_, page = rowan.get("/signoffs?apprentice=" + s.keys["jory"])
	assert.Equal(t, 1, strings.Count(page, `<li><a href="/signoffs/`))
	assert.Contains(t, page, "Those of Jory.")
}
