package assessment

import (
	"cmp"
	"slices"
)

// Period is what happened to an apprentice between two days, both counted, for a
// review of progress: numbers, and nothing that anybody wrote.
type Period struct {
	From, To Day
	SignOffs []SignOff // confirmed in it, in order of day

	Grooms, Meets, NotYet int // finished grooms; those without a whole-groom result are only among the first
	Began, Released       int // holds that began, and that were released
	Open                  int // holds that stood on the last day
	Incidents             map[string]int
}

// PeriodOf counts what lies between two days. grooms are without corrected ones
// and second ratings; sealed are the keys of grooms that the reader may not know
// of yet, and whose incidents are left out. grooms has to be without those too.
func PeriodOf(a *Apprenticeship, grooms []Counted, sealed map[string]bool, from, to Day) Period {
	p := Period{From: from, To: to, Incidents: map[string]int{}}
	in := func(d Day) bool { return from <= d && d <= to }
	for _, list := range a.SignOffs {
		for _, so := range list {
			if so.Decision == Confirmed && in(so.Decided) {
				p.SignOffs = append(p.SignOffs, so)
			}
		}
	}
	slices.SortFunc(p.SignOffs, func(x, y SignOff) int {
		return cmp.Or(cmp.Compare(x.Decided, y.Decided), cmp.Compare(x.Skill, y.Skill))
	})
	for _, g := range grooms {
		if !in(g.Day) {
			continue
		}
		p.Grooms++
		switch g.Outcome {
		case Meets:
			p.Meets++
		case NotYet:
			p.NotYet++
		}
	}
	for i := range a.Holds {
		h := &a.Holds[i]
		if in(h.From) {
			p.Began++
		}
		if !h.Open() && in(h.Released) {
			p.Released++
		}
		if h.OpenOn(to) {
			p.Open++
		}
	}
	for _, e := range a.Incidents {
		if in(e.Day) && !sealed[e.Groom] {
			p.Incidents[e.Severity]++
		}
	}
	return p
}
