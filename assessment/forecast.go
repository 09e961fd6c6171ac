package assessment

import (
	"tablehand/assessment/estimate"
)

// Forecast says when the points of a skill will be there, from an explained
// standing. began is the day on which observing the apprentice began, end the
// planned last day or zero. There is none for a skill without a points rule, or one that is eligible or signed: ok
// is false. A skill on hold has one that says why nothing is forecast.
func Forecast(s *Standing, began, today, end Day) (f estimate.SkillForecast, ok bool) {
	if s.PointsRule == nil || s.State == Signed || s.State == Eligible || s.Points.Score >= s.PointsRule.EligibleAt {
		return f, false
	}
	if s.State == OnHold {
		return estimate.SkillForecast{WhyNot: "the hold has to be released first"}, true
	}
	in := estimate.Skill{Rule: SequenceRule(s.PointsRule), Score: s.Points.Score, Used: s.Points.Judged, Days: int(today-began) + 1, TargetDays: int(max(0, end-today))}
	for _, u := range s.Used {
		// What a lapse or a new series put aside still shows how the apprentice
		// works; a logbook fault is no formal observation.
		if u.Observation.Source == Formal && u.Why != SameDogSameDay && u.Verdict != Neutral {
			in.Recent = append(in.Recent, u.Verdict == Clean)
			in.DaysAgo = append(in.DaysAgo, int(today-u.Observation.Day))
		}
	}
	return estimate.Forecast(in), true
}

// ForecastProgramme says when the points of every required skill that still
// lacks them will be there. Skills shown by rehearsals, checks or a count have no
// points and are not in it. targetDays is 0 without a target date.
func ForecastProgramme(list []Standing, required func(*Standing) bool, began, today Day, targetDays int) estimate.ProgrammeForecast {
	var missing []estimate.SkillForecast
	for i := range list {
		if f, ok := Forecast(&list[i], began, today, 0); ok && required(&list[i]) {
			missing = append(missing, f)
		}
	}
	return estimate.ForecastProgramme(missing, targetDays)
}

// Began is the day on which observing began: the first day of the apprentice, or
// of the first observation where that is not known or came earlier.
func (a *Apprenticeship) Began(start Day) Day {
	for _, list := range a.Observations {
		if len(list) > 0 && (start == 0 || list[0].Day < start) {
			start = list[0].Day
		}
	}
	return start
}
