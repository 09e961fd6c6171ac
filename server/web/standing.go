package web

// Standing is the computed state of one skill of one apprentice, as shown: a
// word, a letter, a shape and a shade that always go together.
type Standing string

// The six standings, in the order they are always listed.
const (
	NotStarted Standing = "not-started"
	Practising Standing = "practising"
	Eligible   Standing = "eligible"
	Signed     Standing = "signed"
	OnHold     Standing = "on-hold"
	Lapsed     Standing = "lapsed"
)

// Standings lists all standings in the order of a legend.
var Standings = []Standing{NotStarted, Practising, Eligible, Signed, OnHold, Lapsed}

var standingWords = map[Standing]struct{ word, letter, meaning string }{
	NotStarted: {"Not started", "–", "Nothing has been seen yet."},
	Practising: {"Practising", "P", "Seen, and not yet enough to propose."},
	Eligible:   {"Eligible", "E", "The evidence is there; nobody has signed yet."},
	Signed:     {"Signed", "S", "Proposed by one person and confirmed by another."},
	OnHold:     {"On hold", "H", "Paused for a stated reason; the evidence is kept."},
	Lapsed:     {"Lapsed", "L", "Was signed, and is too long ago to rely on."},
}

// Known says whether s is one of the six standings.
func (s Standing) Known() bool { _, ok := standingWords[s]; return ok }

// Word is the standing in words, "On hold".
func (s Standing) Word() string { return standingWords[s].word }

// Letter is the short form used in a crowded table.
func (s Standing) Letter() string { return standingWords[s].letter }

// Meaning explains the standing in one sentence.
func (s Standing) Meaning() string { return standingWords[s].meaning }

// Class is the class that carries the shade.
func (s Standing) Class() string { return "st-" + string(s) }

// Symbol is the id of the drawing in the symbol sheet.
func (s Standing) Symbol() string { return "st-" + string(s) }
