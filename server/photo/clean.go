package photo

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"strconv"
	"time"

	"golang.org/x/image/webp"
)

const (
	LargeEdge = 1600 // px, long edge of a photo as it is kept
	SmallEdge = 320  // px, long edge of its thumbnail

	// MaxBytes is the most a kept photo takes, thumbnail left out.
	MaxBytes = 1 << 20

	maxPixels = 25_000_000       // px; the common cameras of phones give 12 or 24 million
	maxEdge   = 8000             // px
	deadline  = 20 * time.Second // for one photo, the wait for a place included
)

// qualities are the JPEG qualities that are tried, until a photo is small
// enough. Common practice, no source: 82 shows no loss on a screen.
var qualities = []int{82, 65, 45}

// Picture is a photo as it is kept.
type Picture struct {
	Large []byte // JPEG, long edge at most LargeEdge, at most MaxBytes
	Small []byte // JPEG, long edge at most SmallEdge
}

// places bounds how many photos are in work at once: one of the largest, packed
// in the most wasteful way, takes some hundred megabytes while it is read.
var places = make(chan struct{}, 2)

var errBroken = Refusal("The picture cannot be read to its end. It may be damaged, or was cut off on the way: send it again, or take another photo.")

// Clean makes a clean, upright photo of at most LargeEdge pixels from the bytes
// of a JPEG, PNG or WebP file, and its thumbnail. Whatever stood beside the
// picture in the file is gone. Why it cannot be done is a Refusal; any other
// error is that of the context.
func Clean(ctx context.Context, data []byte) (Picture, error) {
	return cleanWithin(ctx, data, deadline)
}

func cleanWithin(ctx context.Context, data []byte, limit time.Duration) (Picture, error) {
	f, err := sniff(data)
	if err != nil {
		return Picture{}, err
	}
	if err := measure(f, data); err != nil {
		return Picture{}, err
	}
	mine, cancel := context.WithTimeout(ctx, limit)
	defer cancel()
	p, err := clean(mine, f, data)
	if errors.Is(err, context.DeadlineExceeded) && ctx.Err() == nil {
		err = Refusal("Making the photo smaller took too long; perhaps several were sent at once. Send it again in a moment.")
	}
	return p, err
}

func clean(ctx context.Context, f format, data []byte) (Picture, error) {
	select {
	case places <- struct{}{}:
	case <-ctx.Done():
		return Picture{}, ctx.Err()
	}
	defer func() { <-places }()
	src, err := decode(ctx, f, data)
	if err != nil {
		return Picture{}, err
	}
	large, err := shrink(ctx, src, LargeEdge)
	if err != nil {
		return Picture{}, err
	}
	large = upright(large, orientation(f, data))
	small, err := shrink(ctx, large, SmallEdge)
	if err != nil {
		return Picture{}, err
	}
	var p Picture
	if p.Large, err = pack(large, MaxBytes); err != nil {
		return Picture{}, err
	}
	p.Small, err = pack(small, MaxBytes)
	return p, err
}

// measure reads how large a picture says it is, and refuses it before anything
// of that size is made.
func measure(f format, data []byte) error {
	c, err := config(f, bytes.NewReader(data))
	if err != nil || c.Width < 1 || c.Height < 1 {
		return errBroken
	}
	if c.Width > maxEdge || c.Height > maxEdge || c.Width*c.Height > maxPixels {
		return Refusal(fmt.Sprintf("The picture has %s × %s pixels; at most %d million pixels and %s on a side are read. Choose a lower resolution in the camera's settings, or a smaller picture.",
			thousands(c.Width), thousands(c.Height), maxPixels/1_000_000, thousands(maxEdge)))
	}
	return nil
}

func thousands(n int) string {
	if n < 1000 {
		return strconv.Itoa(n)
	}
	return fmt.Sprintf("%s,%03d", thousands(n/1000), n%1000)
}

func config(f format, r io.Reader) (image.Config, error) {
	switch f {
	case jpegFile:
		return jpeg.DecodeConfig(r)
	case pngFile:
		return png.DecodeConfig(r)
	}
	return webp.DecodeConfig(r)
}

// decode reads the picture. A reader that has met something it did not expect
// may panic; that is the file's fault like any other.
func decode(ctx context.Context, f format, data []byte) (img image.Image, err error) {
	defer func() {
		if recover() != nil {
			img, err = nil, errBroken
		}
	}()
	r := &patient{ctx, bytes.NewReader(data)}
	switch f {
	case jpegFile:
		img, err = jpeg.Decode(r)
	case pngFile:
		img, err = png.Decode(r)
	default:
		img, err = webp.Decode(r)
	}
	switch {
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case err != nil:
		return nil, errBroken
	}
	if b := img.Bounds(); b.Dx() > maxEdge || b.Dy() > maxEdge || b.Dx()*b.Dy() > maxPixels { // not what was measured
		return nil, errBroken
	}
	return img, nil
}

// patient ends a reading when its time is over.
type patient struct {
	ctx context.Context
	r   io.Reader
}

func (p *patient) Read(b []byte) (int, error) {
	if err := p.ctx.Err(); err != nil {
		return 0, err
	}
	return p.r.Read(b)
}

// pack writes a picture as JPEG of at most so many bytes: the picture and nothing
// else.
func pack(img *image.RGBA, most int) ([]byte, error) {
	var b bytes.Buffer
	for _, q := range qualities {
		b.Reset()
		if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: q}); err != nil {
			return nil, err
		}
		if b.Len() <= most {
			return b.Bytes(), nil
		}
	}
	return nil, Refusal("The picture stays too large however it is packed, because it has more detail than a photo. Choose another one.")
}
