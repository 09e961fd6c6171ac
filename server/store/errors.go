package store

import "errors"

// The kinds of failure a caller can act on. Anything else is a fault of the
// machine or of the program.
var (
	ErrNotFound = errors.New("not found")                               // or not for this person
	ErrDenied   = errors.New("not allowed")                             // the scope may not do this
	ErrConflict = errors.New("changed meanwhile")                       // someone else was quicker
	ErrExists   = errors.New("exists already")                          // a unique name is taken
	ErrNewer    = errors.New("the database is newer than this program") // made by a later version
)

// Refusal is a change that the rules do not allow, in words for the reader.
type Refusal struct{ Reasons []string }

func (r *Refusal) Error() string {
	if len(r.Reasons) == 0 {
		return "refused"
	}
	return r.Reasons[0]
}

func refuse(reason string) error {
	if reason == "" {
		return nil
	}
	return &Refusal{[]string{reason}}
}
