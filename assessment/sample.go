package assessment

import (
	"cmp"
	"crypto/sha256"
	"fmt"
	"slices"
)

// SamplePlan says how many decisions of a population are looked at again.
type SamplePlan struct {
	ID, Name, Note string
	size           func(n int) int
}

// Size is the number to draw from n decisions, at most n.
func (p SamplePlan) Size(n int) int { return min(n, p.size(n)) }

// SamplePlans are the plans to choose from, the usual one first.
var SamplePlans = []SamplePlan{
	{"table", "By table", "6 up to 25, 9 up to 100, then 12 for each hundred begun after the first", func(n int) int { return bandedSize(n, 0) }},
	{"table_more", "By table, enhanced", "9, 12, then 15", func(n int) int { return bandedSize(n, 3) }},
	{"root", "Square root", "rounded up", rootSize},
	{"tenth", "One in ten", "rounded up", func(n int) int { return (n + 9) / 10 }},
	{"all", "All of them", "", func(n int) int { return n }},
}

// SamplePlanOf returns the plan with this id.
func SamplePlanOf(id string) (SamplePlan, bool) {
	for _, p := range SamplePlans {
		if p.ID == id {
			return p, true
		}
	}
	return SamplePlan{}, false
}

// bandedSize is the table of one awarding organisation's letter to its centres of
// 28 March 2025, in which the population is learners: every one up to 5, then by bands; more is added in each band. Its
// printed 12 + 3 = 12 is a slip, and 15 here.
func bandedSize(n, more int) int {
	switch {
	case n <= 5:
		return n
	case n <= 25:
		return 6 + more
	case n <= 100:
		return 9 + more
	}
	return (12 + more) * max(1, (n-1)/100)
}

// rootSize is the least whole number whose square is n or more. A custom, from
// memory; no public source was found.
func rootSize(n int) int {
	r := 0
	for r*r < n {
		r++
	}
	return r
}

// Shares divides a number of draws over groups in proportion to their sizes, by
// largest remainder; of equal remainders the earlier group gets the draw. No group
// gets more than it has. Exact, in whole numbers.
func Shares(sizes []int, draws int) []int {
	total := 0
	for _, n := range sizes {
		total += n
	}
	out := make([]int, len(sizes))
	if draws = min(draws, total); draws <= 0 {
		return out
	}
	order, left := make([]int, len(sizes)), draws
	for i, n := range sizes {
		order[i], out[i] = i, n*draws/total
		left -= out[i]
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(sizes[b]*draws%total, sizes[a]*draws%total) })
	for _, i := range order[:left] {
		out[i]++
	}
	return out
}

// Sampled is a decision that is looked at again, and why.
type Sampled struct {
	SignOff *SignOff
	Drawn   bool     // by the plan
	Risks   []string // why it is looked at whether drawn or not
}

// Sample draws from the decisions: by the plan, in proportion to the number that
// each assessor proposed, and besides every one that has a risk. Which ones are
// drawn follows from the seed and the keys alone: those whose SHA-256 of the seed,
// a line feed and the key comes first. Anyone can draw them again.
//
// risks says why a decision is to be looked at in any case; nil for none.
func Sample(decisions []SignOff, plan SamplePlan, seed string, risks func(*SignOff) []string) []Sampled {
	byAssessor := map[string][]*SignOff{}
	var assessors []string
	for i := range decisions {
		d := &decisions[i]
		if byAssessor[d.ProposedBy] == nil {
			assessors = append(assessors, d.ProposedBy)
		}
		byAssessor[d.ProposedBy] = append(byAssessor[d.ProposedBy], d)
	}
	slices.Sort(assessors)
	sizes := make([]int, len(assessors))
	for i, who := range assessors {
		sizes[i] = len(byAssessor[who])
	}
	var out []Sampled
	for i, draws := range Shares(sizes, plan.Size(len(decisions))) {
		theirs := byAssessor[assessors[i]]
		slices.SortFunc(theirs, func(a, b *SignOff) int { return cmp.Compare(lot(seed, a.Key), lot(seed, b.Key)) })
		for j, d := range theirs {
			s := Sampled{SignOff: d, Drawn: j < draws}
			if risks != nil {
				s.Risks = risks(d)
			}
			if s.Drawn || len(s.Risks) > 0 {
				out = append(out, s)
			}
		}
	}
	return out
}

// lot is where a decision stands in the draw.
func lot(seed, key string) string { return fmt.Sprintf("%x", sha256.Sum256([]byte(seed+"\n"+key))) }

// NewAssessorDays is how long all of an assessor's decisions are looked at again,
// from the first one on. Our own proposal, no source.
const NewAssessorDays = 90

// SampleRisks returns why a decision is looked at in any case. all are the
// decisions of the salon, also from before the period, in any order.
func SampleRisks(all []SignOff) func(*SignOff) []string {
	first := map[string]Day{}
	declined := map[[2]string]bool{}
	for _, d := range all {
		if f, ok := first[d.ProposedBy]; !ok || d.Proposed < f {
			first[d.ProposedBy] = d.Proposed
		}
		if d.Decision == Declined {
			declined[[2]string{d.Apprentice, d.Skill}] = true
		}
	}
	return func(d *SignOff) []string {
		var out []string
		if d.Proposed-first[d.ProposedBy] < NewAssessorDays {
			out = append(out, fmt.Sprintf("within the first %d days of this assessor's decisions", NewAssessorDays))
		}
		if declined[[2]string{d.Apprentice, d.Skill}] {
			out = append(out, "this skill of this apprentice was declined at some time")
		}
		if d.Weakened > 0 {
			out = append(out, "a groom that it rests on was corrected afterwards")
		}
		return out
	}
}
