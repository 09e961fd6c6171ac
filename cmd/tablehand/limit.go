package main

import (
	"net"
	"net/netip"
	"sync"

	"golang.org/x/net/netutil"
)

// How many connections are open at once: from one address, so that no machine
// keeps the others out, and in all. A browser opens six; behind a proxy a whole
// salon shares one address.
const (
	connectionsEach = 96
	connectionsAll  = 512
)

// limited bounds the connections of a listener. Those over the bound of an
// address are closed at once; those over the bound of all wait.
func limited(l net.Listener) net.Listener {
	return netutil.LimitListener(&shared{Listener: l, open: map[netip.Addr]int{}}, connectionsAll)
}

// shared is a listener that gives each address its share.
type shared struct {
	net.Listener
	mu   sync.Mutex
	open map[netip.Addr]int
}

func (s *shared) Accept() (net.Conn, error) {
	for {
		c, err := s.Listener.Accept()
		if err != nil {
			return nil, err
		}
		at, err := netip.ParseAddrPort(c.RemoteAddr().String())
		if err != nil {
			return c, nil // no address to count by
		}
		if from := at.Addr().Unmap(); s.take(from) {
			return &counted{Conn: c, release: sync.OnceFunc(func() { s.giveBack(from) })}, nil
		}
		c.Close()
	}
}

func (s *shared) take(from netip.Addr) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.open[from] >= connectionsEach {
		return false
	}
	s.open[from]++
	return true
}

func (s *shared) giveBack(from netip.Addr) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.open[from]--; s.open[from] == 0 {
		delete(s.open, from)
	}
}

// counted is a connection that gives its place back when it is closed.
type counted struct {
	net.Conn
	release func()
}

func (c *counted) Close() error {
	defer c.release()
	return c.Conn.Close()
}
