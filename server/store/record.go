package store

import (
	"context"
	"encoding/json"
	"errors"
	"time"

	"gorm.io/gorm"
)

type recordRow struct {
	ID       int64
	SalonID  int64
	At       int64
	PersonID int64
	Kind     string
	Subject  string
	Detail   string
}

func (recordRow) TableName() string { return "record" }

// record appends one entry to the history, inside the change's transaction.
func record(tx *gorm.DB, sc Scope, now time.Time, kind, subject string, detail any) error {
	text, err := json.Marshal(detail)
	if err != nil {
		return err
	}
	return tx.Create(&recordRow{SalonID: sc.salon, At: now.Unix(), PersonID: sc.person, Kind: kind, Subject: subject, Detail: string(text)}).Error
}

type replyRow struct {
	PersonID  int64
	ClientID  string
	Location  string
	CreatedAt int64
}

func (replyRow) TableName() string { return "reply" }

// Replayed returns where the first answer to a write led, if this person has
// sent the same write before.
func (s *Store) Replayed(ctx context.Context, sc Scope, clientID string) (string, bool) {
	var r replyRow
	if sc.valid() != nil || clientID == "" {
		return "", false
	}
	err := one(s.read.WithContext(ctx).Where("person_id = ? AND client_id = ?", sc.person, clientID), &r)
	return r.Location, err == nil
}

// errReplay ends a transaction whose write was done before.
var errReplay = errors.New("done before")

// remember notes the answer of a write. A second transaction with the same
// client id fails here and changes nothing.
func remember(tx *gorm.DB, sc Scope, now time.Time, clientID, location string) error {
	if clientID == "" {
		return nil
	}
	err := tx.Create(&replyRow{sc.person, clientID, location, now.Unix()}).Error
	if errors.Is(err, gorm.ErrDuplicatedKey) {
		return errReplay
	}
	return err
}

// once runs a write at most once for each client id of a person and returns
// where its answer leads. A replay returns the first answer.
func (s *Store) once(ctx context.Context, sc Scope, clientID string, f func(tx *gorm.DB, now time.Time) (string, error)) (string, error) {
	if to, done := s.Replayed(ctx, sc, clientID); done {
		return to, nil
	}
	var to string
	err := s.tx(ctx, func(tx *gorm.DB, now time.Time) (err error) {
		if to, err = f(tx, now); err != nil {
			return err
		}
		return remember(tx, sc, now, clientID, to)
	})
	if errors.Is(err, errReplay) {
		to, _ = s.Replayed(ctx, sc, clientID)
		return to, nil
	}
	return to, err
}
