package store

import (
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// withPIN gives a person a password and a PIN.
func (h *house) withPIN(sc Scope, encoded string) {
	h.t.Helper()
	h.sql("UPDATE person SET password = 'encoded' WHERE key = ?", sc.Key)
	require.NoError(h.t, h.SetPIN(h.ctx, sc, "encoded", encoded))
}

func TestPINKey(t *testing.T) {
	h := newHouse(t)
	_, err := h.PINKey(false)
	assert.ErrorIs(t, err, fs.ErrNotExist, "made on first need only")
	key, err := h.PINKey(true)
	require.NoError(t, err)
	assert.Len(t, key, 32)
	again, err := h.PINKey(true)
	require.NoError(t, err)
	assert.Equal(t, key, again)
	path := filepath.Join(h.dir, PINKeyFile)
	other := h.open(Options{})
	again, err = other.PINKey(false)
	require.NoError(t, err)
	assert.Equal(t, key, again, "after a restart too")
	left, err := filepath.Glob(filepath.Join(h.dir, "pin*"))
	require.NoError(t, err)
	assert.Equal(t, []string{path}, left)

	if runtime.GOOS != "windows" {
		info, err := os.Stat(path)
		require.NoError(t, err)
		assert.Equal(t, fs.FileMode(0o600), info.Mode().Perm())
		require.NoError(t, os.Chmod(path, 0o640))
		_, err = h.PINKey(true)
		assert.ErrorContains(t, err, "can be read by others: its mode is 640")
		require.NoError(t, os.Chmod(path, 0o600))
	}
	require.NoError(t, os.WriteFile(path, key[:31], 0o600))
	_, err = h.PINKey(true)
	assert.ErrorContains(t, err, "has 31 bytes, and should have 32")
}

func TestPINHoldersAreOfTheDevicesSalon(t *testing.T) {
	h := newHouse(t)
	near, _ := h.enrolled(h.runa, "Table 1")
	far, _ := h.enrolled(h.olan, "Far table")
	for _, sc := range []Scope{h.tomas, h.ines, h.pia, h.nell} {
		h.withPIN(sc, "PIN of "+sc.Login)
	}
	logins := func(d Device) (out []string) {
		list, err := h.PINHolders(h.ctx, d)
		require.NoError(t, err)
		for _, p := range list {
			out = append(out, p.Login)
		}
		return out
	}
	assert.Equal(t, []string{"ines", "pia", "tomas"}, logins(near), "by name; who has none is not offered")
	assert.Equal(t, []string{"nell"}, logins(far))
	assert.Empty(t, logins(Device{}))
	for key, d := range map[string]Device{h.ines.Key: far, h.nell.Key: near, h.runa.Key: near, "nobody": near, h.pia.Key: {}} {
		encoded, _, err := h.TryPIN(h.ctx, d, key)
		assert.ErrorIs(t, err, ErrNotFound, key)
		assert.Empty(t, encoded)
	}
	assert.Zero(t, h.rows("pin_try"))

	require.NoError(t, h.Leave(h.ctx, h.runa, h.tomas.Key, h.today()))
	assert.Equal(t, []string{"ines", "pia"}, logins(near))
	require.NoError(t, h.RemovePIN(h.ctx, h.pia))
	require.NoError(t, h.RemovePIN(h.ctx, h.pia), "a repeat")
	assert.Equal(t, []string{"ines"}, logins(near))
	assert.Len(t, h.entries("person.pin_removed", h.pia.Key), 1)
	require.NoError(t, h.ChangePassword(h.ctx, h.ines, "encoded", "other"))
	assert.Empty(t, logins(near), "a PIN goes with the password it was set with")
	assert.ErrorIs(t, h.SetPIN(h.ctx, h.ines, "encoded", "late"), ErrConflict, "the password was changed meanwhile")
}

func TestPINTriesAreCountedBeforehand(t *testing.T) {
	h := newHouse(t)
	d := h.tryOnce()
	require.NoError(t, h.ForgetTries(h.ctx, d, h.ines.Key))
	tried, errs := together(20, func(int) (int, error) {
		_, left, err := h.TryPIN(h.ctx, d, h.ines.Key)
		return left, err
	})
	seen := map[int]int{}
	for i, err := range errs {
		if err == nil {
			seen[tried[i]]++
			continue
		}
		assert.ErrorIs(t, err, ErrDenied)
	}
	assert.Equal(t, map[int]int{4: 1, 3: 1, 2: 1, 1: 1, 0: 1}, seen, "five of twenty at the same moment")

	again := h.open(Options{Now: h.clock.Now})
	_, _, err := again.TryPIN(h.ctx, d, h.ines.Key)
	assert.ErrorIs(t, err, ErrDenied, "a restart gives no more")
	other, _ := h.enrolled(h.runa, "Table 2")
	encoded, left, err := h.TryPIN(h.ctx, other, h.ines.Key)
	require.NoError(t, err, "each device counts for itself")
	assert.Equal(t, "encoded PIN", encoded)
	assert.Equal(t, 4, left)

	require.NoError(t, h.ForgetTries(h.ctx, d, h.ines.Key))
	_, left, err = h.TryPIN(h.ctx, d, h.ines.Key)
	require.NoError(t, err)
	assert.Equal(t, 4, left)
	h.withPIN(h.ines, "another PIN")
	assert.Zero(t, h.rows("pin_try"), "a new PIN begins anew everywhere")
	require.NoError(t, h.NoteTriesSpent(h.ctx, d, h.ines.Key))
	assert.Equal(t, []string{`{"device":"` + d.Key + `"}`}, h.entries("person.pin_tries_spent", h.ines.Key))
}

// A session that was begun with a PIN ends with the PIN or the password it was
// begun with.
func TestProofs(t *testing.T) {
	h := newHouse(t)
	assert.Empty(t, h.scope(h.ines.Key).PINProof)
	h.withPIN(h.ines, "one")
	first := h.scope(h.ines.Key)
	assert.NotEqual(t, first.Proof, first.PINProof)
	h.withPIN(h.ines, "two")
	second := h.scope(h.ines.Key)
	assert.Equal(t, first.Proof, second.Proof)
	assert.NotEqual(t, first.PINProof, second.PINProof)
	h.sql("UPDATE person SET password = 'other' WHERE key = ?", h.ines.Key)
	third := h.scope(h.ines.Key)
	assert.NotEqual(t, second.Proof, third.Proof)
	assert.NotEqual(t, second.PINProof, third.PINProof)
}

// The record says how whoever made a change had proved who they are.
func TestRecordKeepsTheMethod(t *testing.T) {
	h := newHouse(t)
	by := h.runa
	by.Method = ByPassword
	h.withPIN(by, "encoded PIN")
	assert.Equal(t, []string{`{"method":"password"}`}, h.entries("person.pin_set", h.runa.Key))
	by.Method = ByPIN
	_, err := h.SetPolicy(h.ctx, by, "NE4", h.today(), "Long-coated ears only.", "")
	require.NoError(t, err)
	assert.JSONEq(t, `{"day":20593,"note":"Long-coated ears only.","method":"pin"}`, h.entries("policy.set", "NE4")[0]) // 20 May 2026, counted from 1970
	_, code, err := h.RenewCode(h.ctx, h.runa, h.ines.Key)
	require.NoError(t, err)
	_, err = h.SetPassword(h.ctx, "ines", code, "encoded")
	require.NoError(t, err)
	assert.Equal(t, []string{`{"method":"code"}`}, h.entries("person.password_set", h.ines.Key))
}
