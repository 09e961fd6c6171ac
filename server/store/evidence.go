package store

import (
	"context"
	"time"

	"gorm.io/gorm"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// Evidence returns everything known about one apprentice, ready to be judged.
func (s *Store) Evidence(ctx context.Context, sc Scope, apprentice string) (*assessment.Apprenticeship, error) {
	db := s.read.WithContext(ctx)
	who, err := s.apprentice(db, sc, apprentice)
	if err != nil {
		return nil, err
	}
	return s.evidenceOf(db, sc, who.ID, true)
}

// evidenceOf reads the evidence of one apprentice; with skills named, only
// their observations.
func (s *Store) evidenceOf(db *gorm.DB, sc Scope, apprentice int64, withGrooms bool, skills ...string) (*assessment.Apprenticeship, error) {
	var grooms map[int64]string
	if withGrooms {
		var err error
		if grooms, err = keys(db, "SELECT id, key FROM groom WHERE apprentice_id = ?", apprentice); err != nil {
			return nil, err
		}
	}
	book, err := s.collect(db, sc, grooms, skills, "apprentice_id = ?", apprentice)
	if err != nil {
		return nil, err
	}
	return book.of(apprentice), nil
}

// standingOf works out the standing of one skill from what is stored now.
func (s *Store) standingOf(db *gorm.DB, sc Scope, prog *curriculum.Programme, apprentice int64, skill string, today assessment.Day, withGrooms bool) (assessment.Standing, error) {
	which := prog.Skill(skill)
	if which == nil {
		return assessment.Standing{}, ErrNotFound
	}
	a, err := s.evidenceOf(db, sc, apprentice, withGrooms, append([]string{skill}, which.Needs...)...)
	if err != nil {
		return assessment.Standing{}, err
	}
	st, ok := a.Standing(prog, skill, today)
	if !ok {
		return st, ErrNotFound
	}
	return st, nil
}

// judged is what a judgement of a skill goes by.
type judged struct {
	apprentice, programme int64 // ids
	today                 assessment.Day
	standing              assessment.Standing
}

// judge records an assessor's judgement of a skill once. The standing is worked
// out in the transaction that keeps what f makes of it; f returns where to go.
func (s *Store) judge(ctx context.Context, sc Scope, apprentice, skill, clientID string, withGrooms bool,
	f func(tx *gorm.DB, now time.Time, j judged) (string, error)) (string, error) {
	if err := sc.judges(); err != nil {
		return "", err
	}
	progID, prog, err := s.programmeInUse(s.read.WithContext(ctx), sc)
	if err != nil {
		return "", err
	}
	return s.once(ctx, sc, clientID, func(tx *gorm.DB, now time.Time) (string, error) {
		who, err := s.apprentice(tx, sc, apprentice)
		if err != nil {
			return "", err
		}
		today := s.dayOf(now, sc)
		st, err := s.standingOf(tx, sc, prog, who.ID, skill, today, withGrooms)
		if err != nil {
			return "", err
		}
		return f(tx, now, judged{who.ID, progID, today, st})
	})
}

// AllEvidence returns the evidence of every apprentice the scope may see, by
// key.
func (s *Store) AllEvidence(ctx context.Context, sc Scope) (map[string]*assessment.Apprenticeship, error) {
	if err := sc.valid(); err != nil {
		return nil, err
	}
	db := s.read.WithContext(ctx)
	where, arg := sc.reach()
	book, err := s.collect(db, sc, nil, nil, where, arg)
	if err != nil {
		return nil, err
	}
	people, err := s.names(db, sc)
	if err != nil {
		return nil, err
	}
	out := map[string]*assessment.Apprenticeship{}
	for id, p := range people {
		if p.Role != assessment.Apprentice || sc.Role == assessment.Apprentice && id != sc.person {
			continue
		}
		out[p.Key] = book.of(id)
	}
	return out, nil
}

// evidenceBook is the evidence of several apprentices, by internal id.
type evidenceBook struct {
	byPerson map[int64]*assessment.Apprenticeship
	policies map[string]assessment.Day // the salon's, the same for all
}

func (b evidenceBook) of(id int64) *assessment.Apprenticeship {
	a := b.byPerson[id]
	if a == nil {
		a = &assessment.Apprenticeship{Observations: map[string][]assessment.Observation{}, SignOffs: map[string][]assessment.SignOff{},
			Permissions: map[string]assessment.PermissionSet{}, Policies: b.policies}
		b.byPerson[id] = a
	}
	return a
}

// collect reads all kinds of evidence for the apprentices that match; with
// skills named, only their observations.
func (s *Store) collect(db *gorm.DB, sc Scope, grooms map[int64]string, skills []string, where string, arg any) (evidenceBook, error) {
	book := evidenceBook{byPerson: map[int64]*assessment.Apprenticeship{}}
	people, err := s.names(db, sc)
	if err != nil {
		return book, err
	}
	if book.policies, err = policies(db, sc); err != nil {
		return book, err
	}
	if err := s.collectObservations(db, sc, people, grooms, skills, where, arg, book); err != nil {
		return book, err
	}
	if err := collectIncidents(db, where, arg, book.of); err != nil {
		return book, err
	}
	if err := s.collectHolds(db, people, grooms, where, arg, book.of); err != nil {
		return book, err
	}
	if err := collectReviews(db, people, where, arg, book.of); err != nil {
		return book, err
	}
	if err := s.collectSignOffs(db, sc, people, where, arg, book.of); err != nil {
		return book, err
	}
	return book, s.collectPermissions(db, people, where, arg, book.of)
}

func (s *Store) collectObservations(db *gorm.DB, sc Scope, people map[int64]Person, grooms map[int64]string, skills []string, where string, arg any, book evidenceBook) error {
	args := []any{arg}
	if len(skills) > 0 {
		where += " AND skill IN ?"
		args = append(args, skills)
	}
	// Rows come grouped by apprentice and skill, so one list is filled at a
	// time; its length is a good guess for the next.
	var list []assessment.Observation
	var who int64
	put := func() {
		if len(list) > 0 {
			book.of(who).Observations[list[0].Skill] = list
			list = make([]assessment.Observation, 0, len(list))
		}
	}
	err := s.eachObservation(db, sc, people, grooms, where, args, func(apprentice int64, o *assessment.Observation) {
		if len(list) > 0 && (apprentice != who || o.Skill != list[0].Skill) {
			put()
		}
		who = apprentice
		list = append(list, *o)
	})
	put()
	return err
}

// collectIncidents reads the incidents in order of day, without those of
// corrected grooms. What was written about them stays in the database.
func collectIncidents(db *gorm.DB, where string, arg any, of func(int64) *assessment.Apprenticeship) error {
	rows, err := db.Raw(`SELECT i.apprentice_id, i.day, i.kind, i.severity, i.attribution, i.skill, i.self_reported, groom.key, groom.dog
		FROM (SELECT * FROM incident WHERE `+where+`) i JOIN groom ON groom.id = i.groom_id
		WHERE i.groom_id NOT IN (SELECT supersedes_id FROM groom WHERE supersedes_id IS NOT NULL) ORDER BY i.day, i.id`, arg).Rows()
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var apprentice, day int64
		var e assessment.Event
		if err := rows.Scan(&apprentice, &day, &e.Kind, &e.Severity, &e.Attribution, &e.Skill, &e.SelfReported, &e.Groom, &e.Dog); err != nil {
			return err
		}
		e.Day = assessment.Day(day)
		a := of(apprentice)
		a.Incidents = append(a.Incidents, e)
	}
	return rows.Err()
}

func (s *Store) collectHolds(db *gorm.DB, people map[int64]Person, grooms map[int64]string, where string, arg any, of func(int64) *assessment.Apprenticeship) error {
	rows, err := holds(db, where, arg)
	for _, r := range rows {
		a := of(r.Row.ApprenticeID)
		a.Holds = append(a.Holds, r.hold(people, grooms))
	}
	return err
}

func (s *Store) collectSignOffs(db *gorm.DB, sc Scope, people map[int64]Person, where string, arg any, of func(int64) *assessment.Apprenticeship) error {
	rows, err := signOffs(db.Where(where, arg))
	if err != nil || len(rows) == 0 {
		return err
	}
	weakened, err := s.weakened(db, sc)
	for _, r := range rows {
		a, so := of(r.Row.ApprenticeID), r.signOff(people)
		so.Weakened = weakened[r.Row.ID]
		a.SignOffs[r.Row.Skill] = append(a.SignOffs[r.Row.Skill], so)
	}
	return err
}

func (s *Store) collectPermissions(db *gorm.DB, people map[int64]Person, where string, arg any, of func(int64) *assessment.Apprenticeship) error {
	var rows []permissionRow
	err := db.Where(where, arg).Order("id").Find(&rows).Error
	for _, r := range rows {
		of(r.ApprenticeID).Permissions[r.Skill] = assessment.PermissionSet{Level: r.Level, By: people[r.SetBy].Key, Day: assessment.Day(r.Day)}
	}
	return err
}
