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
	"tablehand/curriculum"
)

type signOffRow struct {
	ID           int64
	Key          string
	SalonID      int64
	ApprenticeID int64
	ProgrammeID  int64
	Skill        string
	ProposedBy   int64
	Day          int32
	Statement    string
	Evidence     string
	CreatedAt    int64
}

func (signOffRow) TableName() string { return "signoff" }

type decisionRow struct {
	SignoffID int64
	Decision  uint8
	DecidedBy int64
	Day       int32
	Reason    string
	CreatedAt int64
}

func (decisionRow) TableName() string { return "signoff_decision" }

// decidedRow is a sign-off with its decision, if any, and its programme. GORM
// fills an embedded row only through a field with a public name.
type decidedRow struct {
	Row        signOffRow `gorm:"embedded"`
	Ident      string
	Version    int
	Digest     string // of the programme
	Decision   *uint8
	DecidedBy  *int64
	DecidedDay *int32
	Reason     *string
}

func signOffs(q *gorm.DB) ([]decidedRow, error) {
	var rows []decidedRow
	err := q.Table("signoff").
		Select("signoff.*, programme.ident, programme.version, programme.digest, d.decision, d.decided_by, d.day AS decided_day, d.reason").
		Joins("JOIN programme ON programme.id = signoff.programme_id").
		Joins("LEFT JOIN signoff_decision d ON d.signoff_id = signoff.id").
		Order("signoff.id").Find(&rows).Error
	return rows, err
}

func (r decidedRow) signOff(people map[int64]Person) assessment.SignOff {
	so := assessment.SignOff{Key: r.Row.Key, Apprentice: people[r.Row.ApprenticeID].Key, Skill: r.Row.Skill, ProposedBy: people[r.Row.ProposedBy].Key,
		Proposed: assessment.Day(r.Row.Day), Statement: r.Row.Statement, Programme: r.Ident, Version: r.Version}
	if r.Decision != nil {
		so.Decision, so.DecidedBy = assessment.Decision(*r.Decision), people[*r.DecidedBy].Key
		so.Decided, so.Reason = assessment.Day(*r.DecidedDay), *r.Reason
	}
	return so
}

// Snapshot is what a sign-off rested on when it was proposed.
type Snapshot struct {
	Requirements []assessment.Requirement
	Points       assessment.Points
	Counted      []assessment.Observation
	Excluded     []Left
}

// Left is an observation that did not count, and why.
type Left struct {
	assessment.Observation
	Why string
}

func snapshot(st *assessment.Standing) Snapshot {
	sn := Snapshot{Requirements: st.Requirements, Points: st.Points}
	for _, u := range st.Used {
		if u.Counted {
			sn.Counted = append(sn.Counted, *u.Observation)
		} else {
			sn.Excluded = append(sn.Excluded, Left{*u.Observation, u.Why.Words()})
		}
	}
	return sn
}

// EvidenceDigest is the SHA-256, in hex, of what a sign-off would rest on, so
// that nobody signs for other evidence than they looked at.
func EvidenceDigest(st *assessment.Standing) (string, error) {
	_, digest, err := encodeEvidence(st)
	return digest, err
}

func encodeEvidence(st *assessment.Standing) (text, digest string, err error) {
	data, err := json.Marshal(snapshot(st))
	return string(data), digestOf(data), err
}

func digestOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// SignOff is a sign-off with the people in it and what it rests on.
type SignOff struct {
	assessment.SignOff
	Who        Person // the apprentice
	Proposer   Person
	Decider    Person
	Evidence   Snapshot
	Digest     string                // of the evidence
	ProposedAt time.Time             // UTC
	Standard   *curriculum.Programme // the version it was proposed under; nil in a list
}

// Propose proposes a sign-off, if the skill's standing allows it now, and
// returns its key. What it rests on is kept with it; digest is that of the
// evidence the person looked at, and other evidence is a conflict. An empty one
// is not compared.
func (s *Store) Propose(ctx context.Context, sc Scope, apprentice, skill, statement, digest, clientID string) (key string, err error) {
	return s.judge(ctx, sc, apprentice, skill, clientID, true, func(tx *gorm.DB, now time.Time, j judged) (string, error) {
		if err := refuse(assessment.RefuseProposal(&j.standing, sc.Key, sc.Role, apprentice)); err != nil {
			return "", err
		}
		evidence, found, err := encodeEvidence(&j.standing)
		if err != nil {
			return "", err
		}
		if digest != "" && digest != found {
			return "", ErrConflict
		}
		row := signOffRow{Key: s.newKey(), SalonID: sc.salon, ApprenticeID: j.apprentice, ProgrammeID: j.programme, Skill: skill, ProposedBy: sc.person,
			Day: int32(j.today), Statement: statement, Evidence: evidence, CreatedAt: now.Unix()}
		if err := tx.Create(&row).Error; err != nil {
			return "", err
		}
		if err := restsOn(tx, row.ID, &j.standing); err != nil {
			return "", err
		}
		return row.Key, record(tx, sc, now, "signoff.proposed", row.Key, map[string]string{"apprentice": apprentice, "skill": skill})
	})
}

// restsOn notes the grooms a sign-off rests on.
func restsOn(tx *gorm.DB, signOff int64, st *assessment.Standing) error {
	var keys []string
	for _, u := range st.Used {
		if u.Counted && u.Observation.Groom != "" {
			keys = append(keys, u.Observation.Groom)
		}
	}
	if len(keys) == 0 {
		return nil
	}
	return tx.Exec("INSERT OR IGNORE INTO signoff_evidence (signoff_id, groom_id) SELECT ?, id FROM groom WHERE key IN ?", signOff, keys).Error
}

// Decide confirms or declines a proposed sign-off. digest is that of the
// evidence as the person was shown it; to confirm on other evidence is a
// conflict, and an empty one is not compared.
func (s *Store) Decide(ctx context.Context, sc Scope, key string, confirm bool, reason, digest, clientID string) (err error) {
	if err := sc.judges(); err != nil {
		return err
	}
	_, prog, err := s.programmeInUse(s.read.WithContext(ctx), sc)
	if err != nil {
		return err
	}
	_, err = s.once(ctx, sc, clientID, func(tx *gorm.DB, now time.Time) (string, error) {
		rows, err := signOffs(tx.Where("signoff.key = ? AND signoff.salon_id = ?", key, sc.salon))
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
		today := s.dayOf(now, sc)
		st, err := s.standingOf(tx, sc, prog, rows[0].Row.ApprenticeID, rows[0].Row.Skill, today, true)
		if errors.Is(err, ErrNotFound) && !confirm {
			err = nil // a skill that the programme no longer has can still be declined
		}
		if err != nil {
			return "", err
		}
		if confirm && digest != "" {
			if now, err := EvidenceDigest(&st); err != nil || now != digest {
				return "", errors.Join(err, ErrConflict)
			}
		}
		so := rows[0].signOff(people)
		if err := refuse(assessment.RefuseDecision(&so, &st, sc.Key, sc.Role, confirm)); err != nil {
			return "", err
		}
		row := decisionRow{SignoffID: rows[0].Row.ID, Decision: uint8(assessment.Declined), DecidedBy: sc.person, Day: int32(today), Reason: reason, CreatedAt: now.Unix()}
		kind := "signoff.declined"
		if confirm {
			row.Decision, kind = uint8(assessment.Confirmed), "signoff.confirmed"
		}
		if err := tx.Create(&row).Error; err != nil {
			return "", err
		}
		return "/signoffs/" + key, record(tx, sc, now, kind, key, map[string]string{"reason": reason})
	})
	if errors.Is(err, ErrExists) {
		return refuse("This sign-off has been decided already.")
	}
	return err
}

// SignOffs returns the sign-offs the scope may see, the newest first.
func (s *Store) SignOffs(ctx context.Context, sc Scope) ([]SignOff, error) {
	if err := sc.valid(); err != nil {
		return nil, err
	}
	db := s.read.WithContext(ctx)
	rows, err := signOffs(sc.seen(db.Table("signoff")))
	if err != nil {
		return nil, err
	}
	people, err := s.names(db, sc)
	if err != nil {
		return nil, err
	}
	weakened, err := s.weakened(db, sc)
	if err != nil {
		return nil, err
	}
	out := make([]SignOff, 0, len(rows))
	for i := len(rows) - 1; i >= 0; i-- {
		so, err := rows[i].full(people)
		if err != nil {
			return nil, err
		}
		so.Weakened = weakened[rows[i].Row.ID]
		out = append(out, so)
	}
	return out, nil
}

func (r decidedRow) full(people map[int64]Person) (SignOff, error) {
	so := SignOff{SignOff: r.signOff(people), Who: people[r.Row.ApprenticeID], Proposer: people[r.Row.ProposedBy], ProposedAt: time.Unix(r.Row.CreatedAt, 0).UTC(),
		Digest: digestOf([]byte(r.Row.Evidence))}
	if r.DecidedBy != nil {
		so.Decider = people[*r.DecidedBy]
	}
	return so, json.Unmarshal([]byte(r.Row.Evidence), &so.Evidence)
}

// SignOff returns one sign-off the scope may see.
func (s *Store) SignOff(ctx context.Context, sc Scope, key string) (SignOff, error) {
	if err := sc.valid(); err != nil {
		return SignOff{}, err
	}
	db := s.read.WithContext(ctx)
	rows, err := signOffs(sc.seen(db.Where("signoff.key = ?", key)))
	if err != nil {
		return SignOff{}, err
	}
	if len(rows) == 0 {
		return SignOff{}, ErrNotFound
	}
	people, err := s.names(db, sc)
	if err != nil {
		return SignOff{}, err
	}
	so, err := rows[0].full(people)
	if err == nil {
		so.Standard, err = s.programme(db, rows[0].Row.ProgrammeID, rows[0].Digest)
	}
	return so, err
}
