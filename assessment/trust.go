package assessment

import (
	"slices"
	"strings"

	"tablehand/curriculum"
)

// Trusted are the skills that one permission holds for.
type Trusted struct {
	Level  int // P1–P5; 0 where nobody has set one
	Skills []*Standing
}

// ByTrust sorts standings by the permission that holds now, the most trusted
// first and those without one last. What is stopped until something happens
// stands apart, whatever permission is left of it: holds first, and then what
// needs a policy.
func ByTrust(list []Standing) (stopped []*Standing, groups []Trusted) {
	for level := curriculum.TopLevel; level >= 0; level-- {
		g := Trusted{Level: level}
		for i := range list {
			if s := &list[i]; !s.Stopped() && s.Permission.Now == level {
				g.Skills = append(g.Skills, s)
			}
		}
		if len(g.Skills) > 0 {
			groups = append(groups, g)
		}
	}
	for i := range list {
		if list[i].Stopped() {
			stopped = append(stopped, &list[i])
		}
	}
	slices.SortStableFunc(stopped, func(a, b *Standing) int { return min(len(b.Holds), 1) - min(len(a.Holds), 1) })
	return stopped, groups
}

// Stopped reports whether the skill is not done as usual until something
// happens: a hold is open, or it needs a written policy that is not in force.
func (s *Standing) Stopped() bool { return len(s.Holds) > 0 || s.policyMissing() }

func (s *Standing) policyMissing() bool {
	for _, r := range s.Requirements {
		if r.Need == NeedPolicy && !r.Met {
			return true
		}
	}
	return false
}

// NotUntil says what has to happen before a stopped skill is done as before;
// empty for any other. The observations are those of the apprentice, by skill.
func (s *Standing) NotUntil(p *curriculum.Programme, observations map[string][]Observation) string {
	if len(s.Holds) == 0 {
		if s.policyMissing() {
			return "Not until the salon's written policy allows it."
		}
		return ""
	}
	var missing []string
	for _, h := range s.Holds {
		for _, n := range ReleaseNeeds(p, h, observations[h.Skill]) {
			if !n.Met {
				missing = append(missing, n.Closing())
			}
		}
	}
	if len(missing) == 0 {
		return "Not until a person releases the hold. No more clean observations are needed for it."
	}
	return "Not until a person releases the hold. Still to be seen: " + lowerFirst(strings.Join(missing, " "))
}
