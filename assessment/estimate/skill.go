package estimate

import (
	"fmt"

	"tablehand/assessment/sequence"
)

const (
	// MaxRecent is the number of newest formal observations that the fault rate
	// is estimated from.
	MaxRecent = 30
	// MinRecent is the least number of formal observations for a forecast.
	MinRecent = 5
	// MaxPaceDays is the number of past days, today included, that the pace is
	// estimated from: 13 weeks.
	MaxPaceDays = 13 * 7
	// MinPaceDays is the least number of past days for a forecast: 4 weeks.
	MinPaceDays = 4 * 7
	// MaxWeeks is how far ahead a forecast goes: two years. A range that ends later
	// is not shown.
	MaxWeeks = 104
	// MinWithin is the least chance of being eligible within the declared number
	// of observations for a forecast.
	MinWithin = 0.5
)

// Skill is what the forecast of one skill rests on.
type Skill struct {
	Rule       sequence.Rule
	Score      int    // points now
	Used       int    // observations already made of Rule.Horizon
	Recent     []bool // formal observations of this programme, oldest first, true for clean
	DaysAgo    []int  // for each formal observation, days before today; 0 is today
	Days       int    // days since observing began, today included; not since the first observation, which would flatter the pace
	TargetDays int    // days from today to the target date; 0 for none
}

// Range holds the true value with a chance of 80 in 100, as far as is known and if
// the points are reached within the declared number of observations at all; how
// likely that is stands beside it. Low is the 10% point and High the 90% point.
// Observations are whole, so their range holds somewhat more.
type Range[T int | float64] struct{ Low, High T }

// SkillForecast says when the points of one skill will be there. If WhyNot is not
// empty it says in plain words why there is no forecast, and Remaining and every
// field after it are zero.
//
// It takes each observation from now on as clean or not independently of the
// others, at the fault rate known from Evidence observations: Beta(1+Faults,
// 1+Evidence-Faults), mixed over MixPoints points. Observations come as a Poisson
// process, at the pace known from PaceCount observations in PaceDays days. Neither
// changes, and one says nothing about the other. What else a sign-off asks for is
// not forecast.
type SkillForecast struct {
	WhyNot     string
	Points     int // the rule's Threshold
	Evidence   int // newest formal observations counted, at most MaxRecent
	Faults     int // of them, not clean
	PaceCount  int // formal observations within PaceDays
	PaceDays   int // past days counted, at most MaxPaceDays
	TargetDays int

	Remaining       int            // observations left of the declared number
	WithinRemaining float64        // chance (0 to 1) of the points within Remaining
	Halfway         int            // more observations by which the points are at least as likely there as not
	Observations    Range[int]     // more observations to the points, if within Remaining
	Weeks           Range[float64] // weeks from now to the points, if within Remaining
	ByTarget        float64        // chance (0 to 1) of the points within TargetDays; 0 without a target

	reach Reach
	pace  Pace
}

// Forecast returns the forecast of one skill. It is the same for the same input,
// whenever it is made.
func Forecast(s Skill) SkillForecast {
	f := SkillForecast{Points: s.Rule.Threshold, TargetDays: max(0, s.TargetDays)}
	recent := s.Recent[max(0, len(s.Recent)-MaxRecent):]
	f.Evidence = len(recent)
	for _, clean := range recent {
		if !clean {
			f.Faults++
		}
	}
	f.PaceDays = min(max(0, s.Days), MaxPaceDays)
	for _, ago := range s.DaysAgo {
		if ago >= 0 && ago < f.PaceDays {
			f.PaceCount++
		}
	}
	if f.WhyNot = s.unfit(f); f.WhyNot != "" {
		return f
	}
	return f.calculate(s)
}

// unfit says what the observations lack for a forecast, or "".
func (s Skill) unfit(f SkillForecast) string {
	if err := checkReach(s.Rule, s.Score, 0); err != nil {
		return err.Error()
	}
	switch {
	case s.Score >= s.Rule.Threshold:
		return fmt.Sprintf("the %d points are there already", s.Rule.Threshold)
	case s.Used >= s.Rule.Horizon:
		return fmt.Sprintf("all %d declared observations have been made, so a review comes first", s.Rule.Horizon)
	case s.Used < 0:
		return fmt.Sprintf("%d observations are said to have been made, and it cannot be fewer than none", s.Used)
	case f.Evidence < MinRecent:
		return fmt.Sprintf("%s so far, and it takes at least %d", countOf(f.Evidence, "formal observation"), MinRecent)
	case s.Days < MinPaceDays:
		return fmt.Sprintf("observing began %s ago, and it takes at least %d weeks to know the pace", countOf(max(0, s.Days), "day"), MinPaceDays/7)
	case f.PaceCount == 0:
		return fmt.Sprintf("there was no formal observation in the last %d weeks, so there is no pace to go by", f.PaceDays/7)
	}
	return ""
}

func (f SkillForecast) calculate(s Skill) SkillForecast {
	known := f
	fault, err := Beta{}.After(f.Faults, f.Evidence)
	if err == nil {
		f.Remaining = s.Rule.Horizon - s.Used
		f.reach, err = ReachUnknown(s.Rule, s.Score, f.Remaining, fault)
	}
	if err == nil {
		f.pace, err = NewPace(f.PaceCount, float64(f.PaceDays)/7)
	}
	if err != nil {
		known.WhyNot = err.Error()
		return known
	}
	f.WithinRemaining = f.reach.Within(f.Remaining)
	if f.WithinRemaining < MinWithin {
		known.WhyNot = fmt.Sprintf("with %d of the last %d not clean, it is less likely than not that the %d points are reached within the remaining %s",
			f.Faults, f.Evidence, f.Points, countOf(f.Remaining, "observation"))
		return known
	}
	// The three exist: the chance at Remaining is more than each.
	f.Halfway, _ = f.reach.Quantile(0.5)
	f.Observations.Low, _ = f.reach.Quantile(0.1 * f.WithinRemaining)
	f.Observations.High, _ = f.reach.Quantile(0.9 * f.WithinRemaining)
	var ok bool
	if f.Weeks, ok = weeksRange([]SkillForecast{f}, f.WithinRemaining); !ok {
		known.WhyNot = tooFar
		return known
	}
	if f.TargetDays > 0 {
		f.ByTarget = chanceBy([]SkillForecast{f}, float64(f.TargetDays)/7)
	}
	return f
}

const tooFar = "at the present pace it could take more than two years"
