package web

// People is the list of everybody with a login.
type People struct {
	Shell
	People []PersonLine
	Left   []PersonLine // who have left
	Code   *OneTimeCode // shown once, right after a person was added
	CanAdd bool
	Form   PersonForm
}

// PersonLine is one person.
type PersonLine struct {
	Name, Login, Role string
	URL               string // an apprentice's page; may be empty
	State             string // "active", "has no password yet", "left 2 March 2026"
	Since             string
	NewCode           string // where the button for a new one-time code leads; empty hides it
	Change            string // where the person is corrected; empty hides it
}

// Person is the page on which a head groomer corrects what the record says of a
// person, and says that they have left.
type Person struct {
	Shell
	Name    string
	Left    string // "2 March 2026"; empty while here
	Form    PersonForm
	LeaveTo string // where the form for leaving is sent; empty hides it
	LastDay Field
	BackTo  string // where the button to take it back leads; empty hides it
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
	EndDay   Field
}

// Help is the page about how it all works.
type Help struct {
	Shell
	PointsRule string // the default points rule in one line
	Guarantee  string // the error it keeps
	MeetsRule  string // when a groom meets the standard
	Contact    string // whom to ask in this salon; may be empty
}

// NewPerson is the page of a person with its words; the values are the server's.
func NewPerson(url string) Person {
	p := Person{Form: NewPersonForm(), LeaveTo: url + "/left", BackTo: url + "/back",
		LastDay: Field{Name: "last_day", Form: "left", Label: "Last day", Type: "date", Width: "short"}}
	p.Form.Action = url
	return p
}

// NewPersonForm is the form with its words; the roles are the server's.
func NewPersonForm() PersonForm {
	return PersonForm{
		Action:   "/people",
		Name:     Field{Name: "name", Label: "Name", Hint: "As it should stand under a signature.", Autocomplete: "off"},
		Login:    Field{Name: "login", Label: "Login", Hint: "Short, small letters.", Autocomplete: "off", Width: "medium"},
		Role:     Choices{Name: "role", Label: "Role"},
		StartDay: Field{Name: "start_day", Label: "First day", Hint: "For an apprentice: weeks are counted from it.", Type: "date", Width: "short", Optional: true},
		EndDay:   Field{Name: "end_day", Label: "Planned last day of the apprenticeship", Hint: "Forecasts are set against it. It can be moved.", Type: "date", Width: "short", Optional: true},
	}
}
