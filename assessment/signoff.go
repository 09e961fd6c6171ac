package assessment

// Role is what a person may do in the salon's record.
type Role string

const (
	HeadGroomer Role = "head_groomer"
	Assessor    Role = "assessor"
	Apprentice  Role = "apprentice"
	Auditor     Role = "auditor"
)

// Roles lists every role.
var Roles = []Role{HeadGroomer, Assessor, Apprentice, Auditor}

// Judges reports whether the role may assess, propose and confirm.
func (r Role) Judges() bool { return r == HeadGroomer || r == Assessor }

// Words returns the role as shown to people.
func (r Role) Words() string {
	switch r {
	case HeadGroomer:
		return "Head groomer"
	case Assessor:
		return "Assessor"
	case Apprentice:
		return "Apprentice"
	case Auditor:
		return "Auditor"
	}
	return string(r)
}

// Decision is where a proposed sign-off stands.
type Decision uint8

const (
	Awaiting Decision = iota
	Confirmed
	Declined
)

// String returns the word shown to people.
func (d Decision) String() string {
	return [...]string{"Awaiting confirmation", "Confirmed", "Declined"}[d]
}

// SignOff is the decision that a skill's evidence is complete. It is proposed
// by one person and decided by another, and never edited.
type SignOff struct {
	Key        string
	Apprentice string
	Skill      string
	ProposedBy string
	Proposed   Day
	Statement  string // what the proposer states
	Programme  string // id
	Version    int
	Decision   Decision
	DecidedBy  string
	Decided    Day    // zero while it waits
	Reason     string // why it was decided so
	Weakened   Day    // newest day on which a groom it rested on was corrected downwards; zero when none was
}

// waitsOn reports whether the sign-off was proposed and undecided on a day.
func (so *SignOff) waitsOn(day Day) bool {
	return so.Proposed <= day && (so.Decision == Awaiting || so.Decided > day)
}

// RefuseProposal returns why this person may not propose the sign-off now, or
// nothing.
func RefuseProposal(s *Standing, person string, role Role, apprentice string) string {
	switch {
	case person == apprentice:
		return "Nobody signs off their own skill."
	case !role.Judges():
		return "Only a head groomer or an assessor may propose a sign-off."
	case s.Awaiting != nil:
		return "A sign-off of this skill already waits for confirmation."
	case s.State == Signed:
		return "This skill is signed already."
	case s.State == OnHold:
		return "This skill is on hold. The hold has to be released first."
	case s.State != Eligible:
		return "The evidence is not complete yet. " + s.NextStep()
	}
	return ""
}

// RefuseDecision returns why this person may not confirm or decline the
// sign-off, or nothing. standing is the one of today: a skill that is no longer
// eligible can be declined, but not confirmed. Whether a reason is given is asked
// where it is entered.
func RefuseDecision(so *SignOff, s *Standing, person string, role Role, confirm bool) string {
	switch {
	case so.Decision != Awaiting:
		return "This sign-off has been decided already."
	case person == so.Apprentice:
		return "Nobody confirms their own sign-off."
	case person == so.ProposedBy:
		return "You proposed this sign-off. A different person confirms it."
	case !role.Judges():
		return "Only a head groomer or an assessor may confirm a sign-off."
	case confirm && s.State != Eligible:
		return "Since it was proposed the skill has stopped being eligible (it is now " + s.State.String() + "). It can be declined, with the reason."
	}
	return ""
}
