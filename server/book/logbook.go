package book

import (
	"context"
	"iter"
	"time"

	"tablehand/assessment"
	"tablehand/exports"
	"tablehand/server/store"
)

// logbookRows are the logbook entries of one apprentice, or of everybody the
// scope may see when apprentice is empty; the oldest first.
func logbookRows(ctx context.Context, s *store.Store, sc store.Scope, apprentice string) (iter.Seq2[exports.LogEntry, error], error) {
	list, err := s.LogEntries(ctx, sc, store.LogFilter{Apprentice: apprentice})
	if err != nil {
		return nil, err
	}
	day := func(t time.Time) assessment.Day {
		if t.IsZero() {
			return 0
		}
		return assessment.DayOf(sc.Local(t))
	}
	return func(yield func(exports.LogEntry, error) bool) {
		for i := len(list) - 1; i >= 0; i-- {
			e := &list[i]
			row := exports.LogEntry{Apprentice: e.Apprentice, Day: e.Day, Entered: day(e.Entered), Dog: e.Dog, Coat: e.Coat, Grams: e.Grams, Skills: e.Skills, Level: e.Level,
				Outcome: e.Outcome, Supervisor: e.Supervisor, Decision: e.Decision, DecidedBy: e.DecidedBy.Key, Decided: day(e.Decided)}
			if !yield(row, nil) {
				return
			}
		}
	}, nil
}
