package web

// Logbook is the list of an apprentice's own entries, or of everybody's.
type Logbook struct {
	Shell
	Lead     string
	Filters  []Filter // by apprentice; empty for an apprentice
	States   []Filter // by what became of it
	Filtered string   // what is shown of all, in words; empty when all are
	AllURL   string   // where the filters are taken away
	Lines    []LogLine
	NewURL   string // empty hides the button
	SignURL  string // entries to countersign; empty hides the link
	More     Link   // zero at the end
}

// LogLine is one entry in a list.
type LogLine struct {
	URL             string
	Day, Dog, About string
	Apprentice      string // empty in an apprentice's own list
	Skills          string
	Outcome         string // "Went as planned, L4"
	State           string // "Own word", "Countersigned by Rowan Ash"
	Late            string // "entered on 24 May 2026"; empty when it was entered in time
}

// LogNew is the quick entry.
type LogNew struct {
	Shell
	Action     string
	ClientID   string
	Day        Field
	Dog        Field
	Coat       Choices
	Size       Field // name "size_kg"
	Skill      Field // carries the error of the choice of skills; name "skill"
	Units      []LogUnit
	Level      Choices
	Outcome    Choices
	Words      Field
	Supervisor Choices
}

// LogUnit is a unit whose skills can be ticked.
type LogUnit struct {
	Title  string
	Open   bool
	Skills []Choice
}

// OptionID is the element id of a skill's tick box.
func (u LogUnit) OptionID(skill string) string { return fieldID("skill." + skill) }

// Chosen is how many skills of the unit are ticked.
func (u LogUnit) Chosen() (n int) {
	for _, s := range u.Skills {
		if s.Checked {
			n++
		}
	}
	return n
}

// LogEntry is one entry with what became of it.
type LogEntry struct {
	Shell
	Apprentice, ApprenticeURL string
	Dog, Day                  string
	Rows                      []Row
	Skills                    []Link
	State                     string
	StateNote                 string // what that means
	Effect                    string // what countersigning does or did
	SignURL                   string // where it is countersigned; empty hides it
	Deny                      *DenyForm
}

// DenyForm says that an entry was not as it was.
type DenyForm struct {
	Action   string
	ClientID string
	Reason   Field
	Password Field
}

// Wrong says whether the form came back with something to put right.
func (f DenyForm) Wrong() bool { return f.Reason.Error+f.Password.Error != "" }

// Countersign is the list of entries that wait for the reader.
type Countersign struct {
	Shell
	Action   string
	ClientID string
	Entry    Field // carries the error of the choice; name "entry"
	Entries  []CountersignEntry
	Password Field
	Insecure bool
}

// CountersignEntry is one of them, to be ticked.
type CountersignEntry struct {
	Key     string
	Checked bool
	Line    LogLine
	Words   string
	Effect  string
}

// OptionID is the element id of the entry's tick box; the first one has the id
// of the question, so that an error links to it.
func (c Countersign) OptionID(i int) string { return optionID("entry", i) }

// NewLogNew is the quick entry with its words; coats, skills, levels and people
// are the server's.
func NewLogNew() LogNew {
	return LogNew{
		Shell:  Shell{Title: "Add to my logbook"},
		Action: "/logbook/new",
		Day:    Field{Name: "day", Label: "Day", Type: "date", Width: "short"},
		Dog:    Field{Name: "dog", Label: "Dog", Hint: "A label, for example its name and the last digits of its card. No owner's name.", Autocomplete: "off", Width: "medium"},
		Coat:   Choices{Name: "coat", Label: "Coat"},
		Size:   Field{Name: "size_kg", Label: "Weight", InputMode: "decimal", Unit: "kg", Width: "short", Optional: true},
		Skill:  Field{Name: "skill", Label: "What you did", Hint: "Open a unit and tick."},
		Level:  Choices{Name: "level", Label: "How far it was your own work"},
		Outcome: Choices{Name: "outcome", Label: "How it went", Choices: []Choice{{Value: "planned", Label: "Went as planned", Hint: "A near miss that hurt nobody is no fault. Tell of it below."},
			{Value: "wrong", Label: "Something went wrong", Hint: "Of one skill. A dog or a person that was hurt: tell an assessor now, not here."}}},
		Words:      Field{Name: "words", Label: "One line about it", Hint: "Needed when something went wrong. It stays in the salon and is left out of every export.", Autocomplete: "off", Optional: true},
		Supervisor: Choices{Name: "supervisor", Label: "Who was there, or checked the dog", Hint: "They are asked to countersign. Until then it is your word."},
	}
}

// NewDenyForm is the form with its words.
func NewDenyForm() *DenyForm {
	return &DenyForm{Reason: Field{Name: "reason", Label: "What was different", Hint: "The apprentice reads it.", Rows: 2}, Password: SigningPassword()}
}

// NewCountersign is the page with its words.
func NewCountersign() Countersign {
	return Countersign{Shell: Shell{Title: "Countersign logbook entries"}, Action: "/logbook/countersign",
		Entry: Field{Name: "entry"}, Password: SigningPassword()}
}
