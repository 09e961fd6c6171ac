package web

import (
	"fmt"
	"strings"
)

// paperFixtures are the pages made for paper, in every state they have.
func paperFixtures() []namedPage {
	nobody := fixtureWall(6)
	nobody.Columns, nobody.Units = nil, nil
	review := fixtureReview()
	plain := fixtureReview()
	plain.LeftOut, plain.Holds, plain.SignOffs, plain.Next, plain.Started, plain.WeeksIn = "", nil, nil, nil, "", ""
	wrong := fixtureReview()
	wrong.Since.Value = "2026-03-04"
	wrong.Fail(&wrong.Since, "This day has not come yet. Enter the day of the last review, today or earlier. Below stands the time since 9 December 2025 instead.")
	many := fixtureReview()
	for len(many.SignOffs) < 40 {
		many.SignOffs = append(many.SignOffs, many.SignOffs[0])
	}
	certificate := fixtureCertificate()
	again := fixtureCertificate()
	again.OnlyHere, again.LeftOut, again.Cautions, again.Criteria = true, "1 newer groom not in these figures yet.", nil, nil
	again.Review = "Grooms that the sign-off rested on were corrected downwards since. Look at the evidence again together; nothing is withdrawn by itself."
	refused := Certificate{Shell: shell("Certificate: Throat and face, Jory Pell", "Sign-offs"), Apprentice: "Jory Pell", Skill: "Throat and face", SignOffURL: "/signoffs/s31",
		WhyNot: "This sign-off waits for a second person to confirm it. There is a certificate once that has happened.", LeftOut: "1 newer groom not in these figures yet."}
	return []namedPage{
		{"wall", fixtureWall(6)}, {"wall-one", fixtureWall(1)}, {"wall-7", fixtureWall(7)}, {"wall-25", fixtureWall(25)}, {"wall-empty", nobody},
		{"review", review}, {"review-plain", plain}, {"review-wrong", wrong}, {"review-many", many},
		{"certificate", certificate}, {"certificate-again", again}, {"certificate-refused", refused},
	}
}

// fixtureWall has every mark that a cell can have, on every sheet.
func fixtureWall(people int) Wall {
	w := Wall{Shell: shell("Sheet for the wall", "Skills matrix"), Date: "Tuesday 3 March 2026", Programme: "Pet groomer, salon core, version 1",
		Levels:   []WallLevel{{1, "Watch and assist"}, {2, "Side by side"}, {3, "Next table"}, {4, "Same room"}, {5, "Works alone"}},
		Cautions: []string{"This sheet supports, and does not replace, licensed practice, veterinary advice and local law."}}
	w.Sheet = "9f31c2aa70"
	for i, name := range apprenticeNames[:people] {
		c := WallColumn{Name: name, URL: fmt.Sprintf("/apprentices/a%d", i+1)}
		if i%3 == 0 {
			c.Held = []string{"Keep blades cool", "every skill of Bathing"}
		}
		w.Columns = append(w.Columns, c)
	}
	n := 0
	for _, u := range unitNames {
		unit := WallUnit{Title: u.title}
		for _, title := range u.skills {
			row := WallRow{Title: strings.TrimPrefix(title, "!"), Safety: strings.HasPrefix(title, "!")}
			for i := range people {
				row.Cells = append(row.Cells, WallCell{Level: (n + i) % 6, OnHold: (n+i)%17 == 3, Watched: (n+i)%13 == 5})
			}
			unit.Rows = append(unit.Rows, row)
			n++
		}
		w.Units = append(w.Units, unit)
	}
	return w
}

func fixtureReview() ProgressReview {
	p := NewProgressReview("/apprentices/a1")
	p.Shell, p.Name, p.Programme = shell("Progress review: Jory Pell", "Skills matrix"), "Jory Pell", "Pet groomer, salon core, version 1"
	p.Back, p.Sheet = Link{"Jory Pell", "/apprentices/a1"}, "9f31c2aa70"
	p.Started, p.WeeksIn, p.From, p.To = "10 March 2025", "week 52 of 78", "9 December 2025", "3 March 2026"
	p.Since.Value, p.Progress, p.LeftOut = "2025-12-09", fixtureProgress, "1 newer groom not in these figures yet."
	p.Numbers = []Row{{"Grooms marked", "14: 9 met the standard, 4 not yet, 1 without a whole-groom result", ""}, {"Incidents", "none", ""}}
	p.SignOffs = []PeriodSignOff{{"4 January 2026", "Throat and face", "Rowan Ash and Indigo Farr", "/signoffs/s31", Signed}, {"9 January 2026", "Ears", "Rowan Ash and Indigo Farr", "/signoffs/s32", OnHold},
		{"10 January 2026", "A skill of an older version", "Rowan Ash and Indigo Farr", "/signoffs/s33", ""}}
	p.Holds = []HoldLine{{What: "Ears", URL: "/apprentices/a1/skills/CL5", Since: "since 20 February 2026"}}
	p.Next = []NextStep{{Skill: "Comb test", URL: "/apprentices/a1/skills/CO3", Standing: Practising, Missing: "2 observations more if all are clean.", Safety: true}}
	return p
}

func fixtureCertificate() Certificate {
	code, err := QR("http://salon.internal:8420/signoffs/s31")
	if err != nil {
		panic(err)
	}
	c := Certificate{Shell: shell("Certificate: Throat and face, Jory Pell", "Sign-offs"), Apprentice: "Jory Pell", Skill: "Throat and face", SignOffURL: "/signoffs/s31", Unit: "Clipping",
		Programme: "Pet groomer, salon core, version 1", Criteria: []string{"Finds the Adam's apple with a finger first", "Stretches the skin before the blade reaches it"},
		Proposed: "Rowan Ash, Head groomer, 3 January 2026", Confirmed: "Indigo Farr, Assessor, 4 January 2026", Evidence: "17 counting observations, listed in the record.",
		Rule:  []string{"A clean formal observation earns 1 point. One that is not clean costs 10.", "At least 3 different coat classes."},
		Error: "Of 100 apprentices whose fault rate is 20 %, about 5 would become eligible within 60 observations (exactly 4.93 %).", Currency: "Current until 5 April 2026. It lapses when the skill is not done cleanly by 5 July 2026.",
		Cautions: fixtureCautions, Digest: strings.Repeat("9f31c2aa", 8), Address: "http://salon.internal:8420/signoffs/s31", Code: code}
	c.Back, c.Sheet = Link{"Sign-off", "/signoffs/s31"}, "9f31c2aa9f"
	return c
}
