package assessment

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"tablehand/curriculum"
)

// Incident is something that harmed, or could have harmed, a dog or a person
// during a groom.
type Incident struct {
	Kind         string
	Severity     string // S0–S4
	Attribution  string // whose act caused it
	Skill        string // the skill it happened under
	SelfReported bool   // the apprentice told of it unasked
	Note         string // stays in the salon; never exported
}

// Event is an incident with the groom it happened in.
type Event struct {
	Incident
	Groom string // key
	Dog   string
	Day   Day
}

// worstIncident returns severity and attribution of the incident under a skill
// that weighs most on the observation: harm that counts against the apprentice
// first, then the gravest, and among equals one that counts against the
// apprentice. A dog that bites does not cover up a burn from a hot blade.
func worstIncident(p *curriculum.Programme, list []Incident, skill string) (severity, attribution string) {
	most := -1
	for _, in := range list {
		s := p.Incidents.Severity(in.Severity)
		if in.Skill != skill || s == nil {
			continue
		}
		against := p.Incidents.CountsAgainst(in.Attribution)
		weight := 2 * p.Incidents.Rank(in.Severity)
		if against {
			weight++
		}
		if s.NotCounted && against {
			weight += 2 * len(p.Incidents.Severities)
		}
		if weight > most {
			most, severity, attribution = weight, in.Severity, in.Attribution
		}
	}
	return severity, attribution
}

// Hold pauses sign-off and permission, with its reason. Earlier evidence stays.
type Hold struct {
	Key        string
	Scope      curriculum.HoldScope
	Unit       string // the unit held, when Scope is unit
	Skill      string // the skill the incident happened under
	Severity   string
	Groom      string // key of the groom
	RecordedBy string // key of the assessor who recorded it
	From       Day
	Released   Day // zero while open; on that day it no longer stands
	ReleasedBy string
	Reason     string // reason of the release
}

// Open reports whether the hold has not been released.
func (h *Hold) Open() bool { return h.Released == 0 }

// OpenOn reports whether the hold stood on a day: from the day of the groom to
// the day before its release.
func (h *Hold) OpenOn(day Day) bool { return h.From <= day && (h.Open() || h.Released > day) }

// Covers reports whether the hold applies to a skill.
func (h *Hold) Covers(p *curriculum.Programme, s *curriculum.Skill) bool {
	switch h.Scope {
	case curriculum.HoldSkill:
		return s.ID == h.Skill
	case curriculum.HoldUnit:
		return p.UnitOf(s.ID) != nil && p.UnitOf(s.ID).ID == h.Unit
	case curriculum.HoldSafety:
		return s.IsSafetyCritical()
	}
	return false
}

// Holds returns the holds a groom's incidents lead to: one for each severity and
// each thing that is held. signed reports whether a skill is signed now: a hold
// on one skill alone only makes sense then.
func Holds(p *curriculum.Programme, g *Groom, signed func(skill string) bool) []Hold {
	var out []Hold
	for _, in := range g.Incidents {
		s := p.Incidents.Severity(in.Severity)
		if s == nil || s.Hold == curriculum.HoldNothing || !slices.Contains(s.HoldsFor, in.Attribution) {
			continue
		}
		if s.Hold == curriculum.HoldSkill && !signed(in.Skill) {
			continue
		}
		h := Hold{Scope: s.Hold, Skill: in.Skill, Severity: s.ID, RecordedBy: g.Assessor, From: g.Day}
		if u := p.UnitOf(in.Skill); u != nil {
			h.Unit = u.ID
		}
		if !slices.ContainsFunc(out, func(o Hold) bool { return h.Same(&o) }) {
			out = append(out, h)
		}
	}
	return out
}

// ReleaseNeeds lists what must be seen before a hold may end: have and need
// for each; nothing when the programme does not know the severity. seen are the
// observations of the skill the incident happened under, in order of day; those
// of the day of the incident are left out, because what came after it is not
// known. A skill that is shown by rehearsals or checks is shown by those. The re-demonstration and the reason are stated by the person who
// releases.
func ReleaseNeeds(p *curriculum.Programme, h *Hold, seen []Observation) []Requirement {
	s := p.Incidents.Severity(h.Severity)
	if s == nil {
		return nil
	}
	source, shown := observedBy(p, h.Skill)
	if !shown { // nothing can be seen of it; the other conditions of the release stand
		return nil
	}
	clean, dogs := 0, set{}
	for _, o := range onePerDogAndDay(p, seen) {
		if o.Day > h.From && o.Source == source {
			switch VerdictOf(p, &o) {
			case Clean:
				clean++
				dogs.add(dogName(o.Dog))
			case NotClean:
				clean, dogs = 0, set{}
			}
		}
	}
	var needs []Requirement
	if s.Release.Clean > 0 {
		needs = append(needs, requirement(NeedCleanSince, clean, s.Release.Clean))
	}
	if s.Release.DifferentDogs > 0 && source == Formal {
		needs = append(needs, requirement(NeedDogs, len(dogs), s.Release.DifferentDogs))
	}
	return needs
}

// Releaser is who would end a hold and what they state.
type Releaser struct {
	Person        string // key
	HeadGroomer   bool
	Redemonstrate bool // states that the skill was shown again and understood
	Reason        string
}

// RefuseRelease returns why this person may not end the hold now, or nothing.
func RefuseRelease(p *curriculum.Programme, h *Hold, seen []Observation, by Releaser) []string {
	s := p.Incidents.Severity(h.Severity)
	var why []string
	switch {
	case !h.Open():
		return []string{"This hold has already ended."}
	case s == nil:
		return []string{fmt.Sprintf("The programme in use does not know severity %s, so nothing says what ends this hold.", h.Severity)}
	}
	for _, n := range ReleaseNeeds(p, h, seen) {
		if !n.Met {
			why = append(why, n.Closing())
		}
	}
	if s.Release.SecondAssessor && by.Person == h.RecordedBy {
		why = append(why, "Someone other than the assessor who recorded the incident releases this hold.")
	}
	if s.Release.NamedPerson && !by.HeadGroomer {
		why = append(why, "Only a head groomer may release this hold, after the investigation.")
	}
	if s.Release.Redemonstrate && !by.Redemonstrate {
		why = append(why, "State that the skill was demonstrated again by an assessor and understood.")
	}
	if strings.TrimSpace(by.Reason) == "" {
		why = append(why, "Give the reason for the release.")
	}
	if n := utf8.RuneCountInString(by.Reason); n > MaxText {
		why = append(why, fmt.Sprintf("The reason has %d characters; keep it to %d.", n, MaxText))
	}
	return why
}

// EndedHolds returns those of a groom's open holds that its correction would
// end: neither kept by the same incident nor replaced by a graver hold.
func EndedHolds(p *curriculum.Programme, old, after []Hold) []Hold {
	var out []Hold
	for _, h := range old {
		stays := func(o Hold) bool {
			return h.Same(&o) || p.Incidents.Rank(o.Severity) > p.Incidents.Rank(h.Severity)
		}
		if h.Open() && !slices.ContainsFunc(after, stays) {
			out = append(out, h)
		}
	}
	return out
}

// Same reports whether two holds pause the same thing for the same severity.
func (h *Hold) Same(o *Hold) bool {
	return o.Scope == h.Scope && o.Severity == h.Severity && (h.Scope != curriculum.HoldSkill || o.Skill == h.Skill) && (h.Scope != curriculum.HoldUnit || o.Unit == h.Unit)
}

// RefuseCorrection returns why this person may not sign a correction that would
// end these holds, or nothing. Writing an incident away takes as much as
// releasing its hold.
func RefuseCorrection(p *curriculum.Programme, ended []Hold, person string, role Role) string {
	for _, h := range ended {
		s := p.Incidents.Severity(h.Severity)
		switch {
		case role != HeadGroomer:
			return fmt.Sprintf("This correction would end the hold of severity %s. A head groomer makes it.", h.Severity)
		case s != nil && s.Release.SecondAssessor && person == h.RecordedBy:
			return fmt.Sprintf("This correction would end the hold of severity %s. Somebody other than who recorded the incident makes it.", h.Severity)
		}
	}
	return ""
}
