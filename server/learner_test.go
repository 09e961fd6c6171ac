package server

import (
	"bytes"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/store"
)

// entry is a logbook entry that can be taken, with who was there.
func (s *salon) entry(there string) url.Values {
	who := s.keys[there]
	if there == "" {
		who = noSupervisor
	}
	return url.Values{"day": {"2026-05-19"}, "dog": {"Pebble 3"}, "coat": {"SI"}, "size_kg": {"6,2"}, "skill": {"HC4"}, "level": {"4"}, "outcome": {"planned"}, "words": {"Steady all along."}, "supervisor": {who}}
}

// log sends a logbook entry from its page.
func (r *reader) log(form url.Values) (status int, body, to string) {
	_, page := r.get("/logbook/new")
	for name, v := range hidden(page) {
		form[name] = v
	}
	return r.post("/logbook/new", form)
}

// show has the marks of an own groom shown without rating it.
func (r *reader) show(receipt string) {
	r.s.Helper()
	_, page := r.get(receipt)
	status, body, _ := r.post(receipt+"/show", hidden(page))
	require.Equal(r.s, http.StatusSeeOther, status, main(body))
}

// say says something to the marks of an own groom.
func (r *reader) say(receipt, what, words string) (status int, body string) {
	_, page := r.get(receipt)
	status, body, _ = r.post(receipt+"/acknowledge", with(hidden(page), "said", what, "words", words))
	return status, body
}

// countersign ticks entries and signs for them.
func (r *reader) countersign(password string, entries ...string) (status int, body string) {
	_, page := r.get("/logbook/countersign")
	form := with(hidden(page), "password", password)
	for _, e := range entries {
		form.Add("entry", strings.TrimPrefix(e, "/logbook/"))
	}
	status, body, _ = r.post("/logbook/countersign", form)
	return status, body
}

// part is what stands between two texts of a page.
func part(t *testing.T, body, from, to string) string {
	t.Helper()
	_, rest, found := strings.Cut(body, from)
	require.True(t, found, "%q is not in %s", from, main(body))
	rest, _, found = strings.Cut(rest, to)
	require.True(t, found, "%q is not after %q", to, from)
	return rest
}

// What an apprentice may do today stands under the distance it is trusted at, in
// the programme's own words; what is held stands first, with what ends it.
func TestWhatIMayDoToday(t *testing.T) {
	s := newSalon(t)
	rowan, jory := s.signedIn("rowan"), s.signedIn("jory")
	_, page := jory.get("/")
	assert.Contains(t, page, "Nobody has set it yet")
	assert.Contains(t, part(t, page, "Not until …", "trust-group"), "Not until the salon&#39;s written policy allows it.", "ear hair and the cabinet")

	for i := range 3 {
		rowan.mark(with(s.wholeGroom("jory", "Moss "+string(rune('a'+i))), "size_kg", []string{"4", "12", "30"}[i]))
	}
	skill := "/apprentices/" + s.keys["jory"] + "/skills/NE1"
	_, page = rowan.get(skill)
	status, body, _ := rowan.post(skill+"/permission", with(hidden(page), "level", "4", "reason", "Calm and exact."))
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, page = jory.get("/")
	room := part(t, page, "<b>Same room</b>", "</details>\n  <details class=\"trust-group\"")
	assert.Contains(t, room, "with an assessor in the room, who checks the dog before it goes home")
	nails := curriculum.Default().Skill("NE1")
	assert.Contains(t, room, nails.Title)
	assert.Contains(t, room, strings.ReplaceAll(nails.Caution, "'", "&#39;"), "the caution is one tap away")
	first := part(t, page, `class="panel strong first-thing"`, "</section>")
	assert.Contains(t, first, "Rate your own work on Moss c", "the one thing that can only be done before the marks are seen")

	// A groom that is still sealed takes the permission down all the same: what
	// may be done today is told from everything.
	rowan.mark(with(s.wholeGroom("jory", "Fern 9"), "skill.NE1", "3"))
	_, page = jory.get("/")
	next := part(t, page, "<b>Next table</b>", "</details>\n  <details class=\"trust-group\"")
	assert.Contains(t, next, nails.Title)
	assert.Contains(t, next, "P4 was set; limited by the evidence as it stands now")
	_, page = jory.get(skill)
	assert.Contains(t, page, `<b class="level">P3</b>`, "and on the skill's own page")

	harm := s.wholeGroom("jory", "Fern 10")
	for name, v := range map[string]string{"kind": "fall", "severity": "S4", "attribution": "apprentice", "skill": "HR2"} {
		harm.Set("incident.0."+name, v)
	}
	rowan.mark(harm)
	_, page = jory.get("/")
	held := part(t, page, "Not until …", "trust-group")
	assert.Contains(t, held, "Not until a person releases the hold")
	assert.Contains(t, held, nails.Title)
	assert.Contains(t, held, "for now P1, watch and assist")
}

// The nearest skill comes first with all that is missing once nothing is to be
// rated.
func TestTheFirstThingIsTheNearestSkill(t *testing.T) {
	s := newSalon(t)
	rowan, jory := s.signedIn("rowan"), s.signedIn("jory")
	receipt := rowan.mark(s.wholeGroom("jory", "Moss 1"))
	jory.show(receipt)
	for _, known := range []string{"CW7", "CW8"} { // nearer than any groom: one check
		skill := "/apprentices/" + s.keys["jory"] + "/skills/" + known
		_, page := rowan.get(skill)
		status, body, _ := rowan.post(skill+"/check", with(hidden(page), "day", "2026-05-20", "percent", "90"))
		require.Equal(t, http.StatusSeeOther, status, main(body))
	}
	_, page := jory.get("/")
	first := part(t, page, `class="panel strong first-thing"`, "</section>")
	assert.Contains(t, first, "Counting observations: 2 counting observations more.")
	assert.Contains(t, first, "Size bands: 1 size band more (so far S).", "every open requirement, not only the first")
	assert.Contains(t, page, "Read the marks of Moss 1")
	status, body := jory.say(receipt, "read", "")
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, page = jory.get("/")
	assert.NotContains(t, page, "Read the marks of Moss 1")
}

// Reading the marks and agreeing with them are two things, neither changes a
// mark, and a disagreement is answered once.
func TestAnApprenticeAcknowledgesOrDisagrees(t *testing.T) {
	s := newSalon(t)
	rowan, hazel, jory := s.signedIn("rowan"), s.signedIn("hazel"), s.signedIn("jory")
	g := hazel.mark(with(s.wholeGroom("jory", "Biscuit 17"), "level.R5", "3"))
	status, body, _ := jory.post(g+"/acknowledge", url.Values{"said": {"disagree"}, "words": {"Not at all."}})
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "have not been shown to you yet")
	assert.Contains(t, body, "Not at all.", "what was written is given back")
	jory.show(g)

	status, body = jory.say(g, "", "")
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "Choose whether you have read the marks")
	_, page := jory.get(g)
	form := with(hidden(page), "said", "read")
	status, body, to := jory.post(g+"/acknowledge", form)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	assert.Equal(t, g+"#said", to)
	status, _, again := jory.post(g+"/acknowledge", form)
	assert.Equal(t, http.StatusSeeOther, status, "a repeat gets the first answer")
	assert.Equal(t, g, again)
	_, page = rowan.get("/")
	assert.NotContains(t, page, "Marks that an apprentice disagrees with")

	status, body = jory.say(g, "read", "Twice.")
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "Choose whether", "only disagreeing is left to be chosen")
	status, body = jory.say(g, "disagree", "")
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "Say what you see differently")
	_, before := jory.get("/apprentices/" + s.keys["jory"])
	status, body = jory.say(g, "disagree", "The comb passed at the second try.")
	require.Equal(t, http.StatusSeeOther, status, main(body))
	jory.get(g) // where it is told that it is in the record
	_, after := jory.get("/apprentices/" + s.keys["jory"])
	assert.Equal(t, main(before), main(after), "no mark and no standing changes")
	status, body = jory.say(g, "disagree", "Once more.")
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "Once more.")

	for name, r := range map[string]*reader{"who marked it": hazel, "the head groomer": rowan} {
		_, page = r.get("/")
		assert.Contains(t, part(t, page, "Marks that an apprentice disagrees with", "</section>"), "Biscuit 17", name)
	}
	for _, r := range []*reader{hazel, rowan, s.signedIn("lark")} {
		_, page = r.get(g)
		assert.Contains(t, page, "The comb passed at the second try.", r.login)
	}
	status, _ = s.signedIn("wren").get(g)
	assert.Equal(t, http.StatusNotFound, status)

	_, page = rowan.get(g)
	answer := with(hidden(page), "words", "Looked at the photo again: it did not.")
	status, body, _ = rowan.post(g+"/answer", answer)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	status, _, _ = rowan.post(g+"/answer", answer)
	assert.Equal(t, http.StatusSeeOther, status)
	status, body, _ = hazel.post(g+"/answer", url.Values{"words": {"I would add something."}})
	assert.Equal(t, http.StatusUnprocessableEntity, status, "it is answered once")
	assert.Contains(t, body, "I would add something.")
	_, page = jory.get("/")
	assert.Contains(t, page, "Rowan Ash answers you about Biscuit 17")
	_, page = hazel.get("/")
	assert.NotContains(t, page, "Marks that an apprentice disagrees with")
}

// A correction answers by itself: there is nothing left to say to the old version.
func TestACorrectionAnswersADisagreement(t *testing.T) {
	s := newSalon(t)
	hazel, jory := s.signedIn("hazel"), s.signedIn("jory")
	g := hazel.mark(with(s.wholeGroom("jory", "Biscuit 17"), "level.R5", "3"))
	jory.show(g)
	jory.say(g, "disagree", "The comb passed.")
	newer := hazel.correct(g, map[string]string{"level.R5": "4"})
	_, page := hazel.get("/")
	assert.NotContains(t, page, "Marks that an apprentice disagrees with")
	status, body, _ := hazel.post(g+"/answer", url.Values{"words": {"You are right."}})
	assert.Equal(t, http.StatusUnprocessableEntity, status, main(body))
	_, page = jory.get(newer)
	assert.Contains(t, page, "What I say to these marks", "the newer version is read anew")
}

// A logbook entry is the apprentice's word until whoever was there countersigns
// it: before, no fault costs and nothing is in use.
func TestLogbookEntryIsOneWordUntilCountersigned(t *testing.T) {
	s := newSalon(t)
	rowan, hazel, jory, wren := s.signedIn("rowan"), s.signedIn("hazel"), s.signedIn("jory"), s.signedIn("wren")
	for _, dog := range []string{"Moss 1", "Moss 2", "Moss 3"} {
		jory.show(rowan.mark(s.wholeGroom("jory", dog)))
	}
	skill := "/apprentices/" + s.keys["jory"] + "/skills/HC4"
	status, body, planned := jory.log(s.entry("hazel"))
	require.Equal(t, http.StatusSeeOther, status, main(body))
	status, body, fault := jory.log(with(s.entry("hazel"), "outcome", "wrong", "level", "5", "dog", "Tarn 4", "words", "Missed the growl."))
	require.Equal(t, http.StatusSeeOther, status, main(body))
	status, body, alone := jory.log(s.entry(""))
	require.Equal(t, http.StatusSeeOther, status, main(body))

	for _, r := range []*reader{jory, rowan, hazel, s.signedIn("lark")} {
		_, page := r.get(planned)
		assert.Contains(t, page, "Own word", r.login)
		assert.Contains(t, page, "Steady all along.", r.login)
	}
	_, page := jory.get(skill)
	assert.Contains(t, page, "3 points after 3 observations", "one word moves nothing")
	assert.NotContains(t, page, "Pebble 3")

	status, _ = wren.get(planned)
	assert.Equal(t, http.StatusNotFound, status)
	_, page = wren.get("/logbook?apprentice=" + s.keys["jory"])
	assert.NotContains(t, page, "Pebble 3")
	_, page = rowan.get("/")
	assert.NotContains(t, page, "Logbook entries to countersign", "only who was there is asked")
	status, body = rowan.countersign(testPassword, planned)
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "This one names somebody else")
	_, page = hazel.get("/")
	assert.Contains(t, part(t, page, "Logbook entries to countersign", "</section>"), "Tarn 4")
	status, body = hazel.countersign(testPassword, alone)
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "Nobody was there")

	status, body = hazel.countersign("not the password", fault)
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Regexp(t, `name="entry" value="`+strings.TrimPrefix(fault, "/logbook/")+`" checked`, body, "what was ticked stays ticked")
	status, body = hazel.countersign(testPassword)
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "Tick at least one entry")
	status, body = hazel.countersign(testPassword, planned, fault, alone)
	assert.Equal(t, http.StatusUnprocessableEntity, status, "all or none: %s", main(body))
	_, page = jory.get(planned)
	assert.NotContains(t, page, "Hazel countersigned it")

	_, page = hazel.get("/logbook/countersign")
	form := with(hidden(page), "password", testPassword)
	form["entry"] = []string{strings.TrimPrefix(planned, "/logbook/"), strings.TrimPrefix(fault, "/logbook/")}
	for range 2 { // the second is a repeat, and changes nothing
		status, body, _ = hazel.post("/logbook/countersign", form)
		require.Equal(t, http.StatusSeeOther, status, main(body))
	}
	_, page = jory.get(skill)
	// Two clean ones before the entries' day would stand at 3; a fault costs 10.
	assert.Contains(t, page, "−7 points after 4 observations", "the fault costs as any other, the clean entry earns nothing")
	assert.Contains(t, part(t, page, "Left out, and why", "</section>"), "logbook entry, not watched by an assessor")
	_, page = jory.get(fault)
	assert.Contains(t, page, "Hazel countersigned it")
	_, page = jory.get("/logbook?state=1")
	assert.Contains(t, page, "Tarn 4")
	assert.NotContains(t, page, "nobody was there")
	_, page = jory.get("/logbook?state=2")
	assert.Contains(t, page, "Nothing here: not as it was")
}

func TestALogbookEntryThatWasNotSo(t *testing.T) {
	s := newSalon(t)
	rowan, jory := s.signedIn("rowan"), s.signedIn("jory")
	_, _, entry := jory.log(s.entry("rowan"))
	_, page := rowan.get(entry)
	form := with(hidden(page), "reason", "I cut the nails, you held the paws.", "password", testPassword)
	for range 2 {
		status, body, _ := rowan.post(entry+"/deny", form)
		require.Equal(t, http.StatusSeeOther, status, main(body))
	}
	_, page = jory.get(entry)
	assert.Contains(t, page, "I cut the nails, you held the paws.")
	assert.Contains(t, page, "It shows nothing of a skill.")
	status, body := rowan.countersign(testPassword, entry)
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "decided on already")
}

func TestLogbookTellsWhatIsWrong(t *testing.T) {
	s := newSalon(t)
	jory := s.signedIn("jory")
	for name, c := range map[string]struct {
		change [2]string
		says   string
	}{
		"no dog":           {[2]string{"dog", ""}, "Give the dog a label"},
		"tomorrow":         {[2]string{"day", "2026-05-21"}, "in the future"},
		"no day":           {[2]string{"day", "yesterday"}, "is not a day"},
		"no coat":          {[2]string{"coat", ""}, "Choose the coat class"},
		"weight":           {[2]string{"size_kg", "heavy"}, "is not a weight"},
		"no skill":         {[2]string{"skill", ""}, "does not know"},
		"checked":          {[2]string{"skill", "CW7"}, "is not shown on a dog"},
		"no level":         {[2]string{"level", ""}, "L1 to L5"},
		"how it went":      {[2]string{"outcome", ""}, "Say whether it went as planned"},
		"silent fault":     {[2]string{"outcome", "wrong"}, ""},
		"who was there":    {[2]string{"supervisor", ""}, "Choose who was there"},
		"another learner":  {[2]string{"supervisor", s.keys["wren"]}, "Choose who was there"},
		"two lines of dog": {[2]string{"dog", "Moss\nGreen"}, "line break"},
	} {
		t.Run(name, func(t *testing.T) {
			status, body, _ := jory.log(with(s.entry("rowan"), c.change[0], c.change[1]))
			if c.says == "" {
				assert.Equal(t, http.StatusSeeOther, status, main(body))
				return
			}
			assert.Equal(t, http.StatusUnprocessableEntity, status)
			assert.Contains(t, body, c.says)
		})
	}
	two := with(s.entry("rowan"), "outcome", "wrong")
	two["skill"] = []string{"HC4", "NE1"}
	status, body, _ := jory.log(two)
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "Enter that skill by itself")
	assert.Equal(t, 2, strings.Count(part(t, body, "What you did", "</fieldset>"), " checked>"), "what was ticked stays ticked")
	status, body, _ = jory.log(with(s.entry("rowan"), "outcome", "wrong", "words", ""))
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "Say in one line what went wrong")
}

func TestProgressOverTimeSaysWhenThereIsTooLittle(t *testing.T) {
	s := newSalon(t)
	rowan, jory := s.signedIn("rowan"), s.signedIn("jory")
	at := "/apprentices/" + s.keys["jory"] + "/progress"
	_, page := jory.get(at)
	assert.Contains(t, page, "Too early to draw: 0 months of at least 3.")
	assert.Contains(t, page, "Too few to draw: 0 grooms with a result of at least 5.")
	assert.NotContains(t, page, `class="chart"`)
	var receipts []string
	for _, g := range []struct{ dog, day string }{{"Moss 1", "2026-02-03"}, {"Moss 2", "2026-02-10"}, {"Moss 3", "2026-03-03"}, {"Moss 4", "2026-04-07"}, {"Moss 5", "2026-05-19"}} {
		receipts = append(receipts, rowan.mark(with(s.wholeGroom("jory", g.dog), "day", g.day)))
	}
	_, page = jory.get(at)
	assert.Contains(t, page, "May 2026, so far")
	assert.Contains(t, page, "Too few to draw: 4 grooms", "the newest is not rated yet")
	jory.show(receipts[4])
	_, page = jory.get(at)
	assert.Contains(t, page, "5 grooms, of which 5 met the standard.")
	assert.NotContains(t, page, "Wren", "nobody else is in it")
}

// An apprentice's copy is whole: it holds marks that they have not seen, so
// downloading it counts as seeing them, and is announced before.
func TestMyCopyShowsTheMarks(t *testing.T) {
	s := newSalon(t)
	rowan, jory := s.signedIn("rowan"), s.signedIn("jory")
	receipt := rowan.mark(s.wholeGroom("jory", "Biscuit 17"))
	rowan.mark(s.wholeGroom("wren", "Clover 3"))
	jory.log(with(s.entry("rowan"), "words", "Only mine to read."))
	jory.log(with(s.entry(""), "dog", "Nobody 1"))
	_, page := jory.get("/")
	copyURL := part(t, page, `<a href="/export`, `"`)
	_, page = jory.get("/export" + copyURL)
	assert.Contains(t, page, "My copy of my record")
	assert.Contains(t, page, "The marks of 1 newer groom have not been shown to you yet")
	_, sealed := jory.get(receipt)
	assert.Contains(t, sealed, "Rate your own work first", "looking at the page opens nothing")
	status, body, _ := jory.post("/export/workbook", with(hidden(page), "scope", s.keys["jory"]))
	require.Equal(t, http.StatusOK, status)
	book, err := excelize.OpenReader(bytes.NewReader([]byte(body)))
	require.NoError(t, err)
	defer book.Close()
	rows, err := book.GetRows("Assessed grooms")
	require.NoError(t, err)
	assert.Contains(t, strings.Join(flat(rows), " "), "Biscuit 17")
	assert.NotContains(t, strings.Join(flat(rows), " "), "Clover 3")
	rows, err = book.GetRows("Logbook")
	require.NoError(t, err)
	text := strings.Join(flat(rows), " ")
	assert.Contains(t, text, "Own word, not countersigned")
	assert.Contains(t, text, "Nobody 1")
	assert.NotContains(t, text, "Only mine to read.", "words are left out of every export")
	rows, err = book.GetRows("Observations")
	require.NoError(t, err)
	assert.NotContains(t, strings.Join(flat(rows), " "), "Logbook", "what nobody countersigned is no observation")
	_, page = jory.get(receipt)
	assert.NotContains(t, page, "Rate your own work first")
	status, body, _ = jory.post("/export/workbook", url.Values{"scope": {s.keys["wren"]}})
	assert.Equal(t, http.StatusUnprocessableEntity, status, main(body))
}

func flat(rows [][]string) (out []string) {
	for _, r := range rows {
		out = append(out, r...)
	}
	return out
}

// The record tells that something was said, never the words.
func TestTheRecordKeepsNoWordsOfApprentices(t *testing.T) {
	s := newSalon(t)
	rowan, jory := s.signedIn("rowan"), s.signedIn("jory")
	g := rowan.mark(s.wholeGroom("jory", "Biscuit 17"))
	jory.show(g)
	jory.say(g, "disagree", "canary in the words")
	jory.log(with(s.entry("rowan"), "words", "canary in the logbook"))
	_, page := rowan.get(g)
	rowan.post(g+"/answer", with(hidden(page), "words", "canary in the answer"))
	sc, err := s.store.ScopeOf(t.Context(), s.keys["rowan"])
	require.NoError(t, err)
	said, err := s.store.Acknowledgements(t.Context(), sc, store.AcknowledgementFilter{})
	require.NoError(t, err)
	require.Len(t, said, 1)
	assert.Equal(t, assessment.Acknowledgement{Disagrees: true, Words: "canary in the words"}, said[0].Acknowledgement)
	require.NotNil(t, said[0].Answer)
	status, body, _ := rowan.post("/export/workbook", url.Values{"scope": {"salon"}})
	require.Equal(t, http.StatusOK, status)
	book, err := excelize.OpenReader(bytes.NewReader([]byte(body)))
	require.NoError(t, err)
	defer book.Close()
	for _, sheet := range book.GetSheetList() {
		rows, err := book.GetRows(sheet)
		require.NoError(t, err)
		assert.NotContains(t, strings.Join(flat(rows), " "), "canary", sheet)
	}
}
