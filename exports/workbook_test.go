package exports

import (
	"bytes"
	"errors"
	"io"
	"iter"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"tablehand/assessment"
)

type countingWriter struct{ n int }

func (w *countingWriter) Write(b []byte) (int, error) { w.n += len(b); return len(b), nil }

var dataSheets = []string{"Matrix", "Progress", "Rubric weights", "Assessed grooms", "Ratings", "Observations", "Incidents", "Sign-offs", "Logbook", "Agreement"}

func TestSheetsInOrder(t *testing.T) {
	f := written(t, newSalon().book)
	assert.Equal(t, []string{"Read me", "Matrix", "Progress", "Totals", "Rubric weights", "Assessed grooms", "Ratings", "Observations", "Incidents", "Sign-offs", "Logbook", "Agreement"}, f.GetSheetList())
}

func TestTablesPanesAndPrint(t *testing.T) {
	f := written(t, newSalon().book)
	titles := map[string]string{}
	for _, n := range f.GetDefinedName() {
		if n.Name == "_xlnm.Print_Titles" {
			titles[n.Scope] = n.RefersTo
		}
	}
	names := map[string]bool{}
	for _, sheet := range dataSheets {
		tables, err := f.GetTables(sheet)
		require.NoError(t, err)
		require.Len(t, tables, 1, sheet)
		assert.False(t, names[tables[0].Name], "table names are unique")
		names[tables[0].Name] = true
		p, err := f.GetPanes(sheet)
		require.NoError(t, err)
		assert.True(t, p.Freeze && p.YSplit > 0, sheet)
		assert.Contains(t, titles[sheet], "$"+strconv.Itoa(p.YSplit), "the title row is repeated on every page of %s", sheet)
		rows, err := f.GetRows(sheet)
		require.NoError(t, err)
		_, last, _ := strings.Cut(tables[0].Range, ":")
		_, row, err := excelize.CellNameToCoordinates(last)
		require.NoError(t, err)
		assert.Equal(t, max(len(rows), p.YSplit+1), row, "the table of %s covers every row", sheet)
	}
	for _, sheet := range f.GetSheetList() {
		layout, err := f.GetPageLayout(sheet)
		require.NoError(t, err)
		assert.Equal(t, "landscape", *layout.Orientation, sheet)
		assert.Equal(t, 0, *layout.FitToHeight, sheet)
		props, err := f.GetSheetProps(sheet)
		require.NoError(t, err)
		assert.True(t, *props.FitToPage, sheet)
		hf, err := f.GetHeaderFooter(sheet)
		require.NoError(t, err)
		assert.Contains(t, hf.OddHeader, "Salon Alder && Co")
		assert.Contains(t, hf.OddFooter, "Page &P of &N")
	}
}

func TestHeaderTextStaysWithinItsLimit(t *testing.T) {
	s := newSalon()
	s.book.Salon = strings.Repeat("&", 400)
	assert.NoError(t, Write(new(countingWriter), s.book))
}

// Dates are numbers with a date format, so that they sort and can be reckoned
// with.
func TestDatesAreRealDates(t *testing.T) {
	f := written(t, newSalon().book)
	for sheet, columns := range map[string][]string{"Assessed grooms": {"Day", "Signed at (UTC)"}, "Incidents": {"Day"}} {
		l := look(t, f, sheet, 1)
		for _, column := range columns {
			cell := l.cell(l.rows[1][0], column)
			shown, err := f.GetCellValue(sheet, cell)
			require.NoError(t, err)
			assert.Regexp(t, `^2026-05-12( 13:45:30)?$`, shown)
			_, err = strconv.ParseFloat(l.value(l.rows[1][0], column), 64)
			assert.NoError(t, err, "%s %s is a number", sheet, column)
		}
	}
}

func TestHeldIsSaidInWords(t *testing.T) {
	f := written(t, newSalon().book)
	matrix := look(t, f, "Matrix", 2)
	hr1 := ""
	for _, title := range matrix.rows[1] {
		if strings.HasPrefix(title, "HR1 ") {
			hr1 = title
		}
	}
	assert.Equal(t, "On hold", matrix.value("Ash Reed", hr1))
	for _, r := range matrix.rows[2:] {
		assert.Len(t, r, len(matrix.rows[1]), "every skill has a standing")
	}
}

// 36 signed, 2 held, 3 eligible, 11 under way and 6 not started of 58: 62.1 %.
// With the held ones it would be 65.5, with the eligible ones too 70.7.
func TestPercentCountsOnlySigned(t *testing.T) {
	f := written(t, newSalon().book)
	totals := look(t, f, "Totals", 4)
	row := totals.rows[len(totals.rows)-1]
	for _, r := range totals.rows {
		if len(r) > 0 && r[0] == "Bo Lind" {
			row = r
		}
	}
	assert.Equal(t, []string{"58", "36", "2", "3", "11", "6"}, row[1:7])
	shown, err := f.GetCellValue("Totals", "H"+rowOf(t, totals, "Bo Lind"))
	require.NoError(t, err)
	assert.Equal(t, "62.1%", shown)
	shown, err = f.GetCellValue("Matrix", look(t, f, "Matrix", 2).cell("Bo Lind", "Percent signed"))
	require.NoError(t, err)
	assert.Equal(t, "62.1%", shown)
}

func TestRequirementsAsNumbersAndWords(t *testing.T) {
	f := written(t, newSalon().book)
	rows := look(t, f, "Progress", 1)
	at := map[string]int{}
	for i, title := range rows.rows[0] {
		at[title] = i
	}
	for _, r := range rows.rows[1:] {
		cell := func(title string) string {
			if i := at[title]; i < len(r) {
				return r[i]
			}
			return ""
		}
		if cell("Apprentice") == "Ash Reed" && cell("Skill") == "CL4" {
			s := variety(newSalon().programme())
			for i := range s {
				if s[i].Skill.ID != "CL4" {
					continue
				}
				for _, q := range s[i].Requirements {
					if q.Need == assessment.NeedPoints {
						assert.Equal(t, []string{itoa(q.Have), itoa(q.Want), itoa(q.Missing)}, []string{cell("Points: have"), cell("Points: need"), cell("Points: missing")})
					}
				}
				assert.Contains(t, cell("What is missing"), s[i].Missing()[0].Closing())
			}
			assert.NotEmpty(t, cell("Caution"))
			return
		}
	}
	t.Fatal("CL4 is not on the sheet")
}

func TestProgressThatDoesNotFollowIsRefused(t *testing.T) {
	s := newSalon()
	s.book.Apprentices[1].Progress = assessment.Progress{Required: 58, Signed: 38}
	assert.ErrorContains(t, Write(new(countingWriter), s.book), "Bo Lind: the progress given does not follow from the standings")
	s.book.Apprentices[1].Progress = assessment.Progress{Required: 58, Signed: 36, Held: 2, Eligible: 3, Underway: 11, NotBegun: 6, Safety: 37, SafetyNow: 27}
	assert.NoError(t, Write(new(countingWriter), s.book))
}

// Every cached value is what the library's own calculator makes of the
// formula, and no formula counts over a long sheet.
func TestCachedValuesAreTheFormulas(t *testing.T) {
	f := written(t, withTwoVersions(t).book)
	n := 0
	for _, sheet := range f.GetSheetList() {
		eachFormula(t, f, sheet, func(cell, formula string) {
			n++
			assert.Contains(t, sheetsWithFormulas, sheet)
			assert.NotRegexp(t, `Ratings!|Observations!`, formula, "%s %s", sheet, cell)
			cached, err := f.GetCellValue(sheet, cell, excelize.Options{RawCellValue: true})
			require.NoError(t, err)
			computed, err := f.CalcCellValue(sheet, cell, excelize.Options{RawCellValue: true})
			require.NoError(t, err, "%s %s %s", sheet, cell, formula)
			assertSame(t, cached, computed, "%s %s %s", sheet, cell, formula)
		})
	}
	assert.Greater(t, n, 200)
}

// assertSame compares texts, or numbers to 12 digits: a cell holds 15.
func assertSame(t testing.TB, want, got, format string, args ...any) {
	t.Helper()
	w, err1 := strconv.ParseFloat(want, 64)
	g, err2 := strconv.ParseFloat(got, 64)
	if err1 == nil && err2 == nil {
		assert.InDelta(t, w, g, 1e-12*max(1, max(w, -w)), append([]any{format}, args...)...)
		return
	}
	assert.Equal(t, want, got, append([]any{format}, args...)...)
}

func TestNothingPrivateLeaves(t *testing.T) {
	var buf bytes.Buffer
	require.NoError(t, Write(&buf, newSalon().book))
	host, err := os.Hostname()
	require.NoError(t, err)
	for part, xml := range parts(t, buf.Bytes()) {
		assert.NotContains(t, xml, "NOT FOR EXPORT", part)
		if strings.HasPrefix(part, "docProps/") {
			assert.NotContains(t, xml, host, part)
		}
	}
}

func TestSameNamesStayApart(t *testing.T) {
	s := newSalon()
	s.book.Apprentices[1].Name = "ash reed"
	f := written(t, s.book)
	matrix := look(t, f, "Matrix", 2)
	assert.Equal(t, "1", matrix.value("Ash Reed (a1)", "Signed"))
	assert.Equal(t, "36", matrix.value("ash reed (a2)", "Signed"))
}

// A table with two columns of one name is damaged, and a salon may name its
// criteria as it likes.
func TestColumnTitlesAreUnique(t *testing.T) {
	s := withTwoVersions(t)
	second := s.book.Programmes[1]
	second.Rubric.Criterion("R14").ID, second.Rubric.Criterion("R12").ID = "Day", "Total"
	s.grooms = s.grooms[:9]
	s.use()
	f := written(t, s.book)
	for _, sheet := range dataSheets {
		rows, err := f.GetRows(sheet)
		require.NoError(t, err)
		head := rows[0]
		if sheet == "Matrix" {
			head = rows[1]
		}
		seen := map[string]bool{}
		for _, title := range head {
			assert.NotEmpty(t, title)
			assert.False(t, seen[strings.ToLower(title)], "%s on %s", title, sheet)
			seen[strings.ToLower(title)] = true
		}
	}
}

// Every column of every sheet has its line in the data dictionary.
func TestDictionaryIsComplete(t *testing.T) {
	f := written(t, newSalon().book)
	rows, err := f.GetRows("Read me")
	require.NoError(t, err)
	listed := map[string]bool{}
	for _, r := range rows {
		if len(r) == 6 {
			listed[r[0]+"/"+r[1]] = true
			assert.NotContains(t, r, "", "nothing is left open: %v", r)
		}
	}
	groups := regexp.MustCompile(`^(R\d+ (weight|must-meet)|[A-Z]{2}\d .*|[A-Z][a-z ]+: .*)$`)
	for _, sheet := range dataSheets {
		titles, err := f.GetRows(sheet)
		require.NoError(t, err)
		head := titles[0]
		if sheet == "Matrix" {
			head = titles[1]
		}
		for _, title := range head {
			if !groups.MatchString(title) {
				assert.True(t, listed[sheet+"/"+title], "%s, %s", sheet, title)
			}
		}
	}
	assert.True(t, listed["Matrix/each skill"] && listed["Progress/Coats: have, need, missing"] && listed["Rubric weights/R… weight"])
	text := strings.Join(flatten(rows), "\n")
	assert.Contains(t, text, newSalon().programme().Digest())
	assert.Contains(t, text, "2026-05-20 16:30:00 UTC, which is 2026-05-20 17:30:00 in the salon (Europe/Dublin)")
}

func flatten(rows [][]string) (all []string) {
	for _, r := range rows {
		all = append(all, r...)
	}
	return all
}

// Two exports of one record have the same cells.
func TestSameRecordSameCells(t *testing.T) {
	a, b := written(t, newSalon().book), written(t, newSalon().book)
	for _, sheet := range a.GetSheetList() {
		x, err := a.GetRows(sheet)
		require.NoError(t, err)
		y, err := b.GetRows(sheet)
		require.NoError(t, err)
		assert.Equal(t, x, y, sheet)
	}
}

func TestEmptySalon(t *testing.T) {
	f := written(t, &Book{Programmes: newSalon().book.Programmes[:1]})
	v, err := f.GetCellValue("Totals", "H5")
	require.NoError(t, err)
	assert.Equal(t, "", v, "a share of nothing is empty")
	assert.Error(t, Write(io.Discard, &Book{}), "a programme is needed")
}

func failing[T any](after ...T) iter.Seq2[T, error] {
	return func(yield func(T, error) bool) {
		for _, v := range after {
			if !yield(v, nil) {
				return
			}
		}
		var none T
		yield(none, errors.New("the record broke off"))
	}
}

func TestFailedExportLeavesNothing(t *testing.T) {
	dir := t.TempDir()
	t.Setenv("TMPDIR", dir)
	path := filepath.Join(dir, "record.xlsx")
	s := newSalon()
	s.book.Ratings = failing(s.ratings...)
	require.ErrorContains(t, WriteFile(path, s.book), "sheet Ratings: the record broke off")
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Empty(t, left)

	w := new(countingWriter)
	require.Error(t, Write(w, s.book))
	assert.Zero(t, w.n)

	require.NoError(t, os.WriteFile(path, []byte("older"), 0o600))
	require.Error(t, WriteFile(path, s.book))
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, "older", string(b))
	assert.Error(t, WriteFile(filepath.Join(dir, "no such place", "record.xlsx"), s.book))
}

func TestWriteFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "record.xlsx")
	require.NoError(t, WriteFile(path, newSalon().book))
	f, err := excelize.OpenFile(path)
	require.NoError(t, err)
	require.NoError(t, f.Close())
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm(), "only its owner reads it")
	left, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	assert.Len(t, left, 1)
}

func TestSheetThatIsFull(t *testing.T) {
	p := &page{sheet: ratingSheet(), row: maxRow}
	assert.ErrorContains(t, p.add("x"), "more than 1048575 rows do not fit on a sheet; choose a narrower scope")
}

// The package takes domain values only.
func TestImportsNoServer(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", ".").Output()
	require.NoError(t, err)
	assert.NotRegexp(t, `tablehand/server|gin-gonic|gorm`, string(out))
}
