package assessment

import (
	"fmt"
	"time"
)

// Day is a civil date, counted in days since 1970-01-01. It has no time zone:
// the day a groom took place is the day in the salon. The zero Day means "no
// date" in every field that may be empty.
type Day int32

// Date returns the Day of a calendar date.
func Date(year int, month time.Month, day int) Day {
	return Day(time.Date(year, month, day, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// DayOf returns the civil date of an instant in its own location.
func DayOf(t time.Time) Day { return Date(t.Date()) }

// ParseDay reads an ISO date, 2026-05-20. The error says what was found and the
// form that is wanted.
func ParseDay(s string) (Day, error) {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return 0, fmt.Errorf("%q is not a date in the form 2026-05-20", s)
	}
	return DayOf(t), nil
}

// Time returns midnight UTC of the day.
func (d Day) Time() time.Time { return time.Unix(int64(d)*86400, 0).UTC() }

// String returns the ISO date, or nothing for the zero Day.
func (d Day) String() string {
	if d == 0 {
		return ""
	}
	return d.Time().Format(time.DateOnly)
}

// Words returns the date as people write it, 20 May 2026.
func (d Day) Words() string {
	if d == 0 {
		return ""
	}
	return d.Time().Format("2 January 2006")
}

// AddMonths returns the same day of the month n calendar months later, or earlier
// when n is below 0; past the end of a shorter month it is that month's last day.
func (d Day) AddMonths(n int) Day {
	y, m, day := d.Time().Date()
	last := time.Date(y, m+time.Month(n)+1, 0, 0, 0, 0, 0, time.UTC).Day()
	return Date(y, m+time.Month(n), min(day, last))
}
