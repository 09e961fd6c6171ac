package web

// ReviewPanel records that what a standing asks to be talked over was talked
// over.
type ReviewPanel struct {
	Why      string
	Effect   string // what recording it does
	CanSet   bool
	WhyNot   string // why this person cannot; may be empty
	Action   string
	ClientID string
	Note     Field // name "note"
	History  []ReviewLine
}

// ReviewLine is one review that was held.
type ReviewLine struct{ Day, By, Note string }

// NewReviewPanel is the panel with its form in words.
func NewReviewPanel() *ReviewPanel {
	return &ReviewPanel{Note: Field{Form: "review", Name: "note", Label: "What you agreed", Hint: "A sentence or two. The apprentice reads it.", Rows: 2}}
}
