package web

import (
	"fmt"
	"html/template"
	"strings"

	"github.com/boombuler/barcode/qr"
)

// quiet is the empty margin that a reader needs on each side, in modules
// (ISO/IEC 18004).
const quiet = 4

// QR draws a text, for instance an address, as a QR code: black on white, on
// paper and on a dark screen alike, with the quiet margin inside. One unit of
// the drawing is one module. It can be read with up to 15 in 100 of it damaged.
// A text that is empty or over 2,331 bytes is an error.
func QR(text string) (template.HTML, error) {
	if text == "" {
		return "", fmt.Errorf("web: a QR code of nothing")
	}
	code, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		return "", fmt.Errorf("web: a QR code of %d bytes: %w", len(text), err)
	}
	n := code.Bounds().Dx()
	dark := func(x, y int) bool { r, _, _, _ := code.At(x, y).RGBA(); return r == 0 }
	var b strings.Builder
	side := n + 2*quiet
	fmt.Fprintf(&b, `<svg class="qr" role="img" aria-label="QR code" viewBox="0 0 %d %d" shape-rendering="crispEdges"><rect width="%d" height="%d" fill="#fff"></rect><path fill="#000" d="`, side, side, side, side)
	for y := range n {
		for x := 0; x < n; x++ {
			from := x
			for x < n && dark(x, y) {
				x++
			}
			if x > from { // a run of dark modules
				fmt.Fprintf(&b, "M%d %dh%dv1h-%dz", from+quiet, y+quiet, x-from, x-from)
			}
		}
	}
	b.WriteString(`"></path></svg>`)
	return template.HTML(b.String()), nil
}
