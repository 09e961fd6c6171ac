package store

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/curriculum"
)

func TestFoundOnce(t *testing.T) {
	h := &house{t: t, ctx: t.Context(), dir: t.TempDir()}
	s := h.open(Options{Now: func() time.Time { return begin }})
	isNew, err := s.IsNew(h.ctx)
	require.NoError(t, err)
	assert.True(t, isNew)
	f := Founding{Salon: "Harbour Lane Dogs", Zone: "Europe/Lisbon", Name: "Runa Vale", Login: "runa", Password: "encoded", Programme: curriculum.Default()}
	people, errs := together(5, func(int) (Person, error) { return s.Found(h.ctx, f) })
	made := 0
	for i, err := range errs {
		if err == nil {
			made++
			assert.Equal(t, [2]any{assessment.HeadGroomer, true}, [2]any{people[i].Role, people[i].HasPassword})
			continue
		}
		assert.ErrorIs(t, err, ErrExists)
	}
	assert.Equal(t, 1, made)
	isNew, err = s.IsNew(h.ctx)
	require.NoError(t, err)
	assert.False(t, isNew)
	sc, err := s.ScopeOfLogin(h.ctx, "")
	require.NoError(t, err)
	assert.Equal(t, [4]string{"Runa Vale", "head_groomer", "Harbour Lane Dogs", "Europe/Lisbon"}, [4]string{sc.Name, string(sc.Role), sc.Salon, sc.Zone})
	assert.Equal(t, 1, s.readInt(t, "SELECT count(*) FROM person"))
	p, err := s.Programme(h.ctx, sc)
	require.NoError(t, err)
	assert.Equal(t, curriculum.Default().Digest(), p.Digest())
}

func (s *Store) readInt(t *testing.T, query string) (n int) {
	require.NoError(t, s.read.Raw(query).Scan(&n).Error)
	return n
}

func TestOneTimeCode(t *testing.T) {
	h := newHouse(t)
	code, err := h.AddPerson(h.ctx, h.runa, Person{Name: "Edda Moss", Login: "edda", Role: assessment.Assessor}, "")
	require.NoError(t, err)
	assert.Regexp(t, `^[a-z2-7]{5}(-[a-z2-7]{5}){3}$`, code)
	var stored string
	require.NoError(t, h.read.Raw("SELECT code FROM person WHERE login = 'edda'").Scan(&stored).Error)
	assert.Regexp(t, `^[0-9a-f]{64}$`, stored, "only its hash is kept")

	for _, wrong := range []string{"", " ", code[:len(code)-1], strings.ReplaceAll(code, "-", ""), stored} {
		_, err := h.SetPassword(h.ctx, "edda", wrong, "encoded")
		assert.ErrorIs(t, err, ErrDenied, "%q", wrong)
	}
	_, err = h.SetPassword(h.ctx, "ines", code, "encoded")
	assert.ErrorIs(t, err, ErrDenied, "the code of somebody else")
	_, err = h.SetPassword(h.ctx, "nobody", code, "encoded")
	assert.ErrorIs(t, err, ErrNotFound)
	_, encoded, err := h.Credentials(h.ctx, "edda")
	require.NoError(t, err)
	assert.Empty(t, encoded)

	p, err := h.SetPassword(h.ctx, "edda", "  "+strings.ToUpper(code)+"\n", "encoded")
	require.NoError(t, err, "read aloud, typed in capitals")
	assert.True(t, p.HasPassword)
	_, encoded, err = h.Credentials(h.ctx, "edda")
	require.NoError(t, err)
	assert.Equal(t, "encoded", encoded)
	login, encoded, err := h.PasswordOf(h.ctx, h.scope(p.Key))
	require.NoError(t, err)
	assert.Equal(t, [2]string{"edda", "encoded"}, [2]string{login, encoded})

	for _, again := range []string{code, ""} {
		_, err = h.SetPassword(h.ctx, "edda", again, "stolen")
		assert.ErrorIs(t, err, ErrDenied, "a code works once")
	}
	_, encoded, err = h.Credentials(h.ctx, "edda")
	require.NoError(t, err)
	assert.Equal(t, "encoded", encoded)
	assert.Equal(t, 1, h.count("SELECT count(*) FROM record WHERE kind = 'person.password_set' AND subject = ?", p.Key))
}

func TestOneTimeCodeUsedAtTheSameMoment(t *testing.T) {
	h := newHouse(t)
	code, err := h.AddPerson(h.ctx, h.runa, Person{Name: "Edda Moss", Login: "edda", Role: assessment.Assessor}, "")
	require.NoError(t, err)
	_, errs := together(6, func(int) (Person, error) { return h.SetPassword(h.ctx, "edda", code, "encoded") })
	worked := 0
	for _, err := range errs {
		if err == nil {
			worked++
			continue
		}
		assert.ErrorIs(t, err, ErrDenied)
	}
	assert.Equal(t, 1, worked)
}

func TestOneTimeCodeExpires(t *testing.T) {
	for _, c := range []struct {
		after time.Duration
		works bool
	}{{codeLife, true}, {codeLife + time.Second, false}} {
		h := newHouse(t)
		code, err := h.AddPerson(h.ctx, h.runa, Person{Name: "Edda Moss", Login: "edda", Role: assessment.Assessor}, "")
		require.NoError(t, err)
		h.clock.add(c.after)
		_, err = h.SetPassword(h.ctx, "edda", code, "encoded")
		if c.works {
			assert.NoError(t, err)
		} else {
			assert.ErrorIs(t, err, ErrDenied)
		}
	}
}

func TestAddPerson(t *testing.T) {
	h := newHouse(t)
	n := h.rows("person")
	for _, login := range []string{"ines", "olan"} { // logins are unique in the whole database
		_, err := h.AddPerson(h.ctx, h.runa, Person{Name: "Edda Moss", Login: login, Role: assessment.Assessor}, "")
		assert.ErrorIs(t, err, ErrExists, login)
	}
	for _, sc := range []Scope{h.ines, h.pia, h.mara} {
		_, err := h.AddPerson(h.ctx, sc, Person{Name: "Edda Moss", Login: "edda", Role: assessment.HeadGroomer}, "")
		assert.ErrorIs(t, err, ErrDenied, sc.Role)
	}
	_, err := h.AddPerson(h.ctx, h.runa, Person{Name: "Edda Moss", Login: "edda", Role: "magician"}, "")
	assert.Error(t, err)
	assert.Equal(t, n, h.rows("person"))

	start := assessment.Date(2026, time.June, 1)
	_, err = h.AddPerson(h.ctx, h.olan, Person{Name: "Edda Moss", Login: "edda", Role: assessment.Apprentice, Start: start}, "click")
	require.NoError(t, err)
	p, _, err := h.Credentials(h.ctx, "edda")
	require.NoError(t, err)
	assert.Equal(t, Person{Key: p.Key, Name: "Edda Moss", Login: "edda", Role: assessment.Apprentice, Start: start}, p)
	assert.Equal(t, "Far Shore Dogs", h.scope(p.Key).Salon)
	again, err := h.AddPerson(h.ctx, h.olan, Person{Name: "Edda Moss", Login: "edda", Role: assessment.Apprentice}, "click")
	require.NoError(t, err)
	assert.Empty(t, again, "a code that does not work must not be shown")
}

func TestWhoHasLeftMayDoNothing(t *testing.T) {
	h := newHouse(t)
	code, err := h.AddPerson(h.ctx, h.runa, Person{Name: "Edda Moss", Login: "edda", Role: assessment.Assessor}, "")
	require.NoError(t, err)
	h.sql("UPDATE person SET left_day = ? WHERE login IN ('edda', 'ines')", int(h.today()))
	_, err = h.ScopeOf(h.ctx, h.ines.Key)
	assert.ErrorIs(t, err, ErrNotFound)
	_, err = h.ScopeOfLogin(h.ctx, "ines")
	assert.ErrorIs(t, err, ErrNotFound)
	_, _, err = h.Credentials(h.ctx, "ines")
	assert.ErrorIs(t, err, ErrNotFound)
	_, err = h.SetPassword(h.ctx, "edda", code, "encoded")
	assert.ErrorIs(t, err, ErrNotFound)
	people, err := h.People(h.ctx, h.runa)
	require.NoError(t, err)
	for _, p := range people {
		assert.Equal(t, p.Login == "edda" || p.Login == "ines", p.Left == h.today(), p.Name)
	}
	_, err = h.ScopeOf(h.ctx, "nobody")
	assert.ErrorIs(t, err, ErrNotFound)
}

func TestCodesDiffer(t *testing.T) {
	seen := map[string]bool{}
	for range 1000 {
		seen[NewCode()] = true
	}
	assert.Len(t, seen, 1000)
}

func TestRenewedCode(t *testing.T) {
	h := newHouse(t)
	first, err := h.AddPerson(h.ctx, h.runa, Person{Name: "Edda Moss", Login: "edda", Role: assessment.Assessor}, "one click")
	require.NoError(t, err)
	again, err := h.AddPerson(h.ctx, h.runa, Person{Name: "Edda Moss", Login: "edda", Role: assessment.Assessor}, "one click")
	require.NoError(t, err)
	assert.Empty(t, again, "only the hash of the first is kept")
	p, _, err := h.Credentials(h.ctx, "edda")
	require.NoError(t, err)
	_, second, err := h.RenewCode(h.ctx, h.runa, p.Key)
	require.NoError(t, err)
	_, err = h.SetPassword(h.ctx, "edda", first, "encoded")
	assert.ErrorIs(t, err, ErrDenied, "the earlier code is worth nothing")
	_, err = h.SetPassword(h.ctx, "edda", second, "encoded")
	require.NoError(t, err)

	_, third, err := h.RenewCode(h.ctx, h.runa, p.Key)
	require.NoError(t, err)
	_, encoded, err := h.Credentials(h.ctx, "edda")
	require.NoError(t, err)
	assert.Equal(t, "encoded", encoded, "the password works until the code is used")
	h.clock.days(8)
	_, err = h.SetPassword(h.ctx, "edda", third, "other")
	assert.ErrorIs(t, err, ErrDenied, "too old")

	_, _, err = h.RenewCode(h.ctx, h.ines, p.Key)
	assert.ErrorIs(t, err, ErrDenied)
	_, _, err = h.RenewCode(h.ctx, h.olan, p.Key)
	assert.ErrorIs(t, err, ErrNotFound, "of another salon")
}
