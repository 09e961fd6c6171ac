package assessment_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"tablehand/assessment"
)

func anyDate(t *rapid.T) (int, time.Month, int) {
	y, m := rapid.IntRange(1900, 2200).Draw(t, "year"), time.Month(rapid.IntRange(1, 12).Draw(t, "month"))
	return y, m, rapid.IntRange(1, monthLength(y, m)).Draw(t, "day")
}

// monthLength by the rule of the Gregorian calendar, not by package time.
func monthLength(y int, m time.Month) int {
	switch m {
	case time.April, time.June, time.September, time.November:
		return 30
	case time.February:
		if y%4 == 0 && (y%100 != 0 || y%400 == 0) {
			return 29
		}
		return 28
	}
	return 31
}

func TestDayAgainstPackageTime(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y, m, d := anyDate(t)
		day := assessment.Date(y, m, d)
		civil := time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
		assert.Equal(t, civil, day.Time())
		n := rapid.IntRange(-100_000, 100_000).Draw(t, "days")
		assert.Equal(t, civil.AddDate(0, 0, n), (day + assessment.Day(n)).Time())
		if day != 0 {
			assert.Equal(t, civil.Format("2006-01-02"), day.String())
			back, err := assessment.ParseDay(day.String())
			require.NoError(t, err)
			assert.Equal(t, day, back)
		}
	})
}

func TestAddMonths(t *testing.T) {
	for _, c := range []struct {
		from string
		n    int
		want string
	}{
		{"2026-01-31", 1, "2026-02-28"}, {"2024-01-31", 1, "2024-02-29"}, {"2024-02-29", 12, "2025-02-28"}, {"2024-02-29", 48, "2028-02-29"},
		{"2026-08-31", 1, "2026-09-30"}, {"2026-12-31", 2, "2027-02-28"}, {"2026-03-31", -1, "2026-02-28"}, {"2026-01-15", -1, "2025-12-15"}, {"2026-05-20", 0, "2026-05-20"},
		{"2099-12-31", 2, "2100-02-28"},
	} {
		day, err := assessment.ParseDay(c.from)
		require.NoError(t, err)
		assert.Equal(t, c.want, day.AddMonths(c.n).String(), "%s and %d months", c.from, c.n)
	}
	rapid.Check(t, func(t *rapid.T) {
		y, m, d := anyDate(t)
		n := rapid.IntRange(-400, 400).Draw(t, "months")
		months := y*12 + int(m) - 1 + n
		wantY, wantM := months/12, time.Month(months%12+1)
		want := time.Date(wantY, wantM, min(d, monthLength(wantY, wantM)), 0, 0, 0, 0, time.UTC)
		assert.Equal(t, want, assessment.Date(y, m, d).AddMonths(n).Time())
	})
}

func TestDayOfTakesTheDateWhereTheClockHangs(t *testing.T) {
	east := time.FixedZone("east", 13*3600)
	late := time.Date(2026, 5, 20, 23, 30, 0, 0, time.UTC)
	assert.Equal(t, "2026-05-20", assessment.DayOf(late).String())
	assert.Equal(t, "2026-05-21", assessment.DayOf(late.In(east)).String())
	assert.Equal(t, "20 May 2026", assessment.DayOf(late).Words())
}

func TestNoDate(t *testing.T) {
	assert.Empty(t, assessment.Day(0).String())
	assert.Empty(t, assessment.Day(0).Words())
	for _, s := range []string{"", "2026-5-20", "20.05.2026", "2026-02-30", "2026-05-20 "} {
		_, err := assessment.ParseDay(s)
		assert.ErrorContains(t, err, "2026-05-20", "%q", s)
	}
}
