package web

// Today is the first page of those who judge or audit: what waits for them. An
// apprentice's is MyDay.
type Today struct {
	Shell
	Greeting string // "Good morning, Rowan"
	Day      string // "Tuesday 3 March 2026"
	Primary  Link   // the one thing to do most; zero shows no button
	Empty    string // shown when no section has anything

	Drafts    []WaitingItem // grooms begun and not signed
	ToConfirm []WaitingItem // sign-offs this person may confirm
	ToPropose []WaitingItem // eligible skills this person may propose
	Holds     []WaitingItem // open holds to look at
	Fading    []WaitingItem // currency due soon or lapsed
	Reviews   []WaitingItem // skills to talk over together, signed or not
	ToSign    []WaitingItem // logbook entries this person is asked to countersign
	Disagrees []WaitingItem // apprentices who disagree with their marks, not answered yet
	Exercises []WaitingItem // results that were passed and that nobody has let stand
	Recent    []GroomLine

	AuditNote string // an auditor's introduction
	AuditRows []Fact // counts an auditor starts from
	Audit     []Link // where an auditor goes from here
}

// Waiting is the number of things in the sections that ask for something.
func (t Today) Waiting() int {
	return len(t.Drafts) + len(t.ToConfirm) + len(t.ToPropose) + len(t.Holds) + len(t.Fading) + len(t.Reviews) + len(t.ToSign) + len(t.Disagrees) + len(t.Exercises)
}

// WaitingItem is one thing that asks for a person.
type WaitingItem struct {
	Title    string // "Throat and face – Jory Pell"
	Detail   string // "Proposed by Rowan Ash, 2 March 2026"
	URL      string
	Action   string   // verb on the link: "Look and decide"
	Standing Standing // empty shows no symbol
	When     string   // "since Monday"
}

// NextStep is one thing that would close a gap.
type NextStep struct {
	Skill    string
	URL      string
	Standing Standing
	Missing  string // "2 more clean observations, one of them on a wire coat"
	Safety   bool
}

// GroomLine is one assessed groom in a list.
type GroomLine struct {
	URL        string
	Day        string
	Dog        string
	Apprentice string
	Assessor   string
	About      string // "Full groom · curly cross · M"
	Result     string // "Meets", "Not yet", "Partial", "Draft"
	Mean       string // "3.86"; empty when there is none
	Flag       string // "Replaced", "Second rating", "Incident S1"; may be empty
}

// Progress is how far an apprentice is, with how it was counted.
type Progress struct {
	Signed, Required       int
	Percent                string // "62.1 %"
	SafetySigned, Safety   int
	Counts                 []StandingCount
	HowComputed            string
	Forecast, ForecastNote string // a range with its assumption; may be empty
	Pace, PaceNote         string // the pace so far against the one that is needed, and what it supposes; may be empty
	End                    string // planned end, "28 February 2026"
	EndMissing             string // said where none is planned; End and EndMissing empty hide the line
	SetEnd                 string // where the planned end is entered; may be empty
}

// StandingCount is how many skills have one standing.
type StandingCount struct {
	Standing Standing
	Count    int
}

// Fact is a named value.
type Fact struct {
	Label, Value, Note string
	URL                string // may be empty
}
