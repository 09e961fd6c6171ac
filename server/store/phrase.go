package store

import (
	"context"
	"encoding/json"
	"time"

	"gorm.io/gorm"

	"tablehand/curriculum"
)

type phraseRow struct {
	ID        int64
	SalonID   int64
	Phrases   string
	SetBy     int64
	CreatedAt int64
}

func (phraseRow) TableName() string { return "phrase_list" }

// Phrases returns what the salon's assessors put in with one touch: its own
// lists, or those of the programme while it has never written any.
func (s *Store) Phrases(ctx context.Context, sc Scope, prog *curriculum.Programme) (p curriculum.Phrases, err error) {
	if err := sc.valid(); err != nil {
		return p, err
	}
	var rows []phraseRow
	err = s.read.WithContext(ctx).Where("salon_id = ?", sc.salon).Order("id DESC").Limit(1).Find(&rows).Error
	switch {
	case err != nil:
		return p, err
	case len(rows) == 0:
		return prog.Vocabulary.Phrases, nil
	}
	return p, json.Unmarshal([]byte(rows[0].Phrases), &p)
}

// SetPhrases writes the salon's lists. Whoever assesses may.
func (s *Store) SetPhrases(ctx context.Context, sc Scope, p curriculum.Phrases, clientID string) error {
	if err := sc.judges(); err != nil {
		return err
	}
	_, err := s.once(ctx, sc, clientID, func(tx *gorm.DB, now time.Time) (string, error) {
		text, _ := json.Marshal(p) // texts cannot fail
		row := phraseRow{SalonID: sc.salon, Phrases: string(text), SetBy: sc.person, CreatedAt: now.Unix()}
		if err := tx.Create(&row).Error; err != nil {
			return "", err
		}
		return "/phrases", record(tx, sc, now, "phrases.set", "phrases", map[string]int{"keep": len(p.Keep), "change": len(p.Change), "next": len(p.Next)})
	})
	return err
}
