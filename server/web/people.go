package web

// People is the list of everybody with a login.
type People struct {
	Shell
	People []PersonLine
	Code   *OneTimeCode // shown once, right after a person was added
	CanAdd bool
	Form   PersonForm
}

// PersonLine is one person.
type PersonLine struct {
	Name, Login, Role string
	URL               string // an apprentice's page; may be empty
	State             string // "active", "has not signed in yet", "left 2 March 2026"
	Since             string
	NewCode           string // where the button for a new one-time code leads; empty hides it
}

// OneTimeCode is what a new person needs to set a password.
type OneTimeCode struct {
	Name, Login, Code string
	Where             string // full address of the welcome page
	Until             string
}

// PersonForm adds a person.
type PersonForm struct {
	Action   string
	ClientID string
	Name     Field
	Login    Field
	Role     Choices
	StartDay Field
}

// Help is the page about how it all works.
type Help struct {
	Shell
	PointsRule string // the default points rule in one line
	Guarantee  string // the error it keeps
	MeetsRule  string // when a groom meets the standard
	Contact    string // whom to ask in this salon; may be empty
}

// NewPersonForm is the form with its words; the roles are the server's.
func NewPersonForm() PersonForm {
	return PersonForm{
		Action:   "/people",
		Name:     Field{Name: "name", Label: "Name", Hint: "As it should stand under a signature.", Autocomplete: "off"},
		Login:    Field{Name: "login", Label: "Login", Hint: "Short, small letters.", Autocomplete: "off", Width: "medium"},
		Role:     Choices{Name: "role", Label: "Role"},
		StartDay: Field{Name: "start_day", Label: "First day", Hint: "For an apprentice: weeks are counted from it.", Type: "date", Width: "short", Optional: true},
	}
}
