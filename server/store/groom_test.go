package store

import (
	"context"
	"encoding/json"
	"errors"
	"maps"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// mostStatements is the most that signing a groom without an incident may send
// inside its transaction, BEGIN and COMMIT not counted.
const mostStatements = 6

// signed is the number of rows in every table that signing writes to.
func (h *house) signed() map[string]int {
	out := map[string]int{}
	for _, table := range []string{"draft", "groom", "rating", "observation", "incident", "hold", "record"} {
		out[table] = h.rows(table)
	}
	return out
}

func TestSignKeepsTheWholeGroom(t *testing.T) {
	h := newHouse(t)
	before := h.signed()
	g := h.groom(h.ines, h.pia)
	g.Marks["R3"] = assessment.Mark{NotApplicable: true, Reason: "Groomed dry."}
	g.Marks["R9"] = assessment.Mark{} // not seen
	g.Marks["R5"] = assessment.Mark{Level: 5}
	g.Skills = map[string]int{"CO4": 3, "CO1": assessment.Unseen}
	require.Empty(t, assessment.Problems(h.prog, &g, h.today()))
	in := h.draft(h.ines, g)
	key, err := h.Sign(h.ctx, h.ines, in)
	require.NoError(t, err)
	assert.Equal(t, in.Draft, key, "a groom keeps the key of its draft")

	seen := assessment.Derive(h.prog, &g)
	require.Greater(t, len(seen), 30)
	after := h.signed()
	assert.Equal(t, before["draft"], after["draft"], "the draft is gone")
	assert.Equal(t, before["groom"]+1, after["groom"])
	assert.Equal(t, before["rating"]+13, after["rating"])
	assert.Equal(t, before["observation"]+len(seen), after["observation"])
	assert.Equal(t, before["record"]+1, after["record"])
	_, err = h.Draft(h.ctx, h.ines, in.Draft)
	assert.ErrorIs(t, err, ErrNotFound)

	got, err := h.Groom(h.ctx, h.pia, key)
	require.NoError(t, err)
	want := assessment.Judge(h.prog, &g)
	assert.Equal(t, g, got.Groom)
	assert.Equal(t, in.Digest, got.Digest)
	assert.Equal(t, in.Digest, Digest(got.Programme, &got.Groom), "what is read later still has the digest that was signed")
	assert.Equal(t, want.Mean(), got.Mean())
	assert.Equal(t, want.Outcome, got.Outcome)
	assert.Equal(t, begin, got.Signed)
	assert.Equal(t, h.pia.Key, got.Apprentice.Key)
	assert.Equal(t, h.ines.Key, got.Assessor.Key)
	assert.Empty(t, got.SupersededBy)

	var ratings []ratingRow
	require.NoError(t, h.read.Where("groom_id = (SELECT id FROM groom WHERE key = ?)", key).Find(&ratings).Error)
	require.Len(t, ratings, 13)
	for _, r := range ratings {
		i := slices.IndexFunc(want.Criteria, func(c assessment.CriterionResult) bool { return c.Criterion.ID == r.Criterion })
		require.GreaterOrEqual(t, i, 0, r.Criterion)
		c := want.Criteria[i]
		assert.Equal(t, [4]any{c.Criterion.Weight, c.Given, c.Effective, c.NotApplicable}, [4]any{r.Weight, r.Given, r.Effective, r.NotApplicable}, r.Criterion)
	}

	a, err := h.Evidence(h.ctx, h.pia, h.pia.Key)
	require.NoError(t, err)
	assert.Len(t, a.Observations, len(seen), "one skill, one observation")
	for _, o := range seen {
		list := a.Observations[o.Skill]
		require.Len(t, list, 1, o.Skill)
		assert.Positive(t, list[0].Seq)
		o.Groom, o.Seq = key, list[0].Seq
		assert.Equal(t, o, list[0])
	}
	assert.NotContains(t, a.Observations, "CO1")

	var entry recordRow
	require.NoError(t, h.read.Where("subject = ?", key).Take(&entry).Error)
	assert.Equal(t, "groom.signed", entry.Kind)
	assert.Equal(t, [3]int64{h.ines.salon, h.ines.person, begin.Unix()}, [3]int64{entry.SalonID, entry.PersonID, entry.At})
	var detail map[string]string
	require.NoError(t, json.Unmarshal([]byte(entry.Detail), &detail))
	assert.Equal(t, map[string]string{"digest": in.Digest, "outcome": want.Outcome.String(), "supersedes": ""}, detail)
}

func TestSignWithIncidentsKeepsThemAndTheirHolds(t *testing.T) {
	h := newHouse(t)
	g := h.groom(h.ines, h.pia)
	g.Incidents = []assessment.Incident{
		{Kind: "near_miss", Severity: "S0", Attribution: "apprentice", Skill: "HR2", SelfReported: true, Note: "Loop left on while fetching a comb."},
		{Kind: "cut", Severity: "S3", Attribution: "apprentice", Skill: "CL4", Note: "Stitches by the vet."},
	}
	key := h.sign(h.ines, g)
	got, err := h.Groom(h.ctx, h.runa, key)
	require.NoError(t, err)
	assert.Equal(t, g.Incidents, got.Groom.Incidents)
	assert.Equal(t, assessment.NotYet, got.Outcome)

	var rows []incidentRow
	require.NoError(t, h.read.Order("id").Find(&rows).Error)
	require.Len(t, rows, 2)
	for i, r := range rows {
		want := g.Incidents[i]
		assert.Equal(t, want, assessment.Incident{Kind: r.Kind, Severity: r.Severity, Attribution: r.Attribution, Skill: r.Skill, SelfReported: r.SelfReported, Note: r.Note})
		assert.Equal(t, h.pia.person, r.ApprenticeID)
		assert.Equal(t, int32(g.Day), r.Day)
	}
	a, err := h.Evidence(h.ctx, h.runa, h.pia.Key)
	require.NoError(t, err)
	require.Len(t, a.Holds, 1, "a near miss holds nothing")
	hold := a.Holds[0]
	assert.NotEmpty(t, hold.Key)
	hold.Key = ""
	assert.Equal(t, assessment.Hold{Scope: curriculum.HoldUnit, Unit: "CL", Skill: "CL4", Severity: "S3", Groom: key, RecordedBy: h.ines.Key, From: g.Day}, hold)
	o := a.Observations["CL4"][0]
	assert.Equal(t, [2]string{"S3", "apprentice"}, [2]string{o.Severity, o.Attribution})
}

func TestSignIsOneTransactionOfFewStatements(t *testing.T) {
	w, driver := newWatch(t)
	h := newHouseWith(t, driver)
	h.sign(h.ines, h.groom(h.ines, h.pia)) // the programme is read once
	in := h.draft(h.ines, h.groom(h.ines, h.pia))
	w.reset()
	_, err := h.Sign(h.ctx, h.ines, in)
	require.NoError(t, err)
	reader, writer := w.counted()
	t.Logf("%d statements inside the transaction, %d reads before it", writer.Statements, reader.Statements)
	assert.LessOrEqual(t, writer.Statements, mostStatements, strings.Join(w.queries, "\n"))
	assert.Equal(t, [3]int{1, 1, 0}, [3]int{writer.Begins, writer.Commits, writer.Rollbacks})
	assert.LessOrEqual(t, reader.Statements, 2)
	assert.Zero(t, reader.Begins)
	for _, q := range w.queries {
		assert.NotRegexp(t, `^(?i)(BEGIN|COMMIT|SAVEPOINT|RELEASE|ROLLBACK)`, q, "nothing may begin or end a transaction behind the driver")
	}
}

func TestSignAgainReturnsTheFirstGroom(t *testing.T) {
	h := newHouse(t)
	in := h.draft(h.ines, h.groom(h.ines, h.pia))
	first, err := h.Sign(h.ctx, h.ines, in)
	require.NoError(t, err)
	after := h.signed()
	for range 3 {
		again, err := h.Sign(h.ctx, h.ines, in)
		require.NoError(t, err)
		assert.Equal(t, first, again)
	}
	h.clock.days(3)
	in.Groom.Dog, in.Digest = "Somebody else", "stale"
	again, err := h.Sign(h.ctx, h.ines, in)
	require.NoError(t, err, "the draft is signed, whatever the second page showed")
	assert.Equal(t, first, again)
	assert.Equal(t, after, h.signed())

	_, err = h.Sign(h.ctx, h.tomas, in)
	assert.Error(t, err, "another person learns nothing of it")
	assert.Equal(t, after, h.signed())
}

func TestManySignTheSameDraft(t *testing.T) {
	h := newHouse(t)
	in := h.draft(h.ines, h.groom(h.ines, h.pia))
	keys, errs := together(20, func(int) (string, error) { return h.Sign(h.ctx, h.ines, in) })
	for i := range keys {
		require.NoError(t, errs[i])
		assert.Equal(t, in.Draft, keys[i])
	}
	assert.Equal(t, 1, h.rows("groom"))
	assert.Equal(t, 13, h.rows("rating"))
	assert.Equal(t, 1, h.count("SELECT count(*) FROM record WHERE kind = 'groom.signed'"))
}

// together calls f n times at once.
func together[T any](n int, f func(i int) (T, error)) ([]T, []error) {
	out, errs := make([]T, n), make([]error, n)
	var ready, done sync.WaitGroup
	start := make(chan struct{})
	for i := range n {
		ready.Add(1)
		done.Go(func() {
			ready.Done()
			<-start
			out[i], errs[i] = f(i)
		})
	}
	ready.Wait()
	close(start)
	done.Wait()
	return out, errs
}

func TestSignRefusesAndWritesNothing(t *testing.T) {
	h := newHouse(t)
	old := h.sign(h.ines, h.groom(h.ines, h.pia))
	tomasKey := h.sign(h.tomas, h.groom(h.tomas, h.pia))

	for _, c := range []struct {
		name   string
		by     Scope
		change func(in *Signing)
		is     error
	}{
		{"stale version", h.ines, func(in *Signing) { in.Version = 0 }, ErrConflict},
		{"later version", h.ines, func(in *Signing) { in.Version = 2 }, ErrConflict},
		{"stale digest", h.ines, func(in *Signing) { in.Digest = strings.Repeat("0", 64) }, ErrConflict},
		{"changed after it was read back", h.ines, func(in *Signing) { in.Groom.Keep += "!" }, ErrConflict},
		{"draft of another", h.tomas, func(in *Signing) { in.redigest(h, h.tomas.Key) }, ErrConflict},
		{"no such draft", h.ines, func(in *Signing) { in.Draft = "nothing" }, ErrConflict},
		{"no draft", h.ines, func(in *Signing) { in.Draft = "" }, ErrConflict},
		{"no such apprentice", h.ines, func(in *Signing) { in.Groom.Apprentice = "nobody"; in.redigest(h, h.ines.Key) }, ErrNotFound},
		{"an assessor as apprentice", h.ines, func(in *Signing) { in.Groom.Apprentice = h.tomas.Key; in.redigest(h, h.ines.Key) }, ErrNotFound},
		{"apprentice of another salon", h.ines, func(in *Signing) { in.Groom.Apprentice = h.nell.Key; in.redigest(h, h.ines.Key) }, ErrNotFound},
		{"assessor of another salon", h.sven, func(in *Signing) { in.redigest(h, h.sven.Key) }, ErrNotFound},
		{"correcting nothing", h.ines, func(in *Signing) { in.Groom.Supersedes = "nothing"; in.redigest(h, h.ines.Key) }, ErrNotFound},
		{"correcting another's groom", h.ines, func(in *Signing) { in.Groom.Supersedes = tomasKey; in.redigest(h, h.ines.Key) }, ErrDenied},
		{"correcting from another salon", h.sven, func(in *Signing) {
			in.Groom.Apprentice, in.Groom.Supersedes = h.nell.Key, old
			in.redigest(h, h.sven.Key)
		}, ErrNotFound},
		{"apprentice", h.pia, func(in *Signing) {}, ErrDenied},
		{"auditor", h.mara, func(in *Signing) {}, ErrDenied},
		{"nobody", Scope{}, func(in *Signing) {}, ErrDenied},
	} {
		t.Run(c.name, func(t *testing.T) {
			h.t = t
			in := h.draft(h.ines, h.groom(h.ines, h.pia))
			before := h.signed()
			c.change(&in)
			_, err := h.Sign(h.ctx, c.by, in)
			assert.ErrorIs(t, err, c.is)
			assert.Equal(t, before, h.signed())
		})
	}

	t.Run("saved after it was read back", func(t *testing.T) {
		h.t = t
		in := h.draft(h.ines, h.groom(h.ines, h.pia))
		_, err := h.SaveDraft(h.ctx, h.ines, in.Draft, 1, nil, Save{})
		require.NoError(t, err)
		before := h.signed()
		_, err = h.Sign(h.ctx, h.ines, in)
		assert.ErrorIs(t, err, ErrConflict)
		assert.Equal(t, before, h.signed())
	})
	t.Run("not fit to be signed", func(t *testing.T) {
		h.t = t
		g := h.groom(h.ines, h.pia)
		g.Day = h.today() + 1
		in := h.draft(h.ines, g)
		before := h.signed()
		_, err := h.Sign(h.ctx, h.ines, in)
		var refusal *Refusal
		require.ErrorAs(t, err, &refusal)
		assert.Contains(t, refusal.Error(), "is in the future")
		assert.Equal(t, before, h.signed())
	})
}

// redigest makes the digest that of the groom as this assessor reads it back.
func (in *Signing) redigest(h *house, assessor string) {
	in.Groom.Assessor = assessor
	in.Digest = Digest(h.prog, &in.Groom)
}

// The assessor of a signed groom is who signed it, whatever the request says.
func TestSignerIsTheAssessor(t *testing.T) {
	h := newHouse(t)
	in := h.draft(h.ines, h.groom(h.ines, h.pia))
	in.Groom.Assessor = h.tomas.Key // digest is still the one read back to Ines
	key, err := h.Sign(h.ctx, h.ines, in)
	require.NoError(t, err)
	got, err := h.Groom(h.ctx, h.ines, key)
	require.NoError(t, err)
	assert.Equal(t, h.ines.Key, got.Groom.Assessor)
	assert.Equal(t, h.ines.Key, got.Assessor.Key)
}

// The day of the salon decides what is in the future, not the day in UTC.
func TestSignKnowsTheSalonsDay(t *testing.T) {
	h := newHouse(t)
	h.clock.add(8 * time.Hour) // 17:00 UTC on the 20th is 02:00 on the 21st in Tokyo
	for _, c := range []struct {
		by, apprentice Scope
		day            assessment.Day
		fits           bool
	}{
		{h.sven, h.nell, assessment.Date(2026, time.May, 21), true},
		{h.sven, h.nell, assessment.Date(2026, time.May, 22), false},
		{h.ines, h.pia, assessment.Date(2026, time.May, 21), false},
	} {
		g := h.groom(c.by, c.apprentice)
		g.Day = c.day
		_, err := h.Sign(h.ctx, c.by, h.draft(c.by, g))
		assert.Equal(t, c.fits, err == nil, "%s in %s: %v", c.day, c.by.Salon, err)
	}
}

var errBroken = errors.New("the disk has gone")

// Whichever statement fails, nothing of the groom stays and the draft does; a
// second try then works.
func TestSignFailingAnywhereLeavesNothing(t *testing.T) {
	w, driver := newWatch(t)
	h := newHouseWith(t, driver)
	h.signMore(3, h.pia, h.ines, h.tomas)
	h.confirmed(h.pia, "TH4")
	harmed := h.groom(h.ines, h.pia)
	harmed.Incidents = []assessment.Incident{{Kind: "lost_tool", Severity: "S2", Attribution: "apprentice", Skill: "TH4"}}
	for name, g := range map[string]assessment.Groom{"without incident": h.groom(h.ines, h.pia), "with a hold": harmed} {
		t.Run(name, func(t *testing.T) {
			h.t = t
			in := h.draft(h.ines, g)
			before := h.signed()
			failed, at := 0, 0
			for at = 1; ; at++ {
				require.Less(t, at, 40)
				n := 0
				w.fail = func(string) error {
					if n++; n == at {
						return errBroken
					}
					return nil
				}
				_, err := h.Sign(h.ctx, h.ines, in)
				w.fail = nil
				if n < at { // it needed fewer statements than that: it is signed
					require.NoError(t, err)
					break
				}
				failed++
				require.ErrorIs(t, err, errBroken, "statement %d", at)
				require.Equal(t, before, h.signed(), "statement %d", at)
			}
			assert.GreaterOrEqual(t, failed, 5)
			after := h.signed()
			assert.Equal(t, before["groom"]+1, after["groom"])
			assert.Equal(t, before["rating"]+13, after["rating"])
			assert.Equal(t, before["hold"]+len(g.Incidents), after["hold"])
		})
	}
	t.Run("at the commit", func(t *testing.T) {
		h.t = t
		in := h.draft(h.ines, h.groom(h.ines, h.pia))
		before := h.signed()
		w.refuse = func() error { return errBroken }
		_, err := h.Sign(h.ctx, h.ines, in)
		w.refuse = nil
		require.ErrorIs(t, err, errBroken)
		require.Equal(t, before, h.signed())
		_, err = h.Sign(h.ctx, h.ines, in)
		require.NoError(t, err)
	})
	t.Run("when the request has gone away", func(t *testing.T) {
		h.t = t
		in := h.draft(h.ines, h.groom(h.ines, h.pia))
		before := h.signed()
		ctx, stop := context.WithCancel(h.ctx)
		w.fail = func(q string) error {
			if strings.Contains(q, "rating") {
				stop()
			}
			return nil
		}
		_, err := h.Sign(ctx, h.ines, in)
		w.fail = nil
		require.ErrorIs(t, err, context.Canceled)
		require.Equal(t, before, h.signed())
		_, err = h.Sign(h.ctx, h.ines, in)
		require.NoError(t, err, "the connection is whole again")
	})
}

func TestCorrectionTakesTheOldEvidenceAway(t *testing.T) {
	h := newHouse(t)
	h.signMore(3, h.pia, h.ines, h.tomas)
	old := h.harm(h.ines, h.pia, "CL4", "S3")
	first, err := h.Groom(h.ctx, h.ines, old)
	require.NoError(t, err)
	g := first.Groom
	require.Equal(t, assessment.OnHold, h.standing(h.pia, "CL2").State)
	held, err := h.OpenHolds(h.ctx, h.runa)
	require.NoError(t, err)
	require.Len(t, held, 1)

	right := g
	right.Incidents, right.Supersedes, right.Because = nil, old, "The cut was there at check-in."
	right.Marks = maps.Clone(g.Marks)
	right.Marks["R6"] = assessment.Mark{Level: 5}
	_, err = h.Sign(h.ctx, h.ines, h.draft(h.ines, right))
	assert.Contains(t, refusal(t, err), "A head groomer makes it", "nobody writes the harm they recorded away by themselves")
	assert.Equal(t, assessment.OnHold, h.standing(h.pia, "CL2").State)
	key := h.sign(h.runa, right)

	assert.Equal(t, assessment.Practising, h.standing(h.pia, "CL2").State)
	held, err = h.OpenHolds(h.ctx, h.runa)
	require.NoError(t, err)
	assert.Empty(t, held)
	for name, read := range map[string]func() (*assessment.Apprenticeship, error){
		"one": func() (*assessment.Apprenticeship, error) { return h.Evidence(h.ctx, h.runa, h.pia.Key) },
		"all": func() (*assessment.Apprenticeship, error) {
			all, err := h.AllEvidence(h.ctx, h.runa)
			return all[h.pia.Key], err
		},
	} {
		a, err := read()
		require.NoError(t, err, name)
		assert.Empty(t, a.Holds, name)
		assert.Len(t, a.Observations["TH4"], 4, "%s: three, and one for the fourth dog", name)
		assert.EqualValues(t, 5, a.Observations["TH4"][3].Level, name)
		assert.Empty(t, a.Observations["CL4"][3].Severity, name)
	}

	was, err := h.Groom(h.ctx, h.runa, old)
	require.NoError(t, err, "the first version stays readable")
	assert.Equal(t, key, was.SupersededBy)
	assert.Equal(t, g, was.Groom)
	list, err := h.Grooms(h.ctx, h.runa, GroomFilter{})
	require.NoError(t, err)
	require.Len(t, list, 5)
	assert.Equal(t, [2]string{key, old}, [2]string{list[0].Key, list[1].Key})
	assert.Equal(t, key, list[1].SupersededBy)
	assert.Equal(t, 1, h.count("SELECT count(*) FROM record WHERE kind = 'groom.corrected' AND subject = ?", key))
}

func TestWhoMayCorrect(t *testing.T) {
	h := newHouse(t)
	correct := func(by Scope, old string) (string, error) {
		g := h.groom(h.ines, h.pia) // whoever corrects it, she watched
		g.Supersedes, g.Because = old, "Wrong coat class."
		return h.Sign(h.ctx, by, h.draft(by, g))
	}
	first := h.sign(h.ines, h.groom(h.ines, h.pia))
	_, err := correct(h.tomas, first)
	assert.ErrorIs(t, err, ErrDenied, "neither its assessor nor a head groomer")
	second, err := correct(h.ines, first)
	require.NoError(t, err)
	before := h.signed()
	_, err = correct(h.ines, first)
	assert.Contains(t, refusal(t, err), "corrected by somebody else meanwhile")
	_, err = correct(h.runa, first)
	assert.Contains(t, refusal(t, err), "corrected by somebody else meanwhile")
	before["draft"] += 2 // what was entered is still there
	assert.Equal(t, before, h.signed())

	third, err := correct(h.runa, second)
	require.NoError(t, err, "the correction itself can be corrected, and a head groomer may")
	a, err := h.Evidence(h.ctx, h.runa, h.pia.Key)
	require.NoError(t, err)
	require.Len(t, a.Observations["TH4"], 1)
	assert.Equal(t, [2]string{third, h.ines.Key}, [2]string{a.Observations["TH4"][0].Groom, a.Observations["TH4"][0].Assessor}, "a correction by somebody else makes no second assessor")
	signed, err := h.Groom(h.ctx, h.runa, third)
	require.NoError(t, err)
	assert.Equal(t, [2]string{"Ines Holm", "Runa Vale"}, [2]string{signed.Assessor.Name, signed.Signer.Name})

	other := h.sign(h.ines, h.groom(h.ines, h.pia))
	var drafts []Signing
	for range 6 {
		g := h.groom(h.ines, h.pia)
		g.Supersedes = other
		drafts = append(drafts, h.draft(h.runa, g))
	}
	_, errs := together(len(drafts), func(i int) (string, error) { return h.Sign(h.ctx, h.runa, drafts[i]) })
	worked := 0
	for _, err := range errs {
		if err == nil {
			worked++
		} else {
			assert.Contains(t, refusal(t, err), "corrected by somebody else meanwhile")
		}
	}
	assert.Equal(t, 1, worked, "of corrections at the same moment one is kept")
}

func TestGroomsAreFiltered(t *testing.T) {
	h := newHouse(t)
	h.clock.days(1)
	a := h.sign(h.ines, h.groom(h.ines, h.pia))
	b := h.sign(h.tomas, h.groom(h.tomas, h.pia))
	h.clock.days(1)
	c := h.sign(h.ines, h.groom(h.ines, h.joss))
	late := h.groom(h.tomas, h.joss)
	late.Day -= 5
	d := h.sign(h.tomas, late)
	for _, x := range []struct {
		f    GroomFilter
		want []string
	}{
		{GroomFilter{}, []string{c, b, a, d}},
		{GroomFilter{Limit: 2}, []string{c, b}},
		{GroomFilter{Apprentice: h.pia.Key}, []string{b, a}},
		{GroomFilter{Assessor: h.tomas.Key}, []string{b, d}},
		{GroomFilter{Apprentice: h.joss.Key, Assessor: h.ines.Key}, []string{c}},
		{GroomFilter{Apprentice: "nobody"}, []string{}},
		{GroomFilter{Apprentice: "' OR 1=1 --"}, []string{}},
	} {
		list, err := h.Grooms(h.ctx, h.runa, x.f)
		require.NoError(t, err)
		keys := []string{}
		for _, g := range list {
			keys = append(keys, g.Key)
		}
		assert.Equal(t, x.want, keys, "%+v", x.f)
	}
}

// A groom refers to the programme as it stood when it was signed.
func TestGroomKeepsItsProgramme(t *testing.T) {
	h := newHouse(t)
	old := h.sign(h.ines, h.groom(h.ines, h.pia))
	next := nextVersion(t, h.prog)
	require.NoError(t, h.Publish(h.ctx, h.runa, next))

	stale := h.draft(h.ines, h.groom(h.ines, h.pia)) // read back under version 1
	_, err := h.Sign(h.ctx, h.ines, stale)
	assert.ErrorIs(t, err, ErrConflict, "read back under another programme than it would be signed under")
	h.prog = next
	now := h.sign(h.ines, h.groom(h.ines, h.pia))
	for key, version := range map[string]int{old: 1, now: 2} {
		g, err := h.Groom(h.ctx, h.ines, key)
		require.NoError(t, err)
		assert.Equal(t, version, g.Programme.Version)
	}
	all, err := h.Programmes(h.ctx, h.ines)
	require.NoError(t, err)
	require.Len(t, all, 2)
	assert.Equal(t, [2]int{2, 1}, [2]int{all[0].Version, all[1].Version})

	theirs, err := h.Programme(h.ctx, h.olan)
	require.NoError(t, err)
	assert.Equal(t, 1, theirs.Version, "another salon goes on with its own")

	changed := strings.Replace(string(next.Source()), "title: Pet groomer, salon core", "title: Pet groomer, otherwise", 1)
	other, err := assessment.ReadProgramme("changed.yaml", []byte(changed))
	require.NoError(t, err)
	var refusal *Refusal
	require.ErrorAs(t, h.Publish(h.ctx, h.runa, other), &refusal)
	assert.Contains(t, refusal.Error(), "next version number")
	assert.ErrorIs(t, h.Publish(h.ctx, h.ines, next), ErrDenied)
}

func nextVersion(t *testing.T, p *curriculum.Programme) *curriculum.Programme {
	t.Helper()
	text := strings.Replace(string(p.Source()), "\nversion: 1\n", "\nversion: 2\n", 1)
	next, err := assessment.ReadProgramme("next.yaml", []byte(text))
	require.NoError(t, err)
	require.Equal(t, 2, next.Version)
	return next
}
