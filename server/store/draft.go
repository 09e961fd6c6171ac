package store

import (
	"context"
	"encoding/json"
	"net/url"
	"time"

	"gorm.io/gorm"
)

// Draft is a groom as it is being entered: the form's values exactly as they
// were typed, so that nothing is lost however wrong it is.
type Draft struct {
	Key     string
	Version int // adds 1 with each save
	Form    url.Values
	Updated time.Time // UTC
	SavedAs string    // the id of the save that made this version; empty when a button did
}

// Save names one try of a page to save by itself. The id stays the same until
// an answer arrives; the number of the try rises. The zero Save is a button's.
type Save struct {
	ID  string
	Try int64 // 1 up
}

type draftRow struct {
	ID        int64
	Key       string
	SalonID   int64
	AuthorID  int64
	Version   int
	Body      string
	UpdatedAt int64
	SaveID    string
	SaveTry   int64
}

func (draftRow) TableName() string { return "draft" }

func (r draftRow) draft() (Draft, error) {
	d := Draft{Key: r.Key, Version: r.Version, Updated: time.Unix(r.UpdatedAt, 0).UTC(), SavedAs: r.SaveID}
	return d, json.Unmarshal([]byte(r.Body), &d.Form)
}

// NewDraft begins a groom and returns its key. With a client id, asking twice
// begins one.
func (s *Store) NewDraft(ctx context.Context, sc Scope, form url.Values, clientID string) (key string, err error) {
	if err := sc.judges(); err != nil {
		return "", err
	}
	body, err := json.Marshal(form)
	if err != nil {
		return "", err
	}
	return s.once(ctx, sc, clientID, func(tx *gorm.DB, now time.Time) (string, error) {
		row := draftRow{Key: s.newKey(), SalonID: sc.salon, AuthorID: sc.person, Version: 1, Body: string(body), UpdatedAt: now.Unix()}
		return row.Key, tx.Create(&row).Error
	})
}

// SaveDraft replaces the contents of a draft. seen is the version the page was
// showing; ErrConflict says that another page has saved since. A newer try of
// the save that made the present version goes on from there: its page did not
// get the answer. The same try again is answered with that version, and an
// older one that comes late is ErrConflict.
func (s *Store) SaveDraft(ctx context.Context, sc Scope, key string, seen int, form url.Values, by Save) (version int, err error) {
	if err := sc.judges(); err != nil {
		return 0, err
	}
	body, err := json.Marshal(form)
	if err != nil {
		return 0, err
	}
	err = s.tx(ctx, func(tx *gorm.DB, now time.Time) error {
		var row draftRow
		if err := one(tx.Select("id, version, save_id, save_try").Where("key = ? AND author_id = ?", key, sc.person), &row); err != nil {
			return err
		}
		version = row.Version
		own := by.ID != "" && by.ID == row.SaveID
		switch {
		case own && by.Try == row.SaveTry:
			return nil
		case own && by.Try < row.SaveTry, !own && seen != row.Version:
			return ErrConflict
		}
		version++
		return tx.Table("draft").Where("id = ?", row.ID).
			Updates(map[string]any{"body": string(body), "version": version, "updated_at": now.Unix(), "save_id": by.ID, "save_try": by.Try}).Error
	})
	return version, err
}

// Draft returns one of the person's own drafts.
func (s *Store) Draft(ctx context.Context, sc Scope, key string) (Draft, error) {
	if err := sc.judges(); err != nil {
		return Draft{}, err
	}
	var row draftRow
	if err := one(s.read.WithContext(ctx).Where("key = ? AND author_id = ?", key, sc.person), &row); err != nil {
		return Draft{}, err
	}
	return row.draft()
}

// Drafts returns the person's own drafts, the newest first.
func (s *Store) Drafts(ctx context.Context, sc Scope) ([]Draft, error) {
	if err := sc.valid(); err != nil {
		return nil, err
	}
	var rows []draftRow
	if err := s.read.WithContext(ctx).Where("author_id = ?", sc.person).Order("updated_at DESC, id DESC").Find(&rows).Error; err != nil {
		return nil, err
	}
	out := make([]Draft, 0, len(rows))
	for _, r := range rows {
		d, err := r.draft()
		if err != nil {
			return nil, err
		}
		out = append(out, d)
	}
	return out, nil
}

// DropDraft throws one of the person's own drafts away, its photos with it.
func (s *Store) DropDraft(ctx context.Context, sc Scope, key string) error {
	if err := sc.judges(); err != nil {
		return err
	}
	photos := 0
	err := s.tx(ctx, func(tx *gorm.DB, now time.Time) error {
		drop := tx.Where("key = ? AND author_id = ?", key, sc.person).Delete(&draftRow{})
		if drop.Error != nil || drop.RowsAffected == 0 {
			return drop.Error
		}
		var err error
		if photos, err = dropPhotos(tx, sc, now, key); err != nil {
			return err
		}
		return tx.Where("key = ?", key).Delete(&cutPlanRow{}).Error
	})
	if photos > 0 {
		s.wipe(ctx)
	}
	return err
}
