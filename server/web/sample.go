package web

// Sample is the page on which decisions are drawn to be looked at again. It is
// reached with GET and changes nothing; its address repeats the draw.
type Sample struct {
	Shell
	Plan       Choices // name "plan"
	From, To   Field   // days
	Seed       Field
	Drawn      bool   // a draw was asked for
	Population string // "23 decisions between 1 May and 20 May 2026: 12 proposed by Rowan Ash, …"
	Lines      []SampleLine
}

// SampleLine is a decision to be looked at again.
type SampleLine struct {
	URL               string
	Skill, Apprentice string
	Proposed, Decided string // who and when
	Why               []string
}

// NewSample is the page with its words.
func NewSample() Sample {
	return Sample{
		Plan: Choices{Name: "plan", Label: "How many"},
		From: Field{Name: "from", Label: "Proposed from", Type: "date", Width: "short"},
		To:   Field{Name: "to", Label: "Proposed up to", Type: "date", Width: "short"},
		Seed: Field{Name: "seed", Label: "Seed", Hint: "Any words. The same seed draws the same decisions; agree on it before you look.", Autocomplete: "off", Width: "medium"},
	}
}
