package web

import "html/template"

// Rule is one points rule: what it does, what else could be chosen, and what a
// change would mean in this salon.
type Rule struct {
	Shell
	Name    string
	InUse   RuleFacts
	Search  RuleSearch
	Choices []RuleLine // found for what was asked; empty before anything was
	Picked  *RulePicked
}

// RuleFacts are the exact properties of a rule, in words, pictures and numbers.
type RuleFacts struct {
	Rule  string   // "A clean observation earns 1 point …"
	Say   []string // sentences, one fact each
	Ours  Hundred
	Other Hundred // the same for so many clean in a row
	Chart template.HTML
	Rows  []CurveRow
	Names [2]string // of the two columns
}

// Hundred is a picture of a hundred apprentices with its sentence.
type Hundred struct {
	Title   string
	Picture template.HTML
	Say     string
}

// CurveRow is one line of the table beside the chart.
type CurveRow struct{ Rate, Ours, Other string }

// RuleSearch asks how sure to be; it is sent with GET and changes nothing.
type RuleSearch struct {
	Action       string
	Competent    Field // name "competent", per cent
	Unacceptable Field // name "unacceptable", per cent
	Error        Field // name "error", per cent
	Within       Field // name "within", observations
}

// RuleLine is one rule that could be chosen.
type RuleLine struct {
	URL       string
	Rule      string // "A fault costs 10, never below −10, eligible at 17"
	False     string // "4.93 %"
	Competent string // "21.6"
	Improving string // "49 of 100"
	Here      string // "61 of 90, after 19.4"
	InUse     bool
	Picked    bool
}

// RulePicked is the rule being looked at, tried on the salon's own record.
type RulePicked struct {
	Facts   RuleFacts
	Changes []RuleChangeLine
	Nothing string // said when no standing would change

	CanPublish bool
	WhyNot     string // why nobody can take it into use from here; may be empty
	Action     string
	ClientID   string
	Hidden     []HiddenField // the numbers
	Password   Field
	Insecure   bool
}

// RuleChangeLine is one standing that the rule would change today.
type RuleChangeLine struct {
	Apprentice, Skill string
	URL               string
	Before, After     Standing
}

// NewRuleSearch is the form in words.
func NewRuleSearch(action string) RuleSearch {
	percent := func(name, label, hint string) Field {
		return Field{Name: name, Label: label, Hint: hint, InputMode: "decimal", Unit: "%", Width: "short"}
	}
	return RuleSearch{
		Action:       action,
		Competent:    percent("competent", "Acceptable fault rate", "Somebody you would leave alone with a dog still slips this often."),
		Unacceptable: percent("unacceptable", "Unacceptable fault rate", "You would be ashamed to have signed somebody who slips this often."),
		Error:        percent("error", "Chance of signing such a person all the same", "At most this, within the observations below."),
		Within:       Field{Name: "within", Label: "Observations declared", Hint: "How many formal observations the programme plans for one skill.", InputMode: "numeric", Width: "short"},
	}
}
