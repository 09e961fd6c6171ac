package assessment

import "tablehand/curriculum"

// Need names one kind of requirement. A sign-off keeps the numbers of what it
// rested on, so a new kind goes to the end.
type Need uint8

const (
	NeedPoints        Need = iota // points of the points rule
	NeedWithin                    // within the declared number of observations
	NeedCount                     // counting observations
	NeedStreak                    // clean among the newest
	NeedCoats                     // different coat classes
	NeedSizes                     // different size bands
	NeedStyles                    // different styles
	NeedAssessors                 // different assessors
	NeedNewest                    // newest counting observation not too old
	NeedPrerequisites             // other skills signed
	NeedSimulations               // rehearsals of a rare event
	NeedCheck                     // knowledge check passed
	NeedPolicy                    // written salon policy
	NeedCleanSince                // clean observations since an incident
	NeedDogs                      // on different dogs
	NeedNoHolds                   // no open hold; Have and Missing count the open ones
)

// Requirement is one thing a sign-off (or a release) needs: what there is,
// what is needed, and in words what would close the gap.
type Requirement struct {
	Need    Need
	Have    int // for NeedNewest the age in days, −1 when there is nothing yet; for NeedCheck per cent
	Want    int // for NeedWithin, NeedNewest and NeedNoHolds at most, otherwise at least
	Of      int // for NeedStreak: the length of the window
	Missing int // how many more of the same would close it
	Met     bool
	Names   []string // what was found, or which prerequisites are missing
	Until   Day      // for NeedNewest: the last day on which it is met
}

func requirement(n Need, have, want int) Requirement {
	return Requirement{Need: n, Have: have, Want: want, Missing: max(0, want-have), Met: have >= want}
}

// requirements lists what the skill's rules ask for, in the order a person
// would go through them.
func requirements(s *Standing, f *fold, e *Evidence, today Day) []Requirement {
	rule := s.Rule
	out := make([]Requirement, 0, 8)
	add := func(r Requirement) { out = append(out, r) }
	spread := func(n Need, found set, want int) {
		if want > 0 {
			r := requirement(n, len(found), want)
			r.Names = found
			add(r)
		}
	}
	switch rule.Kind {
	case curriculum.Knowledge:
		r := requirement(NeedCheck, f.percent, rule.Percent)
		r.Met = f.counting >= rule.Count
		add(r)
	case curriculum.Simulations:
		add(requirement(NeedSimulations, f.counting, rule.Count))
	case curriculum.Gated:
		policy := 0
		if e.policyInForce(rule, today) {
			policy = 1
		}
		add(requirement(NeedPolicy, policy, 1))
		add(requirement(NeedCount, f.counting, rule.Count))
	default:
		if s.PointsRule != nil {
			add(requirement(NeedPoints, f.score, s.PointsRule.EligibleAt))
			r := requirement(NeedWithin, f.judged, s.PointsRule.Within)
			r.Met = f.reached > 0 && f.reached <= s.PointsRule.Within || f.reached == 0 && f.judged < s.PointsRule.Within
			if f.reached > 0 {
				r.Have = f.reached
			}
			add(r)
			break
		}
		add(requirement(NeedCount, f.counting, rule.Count))
		if rule.Streak.Need > 0 {
			have, missing := f.streak(rule.Streak.Need, rule.Streak.Of)
			add(Requirement{Need: NeedStreak, Have: have, Want: rule.Streak.Need, Of: rule.Streak.Of, Missing: missing, Met: missing == 0})
		}
	}
	spread(NeedCoats, f.coats, rule.Coats)
	spread(NeedSizes, f.sizes, rule.Sizes)
	spread(NeedStyles, f.styles, rule.Styles)
	spread(NeedAssessors, f.assessors, rule.Assessors)
	if rule.NewestWithinDays > 0 {
		r := Requirement{Need: NeedNewest, Have: -1, Want: rule.NewestWithinDays, Missing: 1}
		if f.newest > 0 {
			r.Have, r.Until = int(today-f.newest), f.newest+Day(rule.NewestWithinDays)
			if r.Met = today <= r.Until; r.Met {
				r.Missing = 0
			}
		}
		add(r)
	}
	if n := len(s.Skill.Needs); n > 0 {
		r := requirement(NeedPrerequisites, n-len(e.Unsigned), n)
		r.Names = e.Unsigned
		add(r)
	}
	return out
}
