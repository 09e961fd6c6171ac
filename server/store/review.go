package store

import (
	"context"
	"time"

	"gorm.io/gorm"

	"tablehand/assessment"
)

type reviewRow struct {
	ID           int64
	ApprenticeID int64
	Skill        string
	About        uint8
	Day          int32
	ReviewedBy   int64
	Note         string
	CreatedAt    int64
}

func (reviewRow) TableName() string { return "review" }

// Review records that what a skill's standing asks to be talked over was talked
// over. Where the declared observations are used up, it begins a new series.
func (s *Store) Review(ctx context.Context, sc Scope, apprentice, skill, note, clientID string) (location string, err error) {
	return s.judge(ctx, sc, apprentice, skill, clientID, false, func(tx *gorm.DB, now time.Time, j judged) (string, error) {
		if err := refuse(assessment.RefuseReview(&j.standing, sc.Role, note)); err != nil {
			return "", err
		}
		row := reviewRow{ApprenticeID: j.apprentice, Skill: skill, About: uint8(j.standing.Review), Day: int32(j.today), ReviewedBy: sc.person, Note: note, CreatedAt: now.Unix()}
		if err := tx.Create(&row).Error; err != nil {
			return "", err
		}
		return "/apprentices/" + apprentice + "/skills/" + skill, record(tx, sc, now, "skill.reviewed", apprentice, map[string]any{"skill": skill, "about": int(j.standing.Review), "note": note})
	})
}

func collectReviews(db *gorm.DB, people map[int64]Person, where string, arg any, of func(int64) *assessment.Apprenticeship) error {
	rows, err := db.Raw("SELECT apprentice_id, skill, about, day, reviewed_by, note FROM review WHERE "+where+" ORDER BY id", arg).Rows()
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var apprentice, about, day, by int64
		var skill, note string
		if err := rows.Scan(&apprentice, &skill, &about, &day, &by, &note); err != nil {
			return err
		}
		a := of(apprentice)
		if a.Reviews == nil {
			a.Reviews = map[string][]assessment.Reviewed{}
		}
		a.Reviews[skill] = append(a.Reviews[skill], assessment.Reviewed{About: assessment.Review(about), Day: assessment.Day(day), By: people[by].Key, Note: note})
	}
	return rows.Err()
}

// weakened returns for each sign-off the newest day on which a groom it rests on
// was corrected downwards: the skill no longer seen, at a lower level, or with
// other harm. Corrections are few, so each is followed by itself.
func (s *Store) weakened(db *gorm.DB, sc Scope) (map[int64]assessment.Day, error) {
	rows, err := db.Raw(`WITH RECURSIVE newer(old, id) AS (
			SELECT supersedes_id, id FROM groom WHERE salon_id = ? AND supersedes_id IS NOT NULL
			UNION ALL SELECT newer.old, groom.id FROM newer JOIN groom ON groom.supersedes_id = newer.id)
		SELECT e.signoff_id, latest.signed_at
		FROM newer JOIN groom latest ON latest.id = newer.id AND latest.id NOT IN (SELECT supersedes_id FROM groom WHERE supersedes_id IS NOT NULL)
			JOIN signoff_evidence e ON e.groom_id = newer.old JOIN signoff ON signoff.id = e.signoff_id
		WHERE NOT EXISTS (SELECT 1 FROM observation was JOIN observation now ON now.skill = was.skill AND now.apprentice_id = was.apprentice_id
			WHERE was.groom_id = newer.old AND now.groom_id = latest.id AND was.skill = signoff.skill
				AND now.level >= was.level AND now.severity = was.severity)`, sc.salon).Rows()
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	out := map[int64]assessment.Day{}
	for rows.Next() {
		var signOff, at int64
		if err := rows.Scan(&signOff, &at); err != nil {
			return nil, err
		}
		out[signOff] = max(out[signOff], s.dayOf(time.Unix(at, 0), sc))
	}
	return out, rows.Err()
}
