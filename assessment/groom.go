package assessment

import (
	"fmt"
	"maps"
	"slices"

	"tablehand/curriculum"
)

// Groom is one assessed groom: an apprentice, a dog, and what the assessor saw.
type Groom struct {
	Apprentice, Assessor string // keys of people
	Day                  Day
	Start, Stop          Clock
	Breaks               int `json:",omitempty"` // minutes between start and stop in which nobody groomed

	Dog         string // a label; never an owner's name or address
	Coat        string // coat class id
	Grams       int    // body weight at check-in, g; 0 when not given
	Matting     int    // grade, 0 upwards; −1 when not given
	Temperament int    // grade, 1 upwards; 0 when not given
	Service     string
	Style       string
	Brief       Brief
	CombTest    []string // hidden places where the comb passed, before clipping
	CombNote    string   // what was found where it did not pass
	Stopped     bool     // stopped for the dog's sake; time is then not rated

	Marks  map[string]Mark // by criterion id
	Skills map[string]int  // by skill id: a level of its own, or Unseen
	Help   string          // help given
	Share  int             // share of the work done by the apprentice, %; −1 when not given
	Global int             // overall impression, 1–5; 0 when not given

	Keep, Change, Next string
	Incidents          []Incident

	SecondOf   string // key of the groom this one rates a second time
	Supersedes string // key of the groom this one corrects
	Because    string // why it was corrected
}

// Brief is what the owner asked for, and what was agreed.
type Brief struct {
	Asked      string
	CoatAllows string
	Agreed     string
	Why        string
	LeaveAlone string // areas to leave alone and the reason
	Weeks      int    // weeks until the next visit; 0 when not given
}

// Clock is a time of day in the salon, in minutes after midnight, 0–1439; NoClock
// when not given.
type Clock int

// NoClock is a time that was not given.
const NoClock Clock = -1

// endOfDay is the midnight after a day; a time of day is below it.
const endOfDay Clock = 24 * 60

// String returns the time as 14:05, or nothing.
func (c Clock) String() string {
	if c < 0 {
		return ""
	}
	return fmt.Sprintf("%02d:%02d", c/60, c%60)
}

// Unseen marks a skill that was not seen in a groom although its criterion was
// rated.
const Unseen = -1

// Mark is what the assessor gave for one criterion.
type Mark struct {
	Level         int // L1–L5; 0 when not seen
	NotApplicable bool
	Reason        string // why it does not apply
}

// CriterionResult is a criterion as it counts.
type CriterionResult struct {
	Criterion     *curriculum.Criterion
	Given         int    // level given; 0 when none
	Effective     int    // level that counts: the given one, or lower
	NotApplicable bool   // left out on purpose
	Reason        string // why it does not apply
	Lowered       string // why Effective is below Given
}

// Minutes is the time spent grooming: from start to stop without breaks; 0 when
// it was not given.
func (g *Groom) Minutes() int {
	if g.Start == NoClock || g.Stop == NoClock {
		return 0
	}
	return max(0, int(g.Stop-g.Start)-g.Breaks)
}

// Result is the judgement of a whole groom.
type Result struct {
	Criteria []CriterionResult
	Sum      int64 // Σ weight × effective level
	Weight   int64 // applicable weight
	Outcome  Outcome
	Reasons  []string // every reason for an outcome other than Meets
}

// Mean is the exact weighted mean level, 1–5; without a value when nothing was
// rated.
func (r Result) Mean() Ratio { return Ratio{r.Sum, r.Weight} }

// Percent is (mean − 1) / 4 as a share, 0–1, for charts only.
func (r Result) Percent() Ratio { return Ratio{r.Sum - r.Weight, 4 * r.Weight} }

// Judge scores a groom. It assumes Problems found nothing that makes the
// levels meaningless; it never fails.
func Judge(p *curriculum.Programme, g *Groom) Result {
	var r Result
	parts := make([]Part, len(p.Rubric.Criteria))
	for i := range p.Rubric.Criteria {
		c := effective(p, g, &p.Rubric.Criteria[i])
		r.Criteria = append(r.Criteria, c)
		must := int64(c.Criterion.MustMeet)
		if c.NotApplicable {
			must = 0
		}
		parts[i] = Part{Weight: int64(c.Criterion.Weight), Top: 1, Rating: int64(c.Effective), Must: must, Rated: c.Effective > 0}
	}
	w := Weigh(parts)
	r.Sum, r.Weight = w.Score.Num, w.Weight
	r.Outcome, r.Reasons = decide(p, g, r, w)
	return r
}

// decide applies the rubric's conditions in the order an assessor explains
// them. All reasons are told, not only the first.
func decide(p *curriculum.Programme, g *Groom, r Result, w Weighed) (Outcome, []string) {
	var reasons []string
	say := func(format string, args ...any) { reasons = append(reasons, fmt.Sprintf(format, args...)) }
	rubric, pass := &p.Rubric, Ratio{p.Rubric.Pass.Over, p.Rubric.Pass.Under}

	harmed := false
	for _, in := range g.Incidents {
		if s := p.Incidents.Severity(in.Severity); s != nil && s.GroomNotYet {
			harmed = true
			say("An incident of severity %s (%s) happened in this groom.", s.ID, curriculum.TermName(p.Incidents.Kinds, in.Kind))
		}
	}
	for _, i := range w.Failed {
		c := r.Criteria[i]
		say("%s is a must-meet at L%d and stands at L%d.", c.Criterion.Title, c.Criterion.MustMeet, c.Effective)
	}
	below := false
	for i, c := range r.Criteria {
		if c.Effective > 0 && c.Effective < rubric.LeastLevel && !slices.Contains(w.Failed, i) {
			below = true
			say("%s stands at L%d; no criterion may be below L%d.", c.Criterion.Title, c.Effective, rubric.LeastLevel)
		}
	}
	if r.Weight > 0 && !r.Mean().AtLeast(pass) {
		say("The weighted mean is %s, below %s.", r.Mean().Truncated(1, 2), pass.Truncated(1, 2))
	}
	for _, i := range w.Unobserved {
		say("%s is a must-meet and was not seen.", r.Criteria[i].Criterion.Title)
	}
	partial := r.Weight < int64(rubric.LeastWeight)
	if partial {
		say("The criteria seen weigh %d of %d; a whole-groom result needs %d. The observations still count.", r.Weight, rubric.Total, rubric.LeastWeight)
	}
	switch {
	case harmed:
		return NotYet, reasons
	case partial:
		return Incomplete, reasons
	case below:
		return NotYet, reasons
	}
	return w.Decide(pass), reasons
}

// effective lowers a given level where something seen under the criterion
// forbids it: a safety-critical skill given less, or an incident.
func effective(p *curriculum.Programme, g *Groom, c *curriculum.Criterion) CriterionResult {
	m := g.Marks[c.ID]
	r := CriterionResult{Criterion: c, Given: m.Level, Effective: m.Level, NotApplicable: m.NotApplicable, Reason: m.Reason}
	if m.NotApplicable || m.Level == 0 {
		r.Given, r.Effective = 0, 0
		return r
	}
	lower := func(to int, why string) {
		if to > 0 && to < r.Effective {
			r.Effective, r.Lowered = to, why
		}
	}
	for _, list := range [][]string{c.Skills, c.SkillsIfSeen} {
		for _, id := range list {
			skill := p.Skill(id)
			if level := g.Skills[id]; level > 0 && skill.IsSafetyCritical() {
				lower(level, fmt.Sprintf("%s (safety-critical) was seen at L%d.", skill.Title, level))
			}
		}
	}
	for _, in := range g.Incidents {
		s := p.Incidents.Severity(in.Severity)
		if s == nil || p.Rubric.CriterionOf(in.Skill) != c || !p.Incidents.CountsAgainst(in.Attribution) {
			continue
		}
		if s.SparesReport && in.SelfReported {
			continue // telling must never cost more than hiding
		}
		lower(s.CriterionCap, fmt.Sprintf("An incident of severity %s under it leaves at most L%d.", s.ID, s.CriterionCap))
	}
	return r
}

// Derive returns the observations a groom gives, in programme order: each
// skill of a rated criterion at the level given for the criterion, unless the
// skill has a level of its own or was not seen. The level given counts, not
// the lowered one: one skill's slip is not another skill's.
func Derive(p *curriculum.Programme, g *Groom) []Observation {
	levels := skillLevels(p, g)
	size := ""
	if s := p.Vocabulary.SizeOf(float64(g.Grams) / 1000); s != nil {
		size = s.ID
	}
	var out []Observation
	for _, s := range p.AllSkills() {
		level := levels[s.ID]
		if level < 1 {
			continue
		}
		o := Observation{Skill: s.ID, Assessor: g.Assessor, Day: g.Day, Source: Formal, Level: int8(level),
			Dog: g.Dog, Coat: g.Coat, Size: size, Style: g.Style}
		o.Severity, o.Attribution = worstIncident(p, g.Incidents, s.ID)
		out = append(out, o)
	}
	return out
}

// skillLevels is the level of every skill that was rated in a groom, by id;
// below 1 for one that was not seen.
func skillLevels(p *curriculum.Programme, g *Groom) map[string]int {
	levels := map[string]int{}
	for i := range p.Rubric.Criteria {
		c := &p.Rubric.Criteria[i]
		m := g.Marks[c.ID]
		if m.Level > 0 && !m.NotApplicable {
			for _, id := range c.Skills {
				levels[id] = m.Level
			}
		}
	}
	maps.Copy(levels, g.Skills)
	return levels
}
