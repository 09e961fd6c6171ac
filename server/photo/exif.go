package photo

import (
	"bytes"
	"encoding/binary"
)

// orientation is how the camera was held when it took the picture, 1 to 8 as in
// the Exif standard (tag 0x0112: which side of the picture its first row and
// first column are); 1, upright, when the file does not say. It is the one thing
// that is read of what stands beside a picture.
func orientation(f format, data []byte) int {
	switch f {
	case jpegFile:
		return tiffOrientation(bytes.TrimPrefix(jpegExif(data), exifHead))
	case pngFile:
		return tiffOrientation(pngExif(data))
	case webpFile:
		return tiffOrientation(bytes.TrimPrefix(webpExif(data), exifHead)) // some writers keep the head of JPEG
	}
	return 1
}

var exifHead = []byte("Exif\x00\x00")

// jpegExif is the first APP1 segment that holds Exif, with its head. The
// segments end where the picture itself begins.
func jpegExif(data []byte) []byte {
	for at := 2; at+4 <= len(data) && data[at] == 0xff; {
		marker := data[at+1]
		if marker == 0xff { // padding before a marker
			at++
			continue
		}
		n := int(binary.BigEndian.Uint16(data[at+2:]))
		end := at + 2 + n
		if marker == 0xda || marker == 0xd9 || n < 2 || end > len(data) {
			return nil
		}
		if body := data[at+4 : end]; marker == 0xe1 && bytes.HasPrefix(body, exifHead) {
			return body
		}
		at = end
	}
	return nil
}

// pngExif is the eXIf chunk of a PNG: length, type, data and checksum, one chunk
// after the other.
func pngExif(data []byte) []byte {
	for at := len(pngHead); at+12 <= len(data); {
		n := int64(binary.BigEndian.Uint32(data[at:]))
		end := int64(at) + 8 + n
		if end+4 > int64(len(data)) {
			return nil
		}
		if string(data[at+4:at+8]) == "eXIf" {
			return data[at+8 : end]
		}
		at = int(end) + 4
	}
	return nil
}

// webpExif is the EXIF chunk of a WebP: type, length and data, padded to an even
// number of bytes.
func webpExif(data []byte) []byte {
	for at := 12; at+8 <= len(data); {
		n := int64(binary.LittleEndian.Uint32(data[at+4:]))
		end := int64(at) + 8 + n
		if end > int64(len(data)) {
			return nil
		}
		if string(data[at:at+4]) == "EXIF" {
			return data[at+8 : end]
		}
		at = int(end + n%2)
	}
	return nil
}

// tiffOrientation reads the tag out of the first directory of a TIFF header.
func tiffOrientation(b []byte) int {
	const head, entry, tag, short = 8, 12, 0x0112, 3
	if len(b) < head {
		return 1
	}
	var order binary.ByteOrder = binary.LittleEndian
	switch string(b[:4]) {
	case "II*\x00":
	case "MM\x00*":
		order = binary.BigEndian
	default:
		return 1
	}
	at := int64(order.Uint32(b[4:]))
	if at+2 > int64(len(b)) {
		return 1
	}
	n := int(order.Uint16(b[at:]))
	for rows := b[at+2:]; n > 0 && len(rows) >= entry; n, rows = n-1, rows[entry:] {
		if order.Uint16(rows) != tag {
			continue
		}
		if v := int(order.Uint16(rows[8:])); order.Uint16(rows[2:]) == short && order.Uint32(rows[4:]) == 1 && v >= 1 && v <= 8 {
			return v
		}
		return 1
	}
	return 1
}
