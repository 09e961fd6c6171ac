package web

import (
	"fmt"
	"slices"
)

// An invented salon, enough of it to see every page full, empty and in error.

var unitNames = []struct {
	id, title string
	skills    []string // a leading "!" marks a safety-critical skill
}{
	{"HC", "Health check and consent", []string{"!Receive the dog", "!Nose-to-tail check", "Assess and grade the coat", "!Read and grade behaviour", "!Plan, consent, go or no-go"}},
	{"HR", "Handling and restraint", []string{"!Lift, carry, position", "!Table and bath restraint", "!Low-stress handling and stopping", "!Muzzle and bite avoidance", "!Kennel and prevent escape", "!Adapt for age and condition"}},
	{"BA", "Bathing", []string{"!Set up the water", "!Choose and dilute product", "!Wash to the skin, face and ears safe", "Rinse, condition, drain"}},
	{"DR", "Drying", []string{"!Towel and blaster", "!Stand or fluff dry", "!Cabinet dry", "!Heat watch and dryness check"}},
	{"CO", "Brushing, combing, dematting", []string{"Choose the tool for the coat", "Line brush to the skin", "Comb test", "!Demat or clip off: decide", "!Clip out single mats", "De-shed, card, strip a little"}},
	{"TH", "Tools, hygiene, workplace", []string{"Blade and clipper care", "!Blade heat control", "!Clean and disinfect between dogs", "Scissor care and storage", "!Safe workplace"}},
	{"CL", "Clipping", []string{"Cut plan", "!Body clip with the lay", "!Reverse clip and strip-off", "!Throat and face", "!Ears", "!Armpit, groin, tuck-up", "!Sanitary area", "!Pads and between toes", "Attachment combs over a short blade"}},
	{"SC", "Scissoring and finishing", []string{"!Scissor control", "!Round the foot", "Legs", "Body line, underline, tail", "!Head", "Blend with thinners", "Balance and final check"}},
	{"NE", "Nails, ears, eyes, teeth", []string{"!Clip or grind nails", "!Stop a quick bleed", "!Check and clean ears", "!Ear hair", "!Eyes and face folds", "Teeth: brush, look, refer"}},
	{"CW", "Client, welfare, emergencies", []string{"Consultation", "Adapt the style", "Hand-back and aftercare", "Groom record", "!Canine first aid", "!Incident response and report", "Welfare law", "Data protection"}},
}

var apprenticeNames = []string{
	"Jory Pell", "Aïsha Okonkwo-Brandt", "Teo", "Mbali Zwane", "Nils Østergård", "Priya Raman", "Wren Castellano", "Ffion Llewellyn",
	"Oskar Dunaj", "Maelle Kervadec", "Sunniva Holm", "Kit Abara", "Lotte Verwey", "Idris Bello", "Hana Sato", "Bram Quist",
	"Noor Haddad", "Cosmo Reyes", "Elspeth Muir", "Dara Finnegan", "Yuki Arai", "Zofia Mazur", "Paolo Brizzi", "Greta Lind", "Amadi Nkosi",
}

// fixtureAuthor is one person for all: pages of one browser tell each other who
// is signed in, and one of somebody else's would leave.
const fixtureAuthor = "abcdefghijklmnopqrstuvwxyz"

func shell(title, nav string) Shell {
	s := Shell{
		Title: title, Salon: "Salon Alder", Person: "Rowan Ash", Author: fixtureAuthor, Role: "Head groomer", Login: "rowan",
		Now: "Tuesday 3 March 2026, 14:02 (UTC+0)",
	}
	for _, n := range []NavItem{
		{"Today", "/", false, 7}, {"Grooms", "/grooms", false, 0}, {"Skills matrix", "/matrix", false, 0}, {"Sign-offs", "/signoffs", false, 2},
		{"Programme", "/programme", false, 0}, {"Export", "/export", false, 0}, {"People", "/people", false, 0},
	} {
		n.Current = n.Label == nav
		s.Nav = append(s.Nav, n)
	}
	return s
}

var fixtureGrooms = []GroomLine{
	{"/grooms/g412", "2 March 2026", "Biscuit", "Jory Pell", "Rowan Ash", "Full groom · curly cross · M", "Meets", "3.86", ""},
	{"/grooms/g409", "28 February 2026", "Marshmallow the Second", "Mbali Zwane", "Indigo Farr", "Full groom · wool · S", "Not yet", "3.49", "Incident S1"},
	{"/grooms/g405", "27 February 2026", "Tarn", "Jory Pell", "Rowan Ash", "Bath and brush · smooth · L", "Not yet", "4.11", ""},
	{"/grooms/g401", "26 February 2026", "Pip", "Nils Østergård", "Rowan Ash", "Dry tidy · silky · XS", "Partial", "", "Second rating"},
}

var fixtureProgress = Progress{
	Signed: 36, Required: 58, Percent: "62.1 %", SafetySigned: 22, Safety: 37,
	Counts:      []StandingCount{{NotStarted, 6}, {Practising, 11}, {Eligible, 3}, {Signed, 36}, {OnHold, 2}, {Lapsed, 0}},
	HowComputed: "Signed and confirmed skills among the 58 that completion needs. Skills on hold, lapsed or waiting for a confirmer are not in the 36.",
	Forecast:    "between 24 and 41 weeks", ForecastNote: "if the next weeks bring dogs like the last 12",
	Pace: "36 of 58 required skills were signed in 52 weeks, 0.69 a week. At that pace the last one is signed in 31.8 weeks, 5.8 weeks after the planned end. To end as planned it takes 0.85 a week.",
	End:  "28 February 2026",
}

var fixtureNext = []NextStep{
	{"Throat and face", "/apprentices/a1/skills/CL4", Practising, "8 more points, and one clean observation on a wire or double coat.", true},
	{"Round the foot", "/apprentices/a1/skills/SC2", Practising, "A second assessor has to see it.", true},
	{"Comb test", "/apprentices/a1/skills/CO3", Eligible, "Nothing. It can be proposed.", false},
}

func fixtureObservations(excluded bool) []ObservationLine {
	if excluded {
		return []ObservationLine{
			{"2 March 2026", "Marlow", "wire · M", "L5", "Jory Pell", "", "", "", "A self-rating."},
			{"16 March 2026", "Biscuit", "curly cross · M", "L4", "Indigo Farr", "/grooms/g355", "", "", "Same dog, same day: already counted."},
		}
	}
	return []ObservationLine{
		{"26 January 2026", "Pip", "silky · S", "L4", "Rowan Ash", "/grooms/g310", "clean", "", ""},
		{"9 February 2026", "Tarn", "wool · M", "L4", "Indigo Farr", "/grooms/g322", "clean", "", ""},
		{"20 February 2026", "Marshmallow the Second", "wool · S", "L5", "Rowan Ash", "/grooms/g340", "clean", "", ""},
	}
}

var fixtureRequirements = []Requirement{
	{"Points", "17", "9", "8 more clean observations; each earns 1.", false, ""},
	{"Declared observations", "at most 60", "12 made, 48 left", "", true, "not used up"},
	{"Different coat classes", "3", "2 (wool, silky)", "One clean observation on a smooth, double or wire coat.", false, ""},
	{"Size bands", "2", "2 (S, M)", "", true, ""},
	{"Different assessors", "2", "2 (Rowan Ash, Indigo Farr)", "", true, ""},
	{"Newest clean observation", "60 days old or less", "11 days", "", true, ""},
}

func fixturePath() ([]ChartPoint, []PointsRow) {
	var pts []ChartPoint
	var rows []PointsRow
	p := 0
	for i := range 22 {
		clean := i != 3 && i != 9
		change, outcome, note := "+1", "clean", ""
		if clean {
			p++
		} else {
			change, outcome = "−10", "not clean"
			p -= 10
			if p < -10 {
				p, note = -10, "debt stopped at −10"
			}
		}
		day := fmt.Sprintf("%d February 2026", i+2)
		pts = append(pts, ChartPoint{p, clean, day + ", Biscuit"})
		rows = append(rows, PointsRow{i + 1, day, "Biscuit", outcome, change, p, note, "/grooms/g1", "Rowan Ash", "L4"})
	}
	return pts, rows
}

var fixtureCautions = []string{
	"Folds at the throat and the lip: stretch the skin flat, clip down off the bone, never up into a fold.",
	"Touch the blade to your inner wrist first. Too hot for the wrist is too hot for the dog.",
}

func fixtureSkill() ApprenticeSkill {
	pts, rows := fixturePath()
	permission := NewPermissionPanel("3")
	permission.Now, permission.Means, permission.Since = "P3", "assessor at the next table, who checks before the dog moves on", "since 12 February 2026"
	permission.History = []PermissionLine{{"12 February 2026", "P4", "P3", "Rowan Ash", "After the clipper burn."}, {"4 January 2026", "P3", "P4", "Indigo Farr", "Signed that day."}}
	permission.CanSet, permission.Action, permission.ClientID = true, "/apprentices/a1/skills/CL4/permission", "0b9c"
	permission.LimitNote = "While the hold is open, P3 is the highest."
	hold := NewHoldPanel("h7")
	hold.Open, hold.CanRelease, hold.Action, hold.ClientID = true, true, "/apprentices/a1/skills/CL4/holds/h7", "77aa"
	hold.Reason, hold.Since, hold.By = "Clipper burn at the throat (S2), put down to the apprentice.", "12 February 2026", "the incident of that day"
	hold.Condition, hold.Shown = "3 clean observations at L4 or more by an assessor.", "2 of 3 (16 and 20 February)."
	return ApprenticeSkill{
		Shell:      shell("Throat and face, Jory Pell", "Skills matrix"),
		Apprentice: "Jory Pell", ApprenticeURL: "/apprentices/a1", SkillID: "CL4", Skill: "Throat and face", SkillURL: "/skills/CL4",
		Unit: "Clipping", Safety: true, Standing: OnHold,
		Explanation:  "This skill was signed on 4 January 2026 and is on hold since a clipper burn on 12 February; the evidence is kept.",
		Cautions:     fixtureCautions,
		Requirements: fixtureRequirements,
		Points: &PointsPath{
			Rule:      "Eligible at 17 points. A clean observation earns 1, one that is not clean costs 10, debt stops at −10.",
			Guarantee: "If this apprentice's true fault rate were 20% or more on observations like these, at most 5 in 100 would reach this within 60 observations.",
			Now:       "2 points after 22 observations.",
			Seen:      "2 of 22 were not clean. With numbers this small the true rate could be as high as 29 %.",
			Strata:    "Seen by 2 assessors, on wool, silky and curly cross coats, sizes S and M.",
			Chart:     ChartPoints(pts, 17, -10), Rows: rows,
			Picture: OutOf100(5), PictureSay: "Of 100 apprentices who get one dog in five wrong, fewer than 5 would reach 17 points within 60 observations.",
		},
		Counted: fixtureObservations(false), Excluded: fixtureObservations(true),
		Permission:  permission,
		SignOffs:    []SignOffLine{{"4 January 2026", "Confirmed", "Indigo Farr", "Evidence looked at on the day.", "/signoffs/s31"}, {"3 January 2026", "Proposed", "Rowan Ash", "", "/signoffs/s31"}},
		Holds:       []HoldPanel{hold, {ID: "h2", Reason: "Two S1 in 30 days.", Since: "2 November 2025", By: "Indigo Farr", Condition: "A review with the apprentice.", Released: "Rowan Ash, 9 November 2025: reviewed, two blades per size from now on."}},
		Costing:     []ObservationLine{{"12 January 2026", "Biscuit", "curly cross · M", "L3", "Rowan Ash", "/grooms/g301", "not clean", "−10", "below the level that counts"}},
		Repeated:    "3 incidents of severity S0 within 30 days. Look for the cause together.",
		ProposeNote: "It cannot be proposed while a hold is open.",
		SelfNote:    "Self-ratings and logbook entries are shown and never earn points.",
	}
}

var fixtureStandard = SkillStandard{
	Criteria: []string{"raises the nose gently and keeps the skin taut", "clips down, off the bone, with a cool fine blade", "finds the Adam's apple before the blade gets there", "asks the owner about whiskers"},
	Cautions: fixtureCautions,
	Needs:    []Link{{"Body clip with the lay", "/skills/CL2"}, {"Table and bath restraint", "/skills/HR2"}},
	Kit:      "#10 to #15",
	Evidence: "17 points, on at least 3 coat classes and 2 size bands, seen by at least 2 assessors, the newest clean one no older than 60 days.",
	Points:   "A clean observation earns 1 point, one that is not clean costs 10, debt stops at −10.",
	Seen:     "Clipping: even and skin-safe",
	Choice:   "A #10 or a #15 is right here, and so is a fine comb over a #30.",
}

var anchors = [][]string{
	{"you checked the dog", "was told what to look at and what to say", "checked most of it; reminded of an area or of consent", "full check, findings written before wetting, consent right", "also saw the risk coming (breed, age, medicine) and re-planned rightly"},
	{"you held the dog", "hands placed by you; missed signs of stress", "safe, with prompts to slow down or move the loop", "calm, read signs early, loop and position right throughout", "adapted to a hard dog, headed off the trigger, could say why"},
}

var criterionNames = []struct {
	title  string
	weight int
	must   bool
	skip   string
}{
	{"Health check, consent, go or no-go", 8, true, ""}, {"Handling, restraint, reading the dog", 14, true, ""}, {"Bathing", 6, false, "dry groom only"},
	{"Drying and heat watch", 8, true, "dry groom only"}, {"Coat prepared to the skin", 10, false, ""}, {"Tools, blade heat, hygiene", 8, true, ""},
	{"Clipping: even and skin-safe", 12, true, "no clipper used"}, {"Scissoring: feet and legs", 10, false, "smooth coat"}, {"Head and blend", 8, false, "smooth coat"},
	{"Nails, ears, hygiene areas", 6, true, ""}, {"Balance; matches the brief", 5, false, ""}, {"Time and order of work", 3, false, "stopped groom"}, {"Client and record", 2, false, ""},
}

func pick(name, label, hint, chosen string, values ...string) Choices {
	c := Choices{Name: name, Label: label, Hint: hint}
	for i := 0; i+1 < len(values); i += 2 {
		c.Choices = append(c.Choices, Choice{Value: values[i], Label: values[i+1]})
	}
	c.Choose(chosen)
	return c
}

func fixtureDraft() GroomDraft {
	d := NewGroomDraft()
	d.Shell, d.Heading = shell("Biscuit, groomed by Jory Pell", "Grooms"), "Biscuit, groomed by Jory Pell"
	d.Action, d.ReadBack, d.ClientID, d.BaseVersion, d.SavedAt = "/grooms/drafts/d9", "/grooms/drafts/d9/read-back", "4f1c", "12", "Saved 14:02"
	d.DraftKey = "d9"
	d.SoFar = SoFar{Marked: "9 of 13", Weight: "weight 74 of 100", Mean: "mean 3.86", Outlook: "Incomplete", Why: "Head and blend is not marked."}
	fill := func(c *Choices, chosen string, values ...string) {
		c.Choices = pick("", "", "", chosen, values...).Choices
	}
	fill(&d.Apprentice, "a1", "a1", "Jory Pell", "a2", "Aïsha Okonkwo-Brandt", "a3", "Teo", "a4", "Mbali Zwane")
	fill(&d.Coat, "XW", "SM", "Smooth", "DA", "Double, untrimmed", "DB", "Double, trimmed", "SI", "Silky", "WI", "Wire", "WO", "Wool or curly", "XW", "Curly cross", "CD", "Corded", "HL", "Hairless")
	fill(&d.Matting, "2", "0", "0 none", "1", "1 a few loose knots", "2", "2 several, ten minutes' work", "3", "3 widespread, close to the skin", "4", "4 pelted")
	fill(&d.Temperament, "1", "1", "1 relaxed", "2", "2 mild signs, recovers", "3", "3 anxious, needs breaks", "4", "4 reactive, two people", "5", "5 panicking: stop")
	fill(&d.Service, "full", "full", "Full groom", "bath", "Bath and brush", "dry", "Dry tidy", "strip", "Strip-off")
	fill(&d.Style, "lamb", "lamb", "Lamb trim", "teddy", "Rounded face, one length", "puppy", "Short all over")
	fill(&d.Prep, "armpits", "behind_ears", "Behind the ears", "armpits", "Armpits", "between_toes", "Between the toes", "tail_base", "Base of the tail")
	fill(&d.Help, "2", "1", "I did most of it", "2", "Hands-on help at times", "3", "Words only", "4", "None, and I stayed", "5", "None needed")
	fill(&d.Global, "", "1", "Far off", "2", "Some way off", "3", "Nearly", "4", "There", "5", "More than there")
	d.Day.Value, d.Start.Value, d.Stop.Value, d.Dog.Value, d.Size.Value, d.Weeks.Value, d.Share.Value = "2026-03-03", "11:40", "13:55", "Biscuit", "12.4", "6", "90"
	d.Asked.Value = "Fluffy, an inch all over, “like last summer”."
	d.CoatAllows.Value = "Matted at the armpits and behind the ears; body combs through after 20 minutes."
	d.Agreed.Value, d.AgreedWhy.Value = "13 mm comb on the body, head kept long.", "An inch would mat again in a week."
	d.Keep.Value = "You found the mat in the left armpit before the blade did."
	d.MoreAllowed = true
	for i := range d.Coat.Choices {
		d.Coat.Choices[i].Symbol = CoatSymbol(d.Coat.Choices[i].Value)
	}
	for i, n := range criterionNames {
		c := DraftCriterion{ID: fmt.Sprintf("R%d", i+1), Title: n.title, Weight: n.weight, CanSkip: n.skip != "", SkipWhen: n.skip}
		if n.must {
			c.MustMeet = "must meet: L4 or more"
		}
		for l, a := range anchors[i%2] {
			c.Levels = append(c.Levels, LevelChoice{itoa(l + 1), a, i < 9 && l == 3})
		}
		if c.CanSkip {
			c.SkipWhy = SkipReason(c.ID)
		}
		if i == 6 {
			c.Cautions = []Caution{{"Throat and face", fixtureCautions[0]}, {"Body clip with the lay", "Stretch flank and loin flat before the blade."}}
			c.SkillOpen = true
		}
		c.Skills = []DraftSkill{{fmt.Sprintf("A%d", i), "First skill under it", "", false, true}, {fmt.Sprintf("B%d", i), "Another skill, only if seen", "3", true, false}}
		if i == 6 {
			c.Skills = []DraftSkill{{"CL2", "Body clip with the lay", "", false, true}, {"CL4", "Throat and face", "3", false, true}, {"CL9", "Attachment combs over a short blade", "", true, false}}
		}
		d.Criteria = append(d.Criteria, c)
	}
	for i := range 2 {
		in := NewDraftIncident(i)
		in.Open, in.Drop = i == 0, "drop_incident."+itoa(i)
		fill(&in.Kind, map[bool]string{true: "nick"}[i == 0], "nick", "Nick or cut", "burn", "Clipper burn", "quick", "Quicked nail")
		fill(&in.Severity, "", "S0", "S0 near miss", "S1", "S1 minor", "S2", "S2 owner or vet told", "S3", "S3 vet treatment", "S4", "S4 the worst")
		fill(&in.Attribution, "", "apprentice", "Apprentice", "assessor", "Assessor", "equipment", "Equipment", "dog", "The dog", "shared", "Shared")
		fill(&in.Skill, "", "CL4", "Throat and face", "NE1", "Clip or grind nails")
		d.Incidents = append(d.Incidents, in)
	}
	d.LeaveAlone.Value = "Left hip, sore since the fall."
	d.Clock = DraftClock{Words: "On a break since 12:20.", BreakSince: "12:20", Buttons: []ClockButton{{"clock.start", "start", "Start the clock", true}, {"clock.on", "on", "Go on", false}, {"clock.finish", "finish", "Finished", false}}}
	d.Phrases = []PhraseSet{{"keep", []string{"Calm voice and calm hands."}}, {"change", []string{"Stretch the skin before the blade gets there.", "Bevel the foot all round, pads last."}}}
	stages := []DraftStage{{ID: "check_in", Title: "Check-in", CheckIn: true}, {ID: "comb_out", Title: "Comb-out", CombTest: true}, {ID: "hand_back", Title: "Hand-back", HandBack: true}}
	for i := range d.Criteria {
		s := &stages[i*len(stages)/len(d.Criteria)]
		s.Criteria = append(s.Criteria, &d.Criteria[i])
	}
	d.Stages = stages
	return d
}

var fixtureResult = Result{Word: "Not yet", Mean: "4.11", Percent: "77.9 %", Weight: "100 of 100", Reasons: []Reason{
	{"Drying and heat watch must reach L4; it counts as L3.", false}, {"Mean level 3.50 or more", true}, {"No criterion at L1", true}, {"No S3 or S4 incident", true}}}

func fixtureCriteria(edit bool) []CriterionResult {
	var out []CriterionResult
	for i, n := range criterionNames {
		c := CriterionResult{ID: fmt.Sprintf("R%d", i+1), Title: n.title, Weight: n.weight, Given: "L4", Effective: "L4"}
		if n.must {
			c.MustMeet = "must meet"
		}
		switch i {
		case 3:
			c.Given, c.Effective, c.Reason, c.Short = "L4", "L3", "A near miss with the dryer was noticed by the assessor: capped at L3.", true
		case 6:
			c.Skills = []string{"Throat and face marked L3 on its own."}
		case 11:
			c.Given, c.Effective, c.Reason = "not applicable", "", "The groom was stopped."
		}
		if edit {
			c.ChangeURL = "/grooms/drafts/d9#c-" + c.ID
		}
		out = append(out, c)
	}
	return out
}

var fixtureEffects = []Effect{
	{"Towel and blaster", "/apprentices/a1/skills/DR1", "not clean", "", "17 points", "7 points", Signed, OnHold, "S2 under this skill: held until 3 clean observations."},
	{"Throat and face", "/apprentices/a1/skills/CL4", "not clean", "", "12 points", "2 points", Practising, Practising, ""},
	{"Comb test", "/apprentices/a1/skills/CO3", "clean", "", "5 of 6", "enough (6 needed)", Practising, Eligible, "Nothing is missing now. It can be proposed."},
}

var fixtureSame = []Effect{{"Rinse, condition, drain", "/apprentices/a1/skills/BA4", "clean", "", "enough (6 needed)", "enough (6 needed)", Signed, Signed, ""}}

var fixtureNow = []Effect{
	{"Throat and face", "/apprentices/a1/skills/CL4", "not clean, −10, 2 points after it", "L3", "", "4 points", Practising, Practising, "below the level that counts"},
	{"Table and bath restraint", "/apprentices/a1/skills/HR2", "clean, +1, 13 points after it", "L4", "", "15 points", Practising, Practising, ""},
}

var fixtureAbout = []Row{
	{"Day", "3 March 2026, 11:40 to 13:55", "/grooms/drafts/d9#dog"}, {"Dog", "Biscuit · curly cross · 12.4 kg (M) · matting 2 · temperament 1", "/grooms/drafts/d9#dog"},
	{"Service", "Full groom, lamb trim", "/grooms/drafts/d9#dog"}, {"Stopped early", "No", "/grooms/drafts/d9#dog"}}
var fixtureBrief = []Row{{"Asked", "Fluffy, an inch all over.", "/grooms/drafts/d9#brief"}, {"The coat allows", "Matted at the armpits.", "/grooms/drafts/d9#brief"}, {"Leave alone", "", "/grooms/drafts/d9#brief"}}
var fixturePrep = []Row{{"Comb passed", "behind the ears, armpits", "/grooms/drafts/d9#prep"}, {"Not ticked", "between the toes, base of the tail", "/grooms/drafts/d9#prep"}}
var fixtureFeedback = []Row{{"Keep", "You found the mat before the blade did.", "/grooms/drafts/d9#feedback"}, {"Change", "Dry the armpits to the skin.", "/grooms/drafts/d9#feedback"}}
var fixtureIncidents = []IncidentLine{{"Hot dryer, no harm", "S0", "apprentice", "Towel and blaster", "", false, "Drying is capped at L3.", "/grooms/drafts/d9#incidents"}}

func plainRows(rows []Row) []Row {
	out := append([]Row(nil), rows...)
	for i := range out {
		out[i].ChangeURL = ""
	}
	return out
}

type namedPage struct {
	name string
	page any
}

// fixtures is every page, most of them in more than one state.
func fixtures() []namedPage {
	signIn := NewSignIn()
	signIn.Salon, signIn.Insecure, signIn.Next = "Salon Alder", true, "/matrix"
	signInWrong := NewSignIn()
	signInWrong.Salon = "Salon Alder"
	signInWrong.DemoNote = "This is the demo salon. Everyone in it is invented, and changes are gone when it stops."
	signInWrong.Fail(&signInWrong.Password, "Enter the password that goes with this login.")
	signInWrong.Demo = []DemoLogin{{"Rowan Ash", "Head groomer", "rowan", "three-wet-towels"}, {"Jory Pell", "Apprentice", "jory", "three-wet-towels"}}
	setUp := NewSetUp()
	setUp.Zone.Choices = []Choice{{Value: "Europe/London", Label: "Europe/London"}, {Value: "Europe/Lisbon", Label: "Europe/Lisbon"}}
	setUp.Fail(&setUp.SalonF, "Enter the name of the salon.")
	setUp.Fail(&setUp.Zone, "Choose the time zone of the salon.")
	welcome := NewWelcome()
	welcome.Salon = "Salon Alder"

	today := Today{Shell: shell("Today", "Today"), Greeting: "Good afternoon, Rowan", Day: "Tuesday 3 March 2026", Primary: Link{"Mark a groom", "/grooms/new"},
		Drafts:    []WaitingItem{{"Biscuit, groomed by Jory Pell", "9 of 13 marked, saved 14:02", "/grooms/drafts/d9", "Finish", "", "since 11:40"}},
		ToConfirm: []WaitingItem{{"Comb test, Mbali Zwane", "Proposed by Indigo Farr", "/signoffs/s40", "Look and decide", Eligible, "since Monday"}, {"Ears, Nils Østergård", "Proposed by Indigo Farr", "/signoffs/s41", "Look and decide", Eligible, "since Monday"}},
		ToPropose: []WaitingItem{{"Comb test, Jory Pell", "6 of 6, newest 1 day old", "/apprentices/a1/skills/CO3", "Look", Eligible, ""}},
		Exercises: []WaitingItem{{"Blade choice, Teo", "90 %", "/exercises/x1", "Look at it", "", "2 March 2026"}},
		Holds:     []WaitingItem{{"Throat and face, Jory Pell", "2 of 3 clean observations shown", "/apprentices/a1/skills/CL4#hold-h7", "Look", OnHold, "for 19 days"}},
		Fading:    []WaitingItem{{"Canine first aid, Teo", "12 months are over", "/apprentices/a3/skills/CW5", "Look", Lapsed, "since 1 March"}},
		Reviews:   []WaitingItem{{"Ears, Teo", "The declared observations are used up. Review the plan together before going on.", "/apprentices/a3/skills/CL5", "Look", Practising, ""}},
		Recent:    fixtureGrooms}
	today.ToSign, today.Disagrees = []WaitingItem{{"Biscuit – Jory Pell", "Clip or grind nails; Round the foot. Went as planned.", "/logbook/countersign?entry=e1", "Countersign", "", "2 March 2026"}},
		[]WaitingItem{{"Tarn – Mbali Zwane", "Marked by Indigo Farr, 27 February 2026", "/grooms/g405#said", "Answer", "", "since 1 March"}}
	today.Notice = "Signed. Biscuit is in the record as g412."
	quiet := Today{Shell: shell("Today", "Today"), Greeting: "Good morning, Rowan", Day: "Tuesday 3 March 2026", Primary: Link{"Mark a groom", "/grooms/new"},
		Empty: "Nothing waits for you. The next thing worth doing is to mark a groom."}
	auditor := Today{Shell: shell("Today", "Today"), Greeting: "Good morning, Sable", Day: "Tuesday 3 March 2026",
		AuditNote: "You can read everything here and change nothing. Every number leads to what it was counted from.",
		AuditRows: []Fact{{"Sign-off decisions", "23", "6 more wait for a confirmer", "/signoffs"}, {"Assessed grooms", "412", "18 rated twice", "/grooms"}, {"Open holds", "4", "", "/matrix"}},
		Audit:     []Link{{"All sign-offs", "/signoffs"}, {"The programme and its rules", "/programme"}, {"Make a copy to check elsewhere", "/export"}}}
	auditor.Person, auditor.Role = "Sable Quince", "Auditor"

	apprentice := Apprentice{Shell: shell("Jory Pell", "Skills matrix"), Name: "Jory Pell", Started: "10 March 2025", WeeksIn: "week 52 of 78", Programme: "Pet groomer, salon core 1.0",
		Progress: fixtureProgress, Completion: []Requirement{{"Whole grooms scored", "10", "31", "", true, ""}, {"Newest grooms in a row that meet the standard", "5 of 5", "3", "2 grooms more in a row.", false, ""}}, Next: fixtureNext, Recent: fixtureGrooms, AllGrooms: "/grooms?apprentice=a1", MarkURL: "/grooms/new?apprentice=a1", ExportURL: "/export?apprentice=a1",
		Holds:     []HoldLine{{"Throat and face", "/apprentices/a1/skills/CL4#hold-h7", "Clipper burn (S2). Released by 3 clean observations; 2 shown.", "since 12 February"}},
		Incidents: []IncidentCount{{"S0", "near miss", 4, "3 reported by the apprentice"}, {"S1", "minor", 2, ""}, {"S2", "owner or vet told", 1, ""}}}
	for _, u := range fixtureMatrix(6).Units {
		us := UnitSkills{ID: u.ID, Title: u.Title, Signed: 3, Required: len(u.Rows)}
		for i, r := range u.Rows {
			l := SkillLine{ID: r.ID, Title: r.Title, URL: r.Cells[0].URL, Standing: r.Cells[(i*5+1)%6].Standing, Safety: r.Safety, Optional: r.Optional}
			switch l.Standing {
			case Practising:
				l.Permission, l.Missing = "P3", "4 more points, and a wire or double coat"
			case Signed:
				l.Permission = "P4"
			case Eligible:
				l.Permission, l.Missing = "P3", "waits for a confirmer"
			case Lapsed:
				l.Missing = "a fresh check; the last one is 13 months old"
			}
			us.Skills = append(us.Skills, l)
		}
		apprentice.Units = append(apprentice.Units, us)
	}
	newcomer := Apprentice{Shell: shell("Teo", ""), Name: "Teo", Started: "2 March 2026", WeeksIn: "week 1 of 78", MarkURL: "/grooms/new?apprentice=a3",
		Progress: Progress{Signed: 0, Required: 58, Percent: "0.0 %", Safety: 37, Counts: []StandingCount{{NotStarted, 58}}}}

	skill := Skill{Shell: shell("Throat and face", "Programme"), ID: "CL4", Name: "Throat and face", Unit: "Clipping", Safety: true, Standard: fixtureStandard,
		Counts: []StandingCount{{Signed, 2}, {Practising, 2}, {OnHold, 1}, {NotStarted, 1}}}
	for i, s := range []Standing{OnHold, Signed, Practising, Signed, Practising, NotStarted} {
		skill.People = append(skill.People, SkillPerson{apprenticeNames[i], fmt.Sprintf("/apprentices/a%d/skills/CL4", i+1), s, "P3", "8 more points, one on a wire or double coat.", "20 February 2026"})
	}

	eligible := fixtureSkill()
	eligible.Holds, eligible.Standing, eligible.ProposeURL, eligible.ProposeNote = nil, Eligible, "/apprentices/a1/skills/CL4/propose", ""
	eligible.Explanation = "Every requirement is met. Nobody has proposed it yet."
	bare := ApprenticeSkill{Shell: shell("Ears, Teo", ""), Apprentice: "Teo", ApprenticeURL: "/apprentices/a3", SkillID: "CL5", Skill: "Ears", SkillURL: "/skills/CL5", Unit: "Clipping",
		Safety: true, Standing: NotStarted, Explanation: "Nothing has been seen yet.", Requirements: fixtureRequirements,
		Points: &PointsPath{Rule: "Eligible at 17 points.", Guarantee: "Fewer than 5 in 100.", Now: "No formal observation yet.", Chart: ChartPoints(nil, 17, -10)}}

	check := NewCheckPanel([]string{"with hands on hands", "with help", "with a word", "alone in sight", "could teach it"})
	check.Action, check.ClientID = "/apprentices/a3/skills/CW5/check", "9a"
	rehearsal, knowledge := bare, bare
	rehearsal.Check = &check
	rehearsal.Review = NewReviewPanel()
	rehearsal.Review.Why, rehearsal.Review.Effect, rehearsal.Review.CanSet = "The declared number of observations has passed.", "Recording it begins a new series.", true
	rehearsal.Review.Action, rehearsal.Review.ClientID, rehearsal.Review.History = "/apprentices/a3/skills/CW5/review", "9d", []ReviewLine{{"2 March 2026", "Rowan Ash", "Slower."}}
	known := NewCheckPanel(nil)
	rehearsal.Fail(&check.Level, "Choose the level you saw.")
	known.Action, known.ClientID = "/apprentices/a3/skills/CW7/check", "9b"
	knowledge.Check, knowledge.Points = &known, nil
	disputed := skill
	disputed.Policy = NewPolicyPanel()
	disputed.Policy.Now, disputed.Policy.Note, disputed.Policy.Until = "Allowed under the policy of 2 March 2026.", "Long-coated ears only.", "It can be relied on until 2 March 2027; then it has to be looked at again."
	disputed.Policy.CanSet, disputed.Policy.Action, disputed.Policy.ClientID = true, "/skills/NE4/policy", "9c"
	disputed.Policy.History = []PolicyLine{{"2 March 2026", "Allowed under the policy of 2 March 2026", "Rowan Ash", "Long-coated ears only."}}
	disputed.Fail(&disputed.Policy.Text, "Say what the policy allows and where it is kept.")

	apprentice.Own, apprentice.LeftOut, apprentice.ReviewURL = fixtureFigures, "1 newer groom not in these figures yet.", "/apprentices/a1/review"
	newGroom := GroomNew{Seconds: []SecondStart{{"g409", "Tarn", "Mbali Zwane, 2 March 2026, Bath and brush, marked by Indigo Farr"}}, Shell: shell("Mark a groom", "Grooms"), Action: "/grooms/new", ClientID: "11", Apprentice: fixtureDraft().Apprentice, Day: fixtureDraft().Day, Dog: fixtureDraft().Dog, Service: fixtureDraft().Service}
	draft := fixtureDraft()
	draft.Cut = &CutPlan{Empty: "Nothing is planned."}
	wrong := fixtureDraft()
	wrong.Corrects = "This draft corrects the groom signed on 2 March 2026. Reason: the wrong dog was chosen."
	wrong.Fail(&wrong.Size, "Enter the weight in kg, for example 12.4.")
	wrong.Fail(&wrong.Coat, "Choose the coat.")
	wrong.Fail(&wrong.Criteria[8], "Choose a level for the head, or leave the draft for later.")
	wrong.Fail(&wrong.Keep, "Write one thing to keep.")
	wrong.Coat.Choose()

	readBack := GroomReadBack{Shell: shell("Read back: Biscuit", "Grooms"), Apprentice: "Jory Pell", Dog: "Biscuit", About: fixtureAbout, Brief: fixtureBrief, Prep: fixturePrep, Feedback: fixtureFeedback,
		Criteria: fixtureCriteria(true), Incidents: fixtureIncidents, Result: fixtureResult, Moved: fixtureEffects, Same: fixtureSame, Holds: []string{"Signing puts Towel and blaster on hold, because of an incident of severity S2 under Towel and blaster. What releases it: 3 clean observations in a row since the incident."}, Rubric: "Whole groom, rubric 1.0", Signer: "Rowan Ash, head groomer",
		EditURL: "/grooms/drafts/d9", Action: "/grooms/drafts/d9/sign", ContentHash: "9f31c2aa70", Fingerprint: "9f31c2aa70", ClientID: "8e", Insecure: true,
		Password: SigningPassword()}
	readBack.Cut = &fixtureCut
	blocked := readBack
	blocked.Blocked, blocked.Result = "Four criteria are not marked yet. Mark them, or mark them not applicable where that is allowed.", Result{Word: "Incomplete", Reasons: []Reason{{"Head and blend is not marked.", false}}}
	blocked.Incidents = nil

	groom := Groom{Shell: shell("Biscuit, 3 March 2026", "Grooms"), Apprentice: "Jory Pell", ApprenticeURL: "/apprentices/a1", Dog: "Biscuit", Day: "3 March 2026",
		SignedBy: "Signed by Rowan Ash, head groomer, 3 March 2026 14:11 (UTC+0)", EnteredAt: "Entered the same day.", Fingerprint: "9f31c2aa70", Rubric: "Whole groom, rubric 1.0",
		Supersedes: &Version{"/grooms/g411", "2 March 2026", "Rowan Ash", "the wrong dog was chosen"}, SecondOf: &Version{"/grooms/g410", "3 March 2026", "Indigo Farr", ""},
		About: plainRows(fixtureAbout), Brief: plainRows(fixtureBrief), Prep: plainRows(fixturePrep), Feedback: plainRows(fixtureFeedback), Criteria: fixtureCriteria(false),
		Incidents: []IncidentLine{{"Hot dryer, no harm", "S0", "apprentice", "Towel and blaster", "", true, "", ""}}, Result: fixtureResult, Moved: fixtureNow, Same: []Effect{{"Comb test", "/apprentices/a1/skills/CO3", "clean", "L4", "", "enough (6 needed)", Signed, Signed, ""}},
		Next: []string{"Jory can read this now.", "Comb test is eligible: it can be proposed.", "Towel and blaster is on hold until 3 clean observations."}, Correct: "/grooms/g412/correct", NewURL: "/grooms/new"}
	groom.Notice = "Signed. Keep the fingerprint 9f31c2aa70 if you want to check this later."
	old := groom
	old.Notice, old.Superseded, old.Supersedes, old.SecondOf, old.Correct, old.NewURL = "", &Version{"/grooms/g412", "3 March 2026", "Rowan Ash", "the wrong dog was chosen"}, nil, nil, "", ""

	propose := Propose{Shell: shell("Propose sign-off: Comb test", "Sign-offs"), Apprentice: "Jory Pell", Skill: "Comb test", SkillURL: "/apprentices/a1/skills/CO3", Cautions: fixtureCautions[:1],
		Requirements: fixtureRequirements, Evidence: fixtureObservations(false), Excluded: fixtureObservations(true), Statement: "I have looked at this evidence. Jory Pell meets the rule for Comb test.",
		Guarantee: "Fewer than 5 in 100.", Action: "/apprentices/a1/skills/CO3/propose", ClientID: "4", EvidenceHash: "abc", Fingerprint: "77b0c41d09",
		Note: Field{Name: "note", Label: "Note for the confirmer", Optional: true}, Password: Password("Your password", "")}
	cannot := propose
	cannot.Blocked = "This cannot be proposed yet: 8 points and one coat class are missing."
	signOff := SignOff{Shell: shell("Sign-off: Comb test", "Sign-offs"), Apprentice: "Mbali Zwane", ApprenticeURL: "/apprentices/a4", Skill: "Comb test", SkillURL: "/apprentices/a4/skills/CO3",
		State: "Waits for a confirmer", Open: true, ProposedBy: "Indigo Farr, assessor, 2 March 2026 16:40 (UTC+0)", Statement: "I have looked at this evidence. Mbali Zwane meets the rule for Comb test.",
		Rule: "Finish and quality, version 1.0", Requirements: fixtureRequirements[2:], Evidence: fixtureObservations(false), Excluded: fixtureObservations(true), Fingerprint: "77b0c41d09",
		ChangedSince: "A groom of 20 February was corrected on 3 March.", CanDecide: true, Action: "/signoffs/s40/decide", ClientID: "5", Decision: DecisionChoices(),
		Reason: Field{Name: "reason", Label: "Reason", Hint: "Needed when you decline."}, Password: Password("Your password", "")}
	notYours := signOff
	notYours.CanDecide, notYours.WhyNot, notYours.ChangedSince = false, "You proposed this; a different person confirms. Indigo Farr and Sable Quince can.", ""
	decided := notYours
	decided.Open, decided.State, decided.DecidedBy, decided.DecidedNote, decided.Certificate = false, "Confirmed", "Rowan Ash, head groomer, 3 March 2026 09:12 (UTC+0)", "Looked at two of the grooms myself.", "/signoffs/s40/certificate"

	signOffs := SignOffs{Shell: shell("Sign-offs", "Sign-offs"), Filters: []Filter{{"All", "/signoffs", true}, {"Mine to decide", "/signoffs?show=mine", false}},
		Waiting: []SignOffItem{{"/signoffs/s40", "Comb test", "Mbali Zwane", "Waits for a confirmer", "Proposed by Indigo Farr, 2 March 2026", "", true}, {"/signoffs/s42", "Ears", "Jory Pell", "Waits for a confirmer", "Proposed by Rowan Ash, 2 March 2026", "", false}},
		Decided: []SignOffItem{{"/signoffs/s31", "Throat and face", "Jory Pell", "Confirmed", "Proposed by Rowan Ash, 3 January 2026", "confirmed by Indigo Farr, 4 January 2026", false}}}

	people := People{Shell: shell("People", "People"), CanAdd: true,
		Code: &OneTimeCode{"Teo", "teo", "kestrel-47-plum-09", "http://salon.internal:8420/welcome", "It works until 10 March 2026 and only once."},
		People: []PersonLine{{"Rowan Ash", "rowan", "Head groomer", "", "active", "since 4 January 2025", "", ""}, {"Indigo Farr", "indigo", "Assessor", "", "active", "", "/people/p2/code", "/people/p2"},
			{"Jory Pell", "jory", "Apprentice", "/apprentices/a1", "active", "started 10 March 2025", "/people/p3/code", "/people/p3"}, {"Teo", "teo", "Apprentice", "/apprentices/a3", "has not signed in yet", "started 2 March 2026", "/people/p4/code", "/people/p4"}},
		Form: NewPersonForm()}
	people.Form.Role.Choices = pick("", "", "", "", "apprentice", "Apprentice", "assessor", "Assessor", "head", "Head groomer", "auditor", "Auditor").Choices

	person := NewPerson("/people/p3")
	person.Shell, person.Name, person.BackTo, person.Form.Role.Choices = shell("Jory Pell", "People"), "Jory Pell", "", people.Form.Role.Choices
	person.LastDay.Value = "2026-03-02"
	person.Fail(&person.LastDay, "The last day lies in the future. Enter it when it has come: whoever has left cannot sign in.")
	gone := person
	gone.Shell, gone.Left, gone.LeaveTo, gone.BackTo = shell("Jory Pell", "People"), "2 March 2026", "", "/people/p3/back"
	account := NewAccount()
	account.Shell, account.Insecure = shell("Your account", ""), true
	account.Fail(&account.Old, "This is not your password. Try again.")
	signInLate := signIn
	signInLate.Unsaved = []Term{{"", "reason", "Holds the head gently.\nTwice.", ""}}
	signInLate.Fail(nil, "You were signed out meanwhile, so this was not saved.")

	programme := fixtureProgramme()
	export := Export{Shell: shell("Make a copy of the record", "Export"), Action: "/export/workbook", ClientID: "7", Photos: Check{Name: "photos", Label: "With the photos, small", Hint: "Only in the copy of one apprentice's record."},
		Scope:   pick("scope", "Whose record?", "", "salon", "salon", "The whole salon", "a1", "Jory Pell", "a2", "Aïsha Okonkwo-Brandt"),
		Sheets:  []Term{{"", "Summary", "Each apprentice: signed, required, percent, safety-critical", ""}, {"", "Observations", "One line for each, with what counted and why", ""}, {"", "Sign-offs", "Who proposed, who confirmed, on what", ""}},
		LeftOut: []string{"What people wrote about incidents. The kind, severity and effect are there.", "Passwords and codes.", "Owner names and addresses: Tablehand does not hold any."}, Check: "The first sheet carries a seal. “tablehand verify” checks it against the record."}
	exportNo := export
	exportNo.Blocked = "Only the head groomer and an auditor can copy the whole record. Your own is on your page."
	help := Help{Shell: shell("How Tablehand works", ""), PointsRule: "Eligible at 17 points. A clean observation earns 1, one that is not clean costs 10, debt stops at −10.",
		Guarantee: "If an apprentice's true fault rate were 20% or more, at most 5 in 100 would reach this within 60 observations.", MeetsRule: "A groom meets the standard when every must-meet criterion is L4 or more, the mean is 3.50 or more, none is L1 and there is no S3 or S4 incident.", Contact: "Ask Rowan Ash."}

	plain := shell("", "")
	conflict := Conflict(plain, []ConflictRow{{"Weight", "12.4 kg", "13 kg"}, {"Keep", "", "You found the mat."}}, Link{"Look at theirs", "/grooms/drafts/d9"})
	conflict.Keep = &KeepForm{"/grooms/drafts/d9", "Keep mine", []HiddenField{{"base_version", "13"}, {"size_kg", "13"}}}
	return slices.Concat(photoFixtures(draft, readBack, groom), cuttingFixtures(), learnerFixtures(), paperFixtures(), fixtureDevices(), []namedPage{
		{"sign-in", signIn}, {"sign-in-wrong", signInWrong}, {"set-up", setUp}, {"welcome", welcome},
		{"today", today}, {"today-quiet", quiet}, {"today-auditor", auditor},
		{"matrix", fixtureMatrix(6)}, {"matrix-25", fixtureMatrix(25)}, {"matrix-empty", Matrix{Shell: shell("Skills matrix", "Skills matrix")}},
		{"apprentice", apprentice}, {"apprentice-new", newcomer}, {"apprentice-skill", fixtureSkill()}, {"apprentice-skill-eligible", eligible}, {"apprentice-skill-bare", bare},
		{"rule", fixtureRule()}, {"sealed-apprentice", fixtureSealed(true)}, {"sealed-second", fixtureSealed(false)}, {"agreement", fixtureAgreement()},
		{"agreement-empty", Agreement{Shell: shell("How far the assessors agree", ""), Empty: "No groom has been rated twice yet."}}, {"skill", skill}, {"skill-disputed", disputed}, {"apprentice-skill-rehearsal", rehearsal}, {"apprentice-skill-knowledge", knowledge}, {"skill-empty", Skill{Shell: shell("Ears", ""), Name: "Ears", ID: "CL5", Standard: fixtureStandard}},
		{"grooms", Grooms{Shell: shell("Grooms", "Grooms"), Filters: []Filter{{"Everybody", "/grooms", true}, {"Jory Pell", "/grooms?apprentice=a1", false}}, Lines: fixtureGrooms, Drafts: []GroomLine{{"/grooms/drafts/d9", "3 March 2026", "Biscuit", "Jory Pell", "", "9 of 13 marked", "Draft", "", ""}}, NewURL: "/grooms/new", More: Link{"Older grooms", "/grooms?before=g1"}}},
		{"grooms-empty", Grooms{Shell: shell("Grooms", "Grooms"), NewURL: "/grooms/new"}}, {"grooms-filtered", Grooms{Shell: shell("Grooms", "Grooms"), Filtered: "Teo"}},
		{"groom-new", newGroom}, {"groom-new-nobody", GroomNew{Shell: shell("Mark a groom", "Grooms")}}, {"groom-draft", draft}, {"groom-draft-wrong", wrong},
		{"groom-read-back", readBack}, {"groom-read-back-blocked", blocked}, {"groom", groom}, {"groom-superseded", old},
		{"groom-correct", GroomCorrect{Shell: shell("Correct this groom", "Grooms"), Apprentice: "Jory Pell", Dog: "Biscuit", Day: "3 March 2026", SignedBy: "Signed by Rowan Ash, 3 March 2026 14:11", Action: "/grooms/g412/correct", ClientID: "9", Reason: Field{Name: "reason", Label: "What is wrong with it?", Hint: "Both versions show this."}, CancelURL: "/grooms/g412"}},
		{"sign-offs", signOffs}, {"sign-offs-empty", SignOffs{Shell: shell("Sign-offs", "Sign-offs")}}, {"sample", fixtureSample()}, {"phrases", fixturePhrases()}, {"propose", propose}, {"propose-blocked", cannot}, {"sign-off", signOff}, {"sign-off-not-yours", notYours}, {"sign-off-decided", decided},
		{"programme", programme}, {"export", export}, {"export-blocked", exportNo}, {"people", people}, {"person", person}, {"person-left", gone}, {"account", account}, {"sign-in-late", signInLate}, {"help", help}, {"help-plain", Help{Shell: Shell{Title: "How Tablehand works"}}},
		{"error-403", Forbidden(plain, "")}, {"error-404", NotFound(plain)}, {"error-409", conflict}, {"error-400", Unreadable(plain)}, {"error-413", TooLarge(plain, "1 MB", Link{})}, {"error-422", Unprocessable(plain, "", Link{})}, {"error-500", Broken(Shell{}, "7f3a-19")},
	})
}
