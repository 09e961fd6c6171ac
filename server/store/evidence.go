package store

import (
	"context"

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

func (s *Store) evidenceOf(db *gorm.DB, sc Scope, apprentice int64, withGrooms bool) (*assessment.Apprenticeship, error) {
	var grooms map[int64]string
	if withGrooms {
		var err error
		if grooms, err = keys(db, "SELECT id, key FROM groom WHERE apprentice_id = ?", apprentice); err != nil {
			return nil, err
		}
	}
	book, err := s.collect(db, sc, grooms, "apprentice_id = ?", apprentice)
	if err != nil {
		return nil, err
	}
	if a := book[apprentice]; a != nil {
		return a, nil
	}
	return newApprenticeship(), nil
}

// standingOf works out the standing of one skill from what is stored now.
func (s *Store) standingOf(db *gorm.DB, sc Scope, prog *curriculum.Programme, apprentice int64, skill string, today assessment.Day, withGrooms bool) (assessment.Standing, error) {
	a, err := s.evidenceOf(db, sc, apprentice, withGrooms)
	if err != nil {
		return assessment.Standing{}, err
	}
	st, ok := a.Standing(prog, skill, today)
	if !ok {
		return st, ErrNotFound
	}
	return st, nil
}

// AllEvidence returns the evidence of every apprentice the scope may see, by
// key.
func (s *Store) AllEvidence(ctx context.Context, sc Scope) (map[string]*assessment.Apprenticeship, error) {
	if err := sc.valid(); err != nil {
		return nil, err
	}
	db := s.read.WithContext(ctx)
	where, arg := sc.reach()
	book, err := s.collect(db, sc, nil, where, arg)
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
		if book[id] == nil {
			book[id] = newApprenticeship()
		}
		out[p.Key] = book[id]
	}
	return out, nil
}

func newApprenticeship() *assessment.Apprenticeship {
	return &assessment.Apprenticeship{
		Observations: map[string][]assessment.Observation{}, SignOffs: map[string][]assessment.SignOff{},
		Permissions: map[string]assessment.PermissionSet{}, Policies: map[string]assessment.Day{},
	}
}

// collect reads all four kinds of evidence for the apprentices that match.
func (s *Store) collect(db *gorm.DB, sc Scope, grooms map[int64]string, where string, arg any) (map[int64]*assessment.Apprenticeship, error) {
	people, err := s.names(db, sc)
	if err != nil {
		return nil, err
	}
	book := map[int64]*assessment.Apprenticeship{}
	of := func(id int64) *assessment.Apprenticeship {
		a := book[id]
		if a == nil {
			a = newApprenticeship()
			book[id] = a
		}
		return a
	}
	// Rows come grouped by apprentice and skill, so one list is filled at a
	// time; its length is a good guess for the next.
	var list []assessment.Observation
	var who int64
	put := func() {
		if len(list) > 0 {
			of(who).Observations[list[0].Skill] = list
			list = make([]assessment.Observation, 0, len(list))
		}
	}
	err = s.eachObservation(db, sc, people, grooms, where, []any{arg}, func(apprentice int64, o *assessment.Observation) {
		if len(list) > 0 && (apprentice != who || o.Skill != list[0].Skill) {
			put()
		}
		who = apprentice
		list = append(list, *o)
	})
	if err != nil {
		return nil, err
	}
	put()
	if err := s.collectHolds(db, people, grooms, where, arg, of); err != nil {
		return nil, err
	}
	if err := s.collectSignOffs(db, people, where, arg, of); err != nil {
		return nil, err
	}
	return book, s.collectPermissions(db, people, where, arg, of)
}

func (s *Store) collectHolds(db *gorm.DB, people map[int64]Person, grooms map[int64]string, where string, arg any, of func(int64) *assessment.Apprenticeship) error {
	rows, err := holds(db, where, arg)
	for _, r := range rows {
		a := of(r.Row.ApprenticeID)
		a.Holds = append(a.Holds, r.hold(people, grooms))
	}
	return err
}

func (s *Store) collectSignOffs(db *gorm.DB, people map[int64]Person, where string, arg any, of func(int64) *assessment.Apprenticeship) error {
	rows, err := signOffs(db.Where(where, arg))
	for _, r := range rows {
		a := of(r.Row.ApprenticeID)
		a.SignOffs[r.Row.Skill] = append(a.SignOffs[r.Row.Skill], r.signOff(people))
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
