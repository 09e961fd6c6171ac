package demo

import (
	"testing"

	"tablehand/assessment"
	"tablehand/server/store"
)

// wrote checks that there is something of each sort: marks read and one disagreed
// with, and logbook entries in every state.
func wrote(t *testing.T, w *world) {
	said, err := w.st.Acknowledgements(ctx, w.sc, store.AcknowledgementFilter{})
	if err != nil {
		t.Fatal(err)
	}
	disagree := 0
	for _, a := range said {
		if a.Disagrees {
			disagree++
		}
		if late := w.today - a.Day; late < readTo || late > readFrom {
			t.Errorf("%s of %s was looked at", a.Dog, a.Day)
		}
	}
	if disagree != 1 || len(said) < 6 {
		t.Errorf("%d said something, %d disagree; want some and 1", len(said), disagree)
	}
	open, err := w.st.Acknowledgements(ctx, w.sc, store.AcknowledgementFilter{Open: true})
	if err != nil || len(open) != 1 {
		t.Errorf("%d disagreements wait for an answer, %v", len(open), err)
	}
	entries, err := w.st.LogEntries(ctx, w.sc, store.LogFilter{})
	if err != nil || len(entries) != len(logbook) {
		t.Fatalf("%d logbook entries, %v", len(entries), err)
	}
	state := map[assessment.LogDecision]int{}
	for _, e := range entries {
		state[e.Decision]++
		if found := assessment.LogProblems(w.prog, &e.LogEntry, w.today); len(found) > 0 {
			t.Errorf("%s on %s: %v", e.Dog, e.Day, found)
		}
	}
	for _, d := range assessment.LogDecisions {
		if state[d] == 0 {
			t.Errorf("no logbook entry is %s", d)
		}
	}
	mine, err := w.st.LogEntries(ctx, w.sc, store.LogFilter{Supervisor: w.sc.Key})
	if err != nil || len(mine) < 2 {
		t.Errorf("%d entries wait for the head groomer, %v", len(mine), err)
	}
}
