package assessment

import (
	"slices"

	"tablehand/curriculum"
)

// State is the standing of a skill in one word.
type State uint8

const (
	NotStarted State = iota
	Practising
	Eligible // the evidence is complete; a person may propose sign-off
	Signed
	OnHold
	Lapsed
)

// States lists every state in the order of a legend.
var States = []State{NotStarted, Practising, Eligible, Signed, OnHold, Lapsed}

// String returns the word shown to people.
func (s State) String() string {
	return [...]string{"Not started", "Practising", "Eligible", "Signed", "On hold", "Lapsed"}[s]
}

// Evidence is everything known about one apprentice and one skill.
type Evidence struct {
	Skill        *curriculum.Skill
	Observations []Observation // in order of day, then of entry
	Holds        []Hold        // every hold of the apprentice, open or not
	SignOffs     []SignOff     // of this skill, oldest first
	Permission   PermissionSet
	Unsigned     []string // prerequisites that are not signed now, as shown to people
	// PolicyDay is the day of the salon's written policy that allows a gated
	// skill; zero when there is none.
	PolicyDay Day
	Incidents []Event    // of the apprentice, under any skill; in order of day
	Reviews   []Reviewed // of this skill, oldest first
}

// until is the evidence as it was on a day. What is dated later is left out of
// the explanation too: a reader who asks how a skill stood on a day expects the
// list of that day, not later rows with a reason. What was entered later for an
// earlier day is there, and so is what a correction says.
func (e *Evidence) until(day Day) Evidence {
	then := *e
	n := len(e.Observations)
	for n > 0 && e.Observations[n-1].Day > day { // they are in order
		n--
	}
	then.Observations = e.Observations[:n]
	if e.Permission.Day > day { // the one before is not known here, and a lower one is the safe reading
		then.Permission = PermissionSet{}
	}
	if e.PolicyDay > day {
		then.PolicyDay = 0
	}
	return then
}

// policyInForce reports whether the salon's written policy allows a gated skill
// on a day. A rule that asks for no renewal keeps a policy for good.
func (e *Evidence) policyInForce(rule *curriculum.EvidenceRule, day Day) bool {
	return e.PolicyDay > 0 && (rule.RepeatMonths == 0 || day <= e.PolicyDay.AddMonths(rule.RepeatMonths))
}

// Standing is the computed state of one skill on one day, with everything it
// rests on.
type Standing struct {
	Skill        *curriculum.Skill
	Rule         *curriculum.EvidenceRule
	PointsRule   *curriculum.PointsRule // nil when count and streak decide
	State        State
	Requirements []Requirement
	Points       Points
	Used         []Used // one per observation, when explained
	Permission   Permission
	Holds        []*Hold  // open ones that cover this skill
	SignOff      *SignOff // the one that stands, or the last that lapsed
	Awaiting     *SignOff // proposed and not yet decided

	Seen         int  // observations judged since the start or the last lapse: formal ones, and faults told in the logbook
	Clean        int  // how many of them were clean
	LastSeen     Day  // newest formal observation
	CurrentUntil Day  // last day on which the evidence or sign-off is current
	Due          bool // signed, and past CurrentUntil: to be seen again soon
	Again        bool // the sign-off lapsed; the points began again from 0
	Review       Review
	Watch        *Watch   // since sign-off; nil while it does not stand
	Series       int      // how many series of declared observations have been begun, 1 up
	Repeats      []Repeat // incidents that came back, under this skill among others
}

// Points is where the points rule stands.
type Points struct {
	Score   int // never above the points needed
	Judged  int // observations that moved the score
	Reached int // number of the observation that first reached the points needed; 0 if none
}

// Used says what became of one observation.
type Used struct {
	Observation *Observation
	Counted     bool
	Why         Exclusion // why not counted
	Verdict     Verdict
	Score       int  // points after it
	Judged      bool // taken into the points, even where the score could not move; false once a lapse has begun them again
}

// Exclusion is a reason why an observation does not count.
type Exclusion uint8

const (
	NotExcluded Exclusion = iota
	BelowLevel
	SelfRated
	LogbookOnly
	HarmedByApprentice
	HarmNotApprentice
	SameDogSameDay
	BeforeLapse
	WrongKind
	BelowPass
	TooOld
	BesideObservations
)

// Stand works out the standing of a skill on a day. It is a pure function: the
// same evidence and day always give the same standing.
func Stand(p *curriculum.Programme, e *Evidence, today Day) Standing {
	return stand(p, e, today, false)
}

// Explain is Stand that also says what became of every observation.
func Explain(p *curriculum.Programme, e *Evidence, today Day) Standing {
	return stand(p, e, today, true)
}

func stand(p *curriculum.Programme, e *Evidence, today Day, explain bool) Standing {
	then := e.until(today)
	e = &then
	s := Standing{Skill: e.Skill, Rule: p.EvidenceRule(e.Skill.Evidence)}
	if e.Skill.Points != "" {
		s.PointsRule = p.PointsRule(e.Skill.Points)
	}
	f := newFold(p, &s, explain)
	f.run(e, today)

	s.Seen, s.Clean, s.LastSeen, s.Used = f.judged, f.clean, f.lastSeen, f.used
	s.Points = Points{Score: f.score, Judged: f.judged, Reached: f.reached}
	s.SignOff, s.Again = f.signOff, f.signOff != nil && !f.signed
	for i := range e.Holds {
		if h := &e.Holds[i]; h.OpenOn(today) && h.Covers(p, e.Skill) {
			s.Holds = append(s.Holds, h)
		}
	}
	for i := range e.SignOffs {
		if e.SignOffs[i].waitsOn(today) {
			s.Awaiting = &e.SignOffs[i]
		}
	}
	s.Requirements = requirements(&s, f, e, today)
	s.State = f.state(&s, e)
	s.Permission = permissionOf(p, e, f, f.signed && len(s.Holds) == 0, s.Holds, today)
	s.setCurrency(p, f, today)
	s.Repeats = repeats(p, e, today)
	s.Series, s.Review = 1+f.begunAgain, f.review(&s)
	if f.signed && f.monitor.Fault > 0 {
		w := f.watched
		w.Score, w.Alarm = f.monitorScore, f.monitor.Alarm
		s.Watch = &w
	}
	return s
}

func (f *fold) state(s *Standing, e *Evidence) State {
	met := !slices.ContainsFunc(s.Requirements, func(r Requirement) bool { return !r.Met })
	switch {
	case len(s.Holds) > 0:
		return OnHold
	case f.signed:
		return Signed
	case met:
		return Eligible
	case s.Again:
		return Lapsed
	case len(e.Observations) > 0:
		return Practising
	}
	return NotStarted
}

func (s *Standing) setCurrency(p *curriculum.Programme, f *fold, today Day) {
	switch {
	case s.Rule.RepeatMonths > 0 && f.newest > 0:
		s.CurrentUntil = f.newest.AddMonths(s.Rule.RepeatMonths)
	case f.signed:
		s.CurrentUntil = f.lastUsed + Day(p.Currency.CurrentDays)
	case f.newest > 0 && s.Rule.NewestWithinDays > 0:
		s.CurrentUntil = f.newest + Day(s.Rule.NewestWithinDays)
	}
	s.Due = f.signed && today > s.CurrentUntil
}

// WasSigned reports whether the skill has been signed at any time.
func (s *Standing) WasSigned() bool { return s.SignOff != nil }

// SignedNow reports whether the skill counts as signed: confirmed, not lapsed
// and not on hold.
func (s *Standing) SignedNow() bool { return s.State == Signed }

// Missing returns the requirements that are not met.
func (s *Standing) Missing() []Requirement {
	var out []Requirement
	for _, r := range s.Requirements {
		if !r.Met {
			out = append(out, r)
		}
	}
	return out
}
