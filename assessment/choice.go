package assessment

import (
	"fmt"
	"sync"

	"tablehand/assessment/sequence"
	"tablehand/curriculum"
)

// RuleChoice is a points rule that could be chosen, with what it costs.
type RuleChoice struct {
	curriculum.PointsRule
	Figures
	Improving float64 // P(an apprentice who improves becomes eligible within N), 0–1; see sequence.ImprovingFor
}

// MostObservations is the longest programme for which rules are looked for on a
// page, in observations.
const MostObservations = 200

// RuleChoices returns the few points rules worth choosing between for the fault
// rates, the error and the observations that r declares; its name and id are
// carried over. The cheapest for a competent apprentice comes first, the one
// that forgives most last, and none is beaten by another. An error says which
// number makes no sense.
func RuleChoices(r curriculum.PointsRule) ([]RuleChoice, error) {
	if r.Within > MostObservations {
		return nil, fmt.Errorf("the declared number of observations is %d: choose at most %d", r.Within, MostObservations)
	}
	key := promise{r.Competent, r.Unacceptable, r.FalseSignOff, r.Within}
	choices, known := chosen.get(key)
	if !known {
		improving := sequence.ImprovingFor(r.Competent, r.Unacceptable)
		frontier, err := sequence.Frontier(r.Competent, r.Unacceptable, r.FalseSignOff, r.Within, improving)
		if err != nil {
			return nil, err
		}
		choices = sequence.Choices(frontier)
		chosen.put(key, choices)
	}
	out := make([]RuleChoice, len(choices))
	for i, c := range choices {
		one := r
		one.FaultCosts, one.NeverBelow, one.EligibleAt = c.Fault, c.Floor, c.Threshold
		out[i] = RuleChoice{one, FiguresOf(&one), c.ImprovingWithin}
	}
	return out, nil
}

// promise is what a points rule declares.
type promise struct {
	competent, unacceptable, falseSignOff float64
	within                                int
}

// memory keeps what was searched for last. It is emptied rather than let grow.
type memory struct {
	mu    sync.Mutex
	found map[promise][]sequence.Candidate
}

var chosen = memory{found: map[promise][]sequence.Candidate{}}

func (m *memory) get(k promise) ([]sequence.Candidate, bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	c, ok := m.found[k]
	return c, ok
}

func (m *memory) put(k promise, c []sequence.Candidate) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if len(m.found) >= 64 {
		clear(m.found)
	}
	m.found[k] = c
}

// InARow is what "so many clean in a row" does in place of a points rule, with
// the same fault rates and observations.
type InARow struct {
	Needed        int
	FalseSignOff  float64 // P(eligible within N) at the unacceptable fault rate, 0–1
	MeanCompetent float64 // mean observations, at most N, at the competent fault rate
	Safe          int     // how many in a row would keep the declared error; 0 when N is too small for any
}

// CompareInARow returns the exact facts about so many clean in a row.
func CompareInARow(needed int, r *curriculum.PointsRule) InARow {
	run := sequence.RunWaiting{Clean: needed}
	c := InARow{Needed: needed, FalseSignOff: run.Within(r.Within, r.Unacceptable), MeanCompetent: run.MeanWithin(r.Within, r.Competent)}
	for k := 1; k <= r.Within; k++ {
		if (sequence.RunWaiting{Clean: k}).Within(r.Within, r.Unacceptable) <= r.FalseSignOff {
			c.Safe = k
			break
		}
	}
	return c
}

// CurvePoints is the number of fault rates at which curves are computed.
const CurvePoints = 101

// Curves returns the chance of becoming eligible within N at CurvePoints fault
// rates, evenly spaced from 0 to up (0–1): by the rule, and by so many clean in a
// row.
func Curves(r *curriculum.PointsRule, inARow int, up float64) (rule, run []float64) {
	rates := make([]float64, CurvePoints)
	for i := range rates {
		rates[i] = up * float64(i) / (CurvePoints - 1)
	}
	rule = SequenceRule(r).Curve(r.Within, rates)
	run = make([]float64, len(rates))
	for i, p := range rates {
		run[i] = sequence.RunWaiting{Clean: inARow}.Within(r.Within, p)
	}
	return rule, run
}

// RuleChange is a skill whose standing another programme version would change.
type RuleChange struct {
	Skill         *curriculum.Skill
	Before, After State
}

// RuleChanges compares the standings on a day under the programme in use and
// under a changed one. Skills that only one of them has are left out. What is
// signed stays signed: a sign-off keeps the rule of its day.
func (a *Apprenticeship) RuleChanges(now, next *curriculum.Programme, today Day) []RuleChange {
	after := map[string]State{}
	for _, s := range a.Standings(next, today) {
		after[s.Skill.ID] = s.State
	}
	var out []RuleChange
	for _, s := range a.Standings(now, today) {
		if then, both := after[s.Skill.ID]; both && then != s.State {
			out = append(out, RuleChange{s.Skill, s.State, then})
		}
	}
	return out
}
