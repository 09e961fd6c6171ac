package demo

import (
	"math"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// learnedAt is the month by which half the apprentices can do what a
// criterion asks for.
var learnedAt = map[string]float64{
	"R1": 0.9, "R2": 1.0, "R3": 0.8, "R4": 1.4, "R5": 2.0, "R6": 1.7, "R7": 4.4, "R8": 5.2, "R9": 6.0, "R10": 2.2,
	"R11": 3.6, "R12": 0, "R13": 2.2,
}

// beginsAt is the month from which an apprentice does this at all.
var beginsAt = map[string]float64{"R7": 2.6, "R8": 3.4, "R9": 4.2, "R13": 0.6, "R11": 0.4}

// settled says how many months ago a criterion was learned; negative before.
func (l *learner) settled(criterion string, stage float64) float64 {
	return stage - learnedAt[criterion] - l.lag
}

// level draws the level of one criterion. Faults become rare once it is
// learned, and keep some distance from each other, as those of people who
// think about what went wrong do.
func (l *learner) level(criterion string, stage, praise float64) int {
	x := l.settled(criterion, stage)
	if l.knows(criterion) {
		x = stage + 2
	}
	if chance(l.rng, 0.85/(1+math.Exp(x/0.22))) {
		switch {
		case x < -0.5 && chance(l.rng, 0.12):
			return 1
		case x < 0 && chance(l.rng, 0.4):
			return 2
		}
		return 3
	}
	if x > 0.4 {
		left, known := l.toFault[criterion]
		if !known {
			left = l.distance()
			if l.knows(criterion) {
				left *= 2
			}
		}
		if left--; left <= 0 {
			left = l.distance()
			l.toFault[criterion] = left
			return 3
		}
		l.toFault[criterion] = left
	}
	if chance(l.rng, min(0.45, 0.04*max(x, 0)*praise+0.02)) {
		return 5
	}
	return 4
}

// knows reports whether the apprentice brought this along.
func (l *learner) knows(criterion string) bool { return l.story.kennelHand && criterion == "R1" }

func (l *learner) distance() int {
	return int(l.steady*0.85 + l.rng.ExpFloat64()*l.steady*0.4)
}

// kind is what a service shows of the rubric.
type kind struct {
	na     map[string]string // criteria that do not apply, with the reason
	open   []string          // criteria that were not seen
	unseen []string          // skills not seen although their criterion was
	seen   []string          // skills seen only in such services
}

var kinds = map[string]kind{
	"bath_brush": {na: map[string]string{"R7": "No clipper was used."}, open: []string{"R8", "R9"}, unseen: []string{"TH1", "TH2", "TH4", "SC4", "SC7", "CW2"}},
	"bath_tidy":  {unseen: []string{"CL2", "CL4", "CL5", "CL6", "SC6"}},
	"hand_strip": {na: map[string]string{"R7": "No clipper was used, the jacket was stripped by hand."}, unseen: []string{"TH1", "TH2"}, seen: []string{"CO6"}},
	"strip_off":  {unseen: []string{"SC3", "SC6"}, seen: []string{"CL3", "CO4"}},
	"dry":        {na: map[string]string{"R3": "Groomed dry, no bath.", "R4": "Groomed dry, no bath."}},
}

// assess fills in the levels of a groom.
func (s *salon) assess(l *learner, g *assessment.Groom, d *dog, praise float64) {
	stage := l.stage(g.Day)
	k := kinds[g.Service]
	g.Marks, g.Skills = map[string]assessment.Mark{}, map[string]int{}
	for _, id := range k.unseen {
		g.Skills[id] = assessment.Unseen
	}
	for i := range s.prog.Rubric.Criteria {
		c := &s.prog.Rubric.Criteria[i]
		why := k.na[c.ID]
		if d.coat == "SM" && (c.ID == "R8" || c.ID == "R9") {
			why = "Smooth coat, nothing to scissor."
		}
		switch {
		case why != "":
			g.Marks[c.ID] = assessment.Mark{NotApplicable: true, Reason: why}
		case c.ID == "R12" && g.Stopped:
			g.Marks[c.ID] = assessment.Mark{NotApplicable: true, Reason: "Stopped for the dog's sake."}
		case s.leftOpen(l, g, c.ID, stage):
		default:
			m := assessment.Mark{Level: l.level(c.ID, stage, praise)}
			g.Marks[c.ID] = m
			s.ownLevels(l, g, c, m.Level, stage)
		}
	}
	s.rareSkills(l, g, d, k.seen)
}

// leftOpen reports whether a criterion was not seen: the service does not show
// it, the apprentice does not do it yet, or the assessor was elsewhere.
func (s *salon) leftOpen(l *learner, g *assessment.Groom, criterion string, stage float64) bool {
	for _, id := range kinds[g.Service].open {
		if id == criterion {
			return true
		}
	}
	if from, late := beginsAt[criterion]; late && stage < from+l.lag {
		return true
	}
	switch criterion {
	case "R8", "R11":
		return g.Stopped
	case "R9":
		return g.Stopped || g.Service == "bath_tidy" && g.Coat == "DA"
	case "R4":
		return g.Stopped && chance(l.rng, 0.3)
	case "R3", "R6", "R13":
		return chance(l.rng, 0.015)
	}
	return false
}

// ownLevels marks single skills differently from their criterion, as
// assessors do who saw where exactly it went wrong.
func (s *salon) ownLevels(l *learner, g *assessment.Groom, c *curriculum.Criterion, level int, stage float64) {
	var shown []string
	for _, id := range c.Skills {
		if g.Skills[id] != assessment.Unseen {
			shown = append(shown, id)
		}
	}
	if len(shown) < 2 || l.knows(c.ID) && level >= curriculum.CleanLevel {
		return
	}
	x := l.settled(c.ID, stage)
	switch {
	case level < 3: // nothing of it went well
	case level == 3:
		if !chance(l.rng, 0.45+0.35*min(max(x, 0), 1)) {
			return
		}
		weak := map[string]bool{pick(l.rng, shown): true}
		if chance(l.rng, 0.3) {
			weak[pick(l.rng, shown)] = true
		}
		for _, id := range shown {
			if !weak[id] {
				g.Skills[id] = curriculum.CleanLevel
			}
		}
	case x < 1 && chance(l.rng, 0.06), chance(l.rng, 0.25/l.steady):
		g.Skills[pick(l.rng, shown)] = 3
	case level == curriculum.CleanLevel && x > 1 && chance(l.rng, 0.08):
		g.Skills[pick(l.rng, shown)] = 5
	}
}

// rareSkills gives a level to the skills that only some grooms show.
func (s *salon) rareSkills(l *learner, g *assessment.Groom, d *dog, seen []string) {
	see := func(when bool, skill string) {
		c := s.prog.Rubric.CriterionOf(skill)
		if !when || g.Skills[skill] != 0 || g.Marks[c.ID].Level == 0 {
			return
		}
		level := curriculum.CleanLevel
		switch x := l.rng.Float64(); {
		case l.met[skill] < 2 && x < 0.6, x < 0.6/l.steady:
			level = 3
		case l.met[skill] > 6 && x > 0.75:
			level = 5
		}
		l.met[skill]++
		g.Skills[skill] = level
	}
	for _, id := range seen {
		see(true, id)
	}
	see(d.need != "", "HR6")
	see(g.Temperament >= 4 || g.Temperament == 3 && chance(l.rng, 0.5), "HR4")
	see(g.Matting >= 2, "CO4")
	see(g.Matting >= 1 && chance(l.rng, 0.6) && l.stage(g.Day) > beginsAt["R8"], "CO5")
	see((g.Coat == "DA" || g.Coat == "DB" || g.Coat == "WI") && chance(l.rng, 0.6), "CO6")
	see(g.Style == "comb_trim", "CL9")
	if l.story.leavesTeeth {
		see(!l.done["NE6"] && chance(l.rng, 0.6), "NE6")
	} else {
		see(chance(l.rng, 0.3), "NE6")
	}
}
