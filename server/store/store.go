package store

import (
	"context"
	"crypto/rand"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"gorm.io/driver/sqlite"
	"gorm.io/gorm"
	"gorm.io/gorm/logger"
	msqlite "modernc.org/sqlite" // also registers the driver

	"tablehand/assessment"
)

// FileName is the name of the database file in the data folder.
const FileName = "tablehand.db"

// Options are what a store needs from outside.
type Options struct {
	Now    func() time.Time // the clock; time.Now when nil
	NewKey func() string    // random public keys; crypto/rand when nil
	driver string           // database/sql driver name, for tests
}

// Store is an open database.
type Store struct {
	read   *gorm.DB // several connections, query only
	write  *gorm.DB // one connection, used only in transactions
	now    func() time.Time
	byID   sync.Map // programme id → *curriculum.Programme
	newKey func() string
	dir    string     // the data folder
	pinKey sync.Mutex // guards the key file

	// What every request asks; prepared, because making the statement took
	// longer than running it.
	whoIsIt, sessionOf *sql.Stmt
}

// Open opens or makes the database in a folder and brings it up to date. A
// database made by a newer program is refused with ErrNewer.
func Open(ctx context.Context, dir string, o Options) (*Store, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("the data folder cannot be made: %w", err)
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.NewKey == nil {
		o.NewKey = func() string { return strings.ToLower(rand.Text()) }
	}
	if o.driver == "" {
		o.driver = "sqlite"
	}
	path := filepath.Join(dir, FileName)
	write, err := connect(o.driver, dsn(path, true), 1)
	if err != nil {
		return nil, err
	}
	if err := migrate(ctx, write); err != nil {
		closeDB(write)
		return nil, err
	}
	read, err := connect(o.driver, dsn(path, false), 4)
	if err != nil {
		closeDB(write)
		return nil, err
	}
	s := &Store{read: read, write: write, now: o.Now, newKey: o.NewKey, dir: dir}
	if err := s.prepare(ctx); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

func (s *Store) prepare(ctx context.Context) error {
	pool, err := s.read.DB()
	if err != nil {
		return err
	}
	if s.whoIsIt, err = pool.PrepareContext(ctx, whoIsIt); err != nil {
		return err
	}
	s.sessionOf, err = pool.PrepareContext(ctx, "SELECT data FROM session WHERE token = ? AND expiry > ?")
	return err
}

// dsn sets every pragma in the connection string, so that each pooled
// connection has them. FULL: a signed groom survives a power cut.
func dsn(path string, writer bool) string {
	q := url.Values{}
	q.Add("_pragma", "busy_timeout(10000)")
	q.Add("_pragma", "journal_mode(WAL)")
	q.Add("_pragma", "synchronous(FULL)")
	q.Add("_pragma", "foreign_keys(1)")
	q.Add("_pragma", "recursive_triggers(1)") // without it REPLACE passes the triggers that guard history
	q.Add("_pragma", "trusted_schema(0)")
	q.Set("_time_format", "sqlite")
	q.Set("_timezone", "UTC")
	if writer {
		q.Set("_txlock", "immediate")
	} else {
		q.Add("_pragma", "query_only(1)")
		q.Add("_pragma", "cache_size(-65536)")
	}
	u := url.URL{Scheme: "file", Opaque: (&url.URL{Path: path}).EscapedPath(), RawQuery: q.Encode()}
	return u.String()
}

func connect(driver, dsn string, conns int) (*gorm.DB, error) {
	d := dialector{sqlite.New(sqlite.Config{DriverName: driver, DSN: dsn}).(*sqlite.Dialector)}
	db, err := gorm.Open(d, &gorm.Config{
		TranslateError: true, SkipDefaultTransaction: true, Logger: logger.Discard, DisableAutomaticPing: true,
		NowFunc: func() time.Time { return time.Time{} },
	})
	if err != nil {
		return nil, fmt.Errorf("the database cannot be opened: %w", err)
	}
	pool, err := db.DB()
	if err != nil {
		return nil, err
	}
	pool.SetMaxOpenConns(conns)
	pool.SetMaxIdleConns(conns)
	if err := pool.Ping(); err != nil {
		pool.Close()
		return nil, fmt.Errorf("the database cannot be opened: %w", err)
	}
	return db, nil
}

// dialector gives the pure-Go driver's errors the names GORM knows. The codes
// are SQLite's extended result codes.
type dialector struct{ *sqlite.Dialector }

func (d dialector) Translate(err error) error {
	var se *msqlite.Error
	if errors.As(err, &se) {
		switch se.Code() {
		case 2067, 1555:
			return fmt.Errorf("%w: %v", gorm.ErrDuplicatedKey, err)
		case 787:
			return fmt.Errorf("%w: %v", gorm.ErrForeignKeyViolated, err)
		case 275:
			return fmt.Errorf("%w: %v", gorm.ErrCheckConstraintViolated, err)
		}
	}
	return err
}

// Close writes everything out and closes the database.
func (s *Store) Close() error {
	s.write.Exec("PRAGMA optimize")
	s.write.Exec("PRAGMA wal_checkpoint(TRUNCATE)")
	return errors.Join(closeDB(s.read), closeDB(s.write))
}

func closeDB(db *gorm.DB) error {
	pool, err := db.DB()
	if err != nil {
		return err
	}
	return pool.Close()
}

// tx runs one transaction on the writer. The instant is read once, so that
// everything in it carries the same time.
func (s *Store) tx(ctx context.Context, f func(tx *gorm.DB, now time.Time) error) error {
	now := s.now().UTC()
	err := s.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error { return f(tx, now) }, &sql.TxOptions{})
	if errors.Is(err, gorm.ErrDuplicatedKey) {
		return fmt.Errorf("%w: %v", ErrExists, err)
	}
	return err
}

// dayOf is the civil date of an instant in the scope's salon.
func (s *Store) dayOf(t time.Time, sc Scope) assessment.Day { return assessment.DayOf(sc.Local(t)) }

func one(db *gorm.DB, into any) error {
	err := db.Take(into).Error
	if errors.Is(err, gorm.ErrRecordNotFound) {
		return ErrNotFound
	}
	return err
}
