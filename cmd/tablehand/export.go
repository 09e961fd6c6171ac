package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"tablehand/assessment"
	"tablehand/exports"
	"tablehand/server/book"
	"tablehand/server/store"
)

// runExport writes the workbook of the whole salon. The record may be served
// meanwhile.
func runExport(ctx context.Context, c *call) error {
	dir := c.flags.String("data", "", "`DIR` of the record")
	out := c.flags.String("out", "", "`FILE` to write, ending in .xlsx; an older one is replaced")
	by := c.flags.String("by", "", "`LOGIN` in whose name it is made; a head groomer's when left out")
	if err := c.parse(); err != nil {
		return err
	}
	if *dir == "" || *out == "" {
		return wrongUse("Say where the record is and what to write, for example: %s", c.example)
	}
	if !strings.EqualFold(filepath.Ext(*out), ".xlsx") {
		return wrongUse("The workbook's name must end in .xlsx, or no spreadsheet program will open it; %q does not.", *out)
	}
	if err := mayWrite(*out); err != nil {
		return err
	}
	st, err := openExisting(ctx, *dir)
	if err != nil {
		return err
	}
	defer st.Close()
	sc, err := exporter(ctx, st, *dir, strings.ToLower(*by))
	if err != nil {
		return err
	}
	b, err := book.Make(ctx, st, sc, "", time.Now())
	if err != nil {
		return err
	}
	if err := exports.WriteFile(*out, b); err != nil {
		return cannot("%s cannot be written: %v. Check that you may write there, that there is room, and that no other program has it open.", *out, cause(err))
	}
	fmt.Fprintf(c.out, "Wrote %s\n", *out)
	return nil
}

// mayWrite finds, before the work is done, what a name alone gives away.
func mayWrite(out string) error {
	folder := filepath.Dir(out)
	if at, err := os.Stat(folder); err != nil || !at.IsDir() {
		return cannot("%s cannot be written: there is no folder %s. Make it first, or choose another name with --out.", out, folder)
	}
	if at, err := os.Stat(out); err == nil && at.IsDir() {
		return cannot("%s cannot be written: it is a folder. Choose another name with --out.", out)
	}
	return nil
}

// exporter is the scope of the person in whose name the workbook is made.
func exporter(ctx context.Context, st *store.Store, dir, login string) (store.Scope, error) {
	isNew, err := st.IsNew(ctx)
	if err != nil {
		return store.Scope{}, err
	}
	if isNew {
		return store.Scope{}, cannot("The salon in %s is not set up yet, so there is nothing to export. Start tablehand serve --data %s and set it up first.", dir, dir)
	}
	sc, err := st.ScopeOfLogin(ctx, login)
	switch {
	case errors.Is(err, store.ErrNotFound) && login == "":
		return sc, cannot("The salon has no head groomer at present. Say with --by in whose name the workbook is made.")
	case errors.Is(err, store.ErrNotFound):
		return sc, cannot("Nobody in the salon has the login %q. Give another with --by, or leave it out.", login)
	case err == nil && sc.Role == assessment.Apprentice:
		return sc, cannot("%s is an apprentice, and the whole salon is not exported in an apprentice's name. Give another login with --by, or leave it out.", sc.Name)
	}
	return sc, err
}
