package store

import (
	"context"
	"time"

	"gorm.io/gorm"

	"tablehand/assessment"
)

type selfRow struct {
	GroomID   int64
	Criterion string
	Level     int
	CreatedAt int64
}

func (selfRow) TableName() string { return "self_rating" }

// RateSelf records an apprentice's own levels for a groom, by criterion, and
// opens its marks to them. Once the marks were seen it is refused.
func (s *Store) RateSelf(ctx context.Context, sc Scope, groom string, levels map[string]int, clientID string) (location string, err error) {
	if err := sc.must(assessment.Apprentice); err != nil {
		return "", err
	}
	g, err := s.Groom(ctx, sc, groom)
	if err != nil {
		return "", err
	}
	if found := assessment.SelfProblems(g.Programme, levels); len(found) > 0 {
		return "", refuse(found[0].Message)
	}
	return s.once(ctx, sc, clientID, func(tx *gorm.DB, now time.Time) (string, error) {
		seen, err := opened(tx, sc, groom)
		if err != nil {
			return "", err
		}
		if err := refuse(assessment.RefuseSelfRating(&g.Groom, sc.Key, seen, s.dayOf(now, sc))); err != nil {
			return "", err
		}
		var row groomRow
		if err := one(tx.Where("key = ?", groom), &row); err != nil {
			return "", err
		}
		rows := make([]selfRow, 0, len(levels))
		for i := range g.Programme.Rubric.Criteria {
			id := g.Programme.Rubric.Criteria[i].ID
			if l, given := levels[id]; given {
				rows = append(rows, selfRow{row.ID, id, l, now.Unix()})
			}
		}
		if err := tx.Create(&rows).Error; err != nil {
			return "", err
		}
		if err := open(tx, sc, now, row.ID); err != nil {
			return "", err
		}
		return "/grooms/signed/" + groom, record(tx, sc, now, "groom.self_rated", groom, map[string]any{"levels": levels})
	})
}

// SelfRatings returns an apprentice's own levels for a groom, by criterion.
func (s *Store) SelfRatings(ctx context.Context, sc Scope, groom string) (map[string]int, error) {
	if err := sc.valid(); err != nil {
		return nil, err
	}
	db := s.read.WithContext(ctx)
	var rows []selfRow
	ids := sc.seen(db.Table("groom").Select("id").Where("key = ?", groom))
	if err := db.Where("groom_id IN (?)", ids).Find(&rows).Error; err != nil {
		return nil, err
	}
	out := map[string]int{}
	for _, r := range rows {
		out[r.Criterion] = r.Level
	}
	return out, nil
}

// SelfPair is one groom that an apprentice and an assessor rated, as mean levels
// over the criteria that both gave a level.
type SelfPair struct {
	Groom          string
	Self, Assessor float64 // 1–5
	Criteria       int     // how many both gave
}

// SelfPairs returns an apprentice's own ratings beside the assessors', oldest
// first. Grooms that were corrected, and second ratings, are left out.
func (s *Store) SelfPairs(ctx context.Context, sc Scope, apprentice string) ([]SelfPair, error) {
	db := s.read.WithContext(ctx)
	who, err := s.apprentice(db, sc, apprentice)
	if err != nil {
		return nil, err
	}
	rows, err := db.Raw(`SELECT groom.key, avg(self_rating.level), avg(rating.given), count(*)
		FROM self_rating JOIN groom ON groom.id = self_rating.groom_id JOIN rating ON rating.groom_id = groom.id AND rating.criterion = self_rating.criterion
		WHERE groom.apprentice_id = ? AND rating.given > 0 AND groom.second_of_id IS NULL
			AND groom.id NOT IN (SELECT supersedes_id FROM groom WHERE supersedes_id IS NOT NULL)
		GROUP BY groom.id ORDER BY groom.day, groom.id`, who.ID).Rows()
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []SelfPair
	for rows.Next() {
		var p SelfPair
		if err := rows.Scan(&p.Groom, &p.Self, &p.Assessor, &p.Criteria); err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, rows.Err()
}
