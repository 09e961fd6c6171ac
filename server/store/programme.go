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

type programmeRow struct {
	ID          int64
	Ident       string
	Version     int
	Digest      string
	Source      []byte
	PublishedAt int64
}

func (programmeRow) TableName() string { return "programme" }

// parsed keeps programmes that have been read; a published one never changes.
var parsed sync.Map // digest → *curriculum.Programme

// publish stores a version of a programme, or finds it stored. A version that
// is stored with other contents is refused.
func publish(tx *gorm.DB, now time.Time, p *curriculum.Programme) (programmeRow, error) {
	var row programmeRow
	err := one(tx.Where("ident = ? AND version = ?", p.ID, p.Version), &row)
	if err == nil {
		if row.Digest != p.Digest() {
			return row, &Refusal{[]string{fmt.Sprintf("Version %d of %q is published already with other contents. Give the changed programme the next version number.", p.Version, p.ID)}}
		}
		return row, nil
	}
	if err != ErrNotFound {
		return row, err
	}
	row = programmeRow{Ident: p.ID, Version: p.Version, Digest: p.Digest(), Source: p.Source(), PublishedAt: now.Unix()}
	return row, tx.Create(&row).Error
}

// Publish makes a programme the one the salon uses from now on.
func (s *Store) Publish(ctx context.Context, sc Scope, p *curriculum.Programme) error {
	if err := sc.must(assessment.HeadGroomer); err != nil {
		return err
	}
	return s.tx(ctx, func(tx *gorm.DB, now time.Time) error { return takeIntoUse(tx, sc, now, p) })
}

// Programme returns the programme the salon uses now.
func (s *Store) Programme(ctx context.Context, sc Scope) (*curriculum.Programme, error) {
	_, p, err := s.programmeInUse(s.read.WithContext(ctx), sc)
	return p, err
}

func (s *Store) programmeInUse(db *gorm.DB, sc Scope) (int64, *curriculum.Programme, error) {
	if err := sc.valid(); err != nil {
		return 0, nil, err
	}
	var id int64
	var digest string
	err := db.Raw("SELECT programme.id, programme.digest FROM programme JOIN salon ON salon.programme_id = programme.id WHERE salon.id = ?", sc.salon).
		Row().Scan(&id, &digest)
	if errors.Is(err, sql.ErrNoRows) {
		err = ErrNotFound
	}
	if err != nil {
		return 0, nil, err
	}
	p, err := s.programme(db, id, digest)
	return id, p, err
}

func (s *Store) programme(db *gorm.DB, id int64, digest string) (*curriculum.Programme, error) {
	if p, ok := parsed.Load(digest); ok {
		return p.(*curriculum.Programme), nil
	}
	var row programmeRow
	if err := one(db.Session(&gorm.Session{NewDB: true}).Where("id = ?", id), &row); err != nil {
		return nil, err
	}
	p, err := assessment.ReadProgramme(fmt.Sprintf("%s version %d", row.Ident, row.Version), row.Source)
	if err != nil {
		return nil, fmt.Errorf("the stored programme cannot be read: %w", err)
	}
	parsed.Store(digest, p)
	return p, nil
}

// Programmes returns every version a groom of the salon refers to, the one in
// use first.
func (s *Store) Programmes(ctx context.Context, sc Scope) ([]*curriculum.Programme, error) {
	db := s.read.WithContext(ctx)
	id, now, err := s.programmeInUse(db, sc)
	if err != nil {
		return nil, err
	}
	out := []*curriculum.Programme{now}
	var rows []struct {
		ID     int64
		Digest string
	}
	err = db.Table("programme").Select("id, digest").
		Where("id <> ? AND id IN (SELECT programme_id FROM groom WHERE salon_id = ?)", id, sc.salon).Order("version DESC").Find(&rows).Error
	for _, r := range rows {
		p, err := s.programme(db, r.ID, r.Digest)
		if err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, err
}

// PublishRule makes the next version of the programme in use, in which the
// points rule with this id has other numbers, and takes it into use.
func (s *Store) PublishRule(ctx context.Context, sc Scope, rule curriculum.PointsRule, clientID string) (location string, err error) {
	if err := sc.must(assessment.HeadGroomer); err != nil {
		return "", err
	}
	return s.once(ctx, sc, clientID, func(tx *gorm.DB, now time.Time) (string, error) {
		_, prog, err := s.programmeInUse(tx, sc)
		if err != nil {
			return "", err
		}
		var newest int
		if err := tx.Raw("SELECT max(version) FROM programme WHERE ident = ?", prog.ID).Row().Scan(&newest); err != nil {
			return "", err
		}
		next, err := prog.WithPointsRule(rule, newest+1, assessment.CheckPoints)
		if err != nil {
			return "", refuse("This rule cannot be used: " + err.Error())
		}
		return "/programme#points", takeIntoUse(tx, sc, now, next)
	})
}

func takeIntoUse(tx *gorm.DB, sc Scope, now time.Time, p *curriculum.Programme) error {
	row, err := publish(tx, now, p)
	if err != nil {
		return err
	}
	if err := tx.Table("salon").Where("id = ?", sc.salon).Update("programme_id", row.ID).Error; err != nil {
		return err
	}
	return record(tx, sc, now, "programme.in_use", p.ID, map[string]any{"version": p.Version, "digest": p.Digest()})
}
