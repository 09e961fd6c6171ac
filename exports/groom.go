package exports

import (
	"slices"
	"strings"
	"time"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// Groom is one assessed groom as a row. NewGroom fills it from the record.
type Groom struct {
	Ref                  string // how the salon refers to it
	Day                  assessment.Day
	Apprentice, Assessor string // keys of people
	Dog                  string // a label, never an owner's name
	Coat, Size           string // ids
	Grams                int    // body weight, g; 0 when not given
	Matting              int    // grade, 0 upwards; −1 when not given
	Temperament          int    // grade, 1 upwards; 0 when not given
	Service, Style       string // ids

	Programme string // id
	Version   int
	// Levels are the effective levels by criterion id, L1–L5. A criterion
	// that does not apply, or was not seen, is not in it.
	Levels        map[string]int
	NotApplicable []string // ids of the criteria left out on purpose
	Gravest       string   // severity of the gravest incident, or empty
	Minutes       int      // from start to stop without breaks; 0 when not given
	Outcome       assessment.Outcome
	Reasons       []string
	CutPlan       []string // in words, one for each area; empty when there is none

	Supersedes, SupersededBy string // references
	SecondOf                 string // reference of the groom it rates a second time
	Signed                   time.Time
}

// NewGroom fills a row from a groom and its judgement. References to other
// grooms and the time of signing are left to the caller.
func NewGroom(p *curriculum.Programme, ref string, g *assessment.Groom, r assessment.Result) Groom {
	row := Groom{Ref: ref, Day: g.Day, Apprentice: g.Apprentice, Assessor: g.Assessor, Dog: g.Dog, Coat: g.Coat,
		Grams: g.Grams, Matting: g.Matting, Temperament: g.Temperament, Service: g.Service, Style: g.Style,
		Programme: p.ID, Version: p.Version, Levels: map[string]int{}, Outcome: r.Outcome, Reasons: r.Reasons}
	if s := p.Vocabulary.SizeOf(float64(g.Grams) / 1000); s != nil && g.Grams > 0 {
		row.Size = s.ID
	}
	for _, c := range r.Criteria {
		switch {
		case c.NotApplicable:
			row.NotApplicable = append(row.NotApplicable, c.Criterion.ID)
		case c.Effective > 0:
			row.Levels[c.Criterion.ID] = c.Effective
		}
	}
	row.Minutes = g.Minutes()
	row.Gravest = gravest(p, g.Incidents)
	return row
}

// gravest returns the severity that says most about the groom: one that makes
// it Not yet before one that does not, then the higher one.
func gravest(p *curriculum.Programme, list []assessment.Incident) string {
	best, worst := "", -1
	for _, in := range list {
		s := p.Incidents.Severity(in.Severity)
		if s == nil {
			continue
		}
		rank := p.Incidents.Rank(s.ID)
		if s.GroomNotYet {
			rank += len(p.Incidents.Severities)
		}
		if rank > worst {
			best, worst = s.ID, rank
		}
	}
	return best
}

// counts reports whether the row stands in the totals: a corrected version
// and a second rating of the same groom are kept, and not counted twice.
func (g *Groom) counts() bool { return g.SupersededBy == "" && g.SecondOf == "" }

// tally is what the formulas of a groom's row come to.
type tally struct {
	sum, weight             int64
	lowest                  int // 0 when nothing was seen
	exempt, failed, notSeen int // must-meets: not applicable, below, not seen
	outcome                 assessment.Outcome
}

// tallyOf works out by the rule of assessment.Judge what a row's formulas
// will show, from the row alone.
func tallyOf(p *curriculum.Programme, g *Groom) tally {
	var t tally
	parts := make([]assessment.Part, 0, len(p.Rubric.Criteria))
	for i := range p.Rubric.Criteria {
		c := &p.Rubric.Criteria[i]
		level, must := g.Levels[c.ID], int64(c.MustMeet)
		if slices.Contains(g.NotApplicable, c.ID) {
			level = 0
			if must > 0 {
				t.exempt++
			}
			must = 0
		}
		if level > 0 && (t.lowest == 0 || level < t.lowest) {
			t.lowest = level
		}
		parts = append(parts, assessment.Part{Weight: int64(c.Weight), Top: 1, Rating: int64(level), Must: must, Rated: level > 0})
	}
	w := assessment.Weigh(parts)
	t.sum, t.weight, t.failed, t.notSeen = w.Score.Num, w.Weight, len(w.Failed), len(w.Unobserved)
	pass := assessment.Ratio{Num: p.Rubric.Pass.Over, Den: p.Rubric.Pass.Under}
	severity := p.Incidents.Severity(g.Gravest)
	switch {
	case severity != nil && severity.GroomNotYet:
		t.outcome = assessment.NotYet
	case t.weight < int64(p.Rubric.LeastWeight):
		t.outcome = assessment.Incomplete
	case t.failed > 0, t.lowest > 0 && t.lowest < p.Rubric.LeastLevel, t.weight > 0 && !w.Score.AtLeast(pass):
		t.outcome = assessment.NotYet
	case t.notSeen > 0:
		t.outcome = assessment.Incomplete
	default:
		t.outcome = assessment.Meets
	}
	return t
}

func (t tally) mean() assessment.Ratio { return assessment.Ratio{Num: t.sum, Den: t.weight} }

// mustMeets is the word in the column of that name.
func (t tally) mustMeets() string {
	switch {
	case t.failed > 0:
		return no
	case t.notSeen > 0:
		return "not seen"
	}
	return yes
}

// groomTotals are the cached values of the totals over the grooms.
type groomTotals struct {
	rows, grooms, meets, notYet, incomplete, differ int
	scored                                          int     // grooms with a result and a mean
	means                                           float64 // sum of those means
}

func (t *groomTotals) add(g *Groom, row tally) {
	t.rows++
	if row.outcome != g.Outcome {
		t.differ++
	}
	if !g.counts() {
		return
	}
	t.grooms++
	switch row.outcome {
	case assessment.Meets:
		t.meets++
	case assessment.NotYet:
		t.notYet++
	default:
		t.incomplete++
	}
	if row.outcome != assessment.Incomplete && row.weight > 0 {
		t.scored++
		t.means += row.mean().Float()
	}
}

func (t *groomTotals) meanOfMeans() any {
	if t.scored == 0 {
		return ""
	}
	return t.means / float64(t.scored)
}

func joinWords(list []string) any { return text(strings.Join(list, " ")) }
