package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"time"

	"tablehand/server"
	"tablehand/server/store"
)

const defaultAddr = "127.0.0.1:8420"

// app is a server on a listener; tests start it on port 0.
type app struct {
	store    *store.Store
	listener net.Listener
	http     *http.Server
}

// newApp listens first, so that a taken port is told before anything else.
func newApp(addr string, hosts []string, o server.Options) (*app, error) {
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return nil, fmt.Errorf("cannot listen on %s: %w. Choose another address with --addr, for example --addr 127.0.0.1:8421", addr, err)
	}
	o.Hosts = server.LocalHosts(addr, hosts...)
	s, err := server.New(o)
	if err != nil {
		l.Close()
		return nil, err
	}
	return &app{store: o.Store, listener: l, http: s.HTTP()}, nil
}

// URL is where the app is reached.
func (a *app) URL() string { return "http://" + a.listener.Addr().String() + "/" }

// Run serves until the context ends, then finishes what is under way.
func (a *app) Run(ctx context.Context) error {
	ended := make(chan error, 1)
	go func() { ended <- a.http.Serve(a.listener) }()
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	stop, cancel := context.WithTimeout(context.WithoutCancel(ctx), 10*time.Second)
	defer cancel()
	err := a.http.Shutdown(stop)
	if served := <-ended; !errors.Is(served, http.ErrServerClosed) {
		err = errors.Join(err, served)
	}
	return err
}

// Close closes the record.
func (a *app) Close() error {
	a.listener.Close()
	return a.store.Close()
}

func logTo(c *call) *slog.Logger {
	return slog.New(slog.NewTextHandler(c.err, &slog.HandlerOptions{Level: slog.LevelWarn}))
}
