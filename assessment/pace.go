package assessment

import "fmt"

// Least before a pace is told: over fewer weeks, or from fewer skills, the next
// sign-off alone would move it far. Our own proposal, no source.
const (
	MinPaceWeeks  = 4
	MinPaceSkills = 5
)

// Pace is how quickly required skills were signed so far, and how quickly they
// have to be to end as planned. It carries the past forward in a straight line
// and knows no chance; ForecastProgramme does.
type Pace struct {
	Signed, Remaining int // required skills, 0 up
	Elapsed           int // days since the first, both counted
	Span              int // days from the first to the planned last, both counted; 0 when none is planned
}

// PaceOf is the pace on a day. start is the first day of the apprenticeship; end
// its planned last, or zero.
func PaceOf(g Progress, start, end, today Day) Pace {
	p := Pace{Signed: g.Signed, Remaining: g.Required - g.Signed, Elapsed: int(today-start) + 1}
	if end > 0 {
		p.Span = int(end-start) + 1
	}
	return p
}

// PerWeek is how many skills were signed a week, exact.
func (p Pace) PerWeek() Ratio { return Ratio{7 * int64(p.Signed), int64(p.Elapsed)} }

// WeeksLeft is how many weeks the others take at that pace, exact; without a
// value while nothing is signed.
func (p Pace) WeeksLeft() Ratio {
	return Ratio{int64(p.Remaining) * int64(p.Elapsed), 7 * int64(p.Signed)}
}

// FinishWeek is when the last one is signed at that pace, in weeks since the
// first day, exact.
func (p Pace) FinishWeek() Ratio {
	return Ratio{int64(p.Elapsed) * int64(p.Signed+p.Remaining), 7 * int64(p.Signed)}
}

// WeeksLate is how long after the planned end that is, in weeks, exact; negative
// when it is before.
func (p Pace) WeeksLate() Ratio {
	f := p.FinishWeek()
	return Ratio{f.Num - int64(p.Span)*int64(p.Signed), f.Den}
}

// Needed is how many skills have to be signed a week from now on to end as
// planned, exact; without a value when no time is left.
func (p Pace) Needed() Ratio {
	return Ratio{7 * int64(p.Remaining), int64(max(0, p.Span-p.Elapsed))}
}

// Told reports whether there is enough to tell a pace from.
func (p Pace) Told() bool { return p.Elapsed >= 7*MinPaceWeeks && p.Signed >= MinPaceSkills }

// Sentence says it in words. Rates have two decimals and weeks one, rounded.
func (p Pace) Sentence() string {
	all := p.Signed + p.Remaining
	switch {
	case p.Remaining == 0:
		return fmt.Sprintf("All %d required skills are signed.", all)
	case p.Span > 0 && p.Elapsed >= p.Span:
		return fmt.Sprintf("The planned end has come, and %d of %d required skills are not signed.", p.Remaining, all)
	case !p.Told():
		s := fmt.Sprintf("No pace yet: it takes at least %d weeks and %d signed skills to tell one.", MinPaceWeeks, MinPaceSkills)
		if p.Span > 0 {
			s += fmt.Sprintf(" To end as planned, %s a week have to be signed.", p.Needed().Rounded(1, 2))
		}
		return s
	}
	s := fmt.Sprintf("%d of %d required skills were signed in %s weeks, %s a week. At that pace the last one is signed in %s weeks",
		p.Signed, all, Ratio{int64(p.Elapsed), 7}.Rounded(1, 0), p.PerWeek().Rounded(1, 2), p.WeeksLeft().Rounded(1, 1))
	if p.Span == 0 {
		return s + "."
	}
	late := p.WeeksLate()
	switch {
	case late.Num > 0:
		s += fmt.Sprintf(", %s weeks after the planned end.", late.Rounded(1, 1))
	default:
		late.Num = -late.Num
		s += fmt.Sprintf(", %s weeks before the planned end.", late.Rounded(1, 1))
	}
	return s + fmt.Sprintf(" To end as planned it takes %s a week.", p.Needed().Rounded(1, 2))
}
