package web

// Apprentice is one apprentice's whole record on one page.
type Apprentice struct {
	Shell
	Name       string
	Started    string // "2 March 2025"
	WeeksIn    string // "week 52 of 78"
	Programme  string // name and version
	Progress   Progress
	Completion []Requirement // what finishing the programme needs
	Next       []NextStep    // the three steps that come next
	Units      []UnitSkills
	Recent     []GroomLine
	AllGrooms  string // address of the full list
	Holds      []HoldLine
	Incidents  []IncidentCount
	MarkURL    string            // "Mark a groom" for this apprentice; empty hides the button
	ExportURL  string            // the apprentice's own copy; empty hides it
	TimeURL    string            // progress over time
	LogURL     string            // the logbook
	ReviewURL  string            // the sheet for a review of progress
	LeftOut    string            // what the figures do not hold yet; may be empty
	Own        []AgreementFigure // own levels against the assessors'; empty hides them
}

// UnitSkills is one unit with its skills.
type UnitSkills struct {
	ID, Title string
	Signed    int
	Required  int
	Skills    []SkillLine
}

// SkillLine is one skill of one apprentice in a list.
type SkillLine struct {
	ID, Title  string
	URL        string
	Standing   Standing
	Permission string // "P3"; empty when none was set
	Missing    string // one line on what is missing; empty when nothing is
	Safety     bool
	Optional   bool // not needed for completion
}

// HoldLine is an open hold.
type HoldLine struct {
	What   string // the skill or unit
	URL    string
	Reason string
	Since  string
}

// IncidentCount is how often one severity happened.
type IncidentCount struct {
	Severity string // "S1"
	Words    string // "minor, first aid at most"
	Count    int
	Note     string // "2 reported by the apprentice"
}
