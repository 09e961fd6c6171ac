package exports

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
)

// Each entry says whose word it is; what was never weighed, or decided on, is an
// empty cell.
func TestLogbookSheet(t *testing.T) {
	s := newSalon()
	entry := LogEntry{Apprentice: "a1", Day: today - 3, Entered: today - 3, Dog: "Pepper 2", Coat: "XW", Grams: 12400, Skills: []string{"HC4", "BA3"}, Level: 4, Outcome: assessment.AsPlanned, Supervisor: "x"}
	signed, denied := entry, entry
	signed.Decision, signed.DecidedBy, signed.Decided = assessment.Countersigned, "x", today-1
	denied.Decision, denied.DecidedBy, denied.Decided, denied.Outcome, denied.Grams = assessment.NotSo, "x", today, assessment.WentWrong, 0
	s.book.Logbook = seq(entry, signed, denied)
	f := written(t, s.book)
	rows, err := f.GetRows("Logbook")
	require.NoError(t, err)
	require.Len(t, rows, 4)
	assert.Equal(t, []string{"Ash Reed", "2026-05-17", "2026-05-17", "Own word, not countersigned", "HC4 BA3", "4", "Went as planned", "Pepper 2", "XW", "12.4", "Xenia Holt"}, rows[1])
	assert.Equal(t, []string{"Countersigned", "Xenia Holt", "2026-05-19"}, []string{rows[2][3], rows[2][11], rows[2][12]})
	assert.Equal(t, []string{"Not as it was", "Something went wrong", ""}, []string{rows[3][3], rows[3][6], rows[3][9]})
}
