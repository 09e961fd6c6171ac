package assessment

import (
	"strings"

	"tablehand/assessment/sequence"
	"tablehand/curriculum"
)

// Review is a reason to sit down together; it changes no state by itself.
type Review uint8

const (
	NoReview Review = iota
	// ObservationsUsedUp: the declared number of observations has passed
	// without reaching the points.
	ObservationsUsedUp
	// MonitorAlarm: faults after sign-off came closer together than a
	// competent groomer's would.
	MonitorAlarm
	// IncidentsRepeated: incidents came back as a repeat rule of the programme
	// describes. Told when nothing above is; Repeats has the particulars.
	IncidentsRepeated
	// EvidenceCorrected: grooms that the sign-off rested on were corrected
	// downwards afterwards.
	EvidenceCorrected
)

// Reviewed is a review that was held and recorded. One about observations that
// are used up begins a new series of them.
type Reviewed struct {
	About Review
	Day   Day
	By    string // key
	Note  string // what was agreed
}

// review finds the first reason to sit down together.
func (f *fold) review(s *Standing) Review {
	switch {
	case f.signed && s.SignOff.Weakened > f.lookedAgain:
		return EvidenceCorrected
	case f.signed && f.alarm:
		return MonitorAlarm
	case !f.signed && s.PointsRule != nil && f.judged >= s.PointsRule.Within && (f.reached == 0 || f.reached > s.PointsRule.Within):
		return ObservationsUsedUp
	case len(s.Repeats) > 0:
		return IncidentsRepeated
	}
	return NoReview
}

// reviewsBefore takes what was reviewed before a day. What was seen on the day
// of a review still belongs to what it was about.
func (f *fold) reviewsBefore(e *Evidence, next int, day Day) int {
	for ; next < len(e.Reviews) && e.Reviews[next].Day < day; next++ {
		switch r := &e.Reviews[next]; r.About {
		case ObservationsUsedUp:
			f.beginAgain()
		case MonitorAlarm:
			f.alarm, f.monitorScore, f.watched = false, 0, Watch{}
		case EvidenceCorrected:
			f.lookedAgain = r.Day
		}
	}
	return next
}

// beginAgain starts the points and the declared observations from nothing. What
// was seen before keeps showing coats, sizes and assessors.
func (f *fold) beginAgain() {
	f.begunAgain++
	f.judged, f.clean, f.score, f.reached = 0, 0, 0, 0
	for i := range f.used {
		f.used[i].Judged = false
	}
}

// FalseSignOffAtMost is the most that the chance of a false sign-off can be over
// all series begun so far, 0–1; 0 without a points rule.
func (s *Standing) FalseSignOffAtMost() float64 {
	if s.PointsRule == nil {
		return 0
	}
	return FalseSignOffOver(s.PointsRule, s.Series)
}

// FalseSignOffOver is the most that the chance of a false sign-off can be over so
// many series under a rule, 0–1 (Boole's inequality).
func FalseSignOffOver(r *curriculum.PointsRule, series int) float64 {
	return sequence.FalseSignOffAttempts(r.FalseSignOff, series)
}

// RefuseReview returns why this person may not record a review of the skill now,
// or nothing. A new series makes the promise of the rule weaker, so it takes a
// head groomer.
func RefuseReview(s *Standing, role Role, note string) string {
	switch {
	case s.Review == NoReview || s.Review == IncidentsRepeated:
		return "There is nothing to review in this skill now."
	case s.Review == ObservationsUsedUp && role != HeadGroomer:
		return "A new series of observations is begun by a head groomer."
	case !role.Judges():
		return "Only a head groomer or an assessor may record a review."
	case strings.TrimSpace(note) == "":
		return "Write down what you agreed, in a sentence the apprentice will read."
	}
	return ""
}

// observedBy says which kind of evidence shows a skill, and whether anything in
// the programme can show it at all.
func observedBy(p *curriculum.Programme, skill string) (Source, bool) {
	s := p.Skill(skill)
	if s == nil {
		return Formal, false
	}
	switch p.EvidenceRule(s.Evidence).Kind {
	case curriculum.Simulations:
		return Simulation, true
	case curriculum.Knowledge:
		return Check, true
	}
	return Formal, p.Rubric.CriterionOf(skill) != nil
}
