package assessment

import (
	"cmp"
	"slices"

	"tablehand/curriculum"
)

// Apprenticeship is everything known about one apprentice, ready to be judged.
type Apprenticeship struct {
	Observations map[string][]Observation // by skill; in order of day, then of entry
	Holds        []Hold
	SignOffs     map[string][]SignOff // by skill, oldest first
	Permissions  map[string]PermissionSet
	Policies     map[string]Day // by gated skill: day of the written policy
}

// Standings returns the standing of every skill, in programme order.
func (a *Apprenticeship) Standings(p *curriculum.Programme, today Day) []Standing {
	return a.all(p, today, false)
}

// ExplainedStandings is Standings that also says what became of every
// observation.
func (a *Apprenticeship) ExplainedStandings(p *curriculum.Programme, today Day) []Standing {
	return a.all(p, today, true)
}

func (a *Apprenticeship) all(p *curriculum.Programme, today Day, explain bool) []Standing {
	skills := p.AllSkills()
	signed := a.signedSkills(p, skills, today)
	out := make([]Standing, len(skills))
	for i, s := range skills {
		out[i] = stand(p, a.evidence(p, s, signed), today, explain)
	}
	return out
}

// Standing returns the explained standing of one skill, or false when the
// programme does not have it.
func (a *Apprenticeship) Standing(p *curriculum.Programme, skill string, today Day) (Standing, bool) {
	s := p.Skill(skill)
	if s == nil {
		return Standing{}, false
	}
	needs := make([]*curriculum.Skill, 0, len(s.Needs))
	for _, n := range s.Needs {
		needs = append(needs, p.Skill(n))
	}
	return Explain(p, a.evidence(p, s, a.signedSkills(p, needs, today)), today), true
}

// signedSkills finds which skills are signed now. Whether a skill is signed
// rests on its own sign-off, holds and use, never on other skills, so the
// prerequisites need no order. A skill without a sign-off is not looked at.
func (a *Apprenticeship) signedSkills(p *curriculum.Programme, skills []*curriculum.Skill, today Day) map[string]bool {
	signed := map[string]bool{}
	for _, s := range skills {
		if len(a.SignOffs[s.ID]) > 0 {
			st := stand(p, a.evidence(p, s, nil), today, false)
			signed[s.ID] = st.SignedNow()
		}
	}
	return signed
}

func (a *Apprenticeship) evidence(p *curriculum.Programme, s *curriculum.Skill, signed map[string]bool) *Evidence {
	e := &Evidence{Skill: s, Observations: a.Observations[s.ID], Holds: a.Holds, SignOffs: a.SignOffs[s.ID],
		Permission: a.Permissions[s.ID], PolicyDay: a.Policies[s.ID]}
	for _, n := range s.Needs {
		if !signed[n] {
			e.Unsigned = append(e.Unsigned, p.Skill(n).Title+" ("+n+")")
		}
	}
	return e
}

// InOrder sorts observations by day, then by entry.
func InOrder(list []Observation) []Observation {
	slices.SortStableFunc(list, func(a, b Observation) int {
		return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Seq, b.Seq))
	})
	return list
}
