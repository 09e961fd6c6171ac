package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
)

// work is what went over the connections of one pool.
type work struct{ Statements, Begins, Commits, Rollbacks int }

// watch counts what a store asks of its database, for each pool, and makes a
// chosen statement or commit fail.
type watch struct {
	mu      sync.Mutex
	reader  work
	writer  work
	queries []string             // on the writer, in order
	fail    func(q string) error // asked before each statement on the writer
	refuse  func() error         // asked before each commit
}

var watched atomic.Int64

// newWatch registers a driver of its own, because database/sql has no way to
// take one back.
func newWatch(t testing.TB) (*watch, string) {
	t.Helper()
	db, err := sql.Open("sqlite", "")
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	w := &watch{}
	name := fmt.Sprintf("watched-sqlite-%d", watched.Add(1))
	sql.Register(name, &watchedDriver{db.Driver(), w})
	return w, name
}

func (w *watch) reset() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.reader, w.writer, w.queries = work{}, work{}, nil
}

func (w *watch) counted() (reader, writer work) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.reader, w.writer
}

func (w *watch) statement(writer bool, q string) error {
	w.mu.Lock()
	defer w.mu.Unlock()
	if !writer {
		w.reader.Statements++
		return nil
	}
	w.writer.Statements++
	w.queries = append(w.queries, q)
	if w.fail != nil {
		return w.fail(q)
	}
	return nil
}

func (w *watch) note(writer bool, f func(*work)) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if writer {
		f(&w.writer)
	} else {
		f(&w.reader)
	}
}

type watchedDriver struct {
	driver.Driver
	w *watch
}

func (d *watchedDriver) Open(dsn string) (driver.Conn, error) {
	c, err := d.Driver.Open(dsn)
	if err != nil {
		return nil, err
	}
	return &watchedConn{c.(sqliteConn), d.w, strings.Contains(dsn, "_txlock=immediate")}, nil
}

// sqliteConn is what the driver's connections can do.
type sqliteConn interface {
	driver.Conn
	driver.ConnBeginTx
	driver.ConnPrepareContext
	driver.ExecerContext
	driver.QueryerContext
	driver.Pinger
	driver.SessionResetter
	driver.Validator
}

type watchedConn struct {
	sqliteConn
	w      *watch
	writer bool
}

func (c *watchedConn) ExecContext(ctx context.Context, q string, args []driver.NamedValue) (driver.Result, error) {
	if err := c.w.statement(c.writer, q); err != nil {
		return nil, err
	}
	return c.sqliteConn.ExecContext(ctx, q, args)
}

func (c *watchedConn) QueryContext(ctx context.Context, q string, args []driver.NamedValue) (driver.Rows, error) {
	if err := c.w.statement(c.writer, q); err != nil {
		return nil, err
	}
	return c.sqliteConn.QueryContext(ctx, q, args)
}

func (c *watchedConn) PrepareContext(ctx context.Context, q string) (driver.Stmt, error) {
	s, err := c.sqliteConn.PrepareContext(ctx, q)
	if err != nil {
		return nil, err
	}
	return &watchedStmt{s.(sqliteStmt), c, q}, nil
}

func (c *watchedConn) BeginTx(ctx context.Context, o driver.TxOptions) (driver.Tx, error) {
	tx, err := c.sqliteConn.BeginTx(ctx, o)
	if err != nil {
		return nil, err
	}
	c.w.note(c.writer, func(k *work) { k.Begins++ })
	return &watchedTx{tx, c}, nil
}

type sqliteStmt interface {
	driver.Stmt
	driver.StmtExecContext
	driver.StmtQueryContext
}

type watchedStmt struct {
	sqliteStmt
	c *watchedConn
	q string
}

func (s *watchedStmt) ExecContext(ctx context.Context, args []driver.NamedValue) (driver.Result, error) {
	if err := s.c.w.statement(s.c.writer, s.q); err != nil {
		return nil, err
	}
	return s.sqliteStmt.ExecContext(ctx, args)
}

func (s *watchedStmt) QueryContext(ctx context.Context, args []driver.NamedValue) (driver.Rows, error) {
	if err := s.c.w.statement(s.c.writer, s.q); err != nil {
		return nil, err
	}
	return s.sqliteStmt.QueryContext(ctx, args)
}

type watchedTx struct {
	driver.Tx
	c *watchedConn
}

func (t *watchedTx) Commit() error {
	w := t.c.w
	w.mu.Lock()
	refuse := w.refuse
	w.mu.Unlock()
	if refuse != nil {
		if err := refuse(); err != nil {
			return errors.Join(err, t.Tx.Rollback())
		}
	}
	w.note(t.c.writer, func(k *work) { k.Commits++ })
	return t.Tx.Commit()
}

func (t *watchedTx) Rollback() error {
	t.c.w.note(t.c.writer, func(k *work) { k.Rollbacks++ })
	return t.Tx.Rollback()
}
