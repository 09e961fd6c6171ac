package assessment_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// Reading is not agreeing: one may follow the other, neither comes twice, and
// both come after the marks were seen. Common practice, no source.
func TestWhoMayAcknowledge(t *testing.T) {
	read, no := assessment.Acknowledgement{}, assessment.Acknowledgement{Disagrees: true, Words: "The comb passed."}
	long := assessment.Acknowledgement{Disagrees: true, Words: strings.Repeat("x", assessment.MaxText+1)}
	for name, c := range map[string]struct {
		change func(*assessment.Reader)
		in     assessment.Acknowledgement
		says   string
	}{
		"read":                   {func(*assessment.Reader) {}, read, ""},
		"disagree":               {func(*assessment.Reader) {}, no, ""},
		"disagree after reading": {func(r *assessment.Reader) { r.Said = []assessment.Acknowledgement{read} }, no, ""},
		"without words":          {func(*assessment.Reader) {}, assessment.Acknowledgement{Disagrees: true, Words: " "}, "in your own words"},
		"too long":               {func(*assessment.Reader) {}, long, "keep it to 2000"},
		"somebody else":          {func(r *assessment.Reader) { r.Person = "B" }, read, "Only the apprentice"},
		"not seen":               {func(r *assessment.Reader) { r.Opened = false }, read, "not been shown"},
		"corrected":              {func(r *assessment.Reader) { r.Corrected = true }, no, "replaced"},
		"read twice":             {func(r *assessment.Reader) { r.Said = []assessment.Acknowledgement{read} }, read, "have read"},
		"disagree twice":         {func(r *assessment.Reader) { r.Said = []assessment.Acknowledgement{read, no} }, no, "What you wrote stays"},
		"read after disagreeing": {func(r *assessment.Reader) { r.Said = []assessment.Acknowledgement{no} }, read, "What you wrote stays"},
	} {
		r := assessment.Reader{Groom: &assessment.Groom{Apprentice: "A"}, Person: "A", Opened: true}
		c.change(&r)
		got := r.Refuse(c.in)
		assert.Equal(t, c.says == "", got == "", "%s: %s", name, got)
		assert.Contains(t, got, c.says, name)
	}
	open := assessment.Disagreement{Apprentice: "A"}
	assert.Empty(t, open.Refuse("X", assessment.Assessor, "Looked again."))
	assert.NotEmpty(t, open.Refuse("X", assessment.Assessor, "\n"))
	assert.NotEmpty(t, open.Refuse("L", assessment.Auditor, "Hm."))
	assert.NotEmpty(t, open.Refuse("A", assessment.Assessor, "I was right."))
	assert.NotEmpty(t, (&assessment.Disagreement{Apprentice: "A", Answered: true}).Refuse("X", assessment.Assessor, "Again."))
	assert.NotEmpty(t, (&assessment.Disagreement{Apprentice: "A", Corrected: true}).Refuse("X", assessment.Assessor, "Again."))
}

func logEntry() assessment.LogEntry {
	return assessment.LogEntry{Apprentice: "A", Day: firstDay, Dog: "Pebble", Coat: "SI", Grams: 6200, Skills: []string{"CL4", "NE1"}, Level: 4, Outcome: assessment.AsPlanned, Supervisor: "X"}
}

func TestLogProblems(t *testing.T) {
	p := curriculum.Default()
	e := logEntry()
	assert.Empty(t, assessment.LogProblems(p, &e, firstDay))
	e.Grams, e.Supervisor, e.Words = 0, "", ""
	assert.Empty(t, assessment.LogProblems(p, &e, firstDay), "weight, words and somebody there can be missing")
	for name, c := range map[string]struct {
		change func(*assessment.LogEntry)
		field  string
	}{
		"no day":      {func(e *assessment.LogEntry) { e.Day = 0 }, "day"},
		"tomorrow":    {func(e *assessment.LogEntry) { e.Day = firstDay + 1 }, "day"},
		"long ago":    {func(e *assessment.LogEntry) { e.Day = assessment.Earliest - 1 }, "day"},
		"no dog":      {func(e *assessment.LogEntry) { e.Dog = " \u200b" }, "dog"},
		"long label":  {func(e *assessment.LogEntry) { e.Dog = strings.Repeat("x", 81) }, "dog"},
		"no coat":     {func(e *assessment.LogEntry) { e.Coat = "" }, "coat"},
		"weight":      {func(e *assessment.LogEntry) { e.Grams = 150_001 }, "size_kg"},
		"no skill":    {func(e *assessment.LogEntry) { e.Skills = nil }, "skill"},
		"unknown":     {func(e *assessment.LogEntry) { e.Skills = []string{"ZZ9"} }, "skill"},
		"checked":     {func(e *assessment.LogEntry) { e.Skills = []string{"CW7"} }, "skill"},
		"twice":       {func(e *assessment.LogEntry) { e.Skills = []string{"CL4", "CL4"} }, "skill"},
		"two faults":  {func(e *assessment.LogEntry) { e.Outcome, e.Words = assessment.WentWrong, "Nicked." }, "skill"},
		"no level":    {func(e *assessment.LogEntry) { e.Level = 0 }, "level"},
		"level 6":     {func(e *assessment.LogEntry) { e.Level = 6 }, "level"},
		"not said":    {func(e *assessment.LogEntry) { e.Outcome = assessment.OutcomeOpen }, "outcome"},
		"unexplained": {func(e *assessment.LogEntry) { e.Outcome, e.Skills = assessment.WentWrong, e.Skills[:1] }, "words"},
		"a story":     {func(e *assessment.LogEntry) { e.Words = strings.Repeat("x", assessment.MaxNote+1) }, "words"},
	} {
		e := logEntry()
		c.change(&e)
		found := assessment.LogProblems(p, &e, firstDay)
		require.Len(t, found, 1, name)
		assert.Equal(t, c.field, found[0].Field, name)
		assert.NotEmpty(t, found[0].Message, name)
	}
}

// What a countersigned entry shows, at each level and outcome: practice with help
// shows nothing, a fault is never clean, and no entry earns a point. Common
// practice, no source.
func TestWhatALogbookEntryShows(t *testing.T) {
	p := curriculum.Default()
	for level := 1; level <= 5; level++ {
		for _, outcome := range []assessment.LogOutcome{assessment.AsPlanned, assessment.WentWrong} {
			e := logEntry()
			e.Level, e.Outcome = level, outcome
			seen := e.Observations(p, "X")
			switch {
			case outcome == assessment.AsPlanned && level < 4:
				assert.Empty(t, seen)
			default:
				require.Len(t, seen, 2)
				for i, o := range seen {
					assert.Equal(t, e.Skills[i], o.Skill)
					assert.Equal(t, [4]string{"X", "Pebble", "SI", "S"}, [4]string{o.Assessor, o.Dog, o.Coat, o.Size})
					assert.Equal(t, assessment.Logbook, o.Source)
					want := assessment.Clean
					if outcome == assessment.WentWrong {
						want = assessment.NotClean
					}
					assert.Equal(t, want, assessment.VerdictOf(p, &o), "L%d %s", level, outcome)
				}
			}
		}
	}
	list := seen("CL4", repeat("c", 12), firstDay)
	e := logEntry()
	e.Day, e.Skills = lastDay(list)+1, []string{"CL4"}
	at := func(e *assessment.LogEntry) int {
		return standOn(t, "CL4", append(list[:12:12], e.Observations(p, "X")...), e.Day).Points.Score
	}
	assert.Equal(t, 12, at(&e), "earns nothing")
	e.Level = 2
	assert.Equal(t, 12, at(&e), "help costs nothing")
	e.Outcome = assessment.WentWrong
	assert.Equal(t, 2, at(&e), "12 − 10")
}

func TestWhoCountersigns(t *testing.T) {
	e := logEntry()
	assert.Empty(t, assessment.RefuseLogDecision(&e, assessment.OwnWord, "X", assessment.Assessor))
	assert.NotEmpty(t, assessment.RefuseLogDecision(&e, assessment.Countersigned, "X", assessment.Assessor))
	assert.NotEmpty(t, assessment.RefuseLogDecision(&e, assessment.NotSo, "X", assessment.Assessor))
	assert.NotEmpty(t, assessment.RefuseLogDecision(&e, assessment.OwnWord, "Y", assessment.HeadGroomer), "who was not there")
	assert.NotEmpty(t, assessment.RefuseLogDecision(&e, assessment.OwnWord, "X", assessment.Auditor))
	e.Apprentice = "X"
	assert.NotEmpty(t, assessment.RefuseLogDecision(&e, assessment.OwnWord, "X", assessment.Assessor), "nobody countersigns for themselves")
	e = logEntry()
	e.Supervisor = ""
	assert.NotEmpty(t, assessment.RefuseLogDecision(&e, assessment.OwnWord, "X", assessment.Assessor))
	assert.False(t, e.Late(firstDay+2))
	assert.True(t, e.Late(firstDay+3), "48 hours; common practice, no source")
}

// Standings sort by the permission that holds; what is held or needs a policy
// stands apart, with what ends it.
func TestByTrust(t *testing.T) {
	p := curriculum.Default()
	hold := assessment.Hold{Key: "h", Scope: curriculum.HoldSkill, Skill: "HR2", Severity: "S2", From: firstDay}
	stand := func(skill string, now int) assessment.Standing {
		return assessment.Standing{Skill: p.Skill(skill), Permission: assessment.Permission{Now: now, Set: now}}
	}
	list := []assessment.Standing{stand("HC1", 3), stand("HC2", 0), stand("NE4", 1), stand("HR2", 3), stand("HC3", 5), stand("HC4", 3)}
	list[2].Requirements = []assessment.Requirement{{Need: assessment.NeedPolicy}}
	list[3].Holds = []*assessment.Hold{&hold}
	stopped, groups := assessment.ByTrust(list)
	ids := func(ss []*assessment.Standing) (out []string) {
		for _, s := range ss {
			out = append(out, s.Skill.ID)
		}
		return out
	}
	assert.Equal(t, []string{"HR2", "NE4"}, ids(stopped), "holds first")
	require.Len(t, groups, 3)
	for i, want := range []struct {
		level int
		ids   []string
	}{{5, []string{"HC3"}}, {3, []string{"HC1", "HC4"}}, {0, []string{"HC2"}}} {
		assert.Equal(t, want.level, groups[i].Level)
		assert.Equal(t, want.ids, ids(groups[i].Skills))
	}
	// S2 in the default programme: three clean observations since the incident.
	assert.Equal(t, "Not until a person releases the hold. Still to be seen: 3 clean observations more since the incident, without a fault between.", stopped[0].NotUntil(p, nil))
	clean := seen("HR2", "ccc", firstDay+1)
	assert.Contains(t, stopped[0].NotUntil(p, map[string][]assessment.Observation{"HR2": clean[:2]}), "1 clean observation more")
	assert.Contains(t, stopped[0].NotUntil(p, map[string][]assessment.Observation{"HR2": clean}), "No more clean observations are needed")
	assert.Contains(t, stopped[1].NotUntil(p, nil), "written policy")
	assert.Empty(t, groups[0].Skills[0].NotUntil(p, nil))
}

// One skill signed on 25 January 2026, on hold in the second half of March, and
// lapsed 182 days after its last use: counted by hand for each month's end.
func TestMonthEnds(t *testing.T) {
	p := curriculum.Default()
	day := func(m, d int) assessment.Day { return assessment.Date(2026, time.Month(m), d) }
	list := seen("TH4", "ccc", day(1, 5))
	a := &assessment.Apprenticeship{Observations: map[string][]assessment.Observation{"TH4": list},
		SignOffs: map[string][]assessment.SignOff{"TH4": confirmed(day(1, 25)), "DR3": confirmed(day(2, 3))},
		Holds:    []assessment.Hold{{Key: "h", Scope: curriculum.HoldSkill, Skill: "TH4", Unit: "TH", Severity: "S2", From: day(3, 16), Released: day(4, 2), ReleasedBy: "Y"}}}
	got := a.MonthEnds(p, day(1, 5), day(8, 12))
	require.Len(t, got, 8)
	var signed, fresh []int
	for _, m := range got {
		signed, fresh = append(signed, m.Signed), append(fresh, m.New)
	}
	assert.Equal(t, []int{1, 1, 0, 1, 1, 1, 0, 0}, signed, "the hold is over by April; 25 January + 182 days is 26 July")
	assert.Equal(t, []int{1, 0, 0, 0, 0, 0, 0, 0}, fresh, "a gated skill is not among the required")
	assert.Equal(t, []assessment.Day{day(1, 31), day(2, 28), day(8, 12)}, []assessment.Day{got[0].Day, got[1].Day, got[7].Day})
	assert.Empty(t, a.MonthEnds(p, 0, day(8, 12)))
	assert.Empty(t, a.MonthEnds(p, day(9, 1), day(8, 12)))
	assert.Len(t, a.MonthEnds(p, day(1, 5)-3000, day(8, 12)), assessment.MostMonths)
}
