package web

// ProgressReview is the sheet on which an apprentice, the salon and the training
// provider review progress together: what the record says, room to write, and
// three signatures. It is one or two pages of paper.
type ProgressReview struct {
	Shell
	Name, ApprenticeURL string
	Programme           string // name and version
	Started, WeeksIn    string // as on the apprentice's page
	From, To            string // first and last day of the time that is reviewed
	Action              string
	Since               Field // name "since"
	Progress            Progress
	Numbers             []Row // what happened in the time, in numbers
	SignOffs            []PeriodSignOff
	Holds               []HoldLine // open ones, without what anybody wrote
	Next                []NextStep
	LeftOut             string // what the figures do not hold yet; may be empty
}

// PeriodSignOff is a sign-off that was confirmed in the time.
type PeriodSignOff struct {
	Day, Skill, By string
	URL            string
	Standing       Standing // today; empty when the programme no longer has the skill
}

// ActionLines are the empty lines for what is agreed.
func (ProgressReview) ActionLines() []struct{} { return make([]struct{}, 5) }

// ToTalkOver is what a review goes through besides the figures.
func (ProgressReview) ToTalkOver() []string {
	return []string{
		"Actions of the last review: done, or why not",
		"Off-the-job hours: planned and had, from the hours log",
		"What changes: the plan, the planned end, circumstances",
		"Concerns of the apprentice",
		"Concerns of the salon",
		"Concerns of the training provider",
	}
}

// NewProgressReview is the page with its words.
func NewProgressReview(apprenticeURL string) ProgressReview {
	return ProgressReview{ApprenticeURL: apprenticeURL, Action: apprenticeURL + "/review",
		Since: Field{Name: "since", Label: "Since", Hint: "The day of the last review.", Type: "date", Width: "short"}}
}
