package store

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"slices"
	"time"

	"gorm.io/gorm"

	"tablehand/assessment"
)

// Photo is a photo of a groom, without its picture.
type Photo struct {
	Key       string
	Groom     string // key of the groom or draft it was added to
	Kind      assessment.PhotoKind
	Digest    string // SHA-256 of the large picture, hex
	By        Person
	Added     time.Time   // UTC
	Withdrawn *Withdrawal // nil while it is shown
}

// Withdrawal is how a photo was taken down. Its picture is gone.
type Withdrawal struct {
	By     Person
	At     time.Time // UTC
	Reason string    // empty where the groom was not signed yet
}

type photoRow struct {
	ID        int64
	Key       string
	SalonID   int64
	GroomKey  string
	Kind      assessment.PhotoKind
	Digest    string
	AddedBy   int64
	CreatedAt int64
}

func (photoRow) TableName() string { return "photo" }

type pictureRow struct {
	PhotoID      int64
	Large, Small []byte
}

func (pictureRow) TableName() string { return "photo_picture" }

type withdrawnRow struct {
	PhotoID     int64
	WithdrawnBy int64
	Reason      string
	CreatedAt   int64
}

func (withdrawnRow) TableName() string { return "photo_withdrawn" }

// photoPlace is a draft of the person's own or a signed groom the scope may see,
// as a place for photos.
type photoPlace struct {
	assessment.PhotoPlace
	keys []string // whose photos are shown: its own, then those of the versions it corrects
}

// versions are a groom and those it corrects, the newest first.
const versions = `WITH RECURSIVE version (key, supersedes_id) AS (SELECT key, supersedes_id FROM groom WHERE key = ? AND salon_id = ?
	UNION ALL SELECT groom.key, groom.supersedes_id FROM groom JOIN version ON groom.id = version.supersedes_id) SELECT key FROM version`

func (s *Store) photoPlace(db *gorm.DB, sc Scope, key string) (photoPlace, error) {
	at := photoPlace{PhotoPlace: assessment.PhotoPlace{Role: sc.Role}}
	if err := sc.valid(); err != nil {
		return at, err
	}
	newest := key
	var d draftRow
	err := one(db.Where("key = ? AND author_id = ?", key, sc.person), &d)
	switch {
	case err == nil:
		form, err := d.draft()
		if err != nil {
			return at, err
		}
		at.Own, at.keys, newest = true, []string{key}, form.Form.Get("supersedes")
	case errors.Is(err, ErrNotFound):
		var g groomRow
		if err := one(sc.seen(db.Select("id, assessor_id").Where("key = ?", key)), &g); err != nil {
			return at, err
		}
		var n int64
		if err := db.Table("groom").Where("supersedes_id = ?", g.ID).Count(&n).Error; err != nil {
			return at, err
		}
		at.Signed, at.Own, at.Corrected = true, g.AssessorID == sc.person, n > 0
	default:
		return at, err
	}
	var older []string
	err = db.Raw(versions, newest, sc.salon).Scan(&older).Error
	at.keys = append(at.keys, older...)
	return at, err
}

// Photos returns the photos of a draft of the person's own or of a signed groom
// the scope may see, those taken down among them, and what may be done here.
// Those of the versions that it corrects are its own too.
func (s *Store) Photos(ctx context.Context, sc Scope, groom string) ([]Photo, assessment.PhotoPlace, error) {
	db := s.read.WithContext(ctx)
	at, err := s.photoPlace(db, sc, groom)
	if err != nil {
		return nil, assessment.PhotoPlace{}, err
	}
	var rows []photoRow
	var gone []withdrawnRow
	if err := db.Where("groom_key IN ?", at.keys).Order("id").Find(&rows).Error; err != nil || len(rows) == 0 {
		return nil, at.PhotoPlace, err
	}
	if err := db.Where("photo_id IN (SELECT id FROM photo WHERE groom_key IN ?)", at.keys).Find(&gone).Error; err != nil {
		return nil, assessment.PhotoPlace{}, err
	}
	people, err := s.names(db, sc)
	if err != nil {
		return nil, assessment.PhotoPlace{}, err
	}
	out := make([]Photo, len(rows))
	for i, r := range rows {
		out[i] = Photo{Key: r.Key, Groom: r.GroomKey, Kind: r.Kind, Digest: r.Digest, By: people[r.AddedBy], Added: time.Unix(r.CreatedAt, 0).UTC()}
		if j := slices.IndexFunc(gone, func(w withdrawnRow) bool { return w.PhotoID == r.ID }); j >= 0 {
			out[i].Withdrawn = &Withdrawal{By: people[gone[j].WithdrawnBy], At: time.Unix(gone[j].CreatedAt, 0).UTC(), Reason: gone[j].Reason}
		}
	}
	at.Shown = len(rows) - len(gone)
	slices.SortStableFunc(out, func(a, b Photo) int {
		return cmp.Compare(slices.Index(assessment.PhotoKinds, a.Kind), slices.Index(assessment.PhotoKinds, b.Kind))
	})
	return out, at.PhotoPlace, nil
}

// PhotoPicture returns the picture of a photo as JPEG, in its large or its small
// size, through the draft or groom it is shown with.
func (s *Store) PhotoPicture(ctx context.Context, sc Scope, groom, photo string, large bool) ([]byte, error) {
	db := s.read.WithContext(ctx)
	at, err := s.photoPlace(db, sc, groom)
	if err != nil {
		return nil, err
	}
	column := "small"
	if large {
		column = "large"
	}
	var p pictureRow
	err = one(db.Select(column).Where("photo_id = (SELECT id FROM photo WHERE key = ? AND groom_key IN ?)", photo, at.keys), &p)
	if large {
		return p.Large, err
	}
	return p.Small, err
}

// NewPhoto is a photo to be added: what it shows, and its two sizes as JPEG
// without anything beside the picture.
type NewPhoto struct {
	Kind         assessment.PhotoKind
	Large, Small []byte
}

// AddPhoto adds a photo to a draft of the person's own or to a signed groom, and
// returns its key. The record holds its fingerprint.
func (s *Store) AddPhoto(ctx context.Context, sc Scope, groom string, p NewPhoto, clientID string) (key string, err error) {
	if err := sc.judges(); err != nil {
		return "", err
	}
	sum := sha256.Sum256(p.Large)
	digest := hex.EncodeToString(sum[:])
	return s.once(ctx, sc, clientID, func(tx *gorm.DB, now time.Time) (string, error) {
		at, err := s.photoPlace(tx, sc, groom)
		if err != nil {
			return "", err
		}
		if !at.May() {
			return "", ErrDenied
		}
		again, err := countPhotos(tx, sc, now, &at, digest)
		if err != nil {
			return "", err
		}
		if err := refuse(at.RefuseAdding(p.Kind, again)); err != nil {
			return "", err
		}
		row := photoRow{Key: s.newKey(), SalonID: sc.salon, GroomKey: groom, Kind: p.Kind, Digest: digest, AddedBy: sc.person, CreatedAt: now.Unix()}
		if err := tx.Create(&row).Error; err != nil {
			return "", err
		}
		if err := tx.Create(&pictureRow{row.ID, p.Large, p.Small}).Error; err != nil {
			return "", err
		}
		return row.Key, record(tx, sc, now, "photo.added", groom, map[string]any{"photo": row.Key, "kind": p.Kind, "sha256": digest, "signed": at.Signed})
	})
}

// countPhotos fills in how many photos there are, and says whether one of those
// shown is the same picture.
func countPhotos(tx *gorm.DB, sc Scope, now time.Time, at *photoPlace, digest string) (again bool, err error) {
	var shown []string
	err = tx.Raw("SELECT digest FROM photo JOIN photo_picture ON photo_id = id WHERE groom_key IN ?", at.keys).Scan(&shown).Error
	if err != nil {
		return false, err
	}
	var lately int64
	err = tx.Table("photo").Where("added_by = ? AND created_at > ?", sc.person, now.Add(-24*time.Hour).Unix()).Count(&lately).Error
	at.Shown, at.Lately = len(shown), int(lately)
	return slices.Contains(shown, digest), err
}

// WithdrawPhoto takes a photo down: the picture goes, its place in the list, its
// fingerprint and the reason stay. A second time does nothing.
func (s *Store) WithdrawPhoto(ctx context.Context, sc Scope, groom, photo, reason string) error {
	if err := sc.judges(); err != nil {
		return err
	}
	err := s.tx(ctx, func(tx *gorm.DB, now time.Time) error {
		at, err := s.photoPlace(tx, sc, groom)
		if err != nil {
			return err
		}
		if !at.May() {
			return ErrDenied
		}
		if !at.Signed { // those of the groom it corrects are signed
			at.keys = at.keys[:1]
		}
		var row photoRow
		if err := one(tx.Where("key = ? AND groom_key IN ?", photo, at.keys), &row); err != nil {
			return err
		}
		var gone int64
		if err := tx.Table("photo_withdrawn").Where("photo_id = ?", row.ID).Count(&gone).Error; err != nil || gone > 0 {
			return err
		}
		if err := refuse(at.RefuseTakingDown(reason)); err != nil {
			return err
		}
		return takeDown(tx, sc, now, []photoRow{row}, reason)
	})
	if err == nil {
		s.wipe(ctx)
	}
	return err
}

// dropPhotos takes down what a draft shows that is thrown away, and returns how
// many there were.
func dropPhotos(tx *gorm.DB, sc Scope, now time.Time, draft string) (int, error) {
	var rows []photoRow
	err := tx.Where("groom_key = ? AND id IN (SELECT photo_id FROM photo_picture)", draft).Find(&rows).Error
	if err != nil || len(rows) == 0 {
		return 0, err
	}
	return len(rows), takeDown(tx, sc, now, rows, "")
}

// takeDown overwrites the pictures with noughts. Two copies of the database
// outlive it: the log, which wipe empties, and the backups made before.
func takeDown(tx *gorm.DB, sc Scope, now time.Time, rows []photoRow, reason string) error {
	if err := tx.Exec("PRAGMA secure_delete = 1").Error; err != nil {
		return err
	}
	for _, r := range rows {
		if err := tx.Where("photo_id = ?", r.ID).Delete(&pictureRow{}).Error; err != nil {
			return err
		}
		if err := tx.Create(&withdrawnRow{r.ID, sc.person, reason, now.Unix()}).Error; err != nil {
			return err
		}
		if err := record(tx, sc, now, "photo.withdrawn", r.GroomKey, map[string]any{"photo": r.Key, "sha256": r.Digest}); err != nil {
			return err
		}
	}
	return tx.Exec("PRAGMA secure_delete = 0").Error
}

// wipe empties the log beside the database, which still holds what was taken
// down. Should a reader be in the way, closing the database does it.
func (s *Store) wipe(ctx context.Context) {
	s.write.WithContext(ctx).Exec("PRAGMA wal_checkpoint(TRUNCATE)")
}
