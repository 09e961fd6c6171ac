package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"time"

	"gorm.io/gorm"

	"tablehand/assessment"
)

// CutPlan is the cut plan of a draft or of a groom.
type CutPlan struct {
	assessment.CutPlan
	Version int // adds 1 with each save; 0 before the first
}

type cutPlanRow struct {
	Key       string `gorm:"primaryKey"`
	AuthorID  int64
	Version   int
	Body      string
	UpdatedAt int64
}

func (cutPlanRow) TableName() string { return "cut_plan" }

// SaveCutPlan replaces the cut plan of one of the person's own drafts. seen is the
// version the page was showing; ErrConflict says that another page has saved
// something else since. Once the groom is signed its plan stays as it is.
func (s *Store) SaveCutPlan(ctx context.Context, sc Scope, draft string, seen int, plan assessment.CutPlan) (version int, err error) {
	if err := sc.judges(); err != nil {
		return 0, err
	}
	body, err := json.Marshal(plan)
	if err != nil {
		return 0, err
	}
	err = s.tx(ctx, func(tx *gorm.DB, now time.Time) error {
		var d draftRow
		if err := one(tx.Where("key = ? AND author_id = ?", draft, sc.person), &d); err != nil {
			return err
		}
		var old cutPlanRow
		err := one(tx.Where("key = ?", draft), &old)
		switch {
		case errors.Is(err, ErrNotFound) && seen == 0:
			version = 1
			err = tx.Create(&cutPlanRow{draft, sc.person, version, string(body), now.Unix()}).Error
			return errors.Join(err, recordCutPlan(tx, sc, now, draft, version, body))
		case err != nil && !errors.Is(err, ErrNotFound):
			return err
		case old.Body == string(body): // saved before, by this page or another
			version = old.Version
			return nil
		case old.Version != seen:
			return ErrConflict
		}
		version = seen + 1
		err = tx.Table("cut_plan").Where("key = ?", draft).Updates(map[string]any{"body": string(body), "version": version, "updated_at": now.Unix()}).Error
		return errors.Join(err, recordCutPlan(tx, sc, now, draft, version, body))
	})
	return version, err
}

// recordCutPlan keeps a fingerprint of the plan: what is signed has none of it.
func recordCutPlan(tx *gorm.DB, sc Scope, now time.Time, draft string, version int, body []byte) error {
	sum := sha256.Sum256(body)
	return record(tx, sc, now, "cut_plan.saved", draft, map[string]any{"version": version, "digest": hex.EncodeToString(sum[:])})
}

// CutPlan returns the cut plan of one of the person's own drafts, or of a groom the
// scope may see. A correction that has none of its own has that of the groom it
// corrects.
func (s *Store) CutPlan(ctx context.Context, sc Scope, key string) (CutPlan, error) {
	if err := sc.valid(); err != nil {
		return CutPlan{}, err
	}
	db := s.read.WithContext(ctx)
	corrects, err := s.correctedBy(db, sc, key)
	if err != nil {
		return CutPlan{}, err
	}
	var row cutPlanRow
	err = one(db.Where("key = ?", key), &row)
	switch {
	case errors.Is(err, ErrNotFound) && corrects != "":
		old, err := s.CutPlan(ctx, sc, corrects)
		old.Version = 0
		return old, err
	case errors.Is(err, ErrNotFound):
		return CutPlan{}, nil
	case err != nil:
		return CutPlan{}, err
	}
	plan := CutPlan{Version: row.Version}
	return plan, json.Unmarshal([]byte(row.Body), &plan.CutPlan)
}

// correctedBy is the key of the groom that a groom or draft corrects, or nothing.
// What the scope may not see is not found.
func (s *Store) correctedBy(db *gorm.DB, sc Scope, key string) (string, error) {
	var g groomRow
	err := one(sc.seen(db.Select("supersedes_id").Where("key = ?", key)), &g)
	if err == nil && g.SupersedesID != nil {
		var old groomRow
		err = one(db.Select("key").Where("id = ?", *g.SupersedesID), &old)
		return old.Key, err
	}
	if !errors.Is(err, ErrNotFound) || !sc.Role.Judges() {
		return "", err
	}
	d, err := s.Draft(db.Statement.Context, sc, key)
	return d.Form.Get("supersedes"), err
}

// CutPlans returns the cut plans of the grooms the scope may see, by the key of the
// groom.
func (s *Store) CutPlans(ctx context.Context, sc Scope) (map[string]assessment.CutPlan, error) {
	if err := sc.valid(); err != nil {
		return nil, err
	}
	db := s.read.WithContext(ctx)
	var rows []cutPlanRow
	if err := db.Where("key IN (?)", sc.seen(db.Table("groom").Select("key"))).Find(&rows).Error; err != nil {
		return nil, err
	}
	out := make(map[string]assessment.CutPlan, len(rows))
	for _, r := range rows {
		var plan assessment.CutPlan
		if err := json.Unmarshal([]byte(r.Body), &plan); err != nil {
			return nil, err
		}
		out[r.Key] = plan
	}
	// The oldest correction first, so that a plan is handed on along a chain.
	var corrections []struct{ Key, Old string }
	where, arg := sc.reach()
	err := db.Raw("SELECT groom.key, old.key AS old FROM groom JOIN groom old ON old.id = groom.supersedes_id WHERE groom."+where+" ORDER BY groom.id", arg).Scan(&corrections).Error
	for _, c := range corrections {
		if _, own := out[c.Key]; !own {
			if plan, has := out[c.Old]; has {
				out[c.Key] = plan
			}
		}
	}
	return out, err
}
