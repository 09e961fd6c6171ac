package assessment

import (
	"slices"

	"tablehand/curriculum"
)

// Repeat is incidents that came back in the way a repeat rule of the programme
// describes.
type Repeat struct {
	Severity string // id, S0–S4
	What     string // the kind of incident, or the skill, as shown to people
	Count    int    // how many
	Days     int    // within so many days up to the day asked
	Last     Day    // the newest of them
}

// repeats returns what the rules with the effect "review" find on a day, for
// the skills it happened under. Whose act it was is not asked: a review looks
// for the cause and takes nothing away, so that telling of a near miss never
// costs more than hiding it. It ends by itself when the days have passed.
func repeats(p *curriculum.Programme, e *Evidence, today Day) []Repeat {
	var out []Repeat
	for _, r := range p.Incidents.Repeats {
		if r.Effect != curriculum.Review || len(e.Incidents) < r.Count {
			continue
		}
		var hits []*Event
		for i := range e.Incidents {
			ev := &e.Incidents[i]
			if ev.Severity == r.Severity && ev.Day <= today && int(today-ev.Day) <= r.Days {
				hits = append(hits, ev)
			}
		}
		var seen set
		for _, ev := range hits {
			of := ev.Kind
			if r.Same == curriculum.SameSkill {
				of = ev.Skill
			}
			if ev.Skill != e.Skill.ID || slices.Contains(seen, of) {
				continue
			}
			seen.add(of)
			if found := repeated(p, r, hits, of); found.Count >= r.Count {
				out = append(out, found)
			}
		}
	}
	return out
}

// repeated counts the incidents of one kind, or under one skill. Two assessors
// who watch the same dog can tell of the same one.
func repeated(p *curriculum.Programme, r curriculum.RepeatRule, hits []*Event, of string) Repeat {
	found := Repeat{Severity: r.Severity, Days: r.Days, What: curriculum.TermName(p.Incidents.Kinds, of)}
	if s := p.Skill(of); r.Same == curriculum.SameSkill && s != nil {
		found.What = s.Title
	}
	var counted []*Event
	for _, ev := range hits {
		if of != ev.Kind && r.Same != curriculum.SameSkill || of != ev.Skill && r.Same == curriculum.SameSkill {
			continue
		}
		twice := func(o *Event) bool { return o.Day == ev.Day && SameDog(o.Dog, ev.Dog) && o.Groom != ev.Groom }
		if !slices.ContainsFunc(counted, twice) {
			counted = append(counted, ev)
			found.Last = max(found.Last, ev.Day)
		}
	}
	found.Count = len(counted)
	return found
}
