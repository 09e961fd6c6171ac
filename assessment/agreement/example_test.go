package agreement_test

import (
	"fmt"

	"tablehand/assessment/agreement"
)

func ExampleDecisions() {
	d := agreement.Decisions{BothClean: 21, OnlyAClean: 6, OnlyBClean: 0, NeitherClean: 3}
	fmt.Println(agreement.SameDecisionSentence(d.Agreement()))
	fmt.Println(agreement.NotCleanAgreementSentence(d.NotCleanAgreement()))
	fmt.Println(agreement.StricterSentence("Ana", "Bo", d))
	// Output:
	// 24 of 30 agreed; the true share could be anywhere from 63 to 90 in 100.
	// When one of them said not clean, the other said so too 6 times in 12; with so few, the true share could be anywhere from 22 to 78 in 100.
	// They disagreed on 6 grooms, and Bo was the stricter each time. If neither were stricter, a split at least this uneven would still come up about 3 times in 100.
}

func ExampleNewPair() {
	clean := agreement.Mark{Level: 4, Decision: agreement.Clean, Score: 4.1}
	var joint []agreement.Joint
	for range 7 {
		joint = append(joint, agreement.Joint{A: clean, B: clean})
	}
	p := agreement.NewPair("Ana", "Bo", 5, "levels", joint)
	fmt.Println(p.SameDecision.Shown, p.SameDecision.Sentence)
	fmt.Println(p.BeyondLuck.Shown, p.BeyondLuck.Sentence)
	// Output:
	// true 7 of 7 agreed; with so few, the true share could be anywhere from 65 to 100 in 100.
	// false Not shown yet: it takes 20 grooms marked by both; so far 7. With fewer, one disagreement would change it a lot.
}

// Where nearly everything is clean, the harsher count goes below 0 although 98 of
// 100 decisions are the same.
func ExampleCohenKappa() {
	d := agreement.Decisions{BothClean: 98, OnlyAClean: 1, OnlyBClean: 1}
	fmt.Printf("%.2f %.2f %.2f\n", d.Agreement().Value.Value, d.AC1().Value.Value, d.Kappa().Value.Value)
	// Output: 0.98 0.98 -0.01
}

// Shrout & Fleiss 1979: six targets, four judges.
func ExampleNewICC() {
	c := agreement.NewICC([][]float64{{9, 2, 5, 8}, {6, 1, 3, 2}, {8, 4, 6, 8}, {7, 1, 2, 6}, {10, 5, 6, 9}, {6, 2, 4, 7}})
	fmt.Printf("%.2f %.2f %.2f\n", c.One.Value.Value, c.Two.Value.Value, c.Three.Value.Value)
	fmt.Println(agreement.GroomShareSentence(c.Two))
	// Output:
	// 0.17 0.29 0.71
	// Of what makes marks differ, about 29 in 100 is the grooms; the rest is who marked, and chance. The true share could be anywhere from 2 to 76 in 100.
}

func ExampleEnough() {
	fmt.Println(agreement.Enough(agreement.Stricter, agreement.Seen{agreement.Disagreements: 5}))
	// Output: false Not shown yet: it takes 6 grooms on which they disagreed; so far 5. With fewer, it may be luck even if the same one was stricter every time.
}
