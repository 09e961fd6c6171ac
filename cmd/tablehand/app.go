package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"strconv"
	"syscall"
	"time"

	"tablehand/server"
)

const defaultAddr = "127.0.0.1:8420"

// app is a server on a listener; tests start it on port 0.
type app struct {
	listener net.Listener
	http     *http.Server
}

// listen comes before everything else a command does, so that a taken port is
// told at once and leaves nothing behind.
func listen(addr string) (net.Listener, error) {
	host, port, err := net.SplitHostPort(addr)
	if err == nil {
		_, err = net.LookupPort("tcp", port)
	}
	if err != nil {
		return nil, wrongUse("--addr takes an address and a port, for example %s; %q is not that.", defaultAddr, addr)
	}
	l, err := net.Listen("tcp", addr)
	if err == nil {
		return l, nil
	}
	const windowsInUse = syscall.Errno(10048) // WSAEADDRINUSE, which Go does not translate
	if errors.Is(err, syscall.EADDRINUSE) || errors.Is(err, windowsInUse) {
		return nil, cannot("%s is taken: another program, perhaps another Tablehand, answers there. Stop that one, or choose another port, for example --addr %s, which takes any that is free.",
			addr, net.JoinHostPort(host, "0"))
	}
	return nil, cannot("Tablehand cannot answer on %s: %v. Choose another address, for example --addr %s.", addr, cause(err), defaultAddr)
}

// newApp makes an app on a listener; both the listener and the store stay the
// caller's to close.
func newApp(l net.Listener, o server.Options) (*app, error) {
	s, err := server.New(o)
	if err != nil {
		return nil, err
	}
	return &app{listener: limited(l), http: s.HTTP()}, nil
}

func (a *app) addr() *net.TCPAddr { return a.listener.Addr().(*net.TCPAddr) }

// URL is where the app is reached from this machine.
func (a *app) URL() string {
	if a.addr().IP.IsUnspecified() {
		return a.under("127.0.0.1")
	}
	return a.under(a.addr().IP.String())
}

func (a *app) under(host string) string {
	return "http://" + net.JoinHostPort(host, strconv.Itoa(a.addr().Port)) + "/"
}

// announce says where the app is, and what follows when others can reach it.
func (a *app) announce(c *call) {
	fmt.Fprintf(c.out, "Tablehand is at %s\n", a.URL())
	if a.addr().IP.IsLoopback() {
		return
	}
	if a.addr().IP.IsUnspecified() {
		for _, ip := range networkAddresses() {
			fmt.Fprintf(c.out, "and, from other machines, at %s\n", a.under(ip))
		}
	}
	fmt.Fprintln(c.err, "Without TLS anyone on this network could read what is typed: keep guests off it.")
}

// networkAddresses are the IPv4 addresses under which others reach this machine.
func networkAddresses() []string {
	var list []string
	addrs, _ := net.InterfaceAddrs() // without them, the local address is still told
	for _, a := range addrs {
		if n, ok := a.(*net.IPNet); ok && n.IP.To4() != nil && n.IP.IsGlobalUnicast() {
			list = append(list, n.IP.String())
		}
	}
	return list
}

// Run serves until the context ends, then finishes what is under way. What
// takes longer than ten seconds is cut off.
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
	if errors.Is(err, context.DeadlineExceeded) {
		err = a.http.Close()
	}
	if served := <-ended; !errors.Is(served, http.ErrServerClosed) {
		err = errors.Join(err, served)
	}
	return err
}

func logTo(c *call) *slog.Logger {
	return slog.New(slog.NewTextHandler(c.err, &slog.HandlerOptions{Level: slog.LevelWarn}))
}
