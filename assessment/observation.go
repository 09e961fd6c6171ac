package assessment

import "tablehand/curriculum"

// Source says how an observation came about.
type Source uint8

const (
	Formal     Source = iota // an assessor watched and judged
	Logbook                  // the apprentice's own entry; earns nothing, may cost
	Self                     // a self-rating; never counts
	Simulation               // a rehearsal of a rare event, with questions
	Check                    // an oral or written knowledge check
)

// String returns the word shown to people.
func (s Source) String() string {
	return [...]string{"Formal", "Logbook", "Self-rating", "Rehearsal", "Knowledge check"}[s]
}

// Observation is one dated judgement of one skill on one dog.
type Observation struct {
	Skill    string
	Assessor string // key of the person who judged
	Groom    string // key of the assessed groom; empty for other sources
	Dog      string
	Coat     string // coat class id
	Size     string // size band id
	Style    string

	Severity    string // worst incident under this skill in the groom, or empty
	Attribution string // whose act caused it

	Day     Day
	Seq     int64 // order of entry, to settle the order within a day
	Source  Source
	Level   int8 // L1–L5; 0 for a knowledge check
	Percent int8 // result of a knowledge check, 0–100
}

// Verdict is what one observation says of the skill.
type Verdict uint8

const (
	Clean    Verdict = iota // level 4 or above, and no harm by the apprentice; a knowledge check that was passed
	NotClean                // below level 4, or harm by the apprentice; a check that was not passed
	Neutral                 // harm that was not the apprentice's: neither for nor against
)

// String returns the word shown to people.
func (v Verdict) String() string { return [...]string{"clean", "not clean", "set aside"}[v] }

// VerdictOf judges one observation.
func VerdictOf(p *curriculum.Programme, o *Observation) Verdict {
	if harmed(p, o) {
		if p.Incidents.CountsAgainst(o.Attribution) {
			return NotClean
		}
		return Neutral
	}
	if o.Source == Check && passed(p, o) || o.Level >= curriculum.CleanLevel {
		return Clean
	}
	return NotClean
}

// passed reports whether a knowledge check reached the pass mark of its skill.
func passed(p *curriculum.Programme, o *Observation) bool {
	rule := knowledgeRule(p, o.Skill)
	return rule != nil && int(o.Percent) >= rule.Percent
}

// knowledgeRule is the rule by which a knowledge check of a skill is passed: the
// skill's own, or that of the exercise whose result belongs to it; nil when the skill
// has none.
func knowledgeRule(p *curriculum.Programme, skill string) *curriculum.EvidenceRule {
	s := p.Skill(skill)
	if s == nil {
		return nil
	}
	if rule := p.EvidenceRule(s.Evidence); rule != nil && rule.Kind == curriculum.Knowledge {
		return rule
	}
	if p.Cutting != nil && p.Cutting.Exercise.Skill == skill {
		return ExerciseRule(p)
	}
	return nil
}

// harmed reports whether an incident keeps the observation from counting,
// whoever caused it.
func harmed(p *curriculum.Programme, o *Observation) bool {
	if o.Severity == "" {
		return false
	}
	s := p.Incidents.Severity(o.Severity)
	return s != nil && s.NotCounted
}
