package assessment

import (
	"math/bits"

	"tablehand/assessment/sequence"
	"tablehand/curriculum"
)

// fold walks once through the observations of a skill in time order and keeps
// what the requirements ask about. It starts again from nothing when a
// sign-off lapses, and when evidence that has to be renewed was not.
type fold struct {
	p       *curriculum.Programme
	rule    *curriculum.EvidenceRule
	points  sequence.Rule // zero when there is no points rule
	monitor sequence.Monitor
	beside  bool // knowledge checks stand beside the observations

	judged, clean    int // observations that were clean or not clean: formal ones, and faults told in the logbook
	counting         int
	score, reached   int
	coats, sizes     set
	assessors        set
	styles           set
	newest, lastSeen Day                          // newest counting; newest formal
	recent           uint64                       // newest formal verdicts, 1 = clean, since the last reset
	since            int                          // how many verdicts recent holds
	lastClean        bool                         // newest formal verdict
	atLevel          [curriculum.TopLevel + 1]int // formal observations at this level or above, over all time
	percent          int                          // newest knowledge check that was passed, or else the newest, %

	begunAgain   int // series of observations begun after the first
	lookedAgain  Day // newest review of corrected evidence
	signOff      *SignOff
	signed       bool
	lastUsed     Day // newest clean performance, or the sign-off
	monitorScore int
	alarm        bool
	watched      Watch

	explain bool
	used    []Used
}

// set is a small set of words. A slice beats a map here: there are never more
// than a handful.
type set []string

// add puts a word in. Nothing given is no word: an unknown style is not
// another style.
func (s *set) add(word string) {
	if word == "" {
		return
	}
	for _, w := range *s {
		if w == word {
			return
		}
	}
	*s = append(*s, word)
}

func newFold(p *curriculum.Programme, s *Standing, explain bool) *fold {
	f := &fold{p: p, rule: s.Rule, explain: explain, beside: knowledgeRule(p, s.Skill.ID) != nil, monitor: sequence.Monitor{Fault: p.Monitor.Fault, Alarm: p.Monitor.Alarm}}
	if s.PointsRule != nil {
		f.points = SequenceRule(s.PointsRule)
	}
	return f
}

// run takes the observations day by day, with the sign-offs that fall between.
func (f *fold) run(e *Evidence, today Day) {
	list, next, reviewed := e.Observations, 0, 0
	if f.explain {
		f.used = make([]Used, 0, len(list))
	}
	for i := 0; i < len(list); {
		j := i + 1
		for j < len(list) && list[j].Day == list[i].Day {
			j++
		}
		next = f.signOffsBefore(e, next, list[i].Day)
		reviewed = f.reviewsBefore(e, reviewed, list[i].Day)
		f.lapseBefore(list[i].Day)
		f.day(list[i:j])
		i = j
	}
	f.signOffsBefore(e, next, today+1)
	f.reviewsBefore(e, reviewed, today+1)
	f.lapseBefore(today)
}

func (f *fold) signOffsBefore(e *Evidence, next int, day Day) int {
	for ; next < len(e.SignOffs) && (e.SignOffs[next].Decision != Confirmed || e.SignOffs[next].Decided < day); next++ {
		if so := &e.SignOffs[next]; so.Decision == Confirmed {
			f.lapseBefore(so.Decided)
			f.signOff, f.signed = so, true
			f.lastUsed = max(f.lastUsed, so.Decided)
			f.monitorScore, f.alarm, f.watched = 0, false, Watch{}
		}
	}
	return next
}

// lapseBefore ends a sign-off that was not used for too long and starts the
// evidence again. Without a sign-off it does so where evidence has to be
// renewed: old rehearsals would make a skill eligible, and its sign-off would
// lapse on the day it is confirmed.
func (f *fold) lapseBefore(day Day) {
	why := BeforeLapse
	if !f.signed {
		// A points rule counts its declared observations; they do not begin anew.
		if f.rule.RepeatMonths == 0 || f.newest == 0 || f.points.Threshold > 0 {
			return
		}
		why = TooOld
	}
	last := f.lastUsed + Day(f.p.Currency.LapseDays)
	if f.rule.RepeatMonths > 0 {
		last = f.newest.AddMonths(f.rule.RepeatMonths)
	}
	if day <= last {
		return
	}
	for i := range f.used {
		f.used[i].Judged = false
		if f.used[i].Counted {
			f.used[i].Counted, f.used[i].Why = false, why
		}
	}
	*f = fold{p: f.p, rule: f.rule, points: f.points, monitor: f.monitor, beside: f.beside, explain: f.explain, used: f.used,
		begunAgain: f.begunAgain, lookedAgain: f.lookedAgain, signOff: f.signOff, lastSeen: f.lastSeen, atLevel: f.atLevel, lastClean: f.lastClean}
}

// day takes the observations of one day. Of several on the same dog the worst
// is taken: a second look can take away, and cannot add.
func (f *fold) day(list []Observation) {
	if len(list) == 1 {
		f.take(&list[0], false)
		return
	}
	for i := range list {
		f.take(&list[i], f.worseOnSameDog(list, i))
	}
}

// worseOnSameDog reports whether another formal or logbook observation of the
// same dog is worse, or equal and earlier.
func (f *fold) worseOnSameDog(list []Observation, i int) bool {
	if list[i].Source > Logbook || dogName(list[i].Dog) == "" {
		return false
	}
	mine := f.badness(&list[i])
	for j := range list {
		if j == i || !SameDog(list[j].Dog, list[i].Dog) || list[j].Source > Logbook {
			continue
		}
		if b := f.badness(&list[j]); b > mine || b == mine && j < i {
			return true
		}
	}
	return false
}

// badness orders observations from best to worst: a clean logbook entry (says
// nothing), then verdict, then harm, then level. A fault told in the logbook is
// worse than anything but a fault that an assessor saw: that one costs the same
// points and ends the streak besides, so the telling must not take its place.
func (f *fold) badness(o *Observation) int {
	v := VerdictOf(f.p, o)
	if o.Source == Logbook && v == Clean {
		return -1
	}
	if o.Source == Logbook && v == NotClean {
		return 250 - int(o.Level)
	}
	bad := [...]int{Clean: 100, Neutral: 200, NotClean: 300}[v]
	if v == NotClean && harmed(f.p, o) {
		bad += 100
	}
	return bad - int(o.Level)
}

func (f *fold) take(o *Observation, doubled bool) {
	v := VerdictOf(f.p, o)
	why, judged := f.exclusion(o, v, doubled), f.judged
	if o.Source == Formal {
		f.lastSeen = max(f.lastSeen, o.Day)
	}
	if !doubled {
		switch o.Source {
		case Formal:
			f.judge(o, v)
		case Logbook:
			f.logged(o, v)
		case Check:
			if why == NotExcluded || f.counting == 0 {
				f.percent = int(o.Percent)
			}
		}
	}
	if why == NotExcluded {
		f.counting++
		f.newest = max(f.newest, o.Day)
		f.coats.add(f.p.Vocabulary.CoatClass(o.Coat))
		f.sizes.add(o.Size)
		f.assessors.add(o.Assessor)
		f.styles.add(o.Style)
	}
	if f.explain {
		f.used = append(f.used, Used{Observation: o, Counted: why == NotExcluded, Why: why, Verdict: v, Score: f.score, Judged: f.judged > judged})
	}
}

// exclusion says why an observation does not count towards the evidence rule.
func (f *fold) exclusion(o *Observation, v Verdict, doubled bool) Exclusion {
	switch o.Source {
	case Self:
		return SelfRated
	case Logbook:
		return LogbookOnly
	case Simulation:
		if f.rule.Kind != curriculum.Simulations {
			return WrongKind
		}
	case Check:
		switch {
		case f.rule.Kind != curriculum.Knowledge && f.beside:
			return BesideObservations
		case f.rule.Kind != curriculum.Knowledge:
			return WrongKind
		case int(o.Percent) < f.rule.Percent:
			return BelowPass
		}
		return NotExcluded
	case Formal:
		if f.rule.Kind == curriculum.Knowledge {
			return WrongKind
		}
	}
	switch {
	case doubled:
		return SameDogSameDay
	case v == Neutral:
		return HarmNotApprentice
	case v == NotClean && harmed(f.p, o):
		return HarmedByApprentice
	case v == NotClean, int(o.Level) < f.rule.Level:
		return BelowLevel
	}
	return NotExcluded
}

// judge takes a formal observation into points, streak and monitor.
func (f *fold) judge(o *Observation, v Verdict) {
	if v == Neutral {
		return
	}
	clean := v == Clean
	f.judged++
	f.lastClean = clean
	for l := 1; l <= min(int(o.Level), curriculum.TopLevel); l++ {
		if clean || l < curriculum.CleanLevel {
			f.atLevel[l]++
		}
	}
	f.step(clean)
	f.recent = f.recent << 1
	f.since = min(f.since+1, 64)
	if clean {
		f.clean++
		f.recent |= 1
		f.lastUsed = max(f.lastUsed, o.Day)
	} else if harmed(f.p, o) { // the streak starts again
		f.recent, f.since = 0, 0
	}
}

// logged takes a logbook entry: it earns nothing, keeps a skill in use, and a
// fault in it costs as much as any other.
func (f *fold) logged(o *Observation, v Verdict) {
	switch v {
	case Clean:
		f.lastUsed = max(f.lastUsed, o.Day)
	case NotClean:
		f.judged++
		f.step(false)
	}
}

func (f *fold) step(clean bool) {
	if f.signed && f.monitor.Fault > 0 {
		var alarm bool
		if f.monitorScore, alarm = f.monitor.Step(f.monitorScore, clean); alarm {
			f.alarm = true
		}
		f.watched.Seen++
		if !clean {
			f.watched.Faults++
		}
	}
	if f.points.Threshold == 0 {
		return
	}
	// Held at the threshold, so that a fault after it always undoes it.
	f.score = min(f.points.Step(f.score, clean), f.points.Threshold)
	if f.reached == 0 && f.score == f.points.Threshold {
		f.reached = f.judged
	}
}

// streak returns how many of the last `of` verdicts were clean, and how many
// more clean ones in a row would make it `need`.
func (f *fold) streak(need, of int) (have, missing int) {
	for missing = 0; missing < need; missing++ {
		kept := min(of-missing, f.since)
		if bits.OnesCount64(f.recent&(1<<kept-1))+missing >= need {
			break
		}
	}
	return bits.OnesCount64(f.recent & (1<<min(of, f.since) - 1)), missing
}

// onePerDogAndDay keeps the worst observation of each dog and day.
func onePerDogAndDay(p *curriculum.Programme, list []Observation) []Observation {
	f := &fold{p: p}
	var out []Observation
	for i := 0; i < len(list); {
		j := i + 1
		for j < len(list) && list[j].Day == list[i].Day {
			j++
		}
		for k := i; k < j; k++ {
			if !f.worseOnSameDog(list[i:j], k-i) {
				out = append(out, list[k])
			}
		}
		i = j
	}
	return out
}
