package assessment

import (
	"slices"

	"tablehand/curriculum"
)

// Fewest of each before a picture over time says something. With fewer, one more
// changes it altogether. Common practice, no source.
const (
	MonthsForPicture = 3
	GroomsForPicture = 5
)

// MostMonths bounds how far back the months are worked out.
const MostMonths = 36

// MonthEnd is how many required skills counted as signed at the end of a month.
type MonthEnd struct {
	Day    Day // last day of the month, or today in the month that runs
	Signed int // confirmed, current and not on hold on that day
	New    int // sign-offs of required skills that were confirmed in the month
}

// MonthEnds works out the signed skills at the end of each month from began to
// today, oldest first; at most the newest MostMonths. Each is the standing of
// that day, so a skill that was put on hold or lapsed is missing from there on;
// what was corrected later is judged as it reads now.
func (a *Apprenticeship) MonthEnds(p *curriculum.Programme, began, today Day) []MonthEnd {
	if began == 0 || began > today {
		return nil
	}
	var out []MonthEnd
	for end := today; end >= began && len(out) < MostMonths; end = monthBegins(end) - 1 {
		var g Progress
		list := a.Standings(p, end)
		for i := range list {
			g.Add(p, &list[i])
		}
		out = append(out, MonthEnd{Day: end, Signed: g.Signed, New: a.confirmedBetween(p, monthBegins(end), end)})
	}
	slices.Reverse(out)
	return out
}

func (a *Apprenticeship) confirmedBetween(p *curriculum.Programme, from, to Day) (n int) {
	for skill, list := range a.SignOffs {
		if s := p.Skill(skill); s == nil || !p.Required(s) {
			continue
		}
		for _, so := range list {
			if so.Decision == Confirmed && so.Decided >= from && so.Decided <= to {
				n++
			}
		}
	}
	return n
}

// monthBegins is the first day of the month of a day.
func monthBegins(d Day) Day {
	y, m, _ := d.Time().Date()
	return Date(y, m, 1)
}
