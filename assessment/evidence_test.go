package assessment_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"tablehand/assessment"
	"tablehand/assessment/sequence"
	"tablehand/curriculum"
)

var firstDay = assessment.Date(2026, time.January, 1)

// seen makes formal observations of a skill on consecutive days, each on a dog
// of its own, with coats, sizes, styles and assessors in turn. In words: "c" is
// clean, "x" is not clean (level 3).
func seen(skill, words string, from assessment.Day) []assessment.Observation {
	var out []assessment.Observation
	for i, w := range words {
		o := assessment.Observation{Skill: skill, Day: from + assessment.Day(i), Seq: int64(i + 1), Level: 4,
			Dog: fmt.Sprintf("dog %d of %s", i, from), Coat: []string{"WO", "SI", "WI"}[i%3], Size: []string{"S", "M"}[i%2],
			Style: []string{"short_trim", "scissored"}[i%2], Assessor: []string{"X", "Y"}[i%2]}
		if w == 'x' {
			o.Level = 3
		}
		out = append(out, o)
	}
	return out
}

func repeat(word string, n int) string {
	s := ""
	for range n {
		s += word
	}
	return s
}

func standOn(t testing.TB, skill string, list []assessment.Observation, today assessment.Day) assessment.Standing {
	t.Helper()
	p := curriculum.Default()
	require.NotNil(t, p.Skill(skill))
	return assessment.Explain(p, &assessment.Evidence{Skill: p.Skill(skill), Observations: list}, today)
}

// lastDay is the day of the newest observation.
func lastDay(list []assessment.Observation) assessment.Day { return list[len(list)-1].Day }

// The safety rule: a clean one earns 1, a fault costs 10, never below −10,
// eligible at 17 (see assessment/sequence for where the numbers come from). The
// path is by hand.
func TestPointsByHand(t *testing.T) {
	list := seen("CL4", "ccccxcxxccc", firstDay)
	s := standOn(t, "CL4", list, lastDay(list))
	var path []int
	for _, u := range s.Used {
		path = append(path, u.Score)
	}
	assert.Equal(t, []int{1, 2, 3, 4, -6, -5, -10, -10, -9, -8, -7}, path)
	assert.Equal(t, assessment.Points{Score: -7, Judged: 11}, s.Points)
	assert.Equal(t, 11, s.Seen)
	assert.Equal(t, 8, s.Clean)
	assert.Equal(t, 11, find(t, s, assessment.NeedWithin).Have)
	r := find(t, s, assessment.NeedPoints)
	assert.Equal(t, 24, r.Missing)
	assert.Equal(t, "24 observations more if all are clean.", r.Closing())
}

// The same path from the rule's own step, up to the first time it is reached.
func TestPointsAgainstTheRuleItself(t *testing.T) {
	p := curriculum.Default()
	rule := assessment.SequenceRule(p.PointsRule("safety"))
	assert.Equal(t, sequence.Rule{Fault: 10, Floor: -10, Threshold: 17, Horizon: 60}, rule)
	rapid.Check(t, func(t *rapid.T) {
		words := ""
		for range rapid.IntRange(1, 80).Draw(t, "n") {
			words += rapid.SampledFrom([]string{"c", "c", "c", "c", "c", "c", "c", "c", "x"}).Draw(t, "w")
		}
		list := seen("CL4", words, firstDay)
		s := assessment.Explain(p, &assessment.Evidence{Skill: p.Skill("CL4"), Observations: list}, lastDay(list))
		score, reached := 0, 0
		for i, u := range s.Used {
			score = rule.Step(score, words[i] == 'c')
			if score >= rule.Threshold && reached == 0 {
				reached = i + 1
			}
			score = min(score, rule.Threshold) // held there, so that a fault always undoes it
			assert.Equal(t, score, u.Score, "after %d of %s", i+1, words)
		}
		assert.Equal(t, reached, s.Points.Reached)
	})
}

func TestEligibleAtSeventeenInARow(t *testing.T) {
	list := seen("CL4", repeat("c", 17), firstDay)
	today := lastDay(list)

	s := standOn(t, "CL4", list[:16], today)
	assert.Equal(t, assessment.Practising, s.State)
	require.Len(t, s.Missing(), 1)
	assert.Equal(t, assessment.NeedPoints, s.Missing()[0].Need)
	assert.Equal(t, "1 observation more if all are clean.", s.Missing()[0].Closing())

	s = standOn(t, "CL4", list, today)
	assert.Equal(t, assessment.Eligible, s.State)
	assert.Empty(t, s.Missing())
	assert.Equal(t, 17, s.Points.Reached)

	t.Run("one assessor is not enough", func(t *testing.T) {
		one := slices.Clone(list)
		for i := range one {
			one[i].Assessor = "X"
		}
		s := standOn(t, "CL4", one, today)
		assert.Equal(t, assessment.Practising, s.State)
		assert.Equal(t, "1 assessor more.", find(t, s, assessment.NeedAssessors).Closing())
	})
	t.Run("two coat classes are not enough", func(t *testing.T) {
		two := slices.Clone(list)
		for i := range two {
			two[i].Coat = []string{"WO", "XW", "SI"}[i%3] // a curly cross counts as wool
		}
		s := standOn(t, "CL4", two, today)
		assert.Equal(t, assessment.Practising, s.State)
		assert.Equal(t, "1 coat class more (so far WO, SI).", find(t, s, assessment.NeedCoats).Closing())
	})
	t.Run("one size band is not enough", func(t *testing.T) {
		one := slices.Clone(list)
		for i := range one {
			one[i].Size = "M"
		}
		assert.Equal(t, "1 size band more (so far M).", find(t, standOn(t, "CL4", one, today), assessment.NeedSizes).Closing())
	})
	t.Run("prerequisites", func(t *testing.T) {
		p := curriculum.Default()
		s := assessment.Stand(p, &assessment.Evidence{Skill: p.Skill("CL4"), Observations: list, Unsigned: []string{"CL2"}}, today)
		assert.Equal(t, assessment.Practising, s.State)
		r := find(t, s, assessment.NeedPrerequisites)
		assert.Equal(t, []int{1, 2, 1}, []int{r.Have, r.Want, r.Missing})
		assert.Equal(t, "Still to be signed: CL2.", r.Closing())
	})
	t.Run("too old after 60 days", func(t *testing.T) {
		assert.Equal(t, assessment.Eligible, standOn(t, "CL4", list, today+60).State)
		assert.Equal(t, assessment.Practising, standOn(t, "CL4", list, today+61).State)
	})
	t.Run("a fault afterwards undoes it", func(t *testing.T) {
		for _, more := range []int{0, 1, 20} { // however long it has stood
			worse := seen("CL4", repeat("c", 17+more)+"x", firstDay)
			s := standOn(t, "CL4", worse, lastDay(worse))
			assert.Equal(t, assessment.Practising, s.State)
			assert.Equal(t, 7, s.Points.Score)
			assert.Equal(t, 17, s.Points.Reached)
			again := seen("CL4", repeat("c", 17+more)+"x"+repeat("c", 10), firstDay)
			assert.Equal(t, assessment.Eligible, standOn(t, "CL4", again, lastDay(again)).State)
			assert.Equal(t, assessment.Practising, standOn(t, "CL4", again[:len(again)-1], lastDay(again)).State)
		}
	})
}

// Reached at the 60th and last declared observation is in time; at the 61st it
// is not. 33 faults leave −10, and 27 clean ones lead from there to 17.
func TestDeclaredObservationsUsedUp(t *testing.T) {
	in := seen("CL4", repeat("x", 33)+repeat("c", 27), firstDay)
	s := standOn(t, "CL4", in, lastDay(in))
	assert.Equal(t, assessment.Eligible, s.State)
	assert.Equal(t, 60, s.Points.Reached)
	assert.Equal(t, assessment.NoReview, s.Review)

	s = standOn(t, "CL4", in[:59], lastDay(in))
	assert.Equal(t, assessment.NoReview, s.Review)
	assert.True(t, find(t, s, assessment.NeedWithin).Met)

	late := seen("CL4", repeat("x", 34)+repeat("c", 40), firstDay)
	s = standOn(t, "CL4", late[:60], lastDay(late))
	assert.Equal(t, assessment.Practising, s.State)
	assert.Equal(t, assessment.ObservationsUsedUp, s.Review)
	assert.Contains(t, find(t, s, assessment.NeedWithin).Closing(), "60 declared observations are used up")

	s = standOn(t, "CL4", late, lastDay(late))
	assert.Equal(t, 17, s.Points.Score)
	assert.Equal(t, assessment.Practising, s.State, "too late")
	assert.Equal(t, assessment.ObservationsUsedUp, s.Review, "and the review is still asked for")
}

// A logbook entry earns nothing and costs as much as any fault; a self-rating
// does nothing at all.
func TestLogbookAndSelfRating(t *testing.T) {
	list := seen("CL4", repeat("c", 17), firstDay)
	today := lastDay(list)
	with := func(source assessment.Source, level int8) assessment.Standing {
		o := assessment.Observation{Skill: "CL4", Day: today, Seq: 99, Source: source, Level: level, Dog: "own", Coat: "SM", Size: "L", Assessor: "A"}
		return standOn(t, "CL4", append(slices.Clone(list[:16]), o), today)
	}
	base := standOn(t, "CL4", list[:16], today)
	for _, level := range []int8{1, 3, 4, 5} {
		s := with(assessment.Self, level)
		assert.Equal(t, base.Points, s.Points)
		assert.Equal(t, base.Requirements, s.Requirements)
		assert.Equal(t, assessment.SelfRated, s.Used[16].Why)
	}
	s := with(assessment.Logbook, 5)
	assert.Equal(t, base.Points, s.Points)
	assert.Equal(t, base.Requirements, s.Requirements, "neither points nor coats, sizes or assessors")
	assert.Equal(t, assessment.LogbookOnly, s.Used[16].Why)

	s = with(assessment.Logbook, 3)
	assert.Equal(t, 6, s.Points.Score)
	assert.Equal(t, 17, s.Points.Judged)
}

// Two ratings of the same dog on one day count once, and the worse is taken:
// a second look can take away, and cannot add.
func TestSameDogSameDay(t *testing.T) {
	list := seen("CL4", repeat("c", 17), firstDay)
	today := lastDay(list)
	twice := func(i int, change func(*assessment.Observation)) []assessment.Observation {
		o := list[i]
		o.Assessor, o.Seq = "Z", 50
		change(&o)
		return slices.Insert(slices.Clone(list), i+1, o)
	}
	plain := standOn(t, "CL4", list[:16], today)

	s := standOn(t, "CL4", twice(15, func(*assessment.Observation) {})[:17], today)
	assert.Equal(t, plain.Points, s.Points, "the same again adds nothing")
	assert.Equal(t, assessment.Practising, s.State)
	assert.Equal(t, []string{"X", "Y"}, find(t, s, assessment.NeedAssessors).Names)
	assert.Equal(t, assessment.SameDogSameDay, s.Used[16].Why)

	s = standOn(t, "CL4", twice(15, func(o *assessment.Observation) { o.Level = 5 })[:17], today)
	assert.Equal(t, plain.Points, s.Points)
	assert.Equal(t, assessment.SameDogSameDay, s.Used[16].Why, "the better is set aside")

	s = standOn(t, "CL4", twice(15, func(o *assessment.Observation) { o.Level = 3 })[:17], today)
	assert.Equal(t, 5, s.Points.Score, "15 − 10")
	assert.Equal(t, assessment.SameDogSameDay, s.Used[15].Why)
	assert.Equal(t, assessment.BelowLevel, s.Used[16].Why)

	s = standOn(t, "CL4", twice(15, func(o *assessment.Observation) { o.Severity, o.Attribution = "S2", "apprentice" })[:17], today)
	assert.Equal(t, 5, s.Points.Score)
	assert.Equal(t, assessment.HarmedByApprentice, s.Used[16].Why)

	s = standOn(t, "CL4", twice(15, func(o *assessment.Observation) { o.Dog = "another" })[:17], today)
	assert.Equal(t, assessment.Eligible, s.State, "another dog on the same day does count")

	s = standOn(t, "CL4", twice(15, func(o *assessment.Observation) { o.Day++ })[:17], today)
	assert.Equal(t, assessment.Eligible, s.State, "and so does the same dog the day after")
}

// The apprentice's own entry for a dog that an assessor watched too: a clean one
// says nothing, and a fault told in it is the worse of the two.
func TestLogbookEntryForAWatchedDog(t *testing.T) {
	list := seen("CL4", "ccccc", firstDay)
	entry := list[4]
	entry.Source, entry.Seq, entry.Assessor = assessment.Logbook, 50, "A"
	for _, first := range []bool{true, false} {
		at := 5
		if first {
			at = 4
		}
		entry.Level = 4
		assert.Equal(t, 5, standOn(t, "CL4", slices.Insert(slices.Clone(list), at, entry), lastDay(list)).Points.Score)
		entry.Level = 3
		s := standOn(t, "CL4", slices.Insert(slices.Clone(list), at, entry), lastDay(list))
		assert.Equal(t, assessment.Points{Score: -6, Judged: 5}, s.Points, "4 − 10, once")
		entry.Level = 4
		low := slices.Clone(list)
		low[4].Level = 3
		assert.Equal(t, -6, standOn(t, "CL4", slices.Insert(low, at, entry), lastDay(list)).Points.Score, "a clean entry hides no fault")
	}
	for i := range list { // dogs without a label are not known to be the same
		list[i].Dog, list[i].Day = "", firstDay
	}
	assert.Equal(t, 5, standOn(t, "CL4", list, firstDay).Points.Score)
}

// What each kind of skill asks for, and nothing else.
func TestRequirementsOfEachSkill(t *testing.T) {
	needs := func(skill string) (out []assessment.Need) {
		s := standOn(t, skill, nil, firstDay)
		assert.Equal(t, assessment.NotStarted, s.State)
		assert.Zero(t, s.CurrentUntil, "nothing is current yet")
		for _, r := range s.Requirements {
			out = append(out, r.Need)
		}
		return out
	}
	type list = []assessment.Need
	assert.Equal(t, list{assessment.NeedPoints, assessment.NeedWithin, assessment.NeedSizes, assessment.NeedAssessors, assessment.NeedNewest}, needs("HC1"))
	assert.Equal(t, list{assessment.NeedPoints, assessment.NeedWithin, assessment.NeedCoats, assessment.NeedSizes, assessment.NeedAssessors, assessment.NeedNewest, assessment.NeedPrerequisites}, needs("CL4"))
	assert.Equal(t, list{assessment.NeedCount, assessment.NeedStreak, assessment.NeedCoats, assessment.NeedSizes, assessment.NeedAssessors, assessment.NeedNewest, assessment.NeedPrerequisites}, needs("CL3"))
	assert.Equal(t, list{assessment.NeedCount, assessment.NeedStreak, assessment.NeedCoats, assessment.NeedStyles, assessment.NeedNewest, assessment.NeedPrerequisites}, needs("CL9"))
	assert.Equal(t, list{assessment.NeedCount, assessment.NeedSizes, assessment.NeedNewest}, needs("TH1"))
	assert.Equal(t, list{assessment.NeedSimulations}, needs("CW5"))
	assert.Equal(t, list{assessment.NeedCheck}, needs("CW7"))
	assert.Equal(t, list{assessment.NeedPolicy, assessment.NeedCount, assessment.NeedPrerequisites}, needs("NE4"))
}

// Harm outweighs a low level: a second rating without the incident does not
// hide what happened to the streak.
func TestHarmIsTheWorstOfTwoRatings(t *testing.T) {
	list := seen("CL9", "ccccc", firstDay) // rule E3: 4 of the last 6
	bad := list[4]
	bad.Severity, bad.Attribution = "S2", "apprentice"
	other := bad
	other.Severity, other.Attribution, other.Level = "", "", 3
	for _, pair := range [][]assessment.Observation{{bad, other}, {other, bad}} {
		s := standOn(t, "CL9", append(slices.Clone(list[:4]), pair...), lastDay(list))
		assert.Zero(t, find(t, s, assessment.NeedStreak).Have, "the streak starts again")
	}
	// The same with a single rating, whatever its level.
	for _, level := range []int8{1, 3, 4, 5} {
		bad.Level = level
		s := standOn(t, "CL9", append(slices.Clone(list[:4]), bad), lastDay(list))
		r := find(t, s, assessment.NeedStreak)
		assert.Equal(t, []int{0, 4}, []int{r.Have, r.Missing}, "level %d", level)
		assert.Equal(t, assessment.HarmedByApprentice, s.Used[4].Why)
	}
	// Without harm, a low one is a miss and no more: 4 of the last 5.
	s := standOn(t, "CL9", append(slices.Clone(list[:4]), other), lastDay(list))
	assert.Equal(t, 4, find(t, s, assessment.NeedStreak).Have)
	// A worse level does not hide a neutral harm, nor the other way round.
	neutral := bad
	neutral.Attribution, neutral.Level = "equipment", 1
	s = standOn(t, "CL4", append(slices.Clone(list[:4]), neutral, other), lastDay(list))
	assert.Equal(t, -6, s.Points.Score, "the clear fault counts: 4 − 10")
}

// Rare events: two rehearsals, or real events handled well. Knowledge: one check
// of 80 %. Disputed skills: only with a written policy. Common practice, no source.
func TestOtherKindsOfEvidence(t *testing.T) {
	p := curriculum.Default()
	rehearsal := func(day assessment.Day, level int8) assessment.Observation {
		return assessment.Observation{Skill: "CW5", Day: day, Source: assessment.Simulation, Level: level, Assessor: "X"}
	}
	s := standOn(t, "CW5", []assessment.Observation{rehearsal(firstDay, 4), rehearsal(firstDay+1, 3)}, firstDay+2)
	assert.Equal(t, assessment.Practising, s.State)
	assert.Equal(t, "1 rehearsal more.", find(t, s, assessment.NeedSimulations).Closing())
	assert.Equal(t, assessment.BelowLevel, s.Used[1].Why)
	s = standOn(t, "CW5", []assessment.Observation{rehearsal(firstDay, 4), rehearsal(firstDay+1, 5)}, firstDay+2)
	assert.Equal(t, assessment.Eligible, s.State)
	assert.Equal(t, "2027-01-02", s.CurrentUntil.String(), "twelve months after the newest")
	real := seen("CW5", "c", firstDay+1)
	s = standOn(t, "CW5", append([]assessment.Observation{rehearsal(firstDay, 4)}, real...), firstDay+2)
	assert.Equal(t, assessment.Eligible, s.State, "a real event handled well counts as one")
	s = standOn(t, "CL4", []assessment.Observation{rehearsal(firstDay, 5)}, firstDay)
	assert.Equal(t, assessment.WrongKind, s.Used[0].Why)

	check := func(day assessment.Day, percent int8) assessment.Observation {
		return assessment.Observation{Skill: "CW7", Day: day, Source: assessment.Check, Percent: percent, Assessor: "X"}
	}
	s = standOn(t, "CW7", []assessment.Observation{check(firstDay, 79)}, firstDay)
	assert.Equal(t, assessment.Practising, s.State)
	assert.Equal(t, assessment.BelowPass, s.Used[0].Why)
	assert.Equal(t, "A check with 80 % or more.", find(t, s, assessment.NeedCheck).Closing())
	s = standOn(t, "CW7", []assessment.Observation{check(firstDay, 79), check(firstDay+1, 80)}, firstDay+1)
	assert.Equal(t, assessment.Eligible, s.State)
	assert.Equal(t, "2028-01-02", s.CurrentUntil.String(), "24 months")
	s = standOn(t, "CW7", seen("CW7", "ccccc", firstDay), firstDay+9)
	assert.Equal(t, assessment.WrongKind, s.Used[0].Why)
	s = standOn(t, "CL4", []assessment.Observation{check(firstDay, 100)}, firstDay)
	assert.Equal(t, assessment.WrongKind, s.Used[0].Why)

	gated := assessment.Evidence{Skill: p.Skill("NE4"), Observations: seen("NE4", "ccc", firstDay)}
	st := assessment.Stand(p, &gated, firstDay+2)
	assert.Equal(t, assessment.Practising, st.State)
	assert.Equal(t, "no", find(t, st, assessment.NeedPolicy).Found())
	gated.PolicyDay = assessment.Date(2025, time.June, 15)
	assert.Equal(t, assessment.Eligible, assessment.Stand(p, &gated, firstDay+2).State)
	assert.Equal(t, assessment.Eligible, assessment.Stand(p, &gated, assessment.Date(2026, time.June, 15)).State)
	assert.Equal(t, assessment.Practising, assessment.Stand(p, &gated, assessment.Date(2026, time.June, 16)).State, "the policy is a year old")
}

// naive is the count-and-streak rule read from its text, with no thought for
// speed: from the list of observations make the list of what is left to judge,
// then ask each question of the list anew.
func naive(r *curriculum.EvidenceRule, p *curriculum.Programme, list []assessment.Observation) (count, streakHave, streakMissing int, coats, sizes, styles, assessors map[string]bool, newest assessment.Day) {
	harm := func(o assessment.Observation) bool {
		return o.Severity == "S2" || o.Severity == "S3" || o.Severity == "S4"
	}
	own := func(o assessment.Observation) bool { return o.Attribution == "apprentice" || o.Attribution == "shared" }
	// How bad: harm of one's own, then below L4, then harm by others, then clean; then the lower level.
	rank := func(o assessment.Observation) [2]int {
		switch {
		case harm(o) && own(o):
			return [2]int{3, 5 - int(o.Level)}
		case harm(o):
			return [2]int{1, 5 - int(o.Level)}
		case o.Level < 4:
			return [2]int{2, 5 - int(o.Level)}
		}
		return [2]int{0, 5 - int(o.Level)}
	}
	var left []assessment.Observation
	for i, o := range list {
		if o.Source != assessment.Formal {
			continue
		}
		dropped := false
		for j, other := range list {
			if j == i || other.Source != assessment.Formal || other.Day != o.Day || other.Dog != o.Dog {
				continue
			}
			a, b := rank(other), rank(o)
			if a[0] > b[0] || a[0] == b[0] && a[1] > b[1] || a == b && j < i {
				dropped = true
			}
		}
		if !dropped {
			left = append(left, o)
		}
	}
	coats, sizes, styles, assessors = map[string]bool{}, map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, o := range left {
		if o.Level >= 4 && !harm(o) {
			count++
			coats[map[bool]string{true: "WO", false: o.Coat}[o.Coat == "XW"]] = true
			sizes[o.Size], assessors[o.Assessor] = true, true
			if o.Style != "" { // not given is not another one
				styles[o.Style] = true
			}
			newest = max(newest, o.Day)
		}
	}
	var since []bool
	for _, o := range left {
		switch {
		case harm(o) && own(o):
			since = nil
		case harm(o):
		default:
			since = append(since, o.Level >= 4)
		}
	}
	among := func(l []bool) int {
		n := 0
		for _, clean := range l[max(0, len(l)-r.Streak.Of):] {
			if clean {
				n++
			}
		}
		return n
	}
	streakHave = among(since)
	for more := since; among(more) < r.Streak.Need; more = append(more, true) {
		streakMissing++
	}
	return count, streakHave, streakMissing, coats, sizes, styles, assessors, newest
}

func randomHistory(rng *rand.Rand, skill string, n int) []assessment.Observation {
	pick := func(words ...string) string { return words[rng.IntN(len(words))] }
	var list []assessment.Observation
	day := firstDay
	for i := range n {
		day += assessment.Day(rng.IntN(3))
		o := assessment.Observation{Skill: skill, Day: day, Seq: int64(i + 1), Level: int8(2 + rng.IntN(4)),
			Dog: pick("a", "b", "c"), Coat: pick("WO", "XW", "SI", "WI", "SM"), Size: pick("S", "M", "L"),
			Style: pick("short_trim", "scissored", ""), Assessor: pick("X", "Y", "Z")}
		if rng.IntN(3) > 0 {
			o.Level = int8(4 + rng.IntN(2))
		}
		if rng.IntN(8) == 0 {
			o.Severity, o.Attribution = pick("S0", "S1", "S2", "S2", "S3"), pick("apprentice", "shared", "dog", "equipment", "assessor")
		}
		switch rng.IntN(12) {
		case 0:
			o.Source = assessment.Self
		case 1:
			o.Source, o.Dog, o.Level = assessment.Logbook, "d", 4 // clean entries say nothing
			o.Severity, o.Attribution = "", ""
		}
		list = append(list, o)
	}
	return list
}

// Stand against the naive reading of E1 and E3, on 2,000 random histories.
func TestStandAgainstANaiveReading(t *testing.T) {
	p := curriculum.Default()
	rng := rand.New(rand.NewPCG(20260520, 8))
	agreed := map[assessment.State]int{}
	for run := range 2000 {
		rule := []string{"E1", "E3"}[run%2]
		s := *p.Skill("CL4")
		s.Points, s.Needs, s.Evidence = "", nil, rule
		r := p.EvidenceRule(rule)
		list := randomHistory(rng, "CL4", rng.IntN(31))
		today := firstDay + assessment.Day(rng.IntN(140))
		if len(list) > 0 {
			today = max(today, lastDay(list))
		}
		got := assessment.Stand(p, &assessment.Evidence{Skill: &s, Observations: list}, today)
		count, have, missing, coats, sizes, styles, assessors, newest := naive(r, p, list)

		at := fmt.Sprintf("history %d, rule %s, %v", run, rule, list)
		assert.Equal(t, count, find(t, got, assessment.NeedCount).Have, at)
		streak := find(t, got, assessment.NeedStreak)
		assert.Equal(t, have, streak.Have, at)
		assert.Equal(t, missing, streak.Missing, at)
		age := -1
		if newest > 0 {
			age = int(today - newest)
		}
		assert.Equal(t, age, find(t, got, assessment.NeedNewest).Have, at)
		met := count >= r.Count && missing == 0 && age >= 0 && age <= r.NewestWithinDays
		for _, spread := range []struct {
			need  assessment.Need
			want  int
			found map[string]bool
		}{{assessment.NeedCoats, r.Coats, coats}, {assessment.NeedSizes, r.Sizes, sizes}, {assessment.NeedStyles, r.Styles, styles}, {assessment.NeedAssessors, r.Assessors, assessors}} {
			if spread.want > 0 {
				assert.Equal(t, len(spread.found), find(t, got, spread.need).Have, at)
				met = met && len(spread.found) >= spread.want
			}
		}
		state := assessment.Practising
		switch {
		case met:
			state = assessment.Eligible
		case len(list) == 0:
			state = assessment.NotStarted
		}
		assert.Equal(t, state, got.State, at)
		agreed[state]++
		if t.Failed() {
			return
		}
	}
	for _, s := range []assessment.State{assessment.NotStarted, assessment.Practising, assessment.Eligible} {
		assert.Greater(t, agreed[s], 20, "%s hardly occurred, so it was hardly tested: %v", s, agreed)
	}
}

// Standing is a pure function: the same evidence gives the same standing, and
// is not touched.
func TestStandIsPure(t *testing.T) {
	p := curriculum.Default()
	rng := rand.New(rand.NewPCG(7, 7))
	for range 200 {
		list := randomHistory(rng, "CL4", 25)
		e := &assessment.Evidence{Skill: p.Skill("CL4"), Observations: list, Unsigned: []string{"CL2"},
			Holds:      []assessment.Hold{{Scope: curriculum.HoldUnit, Unit: "CL", Severity: "S3", From: firstDay}},
			SignOffs:   []assessment.SignOff{{Decision: assessment.Confirmed, Decided: firstDay + 10}, {Decision: assessment.Awaiting}},
			Permission: assessment.PermissionSet{Level: 4, Day: firstDay}}
		before := *e
		before.Observations, before.Holds, before.SignOffs = slices.Clone(e.Observations), slices.Clone(e.Holds), slices.Clone(e.SignOffs)
		first := assessment.Explain(p, e, firstDay+60)
		assert.Equal(t, first, assessment.Explain(p, e, firstDay+60))
		assert.Equal(t, before, *e)
		short := assessment.Stand(p, e, firstDay+60)
		assert.Nil(t, short.Used)
		first.Used = nil
		assert.Equal(t, first, short, "the explanation changes nothing else")
	}
}

// A clean observation more, wherever it is put, never lowers the points; on a
// dog already seen that day it changes nothing.
func TestACleanObservationNeverHarms(t *testing.T) {
	p := curriculum.Default()
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.StringMatching("[cx]{0,10}(ccc?x?){0,8}").Draw(t, "words")
		list := seen("CL4", words+"c", firstDay)
		points := func(l []assessment.Observation) int {
			s := assessment.Stand(p, &assessment.Evidence{Skill: p.Skill("CL4"), Observations: l}, firstDay+100)
			return s.Points.Score
		}
		i := rapid.IntRange(0, len(list)-1).Draw(t, "where")
		more := list[i]
		more.Level, more.Seq, more.Dog = 4, 500, "one more"
		assert.GreaterOrEqual(t, points(slices.Insert(slices.Clone(list), i, more)), points(list))
		more.Dog, more.Level = list[i].Dog, 5
		assert.Equal(t, points(list), points(slices.Insert(slices.Clone(list), i, more)))
	})
}

// Had one observation been clean instead, eligibility would not have come
// later.
func TestACleanObservationNeverDelays(t *testing.T) {
	p := curriculum.Default()
	reached := func(words string) int {
		s := assessment.Stand(p, &assessment.Evidence{Skill: p.Skill("CL4"), Observations: seen("CL4", words, firstDay)}, firstDay+100)
		if s.Points.Reached == 0 {
			return 1 << 30
		}
		return s.Points.Reached
	}
	earlier := 0
	rapid.Check(t, func(t *rapid.T) {
		words := []byte(rapid.StringMatching("[cx]{1,8}x(c{4,30}x?){1,3}").Draw(t, "words"))
		before := reached(string(words))
		var faults []int
		for i, w := range words {
			if w == 'x' {
				faults = append(faults, i)
			}
		}
		words[rapid.SampledFrom(faults).Draw(t, "which")] = 'c'
		after := reached(string(words))
		assert.LessOrEqual(t, after, before)
		if after < before {
			earlier++
		}
	})
	assert.Positive(t, earlier, "no history in which it made a difference")
}
