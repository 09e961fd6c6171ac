package web

var fixtureChart = BladeChart{
	Say: []string{"The length stamped on a blade is what it leaves against the lie. With the lie it leaves about 2 times what it leaves against it."},
	Blades: []BladeRow{
		{"#10", "even", "1.6 mm", "makers: 1.5 to 1.8", "3.2 mm", "1.6 mm", "goes under", "The safest blade in the drawer."},
		{"#7", "skip", "3.2 mm", "makers: 3 to 4", "6.4 mm", "3.2 mm", "experienced hands", "Wide gaps let skin in; leaves lines."},
		{"#3¾F", "even", "13 mm", "", "26 mm", "13 mm", "never", ""},
	},
	Combs: []Term{{"", "13 mm comb", "over #30, #15, #10.", ""}},
	Skins: []Term{{"", "Sound", "", ""}, {"", "Thin, loose or old", "No skip-tooth blade.", ""}},
	Areas: []Term{{"", "Back and sides", "Any blade. Combs.", ""}, {"", "Groin", "#10.", ""}},
}

var fixtureCut = CutPlan{
	Lines: []CutLine{
		{"Back and sides", "#7F with the lie", "about 6.4 mm, give or take 1 · agreed 6 mm", nil},
		{"Legs", "13 mm comb over #30", "about 13 mm, give or take 1", []CutFinding{{"Good to know", "Legs: if the comb comes off, #30 is stamped 0.5 mm and #10 1.6 mm. Tug the comb before you begin.", false}}},
		{"Groin", "#7 with the lie", "about 6.4 mm, give or take 1 · skin: sound", []CutFinding{{"Unsafe", "Groin: the skin is thin, loose or old, and #7 (skip-tooth) is unsafe on it. Here it is #10.", true}}},
	},
	Given: []string{"The owner agreed in writing that a felted coat comes off."},
}

func fixtureCutPlan() CutPlanForm {
	p := NewCutPlanForm()
	p.Shell, p.Dog, p.About, p.Plan, p.Chart = shell("Cut plan", "Grooms"), "Biscuit", "Curly cross · matting 2 · the comb passed in 2 of 4 hidden places", fixtureCut, fixtureChart
	p.Action, p.BaseVersion, p.DraftURL, p.Consent.Checked = "/grooms/drafts/d9/cut-plan", "3", "/grooms/drafts/d9", true
	for i, name := range []string{"Back and sides", "Legs", "Groin", "Pads and between the toes"} {
		a := NewCutArea([]string{"back", "legs", "groin", "pads"}[i], name)
		a.Caution, a.Open = "Draw the skin flat.", i < 3
		a.Tool.Choices = pick("", "", "", []string{"7F", "c13", "7", ""}[i], "", "Not clipped", "10", "#10", "7", "#7", "7F", "#7F", "c13", "13 mm comb").Choices
		a.Direction.Choices = pick("", "", "", "with", "with", "with the lie", "reverse", "against the lie").Choices
		a.Under.Choices = pick("", "", "", "", "", "Not chosen", "30", "#30", "15", "#15", "10", "#10").Choices
		a.Skin.Choices = pick("", "", "", "", "", "Not chosen", "sound", "Sound", "thin", "Thin, loose or old").Choices
		if i < 3 {
			a.Summary = fixtureCut.Lines[i].Cut
		}
		p.Areas = append(p.Areas, a)
	}
	return p
}

func fixtureExercise(done bool) Exercise {
	p := Exercise{Shell: shell("Blade choice", "Programme"), Lead: "Choose one answer to each. More than one may be right; any right one counts.", Chart: fixtureChart}
	facts := "Coat: silky. The comb passes everywhere. Skin here today: sound. Agreed with the owner: 6 mm, give or take 1."
	if !done {
		p.Action, p.ClientID = "/exercises/x1", "33"
		for i, place := range []string{"Back and sides", "Groin"} {
			q := pick("q."+itoa(i+1), itoa(i+1)+". "+place, facts, "2", "1", "#7F with the lie", "2", "#7F against the lie", "3", "6 mm comb over #10", "4", "Do not clip here yet: ask the owner first", "5", "Do not clip here: a vet looks first")
			p.Questions = append(p.Questions, q)
		}
		return p
	}
	p.Who, p.Result, p.Title, p.Lead = "Jory Pell", "1 of 2 right, 50 %: not passed", "1 of 2 right, 50 %: not passed", "3 March 2026 · 80 % is needed"
	p.Worth = "Practice. It was marked by the program and nobody has let it stand."
	why := MarkedAnswer{"6 mm comb over #10", "It leaves about 6 mm, give or take 1, and 6 mm was agreed, give or take 1."}
	not := MarkedAnswer{"#7F against the lie", "Back and sides: #7F against the lie leaves about 3.2 mm, but 6 mm was agreed, give or take 1."}
	p.Marked = []MarkedQuestion{
		{"Back and sides", facts, true, why, []MarkedAnswer{{"#7F with the lie", why.Why}}, []MarkedAnswer{not}, []string{"#7F with the lie", "6 mm comb over #30, #15 or #10"}},
		{"Legs", facts, false, not, []MarkedAnswer{why}, nil, []string{"#7F with the lie"}},
	}
	p.Adopt = NewAdoptPanel()
	p.Adopt.Action, p.Adopt.ClientID, p.Adopt.Earlier = "/exercises/x1/adopt", "34", "There were 2 earlier exercises by the same apprentice."
	p.Adopt.How.Choices = pick("", "", "", "", "watched", "I watched the questions being answered", "asked", "I went through the answers").Choices
	return p
}

// cuttingFixtures are the pages about blades, combs and cut plans.
func cuttingFixtures() []namedPage {
	list := Exercises{Shell: shell("Blade choice", "Programme"), Lead: "10 questions: a dog, a place on it, and what was agreed.", Rule: "From 80 % it is passed.", Skill: "Draw up a cut plan", SkillURL: "/skills/CL1", Chart: fixtureChart,
		Waiting: []ExerciseLine{{"/exercises/x1", "3 March 2026", "Jory Pell", "90 %, passed", "Practice."}}, Lines: []ExerciseLine{{"/exercises/x0", "2 March 2026", "Teo", "", "not finished"}}}
	mine := list
	mine.Waiting, mine.Lines, mine.CanBegin, mine.Begin, mine.ClientID = nil, nil, true, "Begin", "32"
	wrong := fixtureExercise(false)
	wrong.Fail(&wrong.Questions[1], "Question 2: choose an answer.")
	refused := fixtureExercise(true)
	refused.Adopt.Refused = "This result is too old."
	unreadable := fixtureCutPlan()
	unreadable.Areas[0].Agreed.Value = "an inch"
	unreadable.Fail(&unreadable.Areas[0].Agreed, "Back and sides: \"an inch\" is not a length. Enter millimetres with at most two decimals, for example 6.5.")
	return []namedPage{
		{"cut-plan", fixtureCutPlan()}, {"cut-plan-wrong", unreadable}, {"cut-plan-missing", CutPlanForm{Shell: shell("Cut plan", "Grooms"), Dog: "Biscuit", DraftURL: "/grooms/drafts/d9", Missing: "The programme in use has no table."}},
		{"exercises", list}, {"exercises-mine", mine}, {"exercises-missing", Exercises{Shell: shell("Blade choice", "Programme"), Missing: "The programme in use has no table."}},
		{"exercise", fixtureExercise(false)}, {"exercise-wrong", wrong}, {"exercise-done", fixtureExercise(true)}, {"exercise-refused", refused},
	}
}
