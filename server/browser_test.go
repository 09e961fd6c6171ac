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

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/curriculum"
)

// browser starts a headless Chromium. Where it is missing the test is skipped
// with what to install; in continuous integration that is a failure.
func browser(t *testing.T) context.Context {
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
	alloc, cancel := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(cancel)
	ctx, cancel := chromedp.NewContext(alloc)
	t.Cleanup(cancel)
	ctx, cancel = context.WithTimeout(ctx, 3*time.Minute)
	t.Cleanup(cancel)
	return ctx
}

// The main job in a real browser: sign in, mark, read back, sign, and see the
// matrix and the reason change.
func TestBrowserMainJob(t *testing.T) {
	s := newSalon(t)
	ctx := browser(t)
	step := func(what string, actions ...chromedp.Action) {
		t.Helper()
		require.NoError(t, chromedp.Run(ctx, actions...), what)
	}
	pick := func(name, value string) chromedp.Action {
		return chromedp.Evaluate(fmt.Sprintf(`document.querySelector('input[name=%q][value=%q] + label').click()`, name, value), nil)
	}
	var title, body, address string
	step("sign in", chromedp.EmulateViewport(1180, 820), chromedp.Navigate(s.http.URL+"/"),
		chromedp.SendKeys(`input[name=login]`, "rowan"), chromedp.SendKeys(`input[name=password]`, testPassword), chromedp.Submit(`input[name=password]`),
		chromedp.WaitVisible(`a[href="/grooms/new"]`), chromedp.Click(`a[href="/grooms/new"]`), chromedp.WaitVisible(`input[name=dog]`))
	step("begin", pick("apprentice", s.keys["jory"]), pick("service", "full"), chromedp.SendKeys(`input[name=dog]`, "Biscuit 17"), chromedp.Submit(`input[name=dog]`),
		chromedp.WaitVisible(`textarea[name=asked]`))
	marks := []chromedp.Action{pick("coat", "WO"), pick("matting", "1"), pick("temperament", "2"), chromedp.SendKeys(`input[name=size_kg]`, "8.4"),
		chromedp.SendKeys(`textarea[name=asked]`, "Short all over, 10 mm 🐩")}
	for _, place := range []string{"behind_ears", "armpits", "between_toes", "tail_base"} {
		marks = append(marks, pick("prep", place))
	}
	for _, c := range curriculum.Default().Rubric.Criteria {
		marks = append(marks, pick("level."+c.ID, "4"))
	}
	step("mark", marks...)
	step("the draft saves itself", chromedp.Poll(`document.getElementById("save-status").textContent.startsWith("Saved")`, nil, chromedp.WithPollingTimeout(15*time.Second)))
	step("read back", chromedp.Click(`button[value=read_back]`), chromedp.WaitVisible(`input[name=password]`), chromedp.Text("main", &body))
	assert.Contains(t, body, "Meets")
	assert.Contains(t, body, "Short all over, 10 mm 🐩")
	step("sign", chromedp.SendKeys(`input[name=password]`, testPassword), chromedp.Submit(`input[name=password]`),
		chromedp.Poll(`location.pathname.startsWith("/grooms/signed/")`, nil), chromedp.WaitReady("main"), chromedp.Title(&title), chromedp.Text("main", &body), chromedp.Location(&address))
	assert.Contains(t, title, "Biscuit 17")
	assert.Contains(t, body, "Signed by Rowan Ash")
	step("the matrix has changed", chromedp.Navigate(s.http.URL+"/matrix"), chromedp.Text("table", &body))
	assert.Contains(t, body, "Practising")
	step("and says why", chromedp.Navigate(s.http.URL+"/apprentices/"+s.keys["jory"]+"/skills/HC4"), chromedp.Text("main", &body))
	assert.Contains(t, body, "16 observations more if all are clean")
	step("going back signs nothing twice", chromedp.Navigate(address), chromedp.NavigateBack(), chromedp.Navigate(s.http.URL+"/grooms"), chromedp.Text("main", &body))
	assert.Equal(t, 1, strings.Count(body, "Biscuit 17"))
}

// Screenshots of the main pages for looking at, when TABLEHAND_SHOTS names a
// folder; at three sizes, light and dark.
func TestBrowserScreenshots(t *testing.T) {
	dir, target := os.Getenv("TABLEHAND_SHOTS"), os.Getenv("TABLEHAND_URL")
	if dir == "" || target == "" {
		t.Skip("Set TABLEHAND_SHOTS to a folder and TABLEHAND_URL to a running demo to take screenshots.")
	}
	ctx := browser(t)
	require.NoError(t, chromedp.Run(ctx, chromedp.Navigate(target+"/"), chromedp.SendKeys(`input[name=login]`, os.Getenv("TABLEHAND_LOGIN")),
		chromedp.SendKeys(`input[name=password]`, os.Getenv("TABLEHAND_PASSWORD")), chromedp.Submit(`input[name=password]`), chromedp.WaitVisible(`.main-nav`)))
	for _, path := range strings.Fields(os.Getenv("TABLEHAND_PATHS")) {
		for _, size := range [][2]int64{{390, 844}, {1180, 820}, {1440, 900}} {
			for _, scheme := range []string{"light", "dark"} {
				var png []byte
				media := emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}})
				require.NoError(t, chromedp.Run(ctx, chromedp.EmulateViewport(size[0], size[1]), media, chromedp.Navigate(target+path), chromedp.CaptureScreenshot(&png)))
				name := fmt.Sprintf("%s-%d-%s.png", strings.ReplaceAll(strings.Trim(path, "/")+"-", "/", "-"), size[0], scheme)
				require.NoError(t, os.WriteFile(filepath.Join(dir, name), png, 0o600))
			}
		}
	}
}
