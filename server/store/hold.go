package store

import (
	"context"
	"slices"
	"time"

	"gorm.io/gorm"

	"tablehand/assessment"
	"tablehand/curriculum"
)

type incidentRow struct {
	ID           int64
	GroomID      int64
	ApprenticeID int64
	Day          int32
	Kind         string
	Severity     string
	Attribution  string
	Skill        string
	SelfReported bool
	Note         string
}

func (incidentRow) TableName() string { return "incident" }

type holdRow struct {
	ID           int64
	Key          string
	ApprenticeID int64
	GroomID      int64
	Scope        string
	Unit         string
	Skill        string
	Severity     string
	RecordedBy   int64
	FromDay      int32
	CreatedAt    int64
}

func (holdRow) TableName() string { return "hold" }

type releaseRow struct {
	HoldID     int64
	ReleasedBy int64
	Day        int32
	Reason     string
	CreatedAt  int64
}

func (releaseRow) TableName() string { return "hold_release" }

// heldRow is a hold with its release, if any.
type heldRow struct {
	Row        holdRow `gorm:"embedded"`
	NowWith    int64   // the groom the hold belongs to now: the last correction that kept its incident
	ReleasedBy *int64
	Day        *int32
	Reason     *string
}

// nowWith is the id of the groom a hold belongs to.
const nowWith = "COALESCE((SELECT max(m.groom_id) FROM hold_moved m WHERE m.hold_id = hold.id), hold.groom_id)"

// holds reads holds of the apprentices that match, oldest first. The hold of an
// incident that was corrected away goes with it.
func holds(db *gorm.DB, where string, arg any) ([]heldRow, error) {
	return heldRows(db.Where(where, arg).Where(nowWith + " NOT IN (SELECT supersedes_id FROM groom WHERE supersedes_id IS NOT NULL)"))
}

func heldRows(q *gorm.DB) ([]heldRow, error) {
	var rows []heldRow
	err := q.Table("hold").Select("hold.*, " + nowWith + " AS now_with, hold_release.released_by, hold_release.day, hold_release.reason").
		Joins("LEFT JOIN hold_release ON hold_release.hold_id = hold.id").
		Order("hold.id").Find(&rows).Error
	return rows, err
}

func (r heldRow) hold(people map[int64]Person, grooms map[int64]string) assessment.Hold {
	h := assessment.Hold{Key: r.Row.Key, Scope: curriculum.HoldScope(r.Row.Scope), Unit: r.Row.Unit, Skill: r.Row.Skill, Severity: r.Row.Severity,
		Groom: grooms[r.NowWith], RecordedBy: people[r.Row.RecordedBy].Key, From: assessment.Day(r.Row.FromDay)}
	if r.Day != nil {
		h.Released, h.ReleasedBy, h.Reason = assessment.Day(*r.Day), people[*r.ReleasedBy].Key, *r.Reason
	}
	return h
}

type movedRow struct{ HoldID, GroomID int64 }

func (movedRow) TableName() string { return "hold_moved" }

// insertIncidents writes a groom's incidents.
func insertIncidents(tx *gorm.DB, groom *groomRow, g *assessment.Groom) error {
	rows := make([]incidentRow, len(g.Incidents))
	for i, in := range g.Incidents {
		rows[i] = incidentRow{GroomID: groom.ID, ApprenticeID: groom.ApprenticeID, Day: groom.Day, Kind: in.Kind, Severity: in.Severity,
			Attribution: in.Attribution, Skill: in.Skill, SelfReported: in.SelfReported, Note: in.Note}
	}
	return tx.Create(&rows).Error
}

// settleHolds writes the holds that a groom's incidents lead to. Whether a skill
// is signed is read inside the transaction, so that a confirmation at the same
// moment cannot slip between. A correction keeps the hold of an incident it
// keeps, with its release; what it would end is asked about.
func (s *Store) settleHolds(tx *gorm.DB, sc Scope, now time.Time, prog *curriculum.Programme, groom *groomRow, g *assessment.Groom) error {
	fresh := tx.Session(&gorm.Session{NewDB: true})
	var after []assessment.Hold
	if len(g.Incidents) > 0 {
		a, err := s.evidenceOf(fresh, sc, groom.ApprenticeID, false)
		if err != nil {
			return err
		}
		after = a.HoldsFrom(prog, g, s.dayOf(now, sc))
	}
	var rows []heldRow
	var before []assessment.Hold
	if groom.SupersedesID != nil {
		people, err := s.names(fresh, sc)
		if err != nil {
			return err
		}
		if rows, err = heldRows(fresh.Where(nowWith+" = ?", *groom.SupersedesID)); err != nil {
			return err
		}
		for _, r := range rows {
			before = append(before, r.hold(people, nil))
		}
		if err := refuse(assessment.RefuseCorrection(prog, assessment.EndedHolds(prog, before, after), sc.Key, sc.Role)); err != nil {
			return err
		}
	}
	var held []holdRow
	var moved []movedRow
	for _, h := range after {
		if i := slices.IndexFunc(before, func(o assessment.Hold) bool { return h.Same(&o) }); i >= 0 {
			moved = append(moved, movedRow{rows[i].Row.ID, groom.ID})
			continue
		}
		held = append(held, holdRow{Key: s.newKey(), ApprenticeID: groom.ApprenticeID, GroomID: groom.ID, Scope: string(h.Scope), Unit: h.Unit,
			Skill: h.Skill, Severity: h.Severity, RecordedBy: sc.person, FromDay: int32(h.From), CreatedAt: now.Unix()})
	}
	if len(moved) > 0 {
		if err := fresh.Create(&moved).Error; err != nil {
			return err
		}
	}
	if len(held) == 0 {
		return nil
	}
	return fresh.Create(&held).Error
}

// Held is a hold with whom it concerns.
type Held struct {
	assessment.Hold
	Apprentice Person
}

// OpenHolds returns every open hold the scope may see, oldest first.
func (s *Store) OpenHolds(ctx context.Context, sc Scope) ([]Held, error) {
	if err := sc.valid(); err != nil {
		return nil, err
	}
	db := s.read.WithContext(ctx)
	where, arg := sc.reach()
	rows, err := holds(db, where, arg)
	if err != nil {
		return nil, err
	}
	people, err := s.names(db, sc)
	if err != nil {
		return nil, err
	}
	var out []Held
	for _, r := range rows {
		if h := r.hold(people, nil); h.Open() {
			out = append(out, Held{h, people[r.Row.ApprenticeID]})
		}
	}
	return out, nil
}

// Release ends a hold if the rules allow this person to end it now.
func (s *Store) Release(ctx context.Context, sc Scope, hold string, redemonstrate bool, reason, clientID string) (location string, err error) {
	if err := sc.judges(); err != nil {
		return "", err
	}
	_, prog, err := s.programmeInUse(s.read.WithContext(ctx), sc)
	if err != nil {
		return "", err
	}
	return s.once(ctx, sc, clientID, func(tx *gorm.DB, now time.Time) (string, error) {
		where, arg := sc.reach()
		rows, err := holds(tx.Where("key = ?", hold), where, arg)
		if err != nil {
			return "", err
		}
		if len(rows) == 0 {
			return "", ErrNotFound
		}
		people, err := s.names(tx, sc)
		if err != nil {
			return "", err
		}
		a, err := s.evidenceOf(tx, sc, rows[0].Row.ApprenticeID, false)
		if err != nil {
			return "", err
		}
		h := rows[0].hold(people, nil)
		why := assessment.RefuseRelease(prog, &h, a.Observations[h.Skill], assessment.Releaser{
			Person: sc.Key, HeadGroomer: sc.Role == assessment.HeadGroomer, Redemonstrate: redemonstrate, Reason: reason})
		if len(why) > 0 {
			return "", &Refusal{why}
		}
		row := releaseRow{HoldID: rows[0].Row.ID, ReleasedBy: sc.person, Day: int32(s.dayOf(now, sc)), Reason: reason, CreatedAt: now.Unix()}
		if err := tx.Create(&row).Error; err != nil {
			return "", err
		}
		to := "/apprentices/" + people[rows[0].Row.ApprenticeID].Key + "/skills/" + h.Skill
		return to, record(tx, sc, now, "hold.released", h.Key, map[string]any{"reason": reason})
	})
}
