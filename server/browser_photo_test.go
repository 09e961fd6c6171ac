package server

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/jpeg"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// lying is a JPEG of a camera that was held upright: wide in the file, red in
// its left half, and to be turned a quarter clockwise (Exif orientation 6), so
// that it is seen high and red at the top.
func lying(w, h int) []byte {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			m.SetRGBA(x, y, color.RGBA{uint8(255 - 255*(2*x/w)), 0, uint8(255 * (2 * x / w)), 255})
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, nil); err != nil {
		panic(err)
	}
	exif := append([]byte("Exif\x00\x00MM\x00*\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00\x06\x00\x00\x00\x00\x00\x00"), "CANARY"...)
	head := append(binary.BigEndian.AppendUint16([]byte{0xff, 0xd8, 0xff, 0xe1}, uint16(len(exif)+2)), exif...)
	return append(head, b.Bytes()[2:]...)
}

// Photos are made smaller on the device and sent one after the other; what is
// wrong with one is said, and the others arrive. All of it on an address without
// encryption, as on a salon's network: browsers allow a page less there.
func TestBrowserSendsPhotos(t *testing.T) {
	s := newSalon(t)
	s.server().Hosts = append(s.server().Hosts, "salon.test")
	lan := *s
	lan.http = &httptest.Server{URL: strings.Replace(s.http.URL, "127.0.0.1", "salon.test", 1)}
	b := tab{&lan, browser(t, chromedp.Flag("host-resolver-rules", "MAP salon.test 127.0.0.1"))}
	dir := t.TempDir()
	file := func(name string, data []byte) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, data, 0o600))
		return path
	}
	rowan := s.signedIn("rowan")
	receipt := rowan.mark(s.wholeGroom("jory", "Moss 2"))
	b.signIn("rowan")
	assert.False(t, act(t, b.ctx, chromedp.Evaluate[bool](`isSecureContext`)))
	b.open(receipt + "/photos")
	// What is sent is counted, to know that it was small before it left.
	act(t, b.ctx, chromedp.Evaluate[bool](`(() => { const real = fetch; window.sent = []; window.fetch = (to, how) => { sent.push(how.body.get("file").size); return real(to, how); }; return true })()`))
	big := lying(2400, 800)
	act(t, b.ctx, chromedp.SetUploadFiles(`input[name=file]`, []string{file("one.jpg", big), file("two.heic", []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic")), file("three.jpg", lying(400, 300))}))
	b.press(`button[value=after]`)
	b.wait(`document.getElementById("photo-status").textContent.startsWith("2 photos saved. Not saved: two.heic: This is a HEIC picture")`)
	b.wait(`document.querySelectorAll("#photos img").length === 2`)
	first := act(t, b.ctx, chromedp.Evaluate[int](`window.sent[0]`))
	assert.Less(t, first, len(big)/2, "it was made smaller before it was sent")
	assert.Len(t, act(t, b.ctx, chromedp.Evaluate[[]int](`window.sent`)), 3)

	// Pressed again, only what is missing is sent again.
	b.press(`button[value=after]`)
	b.wait(`window.sent.length === 4 && document.getElementById("photo-status").textContent.startsWith("Not saved: two.heic")`)

	_, page := rowan.get(receipt)
	sizes := map[image.Point]bool{}
	for _, path := range pictures(page) {
		status, data := rowan.get(strings.Replace(path, "/small", "/large", 1))
		require.Equal(t, http.StatusOK, status)
		assert.NotContains(t, data, "CANARY")
		m, err := jpeg.Decode(strings.NewReader(data))
		require.NoError(t, err)
		size := m.Bounds().Size()
		sizes[size] = true
		r, _, blue, _ := m.At(size.X/2, 10).RGBA()
		assert.True(t, r>>8 > 200 && blue>>8 < 60, "red at the top")
		r, _, blue, _ = m.At(size.X/2, size.Y-10).RGBA()
		assert.True(t, r>>8 < 60 && blue>>8 > 200, "blue below")
	}
	assert.Equal(t, map[image.Point]bool{{533, 1600}: true, {300, 400}: true}, sizes)
}
