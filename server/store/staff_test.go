package store

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
)

func (h *house) entries(kind, subject string) (details []string) {
	h.t.Helper()
	require.NoError(h.t, h.read.Raw("SELECT detail FROM record WHERE kind = ? AND subject = ? ORDER BY id", kind, subject).Scan(&details).Error)
	return details
}

func TestCorrectRecordsEachChange(t *testing.T) {
	h := newHouse(t)
	h.sign(h.ines, h.groom(h.ines, h.pia))
	start := assessment.Date(2026, time.January, 7)
	to := Person{Name: "Pia Lund-Moss", Login: "plm", Role: assessment.Apprentice, Start: start, End: start + 545}
	require.NoError(t, h.Correct(h.ctx, h.runa, h.pia.Key, to))
	n := h.rows("record")
	require.NoError(t, h.Correct(h.ctx, h.runa, h.pia.Key, to), "a repeat")
	assert.Equal(t, n, h.rows("record"))
	p, _, err := h.Credentials(h.ctx, "plm")
	require.NoError(t, err)
	to.Key = h.pia.Key
	assert.Equal(t, to, p)
	assert.Equal(t, []string{`{"from":"Pia Lund","to":"Pia Lund-Moss"}`}, h.entries("person.name_corrected", h.pia.Key))
	assert.Equal(t, []string{`{"from":"pia","to":"plm"}`}, h.entries("person.login_changed", h.pia.Key))
	assert.Len(t, h.entries("person.start_corrected", h.pia.Key), 1)
	assert.Len(t, h.entries("person.end_planned", h.pia.Key), 1)
	assert.Empty(t, h.entries("person.role_changed", h.pia.Key))

	var refusal *Refusal
	backwards := to
	backwards.End = start
	assert.ErrorAs(t, h.Correct(h.ctx, h.runa, h.pia.Key, backwards), &refusal, "ends before it began")
	_, err = h.AddPerson(h.ctx, h.runa, Person{Name: "Edda Moss", Login: "edda", Role: assessment.Apprentice, Start: start, End: start}, "")
	assert.ErrorAs(t, err, &refusal)
	to.Role = assessment.Assessor
	assert.ErrorAs(t, h.Correct(h.ctx, h.runa, h.pia.Key, to), &refusal, "signed grooms stay an apprentice's")
	assert.NoError(t, h.Correct(h.ctx, h.runa, h.joss.Key, Person{Name: "Joss Arden", Login: "joss", Role: assessment.Assessor}), "without any it may change")
	assert.Equal(t, []string{`{"from":"apprentice","to":"assessor"}`}, h.entries("person.role_changed", h.joss.Key))
	assert.Equal(t, assessment.Assessor, h.scope(h.joss.Key).Role)
	to.Role, to.Login = assessment.Apprentice, "olan"
	assert.ErrorIs(t, h.Correct(h.ctx, h.runa, h.pia.Key, to), ErrExists)
	assert.ErrorIs(t, h.Correct(h.ctx, h.runa, h.nell.Key, to), ErrNotFound, "of another salon")
	assert.ErrorIs(t, h.Correct(h.ctx, h.ines, h.pia.Key, to), ErrDenied)
}

func TestLeaveAndComeBack(t *testing.T) {
	h := newHouse(t)
	h.sql("UPDATE person SET password = 'encoded' WHERE login = 'ines'")
	before := h.scope(h.ines.Key).Proof
	_, code, err := h.RenewCode(h.ctx, h.runa, h.ines.Key)
	require.NoError(t, err)
	var refusal *Refusal
	assert.ErrorAs(t, h.Leave(h.ctx, h.runa, h.ines.Key, h.today()+1), &refusal, "in the future")
	assert.ErrorAs(t, h.Leave(h.ctx, h.runa, h.pia.Key, h.today()-300), &refusal, "before the first day")
	require.NoError(t, h.Leave(h.ctx, h.runa, h.ines.Key, h.today()-1))
	_, err = h.ScopeOf(h.ctx, h.ines.Key)
	assert.ErrorIs(t, err, ErrNotFound)
	assert.ErrorIs(t, h.CheckCode(h.ctx, "ines", code), ErrNotFound)
	assert.Len(t, h.entries("person.left", h.ines.Key), 1)
	for range 2 {
		require.NoError(t, h.ComeBack(h.ctx, h.runa, h.ines.Key))
	}
	assert.Len(t, h.entries("person.came_back", h.ines.Key), 1)
	assert.NotEqual(t, before, h.scope(h.ines.Key).Proof)
	assert.ErrorIs(t, h.CheckCode(h.ctx, "ines", code), ErrDenied, "the code went with them")
	assert.ErrorIs(t, h.Leave(h.ctx, h.runa, h.sven.Key, h.today()), ErrNotFound, "of another salon")
}

// However they go about it at the same moment, one of two stays.
func TestTheLastHeadGroomerStays(t *testing.T) {
	for range 5 {
		h := newHouse(t)
		var refusal *Refusal
		assert.ErrorAs(t, h.Leave(h.ctx, h.runa, h.runa.Key, h.today()), &refusal)
		require.NoError(t, h.Correct(h.ctx, h.runa, h.ines.Key, Person{Name: "Ines Holm", Login: "ines", Role: assessment.HeadGroomer}))
		heads := []Scope{h.runa, h.scope(h.ines.Key)}
		_, errs := together(4, func(i int) (struct{}, error) {
			if i < 2 {
				return struct{}{}, h.Leave(h.ctx, heads[i], heads[i].Key, h.today())
			}
			return struct{}{}, h.Correct(h.ctx, heads[i%2], heads[1-i%2].Key, Person{Name: "Moss", Login: heads[1-i%2].Login, Role: assessment.Auditor})
		})
		for _, err := range errs {
			if err != nil && !assert.ObjectsAreEqual(err, ErrDenied) {
				assert.ErrorAs(t, err, &refusal)
			}
		}
		assert.Positive(t, h.count("SELECT count(*) FROM person WHERE salon_id = 1 AND role = 'head_groomer' AND left_day = 0"))
	}
}

func TestChangePassword(t *testing.T) {
	h := newHouse(t)
	h.sql("UPDATE person SET password = 'first' WHERE login = 'pia'")
	_, code, err := h.RenewCode(h.ctx, h.runa, h.pia.Key)
	require.NoError(t, err)
	require.NoError(t, h.CheckCode(h.ctx, "pia", code))
	require.NoError(t, h.CheckCode(h.ctx, "pia", code), "looking uses nothing up")
	_, errs := together(4, func(int) (struct{}, error) { return struct{}{}, h.ChangePassword(h.ctx, h.pia, "first", "second") })
	worked := 0
	for _, err := range errs {
		if err == nil {
			worked++
			continue
		}
		assert.ErrorIs(t, err, ErrConflict)
	}
	assert.Equal(t, 1, worked)
	_, encoded, err := h.Credentials(h.ctx, "pia")
	require.NoError(t, err)
	assert.Equal(t, "second", encoded)
	assert.ErrorIs(t, h.CheckCode(h.ctx, "pia", code), ErrDenied, "an open code is closed with it")
	assert.Len(t, h.entries("person.password_changed", h.pia.Key), 1)
}

func TestACodeThatTheProgramMade(t *testing.T) {
	h := newHouse(t)
	p, code, err := h.RenewCodeOfLogin(h.ctx, "nell")
	require.NoError(t, err)
	assert.Equal(t, "Nell Tarn", p.Name)
	require.NoError(t, h.CheckCode(h.ctx, "nell", code))
	assert.Equal(t, 1, h.count("SELECT count(*) FROM record WHERE kind = 'person.code_renewed' AND subject = 'nell' AND person_id = 0 AND salon_id = 99"))
	_, _, err = h.RenewCodeOfLogin(h.ctx, "nobody")
	assert.ErrorIs(t, err, ErrNotFound)
}
