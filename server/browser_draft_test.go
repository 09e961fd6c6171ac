package server

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
)

// The bar moves while the form is filled, without a button being pressed, and
// says what happened when the draft is signed in another window.
func TestBrowserAutosave(t *testing.T) {
	s := newSalon(t)
	b := tab{s, browser(t)}
	b.signIn("rowan")
	b.open("/grooms/new")
	b.pick("apprentice", b.keys["jory"])
	b.pick("service", "full")
	b.fill(`input[name=dog]`, "Biscuit 17")
	act(t, b.ctx, chromedp.Submit(`input[name=dog]`))
	b.wait(`document.querySelector('textarea[name=asked]')`)
	marked := func() string {
		return act(t, b.ctx, chromedp.Evaluate[string](`document.querySelector(".so-far-text p").textContent.replace(/\s+/g, " ")`))
	}
	assert.Contains(t, marked(), "0 of 13 marked")
	b.pick("level.R1", "4")
	b.pick("level.R2", "2")
	b.wait(`document.querySelector('[data-so-far=marked]').textContent === "2 of 13"`)
	assert.Contains(t, marked(), "mean 2.72") // (8·4 + 14·2) ÷ 22
	assert.False(t, act(t, b.ctx, chromedp.Evaluate[bool](`!!document.querySelector(".so-far noscript")?.textContent && document.querySelector(".so-far").innerText.includes("when last saved")`)))

	// A long note in another script is more than a request may carry that
	// outlives its page.
	note := fmt.Sprintf(`(() => { const a = document.querySelector("textarea[name=asked]"); a.value = %q.repeat(2000); a.dispatchEvent(new Event("input", {bubbles: true})); return a.value.length })()`, "كلب هادئ ")
	assert.Equal(t, 18000, act(t, b.ctx, chromedp.Evaluate[int](note)))
	b.wait(`document.getElementById("save-status").textContent.startsWith("Saving")`)
	b.wait(`document.getElementById("save-status").textContent.startsWith("Saved")`)

	// Why a criterion does not apply is asked only where that is the answer.
	shown := `document.getElementById("f-na-reason-R3").offsetParent !== null`
	assert.False(t, act(t, b.ctx, chromedp.Evaluate[bool](shown)))
	b.pick("level.R3", "na")
	assert.True(t, act(t, b.ctx, chromedp.Evaluate[bool](shown)))

	draft := strings.TrimPrefix(act(t, b.ctx, chromedp.Location()), s.http.URL)
	b.wait(`document.getElementById("save-status").textContent.startsWith("Saved")`)
	rowan := s.signedIn("rowan")
	_, page := rowan.get(draft)
	_, _, to := rowan.post(draft, with(s.wholeGroom("jory", "Biscuit 17"), "action", "read_back", "base_version", hidden(page).Get("base_version")))
	_, page = rowan.get(to)
	rowan.post(draft+"/sign", with(hidden(page), "password", testPassword))
	b.pick("level.R1", "5")
	b.wait(`document.getElementById("save-status").textContent.startsWith("Needs you: this groom was signed in another window.")`)
}
