package store

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
)

// entry is a logbook entry of today's that can be taken.
func (h *house) entry(there Scope) assessment.LogEntry {
	return assessment.LogEntry{Day: h.today(), Dog: "Pebble", Coat: "SI", Grams: 6200, Skills: []string{"HC4", "BA3"}, Level: 4, Outcome: assessment.AsPlanned, Supervisor: there.Key}
}

// log makes an entry and returns its key.
func (h *house) log(by, there Scope) string {
	h.t.Helper()
	_, err := h.AddLogEntry(h.ctx, by, h.entry(there), "")
	require.NoError(h.t, err)
	return h.key("logbook_entry")
}

// oldest is the key of the groom that was signed first.
func (h *house) oldest() string { return h.text("SELECT key FROM groom ORDER BY id LIMIT 1") }

func TestCountersigningMakesObservations(t *testing.T) {
	h := newHouse(t)
	h.signMore(1, h.pia, h.ines)
	entered := h.clock.Now()
	key := h.log(h.pia, h.ines)
	assert.Zero(t, h.count("SELECT count(*) FROM observation WHERE source = 1"))
	h.clock.days(1)
	to, err := h.Countersign(h.ctx, h.ines, []string{key}, "")
	require.NoError(t, err)
	assert.Equal(t, "/logbook/countersign", to)
	a, err := h.Evidence(h.ctx, h.pia, h.pia.Key)
	require.NoError(t, err)
	for _, skill := range []string{"HC4", "BA3"} {
		list := a.Observations[skill]
		require.Len(t, list, 2)
		o := list[1]
		o.Seq = 0
		assert.Equal(t, assessment.Observation{Skill: skill, Assessor: h.ines.Key, Day: assessment.DayOf(entered), Source: assessment.Logbook, Level: 4, Dog: "Pebble", Coat: "SI", Size: "S"}, o)
	}
	e, err := h.LogEntry(h.ctx, h.pia, key)
	require.NoError(t, err)
	assert.Equal(t, []string{"HC4", "BA3"}, e.Skills, "in the order they were given")
	assert.Equal(t, [3]string{"Pia Lund", "Ines Holm", "Ines Holm"}, [3]string{e.Who.Name, e.Supervised.Name, e.DecidedBy.Name})
	assert.Equal(t, [2]time.Time{entered.UTC(), entered.UTC().Add(24 * time.Hour)}, [2]time.Time{e.Entered, e.Decided})
	assert.Equal(t, assessment.Countersigned, e.Decision)

	_, err = h.Countersign(h.ctx, h.ines, []string{key}, "another click")
	assert.Contains(t, refusal(t, err), "decided on already")
	_, err = h.DenyLogEntry(h.ctx, h.ines, key, "It was I.", "")
	assert.Contains(t, refusal(t, err), "decided on already")
}

// Everything or nothing: one entry that is somebody else's stops all of them.
func TestCountersigningIsAllOrNothing(t *testing.T) {
	h := newHouse(t)
	mine, theirs, far := h.log(h.pia, h.ines), h.log(h.joss, h.tomas), h.log(h.joss, Scope{})
	before := h.dump()
	for _, keys := range [][]string{{mine, theirs}, {mine, far}, {mine, mine}, {mine, "nothing"}, {}, nil} {
		_, err := h.Countersign(h.ctx, h.ines, keys, "")
		assert.Error(t, err, "%v", keys)
	}
	_, err := h.Countersign(h.ctx, h.runa, []string{mine}, "")
	assert.Contains(t, refusal(t, err), "names somebody else", "not even a head groomer, who was not there")
	for _, sc := range []Scope{h.olan, h.sven} {
		_, err := h.Countersign(h.ctx, sc, []string{mine}, "")
		assert.ErrorIs(t, err, ErrNotFound, "another salon learns nothing")
		_, err = h.DenyLogEntry(h.ctx, sc, mine, "No.", "")
		assert.ErrorIs(t, err, ErrNotFound)
	}
	assert.Equal(t, before, h.dump())
	list, err := h.LogEntries(h.ctx, h.ines, LogFilter{Supervisor: h.ines.Key})
	require.NoError(t, err)
	require.Len(t, list, 1)
	assert.Equal(t, mine, list[0].Key)
	list, err = h.LogEntries(h.ctx, h.joss, LogFilter{Apprentice: h.pia.Key})
	require.NoError(t, err)
	assert.Empty(t, list)
	list, err = h.LogEntries(h.ctx, h.mara, LogFilter{Limit: 2})
	require.NoError(t, err)
	require.Len(t, list, 2)
	assert.Equal(t, far, list[0].Key, "the newest first")
}

func TestALogbookEntryIsTheWritersOwn(t *testing.T) {
	h := newHouse(t)
	in := h.entry(h.ines)
	in.Apprentice = h.joss.Key // who writes is who is signed in
	_, err := h.AddLogEntry(h.ctx, h.pia, in, "")
	require.NoError(t, err)
	e, err := h.LogEntry(h.ctx, h.pia, h.key("logbook_entry"))
	require.NoError(t, err)
	assert.Equal(t, h.pia.Key, e.Apprentice)
	for _, there := range []Scope{h.joss, h.pia, h.mara, h.olan, {Key: "nobody"}} {
		_, err := h.AddLogEntry(h.ctx, h.pia, h.entry(there), "")
		assert.Contains(t, refusal(t, err), "Choose who was there", there.Name)
	}
	require.NoError(t, h.Leave(h.ctx, h.runa, h.tomas.Key, h.today()))
	_, err = h.AddLogEntry(h.ctx, h.pia, h.entry(h.tomas), "")
	assert.Contains(t, refusal(t, err), "Choose who was there", "who has left")
	wrong := h.entry(h.ines)
	wrong.Skills = nil
	_, err = h.AddLogEntry(h.ctx, h.pia, wrong, "")
	assert.Contains(t, refusal(t, err), "at least one skill")
}

func TestAcknowledgementsAreOfWhatWasSeen(t *testing.T) {
	h := newHouse(t)
	g := h.sign(h.ines, h.groom(h.ines, h.pia))
	read, no := assessment.Acknowledgement{}, assessment.Acknowledgement{Disagrees: true, Words: "I combed it twice."}
	_, err := h.Acknowledge(h.ctx, h.pia, g, read, "")
	assert.Contains(t, refusal(t, err), "have not been shown")
	_, err = h.Acknowledge(h.ctx, h.joss, g, read, "")
	assert.ErrorIs(t, err, ErrNotFound)
	require.NoError(t, h.Open(h.ctx, h.pia, g))
	_, err = h.Acknowledge(h.ctx, h.pia, g, read, "")
	require.NoError(t, err)
	_, err = h.AnswerDisagreement(h.ctx, h.ines, g, "But why?", "")
	assert.ErrorIs(t, err, ErrNotFound, "nobody disagrees")
	_, err = h.Acknowledge(h.ctx, h.pia, g, no, "")
	require.NoError(t, err)
	open, err := h.Acknowledgements(h.ctx, h.tomas, AcknowledgementFilter{Open: true})
	require.NoError(t, err)
	require.Len(t, open, 1)
	assert.Equal(t, [4]string{g, "Pia Lund", "Ines Holm", "I combed it twice."}, [4]string{open[0].Groom, open[0].Apprentice.Name, open[0].Assessor.Name, open[0].Words})
	_, err = h.AnswerDisagreement(h.ctx, h.sven, g, "Elsewhere.", "")
	assert.ErrorIs(t, err, ErrNotFound)
	_, err = h.AnswerDisagreement(h.ctx, h.ines, g, " ", "")
	assert.Contains(t, refusal(t, err), "Answer in a sentence")
	_, err = h.AnswerDisagreement(h.ctx, h.tomas, g, "Looked again: once.", "")
	require.NoError(t, err)
	_, err = h.AnswerDisagreement(h.ctx, h.ines, g, "Me too.", "")
	assert.Contains(t, refusal(t, err), "answered already")
	all, err := h.Acknowledgements(h.ctx, h.pia, AcknowledgementFilter{Groom: g, Since: h.today()})
	require.NoError(t, err)
	require.Len(t, all, 2)
	assert.Nil(t, all[0].Answer)
	assert.Equal(t, "Looked again: once.", all[1].Answer.Words)
	none, err := h.Acknowledgements(h.ctx, h.pia, AcknowledgementFilter{Since: h.today() + 1})
	require.NoError(t, err)
	assert.Empty(t, none)
	assert.Zero(t, h.count("SELECT count(*) FROM record WHERE detail LIKE '%combed%' OR detail LIKE '%Looked%'"), "no words")

	// A correction takes the disagreement off the list without an answer.
	second := h.sign(h.ines, h.groom(h.ines, h.pia))
	require.NoError(t, h.Open(h.ctx, h.pia, second))
	_, err = h.Acknowledge(h.ctx, h.pia, second, no, "")
	require.NoError(t, err)
	newer := h.groom(h.ines, h.pia)
	newer.Supersedes, newer.Because = second, "The comb did pass."
	h.sign(h.ines, newer)
	open, err = h.Acknowledgements(h.ctx, h.runa, AcknowledgementFilter{Open: true})
	require.NoError(t, err)
	assert.Empty(t, open)
	_, err = h.AnswerDisagreement(h.ctx, h.runa, second, "Corrected.", "")
	assert.Contains(t, refusal(t, err), "corrected since")
	_, err = h.Acknowledge(h.ctx, h.pia, second, read, "")
	assert.Contains(t, refusal(t, err), "replaced")
}
