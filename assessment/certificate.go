package assessment

import (
	"fmt"

	"tablehand/curriculum"
)

// RefuseCertificate returns why there is no certificate of a sign-off today, or
// nothing: it is made only of one that was confirmed and still stands. s is the
// standing of its skill today, or nil when the programme in use does not have the
// skill.
func RefuseCertificate(so *SignOff, s *Standing) string {
	switch {
	case so.Decision == Awaiting:
		return "This sign-off waits for a second person to confirm it. There is a certificate once that has happened."
	case so.Decision == Declined:
		return "This sign-off was declined on " + so.Decided.Words() + ", so the skill was not signed off by it."
	case s == nil:
		return "The programme in use no longer has this skill, so nothing says whether the sign-off still stands."
	case s.SignOff == nil || s.SignOff.Key != so.Key:
		return "This sign-off lapsed, and the skill was signed off again since. There is a certificate of the newer sign-off."
	case s.Again:
		return s.lapseWords() + " There is a certificate once the skill is signed off again."
	case len(s.Holds) > 0:
		return fmt.Sprintf("The skill is on hold since %s after an incident of severity %s. There is a certificate again once the hold is released.", s.Holds[0].From.Words(), s.Holds[0].Severity)
	}
	return ""
}

// LastsUntil is the last day on which a sign-off that stands goes on standing
// when the skill is not used, or not renewed, from now on.
func (s *Standing) LastsUntil(p *curriculum.Programme) Day {
	if s.Rule.RepeatMonths > 0 {
		return s.CurrentUntil
	}
	return s.CurrentUntil - Day(p.Currency.CurrentDays) + Day(p.Currency.LapseDays)
}

// CurrencyWords says how long a sign-off that stands can be relied on, and what
// ends it.
func (s *Standing) CurrencyWords(p *curriculum.Programme) string {
	last := s.LastsUntil(p).Words()
	switch {
	case s.Rule.RepeatMonths > 0:
		return "Current until " + last + ". It lapses when the skill is not shown again by then."
	case s.Due:
		return "Out of use: it was current until " + s.CurrentUntil.Words() + ", and the next time is watched. It lapses when the skill is not done cleanly by " + last + "."
	}
	return "Current until " + s.CurrentUntil.Words() + ". It lapses when the skill is not done cleanly by " + last + "."
}

// ErrorWords says how likely a sign-off under a points rule is to be wrong, over
// as many series of observations as were begun; of a rule without points, that
// nothing is claimed. The chance is exact to the two decimals shown.
func ErrorWords(r *curriculum.PointsRule, series int) string {
	if r == nil {
		return "This skill is not signed off by points, so no chance of error is stated for it."
	}
	words := OutOf100Words(r, FiguresOf(r).FalseSignOff)
	if series > 1 {
		words += fmt.Sprintf(" This was series %d of observations; over all of them the chance is at most %s.", series, ChanceWords(FalseSignOffOver(r, series)))
	}
	return words
}
