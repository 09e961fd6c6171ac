package store

import (
	"context"
	"crypto/rand"
	"database/sql"
	"encoding/base64"
	"errors"
	"time"

	"gorm.io/gorm"

	"tablehand/assessment"
)

// Device is a tablet that several people share, enrolled by a head groomer.
// Only the store makes one, from the cookie that the tablet holds or for a head
// groomer; the zero Device is none.
type Device struct {
	id, salon  int64
	Key, Name  string
	Salon      string // name of the salon; empty in the list of devices
	EnrolledBy string // name of the head groomer; only in the list of devices
	Enrolled   time.Time
	Seen       time.Time // to ten minutes
	Revoked    time.Time // zero while enrolled
}

// seenEvery is how exactly it is kept when a device was last seen.
const seenEvery = 10 * time.Minute

type deviceRow struct {
	ID         int64
	Key        string
	SalonID    int64
	Name       string
	Token      string
	EnrolledBy int64
	EnrolledAt int64
	SeenAt     int64
	RevokedAt  int64
}

func (deviceRow) TableName() string { return "device" }

func (r deviceRow) device() Device {
	d := Device{id: r.ID, salon: r.SalonID, Key: r.Key, Name: r.Name, Enrolled: time.Unix(r.EnrolledAt, 0).UTC(), Seen: time.Unix(r.SeenAt, 0).UTC()}
	if r.RevokedAt != 0 {
		d.Revoked = time.Unix(r.RevokedAt, 0).UTC()
	}
	return d
}

// newToken makes what a device proves itself with: 256 bits.
func newToken() string {
	b := make([]byte, 32)
	rand.Read(b) // never fails
	return base64.RawURLEncoding.EncodeToString(b)
}

// Enrol takes a tablet in and returns its key and the token that it has to
// hold. Only the token's hash is kept. A repeat gives the same device a new
// token: the first answer may never have arrived.
func (s *Store) Enrol(ctx context.Context, sc Scope, name, clientID string) (key, token string, err error) {
	if err := sc.must(assessment.HeadGroomer); err != nil {
		return "", "", err
	}
	token = newToken()
	err = s.tx(ctx, func(tx *gorm.DB, now time.Time) error {
		first, done, err := replayed(tx, sc, clientID)
		if err != nil {
			return err
		}
		if done {
			key = first
			return tx.Table("device").Where("key = ? AND salon_id = ?", key, sc.salon).Update("token", tokenHash(token)).Error
		}
		row := deviceRow{Key: s.newKey(), SalonID: sc.salon, Name: name, Token: tokenHash(token), EnrolledBy: sc.person, EnrolledAt: now.Unix(), SeenAt: now.Unix()}
		if err := tx.Create(&row).Error; err != nil {
			return err
		}
		key = row.Key
		if err := remember(tx, sc, now, clientID, key); err != nil {
			return err
		}
		return record(tx, sc, now, "device.enrolled", key, map[string]string{"name": name})
	})
	if err != nil {
		return "", "", err
	}
	return key, token, nil
}

// Devices returns every device of the salon, also those revoked, the newest
// first.
func (s *Store) Devices(ctx context.Context, sc Scope) ([]Device, error) {
	if err := sc.must(assessment.HeadGroomer); err != nil {
		return nil, err
	}
	db := s.read.WithContext(ctx)
	var rows []deviceRow
	if err := db.Where("salon_id = ?", sc.salon).Order("enrolled_at DESC, id DESC").Find(&rows).Error; err != nil {
		return nil, err
	}
	names, err := s.names(db, sc)
	if err != nil {
		return nil, err
	}
	var out []Device
	for _, r := range rows {
		d := r.device()
		d.EnrolledBy = names[r.EnrolledBy].Name
		out = append(out, d)
	}
	return out, nil
}

// Revoke shuts a device out. Its token is worth nothing from now on, and so is
// every session that was begun on it.
func (s *Store) Revoke(ctx context.Context, sc Scope, device string) error {
	if err := sc.must(assessment.HeadGroomer); err != nil {
		return err
	}
	return s.tx(ctx, func(tx *gorm.DB, now time.Time) error {
		var d deviceRow
		if err := one(tx.Where("key = ? AND salon_id = ?", device, sc.salon), &d); err != nil {
			return err
		}
		if d.RevokedAt != 0 {
			return nil // a repeat
		}
		if err := tx.Model(&d).Update("revoked_at", now.Unix()).Error; err != nil {
			return err
		}
		return record(tx, sc, now, "device.revoked", d.Key, map[string]string{"name": d.Name})
	})
}

// DeviceOf returns the device that holds a token, if it is still enrolled.
func (s *Store) DeviceOf(ctx context.Context, token string) (Device, error) {
	pool, err := s.read.DB()
	if err != nil {
		return Device{}, err
	}
	var r deviceRow
	var salon string
	err = pool.QueryRowContext(ctx, `SELECT device.id, device.salon_id, device.key, device.name, device.enrolled_at, device.seen_at, salon.name
		FROM device JOIN salon ON salon.id = device.salon_id WHERE device.token = ? AND device.revoked_at = 0`, tokenHash(token)).
		Scan(&r.ID, &r.SalonID, &r.Key, &r.Name, &r.EnrolledAt, &r.SeenAt, &salon)
	if errors.Is(err, sql.ErrNoRows) {
		return Device{}, ErrNotFound
	}
	if err != nil {
		return Device{}, err
	}
	d := r.device()
	d.Salon = salon
	return d, nil
}

// See notes that a device was there, once in ten minutes; it reports whether it
// did.
func (s *Store) See(ctx context.Context, d Device) (bool, error) {
	if s.now().Sub(d.Seen) < seenEvery {
		return false, nil
	}
	return true, s.tx(ctx, func(tx *gorm.DB, now time.Time) error {
		return tx.Table("device").Where("id = ?", d.id).Update("seen_at", now.Unix()).Error
	})
}
