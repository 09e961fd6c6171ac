package store

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/json"
	"errors"
	"slices"
	"time"

	"gorm.io/gorm"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// Exercise is one apprentice's exercise on the choice of blades.
type Exercise struct {
	Key        string
	Apprentice Person
	Programme  *curriculum.Programme // that the questions were drawn from
	Questions  []assessment.Question
	Begun      time.Time      // UTC
	Done       assessment.Day // zero while it is open
	Answers    []int          // positions of the chosen answers, from 0
	Percent    int            // right answers, cut off
	Adopted    assessment.Day // when an assessor let the result stand; zero when nobody has
	AdoptedBy  Person
	How        string // how the assessor knew whose answers they were
}

type exerciseRow struct {
	ID           int64
	Key          string
	ApprenticeID int64
	ProgrammeID  int64
	Seed         int64
	Questions    string
	CreatedAt    int64
}

func (exerciseRow) TableName() string { return "exercise" }

type exerciseResultRow struct {
	ExerciseID int64 `gorm:"primaryKey"`
	Day        int32
	Answers    string
	Percent    int
	CreatedAt  int64
}

func (exerciseResultRow) TableName() string { return "exercise_result" }

type exerciseAdoptionRow struct {
	ExerciseID int64 `gorm:"primaryKey"`
	AdoptedBy  int64
	Day        int32
	How        string
	CreatedAt  int64
}

func (exerciseAdoptionRow) TableName() string { return "exercise_adoption" }

// BeginExercise draws the questions of an exercise for the apprentice who asks. One
// that is still open is gone on with: nobody draws again for easier questions.
func (s *Store) BeginExercise(ctx context.Context, sc Scope, clientID string) (location string, err error) {
	if err := sc.must(assessment.Apprentice); err != nil {
		return "", err
	}
	progID, prog, err := s.programmeInUse(s.read.WithContext(ctx), sc)
	if err != nil {
		return "", err
	}
	if prog.Cutting == nil {
		return "", refuse("The programme in use has no table of blades, so there is nothing to ask about.")
	}
	seed := seedOf(s.newKey())
	questions, err := json.Marshal(assessment.Exercise(prog, uint64(seed)))
	if err != nil {
		return "", err
	}
	return s.once(ctx, sc, clientID, func(tx *gorm.DB, now time.Time) (string, error) {
		var open exerciseRow
		err := one(tx.Select("key").Where("apprentice_id = ? AND id NOT IN (SELECT exercise_id FROM exercise_result)", sc.person), &open)
		if !errors.Is(err, ErrNotFound) {
			return exerciseURL(open.Key), err
		}
		row := exerciseRow{Key: s.newKey(), ApprenticeID: sc.person, ProgrammeID: progID, Seed: seed, Questions: string(questions), CreatedAt: now.Unix()}
		if err := tx.Create(&row).Error; err != nil {
			return "", err
		}
		return exerciseURL(row.Key), record(tx, sc, now, "exercise.begun", row.Key, map[string]any{"programme": prog.Digest()})
	})
}

func exerciseURL(key string) string { return "/exercises/" + key }

// seedOf makes a number, 1 or more and below 2^62, from a random key.
func seedOf(key string) int64 {
	sum := sha256.Sum256([]byte(key))
	return int64(binary.BigEndian.Uint64(sum[:8])>>2) | 1
}

// FinishExercise marks the answers of the apprentice who was asked, and keeps them.
// The result is practice until an assessor lets it stand.
func (s *Store) FinishExercise(ctx context.Context, sc Scope, key string, answers []int, clientID string) (location string, err error) {
	if err := sc.must(assessment.Apprentice); err != nil {
		return "", err
	}
	x, err := s.Exercise(ctx, sc, key)
	if err != nil {
		return "", err
	}
	marked := assessment.MarkExercise(x.Programme, x.Questions, answers)
	if slices.ContainsFunc(marked.Marked, func(m assessment.MarkedQuestion) bool { return m.Given < 0 }) {
		return "", refuse("Answer every question, then send them together.")
	}
	given, err := json.Marshal(answers)
	if err != nil {
		return "", err
	}
	return s.once(ctx, sc, clientID, func(tx *gorm.DB, now time.Time) (string, error) {
		var row exerciseRow
		if err := one(sc.seen(tx.Select("id").Where("key = ?", key)), &row); err != nil {
			return "", err
		}
		err := tx.Create(&exerciseResultRow{row.ID, int32(s.dayOf(now, sc)), string(given), marked.Percent(), now.Unix()}).Error
		if errors.Is(err, gorm.ErrDuplicatedKey) {
			return "", refuse("These questions have been answered already.")
		}
		if err != nil {
			return "", err
		}
		return exerciseURL(key), record(tx, sc, now, "exercise.finished", key, map[string]any{"percent": marked.Percent()})
	})
}

// AdoptExercise lets a result stand as a knowledge check by the person who adopts
// it, dated the day it was finished. how is one of assessment.AdoptionWays.
func (s *Store) AdoptExercise(ctx context.Context, sc Scope, key, how, clientID string) (location string, err error) {
	if err := sc.judges(); err != nil {
		return "", err
	}
	x, err := s.Exercise(ctx, sc, key)
	if err != nil {
		return "", err
	}
	skill := x.Programme.Cutting.Exercise.Skill
	prog, err := s.Programme(ctx, sc)
	if err != nil {
		return "", err
	}
	if prog.Skill(skill) == nil {
		return "", refuse("The skill these questions belong to is not in the programme any more.")
	}
	return s.once(ctx, sc, clientID, func(tx *gorm.DB, now time.Time) (string, error) {
		var row exerciseRow
		if err := one(tx.Select("id, apprentice_id").Where("key = ?", key), &row); err != nil {
			return "", err
		}
		var n int64
		if err := tx.Table("exercise_adoption").Where("exercise_id = ?", row.ID).Count(&n).Error; err != nil {
			return "", err
		}
		today := s.dayOf(now, sc)
		a := assessment.Adoption{Person: sc.Key, Apprentice: x.Apprentice.Key, Role: sc.Role, Done: x.Done, Already: n > 0, How: how, Rule: assessment.ExerciseRule(x.Programme), Today: today}
		if err := refuse(a.Refuse()); err != nil {
			return "", err
		}
		if err := tx.Create(&exerciseAdoptionRow{row.ID, sc.person, int32(today), how, now.Unix()}).Error; err != nil {
			return "", err
		}
		o := observationRowOf(&assessment.Observation{Skill: skill, Day: x.Done, Source: assessment.Check, Percent: int8(x.Percent)}, row.ApprenticeID, sc.person, nil)
		if err := tx.Create(&o).Error; err != nil {
			return "", err
		}
		return exerciseURL(key), record(tx, sc, now, "exercise.adopted", key, map[string]any{"skill": skill, "percent": x.Percent, "how": how})
	})
}

// Exercise returns one exercise the scope may see.
func (s *Store) Exercise(ctx context.Context, sc Scope, key string) (Exercise, error) {
	list, err := s.exercises(ctx, sc, "*", "key = ?", key)
	if err != nil {
		return Exercise{}, err
	}
	if len(list) == 0 {
		return Exercise{}, ErrNotFound
	}
	return list[0], nil
}

// Exercises returns the exercises the scope may see without their questions, the
// newest first; those of one apprentice when a key is given.
func (s *Store) Exercises(ctx context.Context, sc Scope, apprentice string) ([]Exercise, error) {
	const all = "id, key, apprentice_id, programme_id, created_at"
	if apprentice == "" {
		return s.exercises(ctx, sc, all, "1 = 1")
	}
	return s.exercises(ctx, sc, all, "apprentice_id IN (SELECT id FROM person WHERE key = ?)", apprentice)
}

func (s *Store) exercises(ctx context.Context, sc Scope, columns, where string, args ...any) ([]Exercise, error) {
	if err := sc.valid(); err != nil {
		return nil, err
	}
	db := s.read.WithContext(ctx)
	people, err := s.names(db, sc)
	if err != nil {
		return nil, err
	}
	var rows []exerciseRow
	if err := sc.seen(db.Select(columns).Where(where, args...)).Order("id DESC").Find(&rows).Error; err != nil {
		return nil, err
	}
	var results []exerciseResultRow
	var adoptions []exerciseAdoptionRow
	these := func() *gorm.DB { return sc.seen(db.Table("exercise").Select("id").Where(where, args...)) }
	if err := errors.Join(db.Where("exercise_id IN (?)", these()).Find(&results).Error, db.Where("exercise_id IN (?)", these()).Find(&adoptions).Error); err != nil {
		return nil, err
	}
	at := map[int64]*Exercise{}
	out := make([]Exercise, len(rows))
	for i, r := range rows {
		out[i] = Exercise{Key: r.Key, Apprentice: people[r.ApprenticeID], Begun: time.Unix(r.CreatedAt, 0).UTC()}
		at[r.ID] = &out[i]
		if r.Questions != "" {
			if err := json.Unmarshal([]byte(r.Questions), &out[i].Questions); err != nil {
				return nil, err
			}
		}
		if out[i].Programme, err = s.programmeByID(db, r.ProgrammeID); err != nil {
			return nil, err
		}
	}
	for _, r := range results {
		x := at[r.ExerciseID]
		if x == nil {
			continue // begun and finished since
		}
		x.Done, x.Percent = assessment.Day(r.Day), r.Percent
		if err := json.Unmarshal([]byte(r.Answers), &x.Answers); err != nil {
			return nil, err
		}
	}
	for _, a := range adoptions {
		if x := at[a.ExerciseID]; x != nil {
			x.Adopted, x.AdoptedBy, x.How = assessment.Day(a.Day), people[a.AdoptedBy], a.How
		}
	}
	return out, nil
}
