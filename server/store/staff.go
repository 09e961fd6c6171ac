package store

import (
	"context"
	"time"

	"gorm.io/gorm"

	"tablehand/assessment"
)

// Correct changes what the record says of a person: name, login, role, first day
// and planned last day. Each change is an entry of its own, with what stood there before.
func (s *Store) Correct(ctx context.Context, sc Scope, person string, to Person) error {
	if err := to.InOrder(); err != nil {
		return err
	}
	return s.change(ctx, sc, person, func(tx *gorm.DB, now time.Time, p *personRow) error {
		if to.Role != assessment.Role(p.Role) {
			if err := mayChangeRole(tx, p); err != nil {
				return err
			}
		}
		for _, c := range []struct {
			column, kind string
			from, to     any
		}{
			{"name", "person.name_corrected", p.Name, to.Name},
			{"login", "person.login_changed", p.Login, to.Login},
			{"role", "person.role_changed", p.Role, string(to.Role)},
			{"start_day", "person.start_corrected", p.StartDay, int32(to.Start)},
			{"end_day", "person.end_planned", p.EndDay, int32(to.End)},
		} {
			if c.from == c.to {
				continue
			}
			if err := tx.Model(p).Update(c.column, c.to).Error; err != nil {
				return err
			}
			if err := record(tx, sc, now, c.kind, p.Key, map[string]any{"from": c.from, "to": c.to}); err != nil {
				return err
			}
		}
		return nil
	})
}

// Leave marks a person as having left. They cannot sign in any more: their
// password and an open code are gone, and with the password their sessions.
func (s *Store) Leave(ctx context.Context, sc Scope, person string, day assessment.Day) error {
	return s.change(ctx, sc, person, func(tx *gorm.DB, now time.Time, p *personRow) error {
		switch {
		case p.LeftDay != 0:
			return refuse(p.Name + " has left already, on " + assessment.Day(p.LeftDay).Words() + ".")
		case day > s.dayOf(now, sc):
			return refuse("The last day lies in the future. Enter it when it has come: whoever has left cannot sign in.")
		case day <= 0 || day < assessment.Day(p.StartDay):
			return refuse("The last day comes before the first. Look at both again.")
		}
		if err := notTheLastHead(tx, p); err != nil {
			return err
		}
		if err := tx.Model(p).Updates(map[string]any{"left_day": int32(day), "password": "", "code": "", "pin": ""}).Error; err != nil {
			return err
		}
		return record(tx, sc, now, "person.left", p.Key, map[string]any{"day": int(day)})
	})
}

// ComeBack takes back that a person has left. They need a one-time code to
// choose a password, as at the beginning.
func (s *Store) ComeBack(ctx context.Context, sc Scope, person string) error {
	return s.change(ctx, sc, person, func(tx *gorm.DB, now time.Time, p *personRow) error {
		if p.LeftDay == 0 {
			return nil // a repeat
		}
		day := p.LeftDay
		if err := tx.Model(p).Update("left_day", 0).Error; err != nil {
			return err
		}
		return record(tx, sc, now, "person.came_back", p.Key, map[string]any{"left": day})
	})
}

// change lets a head groomer change one person of the salon, in a transaction.
func (s *Store) change(ctx context.Context, sc Scope, person string, f func(tx *gorm.DB, now time.Time, p *personRow) error) error {
	if err := sc.must(assessment.HeadGroomer); err != nil {
		return err
	}
	return s.tx(ctx, func(tx *gorm.DB, now time.Time) error {
		// Asked again inside: the role may have been taken away by a change that
		// was quicker.
		var by int64
		if err := tx.Table("person").Where("id = ? AND role = ? AND left_day = 0", sc.person, assessment.HeadGroomer).Count(&by).Error; err != nil {
			return err
		}
		if by == 0 {
			return ErrDenied
		}
		var p personRow
		if err := one(tx.Where("key = ? AND salon_id = ?", person, sc.salon), &p); err != nil {
			return err
		}
		return f(tx, now, &p)
	})
}

func mayChangeRole(tx *gorm.DB, p *personRow) error {
	if p.Role == string(assessment.Apprentice) {
		var n int64
		if err := tx.Raw("SELECT (SELECT count(*) FROM groom WHERE apprentice_id = @id) + (SELECT count(*) FROM observation WHERE apprentice_id = @id)",
			map[string]any{"id": p.ID}).Scan(&n).Error; err != nil {
			return err
		}
		if n > 0 {
			return refuse(p.Name + " has signed grooms or checks as an apprentice, and they stay theirs, so the role stays Apprentice. If " + p.Name +
				" has another task now, add them once more, with another login and that role.")
		}
	}
	return notTheLastHead(tx, p)
}

// notTheLastHead refuses a change after which nobody could add people or make a
// code.
func notTheLastHead(tx *gorm.DB, p *personRow) error {
	if p.Role != string(assessment.HeadGroomer) || p.LeftDay != 0 {
		return nil
	}
	var others int64
	err := tx.Table("person").Where("salon_id = ? AND role = ? AND left_day = 0 AND id <> ?", p.SalonID, assessment.HeadGroomer, p.ID).Count(&others).Error
	if err == nil && others == 0 {
		return refuse(p.Name + " is the only head groomer here. Make somebody else head groomer first.")
	}
	return err
}
