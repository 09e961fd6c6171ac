// Package demo makes an invented salon with fourteen months of history. Every
// person, dog and sentence in it is made up. The same seed and the same
// instant always give the same record.
package demo

import (
	"context"
	crand "crypto/rand"
	"encoding/base32"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"strings"
	"sync"
	"time"

	"tablehand/server/store"
)

// Login is a way into the demo, shown on its sign-in page. Role is in the
// words shown to people.
type Login struct{ Name, Role, Login, Password string }

// Build makes the salon in a folder that holds no record yet and opens it.
// The store's clock stands at now when Build returns, and runs on from there.
// encode turns a password into what the store keeps; it is called once for
// each different password.
func Build(ctx context.Context, dir string, seed uint64, now time.Time, encode func(password string) (string, error)) (*store.Store, []Login, error) {
	clock := &clock{at: now.Round(0)}
	keys := &keys{rng: rand.New(rand.NewPCG(seed, 1))}
	st, err := store.Open(ctx, dir, store.Options{Now: clock.now, NewKey: keys.next})
	if err != nil {
		return nil, nil, err
	}
	s := newSalon(ctx, st, clock, seed, now)
	logins, err := s.build(encode)
	if err != nil {
		st.Close()
		return nil, nil, fmt.Errorf("the demo salon cannot be made: %w", err)
	}
	keys.unseed()
	clock.start(now.Round(0))
	return st, logins, nil
}

// clock stands still at an instant until it is started.
type clock struct {
	mu      sync.Mutex
	at      time.Time
	started time.Time // real time; zero while it stands
}

func (c *clock) now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.started.IsZero() {
		return c.at
	}
	return c.at.Add(time.Since(c.started))
}

func (c *clock) set(t time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.at = t
}

func (c *clock) start(t time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.at, c.started = t, time.Now()
}

// keys makes public keys: repeatable while the history is written, and
// unpredictable afterwards, when real people use the demo.
type keys struct {
	mu  sync.Mutex
	rng *rand.Rand // nil once the history is written
}

func (k *keys) next() string {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.rng == nil {
		return strings.ToLower(crand.Text())
	}
	b := binary.BigEndian.AppendUint64(nil, k.rng.Uint64())
	b = binary.BigEndian.AppendUint64(b, k.rng.Uint64())
	return strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(b))
}

func (k *keys) unseed() {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.rng = nil
}
