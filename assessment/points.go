package assessment

import (
	"fmt"
	"sync"

	"tablehand/assessment/sequence"
	"tablehand/curriculum"
)

// SequenceRule is the points rule as the exact computations take it.
func SequenceRule(r *curriculum.PointsRule) sequence.Rule {
	return sequence.Rule{Fault: r.FaultCosts, Floor: r.NeverBelow, Threshold: r.EligibleAt, Horizon: r.Within}
}

// Figures are the exact properties of a points rule.
type Figures struct {
	FalseSignOff    float64 // P(eligible within N) at the unacceptable fault rate, 0–1
	MeanCompetent   float64 // mean observations, at most N, at the competent fault rate
	CompetentWithin float64 // P(eligible within N) at the competent fault rate, 0–1
	Least           float64 // no rule with this error needs fewer observations on average
}

// Efficiency is the share of the theoretical optimum, 0–1: the least observations
// any rule with this error needs, over those that this one needs.
func (f Figures) Efficiency() float64 { return f.Least / f.MeanCompetent }

var figures sync.Map // curriculum.PointsRule → Figures

// FiguresOf computes the figures of a rule; the work is done once per rule.
func FiguresOf(r *curriculum.PointsRule) Figures {
	if f, ok := figures.Load(*r); ok {
		return f.(Figures)
	}
	seq := SequenceRule(r)
	f := Figures{
		FalseSignOff:    seq.ReachWithin(r.Within, r.Unacceptable),
		MeanCompetent:   seq.MeanWithin(r.Within, r.Competent),
		CompetentWithin: seq.ReachWithin(r.Within, r.Competent),
		Least:           sequence.LowerBound(r.Within, r.Competent, r.Unacceptable, r.FalseSignOff),
	}
	figures.Store(*r, f)
	return f
}

// CheckPoints finds points rules whose real chance of error is above the one
// they declare.
func CheckPoints(p *curriculum.Programme) []curriculum.Finding {
	var out []curriculum.Finding
	for i := range p.Points {
		r := &p.Points[i]
		seq := SequenceRule(r)
		for _, n := range []struct {
			key   string
			value int
		}{{"within_observations", r.Within}, {"fault_costs", r.FaultCosts}, {"never_below", -r.NeverBelow}} {
			if n.value > sequence.MaxHorizon {
				out = append(out, curriculum.Finding{
					Path:    fmt.Sprintf("points_rules[%d].%s", i, n.key),
					Problem: fmt.Sprintf("with this %s the chance of a false sign-off cannot be worked out", n.key),
					Do:      fmt.Sprintf("Stay within %d.", sequence.MaxHorizon),
				})
			}
		}
		if seq.Validate() != nil || !(r.Competent > 0 && r.Unacceptable > r.Competent && r.Unacceptable < 1 && r.FalseSignOff > 0) {
			continue // told by the checks of the file itself
		}
		if real := seq.ReachWithin(r.Within, r.Unacceptable); real > r.FalseSignOff {
			do := "No number of points keeps this error; let a fault cost more, or declare fewer observations."
			if h, err := sequence.Threshold(r.FaultCosts, r.NeverBelow, r.Within, r.Unacceptable, r.FalseSignOff); err == nil {
				do = fmt.Sprintf("Set eligible_at to %d, the least that keeps the error.", h)
			}
			out = append(out, curriculum.Finding{
				Path:    fmt.Sprintf("points_rules[%d].eligible_at", i),
				Problem: fmt.Sprintf("with %d points the chance of a false sign-off is %.4f, above the declared %v", r.EligibleAt, real, r.FalseSignOff),
				Do:      do,
			})
		}
	}
	return out
}

// ReadProgramme reads and checks a programme, including that each points rule
// keeps the error it declares. The error is of type curriculum.Mistakes; file is
// used in messages only.
func ReadProgramme(file string, data []byte) (*curriculum.Programme, error) {
	return curriculum.Read(file, data, CheckPoints)
}
