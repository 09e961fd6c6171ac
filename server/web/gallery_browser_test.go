package web_test

import (
	"context"
	"image"
	"image/png"
	"io"
	"maps"
	"net/http"
	"net/http/httptest"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	cdpruntime "github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"tablehand/server"
	"tablehand/server/chromium"
	"tablehand/server/store"
	"tablehand/server/web"
)

var photo = regexp.MustCompile(`^/grooms/.*/photos/[^/]+/(small|large)$`)

// gallery serves /gallery/NAME with the headers that the real server gives its
// own pages, and a picture for each photo that an example shows; everything else
// is the real server's.
type gallery struct {
	pages map[string]any
	real  *server.Server
}

func (g gallery) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if photo.MatchString(r.URL.Path) {
		w.Header().Set("Content-Type", "image/svg+xml")
		io.WriteString(w, `<svg xmlns="http://www.w3.org/2000/svg" width="640" height="480"><path fill="#987" d="M0 0h640v480H0z"/></svg>`)
		return
	}
	page, ok := g.pages[strings.TrimPrefix(r.URL.Path, "/gallery/")]
	if strings.HasSuffix(r.URL.Path, "/small") || strings.HasSuffix(r.URL.Path, "/large") { // a photo, of nothing
		w.Header().Set("Content-Type", "image/png")
		if err := png.Encode(w, image.NewGray(image.Rect(0, 0, 320, 240))); err != nil {
			panic(err)
		}
		return
	}
	if !ok {
		g.real.ServeHTTP(w, r)
		return
	}
	ask := httptest.NewRequest(http.MethodGet, "/help", nil)
	ask.Host = r.Host
	answer := httptest.NewRecorder()
	g.real.ServeHTTP(answer, ask)
	maps.Copy(w.Header(), answer.Header())
	w.Header().Del("Content-Length")
	if err := web.Render(w, page); err != nil {
		panic(err)
	}
}

// openGallery starts a server with the gallery in front of it.
func openGallery(t *testing.T) (url string, pages map[string]any) {
	t.Helper()
	st, err := store.Open(t.Context(), t.TempDir(), store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	s, err := server.New(server.Options{Store: st, Hosts: server.LocalHosts("127.0.0.1:0")})
	if err != nil {
		t.Fatal(err)
	}
	g := gallery{web.Gallery(), s}
	h := httptest.NewServer(g)
	t.Cleanup(h.Close)
	return h.URL, g.pages
}

// The gallery is a thing of the tests: the program itself does not know it, and
// what the tests see carries the program's own policy.
func TestGalleryIsNotServed(t *testing.T) {
	url, pages := openGallery(t)
	get := func(path string) (*http.Response, string) {
		r, err := http.Get(url + path)
		if err != nil {
			t.Fatal(err)
		}
		defer r.Body.Close()
		body, err := io.ReadAll(r.Body)
		if err != nil {
			t.Fatal(err)
		}
		return r, string(body)
	}
	for name := range pages {
		if r, body := get("/gallery/" + name); !strings.Contains(r.Header.Get("Content-Security-Policy"), "default-src 'none'") || !strings.Contains(body, "</html>") {
			t.Fatalf("%s is not served as the program serves its pages: %v", name, r.Header)
		}
	}
	if r, _ := get("/gallery/nothing-of-this-name"); r.StatusCode != http.StatusNotFound {
		t.Errorf("the program answers %s under /gallery/", r.Status)
	}
}

// throughTheGallery opens every page on a tablet that lies on its side, in light,
// and fails when it has written anything to the console, which is also where a
// browser reports what the content policy stopped. There are as many tabs as
// processors, used again and again: a new one costs as much as several pages.
func throughTheGallery(t *testing.T, look func(w *window, name string)) {
	t.Helper()
	url, pages := openGallery(t)
	browser := chromium.Start(t, 15*time.Minute)
	if err := chromedp.Do(browser); err != nil {
		t.Fatal(err)
	}
	tabs := make(chan *tab, runtime.GOMAXPROCS(0))
	for range cap(tabs) {
		tabs <- openTab(t, browser)
	}
	for _, name := range slices.Sorted(maps.Keys(pages)) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			w := &window{t, <-tabs}
			defer func() { tabs <- w.tab }()
			w.console.take()
			w.screen(1180, 820)
			w.media("light", "forced-colors", "none")
			w.do(chromedp.Navigate(url + "/gallery/" + name))
			look(w, name)
			for _, line := range w.console.take() {
				t.Errorf("the browser's console is not empty: %s", line)
			}
		})
	}
}

// window is a page of the gallery in a tab of the browser.
type window struct {
	*testing.T
	*tab
}

// tab is one tab of the browser.
type tab struct {
	ctx     context.Context
	console console
}

// console is what the pages in a tab have written there.
type console struct {
	lock  sync.Mutex
	lines []string
}

func (c *console) add(line string) {
	c.lock.Lock()
	defer c.lock.Unlock()
	c.lines = append(c.lines, line)
}

func (c *console) take() []string {
	c.lock.Lock()
	defer c.lock.Unlock()
	lines := c.lines
	c.lines = nil
	return lines
}

// openTab opens a tab that shares nothing with the others: the pages of a shared
// tablet leave when another tab says that somebody else has it.
func openTab(t *testing.T, browser context.Context) *tab {
	t.Helper()
	ctx, cancel := chromedp.NewContext(browser, chromedp.WithNewBrowserContext())
	t.Cleanup(cancel)
	opened := &tab{ctx: ctx}
	err := chromedp.Listen(ctx, func(event any) {
		switch e := event.(type) {
		case *log.EventEntryAdded:
			opened.console.add(e.Entry.Text)
		case *cdpruntime.EventExceptionThrown:
			opened.console.add(e.ExceptionDetails.Text)
		case *cdpruntime.EventConsoleAPICalled:
			opened.console.add(string(e.Type))
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	// Every tab behaves as the one in front.
	call(&window{t, opened}, emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: true})
	return opened
}

func (w *window) do(steps ...chromedp.Action[chromedp.Void]) {
	w.Helper()
	if err := chromedp.Do(w.ctx, steps...); err != nil {
		w.Fatal(err)
	}
}

// call sends one command of the protocol.
func call[P, R any](w *window, command cdp.Command[P, R], params P) R {
	w.Helper()
	r, err := chromedp.Call(w.ctx, command, params)
	if err != nil {
		w.Fatal(err)
	}
	return r
}

// ask evaluates an expression in the page.
func ask[T any](w *window, expression string) T {
	w.Helper()
	v, err := chromedp.Run(w.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		w.Fatalf("%.80s: %v", expression, err)
	}
	return v
}
