package assessment

import "tablehand/curriculum"

// Verdicts are what a points rule steps on in the observations of one skill, in
// their order: 1 for clean, 0 for not clean. What is set aside, clean logbook
// entries and all but the worst of a dog's on one day have no step.
func Verdicts(p *curriculum.Programme, list []Observation) []byte {
	var out []byte
	for _, o := range onePerDogAndDay(p, list) {
		v := VerdictOf(p, &o)
		switch {
		case v == Neutral, o.Source > Logbook, o.Source == Logbook && v == Clean:
		case v == Clean:
			out = append(out, 1)
		default:
			out = append(out, 0)
		}
	}
	return out
}

// History is every sequence of observations that a points rule was used on: one
// for each apprentice and skill. Lapses, sign-offs and new series do not break
// it: it serves to try other rules on what really happened.
type History [][]byte

// HistoryOf gathers the sequences of some apprentices for one points rule.
func HistoryOf(p *curriculum.Programme, rule string, all map[string]*Apprenticeship) History {
	var h History
	for _, s := range p.AllSkills() {
		if s.Points != rule {
			continue
		}
		for _, a := range all {
			if v := Verdicts(p, a.Observations[s.ID]); len(v) > 0 {
				h = append(h, v)
			}
		}
	}
	return h
}

// Tried is what a rule would have made of a history.
type Tried struct {
	Sequences int
	Reached   int // of those, how many reached the threshold within the declared observations
	Spent     int // observations that those took, all together
}

// Mean is how many observations those that got there took on average, exact;
// without a value when none did.
func (t Tried) Mean() Ratio { return Ratio{int64(t.Spent), int64(t.Reached)} }

// Try applies a rule to a history, each sequence from its first observation to the
// last that the rule declares.
func (h History) Try(rule *curriculum.PointsRule) Tried {
	r, t := SequenceRule(rule), Tried{Sequences: len(h)}
	for _, verdicts := range h {
		if at := r.Replay(verdicts[:min(len(verdicts), r.Horizon)]).ReachedAt; at > 0 {
			t.Reached++
			t.Spent += at
		}
	}
	return t
}
