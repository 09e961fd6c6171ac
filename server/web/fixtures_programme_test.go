package web

import "fmt"

func fixtureProgramme() Programme {
	p := Programme{Shell: shell("Pet groomer, salon core", "Programme"), Name: "Pet groomer, salon core", Version: "1.0", Digest: "sha256:9f31c2aa70d15c4b6a8e02f7c1d94be33f0a5d7e8812c6690b7f4e1d2a9c5b80", About: "A programme for people who learn to groom dogs in a working salon.", Totals: "10 units, 60 skills, 58 of them required, 37 safety-critical",
		Rules:       []ProgrammeRule{{"E1", "Safety-critical, depends on the coat", []string{"At least 3 coat classes, 2 size bands and 2 assessors.", "The newest clean observation is no older than 60 days."}, ""}, {"E4", "Routine", []string{"3 counting observations on 2 size bands."}, ""}},
		Points:      []ProgrammeRule{{"", "Safety-critical skills seen often", []string{"Eligible at 17 points. A clean observation earns 1, one that is not clean costs 10, debt stops at −10.", "If the true fault rate were 20% or more, at most 5 in 100 would reach this within 60 observations."}, "/programme/rules/safety"}},
		RubricNote:  "Thirteen criteria, weights that add up to 100. A groom meets the standard when the mean is 3.50 or more, every must-meet is L4 or more and none is L1.",
		Levels:      []Term{{"L1", "Assessor did it", "The apprentice watched or held.", ""}, {"L4", "Unprompted", "The assessor stayed in the room in case.", ""}},
		Permissions: []Term{{"P1", "Watches and helps", "", ""}, {"P5", "Works alone", "May show others.", ""}},
		Vocabularies: []Vocabulary{{"Coat classes", "A curly cross counts as wool.", []Term{{"SM", "Smooth", "", "coat-SM"}, {"DA", "Double, untrimmed", "", "coat-DA"}, {"DB", "Double, trimmed", "", "coat-DB"}, {"SI", "Silky", "", "coat-SI"}, {"WI", "Wire", "", "coat-WI"}, {"WO", "Wool or curly", "", "coat-WO"}, {"XW", "Curly cross", "", "coat-XW"}, {"CD", "Corded", "", "coat-CD"}, {"HL", "Hairless", "", "coat-HL"}}},
			{"Size bands", "", []Term{{"S", "5 kg up to 10 kg", "", ""}, {"M", "10 kg up to 25 kg", "", ""}}}},
		Severities: []Severity{{"S0", "Near miss", "a loop left on while turning away", "May count; its criterion is capped at L3 unless the apprentice reported it.", "None."}, {"S2", "Owner or vet told", "a clipper burn", "Does not count.", "A signed skill goes on hold, permission P3 at most."}},
		Completion: []string{"All 58 required skills signed, none on hold.", "Ten scored whole grooms, the last five meeting the standard."}}
	for _, u := range unitNames {
		pu := ProgrammeUnit{ID: u.id, Title: u.title}
		for k, t := range u.skills {
			safety := t[0] == '!'
			if safety {
				t = t[1:]
			}
			id := fmt.Sprintf("%s%d", u.id, k+1)
			pu.Skills = append(pu.Skills, ProgrammeSkill{id, t, "/skills/" + id, safety, id == "NE4", "", fixtureStandard})
		}
		p.Units = append(p.Units, pu)
	}
	for i, n := range criterionNames {
		c := ProgrammeCriterion{ID: fmt.Sprintf("R%d", i+1), Title: n.title, Weight: n.weight, SkipWhen: n.skip, Anchors: anchors[i%2], Skills: []Link{{"Throat and face", "/skills/CL4"}}}
		if n.must {
			c.MustMeet = "must meet: L4 or more"
		}
		p.Rubric = append(p.Rubric, c)
	}
	p.Blades = &fixtureChart
	return p
}

// fixtureRule is a points rule with another one being looked at.
func fixtureRule() Rule {
	ours, other := make([]float64, 101), make([]float64, 101)
	for i := range ours {
		x := float64(i) / 100
		ours[i], other[i] = 1/(1+30*x*x*x*x*100), 1-x*x*x/4
	}
	facts := func(id string) RuleFacts {
		return RuleFacts{Rule: "A clean formal observation earns 1 point. One that is not clean costs 10, and the score never falls below −10. Eligible at 17 points.",
			Say:   []string{"At most 5 in 100 would reach this within 60 observations.", "A competent apprentice needs 21.6 observations on average."},
			Ours:  Hundred{"This rule", OutOf100(5), "Of 100 apprentices whose fault rate is 20 %, about 5 would become eligible within 60 observations (exactly 4.93 %)."},
			Other: Hundred{"Three clean in a row", OutOf100(100), "Of 100 apprentices whose fault rate is 20 %, about 100 would become eligible within 60 observations (exactly 100.00 %)."},
			Chart: ChartCurves(id, []Curve{{"this rule", ours, false}, {"three in a row", other, true}}, []CurveMark{{.02, "acceptable"}, {.2, "unacceptable"}}, .4, "Two falling lines."),
			Rows:  []CurveRow{{"0 %", "100.00 %", "100.00 %"}, {"20 %", "4.93 %", "100.00 %"}}, Names: [2]string{"This rule", "Three clean in a row"}}
	}
	page := Rule{Shell: shell("Safety points", "Programme"), Name: "Safety points", InUse: facts("in-use"), Search: NewRuleSearch("/programme/rules/safety")}
	page.Search.Competent.Value, page.Search.Unacceptable.Value, page.Search.Error.Value, page.Search.Within.Value = "2", "20", "5", "sixty"
	page.Fail(&page.Search.Within, "Enter a whole number of observations from 1 to 200, for example 60.")
	page.Choices = []RuleLine{{"/programme/rules/safety?costs=11", "A fault costs 11, never below −19, eligible at 15", "4.99 %", "19.6", "27 of 100", "61 of 90, after 19.4", false, true}, {"/programme/rules/safety?costs=10", "A fault costs 10, never below −10, eligible at 17", "4.93 %", "21.6", "49 of 100", "58 of 90, after 20.1", true, false}}
	page.Picked = &RulePicked{Facts: facts("picked"), Changes: []RuleChangeLine{{"Jory Pell", "Throat and face", "/apprentices/a1/skills/CL4", Practising, Eligible}},
		CanPublish: true, Action: "/programme/rules/safety", ClientID: "7c", Hidden: []HiddenField{{"costs", "11"}}, Password: Password("Your password", "You publish the version with it.")}
	return page
}

// fixtureSealed is a groom before its marks are shown: to an apprentice, and to
// an assessor who rates it a second time.
func fixtureSealed(apprentice bool) SealedGroom {
	page := SealedGroom{Shell: shell("Biscuit, Jory Pell", "Grooms"), Apprentice: "Jory Pell", Dog: "Biscuit", Day: "3 March 2026", SignedBy: "Marked by Rowan Ash, 3 March 2026 14:11 (UTC+0)", About: plainRows(fixtureAbout)}
	if !apprentice {
		page.Why, page.DraftURL = "You are rating this groom a second time. Its marks are shown when yours are signed.", "/grooms/drafts/d9"
		return page
	}
	page.Why = "Rate your own work first, then see the marks."
	page.Self = &SelfForm{Action: "/grooms/signed/g412/self", ShowAction: "/grooms/signed/g412/show", ClientID: "4e"}
	for i, a := range anchors {
		c := Choices{Name: "self.R" + itoa(i+1), Label: "Criterion " + itoa(i+1)}
		for l, words := range a {
			c.Choices = append(c.Choices, Choice{Value: itoa(l + 1), Label: "L" + itoa(l+1), Hint: words})
		}
		page.Self.Criteria = append(page.Self.Criteria, c)
	}
	page.Fail(nil, "Give at least one criterion a level, or look at the marks without rating.")
	return page
}

func fixtureAgreement() Agreement {
	return Agreement{Shell: shell("How far the assessors agree", "People"), Note: "A range is drawn so that 95 in 100 ranges hold the true figure.", Meant: "Clean means here that the whole groom met the standard.", NewURL: "/grooms/new#second",
		Wanted: []DoubleLine{{"Rowan Ash", "Indigo Farr", 2, 4}}, Whose: []Link{{"Jory Pell", "/apprentices/a1"}}, How: "About one groom in 10, spread over the pairs.",
		Pairs: []AgreementPair{{ID: "p1-p2", A: "Indigo Farr", B: "Rowan Ash", Grooms: 10, Figures: fixtureFigures, Criteria: []AgreementCriterion{{"Health check", "8 of 10", "9 of 10"}}}},
		Group: fixtureFigures}
}

var fixtureFigures = []AgreementFigure{{"Same decision", "percent agreement", true, "9 of 10 agreed; with so few, the true share could be anywhere from 60 to 98 in 100."},
	{"Agreement beyond luck", "Gwet's AC1", false, "Needs 20 grooms marked by both; there are 10."}}

func fixtureSample() Sample {
	page := NewSample()
	page.Shell = shell("Look again at some decisions", "Sign-offs")
	page.Plan.Choices = []Choice{{Value: "table", Label: "By table: 6 up to 25", Checked: true}, {Value: "root", Label: "Square root, rounded up"}}
	page.From.Value, page.To.Value, page.Seed.Value = "2025-03-03", "2026-03-02", "spring 2026"
	page.Drawn, page.Population = true, "From 23 decisions between 3 March 2025 and 2 March 2026: 12 proposed by Rowan Ash, 11 by Indigo Farr."
	page.Lines = []SampleLine{{"/signoffs/s7", "Throat and face", "Jory Pell", "Rowan Ash, 3 February 2026", "Confirmed by Indigo Farr, 5 February 2026", []string{"drawn"}},
		{"/signoffs/s9", "Round the foot", "Mbali Zwane", "Indigo Farr, 20 February 2026", "Declined by Rowan Ash, 21 February 2026", []string{"drawn", "this skill of this apprentice was declined at some time"}}}
	return page
}

func fixturePhrases() Phrases {
	page := NewPhrases()
	page.Shell, page.ClientID = shell("Quick phrases", "Programme"), "7d"
	page.Change.Value = "Stretch the skin before the blade gets there.\nBevel the foot all round, pads last."
	return page
}
