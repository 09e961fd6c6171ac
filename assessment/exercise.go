package assessment

import (
	"cmp"
	"math/rand/v2"
	"slices"

	"tablehand/curriculum"
)

// Question is a scenario with the answers to choose from. At least one is right.
type Question struct {
	CutScenario
	Options []Answer
}

// optionsOf is how many cuts a question offers; the two ways to stop come on top.
const optionsOf = 4

// Exercise draws the questions of one exercise. The same programme and seed always
// give the same questions. It returns none for a programme without a table.
func Exercise(p *curriculum.Programme, seed uint64) []Question {
	if p.Cutting == nil {
		return nil
	}
	d := &drawer{p: p, c: p.Cutting, rng: rand.New(rand.NewPCG(seed, 1))}
	kinds := slices.Clone(scenarioKinds)
	d.rng.Shuffle(len(kinds), func(i, j int) { kinds[i], kinds[j] = kinds[j], kinds[i] })
	out := make([]Question, p.Cutting.Exercise.Questions)
	for i := range out {
		out[i] = d.question(kinds[i%len(kinds)])
	}
	return out
}

// drawer draws scenarios from a table.
type drawer struct {
	p   *curriculum.Programme
	c   *curriculum.Cutting
	rng *rand.Rand
}

// scenarioKind fills in a scenario, or reports that this table has none of the
// kind. Where stops is set, nothing may be clipped in it.
type scenarioKind struct {
	draw  func(d *drawer, s *CutScenario) bool
	stops bool
}

// scenarioKinds are the situations apprentices are asked about; those that come up
// most at the table stand twice.
var scenarioKinds = []scenarioKind{
	{draw: (*drawer).agreedLength}, {draw: (*drawer).agreedLength},
	{draw: (*drawer).combLength},
	{draw: (*drawer).thinPlace}, {draw: (*drawer).thinPlace},
	{draw: (*drawer).tenderSkin}, {draw: (*drawer).tenderSkin},
	{draw: (*drawer).knots},
	{draw: (*drawer).consented},
	{draw: (*drawer).tooLongForKnots, stops: true},
	{draw: (*drawer).notAsked, stops: true},
	{draw: (*drawer).soreSkin, stops: true},
}

// question draws a scenario of a kind, or a plain one where the table has none. It
// gives up looking for the right sort after a while: whatever is drawn has a right
// answer.
func (d *drawer) question(kind scenarioKind) Question {
	const patience = 24
	for i := range 2 * patience {
		if i == patience {
			kind = scenarioKind{draw: (*drawer).agreedLength}
		}
		s := d.fresh()
		if !kind.draw(d, &s) {
			continue
		}
		all := CutChoices(d.p, &s)
		if stops := all[len(all)-2].Right || all[len(all)-1].Right; stops == kind.stops {
			return Question{s, d.options(&s, all)}
		}
	}
	s := d.fresh()
	s.Area = d.c.Areas[d.rng.IntN(len(d.c.Areas))].ID
	return Question{s, d.options(&s, CutChoices(d.p, &s))}
}

// fresh is a dog that is combed through, with sound skin and nothing agreed.
func (d *drawer) fresh() CutScenario {
	s := CutScenario{Dog: CutDog{Coat: one(d, d.c.Exercise.Coats), Tested: true}, Skin: d.c.Skins[0].ID}
	for _, place := range d.p.Vocabulary.CombTest {
		s.Dog.Passed = append(s.Dog.Passed, place.ID)
	}
	return s
}

// one draws from a list that is not empty.
func one[T any](d *drawer, list []T) T { return list[d.rng.IntN(len(list))] }

// area draws an area that fits; none is an answer.
func (d *drawer) area(s *CutScenario, fits func(a *curriculum.Area) bool) bool {
	var ids []string
	for i := range d.c.Areas {
		if fits(&d.c.Areas[i]) {
			ids = append(ids, d.c.Areas[i].ID)
		}
	}
	if len(ids) == 0 {
		return false
	}
	s.Area = one(d, ids)
	return true
}

func (d *drawer) skin(s *CutScenario, fits func(k *curriculum.Skin) bool) bool {
	var ids []string
	for i := range d.c.Skins {
		if fits(&d.c.Skins[i]) {
			ids = append(ids, d.c.Skins[i].ID)
		}
	}
	if len(ids) == 0 {
		return false
	}
	s.Skin = one(d, ids)
	return true
}

func jacket(a *curriculum.Area) bool { return a.Jacket }

// agree makes the agreed length that of a cut, in whole millimetres as an owner
// would say it; at least 1 mm.
func (d *drawer) agree(s *CutScenario, cut Cut) bool {
	l, ok := ExpectedLength(d.c, s.Dog.Coat, cut)
	s.Agreed = max((l.MM+50)/100, 1) * 100
	return ok
}

// clipped gives the coat a written wish where it needs one, so that it may be
// clipped.
func (d *drawer) clipped(s *CutScenario) { s.Wish = slices.Contains(d.c.WrittenWish, s.Dog.Coat) }

func (d *drawer) agreedLength(s *CutScenario) bool {
	d.clipped(s)
	coat := func(b *curriculum.Blade) bool { return b.Mats != curriculum.UnderMats } // the shorter ones are for other places
	return d.area(s, jacket) && d.agreeBlade(s, one(d, curriculum.Directions), coat)
}

// agreeBlade agrees the length of an even-toothed blade that fits.
func (d *drawer) agreeBlade(s *CutScenario, direction curriculum.Direction, fits func(b *curriculum.Blade) bool) bool {
	var ids []string
	for i := range d.c.Blades {
		if b := &d.c.Blades[i]; b.Barred == "" && !b.Narrow && b.Teeth == curriculum.EvenTeeth && fits(b) {
			ids = append(ids, b.ID)
		}
	}
	return len(ids) > 0 && d.agree(s, Cut{Tool: one(d, ids), Direction: direction})
}

func (d *drawer) combLength(s *CutScenario) bool {
	d.clipped(s)
	return len(d.c.Combs) > 0 && d.area(s, jacket) && d.agree(s, Cut{Tool: one(d, d.c.Combs).ID, Direction: curriculum.WithLie})
}

// thinPlace is an area where only some blades are used, and no length matters.
func (d *drawer) thinPlace(s *CutScenario) bool {
	return d.area(s, func(a *curriculum.Area) bool { return len(a.Blades) > 0 })
}

// tenderSkin is an area of the jacket whose skin forbids some blades.
func (d *drawer) tenderSkin(s *CutScenario) bool {
	d.clipped(s)
	tender := func(k *curriculum.Skin) bool {
		return k.Stop == "" && len(k.NoTeeth)+len(k.NoBlades)+len(k.OnlyBlades) > 0
	}
	if !d.area(s, jacket) || !d.skin(s, tender) {
		return false
	}
	allowed := func(b *curriculum.Blade) bool { return !d.c.Skin(s.Skin).Forbids(b) }
	return d.agreeBlade(s, curriculum.WithLie, allowed)
}

// knots is a knotted jacket for which a length was agreed that goes under them.
func (d *drawer) knots(s *CutScenario) bool {
	d.clipped(s)
	if d.c.KnottedFrom == d.c.ConsentFrom {
		s.Consent = true
	}
	under := func(b *curriculum.Blade) bool { return b.Mats == curriculum.UnderMats }
	return d.knotted(s, d.c.KnottedFrom) && d.agreeBlade(s, curriculum.WithLie, under)
}

// consented is a felted coat whose owner agreed in writing that it comes off.
func (d *drawer) consented(s *CutScenario) bool {
	d.clipped(s)
	s.Consent = true
	return d.knotted(s, d.c.ConsentFrom)
}

func (d *drawer) knotted(s *CutScenario, grade int) bool {
	s.Dog.Matting, s.Dog.Passed = grade, nil
	return d.area(s, jacket)
}

// tooLongForKnots is a knotted jacket for which more was agreed than can be kept.
func (d *drawer) tooLongForKnots(s *CutScenario) bool {
	d.clipped(s)
	s.Consent = d.c.KnottedFrom == d.c.ConsentFrom
	return len(d.c.Combs) > 0 && d.knotted(s, d.c.KnottedFrom) && d.agree(s, Cut{Tool: one(d, d.c.Combs).ID, Direction: curriculum.WithLie})
}

// notAsked is a coat that the owner has to agree about first: felted, or one that
// is otherwise left.
func (d *drawer) notAsked(s *CutScenario) bool {
	var left []string
	for _, coat := range d.c.Exercise.Coats {
		if slices.Contains(d.c.WrittenWish, coat) {
			left = append(left, coat)
		}
	}
	if len(left) == 0 || d.rng.IntN(2) == 0 {
		d.clipped(s)
		return d.knotted(s, d.c.ConsentFrom)
	}
	s.Dog.Coat = one(d, left)
	return d.agreedLength(s) && d.notWished(s)
}

func (d *drawer) notWished(s *CutScenario) bool {
	s.Wish = false
	return true
}

// soreSkin is skin on which nothing is clipped.
func (d *drawer) soreSkin(s *CutScenario) bool {
	d.clipped(s)
	anywhere := func(*curriculum.Area) bool { return true }
	return d.area(s, anywhere) && d.skin(s, func(k *curriculum.Skin) bool { return k.Stop != "" })
}

// options picks what a question offers: some right cuts, wrong ones that look
// likely, and the two ways to stop at the end.
func (d *drawer) options(s *CutScenario, all []CutChoice) []Answer {
	cuts, stops := slices.Clone(all[:len(all)-2]), all[len(all)-2:]
	if stops[0].Right || stops[1].Right {
		d.tempt(s, cuts)
	}
	d.rng.Shuffle(len(cuts), func(i, j int) { cuts[i], cuts[j] = cuts[j], cuts[i] })
	// The likelier first: little is wrong with them, and they are near the length.
	slices.SortStableFunc(cuts, func(a, b CutChoice) int { return cmp.Or(cmp.Compare(a.bad, b.bad), cmp.Compare(a.off, b.off)) })
	split := slices.IndexFunc(cuts, func(c CutChoice) bool { return !c.Right })
	if split < 0 {
		split = len(cuts)
	}
	right, wrong := cuts[:split], cuts[split:]
	n := 0
	if len(right) > 0 {
		n = 1 + d.rng.IntN(min(optionsOf-1, len(right)))
		d.rng.Shuffle(len(right), func(i, j int) { right[i], right[j] = right[j], right[i] })
	}
	out := append(differing(right, n), differing(wrong, optionsOf-n)...)
	d.rng.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return append(out, stops[0].Answer, stops[1].Answer)
}

// tempt ranks cuts that are all wrong by how right they would be if nothing stood in
// the way: those are what somebody takes who did not look.
func (d *drawer) tempt(s *CutScenario, cuts []CutChoice) {
	free := *s
	free.Skin, free.Consent, free.Wish = d.c.Skins[0].ID, true, true
	for i := range cuts {
		as := judgeCut(d.p, &free, cuts[i].Cut)
		cuts[i].worst, cuts[i].bad, cuts[i].off = as.worst, 1+as.bad, as.off
	}
}

// differing picks up to n answers, first those that differ from the earlier ones in
// what is wrong with them, then in the tool, then any.
func differing(list []CutChoice, n int) []Answer {
	var out []Answer
	taken := make([]bool, len(list))
	var faults []CutSeverity
	var tools set
	take := func(fits func(c *CutChoice) bool) {
		for i := range list {
			if c := &list[i]; len(out) < n && !taken[i] && fits(c) {
				taken[i], out = true, append(out, c.Answer)
				faults = append(faults, c.worst)
				tools.add(c.Tool)
			}
		}
	}
	take(func(c *CutChoice) bool { return !slices.Contains(faults, c.worst) && !slices.Contains(tools, c.Tool) })
	take(func(c *CutChoice) bool { return !slices.Contains(tools, c.Tool) })
	take(func(*CutChoice) bool { return true })
	return out
}

// ExerciseResult is a marked exercise.
type ExerciseResult struct {
	Right, Asked int
	Marked       []MarkedQuestion
}

// Percent is the share of right answers in whole per cent, cut off: 79.9 is 79, so
// that nobody passes by rounding.
func (r *ExerciseResult) Percent() int {
	if r.Asked == 0 {
		return 0
	}
	return 100 * r.Right / r.Asked
}

// MarkedQuestion is a question with the answer given and what each one is worth.
type MarkedQuestion struct {
	Question
	Given   int         // position of the answer given; −1 when none was
	Right   bool        // the one given is right
	Choices []CutChoice // one for each option
	Also    []string    // everything right here, in words
}

// MarkExercise marks the answers to the questions of an exercise: for each the
// position of the chosen option, from 0. What is missing or leads nowhere is not
// right. The programme is the one the questions were drawn from.
func MarkExercise(p *curriculum.Programme, questions []Question, given []int) ExerciseResult {
	r := ExerciseResult{Asked: len(questions)}
	for i := range questions {
		q := &questions[i]
		all := CutChoices(p, &q.CutScenario)
		m := MarkedQuestion{Question: *q, Given: -1, Also: RightWords(p.Cutting, all)}
		for _, o := range q.Options {
			ch := CutChoice{Answer: o, Why: "The table does not have this."}
			if k := slices.IndexFunc(all, func(c CutChoice) bool { return c.Answer == o }); k >= 0 {
				ch = all[k]
			}
			m.Choices = append(m.Choices, ch)
		}
		if i < len(given) && given[i] >= 0 && given[i] < len(m.Choices) {
			m.Given, m.Right = given[i], m.Choices[given[i]].Right
		}
		if m.Right {
			r.Right++
		}
		r.Marked = append(r.Marked, m)
	}
	return r
}

// ExerciseRule is the knowledge rule an exercise keeps; nil for a programme without
// a table.
func ExerciseRule(p *curriculum.Programme) *curriculum.EvidenceRule {
	if p.Cutting == nil {
		return nil
	}
	return p.EvidenceRule(p.Cutting.Exercise.Evidence)
}

// ExercisePassed reports whether a result, in per cent, reaches the pass mark of the
// programme it was asked under.
func ExercisePassed(p *curriculum.Programme, percent int) bool {
	rule := ExerciseRule(p)
	return rule != nil && percent >= rule.Percent
}

// Taken is a finished exercise as it counts.
type Taken struct {
	Apprentice string // key
	Done       Day
	Passed     bool
	Adopted    bool // it stands as a knowledge check
	Months     int  // how many calendar months it is good for; 0 for ever
}

func (t *Taken) current(today Day) bool {
	return t.Passed && (t.Months == 0 || today <= t.Done.AddMonths(t.Months))
}

// WaitingResults returns the positions of the results that somebody should look at:
// of each apprentice for whom none stands today, the newest that was passed and is
// not too old. The list is in any order of apprentices, the newest of each first.
func WaitingResults(list []Taken, today Day) []int {
	var settled set
	for i := range list {
		if t := &list[i]; t.Adopted && t.current(today) {
			settled.add(t.Apprentice)
		}
	}
	var out []int
	for i := range list {
		if t := &list[i]; t.current(today) && !slices.Contains(settled, t.Apprentice) {
			settled.add(t.Apprentice)
			out = append(out, i)
		}
	}
	return out
}

// Adoption is an assessor who wants to let a result of an exercise stand as a
// knowledge check. Somebody else might have given the answers, so the result alone is
// practice.
type Adoption struct {
	Person, Apprentice string // keys
	Role               Role
	Done               Day    // when the exercise was finished; zero while it is open
	Already            bool   // it stands already
	How                string // id of one of AdoptionWays
	Rule               *curriculum.EvidenceRule
	Today              Day
}

// AdoptionWays are the ways in which an assessor knows whose answers they are.
var AdoptionWays = []curriculum.Term{
	{ID: "watched", Name: "I watched the questions being answered"},
	{ID: "asked", Name: "I went through the answers with the apprentice, who could explain them"},
}

// Refuse returns why the result may not be adopted, or nothing.
func (a *Adoption) Refuse() string {
	switch {
	case !a.Role.Judges():
		return "Only a head groomer or an assessor may let a result stand."
	case a.Person == a.Apprentice:
		return "Nobody lets their own result stand."
	case a.Done == 0:
		return "This exercise is not finished yet."
	case a.Already:
		return "This result stands already."
	case a.Rule != nil && a.Rule.RepeatMonths > 0 && a.Today > a.Done.AddMonths(a.Rule.RepeatMonths):
		return "This result is too old: a knowledge check is renewed every " + plural(a.Rule.RepeatMonths, "month") + ". Ask for a new exercise."
	case !knownTerm(AdoptionWays, a.How):
		return "Say how you know that the answers are the apprentice's own."
	}
	return ""
}
