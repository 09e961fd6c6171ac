package web

// Exercises is the page of questions on the choice of blades: to begin, and with
// what came of them.
type Exercises struct {
	Shell
	Missing  string // why there are none here; empty shows the rest
	Lead     string
	Rule     string // what passes, and what a result is worth
	CanBegin bool
	Begin    string // the word on the button
	ClientID string
	Waiting  []ExerciseLine // passed, and nobody has let them stand
	Lines    []ExerciseLine
	SkillURL string
	Skill    string
	Chart    BladeChart
}

// ExerciseLine is one exercise in a list.
type ExerciseLine struct {
	URL, Day, Who string
	Result        string // "90 %, passed", "not finished"
	State         string // "practice", "stands, let stand by …"
}

// Exercise is one exercise: the questions while it is open, what each answer is
// worth once it is finished.
type Exercise struct {
	Shell
	Who       string // whose it is; empty for the reader's own
	Lead      string
	Action    string // where the answers are sent; empty hides the form
	ClientID  string
	Questions []Choices // name "q.1" and so on
	Result    string    // "8 of 10 right, 80 %: passed"
	Worth     string    // what the result is worth
	Marked    []MarkedQuestion
	Adopt     *AdoptPanel
	Chart     BladeChart
}

// MarkedQuestion is a question with its answers.
type MarkedQuestion struct {
	Title, Facts string
	Right        bool
	Given        MarkedAnswer
	Good         []MarkedAnswer // the other right answers that were offered
	Wrong        []MarkedAnswer // the other wrong ones
	Also         []string       // everything right here, in words
}

// MarkedAnswer is one answer with what speaks for or against it.
type MarkedAnswer struct{ Answer, Why string }

// AdoptPanel lets a result stand as a knowledge check.
type AdoptPanel struct {
	Action, ClientID string
	Refused          string // why this person cannot; empty shows the form
	Earlier          string // how many exercises there were before this one
	How              Choices
}

// NewAdoptPanel is the panel with its form in words; the choices are the server's.
func NewAdoptPanel() *AdoptPanel {
	return &AdoptPanel{How: Choices{Form: "adopt", Name: "how", Label: "How do you know that these answers are the apprentice's own?"}}
}
