package store

import (
	"bufio"
	"context"
	"fmt"
	"net/url"
	"os"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/curriculum"
)

func TestMain(m *testing.M) {
	if dir := os.Getenv(crashDir); dir != "" {
		out := bufio.NewWriter(os.Stdout)
		if err := signForEver(dir, os.Getenv(crashAssessor), os.Getenv(crashApprentice), out); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
	os.Exit(m.Run())
}

// clock is a time that tests set.
type clock struct {
	mu  sync.Mutex
	now time.Time
}

func (c *clock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now
}

func (c *clock) add(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now = c.now.Add(d)
}

func (c *clock) days(n int) { c.add(time.Duration(n) * 24 * time.Hour) }

// house is a store with one founded salon and its people: Runa leads, Ines and
// Tomas assess, Pia and Joss learn, Mara audits. Olan, Nell and Sven are of a
// second salon in the same database.
type house struct {
	*Store
	t     testing.TB
	ctx   context.Context
	dir   string
	clock *clock
	prog  *curriculum.Programme

	runa, ines, tomas, pia, joss, mara Scope
	olan, sven, nell                   Scope
	grooms                             int // signed so far, to label the dogs
}

// begin is the time at which every fixture starts: a Wednesday morning.
var begin = time.Date(2026, time.May, 20, 9, 0, 0, 0, time.UTC)

func countingKeys() func() string {
	var n atomic.Int64
	return func() string { return fmt.Sprintf("key%06d", n.Add(1)) }
}

func newHouse(t testing.TB) *house { return newHouseWith(t, "sqlite") }

func newHouseWith(t testing.TB, driver string) *house {
	t.Helper()
	h := &house{t: t, ctx: context.Background(), dir: t.TempDir(), clock: &clock{now: begin}, prog: curriculum.Default()}
	h.Store = h.open(Options{Now: h.clock.Now, NewKey: countingKeys(), driver: driver})
	head, err := h.Found(h.ctx, Founding{Salon: "Harbour Lane Dogs", Zone: "Europe/Lisbon", Name: "Runa Vale", Login: "runa", Password: "encoded", Programme: h.prog})
	require.NoError(t, err)
	h.runa = h.scope(head.Key)
	h.ines = h.hire("Ines Holm", "ines", assessment.Assessor)
	h.tomas = h.hire("Tomas Quill", "tomas", assessment.Assessor)
	h.pia = h.hire("Pia Lund", "pia", assessment.Apprentice)
	h.joss = h.hire("Joss Arden", "joss", assessment.Apprentice)
	h.mara = h.hire("Mara Teel", "mara", assessment.Auditor)

	h.sql("INSERT INTO salon (id, key, name, zone, programme_id, created_at) SELECT 99, 'far', 'Far Shore Dogs', 'Asia/Tokyo', programme_id, created_at FROM salon")
	for _, p := range [][3]string{{"olan", "Olan Brisk", "head_groomer"}, {"sven", "Sven Roe", "assessor"}, {"nell", "Nell Tarn", "apprentice"}} {
		h.sql("INSERT INTO person (key, salon_id, name, login, role, start_day, created_at) VALUES (?, 99, ?, ?, ?, 20000, 1)", p[0], p[1], p[0], p[2])
	}
	h.olan, h.sven, h.nell = h.scope("olan"), h.scope("sven"), h.scope("nell")
	return h
}

// open opens the folder of the house; the test closes it.
func (h *house) open(o Options) *Store {
	h.t.Helper()
	s, err := Open(h.ctx, h.dir, o)
	require.NoError(h.t, err)
	h.t.Cleanup(func() { s.Close() })
	return s
}

func (h *house) scope(person string) Scope {
	h.t.Helper()
	sc, err := h.ScopeOf(h.ctx, person)
	require.NoError(h.t, err)
	return sc
}

func (h *house) hire(name, login string, role assessment.Role) Scope {
	h.t.Helper()
	p := Person{Name: name, Login: login, Role: role}
	if role == assessment.Apprentice {
		p.Start = h.today() - 200
	}
	_, err := h.AddPerson(h.ctx, h.runa, p, "hire-"+login)
	require.NoError(h.t, err)
	got, _, err := h.Credentials(h.ctx, login)
	require.NoError(h.t, err)
	return h.scope(got.Key)
}

// sql changes the database behind the store's back.
func (h *house) sql(query string, args ...any) {
	h.t.Helper()
	require.NoError(h.t, h.write.Exec(query, args...).Error, query)
}

// count returns what one SELECT of a number gives.
func (h *house) count(query string, args ...any) int {
	h.t.Helper()
	var n int
	require.NoError(h.t, h.read.Raw(query, args...).Scan(&n).Error, query)
	return n
}

// rows counts a table.
func (h *house) rows(table string) int { return h.count("SELECT count(*) FROM " + table) }

func (h *house) today() assessment.Day { return assessment.DayOf(h.clock.Now()) }

// fullGroom is a groom that may be signed: every criterion at level 4.
func fullGroom(p *curriculum.Programme, apprentice, assessor string, day assessment.Day, dog string, grams int) assessment.Groom {
	g := assessment.Groom{
		Apprentice: apprentice, Assessor: assessor, Day: day, Start: 9 * 60, Stop: 11*60 + 30,
		Dog: dog, Coat: "WO", Grams: grams, Matting: 1, Temperament: 2, Service: "full", Style: "comb_trim",
		Brief:    assessment.Brief{Asked: "Short all over, head round", CoatAllows: "12 mm with a comb", Weeks: 6},
		CombTest: []string{"behind_ears", "armpits", "between_toes", "tail_base"},
		Marks:    map[string]assessment.Mark{}, Skills: map[string]int{}, Share: 100, Global: 4,
		Keep: "Calm hands at the throat.", Change: "Rinse the belly longer.", Next: "Throat on a wire coat.",
	}
	for _, c := range p.Rubric.Criteria {
		g.Marks[c.ID] = assessment.Mark{Level: 4}
	}
	return g
}

// groom is a groom of today's by this assessor on a dog of its own.
func (h *house) groom(by, apprentice Scope) assessment.Groom {
	h.grooms++
	grams := []int{7_000, 14_000, 31_000}[h.grooms%3]
	return fullGroom(h.prog, apprentice.Key, by.Key, h.today(), fmt.Sprintf("Biscuit %d", h.grooms), grams)
}

// draft begins a draft and returns the request to sign a groom from it.
func (h *house) draft(by Scope, g assessment.Groom) Signing {
	h.t.Helper()
	key, err := h.NewDraft(h.ctx, by, url.Values{"dog": {g.Dog}}, "")
	require.NoError(h.t, err)
	return Signing{Draft: key, Version: 1, Digest: Digest(h.prog, &g), Groom: g}
}

// sign signs a groom and returns its key.
func (h *house) sign(by Scope, g assessment.Groom) string {
	h.t.Helper()
	key, err := h.Sign(h.ctx, by, h.draft(by, g))
	require.NoError(h.t, err)
	return key
}

// signMore signs n clean grooms, one a day, by assessors in turn.
func (h *house) signMore(n int, apprentice Scope, by ...Scope) (keys []string) {
	h.t.Helper()
	for i := range n {
		h.clock.days(1)
		keys = append(keys, h.sign(by[i%len(by)], h.groom(by[i%len(by)], apprentice)))
	}
	return keys
}

// harm signs an otherwise good groom in which the apprentice did harm under a
// skill, and returns its key.
func (h *house) harm(by, apprentice Scope, skill, severity string) string {
	h.t.Helper()
	g := h.groom(by, apprentice)
	g.Incidents = []assessment.Incident{{Kind: "fall", Severity: severity, Attribution: "apprentice", Skill: skill}}
	return h.sign(by, g)
}

// standing is the standing of one skill today, as the store's evidence has it.
func (h *house) standing(apprentice Scope, skill string) assessment.Standing {
	h.t.Helper()
	a, err := h.Evidence(h.ctx, h.runa, apprentice.Key)
	require.NoError(h.t, err)
	st, ok := a.Standing(h.prog, skill, h.today())
	require.True(h.t, ok)
	return st
}

// confirmed makes a skill eligible, proposed by Ines and confirmed by Tomas,
// and returns the key of the sign-off.
func (h *house) confirmed(apprentice Scope, skill string) string {
	h.t.Helper()
	key, err := h.Propose(h.ctx, h.ines, apprentice.Key, skill, "Seen on three dogs, without a word from me.", "", "")
	require.NoError(h.t, err)
	require.NoError(h.t, h.Decide(h.ctx, h.tomas, key, true, "", "", ""))
	return key
}
