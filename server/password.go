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
	"unicode/utf8"

	"golang.org/x/crypto/argon2"

	"tablehand/server/store"
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
	return encodePassword(context.Background(), password)
}

// encodePassword hashes a password. The wait for a free place ends with the
// request.
func encodePassword(ctx context.Context, password string) (string, error) {
	salt := make([]byte, saltBytes)
	if _, err := rand.Read(salt); err != nil {
		return "", err
	}
	key, err := hash(ctx, password, salt, hashPasses, hashMemory, hashLanes, hashBytes)
	if err != nil {
		return "", err
	}
	return stored(salt, key), nil
}

func stored(salt, key []byte) string {
	b64 := base64.RawStdEncoding
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, hashMemory, hashPasses, hashLanes, b64.EncodeToString(salt), b64.EncodeToString(key))
}

// hash waits for a free place and takes it, unless the request ends first.
func hash(ctx context.Context, password string, salt []byte, passes, memory uint32, lanes uint8, length uint32) ([]byte, error) {
	select {
	case hashing <- struct{}{}:
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	defer func() { <-hashing }()
	if err := ctx.Err(); err != nil { // both were ready, and nobody waits for the answer
		return nil, err
	}
	return argon2.IDKey([]byte(password), salt, passes, memory, lanes, length), nil
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
	got, err := hash(ctx, password, salt, uint32(passes), uint32(memory), uint8(lanes), uint32(len(want)))
	if err != nil {
		return false, err
	}
	return subtle.ConstantTimeCompare(got, want) == 1, nil
}

// nobody is a stored password that nobody has. An unknown login is checked
// against it, so that it takes as long as a known one.
var nobody = sync.OnceValue(func() string {
	random := make([]byte, saltBytes+hashBytes)
	rand.Read(random) // never fails
	return stored(random[:saltBytes], random[saltBytes:])
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

// verify checks the password of the person who is signed in, before a
// signature. What they do next, they do by it.
func (r *request) verify(password string) (problem string, err error) {
	_, encoded, err := r.srv.Store.PasswordOf(r.Request.Context(), r.scope)
	if err != nil {
		return "", err
	}
	problem, err = r.check(encoded, password, tryKey{kind: aSignature, who: r.scope.Key})
	if problem == "" && err == nil {
		r.scope.Method = store.ByPassword
	}
	return problem, err
}

// check compares a password with a stored one, as a try counted under the keys.
func (r *request) check(encoded, password string, keys ...tryKey) (problem string, err error) {
	if password == "" {
		return "Enter your password.", nil
	}
	if wait := r.srv.tries.begin(keys...); wait > 0 {
		return waitWords("passwords", wait), nil
	}
	ok, err := checkPassword(r.Request.Context(), encoded, password)
	if err != nil {
		return "", err
	}
	if !ok {
		return wrongPassword, nil
	}
	r.srv.tries.right(keys...)
	return "", nil
}

const wrongPassword = "This is not your password. Try again."
