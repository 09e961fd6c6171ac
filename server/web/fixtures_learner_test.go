package web

// asApprentice is the frame of a page that an apprentice looks at.
func asApprentice(title, nav string) Shell {
	s := shell(title, nav)
	s.Person, s.Role, s.Login = "Jory Pell", "Apprentice", "jory"
	return s
}

var fixtureLog = []LogLine{
	{"/logbook/e1", "2 March 2026", "Biscuit", "Curly cross, 12.4 kg", "", "Clip or grind nails; Round the foot", "Went as planned, L4", "Own word; Rowan Ash is asked", ""},
	{"/logbook/e2", "24 February 2026", "Marshmallow the Second", "Wool", "", "Comb test", "Something went wrong, L3", "Countersigned by Indigo Farr", "entered on 1 March 2026"},
	{"/logbook/e3", "20 February 2026", "Tarn", "Smooth", "", "Set up the water", "Went as planned, L5", "Own word", ""},
}

func fixtureMyDay() MyDay {
	nails := TrustLine{Title: "Clip or grind nails", URL: "/apprentices/a1/skills/NE1", Safety: true, Cautions: []string{"Black nails hide the quick.", "Take slices, and stop at the grey centre."}}
	throat := TrustLine{Title: "Throat and face", URL: "/apprentices/a1/skills/CL4", Safety: true, Cautions: fixtureCautions, Note: "for now P3, next table"}
	comb := TrustLine{Title: "Comb test", URL: "/apprentices/a1/skills/CO3"}
	limited := TrustLine{Title: "Ears", URL: "/apprentices/a1/skills/CL5", Safety: true, Cautions: fixtureCautions[:1], Note: "P4 was set; limited by the evidence as it stands now"}
	return MyDay{Shell: asApprentice("Today", "Today"), Greeting: "Good morning, Jory Pell", Day: "Tuesday 3 March 2026",
		First: &FirstThing{Over: "You are closest to", Title: "Round the foot", URL: "/apprentices/a1/skills/SC2", Action: "Look at it", Standing: Practising, Safety: true,
			Missing: []string{"Points: 2 observations more if all are clean.", "Coat classes: 1 coat class more (so far Silky, Wool or curly)."}},
		Stopped: []StopGroup{{"Not until a person releases the hold. Still to be seen: 1 clean observation more since the incident, without a fault between.", []TrustLine{throat}},
			{"Not until the salon's written policy allows it.", []TrustLine{{Title: "Ear hair", URL: "/apprentices/a1/skills/NE4", Safety: true, Cautions: fixtureCautions[:1]}}}},
		Trust: []TrustGroup{{"P5", "Works alone", "Does the skill without supervision and may show it to others.", []TrustLine{comb}},
			{"P3", "Next table", "Does the skill with an assessor one table away, who checks each stage before the next begins.", []TrustLine{nails, limited}},
			{"", "Nobody has set it yet", "Ask an assessor before you begin.", []TrustLine{comb}}},
		Asked: []WaitingItem{{"Read the marks of Tarn", "Marked by Rowan Ash", "/grooms/g405#said", "Read them", "", "27 February 2026"}},
		Next:  fixtureNext[:2], Summary: fixtureProgress, LeftOut: "1 newer groom not in these figures yet.", Log: fixtureLog, Recent: fixtureGrooms[:2],
		MineURL: "/apprentices/a1", TimeURL: "/apprentices/a1/progress", LogURL: "/logbook", NewLogURL: "/logbook/new", CopyURL: "/export?scope=a1"}
}

func fixtureLogNew() LogNew {
	n := NewLogNew()
	n.Shell, n.ClientID = asApprentice("Add to my logbook", "Logbook"), "5a"
	n.Day.Value, n.Dog.Value = "2026-03-03", "Biscuit"
	n.Coat.Choices = pick("", "", "", "XW", "SM", "Smooth", "XW", "Curly cross").Choices
	n.Level.Choices = pick("", "", "", "4", "3", "L3", "4", "L4").Choices
	n.Supervisor.Choices = pick("", "", "", "", "p1", "Rowan Ash", "nobody", "Nobody").Choices
	n.Units = []LogUnit{{"Scissoring and finishing", true, []Choice{{Value: "SC2", Label: "Round the foot", Checked: true}, {Value: "SC3", Label: "Legs"}}}, {"Nails, ears, eyes, teeth", false, []Choice{{Value: "NE1", Label: "Clip or grind nails"}}}}
	return n
}

// learnerFixtures are the pages of apprentices, and what assessors do with what
// apprentices wrote.
func learnerFixtures() []namedPage {
	rate := fixtureMyDay()
	rate.First = &FirstThing{Over: "First", Title: "Rate your own work on Biscuit", URL: "/grooms/g412", Action: "Rate it", Note: "Say how you would mark it yourself, before you see the marks."}
	bare := MyDay{Shell: asApprentice("Today", "Today"), Greeting: "Good morning, Teo", Day: "Monday 2 March 2026", Trust: []TrustGroup{{"", "Nobody has set it yet", "Ask an assessor before you begin.", nil}},
		Summary: Progress{Required: 58, Percent: "0.0 %", Safety: 37, Counts: []StandingCount{{NotStarted, 58}}}, MineURL: "/a", TimeURL: "/b", LogURL: "/logbook", NewLogURL: "/logbook/new", CopyURL: "/export"}
	wrong := fixtureLogNew()
	wrong.Fail(&wrong.Dog, "Give the dog a label.")
	wrong.Fail(&wrong.Skill, "Choose what you did, at least one skill.")
	wrong.Fail(&wrong.Outcome, "Say whether it went as planned.")
	wrong.Fail(&wrong.Words, "Say in one line what went wrong.")

	states := []Filter{{"All", "/logbook", true}, {"Own word", "/logbook?state=0", false}}
	own := Logbook{Shell: asApprentice("Logbook", "Logbook"), Lead: "What I did, the newest first", States: states, AllURL: "/logbook", Lines: fixtureLog, NewURL: "/logbook/new", More: Link{"Show all of them", "/logbook?all=1"}}
	all := Logbook{Shell: shell("Logbook", "Logbook"), Lead: "What apprentices did", Filters: []Filter{{"Everyone", "/logbook", true}, {"Jory Pell", "/logbook?apprentice=a1", false}}, States: states, AllURL: "/logbook", SignURL: "/logbook/countersign"}
	for _, l := range fixtureLog {
		l.Apprentice = "Jory Pell"
		all.Lines = append(all.Lines, l)
	}
	none, filtered := own, own
	none.Lines, none.More, filtered.Lines, filtered.Filtered = nil, Link{}, nil, "not as it was"

	entry := LogEntry{Shell: shell("Logbook: Biscuit", "Logbook"), Apprentice: "Jory Pell", ApprenticeURL: "/apprentices/a1", Dog: "Biscuit", Day: "2 March 2026", State: "Own word",
		StateNote: "It is the apprentice's word. Rowan Ash is asked to countersign it.", Effect: "Countersigned, it shows that what was done is in use. It earns no points.",
		Rows: []Row{{"How it went", "Went as planned", ""}, {"In words", "", ""}}, Skills: []Link{{"Clip or grind nails", "/apprentices/a1/skills/NE1"}}, SignURL: "/logbook/countersign?entry=e1", Deny: NewDenyForm()}
	entry.Deny.Action, entry.Deny.ClientID = "/logbook/e1/deny", "6b"
	denied := entry
	denied.Deny = NewDenyForm()
	denied.Deny.Action, denied.Deny.ClientID = "/logbook/e1/deny", "6c"
	denied.Fail(&denied.Deny.Reason, "Say what was different.")
	read := entry
	read.Shell, read.SignURL, read.Deny, read.State = asApprentice("Logbook: Biscuit", "Logbook"), "", nil, "Countersigned"

	sign := NewCountersign()
	sign.Shell, sign.ClientID, sign.Insecure = shell("Countersign logbook entries", "Logbook"), "7d", true
	for i, l := range all.Lines {
		sign.Entries = append(sign.Entries, CountersignEntry{Key: "e" + itoa(i+1), Checked: i == 0, Line: l, Words: "Head done without a word.", Effect: entry.Effect})
	}
	signWrong := sign
	signWrong.Fail(&signWrong.Entry, "Tick at least one entry that you can vouch for.")
	idle := NewCountersign()
	idle.Shell = shell("Countersign logbook entries", "Logbook")

	return []namedPage{
		{"my-day", fixtureMyDay()}, {"my-day-rate", rate}, {"my-day-bare", bare}, {"over-time", fixtureOverTime()},
		{"over-time-few", OverTime{Shell: shell("Progress over time", ""), Name: "Teo", ApprenticeURL: "/apprentices/a3", MonthsFew: "Too early to draw: 1 month of at least 3.", GroomsFew: "Too few to draw: 2 grooms with a result of at least 5.", GroomRows: fixtureGrooms[:2]}},
		{"logbook", own}, {"logbook-all", all}, {"logbook-empty", none}, {"logbook-filtered", filtered}, {"logbook-new", fixtureLogNew()}, {"logbook-new-wrong", wrong},
		{"logbook-entry", entry}, {"logbook-entry-wrong", denied}, {"logbook-entry-read", read}, {"countersign", sign}, {"countersign-wrong", signWrong}, {"countersign-none", idle},
		{"groom-unread", fixtureSaid(false, false)}, {"groom-disagree-wrong", fixtureSaid(false, true)}, {"groom-answer", fixtureSaid(true, false)}, {"groom-answer-wrong", fixtureSaid(true, true)},
		{"export-own", Export{Shell: asApprentice("Export", "Export"), Own: true, Action: "/export/workbook", ClientID: "8", Scope: pick("scope", "Whose record", "", "a1", "a1", "Jory Pell"),
			Photos: Check{Name: "photos", Label: "With the photos, small"},
			Opens:  "The marks of 2 newer grooms have not been shown to you yet.", LeftOut: []string{"passwords"}}},
	}
}

func fixtureOverTime() OverTime {
	o := OverTime{Shell: asApprentice("Progress over time – Jory Pell", ""), Name: "Jory Pell", ApprenticeURL: "/apprentices/a1", Own: true, LeftOut: "1 newer groom not in these figures yet.", GroomRows: fixtureGrooms}
	var bars []MonthBar
	for i, m := range []string{"Sep", "Oct", "Nov", "Dec", "Jan", "Feb", "Mar"} {
		bars = append(bars, MonthBar{m, i * 6})
		o.MonthRows = append(o.MonthRows, MonthRow{m + " 2026", i * 6, 6})
	}
	o.Months = ChartMonths(bars, 58)
	o.Grooms = ChartGrooms([]GroomDot{{3.2, false, "1 March 2026, Pip"}, {3.86, true, "2 March 2026, <Biscuit>"}, {4.4, true, "3 March 2026, Tarn"}, {4, true, "4 March"}, {3.9, true, "5 March"}, {4.1, true, "6 March"}}, []float64{3.9, 4})
	return o
}

// fixtureSaid is a signed groom with what its apprentice says: asked of them, or
// to be answered.
func fixtureSaid(answer, wrong bool) Groom {
	g := Groom{Shell: asApprentice("Biscuit – Jory Pell", "Grooms"), Apprentice: "Jory Pell", ApprenticeURL: "/apprentices/a1", Dog: "Biscuit", Day: "2 March 2026",
		SignedBy: "Signed by Rowan Ash", Fingerprint: "9f31c2aa70", Rubric: "Whole groom", Result: fixtureResult, Feedback: plainRows(fixtureFeedback), Criteria: fixtureCriteria(false)}
	g.Criteria[0].Own = "L3"
	g.Said = NewSaidPanel(false)
	g.Said.Action, g.Said.ClientID = "/grooms/g412/acknowledge", "4d"
	if answer {
		g.Shell = shell("Biscuit – Jory Pell", "Grooms")
		g.Said = NewAnswerPanel()
		g.Said.Action, g.Said.ClientID = "/grooms/g412/answer", "4e"
		g.Said.Lines = []SaidLine{{"Jory Pell", "2 March 2026 19:00 (UTC+0)", "disagrees with the marks.", "I would have said L4.\nThe owner agreed to the comb."}, {"Rowan Ash", "3 March 2026", "answers.", ""}}
	}
	if wrong {
		g.Fail(&g.Said.Words, "Say it in your own words.")
	}
	return g
}
