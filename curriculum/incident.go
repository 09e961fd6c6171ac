package curriculum

// IncidentPolicy says what each severity of incident does to an observation,
// to sign-off and to permission.
type IncidentPolicy struct {
	Kinds        []Term       `yaml:"kinds"`
	Severities   []Severity   `yaml:"severities"`
	Attributions []Term       `yaml:"attributions"`
	ResetsFor    []string     `yaml:"resets_for"` // attributions that count against the apprentice
	Repeats      []RepeatRule `yaml:"repeats"`
}

// HoldScope is how much a severity puts on hold.
type HoldScope string

const (
	HoldNothing HoldScope = ""       // nothing
	HoldSkill   HoldScope = "skill"  // the skill it happened under, if signed
	HoldUnit    HoldScope = "unit"   // every skill of that unit
	HoldSafety  HoldScope = "safety" // every safety-critical skill
)

// Severity is one grade of incident and its effects.
type Severity struct {
	ID       string `yaml:"id"` // S0 (near miss) to S4
	Name     string `yaml:"name"`
	Examples string `yaml:"examples"`

	CriterionCap int  `yaml:"criterion_cap"` // highest level left to the criterion; 0 = no cap
	SparesReport bool `yaml:"spares_report"` // no cap when the apprentice reported it
	NotCounted   bool `yaml:"not_counted"`   // the observation of that skill cannot count
	GroomNotYet  bool `yaml:"groom_not_yet"` // the groom cannot meet the standard

	Hold          HoldScope   `yaml:"hold"`
	HoldsFor      []string    `yaml:"holds_for"`      // attributions that lead to the hold
	PermissionMax int         `yaml:"permission_max"` // highest permission while held; 0 = no limit
	Release       ReleaseRule `yaml:"release"`
}

// ReleaseRule is what must be seen before a person may end a hold.
type ReleaseRule struct {
	Clean          int  `yaml:"clean"`           // clean formal observations since
	DifferentDogs  int  `yaml:"different_dogs"`  // on so many different dogs
	Redemonstrate  bool `yaml:"redemonstrate"`   // the assessor has shown it again
	SecondAssessor bool `yaml:"second_assessor"` // released by someone other than who recorded it
	NamedPerson    bool `yaml:"named_person"`    // only a head groomer, with a reason
}

// What a repeat rule takes together, and what it does.
const (
	SameSkill      = "skill"           // incidents under one skill, of any kind
	SameKind       = "kind"            // incidents of one kind, under any skill
	PermissionDown = "permission_down" // the permission falls by one level until a person sets it again
	Review         = "review"          // people are asked to sit down together; nothing else changes
)

// RepeatRule acts on incidents that come back.
type RepeatRule struct {
	Severity string `yaml:"severity"` // id of a severity; only incidents of exactly this one are counted
	Count    int    `yaml:"count"`    // 2 or more
	Days     int    `yaml:"days"`     // from the first of them to the last, at most; 1 or more
	Same     string `yaml:"same"`     // SameSkill or SameKind; a permission falls for SameSkill only
	Effect   string `yaml:"effect"`   // PermissionDown or Review
}

// Severity returns the grade with this id, or nil.
func (ip *IncidentPolicy) Severity(id string) *Severity {
	for i := range ip.Severities {
		if ip.Severities[i].ID == id {
			return &ip.Severities[i]
		}
	}
	return nil
}

// Rank returns the position of a severity, 0 for the mildest; −1 if unknown.
func (ip *IncidentPolicy) Rank(id string) int {
	for i := range ip.Severities {
		if ip.Severities[i].ID == id {
			return i
		}
	}
	return -1
}

// CountsAgainst reports whether an incident with this attribution counts
// against the apprentice.
func (ip *IncidentPolicy) CountsAgainst(attribution string) bool {
	for _, a := range ip.ResetsFor {
		if a == attribution {
			return true
		}
	}
	return false
}
