package assessment

import (
	"cmp"
	"math"
	"slices"

	"tablehand/curriculum"
)

// Apprenticeship is everything known about one apprentice, ready to be judged.
type Apprenticeship struct {
	Observations map[string][]Observation // by skill; in order of day, then of entry
	Holds        []Hold                   // open or not, but for those of grooms that were corrected
	SignOffs     map[string][]SignOff     // by skill, oldest first
	Permissions  map[string]PermissionSet // by skill, the newest
	Policies     map[string]Day           // by gated skill: day of the written policy
	Reviews      map[string][]Reviewed    // by skill, oldest first
	Incidents    []Event                  // in order of day; those of corrected grooms are left out
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
	e := &Evidence{Skill: s, Observations: a.Observations[s.ID], Holds: a.Holds, SignOffs: a.SignOffs[s.ID], Incidents: a.Incidents, Reviews: a.Reviews[s.ID],
		Permission: a.Permissions[s.ID], PolicyDay: a.Policies[s.ID]}
	for _, n := range s.Needs {
		if !signed[n] {
			e.Unsigned = append(e.Unsigned, p.Skill(n).Title+" ("+n+")")
		}
	}
	return e
}

// HoldsFrom returns the holds a groom's incidents lead to, as the skills stand
// on a day. A skill that another hold covers is still signed here: each harm
// has a hold of its own, so that releasing one does not release the other. A
// skill that waits for confirmation is held like a signed one: nobody confirms
// over the head of a harm.
func (a *Apprenticeship) HoldsFrom(p *curriculum.Programme, g *Groom, today Day) []Hold {
	return Holds(p, g, func(skill string) bool {
		st, ok := a.Standing(p, skill, today)
		return ok && (st.WasSigned() && !st.Again || st.Awaiting != nil)
	})
}

// With returns the evidence as it would be with a groom signed; what the groom
// corrects is taken out. The receiver is not changed.
func (a *Apprenticeship) With(p *curriculum.Programme, g *Groom, today Day) *Apprenticeship {
	out := *a
	out.Observations = make(map[string][]Observation, len(a.Observations))
	corrected := func(groom string) bool { return g.Supersedes != "" && groom == g.Supersedes }
	for skill, list := range a.Observations {
		out.Observations[skill] = slices.DeleteFunc(slices.Clone(list), func(o Observation) bool { return corrected(o.Groom) })
	}
	for _, o := range Derive(p, g) {
		o.Seq = math.MaxInt64 // entered last
		list := append(out.Observations[o.Skill], o)
		slices.SortStableFunc(list, func(x, y Observation) int {
			return cmp.Or(cmp.Compare(x.Day, y.Day), cmp.Compare(x.Seq, y.Seq))
		})
		out.Observations[o.Skill] = list
	}
	out.Incidents = slices.DeleteFunc(slices.Clone(a.Incidents), func(ev Event) bool { return corrected(ev.Groom) })
	for _, in := range g.Incidents {
		out.Incidents = append(out.Incidents, Event{Incident: in, Dog: g.Dog, Day: g.Day})
	}
	slices.SortStableFunc(out.Incidents, func(x, y Event) int { return cmp.Compare(x.Day, y.Day) })
	out.Holds = slices.DeleteFunc(slices.Clone(a.Holds), func(h Hold) bool { return corrected(h.Groom) })
	// Whether a skill is signed is asked of the record as it would be, as it
	// will be when the groom is stored.
	out.Holds = append(out.Holds, out.HoldsFrom(p, g, today)...)
	return &out
}

// Without returns the evidence without the observations of some grooms, by key.
// It is for showing, never for deciding. The receiver is not changed.
func (a *Apprenticeship) Without(grooms map[string]bool) *Apprenticeship {
	out := *a
	out.Observations = make(map[string][]Observation, len(a.Observations))
	for skill, list := range a.Observations {
		out.Observations[skill] = slices.DeleteFunc(slices.Clone(list), func(o Observation) bool { return grooms[o.Groom] })
	}
	return &out
}
