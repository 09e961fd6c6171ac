// Package chromium starts a headless Chromium for tests.
package chromium

import (
	"context"
	"os"
	"os/exec"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// Start starts a browser that ends with the test, or after the limit. Where
// there is none the test is skipped with what to install; in continuous
// integration that is a failure.
func Start(t *testing.T, limit time.Duration, more ...chromedp.ExecAllocatorOption) context.Context {
	t.Helper()
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		Missing(t, "This test drives a real browser: install Chromium to run it.")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true), chromedp.UserDataDir(t.TempDir()))
	options = append(options, more...)
	alloc, cancel := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(cancel)
	ctx, cancel := chromedp.NewContext(alloc)
	t.Cleanup(cancel)
	ctx, cancel = context.WithTimeout(ctx, limit)
	t.Cleanup(cancel)
	return ctx
}

// Missing skips a test for want of a tool, with what to install. In continuous
// integration it fails.
func Missing(t *testing.T, install string) {
	t.Helper()
	if os.Getenv("CI") != "" {
		t.Fatal(install)
	}
	t.Skip(install)
}
