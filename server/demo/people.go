package demo

import "tablehand/assessment"

const (
	salonName = "Otterby Lane Grooming"
	salonZone = "Europe/London"
)

// passwords are meant to be read off the sign-in page.
var passwords = map[assessment.Role]string{
	assessment.HeadGroomer: "wet-hands-welcome",
	assessment.Assessor:    "cool-blade-first",
	assessment.Apprentice:  "comb-before-clip",
	assessment.Auditor:     "show-me-the-record",
}

// staff are those who do not learn. The first one is the head groomer.
var staff = []struct {
	name, login string
	role        assessment.Role
	share       float64 // of the grooms assessed
	praise      float64 // how readily L5 is given, 1 = as the others
}{
	{"Hesper Langwith", "hesper", assessment.HeadGroomer, 0.36, 0.9},
	{"Odile Brackenrig", "odile", assessment.Assessor, 0.38, 1.3},
	{"Dunstan Okoro-Pike", "dunstan", assessment.Assessor, 0.26, 0.7},
	{"Sable Winterslow", "sable", assessment.Auditor, 0, 0},
}

// character is an apprentice as the story has them.
type character struct {
	name, login string
	months      float64        // since the first day
	planned     int            // months the apprenticeship is to take; 0 when no end is planned yet
	grooms      int            // assessed, without second ratings and corrections
	lag         float64        // months later than usual in learning anything
	steady      float64        // usual number of clean rounds between two faults, once learned
	unread      assessment.Day // days before now of the last review
	story       story
}

// story is what has to happen to an apprentice, whatever the dice say.
type story struct {
	burned      bool // a clipper burn on a signed skill days ago; the hold is open
	bitten      bool // a bite in the fourth month; released later
	kennelHand  bool // worked with dogs before: checks and reads them well from the first day
	leavesTeeth bool // never brushes teeth again once that is signed, so it lapses
	firstAidOld bool // first aid was not repeated within the year
	declined    bool // one sign-off is declined at first
	disagrees   bool // disagrees with the marks of one groom
}

var characters = []character{
	{"Tamsin Orchardine", "tamsin", 14, 18, 115, 0.35, 34, 58, story{firstAidOld: true, declined: true}},
	{"Kwabena Thrale", "kwabena", 13, 18, 95, 1.2, 22, 46, story{kennelHand: true, leavesTeeth: true}},
	{"Elowen Sparrowhay", "elowen", 10, 18, 75, 0.2, 24, 40, story{burned: true}},
	{"Mirza Callowfield", "mirza", 7.5, 18, 57, 0.2, 16, 34, story{bitten: true, disagrees: true}},
	{"Linnea Hartsop", "linnea", 3.5, 24, 28, -0.2, 22, 14, story{}},
	{"Bo Fennimere", "bo", 0.7, 0, 10, 0, 20, 9, story{}},
}
