package web

// SaidPanel is what an apprentice says to the marks of a groom, the answer to it,
// and the one form of the reader: to say it, or to answer.
type SaidPanel struct {
	Action   string // empty hides the form
	ClientID string
	Own      bool    // the reader is the apprentice; otherwise the form takes an answer
	Choice   Choices // name "said"
	Words    Field   // name "words"
	Lines    []SaidLine
}

// SaidLine is one thing that was said.
type SaidLine struct {
	Who, When string
	What      string // "has read the marks"
	Words     string // may be empty
}

// NewSaidPanel is the panel of an apprentice, with its form in words. Who has
// said that they read the marks may still disagree.
func NewSaidPanel(read bool) *SaidPanel {
	p := &SaidPanel{Own: true,
		Choice: Choices{Name: "said", Label: "These marks", Choices: []Choice{{Value: "read", Label: "I have read them", Hint: "That is not the same as agreeing."},
			{Value: "disagree", Label: "I disagree", Hint: "Say how you see it. Your assessor and the head groomer read it; the marks stay as they are."}}},
		Words: Field{Name: "words", Label: "In your own words", Hint: "Needed when you disagree. It stays in the salon and is left out of every export.", Rows: 3, Optional: true},
	}
	if read {
		p.Choice.Choices = p.Choice.Choices[1:]
	}
	return p
}

// NewAnswerPanel is the panel of somebody who may answer.
func NewAnswerPanel() *SaidPanel {
	return &SaidPanel{Words: Field{Name: "words", Label: "Your answer", Hint: "Once. If a mark was wrong, correct the groom instead.", Rows: 3}}
}
