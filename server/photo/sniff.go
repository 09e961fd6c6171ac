package photo

import (
	"bytes"
	"encoding/binary"
	"strings"
)

// Refusal says why a file was not taken, for whoever sent it: what was found
// and what to do.
type Refusal string

func (r Refusal) Error() string { return string(r) }

// format is a kind of picture that is taken.
type format int

const (
	none format = iota
	jpegFile
	pngFile
	webpFile
)

const (
	pngHead  = "\x89PNG\r\n\x1a\n"
	jpegHead = "\xff\xd8\xff"
)

// sniff finds out what a file is from its first bytes; its name and what the
// browser says about it are not asked.
func sniff(data []byte) (format, error) {
	begins := func(head string) bool { return bytes.HasPrefix(data, []byte(head)) }
	switch {
	case len(data) == 0:
		return none, Refusal("The file is empty. Take the photo again, or choose another one.")
	case begins(jpegHead):
		return jpegFile, nil
	case begins(pngHead):
		return pngFile, nil
	case isWebP(data):
		return webpFile, nil
	}
	if len(data) >= 12 && string(data[4:8]) == "ftyp" {
		return none, boxed(string(data[8:12]), data)
	}
	for _, k := range []struct{ head, name string }{
		{"GIF8", "a GIF"}, {"BM", "a BMP picture"}, {"II*\x00", "a TIFF or raw picture"}, {"MM\x00*", "a TIFF or raw picture"},
		{"%PDF", "a PDF"}, {"PK", "a packed file"}, {"\x1f\x8b", "a packed file"},
	} {
		if begins(k.head) {
			return none, other("This is " + k.name)
		}
	}
	if text := bytes.TrimLeft(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf")), " \t\r\n"); len(text) > 0 && text[0] == '<' {
		return none, other("This is a drawing or a page written as text, such as SVG or HTML")
	}
	return none, other("This is no picture we know")
}

func other(what string) Refusal {
	return Refusal(what + ". A photo has to be JPEG, PNG or WebP: take one with the camera, or choose another file.")
}

func isWebP(data []byte) bool {
	return len(data) >= 12 && string(data[:4]) == "RIFF" && string(data[8:12]) == "WEBP"
}

// boxed names a file of the family that HEIC, AVIF and films share, by its
// brands: the main one, and those it says it is compatible with.
func boxed(brand string, data []byte) Refusal {
	brands := brand
	if n := int(binary.BigEndian.Uint32(data)); n >= 16 && n <= min(len(data), 256) {
		brands += string(data[16:n])
	}
	switch {
	case strings.Contains(brands, "avi"): // avif, avis
		return other("This is an AVIF picture")
	case strings.Contains(brands, "hei"), strings.Contains(brands, "hev"), strings.Contains(brands, "mif1"), strings.Contains(brands, "msf1"):
		return Refusal("This is a HEIC picture, which cannot be kept here. Choose JPEG in the camera's settings (often called “most compatible”) and take it again, or save this one as JPEG first.")
	}
	return other("This is a film")
}
