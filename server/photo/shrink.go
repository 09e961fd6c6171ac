package photo

import (
	"context"
	"image"

	"golang.org/x/image/draw"
)

// shrink paints a picture on white so that its long edge is at most edge pixels;
// a smaller one keeps its size. Whole blocks of pixels are averaged first, strip
// by strip, so that a large picture is never held twice; what is left, by a
// factor below two, is interpolated.
func shrink(ctx context.Context, src image.Image, edge int) (*image.RGBA, error) {
	b := src.Bounds()
	block := max(1, max(b.Dx(), b.Dy())/edge)
	out, err := average(ctx, src, block)
	if err != nil {
		return nil, err
	}
	w, h := fit(b.Dx(), b.Dy(), edge)
	if out.Rect.Dx() == w && out.Rect.Dy() == h {
		return out, nil
	}
	small := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.ApproxBiLinear.Scale(small, small.Rect, out, out.Rect, draw.Src, nil)
	return small, nil
}

// fit is the size of a picture whose long edge is at most edge, at least one
// pixel each way, rounded to the nearest.
func fit(w, h, edge int) (int, int) {
	long := max(w, h)
	if long <= edge {
		return w, h
	}
	return max(1, (w*edge+long/2)/long), max(1, (h*edge+long/2)/long)
}

// average makes one pixel of each block of block × block pixels. Blocks at the
// right and lower edge may be smaller.
func average(ctx context.Context, src image.Image, block int) (*image.RGBA, error) {
	b := src.Bounds()
	out := image.NewRGBA(image.Rect(0, 0, (b.Dx()+block-1)/block, (b.Dy()+block-1)/block))
	strip := image.NewRGBA(image.Rect(0, 0, b.Dx(), block))
	for y := range out.Rect.Dy() {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		rows := min(block, b.Dy()-y*block)
		draw.Draw(strip, strip.Rect, image.White, image.Point{}, draw.Src)
		draw.Draw(strip, image.Rect(0, 0, b.Dx(), rows), src, image.Pt(b.Min.X, b.Min.Y+y*block), draw.Over)
		line := out.Pix[y*out.Stride:]
		for x := range out.Rect.Dx() {
			copy(line[4*x:4*x+4], mean(strip, x*block, min((x+1)*block, b.Dx()), rows))
		}
	}
	return out, nil
}

// mean is the average colour of the columns from to before to, over the first
// rows of a strip. It is opaque, because the strip is.
func mean(strip *image.RGBA, from, to, rows int) []byte {
	var sum [3]int
	for y := range rows {
		for at := y*strip.Stride + 4*from; at < y*strip.Stride+4*to; at += 4 {
			sum[0] += int(strip.Pix[at])
			sum[1] += int(strip.Pix[at+1])
			sum[2] += int(strip.Pix[at+2])
		}
	}
	n := (to - from) * rows
	return []byte{byte((sum[0] + n/2) / n), byte((sum[1] + n/2) / n), byte((sum[2] + n/2) / n), 0xff}
}

// upright turns a picture the way the camera was held. The numbers are those of
// the Exif standard: where the first row and the first column of the picture
// belong (1 top and left, 2 top and right, 3 bottom and right, 4 bottom and
// left, 5 left and top, 6 right and top, 7 right and bottom, 8 left and bottom).
func upright(src *image.RGBA, orientation int) *image.RGBA {
	w, h := src.Rect.Dx(), src.Rect.Dy()
	if orientation <= 1 || orientation > 8 {
		return src
	}
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	if orientation >= 5 {
		dst = image.NewRGBA(image.Rect(0, 0, h, w))
	}
	for y := range dst.Rect.Dy() {
		for x := range dst.Rect.Dx() {
			fx, fy := x, y
			switch orientation {
			case 2:
				fx = w - 1 - x
			case 3:
				fx, fy = w-1-x, h-1-y
			case 4:
				fy = h - 1 - y
			case 5:
				fx, fy = y, x
			case 6:
				fx, fy = y, h-1-x
			case 7:
				fx, fy = w-1-y, h-1-x
			case 8:
				fx, fy = w-1-y, x
			}
			copy(dst.Pix[dst.PixOffset(x, y):][:4], src.Pix[src.PixOffset(fx, fy):][:4])
		}
	}
	return dst
}
