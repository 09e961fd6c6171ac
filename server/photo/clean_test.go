package photo

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// checkClean holds a JPEG to what comes out of here: markers of the picture
// itself and nothing else, and nothing after its end.
func checkClean(t testing.TB, data []byte, edge int) image.Image {
	t.Helper()
	for _, words := range planted {
		assert.False(t, bytes.Contains(data, []byte(words)), "%q came through", words)
	}
	require.True(t, bytes.HasPrefix(data, []byte("\xff\xd8")))
	at := 2
	for {
		require.Equal(t, byte(0xff), data[at])
		marker := data[at+1]
		assert.Contains(t, []byte{0xdb, 0xc0, 0xc4, 0xda}, marker, "segment %x: only tables, size and the picture", marker)
		at += 2 + int(binary.BigEndian.Uint16(data[at+2:]))
		if marker == 0xda {
			break
		}
	}
	end := bytes.Index(data[at:], []byte("\xff\xd9"))
	assert.Equal(t, len(data), at+end+2, "it ends with the picture")
	m, err := jpeg.Decode(bytes.NewReader(data))
	require.NoError(t, err)
	assert.LessOrEqual(t, max(m.Bounds().Dx(), m.Bounds().Dy()), edge)
	return m
}

func mustClean(t testing.TB, data []byte) (large, small image.Image) {
	t.Helper()
	p, err := Clean(t.Context(), data)
	require.NoError(t, err)
	assert.LessOrEqual(t, len(p.Large), MaxBytes)
	return checkClean(t, p.Large, LargeEdge), checkClean(t, p.Small, SmallEdge)
}

// near compares colours; JPEG does not keep them to the last bit.
func near(t testing.TB, want color.RGBA, got color.Color, words string, args ...any) {
	t.Helper()
	r, g, b, _ := got.RGBA()
	for i, v := range []uint32{r, g, b} {
		w := []uint8{want.R, want.G, want.B}[i]
		assert.InDelta(t, w, v>>8, 24, words, args)
	}
}

func TestNothingButThePictureComesThrough(t *testing.T) {
	e := exif(binary.BigEndian, 1)
	m := corners(64, 48)
	for name, file := range map[string][]byte{
		"place and camera": withSegments(asJPEG(t, m), exifSegment(e)),
		"every kind of note": withSegments(asJPEG(t, m), segment(0xe0, "JFIF\x00\x01\x01CANARY"), exifSegment(e), segment(0xe1, "http://ns.example/xap/1.0/\x00<x>CANARY</x>"),
			segment(0xe2, "ICC_PROFILE\x00\x01\x01CANARY"), segment(0xed, "CANARY caption"), segment(0xfe, "<script>CANARY</script>")),
		"a thumbnail in its notes":   withSegments(asJPEG(t, m), exifSegment(append(e, asJPEG(t, corners(16, 16))...))),
		"a zip behind it":            append(asJPEG(t, m), packed(t)...),
		"a page behind it":           append(asJPEG(t, m), "<html><script>CANARY</script></html>"...),
		"a second picture behind it": append(asJPEG(t, m), withSegments(asJPEG(t, m), exifSegment(e))...),
		"PNG with text": withChunks(asPNG(t, m), chunk("tEXt", "Comment\x00<script>CANARY</script>"), chunk("iTXt", "XML:x\x00\x00\x00\x00\x00CANARY"), chunk("eXIf", string(e)),
			chunk("acTL", "\x00\x00\x00\x02\x00\x00\x00\x00"), chunk("caNa", "CANARY")),
		"PNG with a zip behind it": append(asPNG(t, m), packed(t)...),
		"WebP with notes":          riff(vp8x(1<<3|1<<2, 64, 48), vp8l(m), riffChunk("EXIF", e), riffChunk("XMP ", []byte("http://ns.example/xap CANARY"))),
		"plain WebP":               riff(vp8l(m)),
	} {
		t.Run(name, func(t *testing.T) {
			large, _ := mustClean(t, file)
			assert.Equal(t, image.Pt(64, 48), large.Bounds().Size())
			near(t, red, large.At(8, 8), "upper left")
			near(t, white, large.At(56, 40), "lower right")
		})
	}
}

// Where the first row and the first column of the file are seen: Exif 2.3, table
// of tag 274 (from memory). The four corners follow from it in words.
func TestPicturesStandUpright(t *testing.T) {
	sides := map[int][2]string{1: {"top", "left"}, 2: {"top", "right"}, 3: {"bottom", "right"}, 4: {"bottom", "left"},
		5: {"left", "top"}, 6: {"right", "top"}, 7: {"right", "bottom"}, 8: {"left", "bottom"}}
	across := map[string]string{"top": "bottom", "bottom": "top", "left": "right", "right": "left"}
	for o, side := range sides {
		row, column := side[0], side[1]
		seen := map[color.RGBA][2]string{red: {row, column}, green: {row, across[column]}, blue: {across[row], column}, white: {across[row], across[column]}}
		for _, f := range []format{jpegFile, pngFile, webpFile} {
			for _, e := range [][]byte{exif(binary.BigEndian, o), exif(binary.LittleEndian, o)} {
				large, small := mustClean(t, withOrientation(t, f, corners(64, 48), e))
				for _, m := range []image.Image{large, small} {
					size := m.Bounds().Size()
					assert.Equal(t, row == "left" || row == "right", size.Y > size.X, "orientation %d: lying or standing", o)
					for c, at := range seen {
						x, y := 6, 6
						if at[0] == "right" || at[1] == "right" {
							x = size.X - 7
						}
						if at[0] == "bottom" || at[1] == "bottom" {
							y = size.Y - 7
						}
						near(t, c, m.At(x, y), "orientation %d of %v, %v", o, f, at)
					}
				}
			}
		}
	}
}

func TestSizes(t *testing.T) {
	for _, c := range []struct{ w, h, largeW, largeH, smallW, smallH int }{
		{64, 48, 64, 48, 64, 48}, // not enlarged
		{1600, 90, 1600, 90, 320, 18},
		{1601, 90, 1600, 90, 320, 18}, // 89.94
		{100, 4000, 40, 1600, 8, 320},
		{3201, 21, 1600, 10, 320, 2}, // 10.497
		{4000, 1, 1600, 1, 320, 1},   // never less than a pixel
		{1, 1, 1, 1, 1, 1},
	} {
		large, small := mustClean(t, asPNG(t, image.NewGray(image.Rect(0, 0, c.w, c.h))))
		assert.Equal(t, image.Pt(c.largeW, c.largeH), large.Bounds().Size(), "%d × %d", c.w, c.h)
		assert.Equal(t, image.Pt(c.smallW, c.smallH), small.Bounds().Size(), "%d × %d", c.w, c.h)
	}
}

// Fine patterns become an even grey; picking single pixels would keep one of the
// two colours.
func TestShrinkingAverages(t *testing.T) {
	m := image.NewGray(image.Rect(0, 0, 3200, 160))
	for i := range m.Pix {
		m.Pix[i] = byte((i%3200 + i/3200) % 2 * 255)
	}
	large, small := mustClean(t, asPNG(t, m))
	for _, at := range []image.Point{{0, 0}, {100, 8}, {319, 15}} {
		near(t, color.RGBA{128, 128, 128, 255}, large.At(at.X, at.Y), "large")
		near(t, color.RGBA{128, 128, 128, 255}, small.At(at.X, at.Y), "small")
	}
}

func TestKindsOfPicture(t *testing.T) {
	clear := image.NewNRGBA(image.Rect(0, 0, 32, 32)) // wholly transparent
	half := image.NewNRGBA(image.Rect(0, 0, 32, 32))
	deep := image.NewRGBA64(image.Rect(0, 0, 32, 32))
	palette := image.NewPaletted(image.Rect(0, 0, 32, 32), color.Palette{blue, red})
	grey := image.NewGray(image.Rect(0, 0, 32, 32))
	for y := range 32 {
		for x := range 32 {
			half.SetNRGBA(x, y, color.NRGBA{255, 0, 0, 128})
			deep.SetRGBA64(x, y, color.RGBA64{0, 0xffff, 0, 0xffff})
			grey.SetGray(x, y, color.Gray{128})
		}
	}
	for name, c := range map[string]struct {
		file []byte
		want color.RGBA
	}{
		"transparent is white": {asPNG(t, clear), white},
		"half over white":      {asPNG(t, half), color.RGBA{255, 127, 127, 255}},
		"16 bits":              {asPNG(t, deep), green},
		"palette":              {asPNG(t, palette), blue},
		"grey JPEG":            {asJPEG(t, grey), color.RGBA{128, 128, 128, 255}},
		"part of a larger one": {asPNG(t, corners(64, 64).SubImage(image.Rect(40, 0, 64, 20))), green},
	} {
		large, _ := mustClean(t, c.file)
		near(t, c.want, large.At(10, 10), name)
	}
}

func TestWhatIsRefused(t *testing.T) {
	whole := asJPEG(t, corners(640, 480))
	heic := func(brand string, more string) []byte {
		b := binary.BigEndian.AppendUint32(nil, uint32(16+len(more)))
		return append(b, "ftyp"+brand+"\x00\x00\x00\x00"+more+"\x00\x00\x00\x00mdat"...)
	}
	for name, c := range map[string]struct {
		file []byte
		says string
	}{
		"empty":                  {nil, "The file is empty"},
		"HEIC":                   {heic("heic", "mif1heic"), "HEIC picture, which cannot be kept here. Choose JPEG in the camera's settings"},
		"HEIC by its other name": {heic("mif1", "heic"), "HEIC"},
		"AVIF":                   {heic("avif", "mif1avif"), "an AVIF picture. A photo has to be JPEG, PNG or WebP"},
		"a film":                 {heic("isom", "mp42"), "This is a film"},
		"GIF":                    {[]byte("GIF89a\x01\x00\x01\x00"), "a GIF"},
		"GIF and script":         {[]byte("GIF89a/*\x00*/=1;<script>"), "a GIF"},
		"SVG":                    {[]byte("\xef\xbb\xbf <svg xmlns='x'><script>1</script></svg>"), "SVG or HTML"},
		"HTML":                   {[]byte("<!doctype html><script>"), "SVG or HTML"},
		"PDF":                    {[]byte("%PDF-1.7\n"), "a PDF"},
		"zip":                    {packed(t), "a packed file"},
		"TIFF":                   {exif(binary.LittleEndian, 1), "TIFF or raw"},
		"BMP":                    {[]byte("BM\x00\x00"), "a BMP"},
		"a sound":                {[]byte("RIFF\x00\x00\x00\x00WAVE"), "no picture we know"},
		"text":                   {[]byte("not a picture"), "no picture we know"},
		"one byte":               {[]byte{0xff}, "no picture we know"},
		"only a JPEG's head":     {whole[:3], "cannot be read to its end"},
		"half a JPEG":            {whole[:len(whole)/2], "cannot be read to its end"},
		"half a PNG":             {asPNG(t, corners(640, 480))[:400], "cannot be read to its end"},
		"half a WebP":            {riff(vp8l(corners(64, 48)))[:80], "cannot be read to its end"},
		"a moving WebP":          {riff(vp8x(1<<1, 64, 48), riffChunk("ANIM", make([]byte, 6))), "cannot be read to its end"},
		"PNG of nothing":         {pngHeader(0, 0), "cannot be read to its end"},
		"a wrong checksum":       {bytes.Replace(asPNG(t, corners(64, 48)), []byte("IEND\xae"), []byte("IEND\xaf"), 1), "cannot be read to its end"},
	} {
		t.Run(name, func(t *testing.T) {
			p, err := Clean(t.Context(), c.file)
			var why Refusal
			require.ErrorAs(t, err, &why)
			assert.Contains(t, string(why), c.says)
			assert.Zero(t, p)
		})
	}
}

// A small file that says it is huge is refused before room for it is made.
func TestHugePicturesAreNotRead(t *testing.T) {
	sof := func(w, h uint16) []byte {
		size := binary.BigEndian.AppendUint16(binary.BigEndian.AppendUint16([]byte{8}, h), w)
		return withSegments([]byte("\xff\xd8"), segment(0xc0, string(size)+"\x01\x01\x11\x00"), segment(0xda, "\x01\x01\x00\x00\x3f\x00"))
	}
	hugeVP8L := &bits{}
	hugeVP8L.put(0x2f, 8)
	hugeVP8L.put(16383, 14)
	hugeVP8L.put(16383, 14)
	hugeVP8L.put(0, 64)
	for name, c := range map[string]struct {
		file []byte
		says string
	}{
		"PNG":                        {pngHeader(12000, 12000), "The picture has 12,000 × 12,000 pixels; at most 25 million pixels and 8,000 on a side are read."},
		"PNG beyond counting":        {pngHeader(1<<31-1, 1<<31-1), "cannot be read to its end"},
		"PNG beyond signed":          {pngHeader(1<<31, 1<<31), "cannot be read to its end"},
		"JPEG":                       {sof(65535, 65535), "65,535 × 65,535"},
		"a long strip":               {sof(8001, 2), "8,001 × 2 pixels"},
		"just too many":              {sof(5001, 5000), "5,001 × 5,000"},
		"WebP":                       {riff(riffChunk("VP8L", hugeVP8L.out)), "16,384 × 16,384"},
		"WebP that says it is small": {riff(vp8x(0, 10, 10), riffChunk("VP8L", hugeVP8L.out)), "cannot be read to its end"},
	} {
		t.Run(name, func(t *testing.T) {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			_, err := Clean(t.Context(), c.file)
			runtime.ReadMemStats(&after)
			var why Refusal
			require.ErrorAs(t, err, &why)
			assert.Contains(t, string(why), c.says)
			assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(4<<20))
		})
	}
	assert.NoError(t, measure(jpegFile, sof(5000, 5000)), "exactly at the limit")
	assert.NoError(t, measure(jpegFile, sof(8000, 3125)))
}

func TestDetailWithoutEndIsPackedHarderOrRefused(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	m := image.NewRGBA(image.Rect(0, 0, 160, 160))
	for i := range m.Pix {
		m.Pix[i] = byte(rng.IntN(256)) | byte(255*(i%4/3)) // noise, opaque
	}
	sizes := map[int]int{}
	for _, most := range []int{1 << 20, 16_000, 12_000} {
		data, err := pack(m, most)
		require.NoError(t, err)
		checkClean(t, data, 160)
		sizes[most] = len(data)
		assert.LessOrEqual(t, len(data), most)
	}
	assert.Greater(t, sizes[1<<20], sizes[16_000])
	assert.Greater(t, sizes[16_000], sizes[12_000])
	_, err := pack(m, 5_000)
	var why Refusal
	require.ErrorAs(t, err, &why)
	assert.Contains(t, string(why), "more detail than a photo")
}

func TestWaitingForAPlaceEnds(t *testing.T) {
	file := asJPEG(t, corners(64, 48))
	for range cap(places) {
		places <- struct{}{}
	}
	_, err := cleanWithin(t.Context(), file, 20*time.Millisecond)
	var why Refusal
	assert.ErrorAs(t, err, &why)
	assert.True(t, strings.Contains(string(why), "Send it again in a moment"), "%v", err)
	gone, cancel := context.WithTimeout(t.Context(), 20*time.Millisecond)
	defer cancel()
	_, err = Clean(gone, file)
	assert.ErrorIs(t, err, context.DeadlineExceeded, "whoever has gone is told nothing")
	for range cap(places) {
		<-places
	}
	_, err = decode(gone, jpegFile, file)
	assert.ErrorIs(t, err, context.DeadlineExceeded, "a picture is not read on after its time")
	_, err = Clean(t.Context(), file)
	assert.NoError(t, err, "and the places are free again")
}

func FuzzOrientation(f *testing.F) {
	for o := range 10 {
		for _, kind := range []format{jpegFile, pngFile, webpFile} {
			f.Add(int(kind), withOrientation(f, kind, corners(4, 4), exif(binary.BigEndian, o)))
			f.Add(int(kind), withOrientation(f, kind, corners(4, 4), exif(binary.LittleEndian, o)))
		}
	}
	f.Fuzz(func(t *testing.T, kind int, data []byte) {
		if o := orientation(format(kind), data); o < 1 || o > 8 {
			t.Errorf("orientation %d", o)
		}
		if o := tiffOrientation(data); o < 1 || o > 8 {
			t.Errorf("orientation %d", o)
		}
	})
}

func FuzzClean(f *testing.F) {
	for _, kind := range []format{jpegFile, pngFile, webpFile} {
		f.Add(withOrientation(f, kind, corners(8, 8), exif(binary.BigEndian, 6)))
	}
	f.Add(append(asJPEG(f, corners(8, 8)), packed(f)...))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := Clean(t.Context(), data)
		if err != nil {
			if _, is := err.(Refusal); !is {
				t.Errorf("%T: %v", err, err)
			}
			return
		}
		checkClean(t, p.Large, LargeEdge)
		checkClean(t, p.Small, SmallEdge)
	})
}

// A tag that is not one number from 1 to 8 says nothing.
func TestOrientationThatSaysNothing(t *testing.T) {
	good := exif(binary.BigEndian, 6)
	require.Equal(t, 6, tiffOrientation(good))
	const at = 10 + 12 // the second entry
	for name, change := range map[string]func([]byte) []byte{
		"nought":       func([]byte) []byte { return exif(binary.BigEndian, 0) },
		"nine":         func([]byte) []byte { return exif(binary.BigEndian, 9) },
		"other type":   func(b []byte) []byte { b[at+3] = 4; return b },
		"two of them":  func(b []byte) []byte { b[at+7] = 2; return b },
		"no directory": func(b []byte) []byte { b[4] = 0xff; return b },
		"cut off":      func(b []byte) []byte { return b[:at+5] },
		"wrong order":  func(b []byte) []byte { copy(b, "MI"); return b },
		"nothing":      func([]byte) []byte { return nil },
	} {
		assert.Equal(t, 1, tiffOrientation(change(bytes.Clone(good))), name)
	}
	for _, file := range []string{"\xff\xd8\xff\xe1\x00\x01", "\xff\xd8\xff\xe1\xff\xffExif\x00\x00", "\xff\xd8\xff\xff\xff\xff", "\xff\xd8\xff\xda\x00\x02" + string(exifSegment(good))} {
		assert.Equal(t, 1, orientation(jpegFile, []byte(file)), fmt.Sprintf("%x", file))
	}
	assert.Equal(t, 1, orientation(none, good))
}
