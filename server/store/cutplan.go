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
// corrects, even where that one is somebody else's.
func (s *Store) CutPlan(ctx context.Context, sc Scope, key string) (CutPlan, error) {
	if err := sc.valid(); err != nil {
		return CutPlan{}, err
	}
	db := s.read.WithContext(ctx)
	from, err := s.planOwner(db, sc, key)
	for err == nil && from != "" {
		var row cutPlanRow
		if err = one(db.Where("key = ?", from), &row); err == nil {
			plan := CutPlan{}
			if from == key {
				plan.Version = row.Version
			}
			return plan, json.Unmarshal([]byte(row.Body), &plan.CutPlan)
		}
		if errors.Is(err, ErrNotFound) {
			from, err = corrected(db, from)
		}
	}
	return CutPlan{}, err
}

// planOwner is the key whose plan is looked for first: the key itself, or for a
// draft without a plan that of the groom it corrects. What the scope may not see is
// not found.
func (s *Store) planOwner(db *gorm.DB, sc Scope, key string) (string, error) {
	var g groomRow
	err := one(sc.seen(db.Select("id").Where("key = ?", key)), &g)
	if err == nil || !errors.Is(err, ErrNotFound) || !sc.Role.Judges() {
		return key, err
	}
	d, err := s.Draft(db.Statement.Context, sc, key)
	if err != nil {
		return "", err
	}
	var n int64
	err = db.Table("cut_plan").Where("key = ?", key).Count(&n).Error
	if n == 0 {
		key = d.Form.Get("supersedes")
	}
	return key, err
}

// corrected is the key of the groom that a groom corrects, or nothing.
func corrected(db *gorm.DB, key string) (string, error) {
	var old string
	err := db.Raw("SELECT old.key FROM groom JOIN groom old ON old.id = groom.supersedes_id WHERE groom.key = ?", key).Scan(&old).Error
	return old, err
}

// CutPlans returns the cut plans of the grooms the scope may see, by the key of the
// groom. Corrections have them as CutPlan gives them.
func (s *Store) CutPlans(ctx context.Context, sc Scope) (map[string]assessment.CutPlan, error) {
	if err := sc.valid(); err != nil {
		return nil, err
	}
	db := s.read.WithContext(ctx)
	var rows []cutPlanRow
	if err := db.Where("key IN (SELECT key FROM groom WHERE salon_id = ?)", sc.salon).Find(&rows).Error; err != nil {
		return nil, err
	}
	if len(rows) == 0 {
		return nil, nil
	}
	all := make(map[string]assessment.CutPlan, len(rows))
	for _, r := range rows {
		var plan assessment.CutPlan
		if err := json.Unmarshal([]byte(r.Body), &plan); err != nil {
			return nil, err
		}
		all[r.Key] = plan
	}
	// The oldest correction first, so that a plan is handed on along a chain.
	var corrections []struct{ Key, Old string }
	err := db.Raw("SELECT groom.key, old.key AS old FROM groom JOIN groom old ON old.id = groom.supersedes_id WHERE groom.salon_id = ? ORDER BY groom.id", sc.salon).Scan(&corrections).Error
	if err != nil {
		return nil, err
	}
	for _, c := range corrections {
		if _, own := all[c.Key]; !own {
			if plan, has := all[c.Old]; has {
				all[c.Key] = plan
			}
		}
	}
	var seen []string
	if err := sc.seen(db.Table("groom").Select("key")).Find(&seen).Error; err != nil {
		return nil, err
	}
	out := map[string]assessment.CutPlan{}
	for _, key := range seen {
		if plan, has := all[key]; has {
			out[key] = plan
		}
	}
	return out, nil
}
