package server

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"fmt"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"golang.org/x/crypto/argon2"
)

// argon2id with OWASP's minimum parameters (password storage cheat sheet):
// 19 MiB, two passes, one lane.
const (
	hashMemory = 19 << 10 // KiB
	hashPasses = 2
	hashLanes  = 1
	hashBytes  = 32
	saltBytes  = 16
)

// hashing bounds how many passwords are hashed at once, and with it the memory.
var hashing = make(chan struct{}, 2)

// MinPassword and MaxPassword bound a password's length, in characters.
const (
	MinPassword = 12
	MaxPassword = 256
)

// EncodePassword hashes a password for storage, in PHC string form.
func EncodePassword(password string) (string, error) {
	salt := make([]byte, saltBytes)
	if _, err := rand.Read(salt); err != nil {
		return "", err
	}
	hashing <- struct{}{}
	defer func() { <-hashing }()
	key := argon2.IDKey([]byte(password), salt, hashPasses, hashMemory, hashLanes, hashBytes)
	b64 := base64.RawStdEncoding
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, hashMemory, hashPasses, hashLanes, b64.EncodeToString(salt), b64.EncodeToString(key)), nil
}

// checkPassword compares a password with a stored one in constant time. The
// wait for a free place ends with the request.
func checkPassword(ctx context.Context, encoded, password string) (bool, error) {
	var version, memory, passes, lanes int
	parts := strings.Split(encoded, "$")
	if len(parts) != 6 || parts[1] != "argon2id" {
		return false, errors.New("a stored password is in an unknown form")
	}
	if _, err := fmt.Sscanf(parts[2], "v=%d", &version); err != nil {
		return false, err
	}
	if _, err := fmt.Sscanf(parts[3], "m=%d,t=%d,p=%d", &memory, &passes, &lanes); err != nil {
		return false, err
	}
	salt, err1 := base64.RawStdEncoding.DecodeString(parts[4])
	want, err2 := base64.RawStdEncoding.DecodeString(parts[5])
	if err := errors.Join(err1, err2); err != nil {
		return false, err
	}
	if utf8.RuneCountInString(password) > MaxPassword {
		return false, nil
	}
	select {
	case hashing <- struct{}{}:
	case <-ctx.Done():
		return false, ctx.Err()
	}
	defer func() { <-hashing }()
	got := argon2.IDKey([]byte(password), salt, uint32(passes), uint32(memory), uint8(lanes), uint32(len(want)))
	return subtle.ConstantTimeCompare(got, want) == 1, nil
}

// nobody is a stored password that nobody has. An unknown login is checked
// against it, so that it takes as long as a known one.
var nobody = sync.OnceValue(func() string {
	e, err := EncodePassword(rand.Text())
	if err != nil {
		panic(err)
	}
	return e
})

// passwordProblem says what is wrong with a new password, or nothing.
func passwordProblem(password, login string) string {
	n := utf8.RuneCountInString(password)
	switch {
	case n < MinPassword:
		return fmt.Sprintf("The password has %d characters; use at least %d. A few unrelated words are easy to remember.", n, MinPassword)
	case n > MaxPassword:
		return fmt.Sprintf("The password has %d characters; use at most %d.", n, MaxPassword)
	case login != "" && strings.Contains(strings.ToLower(password), strings.ToLower(login)) && n < MinPassword+utf8.RuneCountInString(login):
		return "The password is hardly more than the login. Choose other words."
	case strings.Count(password, password[:1]) == len(password):
		return "The password is one character repeated. Choose a few unrelated words."
	}
	return ""
}

// tries slows guessing down: from the fourth failure on a login waits, longer
// each time, up to fifteen minutes. Nobody is locked out for good.
type tries struct {
	mu     sync.Mutex
	now    func() time.Time
	logins map[string]failures
}

type failures struct {
	n     int
	until time.Time
}

func (t *tries) wait(login string) time.Duration {
	t.mu.Lock()
	defer t.mu.Unlock()
	return max(0, t.logins[login].until.Sub(t.now()))
}

func (t *tries) failed(login string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.logins == nil || len(t.logins) > 10_000 {
		t.logins = map[string]failures{}
	}
	f := t.logins[login]
	f.n++
	if f.n >= 4 {
		f.until = t.now().Add(min(time.Second<<(f.n-2), 15*time.Minute))
	}
	if f.n > 20 {
		f.n = 20
	}
	t.logins[login] = f
}

func (t *tries) succeeded(login string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	delete(t.logins, login)
}

// verify checks the password of the person who is signed in, before a
// signature.
func (r *request) verify(password string) (problem string, err error) {
	ctx := r.Request.Context()
	login, encoded, err := r.srv.Store.PasswordOf(ctx, r.scope)
	if err != nil {
		return "", err
	}
	return r.srv.passwordCheck(ctx, login, encoded, password)
}

func (s *Server) passwordCheck(ctx context.Context, login, encoded, password string) (problem string, err error) {
	if password == "" {
		return "Enter your password.", nil
	}
	if wait := s.tries.wait(login); wait > 0 {
		return fmt.Sprintf("Too many wrong passwords. Wait %d seconds, then try again.", int(wait.Seconds())+1), nil
	}
	ok, err := checkPassword(ctx, encoded, password)
	if err != nil {
		return "", err
	}
	if !ok {
		s.tries.failed(login)
		return "This is not your password. Try again.", nil
	}
	s.tries.succeeded(login)
	return "", nil
}
