package agreement

import "gonum.org/v1/gonum/mathext"

// Decisions counts the grooms that two assessors, A and B, both decided on.
// Every count is 0 to 1,000,000.
type Decisions struct {
	BothClean    int
	OnlyAClean   int // A said clean, B said not clean
	OnlyBClean   int // B said clean, A said not clean
	NeitherClean int
}

// Grooms is how many grooms both decided on; 0 if a count is out of range.
func (d Decisions) Grooms() int {
	if !d.valid() {
		return 0
	}
	return d.BothClean + d.OnlyAClean + d.OnlyBClean + d.NeitherClean
}

func (d Decisions) valid() bool {
	sum := 0
	for _, n := range [...]int{d.BothClean, d.OnlyAClean, d.OnlyBClean, d.NeitherClean} {
		if n < 0 || n > maxCount {
			return false
		}
		sum += n
	}
	return sum <= maxCount
}

// Disagreements is how many grooms one called clean and the other did not.
func (d Decisions) Disagreements() int { return d.OnlyAClean + d.OnlyBClean }

// Agreement is the share of grooms on which both decided alike.
func (d Decisions) Agreement() Share {
	if !d.valid() {
		return NewShare(-1, 0)
	}
	return NewShare(d.BothClean+d.NeitherClean, d.Grooms())
}

// CleanAgreement is positive agreement, 2a / (2a+b+c): of all the "clean"
// decisions by either, the share that the other made too (Cicchetti & Feinstein
// 1990, J Clin Epidemiol 43:551). Hits and Of count decisions, two for a groom
// that both called clean. See matched for the interval.
func (d Decisions) CleanAgreement() Share { return d.matched(d.BothClean) }

// NotCleanAgreement is negative agreement, 2d / (2d+b+c): the same for "not
// clean". It is the figure for safety, because faults are rare and a high share
// of agreement says little about them.
func (d Decisions) NotCleanAgreement() Share { return d.matched(d.NeitherClean) }

// matched works its interval out from grooms, not from decisions: among the
// n = both+b+c grooms that at least one decided this way, both out of n has a
// Wilson interval, and agreement 2r/(1+r) rises with that share r.
func (d Decisions) matched(both int) Share {
	if !d.valid() {
		return NewShare(-1, 0)
	}
	apart := d.Disagreements()
	s := NewShare(2*both, 2*both+apart)
	if s.Value.OK {
		r := NewShare(both, both+apart).Range
		s.Range = interval(2*r.Low/(1+r.Low), 2*r.High/(1+r.High))
	}
	return s
}

// StricterBy is how much oftener B said not clean than A: the difference of the
// two shares, -1 to 1, positive when B is the stricter.
func (d Decisions) StricterBy() Number {
	if n := d.Grooms(); n > 0 {
		return number(float64(d.OnlyAClean-d.OnlyBClean) / float64(n))
	}
	return d.nothing()
}

// StricterChance is the chance, 0 to 1, of a split of the disagreements at least
// this uneven if neither assessor were the stricter: McNemar's test, exact and
// two-sided, 2 P(X ≤ min(b, c)) for X of Binomial(b+c, 1/2), at most 1. Without
// disagreements it is 1.
func (d Decisions) StricterChance() Number {
	if d.Grooms() == 0 {
		return d.nothing()
	}
	few, many := min(d.OnlyAClean, d.OnlyBClean), max(d.OnlyAClean, d.OnlyBClean)
	if few == many {
		return number(1) // the two tails meet
	}
	return number(min(1, 2*mathext.RegIncBeta(float64(many), float64(few+1), 0.5)))
}

// Table is the two by two table with A in rows, B in columns and clean first.
func (d Decisions) Table() [][]int {
	return [][]int{{d.BothClean, d.OnlyAClean}, {d.OnlyBClean, d.NeitherClean}}
}

// Kappa is Cohen's kappa of the decisions; see CohenKappa.
func (d Decisions) Kappa() Coefficient { return CohenKappa(d.Table(), Unweighted(2)) }

// AC1 is Gwet's AC1 of the decisions; see GwetTable.
func (d Decisions) AC1() Coefficient { return GwetTable(d.Table(), Unweighted(2)) }

func (d Decisions) nothing() Number {
	if !d.valid() {
		return none(whyBadCount)
	}
	return none(whyNothing)
}
