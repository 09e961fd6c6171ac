package server

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	cdpbrowser "github.com/chromedp/cdproto/browser"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"tablehand/curriculum"
	"tablehand/server/chromium"
)

// browser starts a headless Chromium, or skips the test where there is none.
func browser(t *testing.T, more ...chromedp.ExecAllocatorOption) context.Context {
	t.Helper()
	return chromium.Start(t, 3*time.Minute, more...)
}

// act runs one action in the browser and returns what it found.
func act[T any](t *testing.T, ctx context.Context, a chromedp.Action[T]) T {
	t.Helper()
	v, err := chromedp.Run(ctx, a)
	require.NoError(t, err)
	return v
}

// tab is one tab of a real browser on a salon's server.
type tab struct {
	*salon
	ctx context.Context
}

// beside opens a second tab of the same browser, so with the same session.
func (b tab) beside() tab {
	ctx, cancel := chromedp.NewContext(b.ctx)
	b.Cleanup(cancel)
	return tab{b.salon, ctx}
}

func (b tab) open(path string) {
	b.Helper()
	act(b.T, b.ctx, chromedp.Navigate(b.http.URL+path))
}

// pick presses the large button of one answer, as a finger does.
func (b tab) pick(name, value string) {
	b.Helper()
	b.press(fmt.Sprintf(`input[name=%q][value=%q] + label`, name, value))
}

func (b tab) press(selector string) {
	b.Helper()
	found := act(b.T, b.ctx, chromedp.Evaluate[bool](fmt.Sprintf(`(() => { const e = document.querySelector(%q); e?.click(); return !!e })()`, selector)))
	require.True(b, found, selector)
}

func (b tab) fill(selector, text string) {
	b.Helper()
	act(b.T, b.ctx, chromedp.SendKeys(selector, text))
}

// wait waits until a condition holds in the page. A page on its way to the next
// one answers with an error; only the time limit fails.
func (b tab) wait(condition string) {
	b.Helper()
	require.Eventually(b, func() bool {
		ok, err := chromedp.Run(b.ctx, chromedp.Evaluate[bool](`document.readyState === "complete" && !!(`+condition+`)`))
		return err == nil && ok
	}, 20*time.Second, 50*time.Millisecond, condition)
}

func (b tab) text() string { b.Helper(); return act(b.T, b.ctx, chromedp.Text("main")) }

func (b tab) signIn(login string) {
	b.Helper()
	b.open("/sign-in")
	b.fill(`input[name=login]`, login)
	b.fill(`input[name=password]`, testPassword)
	act(b.T, b.ctx, chromedp.Submit(`input[name=password]`))
	b.wait(`location.pathname === "/" && document.querySelector(".main-nav")`)
}

// sign types the password and sends the form it stands in.
func (b tab) sign() {
	b.Helper()
	b.fill(`input[name=password]`, testPassword)
	b.press(`form:has(input[name=password]) button.primary`)
}

// markUpToReadBack marks a whole groom by touch, L4 where levels says nothing
// else, and stops where it is read back.
func (b tab) markUpToReadBack(apprentice, dog string, levels map[string]string) {
	b.Helper()
	b.open("/grooms/new")
	b.pick("apprentice", b.keys[apprentice])
	b.pick("service", "full")
	b.fill(`input[name=dog]`, dog)
	act(b.T, b.ctx, chromedp.Submit(`input[name=dog]`))
	b.wait(`document.querySelector('textarea[name=asked]')`)
	for name, v := range map[string]string{"coat": "WO", "matting": "1", "temperament": "2"} {
		b.pick(name, v)
	}
	b.fill(`input[name=size_kg]`, "8.4")
	b.fill(`textarea[name=asked]`, "Short all over, 10 mm 🐩")
	for _, place := range []string{"behind_ears", "armpits", "between_toes", "tail_base"} {
		b.pick("prep", place)
	}
	for _, c := range curriculum.Default().Rubric.Criteria {
		level := "4"
		if v, ok := levels[c.ID]; ok {
			level = v
		}
		b.pick("level."+c.ID, level)
	}
	b.wait(`document.getElementById("save-status").textContent.startsWith("Saved")`)
	b.press(`button.primary[value=read_back]`)
	b.wait(`location.pathname.endsWith("/read-back") && document.querySelector('input[name=password]')`)
}

// The main job in a real browser: sign in, mark, read back, sign, see the
// matrix and the reason change, propose, confirm with a second person, export.
func TestBrowserMainJob(t *testing.T) {
	s := newSalon(t)
	b := tab{s, browser(t)}
	skill := "/apprentices/" + s.keys["jory"] + "/skills/"
	act(t, b.ctx, chromedp.EmulateViewport(1180, 820))
	b.signIn("rowan")
	b.markUpToReadBack("jory", "Biscuit 17", nil)
	assert.Contains(t, b.text(), "Meets")
	assert.Contains(t, b.text(), "Short all over, 10 mm 🐩")
	b.sign()
	b.wait(`location.pathname.startsWith("/grooms/signed/")`)
	assert.Contains(t, act(t, b.ctx, chromedp.Title()), "Biscuit 17")
	assert.Contains(t, b.text(), "Signed by Rowan Ash")

	b.open("/matrix")
	assert.Contains(t, act(t, b.ctx, chromedp.Evaluate[string](`document.querySelector("table").textContent`)), "Practising")
	b.open(skill + "HC4")
	assert.Contains(t, b.text(), "16 observations more if all are clean")

	// Two more dogs make a skill eligible that is not safety-critical.
	rowan := s.signedIn("rowan")
	for dog, kg := range map[string]string{"Fern 9": "14", "Moss 2": "31"} {
		g := s.wholeGroom("jory", dog)
		g.Set("size_kg", kg)
		rowan.mark(g)
	}
	b.open(skill + "TH4")
	assert.Contains(t, b.text(), "Eligible")
	b.press(`a.button[href$="/propose"]`)
	b.wait(`location.pathname.endsWith("/propose")`)
	b.sign()
	b.wait(`location.pathname.startsWith("/signoffs/")`)
	assert.Contains(t, b.text(), "A different person confirms it")
	assert.False(t, act(t, b.ctx, chromedp.Evaluate[bool](`!!document.querySelector("#decide form")`)), "the proposer is offered no decision")

	b.press(`form[action="/sign-out"] button`)
	b.wait(`location.pathname === "/sign-in"`)
	b.signIn("hazel")
	assert.Contains(t, b.text(), "Sign-offs waiting for your look")
	b.press(`a[href^="/signoffs/"]`)
	b.wait(`location.pathname.startsWith("/signoffs/") && document.querySelector("#decide form")`)
	b.pick("decision", "confirm")
	b.sign()
	b.wait(`document.querySelector("main .tag")?.textContent === "Confirmed"`)
	b.open(skill + "TH4")
	assert.Contains(t, b.text(), "Signed off and current until")
	b.open("/matrix")
	assert.Contains(t, act(t, b.ctx, chromedp.Evaluate[string](`document.querySelector("tfoot").textContent`)), "1 of 58")

	b.open("/export")
	book, err := excelize.OpenReader(bytes.NewReader(b.download(`main form button.primary`)))
	require.NoError(t, err)
	defer book.Close()
	rows, err := book.GetRows("Sign-offs")
	require.NoError(t, err)
	assert.Contains(t, fmt.Sprint(rows), "Hazel", "the confirmer stands in the workbook")
}

// download presses a button and returns the file that the browser saved.
func (b tab) download(selector string) []byte {
	b.Helper()
	dir, events := b.TempDir(), true
	_, err := chromedp.CallBrowser(b.ctx, cdpbrowser.SetDownloadBehavior, cdpbrowser.SetDownloadBehaviorParams{
		Behavior: cdpbrowser.SetDownloadBehaviorBehaviorAllowAndName, DownloadPath: dir, EventsEnabled: &events})
	require.NoError(b, err)
	progress := chromedp.BrowserEvents(b.ctx, cdpbrowser.DownloadProgress)
	b.press(selector)
	for e, err := range progress {
		require.NoError(b, err)
		if e.State == cdpbrowser.DownloadProgressStateCompleted {
			data, err := os.ReadFile(filepath.Join(dir, e.GUID))
			require.NoError(b, err)
			return data
		}
		require.NotEqual(b, cdpbrowser.DownloadProgressStateCanceled, e.State)
	}
	require.Fail(b, "nothing was downloaded")
	return nil
}

// Two tabs read back the same draft and both sign: one groom, and the second
// tab arrives at its receipt.
func TestBrowserTwoTabsOneSignature(t *testing.T) {
	s := newSalon(t)
	b := tab{s, browser(t)}
	b.signIn("rowan")
	b.markUpToReadBack("jory", "Biscuit 17", nil)
	other := b.beside()
	other.open(strings.TrimPrefix(act(t, b.ctx, chromedp.Location()), s.http.URL))
	for _, each := range []tab{b, other} {
		each.sign()
		each.wait(`location.pathname.startsWith("/grooms/signed/")`)
		assert.Contains(t, each.text(), "Signed by Rowan Ash")
	}
	assert.Equal(t, act(t, b.ctx, chromedp.Location()), act(t, other.ctx, chromedp.Location()))
	b.open("/grooms")
	assert.Equal(t, 1, strings.Count(b.text(), "Biscuit 17"))
}

// What keeps a groom below the standard is said before it is signed and after.
func TestBrowserShowsWhyAGroomDoesNotMeet(t *testing.T) {
	s := newSalon(t)
	b := tab{s, browser(t)}
	b.signIn("rowan")
	for _, c := range []struct {
		dog    string
		levels map[string]string
		says   []string
	}{
		{"Clover 3", map[string]string{"R5": "3", "R8": "3", "R9": "2", "R11": "3", "R12": "2", "R13": "2"}, []string{"Not yet", "The weighted mean is 3.49, below 3.50."}},
		{"Fern 9", map[string]string{"R4": "3"}, []string{"Not yet", "is a must-meet at L4 and stands at L3"}},
	} {
		b.markUpToReadBack("jory", c.dog, c.levels)
		before := b.text()
		b.sign()
		b.wait(`location.pathname.startsWith("/grooms/signed/")`)
		after := b.text()
		for _, says := range c.says {
			assert.Contains(t, before, says)
			assert.Contains(t, after, says)
		}
	}
}

// Screenshots of the main pages for looking at, when TABLEHAND_SHOTS names a
// folder and TABLEHAND_URL a running demo; at three sizes, light and dark.
func TestBrowserScreenshots(t *testing.T) {
	dir, target := os.Getenv("TABLEHAND_SHOTS"), os.Getenv("TABLEHAND_URL")
	if dir == "" || target == "" {
		t.Skip("Set TABLEHAND_SHOTS to a folder and TABLEHAND_URL to a running demo to take screenshots.")
	}
	for scheme, setting := range map[string]string{"dark": "preferredColorScheme=0", "light": "preferredColorScheme=1"} {
		ctx := browser(t, chromedp.Flag("blink-settings", setting))
		act(t, ctx, chromedp.Navigate(target+"/"))
		act(t, ctx, chromedp.SendKeys(`input[name=login]`, os.Getenv("TABLEHAND_LOGIN")))
		act(t, ctx, chromedp.SendKeys(`input[name=password]`, os.Getenv("TABLEHAND_PASSWORD")))
		act(t, ctx, chromedp.Submit(`input[name=password]`))
		act(t, ctx, chromedp.WaitVisible(`.main-nav`))
		for _, path := range strings.Fields(os.Getenv("TABLEHAND_PATHS")) {
			for _, size := range [][2]int64{{390, 844}, {1180, 820}, {1440, 900}} {
				act(t, ctx, chromedp.EmulateViewport(size[0], size[1]))
				act(t, ctx, chromedp.Navigate(target+path))
				png := act(t, ctx, chromedp.CaptureScreenshot())
				name := fmt.Sprintf("%s-%d-%s.png", strings.ReplaceAll(strings.Trim(path, "/"), "/", "-"), size[0], scheme)
				require.NoError(t, os.WriteFile(filepath.Join(dir, name), png, 0o600))
			}
		}
	}
}
