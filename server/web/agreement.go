package web

import "html/template"

// Agreement is how far the assessors agree.
type Agreement struct {
	Shell
	Note   string // what a range is
	Meant  string // what "clean" means here
	Wanted []DoubleLine
	Whose  []Link // apprentices whose grooms are worth doubling next
	How    string // how many are wanted
	Pairs  []AgreementPair
	Group  []AgreementFigure // all assessors together
	Empty  string
	NewURL string // where a second rating begins; empty hides it
}

// DoubleLine is one pair of assessors and how many grooms they have both rated.
type DoubleLine struct {
	A, B       string
	Have, Want int
}

// AgreementPair is one pair of assessors.
type AgreementPair struct {
	ID, A, B string
	Grooms   int
	Chart    template.HTML // shares with their ranges; may be empty
	Figures  []AgreementFigure
	Criteria []AgreementCriterion
}

// AgreementFigure is one figure in a sentence, shown or not yet.
type AgreementFigure struct {
	Title, Known string
	Shown        bool
	Sentence     string
}

// AgreementCriterion is one criterion, as counts.
type AgreementCriterion struct {
	Title string
	Same  string // "8 of 10"
	Clean string
}
