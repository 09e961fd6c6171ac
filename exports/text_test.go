package exports

import (
	"archive/zip"
	"bytes"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"tablehand/assessment"
)

func TestClean(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"", ""}, {"Pepper 2", "Pepper 2"}, {"Zoë\nline", "Zoë\nline"}, {"a\x00b\x1fc", "a\ufffdb\ufffdc"}, {"bad \xff byte", "bad \ufffd byte"},
		{"\ufffe\uffff", "\ufffd\ufffd"}, {"tab\tstays", "tab\tstays"}, {"_x0041_", "_x0041_"},
	} {
		assert.Equal(t, c.want, clean(c.in), "%q", c.in)
	}
	assert.Nil(t, text(""), "no text is an empty cell")
}

func TestLongTextIsCutWithAMark(t *testing.T) {
	fits := strings.Repeat("x", MaxText)
	assert.Equal(t, fits, clean(fits))
	for _, long := range []string{fits + "x", strings.Repeat("é", MaxText+1), strings.Repeat("🐕", MaxText)} {
		got := clean(long)
		assert.True(t, strings.HasSuffix(got, cutMark))
		assert.LessOrEqual(t, units16(got), MaxText)
		assert.Greater(t, units16(got), MaxText-2, "no more is cut than needed")
		assert.NotContains(t, got, "\ufffd", "cut between characters")
	}
}

func TestDates(t *testing.T) {
	assert.Equal(t, 46162, day(assessment.Date(2026, time.May, 20)))
	assert.Equal(t, 61, day(assessment.Date(1900, time.March, 1)))
	assert.Equal(t, "1900-02-28", day(assessment.Date(1900, time.February, 28)), "spreadsheets disagree on this number")
	assert.Nil(t, day(0))
	assert.Nil(t, instant(time.Time{}))
	for s := range 86400 {
		at := time.Date(2026, 5, 12, 0, 0, s, 0, time.UTC)
		got, err := excelize.ExcelDateToTime(instant(at).(float64), false)
		require.NoError(t, err)
		require.Equal(t, at, got.Truncate(time.Second))
	}
}

// Texts that a program could take for a formula, as a name, a dog and a
// reference: they come back unchanged, and no formula has grown from them.
func TestTextNeverBecomesAFormula(t *testing.T) {
	for _, bad := range []string{`=HYPERLINK("http://example.invalid","x")`, "+1+1", "-1+1", "@SUM(1)", "\t=1+1", "\r=1+1", "＝1+1", "=1\x01+1"} {
		s := newSalon()
		for i := range s.grooms {
			s.grooms[i].Ref, s.grooms[i].Dog, s.grooms[i].Coat, s.grooms[i].Service = bad, bad, bad, bad
			s.grooms[i].Reasons, s.grooms[i].Gravest = []string{bad}, bad
		}
		for i := range s.ratings {
			s.ratings[i].Groom, s.ratings[i].Criterion, s.ratings[i].Lowered = bad, bad, bad
		}
		s.book.Apprentices[0].Name, s.book.Salon, s.book.By, s.book.Scope = bad, bad, bad, bad
		s.book.Name = func(string) string { return bad }
		s.use()
		var buf bytes.Buffer
		require.NoError(t, Write(&buf, s.book))
		for part, xml := range parts(t, buf.Bytes()) {
			assert.NotRegexp(t, `<f>[^<]*(HYPERLINK|1\+1)`, xml, part)
			assert.NotContains(t, part, "externalLink")
		}
		f, err := excelize.OpenReader(&buf)
		require.NoError(t, err)
		v, err := f.GetCellValue("Assessed grooms", "E2")
		require.NoError(t, err)
		assert.Equal(t, clean(bad), v)
		kind, err := f.GetCellType("Assessed grooms", "E2")
		require.NoError(t, err)
		assert.Equal(t, excelize.CellTypeInlineString, kind)
		require.NoError(t, f.Close())
	}
}

// parts returns the text of every part of a workbook file.
func parts(t testing.TB, file []byte) map[string]string {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(file), int64(len(file)))
	require.NoError(t, err)
	all := map[string]string{}
	for _, part := range z.File {
		r, err := part.Open()
		require.NoError(t, err)
		b, err := io.ReadAll(r)
		require.NoError(t, err)
		all[part.Name] = string(b)
	}
	return all
}

func eachFormula(t testing.TB, f *excelize.File, sheet string, do func(cell, formula string)) {
	t.Helper()
	rows, err := f.GetRows(sheet)
	require.NoError(t, err)
	for r := range rows {
		for c := range rows[r] {
			cell := letter(c+1) + itoa(r+1)
			formula, err := f.GetCellFormula(sheet, cell)
			require.NoError(t, err)
			if formula != "" {
				do(cell, formula)
			}
		}
	}
}
