package web

import "strings"

// SignOffs is the list of sign-offs.
type SignOffs struct {
	Shell
	Filters  []Filter // by apprentice
	Filtered string   // whose sign-offs these are; empty when all are shown
	Waiting  []SignOffItem
	Decided  []SignOffItem

	SampleURL string // where decisions are drawn to be looked at again; empty hides it
}

// SignOffItem is one sign-off in a list.
type SignOffItem struct {
	URL        string
	Skill      string
	Apprentice string
	State      string // "Waits for a confirmer", "Confirmed", "Declined", "Withdrawn"
	Proposed   string // who and when
	Decided    string
	CanDecide  bool
}

// Propose is the page a sign-off is proposed on.
type Propose struct {
	Shell
	Apprentice, Skill string
	SkillURL          string
	Cautions          []string
	Requirements      []Requirement
	Evidence          []ObservationLine // attached as it stands
	Excluded          []ObservationLine
	Costing           []ObservationLine // not clean, and cost points
	Statement         string            // what the person declares by signing
	Guarantee         string            // the error of the points rule; may be empty
	Blocked           string            // why it cannot be proposed; empty shows the form
	Action            string
	ClientID          string
	EvidenceHash      string // the form carries it as "content_hash"
	Fingerprint       string
	Note              Field // name "note"
	Password          Field
	Insecure          bool
}

// ApprenticeURL is the page of the apprentice that the skill's page lies under.
func (p Propose) ApprenticeURL() string {
	at, _, _ := strings.Cut(p.SkillURL, "/skills/")
	return at
}

// SignOff is one sign-off: what was proposed, on what, and the decision.
type SignOff struct {
	Shell
	Apprentice    string
	ApprenticeURL string
	Skill         string
	SkillURL      string
	State         string
	Open          bool
	ProposedBy    string // "Rowan Ash, assessor, 2 March 2026 16:40 (UTC+0)"
	Statement     string
	ProposedNote  string
	Rule          string // the rule and its version
	Guarantee     string
	Requirements  []Requirement
	Evidence      []ObservationLine
	Excluded      []ObservationLine
	Cautions      []string
	Fingerprint   string
	DecidedBy     string
	DecidedNote   string
	Certificate   string            // where its certificate is; empty hides it
	ChangedSince  string            // what changed after the proposal; may be empty
	Added, Gone   []ObservationLine // evidence that came or went since, and counts or does not

	CanDecide   bool
	ContentHash string // of the evidence as it stands now
	WhyNot      string // why this person cannot confirm
	Action      string
	ClientID    string
	Decision    Choices // name "decision", values confirm, decline
	Reason      Field
	Password    Field
	Insecure    bool
}

// DecisionChoices are the two answers a confirmer has.
func DecisionChoices() Choices {
	return Choices{Name: "decision", Label: "Your decision", Choices: []Choice{
		{Value: "confirm", Label: "Confirm", Hint: "I have looked at the evidence and agree that the rule is met."},
		{Value: "decline", Label: "Decline", Hint: "The skill stays unsigned. Say what you want to see."},
	}}
}

// NewPropose is the page with its words.
func NewPropose() Propose {
	return Propose{
		Note:     Field{Name: "note", Label: "Note for the confirmer", Hint: "Anything the evidence does not say by itself.", Optional: true},
		Password: Password("Your password", "You sign the proposal with it."),
	}
}

// NewSignOff is the page with the words of its form.
func NewSignOff() SignOff {
	return SignOff{
		Decision: DecisionChoices(),
		Reason:   Field{Name: "reason", Label: "Reason", Hint: "Needed when you decline: what would you want to see?"},
		Password: Password("Your password", "You sign the decision with it."),
	}
}
