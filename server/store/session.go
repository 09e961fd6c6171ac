package store

import (
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"time"

	"gorm.io/gorm/clause"
)

type sessionRow struct {
	Token  string
	Data   []byte
	Expiry int64
}

func (sessionRow) TableName() string { return "session" }

// Sessions keeps the sessions of signed-in people. The database holds only the
// hash of each cookie: reading it lets nobody in.
type Sessions struct{ s *Store }

// Sessions returns the session store, in the form the scs library asks for.
func (s *Store) Sessions() Sessions { return Sessions{s} }

// ProofOf is a short digest of a stored password. A session carries it, and
// ends when the password is set anew.
func ProofOf(encoded string) string {
	sum := sha256.Sum256([]byte("proof " + encoded))
	return hex.EncodeToString(sum[:8])
}

func tokenHash(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

// Find returns the data of a session that has not expired.
func (x Sessions) Find(token string) ([]byte, bool, error) {
	var data []byte
	err := x.s.sessionOf.QueryRow(tokenHash(token), x.s.now().Unix()).Scan(&data)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, false, nil
	}
	return data, err == nil && len(data) > 0, err
}

// Commit stores a session, unless it was ended meanwhile: a request that began
// before must not bring it back.
func (x Sessions) Commit(token string, data []byte, expiry time.Time) error {
	return x.s.write.Clauses(clause.OnConflict{Columns: []clause.Column{{Name: "token"}}, DoUpdates: clause.AssignmentColumns([]string{"data", "expiry"}),
		Where: clause.Where{Exprs: []clause.Expression{clause.Expr{SQL: "length(session.data) > 0"}}}}).
		Create(&sessionRow{tokenHash(token), data, expiry.Unix()}).Error
}

// Delete ends a session. Its row stays until its expiry, emptied, so that
// Commit knows.
func (x Sessions) Delete(token string) error {
	return x.s.write.Model(&sessionRow{}).Where("token = ?", tokenHash(token)).Update("data", []byte{}).Error
}

// Expire removes sessions that are over.
func (x Sessions) Expire() error {
	return x.s.write.Where("expiry <= ?", x.s.now().Unix()).Delete(&sessionRow{}).Error
}
