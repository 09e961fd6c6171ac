package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"sync"
	"time"

	"gorm.io/gorm"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// Scope says who asks. Only the store makes one, from a person in the
// database; the zero Scope may do nothing.
type Scope struct {
	person, salon int64
	Key           string // public key of the person
	Name, Login   string
	Role          assessment.Role
	Salon         string // name of the salon
	Zone          string // time zone of the salon
	Proof         string // of the password as it is stored now; see ProofOf
	PINProof      string // of password and PIN; empty without a PIN
	Method        string // how the person proved who they are; the server says it, and the record keeps it
	location      *time.Location
}

// How somebody proves who they are.
const (
	ByPassword = "password"
	ByPIN      = "pin"  // on an enrolled device
	ByCode     = "code" // used once, to choose a password
)

const whoIsIt = `SELECT person.id, person.salon_id, person.key, person.name, person.login, person.role, person.password, person.pin, salon.name, salon.zone, programme.id, programme.digest
	FROM person JOIN salon ON salon.id = person.salon_id JOIN programme ON programme.id = salon.programme_id
	WHERE person.key = ? AND person.left_day = 0`

// Enter returns the scope of a person who is still here, and the programme the
// salon uses now: what every request begins with, in one question.
func (s *Store) Enter(ctx context.Context, person string) (Scope, *curriculum.Programme, error) {
	var sc Scope
	var id int64
	var digest, password, pin string
	err := s.whoIsIt.QueryRowContext(ctx, person).Scan(&sc.person, &sc.salon, &sc.Key, &sc.Name, &sc.Login, &sc.Role, &password, &pin, &sc.Salon, &sc.Zone, &id, &digest)
	if errors.Is(err, sql.ErrNoRows) {
		err = ErrNotFound
	}
	if err == nil {
		sc.Proof = ProofOf(password)
		if pin != "" {
			sc.PINProof = ProofOf(password + pin)
		}
		sc.location, err = location(sc.Zone)
	}
	if err != nil {
		return Scope{}, nil, err
	}
	prog, err := s.programme(s.read.WithContext(ctx), id, digest)
	return sc, prog, err
}

// ScopeOf returns the scope of a person who is still here.
func (s *Store) ScopeOf(ctx context.Context, person string) (Scope, error) {
	sc, _, err := s.Enter(ctx, person)
	return sc, err
}

var locations sync.Map // time zone → *time.Location; reading one takes longer than a query

func location(zone string) (*time.Location, error) {
	if l, ok := locations.Load(zone); ok {
		return l.(*time.Location), nil
	}
	l, err := time.LoadLocation(zone)
	if err != nil {
		return nil, fmt.Errorf("the salon's time zone is not known here: %w", err)
	}
	locations.Store(zone, l)
	return l, nil
}

// Local is an instant in the time zone of the scope's salon; in UTC for the
// zero Scope.
func (sc Scope) Local(t time.Time) time.Time {
	if sc.location == nil {
		return t.UTC()
	}
	return t.In(sc.location)
}

func (sc Scope) valid() error {
	if sc.person == 0 || sc.salon == 0 {
		return ErrDenied
	}
	return nil
}

// must refuses a scope whose role is not among those allowed.
func (sc Scope) must(roles ...assessment.Role) error {
	if err := sc.valid(); err != nil {
		return err
	}
	for _, r := range roles {
		if sc.Role == r {
			return nil
		}
	}
	return ErrDenied
}

// judges refuses everyone who may not assess.
func (sc Scope) judges() error { return sc.must(assessment.HeadGroomer, assessment.Assessor) }

// apprentice finds an apprentice the scope may see. An apprentice sees only
// themselves; for everyone else's key the answer is "not found", so that a
// guess learns nothing.
func (s *Store) apprentice(db *gorm.DB, sc Scope, key string) (personRow, error) {
	var p personRow
	if err := sc.valid(); err != nil {
		return p, err
	}
	q := db.Table("person").Where("key = ? AND salon_id = ? AND role = ?", key, sc.salon, assessment.Apprentice)
	if sc.Role == assessment.Apprentice {
		q = q.Where("id = ?", sc.person)
	}
	err := one(q, &p)
	return p, err
}

// seen narrows a query on a table with an apprentice_id to what the scope may
// see. The tables hold one salon's apprentices each through person.
func (sc Scope) seen(q *gorm.DB) *gorm.DB {
	where, arg := sc.reach()
	return q.Where(where, arg)
}

// reach is the condition behind seen: an apprentice reaches themselves, anyone
// else the salon.
func (sc Scope) reach() (where string, arg any) {
	if sc.Role == assessment.Apprentice {
		return "apprentice_id = ?", sc.person
	}
	return "apprentice_id IN (SELECT id FROM person WHERE salon_id = ?)", sc.salon
}

// Today is the civil date in the scope's salon.
func (s *Store) Today(sc Scope) assessment.Day { return s.dayOf(s.now(), sc) }

// ScopeOfLogin returns the scope of the person with this login, or of the
// first head groomer when it is empty. It is for the command line, where
// whoever can read the file needs no password.
func (s *Store) ScopeOfLogin(ctx context.Context, login string) (Scope, error) {
	var p personRow
	q := s.read.WithContext(ctx).Where("left_day = 0").Order("id")
	if login == "" {
		q = q.Where("role = ?", assessment.HeadGroomer)
	} else {
		q = q.Where("login = ?", login)
	}
	if err := one(q, &p); err != nil {
		return Scope{}, err
	}
	return s.ScopeOf(ctx, p.Key)
}
