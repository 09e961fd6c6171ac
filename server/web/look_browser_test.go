package web_test

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
)

//go:embed testdata/look.js
var lookScript string

// The screens every page is laid out on: the narrowest that has to work (320 px
// is 1280 at 400 %), a phone, a tablet.
var screens = [][2]int64{{320, 568}, {390, 844}, {1180, 820}}

// otherLetters are the widths of the screens where the text is set larger and
// wider too: where the room is tightest. The narrowest is enlarged four times
// already.
var otherLetters = []int64{390}

// manyStops are the pages that may have more stops of the Tab key than most.
var manyStops = map[string]int{
	"matrix":      100, // every skill and every apprentice is a link; the cells are one stop together
	"matrix-25":   120,
	"programme":   110, // a fold for each of 60 skills
	"apprentice":  90,  // each of 60 skills
	"groom-draft": 130, // thirteen criteria, each with the folds for its words and its skills, and the quick phrases
	"review":      90,  // each skill that was signed in the time
}

const fewStops = 60

// Every page in every state, in a real browser, by finger, by keyboard, with
// large letters and on other screens.
func TestEveryPageForHandsAndEyes(t *testing.T) {
	throughTheGallery(t, func(w *window, name string) {
		ask[bool](w, lookScript)
		w.none("structure", `look.structure()`)
		w.unhidden()
		w.layouts()
		if isLong(name) {
			return
		}
		w.keyboard(name)
		w.colours()
	})
}

// isLong says whether a page is one that is looked at with its usual names too,
// so that only its layout is of interest.
func isLong(name string) bool { return strings.HasSuffix(name, "-long") }

func (w *window) screen(width, height int64) {
	w.Helper()
	call(w, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: width, Height: height, DeviceScaleFactor: 1})
}

// none fails for each sentence that a look returns.
func (w *window) none(when, expression string) {
	w.Helper()
	for _, says := range ask[[]string](w, expression) {
		w.Errorf("%s: %s", when, says)
	}
}

// keyboard goes through the page by the Tab key to its end: every stop once, in
// order, and no more of them than are meant.
func (w *window) keyboard(name string) {
	w.Helper()
	stops := ask[int](w, `look.stops()`)
	budget := fewStops
	for kind, n := range manyStops {
		if strings.HasPrefix(name, kind) && !strings.HasPrefix(name, "apprentice-skill") {
			budget = max(budget, n)
		}
	}
	if stops > budget {
		w.Errorf("%d stops of the Tab key, at most %d are meant", stops, budget)
	}
	ask[bool](w, `look.begin()`)
	for i := 1; i < stops; i++ {
		at := w.pressTab()
		for more := 0; at == i-1 && more < dateParts; more++ {
			at = w.pressTab()
		}
		if at != i {
			w.Errorf("the Tab key stops at %s, stop %d of %d, when stop %d was next", ask[string](w, `look.where()`), at, stops, i)
			break
		}
	}
}

// dateParts is how many further presses of the Tab key a date or a time may take:
// day, month and year are stops of their own, and so is what opens the calendar.
const dateParts = 3

// pressTab presses the Tab key and tells which stop the focus is on.
func (w *window) pressTab() int {
	w.Helper()
	call(w, input.DispatchKeyEvent, input.DispatchKeyEventParams{Type: input.DispatchKeyEventTypeRawKeyDown, Key: "Tab", Code: "Tab", WindowsVirtualKeyCode: 9})
	return ask[int](w, `look.at()`)
}

// unhidden moves the focus through the page, forwards and backwards: no bar that
// stays in place may lie over it.
func (w *window) unhidden() {
	w.Helper()
	w.pressTab() // from here on the browser shows where the focus is
	for _, size := range [][2]int64{{1180, 820}, {390, 844}} {
		w.screen(size[0], size[1])
		for _, back := range []bool{false, true} {
			w.none(fmt.Sprintf("%d × %d, focus, back %v", size[0], size[1], back), fmt.Sprintf(`look.focused(%v)`, back))
		}
	}
	w.screen(1180, 820)
}

// spaced is the text spacing that WCAG 2.2, 1.4.12 asks a page to bear.
const spaced = `* { line-height: 1.5 !important; letter-spacing: .12em !important; word-spacing: .16em !important } p { margin-bottom: 2em !important }`

// layouts looks at the page on every screen, as it is, with the spacing a
// reader may set and with letters twice the size.
func (w *window) layouts() {
	w.Helper()
	for _, size := range screens {
		w.screen(size[0], size[1])
		when := fmt.Sprintf("%d × %d", size[0], size[1])
		w.none(when, `[...look.overflow(), ...look.clipped(), ...look.targets()]`)
		if !slices.Contains(otherLetters, size[0]) {
			continue
		}
		ask[bool](w, fmt.Sprintf(`(() => { const s = new CSSStyleSheet(); s.replaceSync(%q); document.adoptedStyleSheets = [s]; return true })()`, spaced))
		w.none(when+", text spaced", `[...look.overflow(), ...look.clipped()]`)
		ask[bool](w, `document.adoptedStyleSheets = [], true`)
		ask[bool](w, `document.documentElement.style.fontSize = "200%", true`)
		w.none(when+", text 200 %", `[...look.overflow(), ...look.clipped()]`)
		ask[bool](w, `document.documentElement.style.fontSize = "", true`)
	}
}

// colours looks at contrast in every way a reader may have their screen.
func (w *window) colours() {
	w.Helper()
	w.screen(390, 844)
	w.none("390 × 844", `look.faint(4.5, 3)`)
	w.screen(1180, 820)
	for _, scheme := range []string{"light", "dark"} {
		for _, mode := range []struct{ feature, value, look string }{
			{"prefers-contrast", "no-preference", `[...look.faint(4.5, 3), ...look.edges(3), ...look.rings()]`},
			{"prefers-contrast", "more", `[...look.faint(7, 4.5), ...look.edges(4.5), ...look.rings()]`},
			{"forced-colors", "active", `[...look.faint(4.5, 3), ...look.forced(), ...look.rings()]`},
		} {
			w.media(scheme, mode.feature, mode.value)
			w.none(scheme+", "+mode.feature+" "+mode.value, mode.look)
		}
	}
	w.media("light", "forced-colors", "none")
}

// media sets what the reader's device asks for.
func (w *window) media(scheme, feature, value string) {
	w.Helper()
	call(w, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{
		{Name: "prefers-color-scheme", Value: scheme}, {Name: feature, Value: value}}})
}
