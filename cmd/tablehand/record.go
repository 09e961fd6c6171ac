package main

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"tablehand/server/store"
)

// openExisting opens the record in a folder for a command that only makes sense
// where there is one: opening alone would make it.
func openExisting(ctx context.Context, dir string) (*store.Store, error) {
	if _, err := os.Stat(filepath.Join(dir, store.FileName)); err != nil {
		return nil, cannot("There is no record in %s: no %s is there. Give the folder that tablehand serve --data was started with.", dir, store.FileName)
	}
	return openRecord(ctx, dir)
}

// openRecord opens the record in a folder, or says in plain words why not.
func openRecord(ctx context.Context, dir string) (*store.Store, error) {
	st, err := store.Open(ctx, dir, store.Options{})
	var noFolder *fs.PathError
	switch {
	case err == nil:
		return st, nil
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case errors.Is(err, store.ErrNewer):
		return nil, cannot("The record in %s was written by a newer Tablehand. Use that one; this one leaves the record as it is. (%v)", dir, err)
	case errors.As(err, &noFolder):
		return nil, cannot("There is no folder %s, and it cannot be made: %v. Choose another with --data.", dir, cause(err))
	}
	return nil, cannot("%s cannot be opened: %v. Check that it is a record of Tablehand, and that you may read and write it and its folder.",
		filepath.Join(dir, store.FileName), cause(err))
}
