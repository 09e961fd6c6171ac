package web

// CheckPanel records a rehearsal of a rare event or a knowledge check.
type CheckPanel struct {
	Title    string // "Record a rehearsal"
	Lead     string
	Action   string
	ClientID string
	Day      Field
	Level    Choices // name "level"; no choices hides it
	Percent  Field   // name "percent"; not shown beside levels
}

// NewCheckPanel is the panel with its form in words. levels are the names of L1
// to L5 for a rehearsal; without them it is a knowledge check.
func NewCheckPanel(levels []string) CheckPanel {
	p := CheckPanel{
		Title:   "Record a knowledge check",
		Lead:    "Asked aloud or on paper, by you.",
		Day:     Field{Form: "check", Name: "day", Label: "Day", Type: "date", Width: "short"},
		Percent: Field{Form: "check", Name: "percent", Label: "Result", InputMode: "numeric", Unit: "%", Width: "short"},
	}
	if len(levels) == 0 {
		return p
	}
	p.Title, p.Lead = "Record a rehearsal", "Acted out with you, with questions. A real event handled well counts as one."
	p.Level = Choices{Form: "check", Name: "level", Label: "What you saw"}
	for i, name := range levels {
		v := itoa(i + 1)
		p.Level.Choices = append(p.Level.Choices, Choice{Value: v, Label: "L" + v, Hint: name})
	}
	return p
}

// Wrong says whether the form came back with something to put right.
func (p CheckPanel) Wrong() bool { return p.Day.Error+p.Level.Error+p.Percent.Error != "" }
