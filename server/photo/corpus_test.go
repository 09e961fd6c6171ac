package photo

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"testing"

	"github.com/stretchr/testify/require"
)

// Every file of these tests is made here; none was taken by a camera.

// planted are words hidden beside the pictures; none may come out again.
var planted = []string{"CANARY", "<script>", "PK\x03\x04", "Exif", "http://ns.example/xap"}

var (
	red   = color.RGBA{255, 0, 0, 255}
	green = color.RGBA{0, 255, 0, 255}
	blue  = color.RGBA{0, 0, 255, 255}
	white = color.RGBA{255, 255, 255, 255}
)

// corners is a picture with red, green, blue and white quarters: upper left,
// upper right, lower left, lower right.
func corners(w, h int) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			m.SetRGBA(x, y, [2][2]color.RGBA{{red, green}, {blue, white}}[2*y/h][2*x/w])
		}
	}
	return m
}

func asJPEG(t testing.TB, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, jpeg.Encode(&b, m, &jpeg.Options{Quality: 90}))
	return b.Bytes()
}

func asPNG(t testing.TB, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, m))
	return b.Bytes()
}

// exif is an Exif block (a TIFF file without a picture): the orientation, a
// maker's name and a place.
func exif(order binary.AppendByteOrder, orientation int) []byte {
	b := []byte("II*\x00")
	if order == binary.AppendByteOrder(binary.BigEndian) {
		b = []byte("MM\x00*")
	}
	entry := func(tag, kind uint16, n, value uint32) {
		b = order.AppendUint16(b, tag)
		b = order.AppendUint16(b, kind)
		b = order.AppendUint32(b, n)
		b = order.AppendUint32(b, value)
	}
	const words, place = 50, 100 // where the two begin
	b = order.AppendUint32(b, 8)
	b = order.AppendUint16(b, 3)
	entry(0x010f, 2, 20, words) // maker
	b = order.AppendUint16(b, 0x0112)
	b = order.AppendUint16(b, 3)
	b = order.AppendUint32(b, 1)
	b = order.AppendUint16(b, uint16(orientation))
	b = order.AppendUint16(b, 0)
	entry(0x8825, 4, 1, place) // place
	b = order.AppendUint32(b, 0)
	b = append(b[:words:words], "CANARY CAMERA 12345\x00"...)
	for len(b) < place {
		b = append(b, 0)
	}
	b = order.AppendUint16(b, 2)
	entry(1, 2, 2, 'N')
	entry(2, 5, 3, 130) // latitude, three fractions
	b = order.AppendUint32(b, 0)
	for _, n := range []uint32{51, 1, 30, 1, 12, 1} {
		b = order.AppendUint32(b, n)
	}
	return append(b, "CANARY PLACE"...)
}

// segment is one part of a JPEG file.
func segment(marker byte, body string) []byte {
	return append(binary.BigEndian.AppendUint16([]byte{0xff, marker}, uint16(len(body)+2)), body...)
}

// withSegments puts parts in front of the picture of a JPEG.
func withSegments(file []byte, parts ...[]byte) []byte {
	out := bytes.Clone(file[:2])
	for _, p := range parts {
		out = append(out, p...)
	}
	return append(out, file[2:]...)
}

func exifSegment(e []byte) []byte { return segment(0xe1, "Exif\x00\x00"+string(e)) }

// chunk is one part of a PNG file.
func chunk(kind, body string) []byte {
	b := append(binary.BigEndian.AppendUint32(nil, uint32(len(body))), kind+body...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[4:]))
}

// withChunks puts parts behind the header of a PNG.
func withChunks(file []byte, parts ...[]byte) []byte {
	const header = 8 + 25
	out := bytes.Clone(file[:header])
	for _, p := range parts {
		out = append(out, p...)
	}
	return append(out, file[header:]...)
}

// pngHeader is the beginning of a PNG of a size, with little behind it.
func pngHeader(w, h uint32) []byte {
	size := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, w), h)
	return append([]byte(pngHead), chunk("IHDR", string(size)+"\x08\x06\x00\x00\x00")...)
}

// riffChunk is one part of a WebP file.
func riffChunk(kind string, body []byte) []byte {
	b := append(binary.LittleEndian.AppendUint32([]byte(kind), uint32(len(body))), body...)
	if len(body)%2 == 1 {
		b = append(b, 0)
	}
	return b
}

func riff(parts ...[]byte) []byte {
	body := append([]byte("WEBP"), bytes.Join(parts, nil)...)
	return append(binary.LittleEndian.AppendUint32([]byte("RIFF"), uint32(len(body))), body...)
}

// vp8x announces the size of a WebP and what else is in the file.
func vp8x(flags byte, w, h int) []byte {
	w, h = w-1, h-1
	return riffChunk("VP8X", []byte{flags, 0, 0, 0, byte(w), byte(w >> 8), byte(w >> 16), byte(h), byte(h >> 8), byte(h >> 16)})
}

// bits writes numbers from the lowest bit up, as lossless WebP wants them.
type bits struct {
	out []byte
	n   int
}

func (b *bits) put(v, n int) {
	for range n {
		if b.n%8 == 0 {
			b.out = append(b.out, 0)
		}
		b.out[len(b.out)-1] |= byte(v&1) << (b.n % 8)
		v >>= 1
		b.n++
	}
}

// vp8l packs a picture whose colours are 0 or 255 in each channel: no
// transforms, no cache, and for each channel a code of one bit (RFC 9649 §3).
func vp8l(m *image.RGBA) []byte {
	b := &bits{}
	b.put(0x2f, 8)
	b.put(m.Rect.Dx()-1, 14)
	b.put(m.Rect.Dy()-1, 14)
	b.put(0, 1+3) // no alpha, version
	b.put(0, 3)   // no transform, no cache, one group of codes
	for range 3 { // green, red, blue: simple code, two symbols, the first of 1 bit
		b.put(1|1<<1, 3)
		b.put(0, 1)
		b.put(255, 8)
	}
	for _, symbol := range []int{255, 0} { // alpha and distance: one symbol each
		b.put(1|0<<1|1<<2, 3)
		b.put(symbol, 8)
	}
	for y := range m.Rect.Dy() {
		for x := range m.Rect.Dx() {
			c := m.RGBAAt(x, y)
			for _, v := range []uint8{c.G, c.R, c.B} {
				b.put(int(v)&1, 1)
			}
		}
	}
	return riffChunk("VP8L", b.out)
}

// withOrientation is the same picture as JPEG, PNG or WebP with an Exif block.
func withOrientation(t testing.TB, f format, m *image.RGBA, e []byte) []byte {
	switch f {
	case jpegFile:
		return withSegments(asJPEG(t, m), exifSegment(e))
	case pngFile:
		return withChunks(asPNG(t, m), chunk("eXIf", string(e)))
	}
	return riff(vp8x(1<<3, m.Rect.Dx(), m.Rect.Dy()), vp8l(m), riffChunk("EXIF", e))
}

// packed is a small zip archive with a page in it.
func packed(t testing.TB) []byte {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	w, err := z.Create("CANARY.html")
	require.NoError(t, err)
	_, err = w.Write([]byte("<script>CANARY</script>"))
	require.NoError(t, err)
	require.NoError(t, z.Close())
	return b.Bytes()
}
