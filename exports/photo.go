package exports

import (
	"bytes"
	"fmt"
	"image"
	_ "image/jpeg" // the size of a photo is read
	"time"

	"github.com/xuri/excelize/v2"

	"tablehand/assessment"
)

// Photo is a photo of a groom as it goes into a workbook: small, or only its
// place where it was taken down.
type Photo struct {
	Groom      string // reference
	Day        assessment.Day
	Apprentice string // key
	Kind       assessment.PhotoKind
	Added      time.Time // UTC
	TakenDown  time.Time // UTC; zero while it is shown
	Digest     string    // SHA-256 of the photo as the record holds it, hex
	JPEG       []byte    // the thumbnail; none where it was taken down
}

// The room a photo has on its sheet, in pixels of a screen at 96 to the inch.
const (
	photoWide, photoHigh = 240, 180
	photoRow             = photoHigh*72/96 + 8 // points
	photoColumn          = "Photo"
)

func photoSheet() *sheet {
	return &sheet{name: "Photos", fixed: 2, columns: []column{
		{title: "Groom", width: 28, meaning: "Reference of the assessed groom", source: "record"},
		{title: "Day", width: 11, as: asDate, unit: "date", values: "ISO date", meaning: "Day in the salon", source: "record"},
		{title: "Apprentice", width: 18, meaning: "Who groomed", source: "record"},
		{title: "Shows", width: 9, values: "Before, After, Other", meaning: "Which moment of the groom", source: "record"},
		{title: "Added (UTC)", width: 19, as: asInstant, unit: "date and time", values: "ISO", meaning: "When the photo was added", source: "record"},
		{title: "Taken down (UTC)", width: 19, as: asInstant, unit: "date and time", values: "ISO; empty while it is shown", meaning: "When it was taken down; its picture is then gone", source: "record"},
		{title: "SHA-256", width: 68, values: "64 hex digits", meaning: "Fingerprint of the photo in the record, which is larger than the one here", source: "record"},
		{title: photoColumn, width: 36, values: "a small picture; empty when taken down", meaning: "The photo", source: "record"},
	}}
}

// writePhotos writes the sheet of photos. Pictures are put on it before it is
// finished: what comes after that is lost.
func (wb *workbook) writePhotos() error {
	p, err := wb.beginTable(wb.photos)
	if err != nil {
		return err
	}
	err = each(wb.book.Photos, func(f *Photo) error {
		p.cells = append(p.cells, text(f.Groom), day(f.Day), wb.apprentice(f.Apprentice), f.Kind.Words(), instant(f.Added), instant(f.TakenDown), text(f.Digest), nil)
		if len(f.JPEG) == 0 {
			return p.end()
		}
		if err := p.end(excelize.RowOpts{Height: photoRow}); err != nil {
			return err
		}
		size, _, err := image.DecodeConfig(bytes.NewReader(f.JPEG))
		if err != nil {
			return fmt.Errorf("the photo with the fingerprint %s: %w", f.Digest, err)
		}
		scale := min(1, float64(photoWide)/float64(size.Width), float64(photoHigh)/float64(size.Height))
		return wb.file.AddPictureFromBytes(p.sheet.name, p.sheet.at(photoColumn)+fmt.Sprint(p.row), &excelize.Picture{Extension: ".jpg", File: f.JPEG,
			Format: &excelize.GraphicOptions{AltText: f.Kind.Words(), ScaleX: scale, ScaleY: scale, OffsetX: 4, OffsetY: 4, Positioning: "oneCell", LockAspectRatio: true}})
	})
	if err != nil {
		return err
	}
	return p.close()
}
