package assessment_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"tablehand/assessment"
	"tablehand/assessment/sequence"
	"tablehand/curriculum"
)

// The declared observations are used up: a review begins a new series, in which
// the points are earned afresh, and the promise covers all series together.
func TestANewSeries(t *testing.T) {
	p := curriculum.Default()
	used := seen("HC1", repeat("c", 16)+"x"+repeat("cccccccccx", 4)+repeat("c", 3), firstDay) // 60, never 17 points
	for i := range used {
		used[i].Day = firstDay + assessment.Day(i)
	}
	e := assessment.Evidence{Skill: p.Skill("HC1"), Observations: used}
	last := lastDay(used)
	s := assessment.Explain(p, &e, last)
	assert.Equal(t, 60, s.Points.Judged)
	assert.Equal(t, [3]any{assessment.Practising, assessment.ObservationsUsedUp, 1}, [3]any{s.State, s.Review, s.Series})
	assert.InDelta(t, 0.05, s.FalseSignOffAtMost(), 1e-15)

	more := seen("HC1", repeat("c", 17), last+1)
	for i := range more {
		more[i].Seq += 60
	}
	e.Observations = append(used[:60:60], more...)
	s = assessment.Explain(p, &e, lastDay(more))
	assert.NotEqual(t, assessment.Eligible, s.State, "without a review nothing begins anew")

	e.Reviews = []assessment.Reviewed{{About: assessment.ObservationsUsedUp, Day: last, By: "H", Note: "Slower, with shorter coats first."}}
	s = assessment.Explain(p, &e, last)
	assert.Equal(t, [3]any{assessment.Practising, assessment.NoReview, 2}, [3]any{s.State, s.Review, s.Series})
	assert.Equal(t, [2]int{0, 0}, [2]int{s.Points.Score, s.Points.Judged})
	s = assessment.Explain(p, &e, lastDay(more))
	assert.Equal(t, assessment.Eligible, s.State)
	assert.Equal(t, [2]int{17, 17}, [2]int{s.Points.Judged, s.Points.Reached})
	assert.InDelta(t, 0.10, s.FalseSignOffAtMost(), 1e-15, "at most the sum over the series (Boole)")
	judged := 0
	for _, u := range s.Used {
		if u.Judged {
			judged++
		}
	}
	assert.Equal(t, 17, judged, "the path is that of the series")
}

// Faults after sign-off that came close together are talked over once; new ones
// ask again.
func TestAReviewedAlarmIsQuiet(t *testing.T) {
	p := curriculum.Default()
	list := seen("HC1", repeat("c", 17)+"xx", firstDay)
	signed := firstDay + 16
	e := assessment.Evidence{Skill: p.Skill("HC1"), Observations: list,
		SignOffs: []assessment.SignOff{{Skill: "HC1", Decision: assessment.Confirmed, Proposed: signed, Decided: signed}}}
	assert.Equal(t, assessment.MonitorAlarm, assessment.Stand(p, &e, firstDay+18).Review)
	e.Reviews = []assessment.Reviewed{{About: assessment.MonitorAlarm, Day: firstDay + 18, By: "H", Note: "A new blade was dull."}}
	assert.Equal(t, assessment.NoReview, assessment.Stand(p, &e, firstDay+18).Review)
	again := seen("HC1", "xx", firstDay+19)
	for i := range again {
		again[i].Seq += 19
	}
	e.Observations = append(list[:19:19], again...)
	assert.Equal(t, assessment.MonitorAlarm, assessment.Stand(p, &e, firstDay+20).Review)
}

func TestRefuseReview(t *testing.T) {
	used := assessment.Standing{Review: assessment.ObservationsUsedUp}
	assert.Empty(t, assessment.RefuseReview(&used, assessment.HeadGroomer, "Slower."))
	assert.Contains(t, assessment.RefuseReview(&used, assessment.Assessor, "Slower."), "head groomer")
	assert.Contains(t, assessment.RefuseReview(&used, assessment.HeadGroomer, " "), "what you agreed")
	alarm := assessment.Standing{Review: assessment.MonitorAlarm}
	assert.Empty(t, assessment.RefuseReview(&alarm, assessment.Assessor, "A dull blade."))
	assert.NotEmpty(t, assessment.RefuseReview(&alarm, assessment.Apprentice, "A dull blade."))
	for _, r := range []assessment.Review{assessment.NoReview, assessment.IncidentsRepeated} {
		assert.Contains(t, assessment.RefuseReview(&assessment.Standing{Review: r}, assessment.HeadGroomer, "x"), "nothing to review")
	}
}

func TestSameDog(t *testing.T) {
	for _, same := range [][2]string{{"Biscuit 17", "biscuit 17"}, {"Biscuit 17", " Biscuit  17 "}, {"Biscuit 17", "Biscuit 17\u200b"}, {"Éclair", "éclair"}} {
		assert.True(t, assessment.SameDog(same[0], same[1]), "%q", same)
	}
	for _, other := range [][2]string{{"Biscuit 17", "Biscuit 18"}, {"", ""}, {"\u200b", "\u200b"}, {"Biscuit", ""}} {
		assert.False(t, assessment.SameDog(other[0], other[1]), "%q", other)
	}
}

// A hold can be released by what shows the skill; where nothing can, the other
// conditions stand.
func TestReleaseBySkillsThatNoDogShows(t *testing.T) {
	p := curriculum.Default()
	check := func(n, percent int) []assessment.Observation {
		var out []assessment.Observation
		for i := range n {
			out = append(out, assessment.Observation{Skill: "CW7", Source: assessment.Check, Percent: int8(percent), Day: firstDay + 1 + assessment.Day(i)})
		}
		return out
	}
	h := &assessment.Hold{Scope: curriculum.HoldUnit, Unit: "CW", Skill: "CW7", Severity: "S3", From: firstDay}
	needs := assessment.ReleaseNeeds(p, h, check(3, 100))
	assert.Len(t, needs, 1, "no dogs are asked for: %+v", needs)
	assert.True(t, needs[0].Met)
	assert.False(t, assessment.ReleaseNeeds(p, h, check(3, 10))[0].Met)
	h.Skill = "ZZ9"
	assert.Empty(t, assessment.ReleaseNeeds(p, h, nil), "a skill that the programme no longer has")
	assert.NotEmpty(t, assessment.RefuseRelease(p, h, nil, assessment.Releaser{Person: "H", HeadGroomer: true, Reason: "x"}), "the demonstration is still asked for")
}

func TestEndedHolds(t *testing.T) {
	p := curriculum.Default()
	s3 := assessment.Hold{Scope: curriculum.HoldUnit, Unit: "CL", Skill: "CL4", Severity: "S3", RecordedBy: "X"}
	s4 := assessment.Hold{Scope: curriculum.HoldSafety, Skill: "CL4", Severity: "S4"}
	released := s3
	released.Released = firstDay
	ended := func(after ...assessment.Hold) int { return len(assessment.EndedHolds(p, []assessment.Hold{s3}, after)) }
	assert.Equal(t, 1, ended())
	assert.Equal(t, 0, ended(s3))
	assert.Equal(t, 0, ended(s4), "replaced by a graver one")
	assert.Empty(t, assessment.EndedHolds(p, []assessment.Hold{released}, nil))
	hold := []assessment.Hold{s3}
	assert.Contains(t, assessment.RefuseCorrection(p, hold, "X", assessment.Assessor), "head groomer")
	assert.Contains(t, assessment.RefuseCorrection(p, hold, "X", assessment.HeadGroomer), "Somebody other")
	assert.Empty(t, assessment.RefuseCorrection(p, hold, "Y", assessment.HeadGroomer))
	assert.Empty(t, assessment.RefuseCorrection(p, nil, "X", assessment.Assessor))
}

// What the skill's page says after sign-off. The mean of 301 observations between
// calls for nothing and 10.5 to notice are the published monitor cases' values for
// a fault of 11 and a call at 12; by hand, two faults within ten clean ones call.
func TestWatch(t *testing.T) {
	p := curriculum.Default()
	signed := firstDay + 16
	watch := func(after string) *assessment.Watch {
		e := assessment.Evidence{Skill: p.Skill("HC1"), Observations: seen("HC1", repeat("c", 17)+after, firstDay),
			SignOffs: []assessment.SignOff{{Skill: "HC1", Decision: assessment.Confirmed, Proposed: signed, Decided: signed}}}
		s := assessment.Stand(p, &e, firstDay+60)
		return s.Watch
	}
	assert.Equal(t, "Nothing has been seen since sign-off yet.", watch("").Words())
	assert.Equal(t, "2 observations since sign-off, all clean.", watch("cc").Words())
	assert.Equal(t, &assessment.Watch{Seen: 3, Faults: 1, Score: 9, Alarm: 12}, watch("xcc"))
	assert.Equal(t, "3 observations since sign-off, 1 not clean. The count stands at 9; at 12 it is talked over together.", watch("xcc").Words())
	assert.Equal(t, "13 observations since sign-off, 1 not clean. The faults lie far enough apart.", watch("x"+repeat("c", 12)).Words())
	unsigned := assessment.Stand(p, &assessment.Evidence{Skill: p.Skill("HC1")}, signed)
	assert.Nil(t, unsigned.Watch)
	assert.Equal(t, "Somebody whose fault rate is 2 % would be called for nothing once in 301 observations on average; somebody at 20 % is noticed after 10.5.",
		assessment.WatchWords(sequence.Monitor{Fault: p.Monitor.Fault, Alarm: p.Monitor.Alarm}, 0.02, 0.2))
}
