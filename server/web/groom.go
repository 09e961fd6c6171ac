package web

// Grooms is the list of assessed grooms.
type Grooms struct {
	Shell
	Filters  []Filter // by apprentice
	Filtered string   // whose grooms these are; empty when all are shown
	Drafts   []GroomLine
	Lines    []GroomLine
	NewURL   string // empty hides the button
	More     Link   // older grooms; zero at the end
}

// GroomNew begins a groom: who and which dog. The rest comes on the draft.
type GroomNew struct {
	Shell
	Action     string
	ClientID   string
	Apprentice Choices
	Day        Field
	Dog        Field
	Service    Choices
	Seconds    []SecondStart // grooms the reader may rate a second time
}

// GroomDraft is the form a groom is marked on. Nothing in it is signed; it can
// be saved any number of times.
//
// The form is sent with action=save, read_back or add_incident by its buttons
// and with action=autosave by a script, which expects the new base version and
// the running result as JSON, 401 or 403 when the author is not signed in, 409
// when another window saved first, and 404 or 410 with a sentence when the draft
// was discarded or signed there. The script adds save_id and save_try, by which
// a save is known again whose answer was lost.
type GroomDraft struct {
	Shell
	DraftKey    string
	SavedAs     string // save_id of the save that made this version; empty when a button did
	Heading     string // "Biscuit, groomed by Jory Pell"
	Action      string // where the form is sent, by buttons and autosave
	ReadBack    string
	ClientID    string
	BaseVersion string // guards against two people saving over each other
	Corrects    string // which signed groom this corrects, and why; may be empty
	SavedAt     string // "Saved 14:02"; empty before the first save
	SoFar       SoFar

	Apprentice  Choices
	Day         Field
	Start       Field
	Stop        Field
	Dog         Field
	Coat        Choices
	Size        Field // name "size_kg"
	Matting     Choices
	Temperament Choices
	Service     Choices
	Style       Choices
	Stopped     Check

	Asked      Field
	CoatAllows Field
	Agreed     Field
	AgreedWhy  Field
	LeaveAlone Field
	Weeks      Field // name "weeks_until_next"

	Prep     Choices  // name "prep", several answers
	CombNote Field    // name "comb_note"
	Cut      *CutPlan // as it is saved; nil where the programme has no table of blades

	Breaks   Field // minutes
	Clock    DraftClock
	Criteria []DraftCriterion
	Stages   []DraftStage // the same criteria, in the order of the groom
	Phrases  []PhraseSet

	Incidents   []DraftIncident
	MoreAllowed bool // a further incident row may be added

	Help   Choices // name "help"
	Share  Field   // name "share"
	Keep   Field
	Change Field
	Next   Field

	Global Choices // name "global"; no choices hides it

	Photos PhotoStrip
}

// DraftStage is a part of the groom on the form, with what is seen in it.
type DraftStage struct {
	ID, Title string
	CheckIn   bool // the first: the dog and the brief stand here
	CombTest  bool
	HandBack  bool // the last: incidents and feedback stand here
	Criteria  []*DraftCriterion
}

// Anchor is the id of the stage's place on the page.
func (s DraftStage) Anchor() string { return "stage-" + s.ID }

// DraftClock is how the clock of the groom stands. A script does what its
// buttons do without sending the form.
type DraftClock struct {
	Words      string
	BreakSince string // time of day; kept in the form as "break_since"
	Buttons    []ClockButton
}

// ClockButton is one button of the clock.
type ClockButton struct {
	Action string // value of "action"
	Does   string // what a script knows it by
	Label  string
	Hidden bool // makes no sense now
}

// PhraseSet are the quick phrases of one field.
type PhraseSet struct {
	Field   string
	Phrases []string
}

// PhrasesOf are the quick phrases of a field of the form.
func (d GroomDraft) PhrasesOf(field Field) PhraseSet {
	for _, s := range d.Phrases {
		if s.Field == field.Name {
			return s
		}
	}
	return PhraseSet{}
}

// NextIncident is the id of the row for something that has just happened: the
// first with nothing in it, or the whole part when all are taken.
func (d GroomDraft) NextIncident() string {
	for _, in := range d.Incidents {
		if !in.Open {
			return "incident-" + itoa(in.Index)
		}
	}
	return "incidents"
}

// SoFar is the running result, computed when the draft was last saved, each
// part as the bar shows it. An autosave is answered with it.
type SoFar struct {
	Marked  string `json:"marked"`  // "9 of 13"
	Mean    string `json:"mean"`    // "mean 3.86"; empty before anything is marked
	Outlook string `json:"outlook"` // "Incomplete", "Meets", "Not yet"; may be empty
	Weight  string `json:"weight"`  // "weight 74 of 100"
	Why     string `json:"why"`     // the first reason in words; may be empty
}

// DraftCriterion is one criterion of the rubric on the form.
type DraftCriterion struct {
	ID        string // "R3"
	Stage     string
	Title     string
	Weight    int
	MustMeet  string // "must meet, L4 or more"; empty when it is not a must-meet
	Cautions  []Caution
	Levels    []LevelChoice
	CanSkip   bool   // not applicable is allowed
	SkipWhen  string // the condition, "dry groom only"
	Skipped   bool
	SkipWhy   Field // name "na_reason.R3"
	Skills    []DraftSkill
	SkillOpen bool // a skill under it was marked differently
	Error     string
}

// Caution is the usual warning shown beside the marking of a skill.
type Caution struct {
	Skill, Text string
}

// LevelChoice is one level with the words that anchor it.
type LevelChoice struct {
	Value   string // "1" to "5"
	Anchor  string
	Checked bool
}

// DraftSkill is a skill under a criterion that can be marked differently.
type DraftSkill struct {
	ID, Title string
	Value     string // "" follows its criterion, "1" to "5", "unseen"
	IfSeen    bool   // only counts when it is given a level here
	Safety    bool
}

// DraftIncident is one row of the incident part of the form.
type DraftIncident struct {
	Index       int
	Open        bool   // the row has something in it, or something is told about it
	Drop        string // action that takes the row out
	Kind        Choices
	Severity    Choices
	Attribution Choices
	Skill       Choices
	Reported    Check
	Note        Field
}

func (c *DraftCriterion) fail(m string) string { c.Error = m; return c.Name() }

// Name is the form name of the criterion's level.
func (c DraftCriterion) Name() string { return "level." + c.ID }

// FieldID is the element id of the first level.
func (c DraftCriterion) FieldID() string { return fieldID(c.Name()) }

// OptionID is the element id of the level at this position.
func (c DraftCriterion) OptionID(i int) string { return optionID(c.Name(), i) }

// WordsID is the element id of the words of the level at this position.
func (c DraftCriterion) WordsID(i int) string { return c.FieldID() + "-w" + itoa(i+1) }

// Anchor is the id of the criterion's place on the page.
func (c DraftCriterion) Anchor() string { return "c-" + c.ID }

// Name is the form name of the skill's own level.
func (s DraftSkill) Name() string { return "skill." + s.ID }

// Options are the answers for one skill in the order they are shown.
func (s DraftSkill) Options() []Choice {
	first := Choice{Value: "", Label: "as above"}
	if s.IfSeen {
		first.Label = "not seen"
	}
	out := []Choice{first}
	for i := 1; i <= 5; i++ {
		out = append(out, Choice{Value: itoa(i), Label: "L" + itoa(i)})
	}
	if !s.IfSeen {
		out = append(out, Choice{Value: "unseen", Label: "not seen"})
	}
	for i := range out {
		out[i].Checked = out[i].Value == s.Value
	}
	return out
}

// OptionID is the element id of the answer at this position.
func (s DraftSkill) OptionID(i int) string { return optionID(s.Name(), i) }

// Number is the row number a person reads, from 1.
func (d DraftIncident) Number() int { return d.Index + 1 }

// Row is a key and a value on a read-back page, with where to change it.
type Row struct {
	Key, Value string
	ChangeURL  string // empty shows no link
}

// GroomReadBack is exactly what is about to be signed.
type GroomReadBack struct {
	Shell
	Apprentice, Dog string
	About           []Row
	Brief           []Row
	Prep            []Row
	Cut             *CutPlan // nil when there is none
	Feedback        []Row
	Criteria        []CriterionResult
	Incidents       []IncidentLine
	Result          Result
	Holds           []string // what signing puts on hold, why and until when
	Moved, Same     []Effect // what signing changes, and the skills that stay as they are
	Photos          PhotoStrip
	Rubric          string // title and version
	Signer          string // "Rowan Ash, assessor"
	Corrects        string

	EditURL     string
	Action      string
	ContentHash string
	Fingerprint string // first characters of the hash, for people
	ClientID    string
	Password    Field
	Blocked     string // why it cannot be signed yet; empty shows the form
	Insecure    bool   // the connection is not encrypted, and that is recorded
}

// Result is the computed result of a groom.
type Result struct {
	Word    string // "Meets", "Not yet", "Incomplete", "Partial"
	Mean    string
	Percent string
	Weight  string // "100 of 100"
	Reasons []Reason
}

// Reason is one condition of the result.
type Reason struct {
	Text string
	Met  bool
}

// CriterionResult is one criterion as given and as it counts.
type CriterionResult struct {
	ID, Title string
	Weight    int
	MustMeet  string
	Given     string // "L4", "not applicable", "not marked"
	Effective string // "L3"
	Own       string // the apprentice's own level; may be empty
	Reason    string // why the two differ, or why it is not applicable
	Skills    []string
	ChangeURL string
	Short     bool // falls below its must-meet or below the least level
}

// IncidentLine is one incident.
type IncidentLine struct {
	Kind, Severity, Attribution, Skill, Note string
	Reported                                 bool
	Effect                                   string
	ChangeURL                                string
}

// Effect is what a groom does to one skill: what signing would change, or what
// became of it and where the skill stands now.
type Effect struct {
	Skill         string
	URL           string
	Outcome       string // "clean", "not clean, −10, 2 points after it"
	Level         string // the level given; empty before signing
	Before, After string // points or counts in words; Before is empty once it is signed
	StandingFrom  Standing
	StandingTo    Standing
	Note          string
}

// Changed says whether the standing itself moves.
func (e Effect) Changed() bool { return e.StandingFrom != e.StandingTo }

// Groom is a signed groom: the receipt and the lasting record.
type Groom struct {
	Shell
	Apprentice    string
	ApprenticeURL string
	Dog           string
	Day           string
	SignedBy      string // "Signed by Rowan Ash, assessor, 7 March 2026 14:02 (UTC+0)"
	EnteredAt     string // late entry or time claimed by the device; may be empty
	Fingerprint   string
	Rubric        string
	Insecure      bool
	Superseded    *Version // a newer version replaces this one
	Supersedes    *Version // this one replaces an older one
	SecondOf      *Version // this is a second rating of that groom

	About     []Row
	Brief     []Row
	Prep      []Row
	Cut       *CutPlan // nil when there is none
	Feedback  []Row
	Criteria  []CriterionResult
	Incidents []IncidentLine
	Result    Result
	Photos    PhotoStrip
	Moved     []Effect   // skills the groom showed, where it did something
	Same      []Effect   // the others it showed
	LeftOut   string     // what the standings do not hold yet; may be empty
	Next      []string   // what happens next
	Correct   string     // address of the correction page; empty hides it
	NewURL    string     // mark another; empty hides it
	Said      *SaidPanel // what its apprentice says to it; nil hides it
}

// Version points at another version of the same thing.
type Version struct {
	URL, When, By, Reason string
}

// GroomCorrect asks for the reason of a correction before a new draft opens.
type GroomCorrect struct {
	Shell
	Apprentice, Dog, Day string
	SignedBy             string
	Action               string
	ClientID             string
	Reason               Field
	CancelURL            string
}

// NewGroomNew is the first step with its words; the choices are the server's.
func NewGroomNew() GroomNew {
	d := NewGroomDraft()
	return GroomNew{
		Shell: Shell{Title: "Mark a groom"}, Action: "/grooms/new",
		Apprentice: d.Apprentice, Day: d.Day, Dog: d.Dog, Service: d.Service,
	}
}

// NewGroomDraft is the form with its words. The server adds the choices, the
// criteria, the values and the incident rows.
func NewGroomDraft() GroomDraft {
	return GroomDraft{
		Apprentice:  Choices{Name: "apprentice", Label: "Apprentice"},
		Day:         Field{Name: "day", Label: "Day", Type: "date", Width: "short"},
		Start:       Field{Name: "start", Label: "Started", Type: "time", Width: "short", Optional: true},
		Stop:        Field{Name: "stop", Label: "Finished", Type: "time", Width: "short", Optional: true},
		Breaks:      Field{Name: "breaks", Label: "Breaks", InputMode: "numeric", Unit: "min", Width: "short", Optional: true},
		Dog:         Field{Name: "dog", Label: "Dog", Hint: "The name on the card. No owner names.", Autocomplete: "off"},
		Coat:        Choices{Name: "coat", Label: "Coat"},
		Size:        Field{Name: "size_kg", Label: "Weight", Hint: "At check-in.", InputMode: "decimal", Unit: "kg", Width: "short"},
		Matting:     Choices{Name: "matting", Label: "Matting", Hint: "The worst place decides."},
		Temperament: Choices{Name: "temperament", Label: "Temperament on the table"},
		Service:     Choices{Name: "service", Label: "Service"},
		Style:       Choices{Name: "style", Label: "Style", Optional: true},
		Stopped:     Check{Name: "stopped", Label: "The groom was stopped early", Hint: "Stopping for the dog is never a fault."},

		Asked:      Field{Name: "asked", Label: "What the owner asked for", Hint: "Style, lengths, areas, in the owner's words.", Rows: 2},
		CoatAllows: Field{Name: "coat_allows", Label: "What the coat allows", Rows: 2, Optional: true},
		Agreed:     Field{Name: "agreed", Label: "What was agreed instead", Hint: "Leave empty when it is what was asked.", Rows: 2, Optional: true},
		AgreedWhy:  Field{Name: "agreed_why", Label: "Why", Rows: 2, Optional: true},
		LeaveAlone: Field{Name: "leave_alone", Label: "Leave alone, and why", Hint: "Sore, irritated, too old for it, not wanted.", Rows: 2, Optional: true},
		Weeks:      Field{Name: "weeks_until_next", Label: "Weeks until the next visit", Hint: "The groom has to last that long.", InputMode: "numeric", Unit: "weeks", Width: "short", Optional: true},

		Prep: Choices{Name: "prep", Label: "Where did the comb pass, root to tip, before the clipper came out?", Hint: "Tick all that you saw."},

		CombNote: Field{Name: "comb_note", Label: "Where it did not pass, what was found", Rows: 2, Optional: true},

		Help:   Choices{Name: "help", Label: "Help actually given"},
		Share:  Field{Name: "share", Label: "Share done by the apprentice", Hint: "Roughly.", InputMode: "numeric", Unit: "percent", Width: "short"},
		Keep:   Field{Name: "keep", Label: "Keep", Hint: "What went well and should stay.", Rows: 2},
		Change: Field{Name: "change", Label: "Do differently", Hint: "One thing, as something to do.", Rows: 2},
		Next:   Field{Name: "next", Label: "Practise next", Rows: 2, Optional: true},
		Global: Choices{Name: "global", Label: "Overall impression", Hint: "Before you look at the sum.", Optional: true},
	}
}

// NewDraftIncident is row i of the incidents, from 0, with its words.
func NewDraftIncident(i int) DraftIncident {
	p := "incident." + itoa(i) + "."
	return DraftIncident{
		Index:       i,
		Kind:        Choices{Name: p + "kind", Label: "What happened"},
		Severity:    Choices{Name: p + "severity", Label: "How bad"},
		Attribution: Choices{Name: p + "attribution", Label: "Put down to"},
		Skill:       Choices{Name: p + "skill", Label: "Under which skill"},
		Reported:    Check{Name: p + "reported", Label: "The apprentice reported it"},
		Note:        Field{Name: p + "note", Label: "What was done about it", Hint: "Facts. This stays in the salon and is left out of every export.", Rows: 2, Optional: true},
	}
}

// SkipReason is the field beside "Not applicable" of a criterion.
func SkipReason(criterion string) Field {
	return Field{Name: "na_reason." + criterion, Label: "Why not applicable"}
}

// NewGroomCorrect is the correction page with its words.
func NewGroomCorrect() GroomCorrect {
	return GroomCorrect{
		Shell:  Shell{Title: "Correct this groom"},
		Reason: Field{Name: "reason", Label: "What is wrong with it?", Hint: "Both versions will show this."},
	}
}

// SigningPassword is the field at the end of the read-back page.
func SigningPassword() Field {
	return Password("Your password", "Signing asks for it again, so that nobody signs by accident or on a tablet left open.")
}
