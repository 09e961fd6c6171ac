package store

import (
	"crypto/sha256"
	"encoding/hex"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// enrolled is a new device of the salon and its token.
func (h *house) enrolled(by Scope, name string) (Device, string) {
	h.t.Helper()
	key, token, err := h.Enrol(h.ctx, by, name, "")
	require.NoError(h.t, err)
	d, err := h.DeviceOf(h.ctx, token)
	require.NoError(h.t, err)
	require.Equal(h.t, key, d.Key)
	return d, token
}

// tryOnce enrols a device, gives Ines a PIN and has it tried there once.
func (h *house) tryOnce() Device {
	h.t.Helper()
	d, _ := h.enrolled(h.runa, "Table 1")
	h.withPIN(h.ines, "encoded PIN")
	_, _, err := h.TryPIN(h.ctx, d, h.ines.Key)
	require.NoError(h.t, err)
	return d
}

func TestEnrolAndRevoke(t *testing.T) {
	h := newHouse(t)
	key, token, err := h.Enrol(h.ctx, h.runa, "Table 1", "click")
	require.NoError(t, err)
	assert.Len(t, token, 43, "256 bits, six to a character")
	sum := sha256.Sum256([]byte(token))
	assert.Equal(t, hex.EncodeToString(sum[:]), h.text("SELECT token FROM device"), "only its hash is kept")
	d, err := h.DeviceOf(h.ctx, token)
	require.NoError(t, err)
	assert.Equal(t, [3]string{key, "Table 1", "Harbour Lane Dogs"}, [3]string{d.Key, d.Name, d.Salon})
	for _, wrong := range []string{"", hex.EncodeToString(sum[:]), token[:42], token + "A"} {
		_, err := h.DeviceOf(h.ctx, wrong)
		assert.ErrorIs(t, err, ErrNotFound, "%q", wrong)
	}

	again, next, err := h.Enrol(h.ctx, h.runa, "Table 1", "click")
	require.NoError(t, err)
	assert.Equal(t, key, again, "a repeat is the same device")
	_, err = h.DeviceOf(h.ctx, token)
	assert.ErrorIs(t, err, ErrNotFound, "with a token of its own; the earlier one is dead")
	d, err = h.DeviceOf(h.ctx, next)
	require.NoError(t, err)
	assert.Equal(t, key, d.Key)

	h.clock.add(time.Hour)
	require.NoError(t, h.Revoke(h.ctx, h.runa, key))
	require.NoError(t, h.Revoke(h.ctx, h.runa, key), "a repeat")
	_, err = h.DeviceOf(h.ctx, next)
	assert.ErrorIs(t, err, ErrNotFound)
	_, late, err := h.Enrol(h.ctx, h.runa, "Table 1", "click")
	require.NoError(t, err)
	_, err = h.DeviceOf(h.ctx, late)
	assert.ErrorIs(t, err, ErrNotFound, "a repeat does not bring back what was revoked")
	list, err := h.Devices(h.ctx, h.runa)
	require.NoError(t, err)
	assert.Equal(t, []Device{{id: d.id, salon: d.salon, Key: key, Name: "Table 1", EnrolledBy: "Runa Vale", Enrolled: begin, Seen: begin, Revoked: begin.Add(time.Hour)}}, list)
	assert.Equal(t, []string{`{"name":"Table 1"}`}, h.entries("device.enrolled", key))
	assert.Equal(t, []string{`{"name":"Table 1"}`}, h.entries("device.revoked", key))
}

func TestDevicesAreASalonsOwn(t *testing.T) {
	h := newHouse(t)
	d, token := h.enrolled(h.runa, "Table 1")
	assert.ErrorIs(t, h.Revoke(h.ctx, h.olan, d.Key), ErrNotFound, "of another salon")
	list, err := h.Devices(h.ctx, h.olan)
	require.NoError(t, err)
	assert.Empty(t, list)
	for _, sc := range []Scope{h.ines, h.pia, h.mara} {
		_, err := h.Devices(h.ctx, sc)
		assert.ErrorIs(t, err, ErrDenied, sc.Role)
	}
	_, err = h.DeviceOf(h.ctx, token)
	assert.NoError(t, err)
}

func TestDeviceLastSeen(t *testing.T) {
	h := newHouse(t)
	d, token := h.enrolled(h.runa, "Table 1")
	for _, c := range []struct {
		after time.Duration
		noted bool
	}{{seenEvery - time.Second, false}, {seenEvery, true}} {
		h.clock.add(c.after)
		noted, err := h.See(h.ctx, d)
		require.NoError(t, err)
		assert.Equal(t, c.noted, noted)
	}
	d, err := h.DeviceOf(h.ctx, token)
	require.NoError(t, err)
	assert.Equal(t, h.clock.Now(), d.Seen)
}
