package server

import (
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// enrol makes the browser a shared tablet that nobody is signed in on.
func (b tab) enrol() {
	b.Helper()
	b.signIn("rowan")
	b.open("/devices")
	b.fill(`input[name=name]`, "Table 1")
	b.fill(`#enrol input[name=password]`, testPassword)
	b.press(`#enrol button.primary`)
	b.wait(`document.querySelector(".notice")?.textContent.includes("This tablet is enrolled.")`)
	b.switchPerson()
}

func (b tab) switchPerson() {
	b.Helper()
	b.press(`.top form[action="/sign-out"] button`)
	b.wait(`location.pathname === "/sign-in" && document.querySelector("input[name=own_pin], input[name=password]")`)
}

// pins picks a name and types the PIN.
func (b tab) pins(login string) {
	b.Helper()
	b.pick("person", b.keys[login])
	b.fill(`main input[name=own_pin]`, testPINs[login])
	b.press(`.people-pick button.primary`)
	b.wait(`document.querySelector(".main-nav")`)
}

func (b tab) beginByHand(dog string) {
	b.Helper()
	b.open("/grooms/new")
	b.pick("apprentice", b.keys["jory"])
	b.pick("service", "full")
	b.fill(`input[name=dog]`, dog)
	act(b.T, b.ctx, chromedp.Submit(`input[name=dog]`))
	b.wait(`document.querySelector('textarea[name=asked]')`)
}

func (b tab) html() string {
	b.Helper()
	return act(b.T, b.ctx, chromedp.Evaluate[string](`document.documentElement.outerHTML + [...document.querySelectorAll("input:not([type=hidden]), textarea")].map((e) => e.value).join(" ")`))
}

// What A typed a moment before switching is A's, and nothing of A is on the
// screen afterwards: not by the back button, not in another tab.
func TestBrowserSwitchPerson(t *testing.T) {
	s := newSalon(t)
	s.withPINs("rowan", "hazel")
	b := tab{s, browser(t)}
	act(t, b.ctx, chromedp.EmulateViewport(1180, 820))
	b.enrol()
	b.pins("rowan")
	b.beginByHand("Biscuit 17")
	other := b.beside()
	other.open("/matrix")
	other.wait(`document.body.textContent.includes("Rowan Ash")`)
	act(t, b.ctx, chromedp.Evaluate[int](`(() => { const a = document.querySelector("textarea[name=asked]"); a.value = "Typed a moment before"; a.dispatchEvent(new Event("input", {bubbles: true})); return 1 })()`))
	b.switchPerson()
	assert.NotContains(t, b.html(), "Biscuit 17")
	other.wait(`location.pathname === "/sign-in"`)
	assert.NotContains(t, other.html(), `class="me"><b>Rowan Ash`)
	back := func() {
		act(t, b.ctx, chromedp.Evaluate[int](`(() => { setTimeout(() => history.back(), 0); return 1 })()`))
	}
	back()
	b.wait(`location.pathname === "/sign-in" && location.search !== "?switched"`)
	assert.NotContains(t, b.html(), "Typed a moment before", "the back button shows nothing")

	b.open("/sign-in")
	b.pins("hazel")
	for range 3 {
		back()
		time.Sleep(300 * time.Millisecond)
		b.wait(`true`)
		for _, of := range []string{"Typed a moment before", "Biscuit 17", `class="me"><b>Rowan Ash`} {
			assert.NotContains(t, b.html(), of)
		}
	}
	b.open("/")
	b.switchPerson()
	b.pins("rowan")
	b.open("/grooms")
	b.press(`a[href^="/grooms/drafts/"]`)
	b.wait(`document.querySelector('textarea[name=asked]')`)
	assert.Contains(t, b.html(), "Typed a moment before", "it was saved on the way out")
}

// What is typed into a form and never sent is not found in it by the next
// person.
func TestBrowserFormsAreNotRestoredForTheNext(t *testing.T) {
	s := newSalon(t)
	s.withPINs("rowan", "hazel")
	b := tab{s, browser(t)}
	b.enrol()
	b.pins("rowan")
	b.open("/grooms/new")
	b.fill(`input[name=dog]`, "Typed by Rowan")
	b.switchPerson()
	b.pins("hazel")
	act(t, b.ctx, chromedp.Evaluate[int](`(() => { setTimeout(() => history.go(-2), 0); return 1 })()`))
	b.wait(`location.pathname === "/grooms/new" && document.querySelector("input[name=dog]")`)
	time.Sleep(300 * time.Millisecond)
	assert.NotContains(t, b.html(), "Typed by Rowan")
}

// A page that nobody touches is covered. What was typed in it stays.
func TestBrowserLock(t *testing.T) {
	s := newSalon(t)
	s.withPINs("rowan")
	b := tab{s, browser(t)}
	b.enrol()
	s.server().idle = 3 * time.Second
	b.pins("rowan")
	b.open("/grooms/new")
	b.fill(`input[name=dog]`, "Typed before")
	b.wait(`!document.getElementById("lock").hidden`)
	s.clock.add(time.Minute)
	shown := func(selector string) bool {
		return act(t, b.ctx, chromedp.Evaluate[bool](`document.querySelector("`+selector+`").checkVisibility({visibilityProperty: true})`))
	}
	assert.False(t, shown("main"))
	assert.False(t, shown(".main-nav"))
	assert.Equal(t, "f-lock-own-pin", act(t, b.ctx, chromedp.Evaluate[string](`document.activeElement.id`)))
	b.fill(`#lock input[name=own_pin]`, "000001")
	b.press(`#lock button.primary`)
	b.wait(`document.getElementById("lock-problem").textContent === "This is not your PIN. Try again: 4 tries are left."`)
	b.fill(`#lock input[name=own_pin]`, testPINs["rowan"])
	b.press(`#lock button.primary`)
	b.wait(`document.getElementById("lock").hidden`)
	assert.True(t, shown("main"))
	b.pick("apprentice", b.keys["jory"])
	b.pick("service", "full")
	act(t, b.ctx, chromedp.Submit(`input[name=dog]`))
	b.wait(`location.pathname.startsWith("/grooms/drafts/")`)
	assert.Contains(t, b.text(), "Typed before")
}

// A draft that could not be saved while the tablet was locked is saved as soon as
// it is unlocked, not at the next try half a minute later.
func TestBrowserLockedDraftIsSavedWhenUnlocked(t *testing.T) {
	s := newSalon(t)
	s.withPINs("rowan")
	b := tab{s, browser(t)}
	b.enrol()
	b.pins("rowan")
	b.beginByHand("Biscuit 17")
	s.server().idle = 3 * time.Second
	b.open(b.path())
	b.wait(`!document.getElementById("lock").hidden`)
	s.clock.add(time.Minute)
	b.pick("level.R1", "4")
	b.says("Needs you: you are no longer signed in. Kept on this tablet (1 change).")
	b.fill(`#lock input[name=own_pin]`, testPINs["rowan"])
	b.press(`#lock button.primary`)
	b.says("Saved")
	b.nothingKept()
}

// Everything of it works without a script: pick, PIN, the password once.
func TestBrowserTabletWithoutScript(t *testing.T) {
	s := newSalon(t)
	s.withPINs("rowan")
	b := tab{s, browser(t)}
	b.enrol()
	_, err := chromedp.Call(b.ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
	require.NoError(t, err)
	b.open("/sign-in")
	click := func(selector string) { act(t, b.ctx, chromedp.Click(selector)) }
	click(`input[name=person] + label`)
	act(t, b.ctx, chromedp.SendKeys(`main input[name=own_pin]`, testPINs["rowan"]))
	click(`.people-pick button.primary`)
	act(t, b.ctx, chromedp.WaitVisible(`.main-nav`))
	b.open("/people")
	act(t, b.ctx, chromedp.SendKeys(`main input[name=password]`, testPassword))
	click(`main button.primary`)
	act(t, b.ctx, chromedp.WaitVisible(`#add`))
	click(`.top form[action="/sign-out"] button`)
	act(t, b.ctx, chromedp.WaitVisible(`main input[name=own_pin]`))
}
