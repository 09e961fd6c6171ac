package store

import (
	"context"

	"gorm.io/gorm"

	"tablehand/assessment"
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
}

// ScopeOf returns the scope of a person who is still here.
func (s *Store) ScopeOf(ctx context.Context, person string) (Scope, error) {
	var row struct {
		ID, SalonID            int64
		Key, Name, Login, Role string
		Salon, Zone            string
	}
	err := one(s.read.WithContext(ctx).Table("person").
		Select("person.id, person.salon_id, person.key, person.name, person.login, person.role, salon.name AS salon, salon.zone").
		Joins("JOIN salon ON salon.id = person.salon_id").
		Where("person.key = ? AND person.left_day = 0", person), &row)
	if err != nil {
		return Scope{}, err
	}
	return Scope{person: row.ID, salon: row.SalonID, Key: row.Key, Name: row.Name, Login: row.Login, Role: assessment.Role(row.Role), Salon: row.Salon, Zone: row.Zone}, nil
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
func (s *Store) Today(sc Scope) assessment.Day { return s.today(sc.Zone) }

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
