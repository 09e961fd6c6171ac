package store

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gorm.io/gorm"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// mutable tables hold what is in use now; every other table is history.
var mutable = []string{"device", "draft", "person", "photo_picture", "pin_try", "reply", "salon", "session"}

// fill puts at least one row into every table.
func (h *house) fill() {
	h.t.Helper()
	h.signMore(3, h.pia, h.ines, h.tomas)
	h.confirmed(h.pia, "TH4")
	_, err := h.SetPermission(h.ctx, h.ines, h.pia.Key, "TH4", 5, "Signed.", "fill-permission")
	require.NoError(h.t, err)
	h.clock.days(1)
	harmed := h.harm(h.ines, h.pia, "HR2", "S4")
	held, err := h.OpenHolds(h.ctx, h.runa)
	require.NoError(h.t, err)
	require.Len(h.t, held, 1)
	_, err = h.Release(h.ctx, h.runa, held[0].Key, false, "Looked into with the vet.", "")
	require.NoError(h.t, err)
	_, err = h.SetPolicy(h.ctx, h.runa, "NE4", h.today(), "Long-coated ears only; the paper hangs in the office.", "")
	require.NoError(h.t, err)
	// Once more the same, with its incident kept: the hold goes along.
	h.clock.days(1)
	again := h.groom(h.ines, h.pia)
	again.Incidents = []assessment.Incident{{Kind: "fall", Severity: "S4", Attribution: "apprentice", Skill: "HR2"}}
	again.Supersedes, again.Because = harmed, "Wrong coat."
	h.sign(h.ines, again)
	h.sql("INSERT INTO review (apprentice_id, skill, about, day, reviewed_by, note, created_at) VALUES (?, 'HC1', 1, 1, ?, 'Talked over.', 1)", h.pia.person, h.runa.person)
	rated := h.sign(h.ines, h.groom(h.ines, h.pia))
	_, err = h.RateSelf(h.ctx, h.pia, rated, map[string]int{"R1": 4}, "")
	require.NoError(h.t, err)
	_, err = h.Acknowledge(h.ctx, h.pia, rated, assessment.Acknowledgement{Disagrees: true, Words: "I combed it twice."}, "")
	require.NoError(h.t, err)
	_, err = h.AnswerDisagreement(h.ctx, h.tomas, rated, "Looked again: once.", "")
	require.NoError(h.t, err)
	_, err = h.Countersign(h.ctx, h.ines, []string{h.log(h.pia, h.ines)}, "")
	require.NoError(h.t, err)
	planned := h.draft(h.ines, h.groom(h.ines, h.pia))
	_, err = h.SaveCutPlan(h.ctx, h.ines, planned.Draft, 0, aCutPlan)
	require.NoError(h.t, err)
	_, err = h.Sign(h.ctx, h.ines, planned)
	require.NoError(h.t, err)
	_, err = h.AdoptExercise(h.ctx, h.ines, h.exercised(h.pia), "watched", "")
	require.NoError(h.t, err)
	_, err = h.NewDraft(h.ctx, h.ines, url.Values{}, "")
	require.NoError(h.t, err)
	require.NoError(h.t, h.SetPhrases(h.ctx, h.ines, curriculum.Phrases{Keep: []string{"Gentle with the ears."}}, ""))
	last := h.key("groom")
	h.photo(h.ines, last, assessment.PhotoBefore)
	require.NoError(h.t, h.WithdrawPhoto(h.ctx, h.ines, last, h.photo(h.ines, last, assessment.PhotoAfter), "A tag can be read."))
	h.tryOnce()
	require.NoError(h.t, h.Sessions().Commit("cookie", []byte("data"), h.clock.Now().Add(1e12)))
}

func TestHistoryIsNeverChanged(t *testing.T) {
	h := newHouse(t)
	h.fill()
	var tables []string
	require.NoError(t, h.read.Raw("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND name NOT LIKE 'goose_%' ORDER BY name").Scan(&tables).Error)
	for _, name := range mutable {
		assert.Contains(t, tables, name)
	}
	history := 0
	for _, table := range tables {
		n := h.rows(table)
		require.Positive(t, n, "%s has no row to try", table)
		var columns []string
		require.NoError(t, h.read.Raw("SELECT name FROM pragma_table_info(?)", table).Scan(&columns).Error)
		require.NotEmpty(t, columns)
		if slices.Contains(mutable, table) {
			assert.NoError(t, h.write.Exec("UPDATE "+table+" SET "+columns[0]+" = "+columns[0]).Error, table)
			continue
		}
		history++
		before := h.contents(table)
		for _, column := range columns {
			h.refused("UPDATE "+table+" SET "+column+" = "+column, "never changed")
		}
		h.refused("DELETE FROM "+table, "never changed")
		h.refused("REPLACE INTO "+table+" SELECT * FROM "+table, "never changed")
		assert.Equal(t, before, h.contents(table), table)
	}
	assert.Equal(t, 28, history)
}

func (h *house) contents(table string) string {
	h.t.Helper()
	var rows []map[string]any
	require.NoError(h.t, h.read.Raw("SELECT * FROM "+table).Scan(&rows).Error)
	return fmt.Sprintf("%d rows, %x", len(rows), sha256.Sum256([]byte(fmt.Sprint(rows))))
}

func (h *house) refused(query, words string) {
	h.t.Helper()
	err := h.write.Exec(query).Error
	if assert.Error(h.t, err, query) {
		assert.Contains(h.t, err.Error(), words, query)
	}
}

// Each change leaves one entry, by the person who made it.
func TestEveryChangeIsInTheRecord(t *testing.T) {
	h := newHouse(t)
	h.fill()
	_, err := h.AddCheck(h.ctx, h.ines, CheckEntry{Apprentice: h.pia.Key, Skill: "CW7", Day: h.today(), Percent: 90}, "")
	require.NoError(t, err)
	require.NoError(t, h.Publish(h.ctx, h.runa, nextVersion(t, h.prog)))
	_, _, err = h.RenewCode(h.ctx, h.runa, h.pia.Key)
	require.NoError(t, err)
	var kinds []string
	require.NoError(t, h.read.Raw("SELECT kind FROM record ORDER BY id").Scan(&kinds).Error)
	assert.Equal(t, []string{"salon.founded", "person.added", "person.added", "person.added", "person.added", "person.added",
		"groom.signed", "groom.signed", "groom.signed", "signoff.proposed", "signoff.confirmed", "permission.set", "groom.signed",
		"hold.released", "policy.set", "groom.corrected", "groom.signed", "groom.self_rated",
		"groom.disagreed", "groom.disagreement_answered", "logbook.entered", "logbook.countersigned", "cut_plan.saved", "groom.signed", "exercise.begun", "exercise.finished", "exercise.adopted", "phrases.set", "photo.added", "photo.added", "photo.withdrawn", "device.enrolled", "person.pin_set", "check.recorded", "programme.in_use", "person.code_renewed"}, kinds)
	assert.Zero(t, h.count("SELECT count(*) FROM record WHERE salon_id <> ? OR person_id NOT IN (SELECT id FROM person) OR subject = ''", h.runa.salon))
}

// A write is done once for each client id of a person. Every write that takes
// one is here.
func TestARepeatedWriteIsDoneOnce(t *testing.T) {
	for name, c := range map[string]struct {
		table string
		write func(h *house, by Scope, id string) (string, error)
	}{
		"NewDraft": {"draft", func(h *house, by Scope, id string) (string, error) {
			return h.NewDraft(h.ctx, by, url.Values{"dog": {"Biscuit"}}, id)
		}},
		"SetPhrases": {"phrase_list", func(h *house, by Scope, id string) (string, error) {
			return "", h.SetPhrases(h.ctx, by, curriculum.Phrases{}, id)
		}},
		"Propose": {"signoff", func(h *house, by Scope, id string) (string, error) {
			return h.Propose(h.ctx, by, h.pia.Key, "TH4", "Seen.", "", id)
		}},
		"SetPermission": {"permission", func(h *house, by Scope, id string) (string, error) {
			return h.SetPermission(h.ctx, by, h.pia.Key, "TH4", 4, "Good hands.", id)
		}},
		"AddCheck": {"observation WHERE source = 4", func(h *house, by Scope, id string) (string, error) {
			return h.AddCheck(h.ctx, by, CheckEntry{Apprentice: h.pia.Key, Skill: "CW7", Day: h.today(), Percent: 90}, id)
		}},
		"AdoptExercise": {"exercise_adoption", func(h *house, by Scope, id string) (string, error) {
			return h.AdoptExercise(h.ctx, by, h.key("exercise"), "watched", id)
		}},
		"PublishRule": {"programme", func(h *house, by Scope, id string) (string, error) {
			rule := h.prog.Points[0]
			rule.EligibleAt++
			return h.PublishRule(h.ctx, by, rule, id)
		}},
		"AddPhoto": {"photo_picture", func(h *house, by Scope, id string) (string, error) {
			return h.AddPhoto(h.ctx, by, h.key("groom"), NewPhoto{Kind: assessment.PhotoAfter, Large: []byte("large"), Small: []byte("small")}, id)
		}},
		"SetPolicy": {"salon_policy", func(h *house, by Scope, id string) (string, error) {
			return h.SetPolicy(h.ctx, by, "NE4", h.today(), "Long-coated ears only.", id)
		}},
		"Decide": {"signoff_decision", func(h *house, by Scope, id string) (string, error) {
			return "", h.Decide(h.ctx, by, h.key("signoff"), true, "", "", id)
		}},
		"Release": {"hold_release", func(h *house, by Scope, id string) (string, error) {
			return h.Release(h.ctx, by, h.key("hold"), true, "Looked into.", id)
		}},
		"Acknowledge": {"acknowledgement", func(h *house, by Scope, id string) (string, error) {
			return h.Acknowledge(h.ctx, h.pia, h.oldest(), assessment.Acknowledgement{Disagrees: true, Words: "Twice."}, id)
		}},
		"AnswerDisagreement": {"acknowledgement_answer", func(h *house, by Scope, id string) (string, error) {
			return h.AnswerDisagreement(h.ctx, by, h.oldest(), "Once.", id)
		}},
		"AddLogEntry": {"logbook_entry", func(h *house, by Scope, id string) (string, error) {
			return h.AddLogEntry(h.ctx, h.pia, h.entry(h.runa), id)
		}},
		"Countersign": {"logbook_decision WHERE decision = 1", func(h *house, by Scope, id string) (string, error) {
			return h.Countersign(h.ctx, by, []string{h.key("logbook_entry")}, id)
		}},
		"DenyLogEntry": {"logbook_decision", func(h *house, by Scope, id string) (string, error) {
			return h.DenyLogEntry(h.ctx, by, h.key("logbook_entry"), "It was I.", id)
		}},
		"Enrol": {"device", func(h *house, by Scope, id string) (string, error) {
			key, _, err := h.Enrol(h.ctx, by, "Table 1", id)
			return key, err
		}},
		"AddPerson": {"person WHERE login = 'edda'", func(h *house, by Scope, id string) (string, error) {
			_, err := h.AddPerson(h.ctx, by, Person{Name: "Edda Moss", Login: "edda", Role: assessment.Auditor}, id)
			return "", err
		}},
	} {
		t.Run(name, func(t *testing.T) {
			h := newHouse(t)
			h.ready(name)
			n := h.rows(c.table)
			first, err := c.write(h, h.runa, "one click")
			require.NoError(t, err)
			for range 2 {
				again, err := c.write(h, h.runa, "one click")
				require.NoError(t, err)
				assert.Equal(t, first, again)
			}
			assert.Equal(t, n+1, h.rows(c.table))
			by := h.runa
			if slices.Contains(learnersWrite, name) {
				by = h.pia
			}
			to, done := h.Replayed(h.ctx, by, "one click")
			assert.True(t, done)
			if first != "" {
				assert.Equal(t, first, to)
			}
			_, done = h.Replayed(h.ctx, h.tomas, "one click")
			assert.False(t, done, "another person has not clicked")
		})
		t.Run(name+" at the same moment", func(t *testing.T) {
			h := newHouse(t)
			h.ready(name)
			n := h.rows(c.table)
			to, errs := together(8, func(int) (string, error) { return c.write(h, h.runa, "one click") })
			for i := range errs {
				require.NoError(t, errs[i])
				assert.Equal(t, to[0], to[i])
			}
			assert.Equal(t, n+1, h.rows(c.table))
		})
	}
}

// ready makes a house in which the write can be done.
func (h *house) ready(write string) {
	h.t.Helper()
	h.signMore(3, h.pia, h.ines, h.tomas)
	switch write {
	case "Decide":
		_, err := h.Propose(h.ctx, h.ines, h.pia.Key, "TH4", "Seen.", "", "")
		require.NoError(h.t, err)
	case "AdoptExercise":
		h.exercised(h.pia)
	case "Release":
		h.harm(h.ines, h.pia, "HR2", "S4")
	case "Acknowledge", "AnswerDisagreement":
		require.NoError(h.t, h.Open(h.ctx, h.pia, h.oldest()))
		if write == "AnswerDisagreement" {
			_, err := h.Acknowledge(h.ctx, h.pia, h.oldest(), assessment.Acknowledgement{Disagrees: true, Words: "Twice."}, "")
			require.NoError(h.t, err)
		}
	case "Countersign", "DenyLogEntry":
		h.log(h.pia, h.runa)
	}
}

// key is the public key of the newest row of a table.
func (h *house) key(table string) string {
	var key string
	if err := h.read.Raw("SELECT key FROM " + table + " ORDER BY id DESC LIMIT 1").Scan(&key).Error; err != nil {
		h.t.Error(err)
	}
	return key
}

func TestTheSameClientIDOfTwoPeopleIsTwoWrites(t *testing.T) {
	h := newHouse(t)
	a, err := h.NewDraft(h.ctx, h.ines, url.Values{"dog": {"Biscuit"}}, "form 7")
	require.NoError(t, err)
	b, err := h.NewDraft(h.ctx, h.tomas, url.Values{"dog": {"Pebble"}}, "form 7")
	require.NoError(t, err)
	assert.NotEqual(t, a, b)
	assert.Equal(t, 2, h.rows("draft"))
	c, err := h.NewDraft(h.ctx, h.ines, nil, "form 8")
	require.NoError(t, err)
	assert.NotEqual(t, a, c)
	for range 2 { // without a client id nothing is remembered
		_, err = h.NewDraft(h.ctx, h.ines, nil, "")
		require.NoError(t, err)
	}
	assert.Equal(t, 5, h.rows("draft"))
	assert.Zero(t, h.count("SELECT count(*) FROM reply WHERE client_id = ''"))
}

// A write that was refused is not remembered: once its cause is gone the same
// form can be sent again.
func TestARefusedWriteIsNotRemembered(t *testing.T) {
	h := newHouse(t)
	_, err := h.Propose(h.ctx, h.ines, h.pia.Key, "TH4", "Seen.", "", "form 9")
	var refusal *Refusal
	require.ErrorAs(t, err, &refusal)
	_, done := h.Replayed(h.ctx, h.ines, "form 9")
	assert.False(t, done)
	h.signMore(3, h.pia, h.ines, h.tomas)
	_, err = h.Propose(h.ctx, h.ines, h.pia.Key, "TH4", "Seen.", "", "form 9")
	assert.NoError(t, err)
}

// The driver's refusals carry the names GORM has for them.
func TestDatabaseErrorsHaveNames(t *testing.T) {
	h := newHouse(t)
	for query, want := range map[string]error{
		"INSERT INTO person (key, salon_id, name, login, role, created_at) VALUES ('x', 1, 'X', 'ines', 'auditor', 1)": gorm.ErrDuplicatedKey,
		"INSERT INTO session (token, data, expiry) VALUES ('a', '', 1), ('a', '', 1)":                                  gorm.ErrDuplicatedKey,
		"INSERT INTO person (key, salon_id, name, login, role, created_at) VALUES ('x', 55, 'X', 'x', 'auditor', 1)":   gorm.ErrForeignKeyViolated,
		"INSERT INTO person (key, salon_id, name, login, role, created_at) VALUES ('x', 1, 'X', 'x', 'magician', 1)":   gorm.ErrCheckConstraintViolated,
	} {
		assert.ErrorIs(t, h.write.Exec(query).Error, want, query)
	}
	err := h.write.Exec("SELECT nonsense").Error
	require.Error(t, err)
	assert.False(t, errors.Is(err, gorm.ErrDuplicatedKey))
	assert.Regexp(t, regexp.MustCompile(`no such column`), strings.ToLower(err.Error()))
}
