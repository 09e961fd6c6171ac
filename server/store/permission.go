package store

import (
	"context"
	"time"

	"gorm.io/gorm"

	"tablehand/assessment"
)

type permissionRow struct {
	ID           int64
	ApprenticeID int64
	Skill        string
	Level        int
	SetBy        int64
	Day          int32
	Reason       string
	CreatedAt    int64
}

func (permissionRow) TableName() string { return "permission" }

// PermissionEntry is one permission that was set, with why.
type PermissionEntry struct {
	Level  int
	By     Person
	Day    assessment.Day
	Reason string
}

// SetPermission sets what an apprentice may do next with a skill. A level above
// what the evidence supports is refused.
func (s *Store) SetPermission(ctx context.Context, sc Scope, apprentice, skill string, level int, reason, clientID string) (location string, err error) {
	return s.judge(ctx, sc, apprentice, skill, clientID, false, func(tx *gorm.DB, now time.Time, j judged) (string, error) {
		if err := refuse(assessment.RefusePermission(&j.standing, level)); err != nil {
			return "", err
		}
		row := permissionRow{ApprenticeID: j.apprentice, Skill: skill, Level: level, SetBy: sc.person, Day: int32(j.today), Reason: reason, CreatedAt: now.Unix()}
		if err := tx.Create(&row).Error; err != nil {
			return "", err
		}
		return "/apprentices/" + apprentice + "/skills/" + skill, record(tx, sc, now, "permission.set", apprentice, map[string]any{"skill": skill, "level": level})
	})
}

// PermissionHistory returns the permissions set for a skill, the newest first.
func (s *Store) PermissionHistory(ctx context.Context, sc Scope, apprentice, skill string) ([]PermissionEntry, error) {
	db := s.read.WithContext(ctx)
	who, err := s.apprentice(db, sc, apprentice)
	if err != nil {
		return nil, err
	}
	people, err := s.names(db, sc)
	if err != nil {
		return nil, err
	}
	var rows []permissionRow
	if err := db.Where("apprentice_id = ? AND skill = ?", who.ID, skill).Order("id DESC").Find(&rows).Error; err != nil {
		return nil, err
	}
	out := make([]PermissionEntry, len(rows))
	for i, r := range rows {
		out[i] = PermissionEntry{Level: r.Level, By: people[r.SetBy], Day: assessment.Day(r.Day), Reason: r.Reason}
	}
	return out, nil
}
