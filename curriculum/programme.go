package curriculum

// TopLevel is the highest level a criterion or skill can be given (L5).
const TopLevel = 5

// CleanLevel is the lowest level at which an observation can be clean (L4:
// unprompted, the assessor in the room).
const CleanLevel = 4

// Programme is one version of the standard. A published version never
// changes: evidence refers to the version as it stood on the day.
type Programme struct {
	ID       string   `yaml:"id"`
	Title    string   `yaml:"title"`
	Version  int      `yaml:"version"` // 1, 2, 3 …
	Summary  string   `yaml:"summary"`
	Cautions []string `yaml:"cautions"`

	Vocabulary  Vocabulary       `yaml:"vocabulary"`
	Levels      []Level          `yaml:"levels"`      // L1–L5: what was seen once
	Permissions []Permission     `yaml:"permissions"` // P1–P5: what is trusted next
	Currency    Currency         `yaml:"currency"`
	Evidence    []EvidenceRule   `yaml:"evidence_rules"`
	Points      []PointsRule     `yaml:"points_rules"`
	Monitor     Monitor          `yaml:"monitor"`
	Incidents   IncidentPolicy   `yaml:"incidents"`
	Rubric      Rubric           `yaml:"rubric"`
	Completion  CompletionPolicy `yaml:"completion"`
	Units       []Unit           `yaml:"units"`
	Cutting     *Cutting         `yaml:"cutting"` // nil when the programme has no table of blades

	source []byte
	digest string
	skills map[string]*Skill
	unitOf map[string]*Unit
}

// Unit groups skills that are learned together.
type Unit struct {
	ID     string  `yaml:"id"`
	Title  string  `yaml:"title"`
	Skills []Skill `yaml:"skills"`
}

// Skill is one thing an apprentice can be signed off for.
type Skill struct {
	ID       string   `yaml:"id"`
	Title    string   `yaml:"title"`
	Criteria []string `yaml:"criteria"` // each one a bystander could answer yes or no
	// SafetyCritical says what can go wrong; empty for a skill that cannot
	// hurt a dog or a person.
	SafetyCritical string   `yaml:"safety_critical"`
	Needs          []string `yaml:"needs"` // skills to be signed before this one
	Kit            []string `yaml:"kit"`
	Evidence       string   `yaml:"evidence"` // id of an evidence rule
	Points         string   `yaml:"points"`   // id of a points rule, or empty
	Hazard         string   `yaml:"hazard"`
	Caution        string   `yaml:"caution"`
}

// IsSafetyCritical reports whether a slip in this skill can hurt.
func (s *Skill) IsSafetyCritical() bool { return s.SafetyCritical != "" }

// Level describes one step of the five-step scale of independence (L1–L5). It is
// modelled on a scale for surgeons in training: Gofton et al. 2012, doi
// 10.1097/ACM.0b013e3182677805. What was seen once (a level) and what is trusted
// next (a permission) are kept apart.
type Level struct {
	Level   int    `yaml:"level"`
	Name    string `yaml:"name"`
	Meaning string `yaml:"meaning"`
}

// Permission describes what an apprentice may do next (P1–P5) and the least
// evidence a person must see before giving it.
type Permission struct {
	Level   int    `yaml:"level"`
	Name    string `yaml:"name"`
	Meaning string `yaml:"meaning"`

	Observations int  `yaml:"observations"` // formal observations at AtLevel or above
	AtLevel      int  `yaml:"at_level"`     // L1–L5
	LastClean    bool `yaml:"last_clean"`   // the newest formal observation is clean
	Signed       bool `yaml:"signed"`       // the skill is signed, current and not held
}

// Currency says how long an unused signed skill is trusted, in days.
type Currency struct {
	CurrentDays int `yaml:"current_days"` // up to here: current
	LapseDays   int `yaml:"lapse_days"`   // beyond here: lapsed; between: due
}

// Monitor is the review trigger that runs on a skill after sign-off: each
// fault adds Fault, each clean observation takes 1 away, never below 0. Both are
// 1 or more. See assessment/sequence for how often it calls.
type Monitor struct {
	Fault int `yaml:"fault"`
	Alarm int `yaml:"alarm"` // a review is asked for at this score
}

// CompletionPolicy is what the whole programme needs beyond signed skills.
type CompletionPolicy struct {
	Grooms    int `yaml:"grooms"`    // scored grooms, at least
	LastMeet  int `yaml:"last_meet"` // the newest so many all "Meets"
	Coats     int `yaml:"coats"`     // different coat classes among them
	Sizes     int `yaml:"sizes"`     // different size bands
	Assessors int `yaml:"assessors"` // different assessors
}

// Skill returns the skill with this id, or nil.
func (p *Programme) Skill(id string) *Skill { return p.skills[id] }

// UnitOf returns the unit that holds the skill, or nil.
func (p *Programme) UnitOf(skill string) *Unit { return p.unitOf[skill] }

// AllSkills returns every skill in programme order.
func (p *Programme) AllSkills() []*Skill {
	var all []*Skill
	for i := range p.Units {
		for j := range p.Units[i].Skills {
			all = append(all, &p.Units[i].Skills[j])
		}
	}
	return all
}

// Required reports whether completing the programme needs this skill. Gated
// skills never count: a salon may forbid them.
func (p *Programme) Required(s *Skill) bool {
	rule := p.EvidenceRule(s.Evidence)
	return rule != nil && rule.Kind != Gated
}

// RequiredCounts counts the required skills, and the safety-critical ones among
// them.
func (p *Programme) RequiredCounts() (required, safety int) {
	for _, s := range p.AllSkills() {
		if p.Required(s) {
			required++
			if s.IsSafetyCritical() {
				safety++
			}
		}
	}
	return required, safety
}

// Digest is the SHA-256 of the programme file exactly as it was read, in hex.
// Anyone holding the file can recompute it with a standard tool.
func (p *Programme) Digest() string { return p.digest }

// Source returns the programme file exactly as it was read.
func (p *Programme) Source() []byte { return p.source }

func (p *Programme) index() {
	p.skills, p.unitOf = map[string]*Skill{}, map[string]*Unit{}
	for i := range p.Units {
		for j := range p.Units[i].Skills {
			s := &p.Units[i].Skills[j]
			p.skills[s.ID], p.unitOf[s.ID] = s, &p.Units[i]
		}
	}
}
