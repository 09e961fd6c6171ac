package exports

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// need skips a test that uses a program which is not installed. Where CI is
// set, a missing program is a failure: nothing may go unchecked there.
func need(t testing.TB, program string) {
	t.Helper()
	if _, err := exec.LookPath(program); err == nil {
		return
	}
	message := fmt.Sprintf("%s is not installed; on Debian: apt-get install libreoffice-calc", program)
	if os.Getenv("CI") != "" {
		t.Fatal(message)
	}
	t.Skip(message)
}

// alwaysRecalculate makes LibreOffice work out every formula when it opens a
// file. With its own settings it keeps the values it finds.
const alwaysRecalculate = `<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item>
</oor:items>`

// recalculated opens what LibreOffice makes of the workbooks, all in one run.
func recalculated(t *testing.T, paths ...string) []*excelize.File {
	t.Helper()
	need(t, "soffice")
	profile, out := t.TempDir(), t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(profile, "user"), 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(profile, "user", "registrymodifications.xcu"), []byte(alwaysRecalculate), 0o600))
	args := append([]string{"-env:UserInstallation=file://" + profile, "--headless", "--convert-to", "xlsx", "--outdir", out}, paths...)
	message, err := exec.Command("soffice", args...).CombinedOutput()
	require.NoError(t, err, "%s", message)
	var files []*excelize.File
	for _, path := range paths {
		f, err := excelize.OpenFile(filepath.Join(out, filepath.Base(path)))
		require.NoError(t, err)
		t.Cleanup(func() { f.Close() })
		files = append(files, f)
	}
	return files
}

// control is a workbook whose cached value is wrong on purpose.
func control(t *testing.T, path string) {
	f := excelize.NewFile()
	defer f.Close()
	w, err := f.NewStreamWriter("Sheet1")
	require.NoError(t, err)
	require.NoError(t, w.SetRow("A1", []any{2, 3, excelize.Cell{Formula: "A1*B1", Value: 7}}))
	require.NoError(t, w.Flush())
	require.NoError(t, f.SaveAs(path))
}

var sheetsWithFormulas = []string{"Matrix", "Totals", "Rubric weights", "Assessed grooms"}

// A spreadsheet program that works out everything again comes to our values,
// for two programme versions and for names that look like search patterns.
func TestSpreadsheetAgrees(t *testing.T) {
	dir := t.TempDir()
	wrong, plain, awkward, appended := filepath.Join(dir, "control.xlsx"), filepath.Join(dir, "plain.xlsx"), filepath.Join(dir, "awkward.xlsx"), filepath.Join(dir, "appended.xlsx")
	control(t, wrong)
	require.NoError(t, WriteFile(plain, withTwoVersions(t).book))
	s := newSalon()
	s.book.Apprentices[0].Name, s.book.Apprentices[1].Name = "A*", "Ab?~"
	s.book.Apprentices = append(s.book.Apprentices, Apprentice{Key: "a3", Name: "Abc", Standings: s.book.Apprentices[1].Standings},
		Apprentice{Key: "a4", Name: ">5", Standings: s.book.Apprentices[0].Standings}, Apprentice{Key: "a5", Name: `="x"`, Standings: s.book.Apprentices[1].Standings})
	s.use()
	require.NoError(t, WriteFile(awkward, s.book))
	require.NoError(t, WriteFile(appended, newSalon().book))
	appendRows(t, appended)

	after := recalculated(t, wrong, plain, awkward, appended)
	v, err := after[0].GetCellValue("Sheet1", "C1")
	require.NoError(t, err)
	require.Equal(t, "6", v, "the wrong cached value must have been corrected, or the rest proves nothing")

	for i, path := range []string{plain, awkward} {
		before, err := excelize.OpenFile(path)
		require.NoError(t, err)
		n := 0
		for _, sheet := range sheetsWithFormulas {
			eachFormula(t, before, sheet, func(cell, formula string) {
				n++
				want, err := before.GetCellValue(sheet, cell, excelize.Options{RawCellValue: true})
				require.NoError(t, err)
				got, err := after[1+i].GetCellValue(sheet, cell, excelize.Options{RawCellValue: true})
				require.NoError(t, err)
				assertSame(t, want, got, "%s %s: %s", sheet, cell, formula)
			})
		}
		assert.Greater(t, n, 200)
		require.NoError(t, before.Close())
	}
	totalsCoverAppended(t, after[3])
}

var ownRow = regexp.MustCompile(`\b([A-Z]+)(\d+)\b`)

// appendRows adds a signed skill for Bo Lind under Progress and copies the
// last groom below itself, as a person would.
func appendRows(t *testing.T, path string) {
	f, err := excelize.OpenFile(path)
	require.NoError(t, err)
	defer f.Close()
	rows, err := f.GetRows("Progress")
	require.NoError(t, err)
	at := itoa(len(rows) + 1)
	progress := progressSheet()
	for column, value := range map[string]any{colApprentice: "Bo Lind", colUnit: rows[1][1], "Skill": "XX1", colRequired: yes, colSafety: yes, colStanding: "Signed", colEverSigned: yes} {
		require.NoError(t, f.SetCellValue("Progress", progress.at(column)+at, value))
	}
	rows, err = f.GetRows("Assessed grooms", excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	first, next := "2", itoa(len(rows)+1)
	for i := range rows[0] {
		l := letter(i + 1)
		formula, err := f.GetCellFormula("Assessed grooms", l+first)
		require.NoError(t, err)
		if formula != "" {
			moved := ownRow.ReplaceAllStringFunc(formula, func(ref string) string {
				if m := ownRow.FindStringSubmatch(ref); m[2] == first {
					return m[1] + next
				}
				return ref
			})
			require.NoError(t, f.SetCellFormula("Assessed grooms", l+next, moved))
		} else if i < len(rows[1]) && rows[1][i] != "" {
			require.NoError(t, f.SetCellValue("Assessed grooms", l+next, rows[1][i]))
		}
	}
	for i, c := range newSalon().programme().Rubric.Criteria {
		require.NoError(t, f.SetCellValue("Assessed grooms", letter(14+i)+next, 4), c.ID)
	}
	require.NoError(t, f.SetCellValue("Assessed grooms", "A"+next, "G100"))
	require.NoError(t, f.SaveAs(path))
}

func totalsCoverAppended(t *testing.T, f *excelize.File) {
	totals := look(t, f, "Totals", 4)
	value := func(row, column string) string {
		v, err := f.GetCellValue("Totals", column+rowOf(t, totals, row), excelize.Options{RawCellValue: true})
		require.NoError(t, err)
		return v
	}
	assert.Equal(t, []string{"59", "37", "2", "3", "11", "6"}, []string{value("Bo Lind", "B"), value("Bo Lind", "C"), value("Bo Lind", "D"), value("Bo Lind", "E"), value("Bo Lind", "F"), value("Bo Lind", "G")})
	assertSame(t, fmt.Sprint(37.0/59), value("Bo Lind", "H"), "percent signed")
	assert.Equal(t, []string{"38", "28"}, []string{value("Bo Lind", "I"), value("Bo Lind", "J")})
	assert.Equal(t, "58", value("Ash Reed", "B"), "nobody else is touched")
	assert.Equal(t, "11", value("HC Welcome, health check and consent", "B"))
	assert.Equal(t, []string{"8", "2", "4", "2"}, []string{value("Grooms counted", "B"), value("Meets", "B"), value("Not yet", "B"), value("Incomplete", "B")})
	assertSame(t, fmt.Sprint((3.51+3.49+3.43+288.0/70+4.76+4)/6), value("Mean of the mean levels, grooms with a result", "B"), "mean of means")

	grooms := look(t, f, "Assessed grooms", 1)
	assert.Equal(t, []string{"400", "100", "4", "yes", "Meets", "yes"}, []string{grooms.value("G100", colSum), grooms.value("G100", colWeight),
		grooms.value("G100", colMean), grooms.value("G100", colMustMeets), grooms.value("G100", colOutcome), grooms.value("G100", colSame)})
}
