package store

import (
	"context"
	"strings"
	"time"

	"gorm.io/gorm"

	"tablehand/assessment"
)

// LogEntry is a logbook entry as it is stored, with what became of it.
type LogEntry struct {
	assessment.LogEntry
	Key        string
	Entered    time.Time // UTC
	Who        Person    // the apprentice
	Supervised Person    // who was there, as the apprentice says; zero when nobody was
	Decision   assessment.LogDecision
	DecidedBy  Person
	Decided    time.Time // UTC; zero while it is the apprentice's word
	Reason     string    // why it was not so
}

type logRow struct {
	ID           int64
	Key          string
	ApprenticeID int64
	SupervisorID *int64
	Day          int32
	Dog          string
	Coat         string
	Grams        int
	Skills       string
	Level        int
	Outcome      uint8
	Words        string
	CreatedAt    int64
}

func (logRow) TableName() string { return "logbook_entry" }

type logDecisionRow struct {
	EntryID   int64
	Decision  uint8
	DecidedBy int64
	Reason    string
	CreatedAt int64
}

func (logDecisionRow) TableName() string { return "logbook_decision" }

// AddLogEntry adds to the apprentice's own logbook. Whose it is comes from the
// scope, never from the entry.
func (s *Store) AddLogEntry(ctx context.Context, sc Scope, in assessment.LogEntry, clientID string) (location string, err error) {
	if err := sc.must(assessment.Apprentice); err != nil {
		return "", err
	}
	db := s.read.WithContext(ctx)
	_, prog, err := s.programmeInUse(db, sc)
	if err != nil {
		return "", err
	}
	in.Apprentice = sc.Key
	if found := assessment.LogProblems(prog, &in, s.Today(sc)); len(found) > 0 {
		return "", refuse(found[0].Message)
	}
	return s.once(ctx, sc, clientID, func(tx *gorm.DB, now time.Time) (string, error) {
		row := logRow{Key: s.newKey(), ApprenticeID: sc.person, Day: int32(in.Day), Dog: in.Dog, Coat: in.Coat, Grams: in.Grams,
			Skills: strings.Join(in.Skills, " "), Level: in.Level, Outcome: uint8(in.Outcome), Words: in.Words, CreatedAt: now.Unix()}
		if in.Supervisor != "" {
			var who personRow
			if one(tx.Where("key = ? AND salon_id = ? AND left_day = 0", in.Supervisor, sc.salon), &who) != nil || !assessment.Role(who.Role).Judges() {
				return "", refuse("Choose who was there from the list, or say that nobody was.")
			}
			row.SupervisorID = &who.ID
		}
		if err := tx.Create(&row).Error; err != nil {
			return "", err
		}
		return "/logbook/" + row.Key, record(tx, sc, now, "logbook.entered", row.Key, map[string]any{"skills": in.Skills, "level": in.Level, "outcome": int(in.Outcome)})
	})
}

// Countersign makes the observations of logbook entries that this person was
// there for: all of them or none.
func (s *Store) Countersign(ctx context.Context, sc Scope, entries []string, clientID string) (location string, err error) {
	if err := sc.judges(); err != nil {
		return "", err
	}
	if err := refuse(assessment.CountersignProblem(entries)); err != nil {
		return "", err
	}
	_, prog, err := s.programmeInUse(s.read.WithContext(ctx), sc)
	if err != nil {
		return "", err
	}
	return s.once(ctx, sc, clientID, func(tx *gorm.DB, now time.Time) (string, error) {
		for _, key := range entries {
			row, e, err := s.decidable(tx, sc, key)
			if err != nil {
				return "", err
			}
			seen := e.Observations(prog, sc.Key)
			rows := make([]observationRow, len(seen))
			for i := range seen {
				rows[i] = observationRowOf(&seen[i], row.ApprenticeID, sc.person, nil)
			}
			if len(rows) > 0 {
				if err := tx.Create(&rows).Error; err != nil {
					return "", err
				}
			}
			if err := tx.Create(&logDecisionRow{row.ID, uint8(assessment.Countersigned), sc.person, "", now.Unix()}).Error; err != nil {
				return "", err
			}
			if err := record(tx, sc, now, "logbook.countersigned", key, map[string]any{"observations": len(rows)}); err != nil {
				return "", err
			}
		}
		return "/logbook/countersign", nil
	})
}

// DenyLogEntry records that an entry was not as it was, in the words of who was
// there. It stays in the logbook and shows nothing.
func (s *Store) DenyLogEntry(ctx context.Context, sc Scope, entry, reason, clientID string) (location string, err error) {
	if err := sc.judges(); err != nil {
		return "", err
	}
	return s.once(ctx, sc, clientID, func(tx *gorm.DB, now time.Time) (string, error) {
		row, _, err := s.decidable(tx, sc, entry)
		if err != nil {
			return "", err
		}
		if reason == "" {
			return "", refuse("Say what was different. The apprentice reads it.")
		}
		if err := tx.Create(&logDecisionRow{row.ID, uint8(assessment.NotSo), sc.person, reason, now.Unix()}).Error; err != nil {
			return "", err
		}
		return "/logbook/" + entry, record(tx, sc, now, "logbook.denied", entry, map[string]any{})
	})
}

// decidable returns the row of an entry that this person may decide on.
func (s *Store) decidable(tx *gorm.DB, sc Scope, key string) (logRow, LogEntry, error) {
	var row logRow
	e, err := s.logEntry(tx, sc, key)
	if err != nil {
		return row, e, err
	}
	if err := refuse(assessment.RefuseLogDecision(&e.LogEntry, e.Decision, sc.Key, sc.Role)); err != nil {
		return row, e, err
	}
	err = one(tx.Select("id, apprentice_id").Where("key = ?", key), &row)
	return row, e, err
}

// LogFilter narrows a list of logbook entries. Zero fields do not narrow.
type LogFilter struct {
	Apprentice string // key
	Supervisor string // key of who is to countersign, of entries that wait for it
	Limit      int
}

// LogEntries returns logbook entries the scope may see, the newest first.
func (s *Store) LogEntries(ctx context.Context, sc Scope, f LogFilter) ([]LogEntry, error) {
	if err := sc.valid(); err != nil {
		return nil, err
	}
	var where string
	var args []any
	if f.Apprentice != "" {
		where, args = where+" AND e.apprentice_id = (SELECT id FROM person WHERE key = ?)", append(args, f.Apprentice)
	}
	if f.Supervisor != "" {
		where, args = where+" AND e.supervisor_id = (SELECT id FROM person WHERE key = ?) AND d.decision IS NULL", append(args, f.Supervisor)
	}
	where += " ORDER BY e.day DESC, e.id DESC"
	if f.Limit > 0 {
		where, args = where+" LIMIT ?", append(args, f.Limit)
	}
	return s.logEntries(s.read.WithContext(ctx), sc, where, args...)
}

// LogEntry returns one logbook entry the scope may see.
func (s *Store) LogEntry(ctx context.Context, sc Scope, key string) (LogEntry, error) {
	if err := sc.valid(); err != nil {
		return LogEntry{}, err
	}
	return s.logEntry(s.read.WithContext(ctx), sc, key)
}

func (s *Store) logEntry(db *gorm.DB, sc Scope, key string) (LogEntry, error) {
	list, err := s.logEntries(db, sc, " AND e.key = ?", key)
	if err != nil {
		return LogEntry{}, err
	}
	if len(list) == 0 {
		return LogEntry{}, ErrNotFound
	}
	return list[0], nil
}

// logEntries reads the entries that the scope reaches and more narrows down to.
func (s *Store) logEntries(db *gorm.DB, sc Scope, more string, args ...any) ([]LogEntry, error) {
	people, err := s.names(db, sc)
	if err != nil {
		return nil, err
	}
	where, arg := sc.reach()
	rows, err := db.Raw(`SELECT e.key, e.apprentice_id, COALESCE(e.supervisor_id, 0), e.day, e.dog, e.coat, e.grams, e.skills, e.level, e.outcome, e.words, e.created_at,
			COALESCE(d.decision, 0), COALESCE(d.decided_by, 0), COALESCE(d.reason, ''), COALESCE(d.created_at, 0)
		FROM logbook_entry e LEFT JOIN logbook_decision d ON d.entry_id = e.id WHERE e.`+where+more, append([]any{arg}, args...)...).Rows()
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []LogEntry
	for rows.Next() {
		var e LogEntry
		var who, supervisor, day, entered, by, decided int64
		var skills string
		if err := rows.Scan(&e.Key, &who, &supervisor, &day, &e.Dog, &e.Coat, &e.Grams, &skills, &e.Level, &e.Outcome, &e.Words, &entered,
			&e.Decision, &by, &e.Reason, &decided); err != nil {
			return nil, err
		}
		e.Who, e.Supervised, e.DecidedBy = people[who], people[supervisor], people[by]
		e.Apprentice, e.Supervisor = e.Who.Key, e.Supervised.Key
		e.Day, e.Skills, e.Entered = assessment.Day(day), strings.Fields(skills), time.Unix(entered, 0).UTC()
		if decided > 0 {
			e.Decided = time.Unix(decided, 0).UTC()
		}
		out = append(out, e)
	}
	return out, rows.Err()
}
