package exports

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"iter"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
)

func shot(t *testing.T, w, h int, shade uint8) []byte {
	m := image.NewGray(image.Rect(0, 0, w, h))
	for i := range m.Pix {
		m.SetGray(i%w, i/w, color.Gray{shade})
	}
	var b bytes.Buffer
	require.NoError(t, jpeg.Encode(&b, m, nil))
	return b.Bytes()
}

func photos(list []Photo, fault error) iter.Seq2[Photo, error] {
	return func(yield func(Photo, error) bool) {
		for _, p := range list {
			if !yield(p, nil) {
				return
			}
		}
		if fault != nil {
			yield(Photo{}, fault)
		}
	}
}

// Photos are in a workbook only where they were asked for, each beside what the
// record says of it; of one that was taken down only that.
func TestPhotosOnlyWhenAskedFor(t *testing.T) {
	s := newSalon()
	assert.NotContains(t, written(t, s.book).GetSheetList(), "Photos")

	wide, high := shot(t, 320, 240, 90), shot(t, 180, 320, 120)
	added := time.Date(2026, 5, 12, 13, 40, 0, 0, time.UTC)
	s.book.Photos = photos([]Photo{
		{Groom: "G001", Day: today - 8, Apprentice: "a1", Kind: assessment.PhotoBefore, Added: added, Digest: "aa11", JPEG: wide},
		{Groom: "G001", Day: today - 8, Apprentice: "a1", Kind: assessment.PhotoAfter, Added: added, TakenDown: added.AddDate(0, 0, 1), Digest: "bb22"},
		{Groom: "G002", Day: today - 8, Apprentice: "a1", Kind: assessment.PhotoAfter, Added: added, Digest: "cc33", JPEG: high},
	}, nil)
	f := written(t, s.book)
	sheets := f.GetSheetList()
	require.Equal(t, "Photos", sheets[len(sheets)-1])
	rows, err := f.GetRows("Photos")
	require.NoError(t, err)
	require.Len(t, rows, 4)
	assert.Equal(t, []string{"G001", "2026-05-12", "Ash Reed", "Before", "2026-05-12 13:40:00", "", "aa11"}, rows[1][:7])
	assert.Equal(t, []string{"G001", "2026-05-12", "Ash Reed", "After", "2026-05-12 13:40:00", "2026-05-13 13:40:00", "bb22"}, rows[2][:7])
	for cell, want := range map[string][]byte{"H2": wide, "H3": nil, "H4": high} {
		found, err := f.GetPictures("Photos", cell)
		require.NoError(t, err)
		if want == nil {
			assert.Empty(t, found, cell)
			continue
		}
		require.Len(t, found, 1, cell)
		assert.Equal(t, want, found[0].File, cell)
	}
	tables, err := f.GetTables("Photos")
	require.NoError(t, err)
	require.Len(t, tables, 1)
	assert.Equal(t, "A1:H4", tables[0].Range)
	words, err := f.GetRows("Read me")
	require.NoError(t, err)
	dictionary := 0
	for _, r := range words {
		if len(r) > 0 && r[0] == "Photos" {
			dictionary++
		}
	}
	assert.Equal(t, 1+8, dictionary, "what is left out, and each of its columns")
}

func TestAPhotoThatCannotBeReadEndsTheExport(t *testing.T) {
	s := newSalon()
	w := new(countingWriter)
	s.book.Photos = photos([]Photo{{Groom: "G001", Digest: "dd44", JPEG: []byte("no picture")}}, nil)
	assert.ErrorContains(t, Write(w, s.book), "dd44")
	lost := errors.New("lost")
	s.book.Photos = photos(nil, lost)
	assert.ErrorIs(t, Write(w, s.book), lost)
	assert.Zero(t, w.n)
}
