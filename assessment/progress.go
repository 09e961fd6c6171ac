package assessment

import "tablehand/curriculum"

// Progress counts the standings of a set of skills. Only required skills are
// counted: a gated skill never adds and never takes away.
type Progress struct {
	Required  int
	Signed    int // confirmed, current and not on hold
	Held      int // signed, but on hold: not counted as signed
	Eligible  int // complete, but not signed and confirmed: not counted either
	Underway  int // practising, lapsed, or on hold without a sign-off that stands
	NotBegun  int
	Safety    int // safety-critical ones among the required
	SafetyNow int // of those, signed
}

// Share is the signed part of the required skills, 0–1.
func (g Progress) Share() Ratio { return Ratio{int64(g.Signed), int64(g.Required)} }

// SafetyShare is the signed part of the safety-critical required skills, 0–1.
func (g Progress) SafetyShare() Ratio { return Ratio{int64(g.SafetyNow), int64(g.Safety)} }

// Complete reports whether every required skill is signed.
func (g Progress) Complete() bool { return g.Required > 0 && g.Signed == g.Required }

// Add counts one standing.
func (g *Progress) Add(p *curriculum.Programme, s *Standing) {
	if !p.Required(s.Skill) {
		return
	}
	g.Required++
	switch {
	case s.State == Signed:
		g.Signed++
	case s.State == OnHold && s.WasSigned() && !s.Again:
		g.Held++
	case s.State == Eligible:
		g.Eligible++
	case s.State == NotStarted:
		g.NotBegun++
	default:
		g.Underway++
	}
	if s.Skill.IsSafetyCritical() {
		g.Safety++
		if s.State == Signed {
			g.SafetyNow++
		}
	}
}

// Counted is a finished groom as programme completion sees it.
type Counted struct {
	Day                  Day
	Outcome              Outcome
	Coat, Size, Assessor string
}

// Completion lists what the whole programme needs, met or not: the signed skills,
// and what is asked of the grooms. grooms are in order of day, then of entry, and
// without those that were corrected or rated a second time; only those with a
// whole-groom result count. openHolds is how many holds stand.
func Completion(p *curriculum.Programme, g Progress, grooms []Counted, openHolds int) []Requirement {
	var coats, sizes, assessors set
	scored, lastMeet := 0, 0
	for _, gr := range grooms {
		if gr.Outcome == Incomplete {
			continue
		}
		scored++
		lastMeet++
		if gr.Outcome != Meets {
			lastMeet = 0
		}
		coats.add(p.Vocabulary.CoatClass(gr.Coat))
		sizes.add(gr.Size)
		assessors.add(gr.Assessor)
	}
	c := p.Completion
	last := requirement(NeedStreak, min(lastMeet, c.LastMeet), c.LastMeet)
	last.Of = c.LastMeet
	return []Requirement{
		requirement(NeedPrerequisites, g.Signed, g.Required),
		requirement(NeedCount, scored, c.Grooms),
		last,
		requirement(NeedCoats, len(coats), c.Coats),
		requirement(NeedSizes, len(sizes), c.Sizes),
		requirement(NeedAssessors, len(assessors), c.Assessors),
		{Need: NeedNoHolds, Have: openHolds, Missing: openHolds, Met: openHolds == 0},
	}
}
