package web

// Programme is the whole standard on one page.
type Programme struct {
	Shell
	Name, Version string
	Digest        string
	About         string
	Totals        string // "10 units, 60 skills, 58 of them required, 37 safety-critical"
	Units         []ProgrammeUnit
	Rules         []ProgrammeRule
	Points        []ProgrammeRule // points rules in plain words
	Rubric        []ProgrammeCriterion
	RubricNote    string // how a groom meets the standard
	Levels        []Term
	Permissions   []Term
	Vocabularies  []Vocabulary
	Severities    []Severity
	IncidentNote  string
	Completion    []string    // what finishing the programme needs
	Blades        *BladeChart // nil when the programme has no table
}

// ProgrammeUnit is a unit with its skills.
type ProgrammeUnit struct {
	ID, Title string
	Skills    []ProgrammeSkill
}

// ProgrammeSkill is a skill as published.
type ProgrammeSkill struct {
	ID, Title string
	URL       string
	Safety    bool
	Optional  bool
	Why       string
	Standard  SkillStandard
}

// ProgrammeRule is a named rule in words.
type ProgrammeRule struct {
	ID, Title string
	Lines     []string
	URL       string // its own page; may be empty
}

// ProgrammeCriterion is a criterion of the rubric with its anchors.
type ProgrammeCriterion struct {
	ID, Title string
	Weight    int
	MustMeet  string
	SkipWhen  string // when it may be left out; empty means never
	Anchors   []string
	Skills    []Link
}

// Term is a short form with what it means.
type Term struct {
	ID, Name, Note string
	Symbol         string
}

// Vocabulary is one list of words.
type Vocabulary struct {
	Title string
	Note  string
	Terms []Term
}

// Severity is one grade of incident with its effects.
type Severity struct {
	ID, Name, Examples  string
	OnObservation       string
	OnPermissionSignOff string
}
