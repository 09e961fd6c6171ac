package store

import (
	"context"
	"encoding/json"
	"errors"
	"strconv"
	"time"

	"gorm.io/gorm"
)

type recordRow struct {
	SalonID  int64
	At       int64
	PersonID int64
	Kind     string
	Subject  string
	Detail   string
}

func (recordRow) TableName() string { return "record" }

// record appends one entry to the history, inside the change's transaction. Its
// detail also says how whoever made the change had proved who they are.
func record(tx *gorm.DB, sc Scope, now time.Time, kind, subject string, detail any) error {
	text, err := json.Marshal(detail)
	if err == nil && sc.Method != "" {
		text, err = withMethod(text, sc.Method)
	}
	if err != nil {
		return err
	}
	return tx.Create(&recordRow{SalonID: sc.salon, At: now.Unix(), PersonID: sc.person, Kind: kind, Subject: subject, Detail: string(text)}).Error
}

func withMethod(detail []byte, method string) ([]byte, error) {
	var fields map[string]json.RawMessage
	if err := json.Unmarshal(detail, &fields); err != nil {
		return nil, err
	}
	if fields == nil { // there was no detail
		fields = map[string]json.RawMessage{}
	}
	fields["method"] = json.RawMessage(strconv.Quote(method))
	return json.Marshal(fields)
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
	if sc.valid() != nil {
		return "", false
	}
	to, done, _ := replayed(s.read.WithContext(ctx), sc, clientID)
	return to, done
}

func replayed(db *gorm.DB, sc Scope, clientID string) (to string, done bool, err error) {
	if clientID == "" {
		return "", false, nil
	}
	var r replyRow
	err = one(db.Where("person_id = ? AND client_id = ?", sc.person, clientID), &r)
	if errors.Is(err, ErrNotFound) {
		return "", false, nil
	}
	return r.Location, err == nil, err
}

// remember notes the answer of a write.
func remember(tx *gorm.DB, sc Scope, now time.Time, clientID, location string) error {
	if clientID == "" {
		return nil
	}
	return tx.Create(&replyRow{sc.person, clientID, location, now.Unix()}).Error
}

// once runs a write at most once for each client id of a person and returns
// where its answer leads. A replay returns the first answer. Whether it is one
// is asked inside the transaction, so that the second of two clicks waits for
// the first and does not meet its result.
func (s *Store) once(ctx context.Context, sc Scope, clientID string, f func(tx *gorm.DB, now time.Time) (string, error)) (string, error) {
	var to string
	err := s.tx(ctx, func(tx *gorm.DB, now time.Time) (err error) {
		var done bool
		if to, done, err = replayed(tx, sc, clientID); done || err != nil {
			return err
		}
		if to, err = f(tx, now); err != nil {
			return err
		}
		return remember(tx, sc, now, clientID, to)
	})
	return to, err
}
