package web

// PolicyPanel is what the salon has decided in writing about a disputed skill.
type PolicyPanel struct {
	Now      string // "Allowed under the policy of 2 March 2026."; empty when there is none
	Note     string // what it allows and where it is kept
	Until    string // how long it may be relied on; may be empty
	History  []PolicyLine
	CanSet   bool
	Action   string
	ClientID string
	Choice   Choices // name "policy", values allowed, withdrawn
	Day      Field   // name "day"
	Text     Field   // name "note"
}

// PolicyLine is one entry of the salon, the newest first.
type PolicyLine struct {
	Day, What, By, Note string
}

// NewPolicyPanel is the panel with its form in words.
func NewPolicyPanel() *PolicyPanel {
	return &PolicyPanel{
		Choice: Choices{Form: "policy", Name: "policy", Label: "What the salon has decided", Choices: []Choice{
			{Value: "allowed", Label: "Allowed", Hint: "A written policy allows it, and the insurer was asked."},
			{Value: "withdrawn", Label: "Not here", Hint: "Nobody does it in this salon from now on."},
		}},
		Day:  Field{Form: "policy", Name: "day", Label: "Day the policy was written", Type: "date", Width: "short"},
		Text: Field{Form: "policy", Name: "note", Label: "In short", Hint: "What it allows, on which dogs, and where the paper is kept; or why it was withdrawn.", Rows: 2},
	}
}

// Wrong says whether the form came back with something to put right.
func (p PolicyPanel) Wrong() bool { return p.Choice.Error+p.Day.Error+p.Text.Error != "" }
