package curriculum

// Rubric is how a whole groom is marked: one level per criterion, weighted.
type Rubric struct {
	Title string `yaml:"title"`
	Total int    `yaml:"total_weight"` // what the weights must add up to
	// Pass is the lowest mean level that meets the standard, held as a
	// fraction so that it is compared exactly: 7/2 is 3.50.
	Pass Fraction `yaml:"pass_mean"`
	// LeastWeight is the applicable weight a groom needs to count as a
	// whole-groom result; below it the groom is a partial observation.
	LeastWeight int         `yaml:"least_applicable_weight"`
	LeastLevel  int         `yaml:"least_level"` // no criterion below this level
	Stages      []Term      `yaml:"stages"`      // of a groom, in order; the marking form follows them
	Criteria    []Criterion `yaml:"criteria"`
}

// Fraction is an exact ratio of whole numbers.
type Fraction struct {
	Over  int64 `yaml:"over"`
	Under int64 `yaml:"under"`
}

// Criterion is one line of the rubric.
type Criterion struct {
	ID     string `yaml:"id"`
	Title  string `yaml:"title"`
	Stage  string `yaml:"stage"` // when in the groom it is seen; empty when the rubric has no stages
	Weight int    `yaml:"weight"`
	// MustMeet is the level that decides regardless of the mean; 0 when the
	// criterion is not a must-meet.
	MustMeet int `yaml:"must_meet"`
	// NotApplicable says when the criterion may be left out ("dry groom
	// only"); empty means never.
	NotApplicable string `yaml:"not_applicable"`
	// Skills are seen whenever the criterion is rated; SkillsIfSeen only when
	// the assessor gives them a level of their own.
	Skills       []string `yaml:"skills"`
	SkillsIfSeen []string `yaml:"skills_if_seen"`
	Anchors      []string `yaml:"anchors"` // five descriptions, L1 to L5
}

// Criterion returns the criterion with this id, or nil.
func (r *Rubric) Criterion(id string) *Criterion {
	for i := range r.Criteria {
		if r.Criteria[i].ID == id {
			return &r.Criteria[i]
		}
	}
	return nil
}

// CriterionOf returns the criterion under which a skill is seen, or nil when
// the rubric does not show that skill.
func (r *Rubric) CriterionOf(skill string) *Criterion {
	for i := range r.Criteria {
		c := &r.Criteria[i]
		for _, list := range [][]string{c.Skills, c.SkillsIfSeen} {
			for _, id := range list {
				if id == skill {
					return c
				}
			}
		}
	}
	return nil
}
