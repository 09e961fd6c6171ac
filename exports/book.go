package exports

import (
	"errors"
	"fmt"
	"io"
	"iter"
	"os"
	"path/filepath"
	"time"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// Book is everything one workbook is made from. The long lists are sequences,
// so that a whole record never has to be in memory at once; a nil sequence is
// an empty sheet. A sequence that yields an error ends the export.
type Book struct {
	Salon string
	Zone  string // the salon's time zone, for example "Europe/Dublin"
	By    string // who made the export, by name
	Scope string // what is in it, in words
	Made  time.Time
	Today assessment.Day // the day the standings were worked out for

	// Programmes holds the current version first, then every other version
	// that a groom refers to.
	Programmes  []*curriculum.Programme
	Name        func(key string) string // a person's name; nil shows the key
	Apprentices []Apprentice

	Grooms       iter.Seq2[Groom, error]
	Ratings      iter.Seq2[Rating, error]
	Observations iter.Seq2[Observation, error]
	Incidents    iter.Seq2[Incident, error]
	SignOffs     iter.Seq2[SignOff, error]
	Logbook      iter.Seq2[LogEntry, error]
	Agreement    iter.Seq2[Agreement, error]
	Photos       iter.Seq2[Photo, error] // nil: left out, with their sheet
}

// Apprentice is one person's standing in the current programme.
type Apprentice struct {
	Key, Name string
	Start     assessment.Day
	End       assessment.Day        // planned last day; zero when none is planned
	Standings []assessment.Standing // of every skill, explained
	// Progress is checked against Standings when it is given, so that a
	// workbook never says something else than the page did.
	Progress   assessment.Progress
	Completion []assessment.Requirement
}

// Write writes the workbook to w. Nothing is written before the whole
// workbook is complete, so an error from the record leaves w untouched.
func Write(w io.Writer, b *Book) error {
	wb, err := newWorkbook(b)
	if err != nil {
		return err
	}
	defer wb.file.Close() // removes its temporary files
	if err := wb.build(); err != nil {
		return err
	}
	if err := wb.file.Write(w); err != nil {
		return fmt.Errorf("write workbook: %w", err)
	}
	return nil
}

// WriteFile writes the workbook to path, readable by its owner only. It is
// written beside path and moved there when complete and on disk: a failed
// export leaves no file, and an older file at path stays as it was.
func WriteFile(path string, b *Book) (err error) {
	f, err := os.CreateTemp(filepath.Dir(path), ".export-*")
	if err != nil {
		return fmt.Errorf("create workbook: %w", err)
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, ignoreClosed(f.Close()), os.Remove(f.Name()))
		}
	}()
	if err = Write(f, b); err != nil {
		return err
	}
	if err = f.Sync(); err != nil {
		return fmt.Errorf("write workbook: %w", err)
	}
	if err = f.Close(); err != nil {
		return fmt.Errorf("write workbook: %w", err)
	}
	if err = os.Rename(f.Name(), path); err != nil {
		return fmt.Errorf("move workbook into place: %w", err)
	}
	return nil
}

func ignoreClosed(err error) error {
	if errors.Is(err, os.ErrClosed) {
		return nil
	}
	return err
}

// each calls f for every value of seq and stops at the first error.
func each[T any](seq iter.Seq2[T, error], f func(*T) error) error {
	if seq == nil {
		return nil
	}
	for v, err := range seq {
		if err != nil {
			return err
		}
		if err := f(&v); err != nil {
			return err
		}
	}
	return nil
}
