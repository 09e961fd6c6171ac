package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"tablehand/assessment"
	"tablehand/exports"
	"tablehand/server/book"
	"tablehand/server/store"
)

// runExport writes the workbook of the whole salon.
func runExport(ctx context.Context, c *call) error {
	dir := c.flags.String("data", "", "`DIR` with the record")
	out := c.flags.String("out", "", "`FILE` to write, ending in .xlsx")
	by := c.flags.String("by", "", "`LOGIN` in whose name it is made; a head groomer's when left out")
	if err := c.parse(); err != nil {
		return err
	}
	if *dir == "" || *out == "" {
		return errUse{"Say where the record is and what to write, for example: tablehand export --data DIR --out record.xlsx"}
	}
	if _, err := os.Stat(filepath.Join(*dir, store.FileName)); err != nil {
		return fmt.Errorf("there is no record in %s: %w", *dir, err)
	}
	st, err := store.Open(ctx, *dir, store.Options{})
	if err != nil {
		return err
	}
	defer st.Close()
	sc, err := st.ScopeOfLogin(ctx, *by)
	if errors.Is(err, store.ErrNotFound) {
		return fmt.Errorf("nobody with this login may export: %q", *by)
	}
	if err != nil {
		return err
	}
	if sc.Role == assessment.Apprentice {
		return fmt.Errorf("%s is an apprentice; the whole salon is exported in the name of somebody else", sc.Name)
	}
	b, err := book.Make(ctx, st, sc, "", time.Now())
	if err != nil {
		return err
	}
	if err := exports.WriteFile(*out, b); err != nil {
		return err
	}
	fmt.Fprintf(c.out, "Wrote %s\n", *out)
	return nil
}
