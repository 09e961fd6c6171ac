package estimate

import (
	"fmt"
	"sort"
)

// ProgrammeForecast says when the points of every skill that is still missing
// will be there. If WhyNot is not empty it says in plain words why there is no
// forecast, and every field after TargetDays is zero.
//
// The skills are seen on the same grooms, so a week with many dogs is a week with
// many observations for all of them. The forecast therefore takes the numbers of
// observations as comonotone: whatever week it is, each skill is at the same
// quantile of its own pace. For skills seen on every groom that is exact. Skills
// seen on some grooms only are less alike; then the forecast is a little too
// early. Performance it takes as independent between skills, as far as the
// observations leave it open. Somebody who is better than seen in one skill is
// probably better than seen in others; then the forecast is too late, and its
// chances too small. Each skill's own assumptions hold as well.
//
// Within these assumptions nothing is simulated: the chance that all points are
// there by a week is a finite sum.
type ProgrammeForecast struct {
	WhyNot     string
	Skills     int // skills still missing
	TargetDays int // days from today to the target date; 0 for none

	WithinRemaining float64        // chance (0 to 1) that every skill gets there within its declared number
	Weeks           Range[float64] // weeks from now until all points are there, if within the declared numbers
	ByTarget        float64        // chance (0 to 1) that all points are there within TargetDays; 0 without a target
}

// ForecastProgramme returns the forecast for all the skills still missing, from
// the forecast of each. Skills that have their points are left out by the caller.
func ForecastProgramme(missing []SkillForecast, targetDays int) ProgrammeForecast {
	p := ProgrammeForecast{Skills: len(missing), TargetDays: max(0, targetDays)}
	without := 0
	for _, f := range missing {
		if f.WhyNot != "" || len(f.reach.within) == 0 {
			without++
		}
	}
	switch {
	case p.Skills == 0:
		p.WhyNot = "no skill is missing"
	case without == 1 && p.Skills == 1:
		p.WhyNot = "the one skill still missing cannot be forecast yet"
	case without > 0:
		p.WhyNot = fmt.Sprintf("%d of the %s still missing cannot be forecast yet", without, countOf(p.Skills, "skill"))
	}
	if p.WhyNot != "" {
		return p
	}
	all := 1.0
	for _, f := range missing {
		all *= f.WithinRemaining
	}
	if all < MinWithin {
		p.WhyNot = fmt.Sprintf("it is less likely than not that all %s reach their points within the declared observations", countOf(p.Skills, "skill"))
		return p
	}
	weeks, ok := weeksRange(missing, all)
	if !ok {
		p.WhyNot = tooFar
		return p
	}
	p.WithinRemaining, p.Weeks = all, weeks
	if p.TargetDays > 0 {
		p.ByTarget = chanceBy(missing, float64(p.TargetDays)/7)
	}
	return p
}

// chanceBy is the chance that the points of all skills are there within the given
// weeks: the mean, over one quantile u common to all paces, of the product over
// skills of the chance that the observations made at u are enough.
func chanceBy(skills []SkillForecast, weeks float64) float64 {
	type step struct {
		u     float64 // up to here the skill has not got past its number of observations
		skill int
	}
	var steps []step
	enough := make([]float64, len(skills)) // chance that the observations so far are enough
	made := make([]int, len(skills))
	for i, f := range skills {
		for _, u := range f.pace.made(weeks, f.Remaining) {
			steps = append(steps, step{u, i})
		}
		enough[i] = f.reach.Within(0)
	}
	if len(skills) > 1 {
		sort.SliceStable(steps, func(i, j int) bool { return steps[i].u < steps[j].u })
	}
	chance, from := 0.0, 0.0
	for _, s := range steps {
		chance += (s.u - from) * product(enough)
		from = s.u
		made[s.skill]++
		enough[s.skill] = skills[s.skill].reach.Within(made[s.skill])
	}
	return clamp(chance+(1-from)*product(enough), 0, 1)
}

func product(values []float64) float64 {
	p := 1.0
	for _, v := range values {
		p *= v
	}
	return p
}

// weeksRange is the range of the weeks until the points of all skills are there, if
// they ever are, which has the chance all. It is false if it ends beyond MaxWeeks.
func weeksRange(skills []SkillForecast, all float64) (Range[float64], bool) {
	if chanceBy(skills, MaxWeeks) < 0.9*all {
		return Range[float64]{}, false
	}
	return Range[float64]{weeksUntil(skills, 0.1*all), weeksUntil(skills, 0.9*all)}, true
}

// weeksUntil solves chanceBy(weeks) = y by bisection between 0 and MaxWeeks.
func weeksUntil(skills []SkillForecast, y float64) float64 {
	lo, hi := 0.0, float64(MaxWeeks)
	for hi-lo > 1e-9*hi {
		middle := (lo + hi) / 2
		if chanceBy(skills, middle) < y {
			lo = middle
		} else {
			hi = middle
		}
	}
	return hi
}
