package server

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/curriculum"
)

// browser starts a headless Chromium. Where it is missing the test is skipped
// with what to install; in continuous integration that is a failure.
func browser(t *testing.T, more ...chromedp.ExecAllocatorOption) context.Context {
	t.Helper()
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		if os.Getenv("CI") != "" {
			t.Fatal("Chromium is missing")
		}
		t.Skip("This test drives a real browser: install Chromium to run it.")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true), chromedp.UserDataDir(t.TempDir()))
	options = append(options, more...)
	alloc, cancel := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(cancel)
	ctx, cancel := chromedp.NewContext(alloc)
	t.Cleanup(cancel)
	ctx, cancel = context.WithTimeout(ctx, 3*time.Minute)
	t.Cleanup(cancel)
	return ctx
}

// act runs one action in the browser and returns what it found.
func act[T any](t *testing.T, ctx context.Context, a chromedp.Action[T]) T {
	t.Helper()
	v, err := chromedp.Run(ctx, a)
	require.NoError(t, err)
	return v
}

// The main job in a real browser: sign in, mark, read back, sign, and see the
// matrix and the reason change.
func TestBrowserMainJob(t *testing.T) {
	s := newSalon(t)
	ctx := browser(t)
	pick := func(name, value string) {
		t.Helper()
		found := act(t, ctx, chromedp.Evaluate[bool](fmt.Sprintf(`(() => { const l = document.querySelector('input[name=%q][value=%q] + label'); l?.click(); return !!l })()`, name, value)))
		require.True(t, found, "%s = %s", name, value)
	}
	fill := func(sel, text string) { t.Helper(); act(t, ctx, chromedp.SendKeys(sel, text)) }
	// A page on its way to the next one answers with an error; only the time
	// limit fails.
	wait := func(condition string) {
		t.Helper()
		require.Eventually(t, func() bool {
			ok, err := chromedp.Run(ctx, chromedp.Evaluate[bool](`!!(`+condition+`)`))
			return err == nil && ok
		}, 20*time.Second, 50*time.Millisecond, condition)
	}
	text := func(sel string) string { t.Helper(); return act(t, ctx, chromedp.Text(sel)) }

	act(t, ctx, chromedp.EmulateViewport(1180, 820))
	act(t, ctx, chromedp.Navigate(s.http.URL+"/"))
	fill(`input[name=login]`, "rowan")
	fill(`input[name=password]`, testPassword)
	act(t, ctx, chromedp.Submit(`input[name=password]`))
	wait(`!!document.querySelector('a[href="/grooms/new"]')`)
	act(t, ctx, chromedp.Navigate(s.http.URL+"/grooms/new"))
	pick("apprentice", s.keys["jory"])
	pick("service", "full")
	fill(`input[name=dog]`, "Biscuit 17")
	act(t, ctx, chromedp.Submit(`input[name=dog]`))
	wait(`!!document.querySelector('textarea[name=asked]')`)

	for name, v := range map[string]string{"coat": "WO", "matting": "1", "temperament": "2"} {
		pick(name, v)
	}
	fill(`input[name=size_kg]`, "8.4")
	fill(`textarea[name=asked]`, "Short all over, 10 mm 🐩")
	for _, place := range []string{"behind_ears", "armpits", "between_toes", "tail_base"} {
		pick("prep", place)
	}
	for _, c := range curriculum.Default().Rubric.Criteria {
		pick("level."+c.ID, "4")
	}
	wait(`document.getElementById("save-status").textContent.startsWith("Saved")`)
	act(t, ctx, chromedp.Evaluate[bool](`(document.querySelector('button.primary[value=read_back]').click(), true)`))
	wait(`location.pathname.endsWith("/read-back") && !!document.querySelector('input[name=password]')`)
	page := text("main")
	assert.Contains(t, page, "Meets")
	assert.Contains(t, page, "Short all over, 10 mm 🐩")

	fill(`input[name=password]`, testPassword)
	act(t, ctx, chromedp.Submit(`input[name=password]`))
	wait(`location.pathname.startsWith("/grooms/signed/") && document.readyState === "complete"`)
	assert.Contains(t, act(t, ctx, chromedp.Title()), "Biscuit 17")
	assert.Contains(t, text("main"), "Signed by Rowan Ash")

	act(t, ctx, chromedp.Navigate(s.http.URL+"/matrix"))
	assert.Contains(t, act(t, ctx, chromedp.Evaluate[string](`document.querySelector("table").textContent`)), "Practising")
	act(t, ctx, chromedp.Navigate(s.http.URL+"/apprentices/"+s.keys["jory"]+"/skills/HC4"))
	assert.Contains(t, text("main"), "16 observations more if all are clean")
	act(t, ctx, chromedp.Navigate(s.http.URL+"/grooms"))
	assert.Equal(t, 1, strings.Count(text("main"), "Biscuit 17"))
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
