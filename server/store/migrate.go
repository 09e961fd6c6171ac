package store

import (
	"context"
	"embed"
	"fmt"
	"io/fs"

	"github.com/pressly/goose/v3"
	"gorm.io/gorm"
)

//go:embed migrations/*.sql
var migrations embed.FS

// migrate brings the database up to this program's version, one transaction
// for each step. It refuses a database that is already past it.
func migrate(ctx context.Context, db *gorm.DB) error {
	pool, err := db.DB()
	if err != nil {
		return err
	}
	files, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return err
	}
	steps, err := goose.NewProvider(goose.DialectSQLite3, pool, files)
	if err != nil {
		return fmt.Errorf("migrations: %w", err)
	}
	has, err := steps.GetDBVersion(ctx)
	if err != nil {
		return fmt.Errorf("the database version cannot be read: %w", err)
	}
	list := steps.ListSources()
	if newest := list[len(list)-1].Version; has > newest {
		return fmt.Errorf("%w: it is at version %d, this program knows %d; use a newer program", ErrNewer, has, newest)
	}
	if _, err := steps.Up(ctx); err != nil {
		return fmt.Errorf("the database could not be brought up to date: %w", err)
	}
	return nil
}
