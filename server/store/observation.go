package store

import (
	"context"
	"time"

	"gorm.io/gorm"

	"tablehand/assessment"
	"tablehand/curriculum"
)

type observationRow struct {
	ID           int64
	ApprenticeID int64
	Skill        string
	Day          int32
	AssessorID   int64
	GroomID      *int64
	Source       uint8
	Level        int8
	Percent      int8
	Dog          string
	Coat         string
	Size         string
	Style        string
	Severity     string
	Attribution  string
}

func (observationRow) TableName() string { return "observation" }

func observationRowOf(o *assessment.Observation, apprentice, assessor int64, groom *int64) observationRow {
	return observationRow{ApprenticeID: apprentice, Skill: o.Skill, Day: int32(o.Day), AssessorID: assessor, GroomID: groom, Source: uint8(o.Source),
		Level: o.Level, Percent: o.Percent, Dog: o.Dog, Coat: o.Coat, Size: o.Size, Style: o.Style, Severity: o.Severity, Attribution: o.Attribution}
}

// CheckEntry is a rehearsal of a rare event or a knowledge check.
type CheckEntry struct {
	Apprentice string // key
	Skill      string
	Day        assessment.Day
	Level      int // of a rehearsal, L1–L5
	Percent    int // of a knowledge check, 0–100
}

// AddCheck records a rehearsal or a knowledge check, as the skill's rule asks.
func (s *Store) AddCheck(ctx context.Context, sc Scope, in CheckEntry, clientID string) (location string, err error) {
	if err := sc.judges(); err != nil {
		return "", err
	}
	db := s.read.WithContext(ctx)
	_, prog, err := s.programmeInUse(db, sc)
	if err != nil {
		return "", err
	}
	o, why := checkObservation(prog, sc, in, s.Today(sc))
	if why != "" {
		return "", refuse(why)
	}
	apprentice, err := s.apprentice(db, sc, in.Apprentice)
	if err != nil {
		return "", err
	}
	return s.once(ctx, sc, clientID, func(tx *gorm.DB, now time.Time) (string, error) {
		row := observationRowOf(&o, apprentice.ID, sc.person, nil)
		if err := tx.Create(&row).Error; err != nil {
			return "", err
		}
		to := "/apprentices/" + in.Apprentice + "/skills/" + in.Skill
		return to, record(tx, sc, now, "check.recorded", in.Apprentice, map[string]any{"skill": in.Skill, "level": in.Level, "percent": in.Percent})
	})
}

func checkObservation(prog *curriculum.Programme, sc Scope, in CheckEntry, today assessment.Day) (assessment.Observation, string) {
	o := assessment.Observation{Skill: in.Skill, Assessor: sc.Key, Day: in.Day}
	skill := prog.Skill(in.Skill)
	if skill == nil {
		return o, "This skill is not in the programme."
	}
	if in.Day == 0 || in.Day > today {
		return o, "Enter the day it took place, today or earlier."
	}
	switch prog.EvidenceRule(skill.Evidence).Kind {
	case curriculum.Simulations:
		if in.Level < 1 || in.Level > curriculum.TopLevel {
			return o, "Choose the level that was seen, L1 to L5."
		}
		o.Source, o.Level = assessment.Simulation, int8(in.Level)
	case curriculum.Knowledge:
		if in.Percent < 0 || in.Percent > 100 {
			return o, "Enter the result of the check, from 0 to 100 per cent."
		}
		o.Source, o.Percent = assessment.Check, int8(in.Percent)
	default:
		return o, "This skill is judged on assessed grooms."
	}
	return o, ""
}

// eachObservation reads observations in the order apprentice, skill, day,
// entry, leaving superseded grooms out. The order is the covering index's own.
//
// grooms gives the public key of each groom; nil leaves them out.
func (s *Store) eachObservation(db *gorm.DB, sc Scope, grooms map[int64]string, where string, args []any, f func(apprentice int64, o *assessment.Observation) error) error {
	people, err := s.names(db, sc)
	if err != nil {
		return err
	}
	gone, err := s.superseded(db, sc)
	if err != nil {
		return err
	}
	rows, err := db.Raw(`SELECT apprentice_id, skill, day, id, assessor_id, COALESCE(groom_id, 0), source, level, percent, dog, coat, size, style, severity, attribution
		FROM observation WHERE `+where+` ORDER BY apprentice_id, skill, day, id`, args...).Rows()
	if err != nil {
		return err
	}
	defer rows.Close()
	words := interned{}
	var apprentice, assessor, groom int64
	var day int32
	var skill, dog, coat, size, style, severity, attribution []byte
	var o assessment.Observation
	for rows.Next() {
		if err := rows.Scan(&apprentice, &skill, &day, &o.Seq, &assessor, &groom, &o.Source, &o.Level, &o.Percent, &dog, &coat, &size, &style, &severity, &attribution); err != nil {
			return err
		}
		if len(gone) > 0 {
			if _, corrected := gone[groom]; corrected {
				continue
			}
		}
		o.Day, o.Assessor, o.Groom = assessment.Day(day), people[assessor].Key, grooms[groom]
		o.Skill, o.Dog, o.Coat, o.Size = words.of(skill), words.of(dog), words.of(coat), words.of(size)
		o.Style, o.Severity, o.Attribution = words.of(style), words.of(severity), words.of(attribution)
		if err := f(apprentice, &o); err != nil {
			return err
		}
	}
	return rows.Err()
}

// interned keeps one copy of each short word: the same few stand in every row.
type interned map[string]string

func (w interned) of(b []byte) string {
	if len(b) == 0 {
		return ""
	}
	if s, ok := w[string(b)]; ok {
		return s
	}
	s := string(b)
	w[s] = s
	return s
}
