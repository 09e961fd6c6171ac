package store

import (
	"context"
	"time"

	"gorm.io/gorm"

	"tablehand/assessment"
)

// Acknowledgement is what an apprentice said to the marks of a groom, and the
// answer to it.
type Acknowledgement struct {
	assessment.Acknowledgement
	Groom                string // key
	Dog                  string
	Day                  assessment.Day // of the groom
	Apprentice, Assessor Person
	At                   time.Time // UTC
	Answer               *Answer   // nil while there is none
}

// Answer is an assessor's answer to a disagreement.
type Answer struct {
	Words string
	By    Person
	At    time.Time // UTC
}

type acknowledgementRow struct {
	ID        int64
	GroomID   int64
	Disagrees bool
	Words     string
	CreatedAt int64
}

func (acknowledgementRow) TableName() string { return "acknowledgement" }

type answerRow struct {
	AcknowledgementID int64
	AnsweredBy        int64
	Words             string
	CreatedAt         int64
}

func (answerRow) TableName() string { return "acknowledgement_answer" }

// Acknowledge records that an apprentice has read the marks of their groom, or
// disagrees with them. No mark changes. The record tells that it was said, not
// in which words.
func (s *Store) Acknowledge(ctx context.Context, sc Scope, groom string, in assessment.Acknowledgement, clientID string) (location string, err error) {
	if err := sc.must(assessment.Apprentice); err != nil {
		return "", err
	}
	g, err := s.Groom(ctx, sc, groom)
	if err != nil {
		return "", err
	}
	return s.once(ctx, sc, clientID, func(tx *gorm.DB, now time.Time) (string, error) {
		r := assessment.Reader{Groom: &g.Groom, Person: sc.Key}
		var row groomRow
		var before []acknowledgementRow
		var newer int64
		var err error
		if r.Opened, err = opened(tx, sc, groom); err != nil {
			return "", err
		}
		if err := one(tx.Select("id").Where("key = ?", groom), &row); err != nil {
			return "", err
		}
		if err := tx.Table("groom").Where("supersedes_id = ?", row.ID).Count(&newer).Error; err != nil {
			return "", err
		}
		if err := tx.Where("groom_id = ?", row.ID).Find(&before).Error; err != nil {
			return "", err
		}
		r.Corrected = newer > 0
		for _, b := range before {
			r.Said = append(r.Said, assessment.Acknowledgement{Disagrees: b.Disagrees, Words: b.Words})
		}
		if err := refuse(r.Refuse(in)); err != nil {
			return "", err
		}
		if err := tx.Create(&acknowledgementRow{GroomID: row.ID, Disagrees: in.Disagrees, Words: in.Words, CreatedAt: now.Unix()}).Error; err != nil {
			return "", err
		}
		kind := "groom.acknowledged"
		if in.Disagrees {
			kind = "groom.disagreed"
		}
		return "/grooms/signed/" + groom, record(tx, sc, now, kind, groom, map[string]any{})
	})
}

// AnswerDisagreement records an assessor's one answer to an apprentice who
// disagrees with the marks of a groom.
func (s *Store) AnswerDisagreement(ctx context.Context, sc Scope, groom, words, clientID string) (location string, err error) {
	if err := sc.judges(); err != nil {
		return "", err
	}
	g, err := s.Groom(ctx, sc, groom)
	if err != nil {
		return "", err
	}
	return s.once(ctx, sc, clientID, func(tx *gorm.DB, now time.Time) (string, error) {
		var row acknowledgementRow
		if err := one(tx.Where("disagrees = 1 AND groom_id = (SELECT id FROM groom WHERE key = ?)", groom), &row); err != nil {
			return "", err
		}
		d := assessment.Disagreement{Apprentice: g.Groom.Apprentice}
		var answers, newer int64
		if err := tx.Table("acknowledgement_answer").Where("acknowledgement_id = ?", row.ID).Count(&answers).Error; err != nil {
			return "", err
		}
		if err := tx.Table("groom").Where("supersedes_id = ?", row.GroomID).Count(&newer).Error; err != nil {
			return "", err
		}
		d.Answered, d.Corrected = answers > 0, newer > 0
		if err := refuse(d.Refuse(sc.Key, sc.Role, words)); err != nil {
			return "", err
		}
		if err := tx.Create(&answerRow{row.ID, sc.person, words, now.Unix()}).Error; err != nil {
			return "", err
		}
		return "/grooms/signed/" + groom, record(tx, sc, now, "groom.disagreement_answered", groom, map[string]any{})
	})
}

// AcknowledgementFilter narrows a list of acknowledgements. Zero fields do not
// narrow.
type AcknowledgementFilter struct {
	Groom string         // key
	Since assessment.Day // day of the groom
	Open  bool           // only disagreements without an answer, of grooms that were not corrected
}

// Acknowledgements returns what apprentices said to their marks, as far as the
// scope may see it, oldest first.
func (s *Store) Acknowledgements(ctx context.Context, sc Scope, f AcknowledgementFilter) ([]Acknowledgement, error) {
	if err := sc.valid(); err != nil {
		return nil, err
	}
	db := s.read.WithContext(ctx)
	people, err := s.names(db, sc)
	if err != nil {
		return nil, err
	}
	where, arg := sc.reach()
	query := `SELECT groom.key, groom.dog, groom.day, groom.apprentice_id, groom.assessor_id, a.disagrees, a.words, a.created_at,
			COALESCE(answer.answered_by, 0), COALESCE(answer.words, ''), COALESCE(answer.created_at, 0)
		FROM acknowledgement a JOIN groom ON groom.id = a.groom_id LEFT JOIN acknowledgement_answer answer ON answer.acknowledgement_id = a.id
		WHERE groom.` + where + ` AND groom.day >= ?`
	args := []any{arg, int(f.Since)}
	if f.Groom != "" {
		query, args = query+" AND groom.key = ?", append(args, f.Groom)
	}
	if f.Open {
		query += " AND a.disagrees = 1 AND answer.answered_by IS NULL AND groom.id NOT IN (SELECT supersedes_id FROM groom WHERE supersedes_id IS NOT NULL)"
	}
	rows, err := db.Raw(query+" ORDER BY a.id", args...).Rows()
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []Acknowledgement
	for rows.Next() {
		var a Acknowledgement
		var day, apprentice, assessor, at, by, answered int64
		var words string
		if err := rows.Scan(&a.Groom, &a.Dog, &day, &apprentice, &assessor, &a.Disagrees, &a.Words, &at, &by, &words, &answered); err != nil {
			return nil, err
		}
		a.Day, a.Apprentice, a.Assessor, a.At = assessment.Day(day), people[apprentice], people[assessor], time.Unix(at, 0).UTC()
		if by != 0 {
			a.Answer = &Answer{words, people[by], time.Unix(answered, 0).UTC()}
		}
		out = append(out, a)
	}
	return out, rows.Err()
}
