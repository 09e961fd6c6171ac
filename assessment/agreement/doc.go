// Package agreement is how far assessors who marked the same grooms agree, how
// far an apprentice's own marks lie from an assessor's, and the sentence in
// which each figure is told to people.
//
// Everything is a pure function of counts and plain lists of numbers. Marks are
// levels, scores or 0 and 1, in whatever unit the caller uses; a figure that has
// a unit has the unit of the marks. A table of marks has one row for each groom
// (or apprentice) and one column for each assessor. Where marks may be missing,
// a missing mark is NotRated(). Marks are never changed, and no result is
// rounded; only sentences round.
//
// No figure is ever a bare float64 that might mean nothing. A Number or an
// Interval is either OK and finite, or it is not OK, holds zeros, and its Why
// says in plain words what was missing. That goes for too few grooms, for marks
// that never differ and for marks that do not fit together. It is not an error:
// early in an apprenticeship it is the usual state.
//
// An Interval is a 95 % confidence interval unless its comment says otherwise.
// All of them take grooms to be independent of each other, and marks to be made
// before the assessors speak to each other. Several marks of one groom are not
// independent, so they do not make the grooms more.
//
// A figure that can be calculated is not yet one that should be shown: Enough
// knows how much each figure needs, and what is said until then.
package agreement
