package store

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"errors"
	"strings"
	"time"

	"gorm.io/gorm"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// Person is somebody in the salon's record.
type Person struct {
	Key, Name, Login string
	Role             assessment.Role
	Start            assessment.Day // first day of an apprentice
	End              assessment.Day // planned last day of the apprenticeship; zero when none is planned
	Left             assessment.Day // zero while here
	HasPassword      bool
}

type personRow struct {
	ID        int64
	Key       string
	SalonID   int64
	Name      string
	Login     string
	Role      string
	Password  string
	PIN       string
	Code      string
	CodeUntil int64
	StartDay  int32
	EndDay    int32
	LeftDay   int32
	CreatedAt int64
}

func (personRow) TableName() string { return "person" }

func (r personRow) person() Person {
	return Person{Key: r.Key, Name: r.Name, Login: r.Login, Role: assessment.Role(r.Role), Start: assessment.Day(r.StartDay),
		End: assessment.Day(r.EndDay), Left: assessment.Day(r.LeftDay), HasPassword: r.Password != ""}
}

type salonRow struct {
	ID          int64
	Key         string
	Name        string
	Zone        string
	ProgrammeID int64
	CreatedAt   int64
}

func (salonRow) TableName() string { return "salon" }

// codeLife is how long a one-time code to set a password may be used.
const codeLife = 7 * 24 * time.Hour

// NewCode makes a one-time code that can be read aloud: 20 letters and digits
// in groups, 100 bits.
func NewCode() string {
	t := strings.ToLower(rand.Text())[:20]
	return t[:5] + "-" + t[5:10] + "-" + t[10:15] + "-" + t[15:]
}

func hashCode(code string) string {
	sum := sha256.Sum256([]byte(strings.ToLower(strings.TrimSpace(code))))
	return hex.EncodeToString(sum[:])
}

// IsNew reports whether the record has no salon yet.
func (s *Store) IsNew(ctx context.Context) (bool, error) {
	var n int64
	err := s.read.WithContext(ctx).Table("salon").Count(&n).Error
	return n == 0, err
}

// Founding is what the first set-up needs.
type Founding struct {
	Salon, Zone           string
	Name, Login, Password string // of the first head groomer; Password encoded
	Programme             *curriculum.Programme
}

// Found makes the salon and its first head groomer. It fails with ErrExists
// when there is a salon already.
func (s *Store) Found(ctx context.Context, f Founding) (Person, error) {
	var p personRow
	err := s.tx(ctx, func(tx *gorm.DB, now time.Time) error {
		var n int64
		if err := tx.Table("salon").Count(&n).Error; err != nil || n > 0 {
			return errors.Join(err, ErrExists)
		}
		prog, err := publish(tx, now, f.Programme)
		if err != nil {
			return err
		}
		salon := salonRow{Key: s.newKey(), Name: f.Salon, Zone: f.Zone, ProgrammeID: prog.ID, CreatedAt: now.Unix()}
		if err := tx.Create(&salon).Error; err != nil {
			return err
		}
		p = personRow{Key: s.newKey(), SalonID: salon.ID, Name: f.Name, Login: f.Login, Role: string(assessment.HeadGroomer), Password: f.Password, CreatedAt: now.Unix()}
		if err := tx.Create(&p).Error; err != nil {
			return err
		}
		return record(tx, Scope{person: p.ID, salon: salon.ID}, now, "salon.founded", salon.Key, map[string]string{"programme": f.Programme.Digest()})
	})
	return p.person(), err
}

// InOrder refuses an apprenticeship that is planned to end before it begins.
func (p Person) InOrder() error {
	if p.End != 0 && p.End <= p.Start {
		return refuse("The planned last day, " + p.End.Words() + ", is not after the first, " + p.Start.Words() + ". Look at both again.")
	}
	return nil
}

// AddPerson adds somebody and returns a one-time code with which they set
// their own password. A replay returns no code: the first was shown once, and
// only its hash is kept.
func (s *Store) AddPerson(ctx context.Context, sc Scope, p Person, clientID string) (code string, err error) {
	if err := sc.must(assessment.HeadGroomer); err != nil {
		return "", err
	}
	if err := p.InOrder(); err != nil {
		return "", err
	}
	_, err = s.once(ctx, sc, clientID, func(tx *gorm.DB, now time.Time) (string, error) {
		code = NewCode()
		row := personRow{Key: s.newKey(), SalonID: sc.salon, Name: p.Name, Login: p.Login, Role: string(p.Role), StartDay: int32(p.Start), EndDay: int32(p.End),
			Code: hashCode(code), CodeUntil: now.Add(codeLife).Unix(), CreatedAt: now.Unix()}
		if err := tx.Create(&row).Error; err != nil {
			return "", err
		}
		return "/people", record(tx, sc, now, "person.added", row.Key, map[string]string{"role": row.Role})
	})
	return code, err
}

// RenewCode returns a new one-time code for somebody who is still here. An
// earlier code stops working; a password that was set goes on working until the
// new code is used.
func (s *Store) RenewCode(ctx context.Context, sc Scope, person string) (Person, string, error) {
	if err := sc.must(assessment.HeadGroomer); err != nil {
		return Person{}, "", err
	}
	return s.renewCode(ctx, sc, "key = ? AND salon_id = ? AND left_day = 0", person, sc.salon)
}

// RenewCodeOfLogin is RenewCode for the command line, where whoever can read
// the file needs no password. The record says that the program did it.
func (s *Store) RenewCodeOfLogin(ctx context.Context, login string) (Person, string, error) {
	return s.renewCode(ctx, Scope{}, "login = ? AND left_day = 0", login)
}

func (s *Store) renewCode(ctx context.Context, by Scope, where string, args ...any) (Person, string, error) {
	code := NewCode()
	var p personRow
	err := s.tx(ctx, func(tx *gorm.DB, now time.Time) error {
		if err := one(tx.Where(where, args...), &p); err != nil {
			return err
		}
		if err := tx.Model(&p).Updates(map[string]any{"code": hashCode(code), "code_until": now.Add(codeLife).Unix()}).Error; err != nil {
			return err
		}
		by.salon = p.SalonID
		return record(tx, by, now, "person.code_renewed", p.Key, nil)
	})
	if err != nil {
		return Person{}, "", err
	}
	return p.person(), code, nil
}

// CheckCode says whether a one-time code may be used, without using it up: a
// password is worth hashing only then. SetPassword looks again.
func (s *Store) CheckCode(ctx context.Context, login, code string) error {
	_, err := coded(s.read.WithContext(ctx), s.now(), login, code)
	return err
}

// coded finds the person whose login and one-time code belong together.
func coded(db *gorm.DB, now time.Time, login, code string) (p personRow, err error) {
	if err := one(db.Where("login = ? AND left_day = 0", login), &p); err != nil {
		return p, err
	}
	if p.Code == "" || now.Unix() > p.CodeUntil || subtle.ConstantTimeCompare([]byte(p.Code), []byte(hashCode(code))) != 1 {
		return p, ErrDenied
	}
	return p, nil
}

// SetPassword uses up a one-time code and sets an encoded password. A PIN goes
// with the password before: whoever knew that may have set it.
func (s *Store) SetPassword(ctx context.Context, login, code, encoded string) (Person, error) {
	var p personRow
	err := s.tx(ctx, func(tx *gorm.DB, now time.Time) (err error) {
		if p, err = coded(tx, now, login, code); err != nil {
			return err
		}
		if err := tx.Model(&p).Updates(map[string]any{"password": encoded, "code": "", "pin": ""}).Error; err != nil {
			return err
		}
		return record(tx, Scope{person: p.ID, salon: p.SalonID, Method: ByCode}, now, "person.password_set", p.Key, nil)
	})
	return p.person(), err
}

// ChangePassword sets the scope's own password in place of the one that was
// checked. A one-time code that is still open is closed with it, and a PIN goes.
// It fails with ErrConflict when the password was set anew meanwhile.
func (s *Store) ChangePassword(ctx context.Context, sc Scope, before, after string) error {
	if err := sc.valid(); err != nil {
		return err
	}
	return s.tx(ctx, func(tx *gorm.DB, now time.Time) error {
		done := tx.Model(&personRow{}).Where("id = ? AND password = ? AND left_day = 0", sc.person, before).Updates(map[string]any{"password": after, "code": "", "pin": ""})
		if done.Error != nil {
			return done.Error
		}
		if done.RowsAffected == 0 {
			return ErrConflict
		}
		return record(tx, sc, now, "person.password_changed", sc.Key, nil)
	})
}

// Credentials returns the person with this login and their encoded password.
func (s *Store) Credentials(ctx context.Context, login string) (Person, string, error) {
	var p personRow
	err := one(s.read.WithContext(ctx).Where("login = ? AND left_day = 0", login), &p)
	return p.person(), p.Password, err
}

// People returns everybody of the salon the scope may see, by name. An
// apprentice sees themselves and those who judge.
func (s *Store) People(ctx context.Context, sc Scope) ([]Person, error) {
	if err := sc.valid(); err != nil {
		return nil, err
	}
	q := s.read.WithContext(ctx).Where("salon_id = ?", sc.salon).Order("name, id")
	if sc.Role == assessment.Apprentice {
		q = q.Where("id = ? OR role IN ?", sc.person, []assessment.Role{assessment.HeadGroomer, assessment.Assessor})
	}
	var rows []personRow
	if err := q.Find(&rows).Error; err != nil {
		return nil, err
	}
	out := make([]Person, len(rows))
	for i, r := range rows {
		out[i] = r.person()
	}
	return out, nil
}

// Apprentices returns the apprentices the scope may see, by name; those who
// have left come with the others.
func (s *Store) Apprentices(ctx context.Context, sc Scope) ([]Person, error) {
	all, err := s.People(ctx, sc)
	var out []Person
	for _, p := range all {
		if p.Role == assessment.Apprentice {
			out = append(out, p)
		}
	}
	return out, err
}

// Apprentice returns one apprentice the scope may see.
func (s *Store) Apprentice(ctx context.Context, sc Scope, key string) (Person, error) {
	row, err := s.apprentice(s.read.WithContext(ctx), sc, key)
	return row.person(), err
}

// names maps internal ids to people, for reading rows.
func (s *Store) names(db *gorm.DB, sc Scope) (map[int64]Person, error) {
	rows, err := db.Raw("SELECT id, key, name, login, role, start_day, end_day, left_day, password <> '' FROM person WHERE salon_id = ?", sc.salon).Rows()
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	out := map[int64]Person{}
	for rows.Next() {
		var id, start, end, left int64
		var p Person
		if err := rows.Scan(&id, &p.Key, &p.Name, &p.Login, &p.Role, &start, &end, &left, &p.HasPassword); err != nil {
			return nil, err
		}
		p.Start, p.End, p.Left = assessment.Day(start), assessment.Day(end), assessment.Day(left)
		out[id] = p
	}
	return out, rows.Err()
}

// PasswordOf returns the scope's own login and encoded password, to be checked
// before a signature.
func (s *Store) PasswordOf(ctx context.Context, sc Scope) (login, encoded string, err error) {
	if err := sc.valid(); err != nil {
		return "", "", err
	}
	var p personRow
	err = one(s.read.WithContext(ctx).Where("id = ?", sc.person), &p)
	return p.Login, p.Password, err
}
