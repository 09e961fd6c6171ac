package web

// fixtureDevices are the pages of shared tablets.
func fixtureDevices() []namedPage {
	shared := func(title string) Shell {
		s := shell(title, "")
		s.Shared, s.Author = true, fixtureAuthor
		s.Lock = &Lock{Seconds: 300, Name: "Rowan Ash", Action: "/sign-in/pin", Hidden: []HiddenField{{"person", fixtureAuthor}}, Secret: OwnPIN("Your PIN")}
		s.Lock.Secret.Form = "lock"
		return s
	}
	door := func(names ...string) SignIn {
		p := NewSignIn()
		p.Shared, p.Salon, p.Tablet, p.Next, p.Insecure = true, "Salon Alder", "Table 1, by the window", "/", true
		for i, name := range names {
			p.People.Choices = append(p.People.Choices, Choice{Value: "p" + itoa(i), Label: name})
		}
		return p
	}
	wrong := door(append([]string{"Rowan Ash", "Indigo Farr"}, apprenticeNames...)...)
	wrong.People.Choose("p3")
	wrong.Fail(&wrong.PIN, "This is not your PIN. Try again: 3 tries are left.")

	devices := NewDevices()
	devices.Shell, devices.ClientID, devices.Insecure = shell(devices.Title, "People"), "12", true
	devices.Back = Link{"People", "/people"}
	devices.Devices = []DeviceLine{{"Table 1, by the window", "enrolled by Rowan Ash, 2 March 2026 09:10 (UTC+00:00); last seen 3 March 2026 14:00 (UTC+00:00)", false, "/devices/d1/revoke"}}
	devices.Revoked = []DeviceLine{{"The old one", "enrolled by Rowan Ash, 4 January 2025 09:10 (UTC+00:00); revoked 2 March 2026 09:08 (UTC+00:00)", false, ""}}
	empty := devices
	empty.Devices, empty.Revoked = nil, nil
	empty.Fail(&empty.Name, "Give the tablet a name.")
	empty.Fail(&empty.Password, "Enter your password.")
	here := devices
	here.Shell = shared(devices.Title)
	here.Here, here.Devices = devices.Devices[0].Name, append([]DeviceLine(nil), devices.Devices...)
	here.Devices[0].Here = true

	stepUp := NewProve()
	stepUp.Shell, stepUp.Next = shared(stepUp.Title), "/people"
	stepUp.Why = "You signed in with your PIN. This takes your password, once; then you go on where you were."
	locked := NewProve()
	locked.Shell = Shell{Title: "Locked", Shared: true, Author: fixtureAuthor, Login: "rowan"}
	locked.Action, locked.Button, locked.Secret, locked.Other = "/grooms/drafts/d9", "Unlock and go on", OwnPIN("Your PIN"), true
	locked.Why = "Nobody touched this tablet for a while, so it locked itself. What was just sent is still here. Are you Rowan Ash? Then unlock it, and it goes on."
	locked.Hidden = []HiddenField{{"keep", "Calm & “quiet”"}, {"action", "save"}}

	account := NewAccount()
	account.Shell, account.HasPIN = shared(account.Title), true
	account.Fail(&account.PIN, "This PIN counts up or down. Choose one that nobody guesses.")
	today := Today{Shell: shared("Today"), Greeting: "Good afternoon, Rowan", Day: "Tuesday 3 March 2026", Primary: Link{"Mark a groom", "/grooms/new"}, Recent: fixtureGrooms}
	return []namedPage{
		{"sign-in-tablet", door("Rowan Ash", "Indigo Farr", "Jory Pell", "Aïsha Okonkwo-Brandt")}, {"sign-in-tablet-many", wrong}, {"sign-in-tablet-nobody", door()},
		{"devices", devices}, {"devices-empty", empty}, {"devices-here", here}, {"prove", stepUp}, {"prove-locked", locked}, {"account-pin", account}, {"today-tablet", today}, {"error-stale", Stale(shared(""))},
	}
}
