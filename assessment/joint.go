package assessment

import (
	"cmp"
	"slices"

	"tablehand/assessment/agreement"
	"tablehand/curriculum"
)

// RatedTwice is one groom that two assessors rated without knowing each other's
// marks. A groom rated three times is in a list twice, with the same first rating;
// SecondOf of the second names it.
type RatedTwice struct {
	Programme     *curriculum.Programme // of the first rating
	First, Second *Groom
}

// AssessorPair is how far two assessors agree.
type AssessorPair struct {
	A, B     string         // keys, in order
	Whole    agreement.Pair // "clean" is a whole groom that meets the standard; scores are weighted means, in levels
	Criteria []CriterionAgreement
}

// Figures are those of whole grooms, in the order to show them. A whole groom has
// no level, so the figures of levels are left out; see Criteria.
func (p *AssessorPair) Figures() []agreement.Shown {
	return slices.DeleteFunc(p.Whole.All(), func(f agreement.Shown) bool {
		return f.Figure == agreement.SameLevel || f.Figure == agreement.LinearLevels || f.Figure == agreement.QuadraticLevels
	})
}

// CriterionAgreement is how often two assessors gave one criterion the same
// level, and how often the same side of clean.
type CriterionAgreement struct {
	Criterion        *curriculum.Criterion
	SameLevel, Clean agreement.Share
}

// AssessorPairs reports on each pair of assessors with a groom in common, those
// with the most first. name gives what a person is called.
func AssessorPairs(p *curriculum.Programme, list []RatedTwice, name func(key string) string) []AssessorPair {
	type pair struct{ a, b string }
	by := map[pair][]RatedTwice{}
	for _, t := range list {
		k := pair{t.First.Assessor, t.Second.Assessor}
		if k.a > k.b {
			k = pair{k.b, k.a}
			t.First, t.Second = t.Second, t.First
		}
		by[k] = append(by[k], t)
	}
	var out []AssessorPair
	for k, joint := range by {
		one := AssessorPair{A: k.a, B: k.b, Whole: agreement.NewPair(name(k.a), name(k.b), curriculum.TopLevel, "levels", wholeGrooms(joint))}
		for i := range p.Rubric.Criteria {
			one.Criteria = append(one.Criteria, criterionAgreement(&p.Rubric.Criteria[i], joint))
		}
		out = append(out, one)
	}
	slices.SortFunc(out, func(x, y AssessorPair) int {
		return cmp.Or(cmp.Compare(y.Whole.Grooms, x.Whole.Grooms), cmp.Compare(x.A, y.A), cmp.Compare(x.B, y.B))
	})
	return out
}

// AllAssessors is how far all assessors together agree. A groom that several rated
// again is one groom. The list is that of AssessorPairs, oldest first.
func AllAssessors(list []RatedTwice) agreement.Group {
	at := map[string]int{} // by the key of the first rating
	var grooms []agreement.Rated
	for _, t := range list {
		i, known := at[t.Second.SecondOf]
		if !known {
			i = len(grooms)
			at[t.Second.SecondOf] = i
			grooms = append(grooms, agreement.Rated{Apprentice: t.First.Apprentice,
				Marks: map[string]agreement.Mark{t.First.Assessor: wholeMark(t.Programme, t.First)}})
		}
		grooms[i].Marks[t.Second.Assessor] = wholeMark(t.Programme, t.Second)
	}
	return agreement.NewGroup(grooms)
}

func wholeGrooms(list []RatedTwice) []agreement.Joint {
	out := make([]agreement.Joint, len(list))
	for i, t := range list {
		out[i] = agreement.Joint{A: wholeMark(t.Programme, t.First), B: wholeMark(t.Programme, t.Second)}
	}
	return out
}

func wholeMark(p *curriculum.Programme, g *Groom) agreement.Mark {
	r := Judge(p, g)
	m := agreement.Mark{Score: agreement.NotRated()}
	if r.Weight > 0 {
		m.Score = float64(r.Sum) / float64(r.Weight)
	}
	switch r.Outcome {
	case Meets:
		m.Decision = agreement.Clean
	case NotYet:
		m.Decision = agreement.NotClean
	}
	return m
}

func criterionAgreement(c *curriculum.Criterion, list []RatedTwice) CriterionAgreement {
	same, clean, of := 0, 0, 0
	for _, t := range list {
		a, b := t.First.Marks[c.ID].Level, t.Second.Marks[c.ID].Level
		if a == 0 || b == 0 {
			continue
		}
		of++
		if a == b {
			same++
		}
		if (a >= curriculum.CleanLevel) == (b >= curriculum.CleanLevel) {
			clean++
		}
	}
	return CriterionAgreement{c, agreement.NewShare(same, of), agreement.NewShare(clean, of)}
}

// Doubles is how many grooms two assessors should have rated both.
type Doubles struct {
	A, B       string // keys
	Have, Want int
}

// Second ratings wanted: one in so many grooms, over so many days. Common
// practice, no source.
const (
	DoubleOneIn = 10
	DoubleDays  = 90
)

// DoublesWanted returns for each pair of assessors how many grooms of the last
// DoubleDays they rated both and how many are wanted, the furthest behind first.
// marked counts the grooms each assessor marked in that time, joint those of a
// pair. A groom can be doubled by any of the others, so the share is spread over
// them.
func DoublesWanted(assessors []string, marked map[string]int, joint func(a, b string) int) []Doubles {
	var out []Doubles
	others := len(assessors) - 1
	for i, a := range assessors {
		for _, b := range assessors[i+1:] {
			n, share := marked[a]+marked[b], DoubleOneIn*others
			if want := (n + share - 1) / share; want > 0 {
				out = append(out, Doubles{a, b, joint(a, b), want})
			}
		}
	}
	slices.SortStableFunc(out, func(x, y Doubles) int { return cmp.Compare(y.Want-y.Have, x.Want-x.Have) })
	return out
}
