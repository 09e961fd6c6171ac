package store

import (
	"context"
	"time"

	"gorm.io/gorm"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// observationRow is an observation as it is written. It has no id, so that the
// database is not asked to send one back for each of forty rows.
type observationRow struct {
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
	if in.Day < assessment.Earliest || in.Day > today {
		return o, "Enter the day it took place, today or earlier; look at the year."
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
func (s *Store) eachObservation(db *gorm.DB, sc Scope, people map[int64]Person, grooms map[int64]string, where string, args []any, f func(apprentice int64, o *assessment.Observation)) error {
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
	// Whole numbers are scanned as int64: into a narrower type database/sql
	// would go by way of text.
	var apprentice, assessor, groom, day, source, level, percent int64
	var o assessment.Observation
	into := []any{&apprentice, &o.Skill, &day, &o.Seq, &assessor, &groom, &source, &level, &percent, &o.Dog, &o.Coat, &o.Size, &o.Style, &o.Severity, &o.Attribution}
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return err
		}
		if len(gone) > 0 {
			if _, corrected := gone[groom]; corrected {
				continue
			}
		}
		o.Assessor, o.Groom = people[assessor].Key, grooms[groom]
		o.Day, o.Source, o.Level, o.Percent = assessment.Day(day), assessment.Source(source), int8(level), int8(percent)
		f(apprentice, &o)
	}
	return rows.Err()
}
