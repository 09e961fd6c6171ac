package server

import (
	"cmp"
	"slices"

	"tablehand/assessment"
	"tablehand/server/web"
)

// nextSteps picks what an apprentice can work on next: the nearest first, and
// among equally near ones what is under way and safety-critical.
func (r *request) nextSteps(list []assessment.Standing, apprentice string, n int) []web.NextStep {
	var open []*assessment.Standing
	for i := range list {
		s := &list[i]
		waits := s.State == assessment.Eligible && s.Awaiting != nil // for a second person, not for the apprentice
		if r.prog.Required(s.Skill) && s.State != assessment.Signed && s.State != assessment.OnHold && !waits {
			open = append(open, s)
		}
	}
	begun := func(s *assessment.Standing) int { return btoi(s.State == assessment.NotStarted) }
	slices.SortStableFunc(open, func(a, b *assessment.Standing) int {
		return cmp.Or(cmp.Compare(distance(a), distance(b)), cmp.Compare(begun(a), begun(b)), cmp.Compare(btoi(!a.Skill.IsSafetyCritical()), btoi(!b.Skill.IsSafetyCritical())))
	})
	var out []web.NextStep
	for _, s := range open[:min(n, len(open))] {
		missing := s.NextStep()
		if s.State == assessment.Eligible {
			missing = "Nothing is missing: a sign-off can be proposed."
		}
		out = append(out, web.NextStep{Skill: s.Skill.Title, URL: skillURL(apprentice, s.Skill.ID), Standing: standing(s.State), Missing: missing, Safety: s.Skill.IsSafetyCritical()})
	}
	return out
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// far is beyond what any number of observations is away: what is missing there
// is not for the apprentice alone to show.
const far = 1000

// distance is how many observations a skill is away, when all go well: one can
// serve several requirements, so the greatest of them.
func distance(s *assessment.Standing) int {
	d := 0
	for _, q := range s.Missing() {
		switch q.Need {
		case assessment.NeedWithin, assessment.NeedPolicy:
			d = max(d, far)
		case assessment.NeedPrerequisites:
			d = max(d, far/2+q.Missing)
		case assessment.NeedCheck: // missing is in per cent
			d = max(d, 1)
		default:
			d = max(d, q.Missing)
		}
	}
	return d
}

// nameCoats writes the names of coat classes where standings made for a page
// have their ids. What a sign-off keeps of its evidence keeps the ids.
func (r *request) nameCoats(list []assessment.Standing) {
	for i := range list {
		list[i].Requirements = slices.Clone(list[i].Requirements)
		for j := range list[i].Requirements {
			q := &list[i].Requirements[j]
			if q.Need != assessment.NeedCoats {
				continue
			}
			names := make([]string, len(q.Names))
			for k, id := range q.Names {
				names[k] = id
				if c := r.prog.Vocabulary.Coat(id); c != nil {
					names[k] = c.Name
				}
			}
			q.Names = names
		}
	}
}
