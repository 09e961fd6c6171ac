package web

// SignIn asks who is there.
type SignIn struct {
	Shell
	Action   string
	Login    Field
	Password Field
	Tablet   string  // name of the shared tablet; empty on other machines
	People   Choices // who has a PIN, on a shared tablet; none hides the form
	PINTo    string  // where the form with the PIN is sent
	PIN      Field
	Next     string // where to go afterwards, checked by the server
	Insecure bool   // the connection is not encrypted
	Demo     []DemoLogin
	Waited   string // "For safety, wait 30 seconds before the next try."; may be empty
	Unsaved  []Term // what was typed into a form whose session was over
}

// Account lets a person change their own password and PIN.
type Account struct {
	Shell
	Action           string
	Old, New         Field
	HasPIN           bool
	PINTo, RemovePIN string // where the PIN is set, and where it is taken away
	PIN, Password    Field
	Insecure         bool
}

// DemoLogin is a login of the invented salon, shown so that it can be tried.
type DemoLogin struct {
	Name, Role, Login, Password string
}

// SetUp makes the salon and its first person.
type SetUp struct {
	Shell
	Action   string
	Code     Field
	SalonF   Field   // name "salon"
	Zone     Choices // name "zone"
	Name     Field
	Login    Field
	Password Field
	Insecure bool
}

// Welcome lets a new person choose a password with a one-time code.
type Welcome struct {
	Shell
	Action   string
	Login    Field
	Code     Field
	Password Field
	Insecure bool
}

// NewSignIn is the sign-in page with its words.
func NewSignIn() SignIn {
	return SignIn{
		Shell:    Shell{Title: "Sign in"},
		Action:   "/sign-in",
		Login:    Field{Name: "login", Label: "Login", Autocomplete: "username", Width: "medium"},
		Password: Password("Password", ""),
		People:   Choices{Name: "person", Label: "Your name"},
		PINTo:    "/sign-in/pin",
		PIN:      OwnPIN("Your PIN"),
	}
}

// NewSetUp is the first-run page with its words; the zones are the server's.
func NewSetUp() SetUp {
	return SetUp{
		Shell:  Shell{Title: "Set up your salon"},
		Action: "/set-up",
		Code:   Field{Name: "code", Label: "Set-up code", Hint: "It was printed where Tablehand was started.", Autocomplete: "off", Width: "medium"},
		SalonF: Field{Name: "salon", Label: "Name of the salon", Autocomplete: "organization"},
		Zone:   Choices{Name: "zone", Label: "Time zone", Hint: "Days and times are shown in it."},
		Name:   Field{Name: "name", Label: "Your name", Hint: "As it should stand under a signature.", Autocomplete: "name"},
		Login:  Field{Name: "login", Label: "Login", Hint: "Short, small letters; you type it at the table.", Autocomplete: "username", Width: "medium"},
		Password: Field{Name: "password", Label: "Password", Type: "password", Autocomplete: "new-password", Width: "medium",
			Hint: "Twelve characters or more. Three or four words in a row are easy to type and hard to guess."},
	}
}

// NewAccount is the page of one's own account with its words.
func NewAccount() Account {
	return Account{
		Shell:  Shell{Title: "Your account"},
		Action: "/account",
		Old:    Field{Name: "old_password", Label: "Password until now", Type: "password", Autocomplete: "current-password", Width: "medium"},
		New: Field{Name: "new_password", Label: "New password", Type: "password", Autocomplete: "new-password", Width: "medium",
			Hint: "Twelve characters or more. Three or four words in a row are easy to type and hard to guess."},
		PINTo:     "/account/pin",
		RemovePIN: "/account/pin/remove",
		PIN: Field{Name: "new_pin", Label: "New PIN", Type: "password", InputMode: "numeric", Autocomplete: "off", Width: "pin",
			Hint: "Six digits. Not all the same, not in a row, not a date."},
		Password: Password("Your password", ""),
	}
}

// NewWelcome is the page for a new person with its words.
func NewWelcome() Welcome {
	return Welcome{
		Shell:  Shell{Title: "Choose your password"},
		Action: "/welcome",
		Login:  Field{Name: "login", Label: "Login", Autocomplete: "username", Width: "medium"},
		Code:   Field{Name: "code", Label: "One-time code", Hint: "From the person who added you. It works once.", Autocomplete: "one-time-code", Width: "medium"},
		Password: Field{Name: "password", Label: "New password", Type: "password", Autocomplete: "new-password", Width: "medium",
			Hint: "Twelve characters or more. You will use it to sign, so keep it to yourself."},
	}
}
