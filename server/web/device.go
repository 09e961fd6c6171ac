package web

// Devices is the list of tablets that several people share, and the form that
// enrols the one in hand.
type Devices struct {
	Shell
	Here     string // name of the tablet the page is shown on; empty when it is none
	Devices  []DeviceLine
	Revoked  []DeviceLine
	Action   string
	ClientID string
	Name     Field
	Password Field
	Insecure bool
}

// DeviceLine is one tablet.
type DeviceLine struct {
	Name, About string
	Here        bool
	Revoke      string // where the button to revoke it leads; empty hides it
}

// Prove asks somebody to prove who they are before what they sent goes on.
type Prove struct {
	Shell
	Why    string
	Action string
	Next   string        // where to go afterwards; empty when a form goes on
	Hidden []HiddenField // the form that goes on
	Secret Field
	Button string
	Other  bool // somebody else may be at the tablet
}

// Lock covers a page on a shared tablet when nobody has touched it for a while.
type Lock struct {
	Seconds int // without a touch
	Name    string
	Action  string
	Hidden  []HiddenField
	Secret  Field
}

// NewDevices is the page of the tablets with its words.
func NewDevices() Devices {
	return Devices{
		Shell:    Shell{Title: "Shared tablets"},
		Action:   "/devices",
		Name:     Field{Name: "name", Label: "Name of the tablet", Hint: "Where it stands or what is written on its back.", Autocomplete: "off", Width: "medium"},
		Password: Password("Your password", ""),
	}
}

// NewProve asks for the password before a request goes on.
func NewProve() Prove {
	return Prove{
		Shell:  Shell{Title: "Your password, please"},
		Action: "/password",
		Secret: Password("Your password", ""),
		Button: "Go on",
	}
}

// OwnPIN is the field that a PIN is typed into to sign in.
func OwnPIN(label string) Field {
	return Field{Name: "own_pin", Label: label, Type: "password", InputMode: "numeric", Autocomplete: "off", Width: "pin"}
}
