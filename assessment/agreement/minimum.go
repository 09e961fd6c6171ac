package agreement

import (
	"fmt"
	"strings"
)

// Figure names a figure that can be shown to people.
type Figure uint8

// The figures, first those for a pair of assessors.
const (
	SameLevel Figure = iota
	SameDecision
	CleanAgreement
	NotCleanAgreement
	Stricter         // McNemar's test
	BeyondLuck       // Gwet's AC1
	HarshBeyondLuck  // Cohen's kappa of decisions
	LinearLevels     // Cohen's kappa of levels, linear
	QuadraticLevels  // Cohen's kappa of levels, quadratic
	ScoreDifference  // Bland–Altman bias
	ScoreLimits      // Bland–Altman limits
	GroupAgreement   // Fleiss' kappa
	GroupAlpha       // Krippendorff's alpha
	GroomShare       // intraclass correlation, the same assessors throughout
	GroomShareDrawn  // intraclass correlation, other assessors from groom to groom
	CriteriaTogether // Cronbach's alpha and the error of a total
	Dependable       // G study
	SelfDifference   // self-rating less assessor's
	SelfLeaning      // a word for it
	figures
)

// Amount is something that a figure needs enough of.
type Amount uint8

const (
	Grooms        Amount = iota // marked by those that are compared
	Assessors                   // compared
	Apprentices                 // marked
	Disagreements               // grooms that one called clean and the other did not
	SomeClean                   // grooms that at least one called clean
	SomeNotClean                // grooms that at least one called not clean
)

// Need is how much of something a figure needs.
type Need struct {
	Amount  Amount
	AtLeast int
	What    string // of what, in words
}

// Minimum is what a figure needs before it is shown.
type Minimum struct {
	Title   string // what the figure is called on a page
	Known   string // the name to look it up by
	Needs   []Need
	Because string // why not sooner, a sentence
}

// What is counted, in words.
const (
	ofBoth     = "grooms marked by both"
	ofSame     = "grooms marked by the same three assessors or more"
	ofEqual    = "grooms marked by the same number of assessors"
	ofSome     = "grooms that two or more called clean or not clean"
	ofPeople   = "assessors"
	ofTwice    = "apprentices with two grooms each marked by the same ten assessors or more"
	ofSelf     = "grooms marked by the apprentice and an assessor"
	ofComplete = "grooms with every criterion marked"
	ofApart    = "grooms on which they disagreed"
	ofClean    = "grooms that at least one of them called clean"
	ofNotClean = "grooms that at least one of them called not clean"
)

// How many assessors have to have marked the same grooms before these count for
// GroomShare and for Dependable.
const (
	shareAssessors = 3
	studyAssessors = 10
)

// minimums is the whole rule: figure → what it needs, and why.
var minimums = [figures]Minimum{
	SameLevel: {"Same level", "percent agreement",
		[]Need{{Grooms, 5, ofBoth}}, // Wilson at 5 of 5: 57 to 100
		"With fewer, even full agreement says next to nothing."},
	SameDecision: {"Same decision", "percent agreement",
		[]Need{{Grooms, 5, ofBoth}},
		"With fewer, even full agreement says next to nothing."},
	CleanAgreement: {"Agreement on clean", "positive agreement",
		[]Need{{SomeClean, 5, ofClean}},
		"With fewer, even full agreement says next to nothing."},
	NotCleanAgreement: {"Agreement on not clean", "negative agreement",
		[]Need{{SomeNotClean, 5, ofNotClean}},
		"Faults have to be there before it shows whether both see them."},
	Stricter: {"Who is stricter", "exact McNemar test",
		[]Need{{Disagreements, 6, ofApart}}, // 2 × ½⁵ = 0.062, 2 × ½⁶ = 0.031
		"With fewer, it may be luck even if the same one was stricter every time."},
	BeyondLuck: {"Agreement beyond luck", "Gwet's AC1",
		[]Need{{Grooms, 20, ofBoth}},
		"With fewer, one disagreement would change it a lot."},
	HarshBeyondLuck: {"Agreement beyond luck, harsher count", "Cohen's kappa",
		[]Need{{Grooms, 30, ofBoth}, {SomeNotClean, 5, ofNotClean}}, // standard error about 0.18 at 20
		"With fewer, or with hardly a fault, it can be low although they agree."},
	LinearLevels: {"Levels beyond luck, by steps apart", "Cohen's kappa, linear weights",
		[]Need{{Grooms, 30, ofBoth}, {SomeNotClean, 5, ofNotClean}},
		"With fewer, or with hardly a fault, it can be low although they agree."},
	QuadraticLevels: {"Levels beyond luck, wide misses heavier", "Cohen's kappa, quadratic weights",
		[]Need{{Grooms, 30, ofBoth}, {SomeNotClean, 5, ofNotClean}},
		"With fewer, or with hardly a fault, it can be low although they agree."},
	ScoreDifference: {"Difference of scores", "Bland–Altman bias",
		[]Need{{Grooms, 8, ofBoth}}, // half-width 0.84 standard deviations at 8
		"With fewer, the average may be mostly chance."},
	ScoreLimits: {"How far apart scores can be", "Bland–Altman limits of agreement",
		[]Need{{Grooms, 20, ofBoth}},
		"With fewer, the limits would be too rough to use."},
	GroupAgreement: {"Agreement beyond luck, as many marks each", "Fleiss' kappa",
		[]Need{{Assessors, 3, ofPeople}, {Grooms, 30, ofEqual}, {SomeNotClean, 5, ofNotClean}},
		"With fewer, or with hardly a fault, it depends too much on which grooms and people there happened to be."},
	GroupAlpha: {"Agreement beyond luck, whoever marked", "Krippendorff's alpha",
		[]Need{{Grooms, 20, ofSome}, {SomeNotClean, 5, ofNotClean}},
		"With fewer, or with hardly a fault, it depends too much on which grooms there happened to be."},
	GroomShare: {"How much of a mark is the groom", "intraclass correlation ICC(2,1)",
		[]Need{{Grooms, 30, ofSame}}, // 0.80 has 0.41 to 0.95 at 10 × 2
		"With fewer, the answer could be far off."},
	// 0.80 has 0.67 to 0.88 at 50 × 2, as at 30 × 3. Where half of the error is who
	// marked, 73 in 100 such ranges hold the truth with 3 assessors in changing pairs,
	// and 89 with 10.
	GroomShareDrawn: {"How much of a mark is the groom", "intraclass correlation ICC(1,1)",
		[]Need{{Assessors, 10, ofPeople}, {Grooms, 50, ofEqual}},
		"With fewer, it depends too much on how strict the few happen to be."},
	CriteriaTogether: {"Whether criteria go together", "Cronbach's alpha",
		[]Need{{Grooms, 30, ofComplete}}, // it is an intraclass correlation
		"With fewer, the answer could be far off."},
	Dependable: {"How far a score can be relied on", "generalizability study",
		[]Need{{Apprentices, 20, ofTwice}}, // 2 or 3 assessors leave 1 or 2 degrees of freedom
		"With fewer, how strict each assessor is cannot be told from chance."},
	SelfDifference: {"Own marks against the assessor's", "mean difference of paired marks",
		[]Need{{Grooms, 8, ofSelf}},
		"With fewer, the average may be mostly chance."},
	SelfLeaning: {"A word about own marks", "mean difference of paired marks",
		[]Need{{Grooms, 15, ofSelf}}, // half-width 0.55 standard deviations at 15
		"With fewer, nobody should be called too sure or too modest."},
}

// MinimumFor returns what a figure needs; false for a Figure that does not exist.
func MinimumFor(f Figure) (Minimum, bool) {
	if f >= figures {
		return Minimum{}, false
	}
	return minimums[f], true
}

// Seen is how much there is; what is not listed is none.
type Seen map[Amount]int

// Enough reports whether there is enough for a figure to be shown, and otherwise
// the sentence that is shown instead.
func Enough(f Figure, seen Seen) (ok bool, instead string) {
	m, known := MinimumFor(f)
	if !known {
		return false, whyNoMargin
	}
	var needs, have []string
	for _, n := range m.Needs {
		if seen[n.Amount] < n.AtLeast {
			needs = append(needs, fmt.Sprintf("%d %s", n.AtLeast, n.What))
			have = append(have, fmt.Sprint(max(0, seen[n.Amount])))
		}
	}
	if needs == nil {
		return true, ""
	}
	return false, fmt.Sprintf("Not shown yet: it takes %s; so far %s. %s", listed(needs), listed(have), m.Because)
}

// listed joins parts as a sentence does.
func listed(parts []string) string {
	last := len(parts) - 1
	if last == 0 {
		return parts[0]
	}
	return strings.Join(parts[:last], ", ") + " and " + parts[last]
}

// atLeast is how much of something a figure needs; 0 if none.
func atLeast(f Figure, a Amount) int {
	for _, need := range minimums[f].Needs {
		if need.Amount == a {
			return need.AtLeast
		}
	}
	return 0
}
