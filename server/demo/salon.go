package demo

import (
	"context"
	"fmt"
	"math/rand/v2"
	"time"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/store"
)

// salon is the history in the making.
type salon struct {
	ctx   context.Context
	st    *store.Store
	clock *clock
	rng   *rand.Rand
	own   *rand.Rand // for what apprentices write
	seed  uint64
	prog  *curriculum.Programme
	zone  *time.Location
	now   time.Time
	today assessment.Day

	agenda   agenda
	judges   []*judge
	learners []*learner
	dogs     []*dog
	busy     map[busyKey]bool

	begun   int // grooms so far
	slips   int // how many are yet to be signed with a slip of the pen
	doubles int // how many are yet to be rated a second time
}

// judge is a head groomer or assessor. The first one is the head groomer.
type judge struct {
	store.Scope
	share, praise float64
}

// learner is an apprentice under way.
type learner struct {
	character
	rng   *rand.Rand
	key   string
	start assessment.Day

	toFault map[string]int // by criterion: clean rounds left before the next fault
	met     map[string]int // by skill seen only now and then: how often so far
	done    map[string]bool
	pause   map[string]assessment.Day // by skill: not proposed again before
	set     map[string]int            // by skill: permission as set
}

func newSalon(ctx context.Context, st *store.Store, c *clock, seed uint64, now time.Time) *salon {
	zone, err := time.LoadLocation(salonZone)
	if err != nil {
		zone = time.UTC
	}
	return &salon{
		own: rand.New(rand.NewPCG(seed, 3)), // the rest of the history is as it was before they wrote anything
		ctx: ctx, st: st, clock: c, seed: seed, rng: rand.New(rand.NewPCG(seed, 2)), prog: curriculum.Default(), zone: zone,
		now: now, today: assessment.DayOf(now.In(zone)), dogs: kennel(), busy: map[busyKey]bool{},
	}
}

// build writes the whole history and leaves the clock at its end.
func (s *salon) build(encode func(string) (string, error)) ([]Login, error) {
	encoded := map[assessment.Role]string{}
	for _, r := range assessment.Roles {
		var err error
		if encoded[r], err = encode(passwords[r]); err != nil {
			return nil, err
		}
	}
	logins, err := s.hire(encoded)
	if err != nil {
		return nil, err
	}
	for i := range characters {
		c := characters[i]
		l := &learner{
			character: c, rng: rand.New(rand.NewPCG(s.seed, 10+uint64(i))), start: openFrom(s.today - daysOf(c.months)),
			toFault: map[string]int{}, met: map[string]int{}, done: map[string]bool{},
			pause: map[string]assessment.Day{}, set: map[string]int{},
		}
		s.learners = append(s.learners, l)
		logins = append(logins, s.login(c.name, c.login, assessment.Apprentice))
		s.agenda.plan(s.at(l.start, 8*60+15), func() error { return s.begin(l, encoded[assessment.Apprentice]) })
	}
	for _, l := range s.learners {
		for _, v := range s.book(l) {
			s.agenda.plan(s.at(v.day, []int{9*60 + 5, 13*60 + 35}[v.slot]+s.rng.IntN(20)), func() error { return s.groom(l, v) })
		}
		s.planChecks(l)
		s.planExercises(l)
		s.planReviews(l)
	}
	s.agenda.plan(s.at(openUntil(s.today-1), 18*60+25), s.leaveWork)
	s.planDrafts()
	s.planLogbook()
	return logins, s.run()
}

func (s *salon) run() error {
	for {
		e, ok := s.agenda.next()
		if !ok {
			return nil
		}
		if e.at.After(s.now) {
			return fmt.Errorf("an event at %s lies after %s", e.at, s.now)
		}
		s.clock.set(e.at)
		if err := e.do(); err != nil {
			return fmt.Errorf("%s: %w", e.at.Format(time.DateTime), err)
		}
	}
}

func (s *salon) login(name, login string, role assessment.Role) Login {
	return Login{Name: name, Role: role.Words(), Login: login, Password: passwords[role]}
}

// hire founds the salon and adds everybody who does not learn.
func (s *salon) hire(encoded map[assessment.Role]string) ([]Login, error) {
	day := openFrom(s.today - daysOf(characters[0].months) - 14)
	s.clock.set(s.at(day, 10*60))
	first := staff[0]
	_, err := s.st.Found(s.ctx, store.Founding{Salon: salonName, Zone: salonZone, Name: first.name, Login: first.login,
		Password: encoded[first.role], Programme: s.prog})
	if err != nil {
		return nil, err
	}
	var logins []Login
	for i, p := range staff {
		s.clock.set(s.at(day, 10*60+20*i))
		logins = append(logins, s.login(p.name, p.login, p.role))
		if i > 0 {
			if _, err := s.add(store.Person{Name: p.name, Login: p.login, Role: p.role}, encoded[p.role]); err != nil {
				return nil, err
			}
		}
		if !p.role.Judges() {
			continue
		}
		who, _, err := s.st.Credentials(s.ctx, p.login)
		if err != nil {
			return nil, err
		}
		scope, err := s.st.ScopeOf(s.ctx, who.Key)
		if err != nil {
			return nil, err
		}
		s.judges = append(s.judges, &judge{scope, p.share, p.praise})
	}
	return logins, nil
}

// add adds a person, who sets a password at once.
func (s *salon) add(p store.Person, encoded string) (store.Person, error) {
	code, err := s.st.AddPerson(s.ctx, s.judges[0].Scope, p, "")
	if err != nil {
		return p, err
	}
	return s.st.SetPassword(s.ctx, p.Login, code, encoded)
}

// begin is an apprentice's first morning.
func (s *salon) begin(l *learner, encoded string) error {
	p := store.Person{Name: l.name, Login: l.login, Role: assessment.Apprentice, Start: l.start}
	if l.planned > 0 {
		p.End = l.start.AddMonths(l.planned) - 1
	}
	p, err := s.add(p, encoded)
	l.key = p.Key
	return err
}

// stage is how many months an apprentice has been here.
func (l *learner) stage(d assessment.Day) float64 { return float64(d-l.start) / 30.4 }

// dayOf is the civil day of an instant in the salon.
func (s *salon) dayOf(t time.Time) assessment.Day { return assessment.DayOf(t.In(s.zone)) }
