package web

import "html/template"

// ApprenticeSkill is one skill of one apprentice: the standing, why, what is
// missing and everything that was counted or left out.
type ApprenticeSkill struct {
	Shell
	Apprentice    string
	ApprenticeURL string
	SkillID       string
	Skill         string
	SkillURL      string
	Unit          string
	Safety        bool
	Optional      bool
	Standing      Standing
	Explanation   string // one sentence: why this standing
	Cautions      []string
	Requirements  []Requirement
	Points        *PointsPath // nil when the skill has no points rule
	StandsAnyway  string      // why an open requirement does not touch the sign-off; may be empty
	Counted       []ObservationLine
	Costing       []ObservationLine // not clean, and cost points
	Excluded      []ObservationLine // left out, with the reason
	NextCounted   string            // what will be the first to count
	Permission    PermissionPanel
	SignOffs      []SignOffLine
	Holds         []HoldPanel
	Repeated      string        // incidents that came back; may be empty
	ProposeURL    string        // empty hides the button
	ProposeNote   string        // why there is no button, when that needs saying
	Check         *CheckPanel   // form for a rehearsal or knowledge check; nil hides it
	Exercises     Link          // questions that belong to the skill; zero when there are none
	Watch         string        // what has been seen since sign-off; empty while it does not stand
	Levels        template.HTML // picture of the levels over time; empty when none was seen on a dog
	Review        *ReviewPanel  // what is to be talked over, and what was; nil when nothing
	LeftOut       string        // what the figures do not hold yet; may be empty
	SelfNote      string        // "Self-ratings and logbook entries are shown and never counted."
}

// Requirement is one line of an evidence rule.
type Requirement struct {
	What  string // "Different coat classes"
	Need  string // "3"
	Have  string // "2 (wool, silky)"
	Close string // what would close it; empty when met
	Met   bool
	State string // where neither "met" nor "still open" is the word
}

// OpenHolds are the holds that still stand.
func (p ApprenticeSkill) OpenHolds() []HoldPanel { return holdsThatAre(p.Holds, true) }

// ReleasedHolds are the holds that were ended.
func (p ApprenticeSkill) ReleasedHolds() []HoldPanel { return holdsThatAre(p.Holds, false) }

func holdsThatAre(holds []HoldPanel, open bool) []HoldPanel {
	var out []HoldPanel
	for _, h := range holds {
		if h.Open == open {
			out = append(out, h)
		}
	}
	return out
}

// Wrong says whether the release form came back with something to put right.
func (h HoldPanel) Wrong() bool { return h.Met.Error+h.Note.Error+h.Password.Error != "" }

// PointsPath is the points rule with this apprentice's path so far.
type PointsPath struct {
	Rule       string   // the rule in one line
	Guarantee  string   // the error it keeps, in one line
	Forecast   []string // what may still be needed, with what it supposes, or why that is not told; empty when nothing is
	Now        string   // "9 points after 14 observations"
	Seen       string   // faults of observations with an upper bound; may be empty
	Chart      template.HTML
	Rows       []PointsRow
	Picture    template.HTML // of 100 apprentices
	PictureSay string        // the same in words
	Strata     string        // who and what the observations cover; may be empty
}

// PointsRow is one step of the path, for the table under the chart.
type PointsRow struct {
	N          int
	Day        string
	Dog        string
	Outcome    string // "clean", "not clean"
	Change     string // "+1", "−10"
	Points     int
	Note       string // "debt stopped at −10"
	URL        string
	Assessor   string
	Supervised string // level seen: "L4"
}

// ObservationLine is one observation, counted or not.
type ObservationLine struct {
	Day, Dog, About string
	Level           string // "L4"
	Assessor        string
	URL             string
	Outcome         string // "clean", "not clean", or empty
	Points          string // "+1", "−10"; empty where it moves none
	Reason          string // why it is left out; empty for a counted one
}

// PermissionPanel is what a person trusts the apprentice with next.
type PermissionPanel struct {
	Now       string // "P3"; empty when none was set
	Means     string // "assessor at the next table, checks before the dog moves on"
	Since     string // "since 12 May 2026", or what limits it and what was set
	Set       string // what a person set; "P5" although P3 holds now
	History   []PermissionLine
	CanSet    bool
	Action    string // where the form is sent
	ClientID  string
	Level     Choices // name "level", values 1 to 5
	Reason    Field   // name "reason"
	LimitNote string  // the highest the evidence supports, and why
}

// PermissionLine is one change of permission.
type PermissionLine struct {
	Day, From, To, By, Reason string
}

// SignOffLine is one step in the sign-off history of a skill.
type SignOffLine struct {
	Day, What, By, Note string
	URL                 string
}

// HoldPanel is a hold on the skill, open or released.
type HoldPanel struct {
	ID        string // used for the anchor "hold-ID"
	Open      bool
	Reason    string
	Since     string
	By        string
	Condition string // what releases it
	Shown     string // what has been seen towards the condition
	Released  string // who, when and why; empty while open

	CanRelease bool
	WhyNot     string // why this person may not release it
	Action     string
	ClientID   string
	Met        Choices // name "condition", values met, not_shown
	Note       Field   // name "reason"
	Password   Field
}

// Skill is one skill across all apprentices, with the standard itself.
type Skill struct {
	Shell
	ID, Name string
	Unit     string
	Safety   bool
	Optional bool
	Why      string // why it is safety-critical; may be empty
	Standard SkillStandard
	People   []SkillPerson
	Counts   []StandingCount
	Policy   *PolicyPanel // only for a disputed skill
}

// SkillStandard is the published text of a skill.
type SkillStandard struct {
	Criteria []string
	Cautions []string
	Needs    []Link // skills to have first
	Kit      string
	Evidence string // the evidence rule in plain words
	Points   string // the points rule in plain words; may be empty
	Seen     string // which rubric criteria show it; may be empty
	Choice   string // where more than one way is right; may be empty
}

// SkillPerson is one apprentice's standing in a skill.
type SkillPerson struct {
	Name       string
	URL        string // that apprentice's page for this skill
	Standing   Standing
	Permission string
	Missing    string
	Last       string // newest counting observation
}

// LevelChoices are permissions P1 to P5 as large buttons.
func LevelChoices(chosen string) Choices {
	words := []string{
		"watches and helps only",
		"with the assessor's hands free at the same table",
		"assessor at the next table, who checks before the dog moves on",
		"assessor in the room, who checks at the end",
		"works alone and may show others",
	}
	c := Choices{Name: "level", Label: "Permission from now on"}
	for i, w := range words {
		v := itoa(i + 1)
		c.Choices = append(c.Choices, Choice{Value: v, Label: "P" + v, Hint: w, Checked: v == chosen})
	}
	return c
}

// NewPermissionPanel is the panel with its form in words; the server fills in
// the rest.
func NewPermissionPanel(chosen string) PermissionPanel {
	p := PermissionPanel{
		Level:  LevelChoices(chosen),
		Reason: Field{Form: "permission", Name: "reason", Label: "Why", Hint: "One sentence the apprentice will read.", Rows: 2},
	}
	p.Level.Form = "permission"
	return p
}

// NewHoldPanel is the panel of a hold with its form in words.
func NewHoldPanel(id string) HoldPanel {
	form := "hold-" + id
	h := HoldPanel{
		ID: id,
		Met: Choices{Form: form, Name: "condition", Label: "Has the condition been shown?", Choices: []Choice{
			{Value: "met", Label: "Yes", Hint: "I saw it, or was told by who did."},
			{Value: "not_shown", Label: "Not yet", Hint: "The hold stays."},
		}},
		Note:     Field{Form: form, Name: "reason", Label: "Reason", Hint: "What you saw, in a sentence or two. The apprentice reads it."},
		Password: Password("Your password", "You sign the release with it."),
	}
	h.Password.Form = form
	return h
}
