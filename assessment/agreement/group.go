package agreement

import "fmt"

// Rated is one groom that several assessors marked, each without knowing the
// others' marks. Marks of an assessor to whom something is missing are left out of
// the figures that need it, and so is a groom that keeps fewer than two.
type Rated struct {
	Apprentice string
	Marks      map[string]Mark // by assessor
}

// Together is one figure of all assessors.
type Together struct {
	Figure Shown
	// Grooms and Assessors are what the figure rests on, or would rest on.
	Grooms, Assessors int
}

// Group is a report on all assessors together. Which grooms a figure can use
// depends on its design, and each sentence says which they were.
type Group struct {
	Alpha Together // Krippendorff's alpha of the decisions, whoever marked
	Kappa Together // Fleiss' kappa of the decisions, as many marks for each groom
	Share Together // intraclass correlation of the scores: ICC(2,1) or ICC(1,1)
	Study Together // generalizability study of the scores: grooms in apprentices, by assessors
}

// All lists the figures in the order of a page.
func (g *Group) All() []Together { return []Together{g.Alpha, g.Kappa, g.Share, g.Study} }

// NewGroup reports on everybody who marked the grooms of a list, oldest first. A
// figure is shown if there is enough for it (see Enough) and it exists.
func NewGroup(list []Rated) Group {
	decisions, scores := markedTogether(list, decided), markedTogether(list, scored)
	return Group{Alpha: groupAlpha(decisions), Kappa: groupKappa(decisions), Share: groupShare(scores), Study: groupStudy(scores)}
}

// together makes a figure; from says what it was worked out from.
func together(f Figure, seen Seen, value Number, bounds Interval, sentence, from string) Together {
	t := Together{show(f, seen, value, bounds, sentence), seen[Grooms], seen[Assessors]}
	if t.Figure.Shown {
		t.Figure.Sentence += " Worked out from " + from + "."
	}
	return t
}

func groupAlpha(decisions []marked) Together {
	seen := decisionsSeen(decisions)
	who := "two or more of " + assessors(seen[Assessors])
	if seen[Assessors] == 2 {
		who = exactly(2, 2)
	}
	alpha := KrippendorffAlpha(table(decisions), Nominal)
	return together(GroupAlpha, seen, alpha, noInterval(whyNoMargin), GroupAlphaSentence(alpha),
		fmt.Sprintf("%s that %s called clean or not clean", grooms(seen[Grooms]), who))
}

func groupKappa(decisions []marked) Together {
	equal, each := sameNumber(decisions)
	seen := decisionsSeen(equal)
	var counts [][]int
	for _, g := range equal {
		clean := 0
		for _, m := range g.marks {
			clean += int(m)
		}
		counts = append(counts, []int{each - clean, clean})
	}
	kappa := FleissKappa(counts)
	return together(GroupAgreement, seen, kappa.Value, kappa.Range, GroupAgreementSentence(kappa),
		fmt.Sprintf("%s that %s called clean or not clean%s", grooms(seen[Grooms]), exactly(each, seen[Assessors]), leftOut(len(decisions)-len(equal))))
}

func decisionsSeen(decisions []marked) Seen {
	seen := Seen{Grooms: len(decisions), Assessors: people(decisions)}
	for _, g := range decisions {
		for _, m := range g.marks {
			if m == markNotClean {
				seen[SomeNotClean]++
				break
			}
		}
	}
	return seen
}

// groupShare takes the two-way form where enough grooms were marked by the same
// assessors, because it knows the strict from the mild. Where assessors differ from
// groom to groom only the one-way form is honest, and its range holds only for
// people drawn from many.
func groupShare(scores []marked) Together {
	same := fullest(GroomShare, shareAssessors, Grooms, crossedSets(scores))
	enough, _ := Enough(GroomShare, same.seen())
	equal, each := sameNumber(scores)
	drawn := Seen{Grooms: len(equal), Assessors: people(equal)}
	if !enough && drawn[Assessors] > each && drawn[Assessors] >= atLeast(GroomShareDrawn, Assessors) {
		form := NewICC(table(equal)).One
		return together(GroomShareDrawn, drawn, form.Value, form.Range, GroomShareSentence(form),
			fmt.Sprintf("%s that %s scored, not always the same, as if chance had chosen them%s",
				grooms(len(equal)), exactly(each, drawn[Assessors]), leftOut(len(scores)-len(equal))))
	}
	form := NewICC(table(same.grooms)).Two
	return together(GroomShare, same.seen(), form.Value, form.Range, GroomShareSentence(form),
		fmt.Sprintf("%s that the same %s scored%s", grooms(len(same.grooms)), assessors(len(same.by)), leftOut(len(scores)-len(same.grooms))))
}

// groupStudy keeps a groom apart from its apprentice: with one groom each, what is
// the groom's would be put down to the apprentice.
func groupStudy(scores []marked) Together {
	sets := crossedSets(scores)
	for i := range sets {
		sets[i] = sets[i].balanced()
	}
	full := fullest(Dependable, studyAssessors, Apprentices, sets)
	cube := full.byApprentice()
	each := 0
	if len(cube) > 0 {
		each = len(cube[0])
	}
	study := GStudyIinPR(cube)
	one, many := study.Plan(1, 1), study.Plan(10, 2)
	say := DependableSentence(one, "one groom marked by one assessor")
	if many.Dependability.OK {
		say += fmt.Sprintf(" With ten grooms, all marked by the same two, it would be about %d in 100.", inHundred(many.Dependability.Value))
	}
	return together(Dependable, full.seen(), one.Dependability, noInterval(whyNoMargin), say,
		fmt.Sprintf("%d apprentices with %s each that the same %s scored%s", len(cube), grooms(each), assessors(len(full.by)), leftOut(len(scores)-len(full.grooms))))
}

func assessors(n int) string {
	if n == 1 {
		return "1 assessor"
	}
	return fmt.Sprintf("%d assessors", n)
}

// exactly says how many of all assessors marked each groom.
func exactly(each, all int) string {
	switch {
	case each < all:
		return fmt.Sprintf("exactly %d of %s", each, assessors(all))
	case all == 2:
		return "both assessors"
	}
	return "all " + assessors(all)
}

// leftOut says how many grooms a design had no use for.
func leftOut(n int) string {
	switch n {
	case 0:
		return ""
	case 1:
		return " (1 other groom does not fit and is left out)"
	}
	return fmt.Sprintf(" (%d other grooms do not fit and are left out)", n)
}
