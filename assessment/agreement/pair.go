package agreement

// Decision is what an assessor decided about a groom.
type Decision uint8

const (
	Undecided Decision = iota // no decision, or not by this assessor
	Clean
	NotClean
)

// Mark is what one assessor gave one groom. Anything may be missing; a groom then
// counts only for the figures it has both marks for.
type Mark struct {
	Level    int      // 1 to the top level; 0 when none
	Decision Decision // Undecided when none
	Score    float64  // in the unit of the report; NotRated() when none
}

// Joint is one groom that two assessors marked, each without knowing the other's
// marks. A groom gives one Joint: levels of several criteria of it hang together,
// and counting each would make every range too narrow.
type Joint struct{ A, B Mark }

// Shown is one figure of a report: either shown, or hidden with a sentence that
// says why.
type Shown struct {
	Figure   Figure
	Title    string   // what it is called on a page
	Known    string   // the name to look it up by
	Shown    bool     // false: Value and Range are not OK and Sentence says why
	Value    Number   // the figure itself; a chance for Stricter; not OK for ScoreLimits, which is its Range
	Range    Interval // not OK where the figure has none
	Sentence string
}

// Pair is a report on two assessors.
type Pair struct {
	A, B      string // names
	Grooms    int    // joint grooms, whatever was marked
	Decisions Decisions

	SameLevel         Shown
	SameDecision      Shown
	CleanAgreement    Shown
	NotCleanAgreement Shown
	Stricter          Shown
	BeyondLuck        Shown // AC1 of the decisions
	HarshBeyondLuck   Shown // kappa of the decisions, to stand beside it
	LinearLevels      Shown // kappa of the levels
	QuadraticLevels   Shown
	ScoreDifference   Shown
	ScoreLimits       Shown
}

// All lists the figures in the order of a page.
func (p *Pair) All() []Shown {
	return []Shown{
		p.SameDecision, p.CleanAgreement, p.NotCleanAgreement, p.Stricter, p.BeyondLuck, p.HarshBeyondLuck,
		p.SameLevel, p.LinearLevels, p.QuadraticLevels, p.ScoreDifference, p.ScoreLimits,
	}
}

// NewPair reports on assessors named a and b, whose levels run from 1 to top and
// whose scores are in unit, a plural such as "levels". A figure is shown if there
// is enough for it (see Enough) and it exists.
func NewPair(a, b string, top int, unit string, joint []Joint) Pair {
	p := Pair{A: a, B: b, Grooms: len(joint), Decisions: decide(joint)}
	d := p.Decisions
	decided := Seen{
		Grooms: d.Grooms(), Disagreements: d.Disagreements(),
		SomeClean:    d.BothClean + d.Disagreements(),
		SomeNotClean: d.NeitherClean + d.Disagreements(),
	}
	share := func(f Figure, s Share, say func(Share) string) Shown {
		return show(f, decided, s.Value, s.Range, say(s))
	}
	luck := func(f Figure, seen Seen, c Coefficient, say func(Coefficient) string) Shown {
		return show(f, seen, c.Value, c.Range, say(c))
	}
	p.SameDecision = share(SameDecision, d.Agreement(), SameDecisionSentence)
	p.CleanAgreement = share(CleanAgreement, d.CleanAgreement(), CleanAgreementSentence)
	p.NotCleanAgreement = share(NotCleanAgreement, d.NotCleanAgreement(), NotCleanAgreementSentence)
	p.Stricter = show(Stricter, decided, d.StricterChance(), noInterval(whyNoMargin), StricterSentence(a, b, d))
	p.BeyondLuck = luck(BeyondLuck, decided, d.AC1(), func(c Coefficient) string {
		return BeyondLuckSentence(c, decided[SomeNotClean])
	})
	p.HarshBeyondLuck = luck(HarshBeyondLuck, decided, d.Kappa(), HarshBeyondLuckSentence)

	table, same, notClean := levels(joint, top)
	levelled := Seen{Grooms: same.Of, SomeNotClean: notClean}
	p.SameLevel = show(SameLevel, levelled, same.Value, same.Range, SameLevelSentence(same))
	p.LinearLevels = luck(LinearLevels, levelled, CohenKappa(table, Linear(len(table))), LinearLevelsSentence)
	p.QuadraticLevels = luck(QuadraticLevels, levelled, CohenKappa(table, Quadratic(len(table))), QuadraticLevelsSentence)

	diff := scores(joint)
	scored := Seen{Grooms: diff.Pairs}
	p.ScoreDifference = show(ScoreDifference, scored, diff.Bias, diff.BiasRange, ScoreDifferenceSentence(a, b, unit, diff))
	p.ScoreLimits = show(ScoreLimits, scored, noneOf(diff.Limits), diff.Limits, ScoreLimitsSentence(a, b, unit, diff))
	return p
}

// show hides a figure that has too little to rest on or does not exist.
func show(f Figure, seen Seen, value Number, bounds Interval, sentence string) Shown {
	m := minimums[f]
	s := Shown{Figure: f, Title: m.Title, Known: m.Known}
	if ok, instead := Enough(f, seen); !ok {
		s.Value, s.Range, s.Sentence = none(instead), noInterval(instead), instead
		return s
	}
	s.Shown = value.OK || bounds.OK
	s.Value, s.Range, s.Sentence = value, bounds, sentence
	return s
}

// noneOf is the Value of a figure that is a range.
func noneOf(i Interval) Number {
	if i.OK {
		return none("This figure is a range.")
	}
	return none(i.Why)
}

func decide(joint []Joint) (d Decisions) {
	for _, j := range joint {
		switch [2]Decision{j.A.Decision, j.B.Decision} {
		case [2]Decision{Clean, Clean}:
			d.BothClean++
		case [2]Decision{Clean, NotClean}:
			d.OnlyAClean++
		case [2]Decision{NotClean, Clean}:
			d.OnlyBClean++
		case [2]Decision{NotClean, NotClean}:
			d.NeitherClean++
		}
	}
	return d
}

// maxLevels keeps the table of levels small.
const maxLevels = 100

// levels counts pairs of levels, the share that is the same, and the grooms among
// them that at least one called not clean. A level outside 1 to top is no level.
func levels(joint []Joint, top int) (table [][]int, same Share, notClean int) {
	top = min(max(top, 0), maxLevels)
	table = make([][]int, top)
	for i := range table {
		table[i] = make([]int, top)
	}
	hits, of := 0, 0
	for _, j := range joint {
		a, b := j.A.Level, j.B.Level
		if a < 1 || b < 1 || a > top || b > top {
			continue
		}
		table[a-1][b-1]++
		of++
		if a == b {
			hits++
		}
		if j.A.Decision == NotClean || j.B.Decision == NotClean {
			notClean++
		}
	}
	return table, NewShare(hits, of), notClean
}

// scores compares the grooms that both gave a score that can be one.
func scores(joint []Joint) Differences {
	var a, b []float64
	for _, j := range joint {
		x, ok := scored(j.A)
		y, both := scored(j.B)
		if ok && both {
			a, b = append(a, x), append(b, y)
		}
	}
	return BlandAltman(a, b)
}
