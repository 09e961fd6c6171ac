package store

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"gorm.io/gorm"
)

// MaxPINTries is how often a PIN may be tried in a row by one person on one
// device. After that the password is needed there.
const MaxPINTries = 5

// PINKeyFile is the name of the key file in the data folder. It is not in the
// database, so that a stolen copy of that alone is no use for finding PINs:
// there are only a million of them.
const PINKeyFile = "pin.key"

const pinKeyBytes = 32

// PINKey reads the key that PINs are hashed under. Without a file the error is
// fs.ErrNotExist, unless it is to be made. A file that others may read is
// refused.
func (s *Store) PINKey(makeIt bool) ([]byte, error) {
	s.pinKey.Lock()
	defer s.pinKey.Unlock()
	path := filepath.Join(s.dir, PINKeyFile)
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) && makeIt {
		return makePINKey(path)
	}
	if err != nil {
		return nil, err
	}
	if runtime.GOOS != "windows" && info.Mode().Perm()&0o077 != 0 {
		return nil, fmt.Errorf("%s can be read by others: its mode is %o, and has to be 600", path, info.Mode().Perm())
	}
	key, err := os.ReadFile(path)
	if err == nil && len(key) != pinKeyBytes {
		err = fmt.Errorf("%s has %d bytes, and should have %d: take it from a copy of the data folder, or remove it and have all PINs set anew", path, len(key), pinKeyBytes)
	}
	return key, err
}

// makePINKey writes a new key, whole or not at all.
func makePINKey(path string) (key []byte, err error) {
	key = make([]byte, pinKeyBytes)
	rand.Read(key)                                         // never fails
	f, err := os.CreateTemp(filepath.Dir(path), "pin.new") // mode 0600
	if err != nil {
		return nil, err
	}
	_, err = f.Write(key)
	err = errors.Join(err, f.Sync(), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return nil, errors.Join(err, os.Remove(f.Name()))
	}
	return key, syncFolder(filepath.Dir(path))
}

// syncFolder makes sure that the name of a new file survives a power cut.
// Windows has no such call.
func syncFolder(dir string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// SetPIN sets the scope's own PIN, encoded, for the password that was checked.
// Tries at an earlier one are forgotten. It fails with ErrConflict when the
// password was set anew meanwhile.
func (s *Store) SetPIN(ctx context.Context, sc Scope, password, encoded string) error {
	if err := sc.valid(); err != nil {
		return err
	}
	return s.tx(ctx, func(tx *gorm.DB, now time.Time) error {
		done := tx.Table("person").Where("id = ? AND password = ? AND left_day = 0", sc.person, password).Update("pin", encoded)
		if done.Error != nil {
			return done.Error
		}
		if done.RowsAffected == 0 {
			return ErrConflict
		}
		if err := tx.Exec("DELETE FROM pin_try WHERE person_id = ?", sc.person).Error; err != nil {
			return err
		}
		return record(tx, sc, now, "person.pin_set", sc.Key, nil)
	})
}

// RemovePIN takes the scope's own PIN away.
func (s *Store) RemovePIN(ctx context.Context, sc Scope) error {
	if err := sc.valid(); err != nil {
		return err
	}
	return s.tx(ctx, func(tx *gorm.DB, now time.Time) error {
		done := tx.Table("person").Where("id = ? AND pin <> ''", sc.person).Update("pin", "")
		if done.Error != nil || done.RowsAffected == 0 {
			return done.Error
		}
		return record(tx, sc, now, "person.pin_removed", sc.Key, nil)
	})
}

const mayUsePIN = "salon_id = ? AND pin <> '' AND password <> '' AND left_day = 0"

// PINHolders returns who can sign in with a PIN on a device, by name.
func (s *Store) PINHolders(ctx context.Context, d Device) ([]Person, error) {
	var rows []personRow
	if err := s.read.WithContext(ctx).Where(mayUsePIN, d.salon).Order("name, id").Find(&rows).Error; err != nil {
		return nil, err
	}
	out := make([]Person, len(rows))
	for i, r := range rows {
		out[i] = r.person()
	}
	return out, nil
}

// TryPIN counts a try before it is made, so that neither many at the same
// moment nor a restart give more of them, and returns the encoded PIN to check
// it with and how many tries are left after it. ErrDenied says that they are
// used up; ErrNotFound that nobody of this key may use a PIN on this device.
func (s *Store) TryPIN(ctx context.Context, d Device, person string) (encoded string, left int, err error) {
	err = s.tx(ctx, func(tx *gorm.DB, _ time.Time) error {
		var p personRow
		if err := one(tx.Where("key = ?", person).Where(mayUsePIN, d.salon), &p); err != nil {
			return err
		}
		counted := tx.Exec(`INSERT INTO pin_try (person_id, device_id, tries) VALUES (?, ?, 1)
			ON CONFLICT (person_id, device_id) DO UPDATE SET tries = tries + 1 WHERE tries < ?`, p.ID, d.id, MaxPINTries)
		if counted.Error != nil {
			return counted.Error
		}
		if counted.RowsAffected == 0 {
			return ErrDenied
		}
		var tries int
		if err := tx.Raw("SELECT tries FROM pin_try WHERE person_id = ? AND device_id = ?", p.ID, d.id).Scan(&tries).Error; err != nil {
			return err
		}
		encoded, left = p.PIN, MaxPINTries-tries
		return nil
	})
	return encoded, left, err
}

// ForgetTries forgets the tries of a person on a device: the PIN was right, or
// the password.
func (s *Store) ForgetTries(ctx context.Context, d Device, person string) error {
	return s.tx(ctx, func(tx *gorm.DB, _ time.Time) error {
		return tx.Exec("DELETE FROM pin_try WHERE device_id = ? AND person_id = (SELECT id FROM person WHERE key = ?)", d.id, person).Error
	})
}

// NoteTriesSpent records that the last try at a person's PIN on a device was
// wrong. Nobody is known to have made it.
func (s *Store) NoteTriesSpent(ctx context.Context, d Device, person string) error {
	return s.tx(ctx, func(tx *gorm.DB, now time.Time) error {
		return record(tx, Scope{salon: d.salon}, now, "person.pin_tries_spent", person, map[string]string{"device": d.Key})
	})
}
