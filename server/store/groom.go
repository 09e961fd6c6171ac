package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// Groom is a signed groom as it is stored.
type Groom struct {
	Key          string
	Groom        assessment.Groom
	Programme    *curriculum.Programme
	Digest       string    // of what was read back and signed
	Signed       time.Time // UTC
	Sum, Weight  int64     // weighted sum and applicable weight
	Outcome      assessment.Outcome
	Apprentice   Person
	Assessor     Person // who watched and judged
	Signer       Person // who signed: the assessor, or who corrected for them
	SupersededBy string // key of the groom that corrects this one
}

// Mean is the exact weighted mean level.
func (g Groom) Mean() assessment.Ratio { return assessment.Ratio{Num: g.Sum, Den: g.Weight} }

type groomRow struct {
	ID           int64
	Key          string
	SalonID      int64
	ProgrammeID  int64
	ApprenticeID int64
	AssessorID   int64
	Day          int32
	Dog          string
	Coat         string
	Size         string
	WeightedSum  int64
	Weight       int64
	Outcome      int
	Body         string
	Digest       string
	SupersedesID *int64
	SecondOfID   *int64
	SignerID     *int64
	SignedAt     int64
}

func (groomRow) TableName() string { return "groom" }

type ratingRow struct {
	GroomID       int64
	Criterion     string
	Weight        int
	Given         int
	Effective     int
	NotApplicable bool
}

func (ratingRow) TableName() string { return "rating" }

// Digest is the fingerprint of a groom under a programme: SHA-256 over the
// programme's digest and the groom's JSON, in hex. What is read back and what
// is signed have the same digest, or nothing is signed.
func Digest(p *curriculum.Programme, g *assessment.Groom) string {
	body, _ := json.Marshal(g) // a struct of plain values cannot fail
	h := sha256.New()
	fmt.Fprintf(h, "%s\n", p.Digest())
	h.Write(body)
	return hex.EncodeToString(h.Sum(nil))
}

// Signing is the request to sign a groom that was read back.
type Signing struct {
	Draft   string // key of the draft; it becomes the key of the groom
	Version int    // of the draft as it was read back
	Digest  string // of the groom as it was read back
	Groom   assessment.Groom
}

// Sign turns a draft into a signed groom, with its ratings, observations,
// incidents and holds, in one transaction. Signing the same draft again
// returns the first groom's key; a draft that changed since it was read back is
// ErrConflict.
func (s *Store) Sign(ctx context.Context, sc Scope, in Signing) (key string, err error) {
	if err := sc.judges(); err != nil {
		return "", err
	}
	if err = s.sign(ctx, sc, in); err != nil {
		// Asked only now: a groom is rarely signed twice.
		if done, _ := s.signedBefore(ctx, sc, in.Draft); !done {
			return "", err
		}
	}
	return in.Draft, nil
}

func (s *Store) sign(ctx context.Context, sc Scope, in Signing) error {
	db := s.read.WithContext(ctx)
	progID, prog, err := s.programmeInUse(db, sc)
	if err != nil {
		return err
	}
	g := in.Groom
	old, err := s.corrects(db, sc, &g)
	if err != nil {
		return err
	}
	if Digest(prog, &g) != in.Digest {
		return ErrConflict
	}
	if found := assessment.Problems(prog, &g, s.Today(sc)); len(found) > 0 {
		return refuse(found[0].Message)
	}
	apprentice, err := s.apprentice(db, sc, g.Apprentice)
	if err != nil {
		return err
	}
	row, ratings, err := s.groomRows(db, sc, prog, progID, apprentice.ID, in, &g, old)
	if err != nil {
		return err
	}
	err = s.tx(ctx, func(tx *gorm.DB, now time.Time) error {
		drop := tx.Where("key = ? AND author_id = ? AND version = ?", in.Draft, sc.person, in.Version).Delete(&draftRow{})
		if drop.Error != nil {
			return drop.Error
		}
		if drop.RowsAffected == 0 {
			return ErrConflict
		}
		row.SignedAt = now.Unix()
		return s.insertGroom(tx, sc, now, prog, row, ratings, &g)
	})
	if errors.Is(err, ErrExists) {
		return refuse("The groom this corrects was corrected by somebody else meanwhile. Discard this draft and correct the newer version.")
	}
	return err
}

// corrects finds the groom that g corrects, or nil, and says whose judgement g
// is: that of whoever watched the dog, although somebody else may put it right.
func (s *Store) corrects(db *gorm.DB, sc Scope, g *assessment.Groom) (*groomRow, error) {
	g.Assessor = sc.Key
	if g.Supersedes == "" {
		return nil, nil
	}
	var old groomRow
	if err := one(sc.seen(db.Where("key = ?", g.Supersedes)), &old); err != nil {
		return nil, err
	}
	if old.AssessorID == sc.person {
		return &old, nil
	}
	if sc.Role != assessment.HeadGroomer {
		return nil, ErrDenied
	}
	people, err := s.names(db, sc)
	g.Assessor = people[old.AssessorID].Key
	return &old, err
}

func (s *Store) signedBefore(ctx context.Context, sc Scope, key string) (bool, error) {
	var n int64
	err := s.read.WithContext(ctx).Table("groom").Where("key = ? AND COALESCE(signer_id, assessor_id) = ?", key, sc.person).Count(&n).Error
	return n > 0, err
}

func (s *Store) groomRows(db *gorm.DB, sc Scope, prog *curriculum.Programme, progID, apprentice int64, in Signing, g *assessment.Groom, old *groomRow) (*groomRow, []ratingRow, error) {
	result := assessment.Judge(prog, g)
	body, err := json.Marshal(g)
	if err != nil {
		return nil, nil, err
	}
	row := &groomRow{Key: in.Draft, SalonID: sc.salon, ProgrammeID: progID, ApprenticeID: apprentice, AssessorID: sc.person,
		Day: int32(g.Day), Dog: g.Dog, Coat: g.Coat, WeightedSum: result.Sum, Weight: result.Weight, Outcome: int(result.Outcome),
		Body: string(body), Digest: in.Digest}
	if size := prog.Vocabulary.SizeOf(float64(g.Grams) / 1000); size != nil {
		row.Size = size.ID
	}
	switch {
	case old != nil:
		row.SupersedesID, row.SecondOfID = &old.ID, old.SecondOfID
		if old.AssessorID != sc.person {
			row.AssessorID, row.SignerID = old.AssessorID, &sc.person
		}
	case g.SecondOf != "":
		var err error
		if row.SecondOfID, err = s.secondOf(db, sc, g); err != nil {
			return nil, nil, err
		}
	}
	ratings := make([]ratingRow, 0, len(result.Criteria))
	for _, c := range result.Criteria {
		ratings = append(ratings, ratingRow{Criterion: c.Criterion.ID, Weight: c.Criterion.Weight, Given: c.Given, Effective: c.Effective, NotApplicable: c.NotApplicable})
	}
	return row, ratings, nil
}

// secondOf finds the groom that g rates a second time, if this person may.
func (s *Store) secondOf(db *gorm.DB, sc Scope, g *assessment.Groom) (*int64, error) {
	ctx := db.Statement.Context
	first, err := s.Groom(ctx, sc, g.SecondOf)
	if err != nil {
		return nil, err
	}
	second, err := s.second(ctx, db, sc, &first)
	if err != nil {
		return nil, err
	}
	if err := errors.Join(refuse(second.Refuse()), refuse(second.RefuseMatch(g))); err != nil {
		return nil, err
	}
	var row groomRow
	err = one(db.Select("id").Where("key = ?", first.Key), &row)
	return &row.ID, err
}

func (s *Store) insertGroom(tx *gorm.DB, sc Scope, now time.Time, prog *curriculum.Programme, row *groomRow, ratings []ratingRow, g *assessment.Groom) error {
	tx = tx.Omit(clause.Associations).Session(&gorm.Session{}) // a session, so that each insert begins afresh
	if err := tx.Create(row).Error; err != nil {
		return err
	}
	for i := range ratings {
		ratings[i].GroomID = row.ID
	}
	if err := tx.Create(&ratings).Error; err != nil {
		return err
	}
	seen := assessment.Derive(prog, g)
	observations := make([]observationRow, len(seen))
	for i := range seen {
		observations[i] = observationRowOf(&seen[i], row.ApprenticeID, row.AssessorID, &row.ID)
	}
	if len(observations) > 0 {
		if err := tx.Create(&observations).Error; err != nil {
			return err
		}
	}
	if len(g.Incidents) > 0 {
		if err := insertIncidents(tx, row, g); err != nil {
			return err
		}
	}
	if len(g.Incidents) > 0 || row.SupersedesID != nil {
		if err := s.settleHolds(tx, sc, now, prog, row, g); err != nil {
			return err
		}
	}
	kind := "groom.signed"
	if row.SupersedesID != nil {
		kind = "groom.corrected"
	}
	return record(tx, sc, now, kind, row.Key, map[string]any{"digest": row.Digest, "outcome": assessment.Outcome(row.Outcome).String(), "supersedes": g.Supersedes})
}

// GroomFilter narrows a list of grooms. Zero fields do not narrow.
type GroomFilter struct {
	Apprentice string // key
	Assessor   string // key
	Dog        string // label, exactly
	Since      assessment.Day
	Limit      int
}

// Grooms returns signed grooms the scope may see, the newest first. Superseded
// ones are among them, marked.
func (s *Store) Grooms(ctx context.Context, sc Scope, f GroomFilter) ([]Groom, error) {
	if err := sc.valid(); err != nil {
		return nil, err
	}
	db := s.read.WithContext(ctx)
	q := sc.seen(db.Table("groom")).Order("day DESC, id DESC")
	if f.Apprentice != "" {
		q = q.Where("apprentice_id = (SELECT id FROM person WHERE key = ?)", f.Apprentice)
	}
	if f.Assessor != "" {
		q = q.Where("assessor_id = (SELECT id FROM person WHERE key = ?)", f.Assessor)
	}
	if f.Dog != "" {
		q = q.Where("dog = ?", f.Dog)
	}
	if f.Since > 0 {
		q = q.Where("day >= ?", int(f.Since))
	}
	if f.Limit > 0 {
		q = q.Limit(f.Limit)
	}
	var rows []groomRow
	if err := q.Find(&rows).Error; err != nil {
		return nil, err
	}
	return s.grooms(db, sc, rows)
}

// Groom returns one signed groom the scope may see.
func (s *Store) Groom(ctx context.Context, sc Scope, key string) (Groom, error) {
	if err := sc.valid(); err != nil {
		return Groom{}, err
	}
	db := s.read.WithContext(ctx)
	var row groomRow
	if err := one(sc.seen(db.Where("key = ?", key)), &row); err != nil {
		return Groom{}, err
	}
	list, err := s.grooms(db, sc, []groomRow{row})
	if err != nil {
		return Groom{}, err
	}
	return list[0], nil
}

func (s *Store) grooms(db *gorm.DB, sc Scope, rows []groomRow) ([]Groom, error) {
	people, err := s.names(db, sc)
	if err != nil {
		return nil, err
	}
	later, err := s.superseded(db, sc)
	if err != nil {
		return nil, err
	}
	out := make([]Groom, len(rows))
	for i, r := range rows {
		g := Groom{Key: r.Key, Digest: r.Digest, Signed: time.Unix(r.SignedAt, 0).UTC(), Sum: r.WeightedSum, Weight: r.Weight,
			Outcome: assessment.Outcome(r.Outcome), Apprentice: people[r.ApprenticeID], Assessor: people[r.AssessorID], Signer: people[r.AssessorID], SupersededBy: later[r.ID]}
		if r.SignerID != nil {
			g.Signer = people[*r.SignerID]
		}
		if err := json.Unmarshal([]byte(r.Body), &g.Groom); err != nil {
			return nil, fmt.Errorf("groom %s: %w", r.Key, err)
		}
		if g.Programme, err = s.programmeByID(db, r.ProgrammeID); err != nil {
			return nil, err
		}
		out[i] = g
	}
	return out, nil
}

// superseded maps each corrected groom to the key of its correction. There are
// few, so they are read whole instead of joined to every row.
func (s *Store) superseded(db *gorm.DB, sc Scope) (map[int64]string, error) {
	return keys(db, "SELECT supersedes_id, key FROM groom WHERE salon_id = ? AND supersedes_id IS NOT NULL", sc.salon)
}

// keys reads pairs of an internal id and a public key.
func keys(db *gorm.DB, query string, args ...any) (map[int64]string, error) {
	rows, err := db.Raw(query, args...).Rows()
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	out := map[int64]string{}
	for rows.Next() {
		var id int64
		var key string
		if err := rows.Scan(&id, &key); err != nil {
			return nil, err
		}
		out[id] = key
	}
	return out, rows.Err()
}

func (s *Store) programmeByID(db *gorm.DB, id int64) (*curriculum.Programme, error) {
	if p, ok := s.byID.Load(id); ok {
		return p.(*curriculum.Programme), nil
	}
	var row programmeRow
	if err := one(db.Session(&gorm.Session{NewDB: true}).Select("id, digest").Where("id = ?", id), &row); err != nil {
		return nil, err
	}
	p, err := s.programme(db, id, row.Digest)
	if err == nil {
		s.byID.Store(id, p)
	}
	return p, err
}
