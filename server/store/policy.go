package store

import (
	"context"
	"time"

	"gorm.io/gorm"

	"tablehand/assessment"
	"tablehand/curriculum"
)

type policyRow struct {
	ID        int64
	SalonID   int64
	Skill     string
	Day       int32
	Note      string
	SetBy     int64
	CreatedAt int64
}

func (policyRow) TableName() string { return "salon_policy" }

// PolicyEntry is one decision of the salon about a disputed skill.
type PolicyEntry struct {
	Day  assessment.Day // of the written policy; zero when it was withdrawn
	Note string         // what it allows and where it is kept, or why it was withdrawn
	By   Person
	Set  assessment.Day // when it was entered
}

// SetPolicy enters the salon's written policy on a disputed skill, or withdraws
// it when day is zero. Only a head groomer may.
func (s *Store) SetPolicy(ctx context.Context, sc Scope, skill string, day assessment.Day, note, clientID string) (location string, err error) {
	if err := sc.must(assessment.HeadGroomer); err != nil {
		return "", err
	}
	_, prog, err := s.programmeInUse(s.read.WithContext(ctx), sc)
	if err != nil {
		return "", err
	}
	which := prog.Skill(skill)
	if which == nil {
		return "", ErrNotFound
	}
	switch {
	case prog.EvidenceRule(which.Evidence).Kind != curriculum.Gated:
		return "", refuse("This skill needs no salon policy.")
	case day != 0 && day < assessment.Earliest, day > s.Today(sc):
		return "", refuse("Enter the day the policy was written, today or earlier; look at the year.")
	case note == "":
		return "", refuse("Say what the policy allows and where it is kept, or why it is withdrawn.")
	}
	return s.once(ctx, sc, clientID, func(tx *gorm.DB, now time.Time) (string, error) {
		row := policyRow{SalonID: sc.salon, Skill: skill, Day: int32(day), Note: note, SetBy: sc.person, CreatedAt: now.Unix()}
		if err := tx.Create(&row).Error; err != nil {
			return "", err
		}
		return "/skills/" + skill, record(tx, sc, now, "policy.set", skill, map[string]any{"day": int(day), "note": note})
	})
}

// PolicyHistory returns what the salon has decided about a skill, the newest
// first.
func (s *Store) PolicyHistory(ctx context.Context, sc Scope, skill string) ([]PolicyEntry, error) {
	if err := sc.valid(); err != nil {
		return nil, err
	}
	db := s.read.WithContext(ctx)
	var rows []policyRow
	if err := db.Where("salon_id = ? AND skill = ?", sc.salon, skill).Order("id DESC").Find(&rows).Error; err != nil {
		return nil, err
	}
	people, err := s.names(db, sc)
	out := make([]PolicyEntry, len(rows))
	for i, r := range rows {
		out[i] = PolicyEntry{Day: assessment.Day(r.Day), Note: r.Note, By: people[r.SetBy], Set: s.dayOf(time.Unix(r.CreatedAt, 0), sc)}
	}
	return out, err
}

// policies returns the day of the policy in force, by skill.
func policies(db *gorm.DB, sc Scope) (map[string]assessment.Day, error) {
	rows, err := db.Raw("SELECT skill, day FROM salon_policy WHERE salon_id = ? ORDER BY id", sc.salon).Rows()
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	out := map[string]assessment.Day{}
	for rows.Next() {
		var skill string
		var day int64
		if err := rows.Scan(&skill, &day); err != nil {
			return nil, err
		}
		out[skill] = assessment.Day(day)
	}
	return out, rows.Err()
}
