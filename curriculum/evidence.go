package curriculum

// EvidenceKind is the sort of evidence a rule asks for.
type EvidenceKind string

const (
	Observations EvidenceKind = "observations" // clean formal observations on dogs
	Simulations  EvidenceKind = "simulations"  // rehearsals of a rare event; a real one handled well counts too
	Knowledge    EvidenceKind = "knowledge"    // an oral or written check
	Gated        EvidenceKind = "gated"        // contested: only where written salon policy allows
)

// EvidenceKinds lists every kind, in the order shown to people.
var EvidenceKinds = []EvidenceKind{Observations, Simulations, Knowledge, Gated}

// EvidenceRule says what must have been seen before a skill is eligible for
// sign-off. Zero means "not asked for".
type EvidenceRule struct {
	ID        string       `yaml:"id"`
	Name      string       `yaml:"name"`
	Kind      EvidenceKind `yaml:"kind"`
	Count     int          `yaml:"count"`     // counting observations, simulations or checks
	Level     int          `yaml:"level"`     // lowest level that counts (L1–L5)
	Coats     int          `yaml:"coats"`     // different coat classes
	Sizes     int          `yaml:"sizes"`     // different size bands
	Assessors int          `yaml:"assessors"` // different assessors
	Styles    int          `yaml:"styles"`    // different styles
	Streak    Streak       `yaml:"streak"`
	// NewestWithinDays is the age in days, on the day of the decision, that
	// the newest counting observation may have.
	NewestWithinDays int `yaml:"newest_within_days"`
	Percent          int `yaml:"percent"` // pass mark of a knowledge check, 1–100
	// RepeatMonths is how many calendar months after the newest counting
	// evidence all of it has to be renewed; a sign-off lapses then. For a gated
	// skill it is also how long a written policy is good for.
	RepeatMonths int `yaml:"repeat_months"`
}

// Streak asks for Need clean among the last Of formal observations.
type Streak struct {
	Need int `yaml:"need"`
	Of   int `yaml:"of"`
}

// PointsRule is the sign-off rule with a known chance of error. A clean formal
// observation earns 1 point, one that is not clean costs FaultCosts, the debt
// stops at NeverBelow, and the skill is eligible at EligibleAt points.
//
// It keeps this promise: an apprentice whose true fault rate is Unacceptable
// or worse reaches EligibleAt within Within observations with probability at
// most FalseSignOff. See assessment/sequence for the exact computation.
type PointsRule struct {
	ID           string  `yaml:"id"`
	Name         string  `yaml:"name"`
	Competent    float64 `yaml:"competent_fault_rate"`    // p0, 0–1
	Unacceptable float64 `yaml:"unacceptable_fault_rate"` // p1, 0–1
	FalseSignOff float64 `yaml:"false_sign_off_at_most"`  // alpha, 0–1
	Within       int     `yaml:"within_observations"`     // N
	FaultCosts   int     `yaml:"fault_costs"`             // m, points
	NeverBelow   int     `yaml:"never_below"`             // floor, points, 0 or less
	EligibleAt   int     `yaml:"eligible_at"`             // h, points
}

// EvidenceRule returns the rule with this id, or nil.
func (p *Programme) EvidenceRule(id string) *EvidenceRule {
	for i := range p.Evidence {
		if p.Evidence[i].ID == id {
			return &p.Evidence[i]
		}
	}
	return nil
}

// PointsRule returns the points rule with this id, or nil.
func (p *Programme) PointsRule(id string) *PointsRule {
	for i := range p.Points {
		if p.Points[i].ID == id {
			return &p.Points[i]
		}
	}
	return nil
}
