package web_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/page"
)

var shots = flag.String("shots", "", "put pictures of every page into this directory")

// Pictures of the whole gallery for looking at: whole pages on a phone, a tablet
// and a desktop, light and dark, and on the tablet in the reader's own colours.
//
//	go test ./server/web -run TestScreenshots -shots DIR
//
// Some of them: -run TestScreenshots/groom
func TestScreenshots(t *testing.T) {
	if *shots == "" {
		t.Skip("no directory given")
	}
	if err := os.MkdirAll(*shots, 0o755); err != nil {
		t.Fatal(err)
	}
	throughTheGallery(t, func(w *window, name string) {
		for _, size := range [][2]int64{{390, 844}, {1180, 820}, {1440, 900}} {
			w.screen(size[0], size[1])
			for _, mode := range []struct{ name, scheme, forced string }{{"light", "light", "none"}, {"dark", "dark", "none"}, {"forced", "dark", "active"}} {
				if mode.name == "forced" && size[0] != 1180 {
					continue
				}
				w.media(mode.scheme, "forced-colors", mode.forced)
				height := min(ask[float64](w, `document.documentElement.scrollHeight`), 8000)
				beyond := true
				picture := call(w, page.CaptureScreenshot, page.CaptureScreenshotParams{CaptureBeyondViewport: &beyond,
					Clip: &page.Viewport{Width: float64(size[0]), Height: height, Scale: 1}})
				file := filepath.Join(*shots, fmt.Sprintf("%s-%d-%s.png", name, size[0], mode.name))
				if err := os.WriteFile(file, picture.Data, 0o644); err != nil {
					t.Error(err)
				}
			}
		}
	})
}
