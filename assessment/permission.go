package assessment

import (
	"slices"

	"tablehand/curriculum"
)

// PermissionSet is a permission as a person set it.
type PermissionSet struct {
	Level int // P1–P5; 0 when never set
	By    string
	Day   Day
}

// Permission is what an apprentice may do next with one skill, and why not
// more.
type Permission struct {
	Set     int // P level a person set; 0 when never set
	Ceiling int // highest level the evidence supports now, 1–5
	Now     int // what holds: the lower of the two; 0 when never set
	Limited string
}

// permissionOf works out the ceiling: the highest level whose own needs and
// those of all lower levels are met, further lowered by open holds and by
// incidents that came back. A disputed skill without a policy in force is not
// done at all, so only P1 is left of it.
func permissionOf(p *curriculum.Programme, e *Evidence, fold *fold, signed bool, holds []*Hold, today Day) Permission {
	perm := Permission{Set: e.Permission.Level, Ceiling: 1}
	for i := range p.Permissions {
		need := &p.Permissions[i]
		if need.Signed && !signed || need.LastClean && !fold.lastClean || fold.atLevel[min(need.AtLevel, curriculum.TopLevel)] < need.Observations {
			break
		}
		perm.Ceiling = need.Level
	}
	if fold.rule.Kind == curriculum.Gated && !e.policyInForce(fold.rule, today) && perm.Ceiling > 1 {
		perm.Ceiling = 1
		perm.Limited = "the salon's written policy, which is missing or out of date"
	}
	for _, h := range holds {
		if s := p.Incidents.Severity(h.Severity); s != nil && s.PermissionMax > 0 && s.PermissionMax < perm.Ceiling {
			perm.Ceiling = s.PermissionMax
			perm.Limited = "an open hold (" + s.ID + ")"
		}
	}
	if again := repeatedSince(p, e); again > e.Permission.Day && perm.Set > 1 && perm.Set-1 < perm.Ceiling {
		perm.Ceiling = perm.Set - 1
		perm.Limited = "incidents that came back, on " + again.Words()
	}
	perm.Now = min(perm.Set, perm.Ceiling)
	if perm.Now < perm.Set && perm.Limited == "" {
		perm.Limited = "the evidence as it stands now"
	}
	return perm
}

// repeatedSince returns the day on which a repeat rule last took a permission
// down, or zero.
func repeatedSince(p *curriculum.Programme, e *Evidence) Day {
	var day Day
	for _, r := range p.Incidents.Repeats {
		if r.Effect != curriculum.PermissionDown {
			continue
		}
		var hits []*Observation // one for each dog and day: two assessors can tell of the same one
		for i := range e.Observations {
			o := &e.Observations[i]
			if o.Severity != r.Severity || o.Source != Formal || !p.Incidents.CountsAgainst(o.Attribution) {
				continue
			}
			again := func(h *Observation) bool { return h.Day == o.Day && SameDog(h.Dog, o.Dog) }
			if !slices.ContainsFunc(hits, again) {
				hits = append(hits, o)
			}
		}
		for i := r.Count - 1; i < len(hits); i++ {
			if int(hits[i].Day-hits[i-r.Count+1].Day) <= r.Days {
				day = max(day, hits[i].Day)
			}
		}
	}
	return day
}

// RefusePermission returns why a level may not be set, or nothing.
func RefusePermission(s *Standing, level int) string {
	if level < 1 || level > curriculum.TopLevel {
		return "Choose a permission from P1 to P5."
	}
	if level > s.Permission.Ceiling {
		return "The evidence supports at most P" + string(rune('0'+s.Permission.Ceiling)) + " now. " + s.support()
	}
	return ""
}
