package server

import (
	"fmt"
	"net/netip"
	"strings"
	"sync"
	"time"
)

// tries slows guessing down. A try is counted before it is made, so that of
// many at the same moment only the first few are looked at, and forgiven when
// it was right. From the fourth failure on a key waits, longer each time, up to
// fifteen minutes; an address over all its logins waits from the thirty-first
// on, up to one minute. What is left alone is forgotten.
//
// A sign-in is counted by login and remote address, so that a stranger
// elsewhere closes nobody's login, and a signature by who is signed in. The
// price: behind a proxy, or on one IPv6 network, everybody is one address, and
// somebody there can make a colleague wait who is not signed in yet. What a
// proxy says of the address behind it is not believed, because anybody can say
// it.
type tries struct {
	mu   sync.Mutex
	now  func() time.Time
	rows map[tryKey]failures
}

type tryKind uint8

const (
	aSignature  tryKind  = iota // by a person who is signed in
	signInAs                    // a login from an address
	signInFrom                  // an address, whatever the login
	codeFor                     // a one-time code for a login from an address
	codeFrom                    // a one-time code from an address
	setUpFrom                   // the set-up code from an address
	maxKept     = 10_000        // rows
	maxFailures = 60            // counted; the waits have long stopped growing
)

// tryKey is what failures are counted under. Its texts are short: a login of
// at most maxLogin characters or a person's key, and an address.
type tryKey struct {
	kind      tryKind
	who, from string
}

type failures struct {
	n           int
	last, until time.Time
}

// limits are the failures without a wait, the longest wait and the time after
// which a row is forgotten.
func (k tryKey) limits() (free int, longest, memory time.Duration) {
	if k.kind == signInFrom || k.kind == codeFrom {
		return 30, time.Minute, 15 * time.Minute
	}
	return 3, 15 * time.Minute, time.Hour
}

// begin counts a try under each key, or counts nothing and returns how long to
// wait first.
func (t *tries) begin(keys ...tryKey) (wait time.Duration) {
	t.mu.Lock()
	defer t.mu.Unlock()
	now := t.now()
	for _, k := range keys {
		wait = max(wait, t.rows[k].until.Sub(now))
	}
	if wait > 0 {
		return wait
	}
	for _, k := range keys {
		free, longest, memory := k.limits()
		f, known := t.rows[k]
		if !known {
			t.makeRoom(now)
		}
		if now.Sub(f.last) > memory {
			f.n = 0
		}
		f.n, f.last = min(f.n+1, maxFailures), now
		if over := f.n - free; over > 0 {
			f.until = now.Add(min(2*time.Second<<min(over, 16), longest))
		}
		t.rows[k] = f
	}
	return 0
}

// makeRoom keeps the table within its bound: what is forgotten goes first, then
// what failed least, the oldest of it. So no number of other logins opens one
// that waits.
func (t *tries) makeRoom(now time.Time) {
	if t.rows == nil {
		t.rows = map[tryKey]failures{}
	}
	if len(t.rows) < maxKept {
		return
	}
	var least tryKey
	var has *failures
	for k, f := range t.rows {
		if _, _, memory := k.limits(); now.Sub(f.last) > memory {
			delete(t.rows, k)
			continue
		}
		if has == nil || f.n < has.n || f.n == has.n && f.last.Before(has.last) {
			least, has = k, &f
		}
	}
	if len(t.rows) >= maxKept {
		delete(t.rows, least)
	}
}

// right forgives a try that was right. The failures before it are forgotten;
// those of an address are not, or one login of one's own would hide guessing at
// others.
func (t *tries) right(keys ...tryKey) {
	t.mu.Lock()
	defer t.mu.Unlock()
	for _, k := range keys {
		f, known := t.rows[k]
		if known && (k.kind == signInFrom || k.kind == codeFrom) && f.n > 1 {
			f.n--
			if free, _, _ := k.limits(); f.n <= free {
				f.until = time.Time{}
			}
			t.rows[k] = f
			continue
		}
		delete(t.rows, k)
	}
}

func (t *tries) kept() int {
	t.mu.Lock()
	defer t.mu.Unlock()
	return len(t.rows)
}

// waitWords says what was wrong too often and how long to wait.
func waitWords(what string, wait time.Duration) string {
	return fmt.Sprintf("Too many wrong %s. Wait %d seconds, then try again.", what, int(wait.Seconds())+1)
}

// address is where a request comes from. An IPv6 network counts as one: a
// machine may take any address in it.
func (r *request) address() string {
	at, err := netip.ParseAddrPort(r.Request.RemoteAddr)
	if err != nil {
		return ""
	}
	ip := at.Addr().Unmap().WithZone("")
	if ip.Is6() {
		net, _ := ip.Prefix(64) // an IPv6 address has room for it
		return net.String()
	}
	return ip.String()
}

// Bounds of what is looked up at all, in characters.
const (
	maxLogin = 40
	maxCode  = 40 // with spaces round it or between
)

// overlongLogin says that a login is none, before anything is kept or looked up.
func overlongLogin(login string) string {
	if n := len([]rune(login)); n > maxLogin {
		return fmt.Sprintf("A login has at most %d characters; this one has %d. Check what was typed.", maxLogin, n)
	}
	return ""
}

func overlongCode(code string) string {
	if n := len([]rune(strings.TrimSpace(code))); n > maxCode {
		return fmt.Sprintf("A code has 20 letters and digits in four groups; this one has %d characters. Type it as it was given to you.", n)
	}
	return ""
}
