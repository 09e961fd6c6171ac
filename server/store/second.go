package store

import (
	"context"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tablehand/assessment"
)

type openedRow struct {
	GroomID  int64
	PersonID int64
	At       int64
}

func (openedRow) TableName() string { return "groom_opened" }

// Opened returns the keys of the grooms since a day whose marks this person has
// looked at. Whoever saw the marks of a second rating knows the groom.
func (s *Store) Opened(ctx context.Context, sc Scope, since assessment.Day) (map[string]bool, error) {
	if err := sc.valid(); err != nil {
		return nil, err
	}
	list, err := keys(s.read.WithContext(ctx), `SELECT id, key FROM groom WHERE salon_id = @salon AND day >= @since AND (id IN (SELECT groom_id FROM groom_opened WHERE person_id = @person)
		OR id IN (SELECT second_of_id FROM groom second JOIN groom_opened ON groom_id = second.id WHERE person_id = @person))`,
		map[string]any{"person": sc.person, "salon": sc.salon, "since": int(since)})
	out := map[string]bool{}
	for _, key := range list {
		out[key] = true
	}
	return out, err
}

// opened reports whether this person has looked at the marks of a groom, or at
// those of a second rating of it.
func opened(db *gorm.DB, sc Scope, groom string) (bool, error) {
	var n int64
	err := db.Table("groom_opened").Where("person_id = ? AND groom_id IN (SELECT id FROM groom WHERE key = ? UNION SELECT id FROM groom WHERE second_of_id = (SELECT id FROM groom WHERE key = ?))",
		sc.person, groom, groom).Count(&n).Error
	return n > 0, err
}

// Open notes that this person has been shown the marks of a groom. It is noted
// once; later visits write nothing.
func (s *Store) Open(ctx context.Context, sc Scope, groom string) error {
	if err := sc.valid(); err != nil {
		return err
	}
	seen, err := opened(s.read.WithContext(ctx), sc, groom)
	if err != nil || seen {
		return err
	}
	return s.tx(ctx, func(tx *gorm.DB, now time.Time) error {
		var row groomRow
		if err := one(sc.seen(tx.Where("key = ?", groom)), &row); err != nil {
			return err
		}
		return open(tx, sc, now, row.ID)
	})
}

func open(tx *gorm.DB, sc Scope, now time.Time, groom int64) error {
	return tx.Clauses(clause.OnConflict{DoNothing: true}).Create(&openedRow{groom, sc.person, now.Unix()}).Error
}

// Sealed returns the keys of grooms whose marks this person is not shown yet:
// those an assessor is rating a second time, with what others gave them, and an apprentice's own newer ones
// that they have neither rated themselves nor asked to see. A second rating is
// sealed with its first.
func (s *Store) Sealed(ctx context.Context, sc Scope) (map[string]bool, error) {
	if err := sc.valid(); err != nil {
		return nil, err
	}
	db := s.read.WithContext(ctx)
	out := map[string]bool{}
	switch {
	case sc.Role == assessment.Apprentice:
		list, err := keys(db, `SELECT id, key FROM groom WHERE apprentice_id = ? AND day >= ? AND supersedes_id IS NULL
			AND COALESCE(second_of_id, id) NOT IN (SELECT groom_id FROM groom_opened WHERE person_id = ?)`, sc.person, int(s.Today(sc))-assessment.SelfRatingDays, sc.person)
		for _, key := range list {
			out[key] = true
		}
		return out, err
	case sc.Role.Judges():
		drafts, err := s.Drafts(ctx, sc)
		var firsts []string
		for _, d := range drafts {
			if first := d.Form.Get("second_of"); first != "" {
				firsts, out[first] = append(firsts, first), true
			}
		}
		if err != nil || len(firsts) == 0 {
			return out, err
		}
		others, err := keys(db, "SELECT id, key FROM groom WHERE second_of_id IN (SELECT id FROM groom WHERE key IN ?)", firsts)
		for _, key := range others {
			out[key] = true
		}
		return out, err
	}
	return out, nil
}

// NewSecond begins a draft that rates a groom a second time, and returns its key.
func (s *Store) NewSecond(ctx context.Context, sc Scope, groom, clientID string, form func(assessment.Groom) map[string][]string) (draft string, err error) {
	if err := sc.judges(); err != nil {
		return "", err
	}
	first, err := s.Groom(ctx, sc, groom)
	if err != nil {
		return "", err
	}
	second, err := s.second(ctx, s.read.WithContext(ctx), sc, &first)
	if err != nil {
		return "", err
	}
	if err := refuse(second.Refuse()); err != nil {
		return "", err
	}
	return s.NewDraft(ctx, sc, form(assessment.SecondForm(&first.Groom, first.Key)), clientID)
}

// second gathers what is known of this person and a groom to be rated again.
func (s *Store) second(ctx context.Context, db *gorm.DB, sc Scope, first *Groom) (assessment.Second, error) {
	out := assessment.Second{First: &first.Groom, Corrected: first.SupersededBy != "", Person: sc.Key, Role: sc.Role, Today: s.Today(sc)}
	var err error
	if out.Opened, err = opened(db, sc, first.Key); err != nil {
		return out, err
	}
	var n int64
	err = db.Table("groom").Where("second_of_id = (SELECT id FROM groom WHERE key = ?) AND assessor_id = ?", first.Key, sc.person).Count(&n).Error
	out.Already = n > 0
	return out, err
}

// Joint is one groom that two assessors rated without knowing each other's
// marks.
type Joint struct{ First, Second Groom }

// RatedTwice are joint grooms as they are judged.
func RatedTwice(joints []Joint) []assessment.RatedTwice {
	out := make([]assessment.RatedTwice, len(joints))
	for i := range joints {
		j := &joints[i]
		out[i] = assessment.RatedTwice{Programme: j.First.Programme, First: &j.First.Groom, Second: &j.Second.Groom}
	}
	return out
}

// Joints returns the grooms rated twice that the scope may see, oldest first.
// Pairs of which one was corrected are left out: a correction knows both.
func (s *Store) Joints(ctx context.Context, sc Scope) ([]Joint, error) {
	if err := sc.valid(); err != nil {
		return nil, err
	}
	db := s.read.WithContext(ctx)
	const gone = "id NOT IN (SELECT supersedes_id FROM groom WHERE supersedes_id IS NOT NULL) AND supersedes_id IS NULL"
	var seconds, firsts []groomRow
	if err := sc.seen(db.Where("second_of_id IS NOT NULL AND " + gone)).Order("day, id").Find(&seconds).Error; err != nil {
		return nil, err
	}
	if err := sc.seen(db.Where("id IN (SELECT second_of_id FROM groom) AND " + gone)).Find(&firsts).Error; err != nil {
		return nil, err
	}
	all, err := s.grooms(db, sc, append(seconds, firsts...))
	if err != nil {
		return nil, err
	}
	first := map[int64]Groom{}
	for i, row := range firsts {
		first[row.ID] = all[len(seconds)+i]
	}
	var out []Joint
	for i, row := range seconds {
		if f, ok := first[*row.SecondOfID]; ok {
			out = append(out, Joint{f, all[i]})
		}
	}
	return out, nil
}
