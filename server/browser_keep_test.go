package server

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/storage"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/server/store"
)

// line is the way from a tablet to the salon's computer. It can be cut.
type line struct {
	http.Handler
	state atomic.Int32
	saves atomic.Int32 // saves by a script that got through
}

const (
	whole      = iota
	cut        // nothing gets through
	answerLost // what is saved gets through, the answer does not
	broken     // the salon's computer has a fault
)

func (l *line) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	state := l.state.Load()
	if state == cut {
		panic(http.ErrAbortHandler)
	}
	if state == broken {
		http.Error(w, "fault", http.StatusInternalServerError)
		return
	}
	if saving := r.Method == http.MethodPost && strings.HasPrefix(r.URL.Path, "/grooms/drafts/"); saving {
		defer l.saves.Add(1)
		if state == answerLost {
			l.Handler.ServeHTTP(httptest.NewRecorder(), r)
			panic(http.ErrAbortHandler)
		}
	}
	l.Handler.ServeHTTP(w, r)
}

// network opens a second server on the same record, under a name as in a
// salon's network, and a browser that finds it. Over plain http such a page is
// not what browsers call a secure context, as one on 127.0.0.1 is.
func (s *salon) network(secure bool) (tab, *line) {
	s.Helper()
	srv, err := New(Options{Store: s.store, Now: s.server().Now, Hosts: LocalHosts("127.0.0.1:0", "salon.test")})
	require.NoError(s, err)
	l := &line{Handler: srv}
	lan := *s
	lan.http = httptest.NewUnstartedServer(l)
	lan.http.Config.ErrorLog = nil
	if secure {
		lan.http.StartTLS()
	} else {
		lan.http.Start()
	}
	s.Cleanup(lan.http.Close)
	lan.http.URL = strings.Replace(lan.http.URL, "127.0.0.1", "salon.test", 1)
	b := tab{&lan, browser(s.T, chromedp.Flag("host-resolver-rules", "MAP *.test 127.0.0.1"), chromedp.Flag("ignore-certificate-errors", true))}
	b.signIn("rowan")
	require.Equal(s, secure, act(s.T, b.ctx, chromedp.Evaluate[bool]("isSecureContext")))
	return b, l
}

// begin opens a new draft in the browser and returns its address.
func (b tab) begin(r *reader, dog string) (draft string) {
	b.Helper()
	draft, _ = r.begin(b.wholeGroom("jory", dog))
	b.openDraft(draft)
	return draft
}

func (b tab) openDraft(draft string) {
	b.Helper()
	b.open(draft)
	b.wait(`document.querySelector('textarea[name=asked]')`)
}

// hurry has the page save at once, as one that is put away does, instead of two
// seconds after the last change.
func (b tab) hurry() {
	b.Helper()
	act(b.T, b.ctx, chromedp.Evaluate[chromedp.Void](`(() => {
		Object.defineProperty(document, "visibilityState", {value: "hidden", configurable: true});
		document.dispatchEvent(new Event("visibilitychange"));
		delete document.visibilityState;
	})()`))
}

// says waits until the words on saving begin so.
func (b tab) says(words string) {
	b.Helper()
	b.wait(fmt.Sprintf(`document.getElementById("save-status").textContent.startsWith(%q)`, words))
}

func (b tab) pressText(text string) {
	b.Helper()
	b.wait(fmt.Sprintf(`[...document.querySelectorAll("button, a")].some((e) => e.textContent === %q && e.checkVisibility())`, text))
	act(b.T, b.ctx, chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`[...document.querySelectorAll("button, a")].find((e) => e.textContent === %q && e.checkVisibility()).click()`, text)))
}

func (b tab) script(text string) string {
	b.Helper()
	return act(b.T, b.ctx, chromedp.Evaluate[string](`(async () => { `+text+` })()`, chromedp.EvalAwaitPromise))
}

// kept is everything that is stored in the browser.
func (b tab) kept() []keptEntry {
	b.Helper()
	text := b.script(`const plain = Object.entries(localStorage).filter(([k]) => k !== "filler").map(([, v]) => JSON.parse(v));
		const db = await new Promise((done) => { const r = indexedDB.open("tablehand"); r.onsuccess = () => done(r.result); });
		const rows = db.objectStoreNames.contains("kept") ? await new Promise((done) => { const r = db.transaction("kept").objectStore("kept").getAll(); r.onsuccess = () => done(r.result); }) : [];
		db.close();
		return JSON.stringify([...plain, ...rows]);`)
	var out []keptEntry
	require.NoError(b, json.Unmarshal([]byte(text), &out), text)
	return out
}

type keptEntry struct {
	Key, Person, Draft, Page, Base, Save string
	Changes                              map[string][]string
	At                                   float64
}

func (b tab) nothingKept() {
	b.Helper()
	require.Eventually(b, func() bool { return len(b.kept()) == 0 }, 5*time.Second, 50*time.Millisecond, "what is saved is not kept any longer")
}

// write types a note as a person does, so that the page sees it.
func (b tab) write(field, text string) {
	b.Helper()
	act(b.T, b.ctx, chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`(() => { const e = document.querySelector("[name=%s]"); e.value = %q; e.dispatchEvent(new Event("input", {bubbles: true})); })()`, field, text)))
}

// version and what the record has of a draft.
func (r *reader) draft(draft string) store.Draft {
	r.s.Helper()
	d, err := r.s.store.Draft(context.Background(), r.scope(), strings.TrimPrefix(draft, "/grooms/drafts/"))
	require.NoError(r.s, err)
	return d
}

// emulate is left out of the library's newest protocol; every Chromium in use
// still knows it.
var emulate = cdp.Command[map[string]any, cdp.Empty]{Method: "Network.emulateNetworkConditions"}

func (b tab) offline(is bool) {
	b.Helper()
	_, err := chromedp.Call(b.ctx, emulate, map[string]any{"offline": is, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1})
	require.NoError(b, err)
}

// The network goes away in the middle of a groom, and comes back; then an
// answer is lost on the way. One groom comes of it, and nobody meets themselves.
func TestBrowserKeepsWhatTheServerDoesNotHave(t *testing.T) {
	for _, secure := range []bool{false, true} {
		t.Run(fmt.Sprintf("secure %v", secure), func(t *testing.T) {
			s := newSalon(t)
			rowan := s.signedIn("rowan")
			b, l := s.network(secure)
			draft := b.begin(rowan, "Moss 2")
			for name, v := range s.wholeGroom("jory", "Moss 2") {
				if strings.HasPrefix(name, "level.") {
					b.pick(name, v[0])
				}
			}
			b.says("Saved")
			b.nothingKept()

			b.offline(true)
			b.pick("level.R1", "2")
			b.pick("coat", "WO")
			b.write("keep", "Canary: calm hands")
			b.write("dog", "Canary Moss")
			b.write("size_kg", "8,4")
			b.hurry()
			b.says("Kept on this tablet (3 changes); notes only while this page is open. No answer; trying again.")
			kept := b.kept()
			require.Len(t, kept, 1)
			assert.Equal(t, map[string][]string{"level.R1": {"2"}, "coat": {"WO"}, "size_kg": {"8,4"}}, kept[0].Changes, "no name and no note")
			assert.Equal(t, s.keys["rowan"]+draft[len("/grooms/drafts"):]+"/"+kept[0].Page, kept[0].Key)
			b.press(`button[value=read_back]`)
			b.says("Not done yet. Kept on this tablet (3 changes)")
			assert.Equal(t, draft, b.path(), "nothing leads on, and nothing is queued")
			b.offline(false)
			b.says("Saved")
			b.nothingKept()
			assert.Equal(t, "Canary: calm hands", rowan.draft(draft).Form.Get("keep"))

			// The answer is lost, more is changed, and the line comes back.
			before := rowan.draft(draft).Version
			l.state.Store(answerLost)
			b.pick("level.R2", "3")
			b.hurry()
			b.says("Kept on this tablet (1 change).")
			assert.Equal(t, before+1, rowan.draft(draft).Version, "however often it was tried")
			b.pick("level.R1", "4")
			b.pick("level.R2", "4")
			for name, v := range map[string]string{"matting": "1", "temperament": "2"} {
				b.pick(name, v)
			}
			b.write("asked", "Short all over, 10 mm")
			l.state.Store(whole)
			b.pressText("Try now")
			b.says("Saved")
			b.nothingKept()
			for _, place := range []string{"behind_ears", "armpits", "between_toes", "tail_base"} {
				b.pick("prep", place)
			}
			b.press(`button.primary[value=read_back]`) // before what was just ticked is saved
			b.wait(`location.pathname.endsWith("/read-back") && document.querySelector('input[name=password]')`)
			b.sign()
			b.wait(`location.pathname.startsWith("/grooms/signed/")`)
			assert.Contains(t, b.text(), "Canary: calm hands")
			b.open("/grooms")
			assert.Equal(t, 1, strings.Count(b.text(), "Canary Moss"))
			b.nothingKept()
		})
	}
}

func (b tab) path() string {
	b.Helper()
	return strings.TrimPrefix(act(b.T, b.ctx, chromedp.Location()), b.http.URL)
}

// away leaves the page while the line is cut, and waits until its last try has
// failed.
func (b tab) away() {
	b.Helper()
	act(b.T, b.ctx, chromedp.Navigate("about:blank"))
	time.Sleep(300 * time.Millisecond)
}

// told waits for a notice above the form that has these words in it.
func (b tab) told(words string) {
	b.Helper()
	b.wait(fmt.Sprintf(`document.getElementById("kept").textContent.includes(%q)`, words))
}

func (b tab) chosen(name string) string {
	b.Helper()
	return act(b.T, b.ctx, chromedp.Evaluate[string](fmt.Sprintf(`new FormData(document.querySelector("form[data-autosave]")).get(%q) ?? ""`, name)))
}

// The page was gone before the line was back: what it kept is put back into the
// form, and can be taken out again.
func TestBrowserPutsBackWhatWasKept(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	b, l := s.network(false)
	draft := b.begin(rowan, "Moss 2")
	lose := func() {
		l.state.Store(cut)
		b.pick("level.R1", "2")
		b.pick("skill.CL4", "3")
		b.press(`[data-clock-does=start]`)
		b.write("keep", "A note that only the page had")
		b.hurry()
		b.says("Kept on this tablet (3 changes); notes only while this page is open.")
		b.away()
		l.state.Store(whole)
	}
	lose()
	b.openDraft(draft)
	b.told("Put back from this tablet, because the salon's computer did not have it: 3 changes (")
	b.wait(`document.querySelector("[data-clock-words]").textContent.startsWith("Running since ")`)
	b.hurry()
	b.says("Saved")
	b.nothingKept()
	d := rowan.draft(draft)
	assert.Equal(t, []string{"2", "3", ""}, []string{d.Form.Get("level.R1"), d.Form.Get("skill.CL4"), d.Form.Get("keep")}, "the words said so")
	b.pressText("Do not use them")
	b.says("Saving")
	b.hurry()
	b.says("Saved")
	d = rowan.draft(draft)
	assert.Equal(t, []string{"", ""}, []string{d.Form.Get("level.R1"), d.Form.Get("skill.CL4")})
	b.openDraft(draft)
	assert.Empty(t, b.chosen("level.R1"))

	// The page was put away while its save was stored and the answer lost; it
	// does not meet itself as somebody else.
	l.state.Store(answerLost)
	b.pick("level.R1", "4")
	b.hurry()
	require.Eventually(t, func() bool { return rowan.draft(draft).Form.Get("level.R1") == "4" }, 10*time.Second, 20*time.Millisecond)
	l.state.Store(cut)
	b.pick("level.R2", "5")
	b.hurry()
	b.says("Kept on this tablet (2 changes)")
	b.away()
	l.state.Store(whole)
	version := rowan.draft(draft).Version
	b.openDraft(draft)
	b.told("did not have it: 1 change (")
	b.hurry()
	b.says("Saved")
	b.nothingKept()
	d = rowan.draft(draft)
	assert.Equal(t, []string{"4", "5"}, []string{d.Form.Get("level.R1"), d.Form.Get("level.R2")})
	assert.Equal(t, version+1, d.Version)

	// Saved elsewhere meanwhile: both are shown, field by field.
	l.state.Store(cut)
	b.pick("level.R1", "2")
	b.hurry()
	b.says("Kept on this tablet (1 change)")
	b.away()
	l.state.Store(whole)
	theirs := with(d.Form, "action", "save", "base_version", fmt.Sprint(d.Version), "level.R1", "3", "keep", "Theirs")
	status, body, _ := rowan.post(draft, theirs)
	require.Equal(t, http.StatusSeeOther, status, body)
	b.openDraft(draft)
	b.told("This draft was saved elsewhere since. Not in it, and kept on this tablet: 1 change (")
	assert.Equal(t, "3", b.chosen("level.R1"), "nothing is mixed in unasked")
	b.pressText("See both versions")
	b.wait(`document.querySelector(".versus")`)
	assert.Equal(t, 1, act(t, b.ctx, chromedp.Evaluate[int](`document.querySelectorAll(".versus").length`)), "only what differs")
	assert.Contains(t, b.text(), "Saved meanwhile\nL3\nYours\nL2")
	b.pressText("Keep mine")
	b.wait(`document.querySelector('textarea[name=asked]')`)
	d = rowan.draft(draft)
	assert.Equal(t, []string{"2", "Theirs"}, []string{d.Form.Get("level.R1"), d.Form.Get("keep")})
	b.nothingKept()

	// Other pages remind of what was left behind, until it is there or gone.
	l.state.Store(cut)
	b.pick("level.R1", "1")
	b.hurry()
	b.says("Kept on this tablet (1 change)")
	b.away()
	l.state.Store(whole)
	b.open("/matrix")
	b.wait(`document.querySelector("main .notice")?.textContent.includes("Kept on this tablet and not on the salon's computer yet: 1 change to a draft.")`)
	rowan.post(draft+"/discard", nil)
	b.open("/matrix")
	b.nothingKept()
}

// The tablet changes hands with something unsent on it.
func TestBrowserTabletChangesHands(t *testing.T) {
	s := newSalon(t)
	rowan, hazel := s.signedIn("rowan"), s.signedIn("hazel")
	b, l := s.network(false)
	draft := b.begin(rowan, "Moss 2")
	other := b.beside()
	b.offline(true) // this page only
	b.pick("level.R1", "2")
	b.write("keep", "Rowan's own words")
	b.hurry()
	b.says("Kept on this tablet (1 change)")

	other.open("/")
	other.pressText("Sign out")
	other.wait(`document.querySelector("dialog[open]")`)
	asked := act(t, other.ctx, chromedp.Text("dialog"))
	assert.Contains(t, asked, "1 change not on the salon's computer yet")
	assert.Contains(t, asked, "for you alone, of 1 draft")
	other.pressText("Keep for me, and sign out")
	other.wait(`location.pathname === "/sign-in"`)
	b.told("Nobody is signed in on this tablet now.")
	other.signIn("hazel")
	b.told("Somebody else is signed in on this tablet now.")
	assert.NotContains(t, b.text(), "Moss", "it is out of sight")

	saves := l.saves.Load()
	b.offline(false)
	b.pressKey()
	other.openDraft(hazelsDraft(other, hazel))
	other.pick("level.R1", "5")
	other.hurry()
	other.says("Saved")
	assert.Empty(t, act(t, other.ctx, chromedp.Evaluate[string](`document.getElementById("kept").textContent`)), "hazel is shown nothing of it")
	assert.Equal(t, saves+1, l.saves.Load(), "only hazel's save came through")
	assert.Empty(t, rowan.draft(draft).Form.Get("level.R1"))
	require.Len(t, b.kept(), 1)

	other.pressText("Sign out") // nothing of hers is unsent
	other.wait(`location.pathname === "/sign-in"`)
	other.signIn("rowan")
	b.says("Saved")
	b.nothingKept()
	d := rowan.draft(draft)
	assert.Equal(t, []string{"2", "Rowan's own words"}, []string{d.Form.Get("level.R1"), d.Form.Get("keep")}, "not a word is lost")
	assert.Contains(t, b.text(), "Moss")

	// Send it now; or delete it.
	for level, choice := range map[string]string{"3": "Send now, then sign out", "4": "Delete, and sign out"} {
		before := rowan.draft(draft).Form.Get("level.R1")
		b.openDraft(draft)
		l.state.Store(cut)
		b.pick("level.R1", level)
		b.hurry()
		b.says("Kept on this tablet (1 change)")
		b.away()
		l.state.Store(whole)
		other.open("/")
		other.pressText("Sign out")
		other.pressText("Stay signed in")
		other.pressText("Sign out")
		other.pressText(choice)
		other.wait(`location.pathname === "/sign-in"`)
		if level == "3" {
			before = level
		}
		assert.Equal(t, before, rowan.draft(draft).Form.Get("level.R1"), choice)
		other.nothingKept()
		other.signIn("rowan")
	}

	// Without an answer nobody is told that they were signed out.
	b.openDraft(draft)
	l.state.Store(cut)
	b.write("keep", "More words")
	b.pressText("Sign out")
	b.wait(`document.querySelector("dialog[open]")?.textContent.includes("Notes and names on this page are not kept: signing out loses them.")`)
	b.pressText("Keep for me, and sign out")
	b.wait(`document.querySelector("dialog[open]")?.textContent.includes("You are still signed in")`)
	l.state.Store(whole)
	b.pressText("Send now, then sign out")
	b.wait(`location.pathname === "/sign-in"`)
	assert.Equal(t, "More words", rowan.draft(draft).Form.Get("keep"))
}

// pressKey gives the page the focus again, as a hand that comes back does.
func (b tab) pressKey() {
	b.Helper()
	act(b.T, b.ctx, chromedp.Evaluate[chromedp.Void](`dispatchEvent(new Event("focus"))`))
}

func hazelsDraft(b tab, hazel *reader) string {
	draft, _ := hazel.begin(b.wholeGroom("jory", "Fern 9"))
	return draft
}

// A session that is over, a tablet that has no room, and a second tab: each is
// said in words, and nothing is lost.
func TestBrowserSaysWhatKeepsItFromSaving(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	b, l := s.network(false)
	quota := func(bytes *float64) {
		_, err := chromedp.Call(b.ctx, storage.OverrideQuotaForOrigin, storage.OverrideQuotaForOriginParams{Origin: b.http.URL, QuotaSize: bytes})
		require.NoError(t, err)
	}
	none := 1.0
	quota(&none)
	draft := b.begin(rowan, "Moss 2") // the browser looks only now and then how much room there is
	b.script(`for (let n = 5 << 20; n > 0; n = n >> 1) { try { localStorage.setItem("filler", (localStorage.getItem("filler") ?? "") + "x".repeat(n)); } catch {} } return "";`)
	l.state.Store(cut)
	b.pick("level.R6", "4")
	b.hurry()
	b.says("Not kept: this tablet has no room left, or does not allow it. Keep this page open. No answer; trying again.")
	quota(nil)
	b.pick("level.R7", "4")
	b.pressText("Try now")
	b.says("Kept on this tablet (2 changes).")
	l.state.Store(whole)
	b.says("Saved")
	b.nothingKept()
	assert.Equal(t, "4", rowan.draft(draft).Form.Get("level.R6"))

	_, err := chromedp.Call(b.ctx, network.ClearBrowserCookies, cdp.Empty{})
	require.NoError(t, err)
	b.pick("level.R1", "2")
	b.write("keep", "Calm hands")
	b.hurry()
	b.says("Needs you: you are no longer signed in. Kept on this tablet (1 change); notes only while this page is open.")
	b.press(`button[value=save]:not([aria-hidden])`)
	b.says("Not done yet. Needs you: you are no longer signed in.")
	other := b.beside()
	other.signIn("rowan")
	b.says("Saved")
	assert.Equal(t, "Calm hands", rowan.draft(draft).Form.Get("keep"))

	other.openDraft(draft)
	other.pick("level.R2", "3")
	other.hurry()
	other.says("Saved")
	b.pick("level.R3", "4")
	b.hurry()
	b.says("Needs you: this draft was saved in another window.")
	b.pick("level.R10", "5")
	require.Eventually(t, func() bool {
		kept := b.kept()
		return len(kept) == 1 && len(kept[0].Changes) == 2
	}, 5*time.Second, 50*time.Millisecond, "what is changed after that is kept too")
	b.press(`button[value=save]:not([aria-hidden])`)
	b.wait(`document.querySelector(".versus")`)
	b.pressText("Open the saved one")
	b.told("This draft was saved elsewhere since.")
	b.pressText("Delete them")
	b.nothingKept()
	l.state.Store(broken)
	other.offline(true)
	b.pick("level.R4", "4")
	other.pick("level.R5", "4")
	b.says("Kept on this tablet (1 change). The salon's computer has a fault; trying again.")
	other.says("Kept on this tablet (1 change). No answer; trying again.")
	assert.Len(t, b.kept(), 2, "each tab keeps its own")
	l.state.Store(whole)
	b.pressText("Try now")
	b.says("Saved")
	other.offline(false)
	other.says("Needs you: this draft was saved in another window.")
	require.Len(t, b.kept(), 1, "what the other tab has is not lost yet")
	other.away()
	b.openDraft(draft)
	b.pressText("Delete them")
	b.nothingKept()
}

// Without scripts a groom is marked and signed all the same.
func TestBrowserWithoutScripts(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	b, _ := s.network(false)
	_, err := chromedp.Call(b.ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
	require.NoError(t, err)
	draft := b.begin(rowan, "Moss 2")
	for name, values := range s.wholeGroom("jory", "Moss 2") {
		for _, v := range values {
			if name != "apprentice" && name != "service" && act(t, b.ctx, chromedp.Evaluate[bool](fmt.Sprintf(`!!document.querySelector('input[type=radio][name=%q], input[type=checkbox][name=%q]')`, name, name))) {
				b.pick(name, v)
			}
		}
	}
	b.fill(`input[name=size_kg]`, "8.4")
	b.fill(`textarea[name=asked]`, "Short all over, 10 mm")
	assert.False(t, act(t, b.ctx, chromedp.Evaluate[bool](`!!document.querySelector("[data-save]")`)), "no script ran")
	b.press(`button.primary[value=read_back]`)
	b.wait(`location.pathname.endsWith("/read-back") && document.querySelector('input[name=password]')`)
	b.sign()
	b.wait(`location.pathname.startsWith("/grooms/signed/")`)
	assert.Contains(t, b.text(), "Signed by Rowan Ash")
	assert.Contains(t, draft, b.path()[len("/grooms/signed/"):])
	b.press(`form[action="/sign-out"] button`)
	b.wait(`location.pathname === "/sign-in"`)
}
