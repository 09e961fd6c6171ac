package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"tablehand/assessment"
)

// Each benchmark runs beside a limit: the least that any program using the same
// driver could do for the same rows. Read them as ratios of one run:
//
//	go test ./server/store -run '^$' -bench . -count 6
//
// Goals: Sign at most 1.5 of its limit, Evidence at most 1.2, Matrix at most 1.6.

// raw opens the database of a house a second time, without GORM.
func (h *house) raw(writer bool) *sql.DB {
	h.t.Helper()
	db, err := sql.Open("sqlite", dsn(filepath.Join(h.dir, FileName), writer))
	require.NoError(h.t, err)
	db.SetMaxOpenConns(1)
	h.t.Cleanup(func() { db.Close() })
	return db
}

// rawSigner writes the rows of a signed groom that were worked out before:
// nothing but five prepared statements in a transaction.
type rawSigner struct {
	db                                      *sql.DB
	drop, groom, ratings, observation, note *sql.Stmt
	author                                  int64
	row                                     *groomRow
	ratingArgs, observationArgs             []any // with the groom's id to be filled in
	record                                  recordRow
}

func newRawSigner(h *house, in Signing) *rawSigner {
	h.t.Helper()
	progID, prog, err := h.programmeInUse(h.read, h.ines)
	require.NoError(h.t, err)
	row, ratings, err := h.groomRows(h.read, h.ines, prog, progID, h.pia.person, in, &in.Groom, nil)
	require.NoError(h.t, err)
	row.SignedAt = h.clock.Now().Unix()
	detail, err := json.Marshal(map[string]any{"digest": row.Digest, "outcome": assessment.Outcome(row.Outcome).String(), "supersedes": ""})
	require.NoError(h.t, err)
	r := &rawSigner{db: h.raw(true), author: h.ines.person, row: row,
		record: recordRow{SalonID: h.ines.salon, At: row.SignedAt, PersonID: h.ines.person, Kind: "groom.signed", Detail: string(detail)}}
	for _, x := range ratings {
		r.ratingArgs = append(r.ratingArgs, nil, x.Criterion, x.Weight, x.Given, x.Effective, x.NotApplicable)
	}
	seen := assessment.Derive(prog, &in.Groom)
	for i := range seen {
		o := observationRowOf(&seen[i], h.pia.person, h.ines.person, nil)
		r.observationArgs = append(r.observationArgs, o.ApprenticeID, o.Skill, o.Day, o.AssessorID, nil, o.Source, o.Level, o.Percent, o.Dog, o.Coat, o.Size, o.Style, o.Severity, o.Attribution)
	}
	prepare := func(query string) *sql.Stmt {
		s, err := r.db.Prepare(query)
		require.NoError(h.t, err)
		return s
	}
	values := func(rows, columns int) string {
		one := "(?" + strings.Repeat(",?", columns-1) + ")"
		return one + strings.Repeat(","+one, rows-1)
	}
	r.drop = prepare("DELETE FROM draft WHERE key = ? AND author_id = ? AND version = ?")
	r.groom = prepare("INSERT INTO groom (key, salon_id, programme_id, apprentice_id, assessor_id, day, dog, coat, size, weighted_sum, weight, outcome, body, digest, supersedes_id, signed_at) VALUES " + values(1, 16))
	r.ratings = prepare("INSERT INTO rating (groom_id, criterion, weight, given, effective, not_applicable) VALUES " + values(len(ratings), 6))
	r.observation = prepare("INSERT INTO observation (apprentice_id, skill, day, assessor_id, groom_id, source, level, percent, dog, coat, size, style, severity, attribution) VALUES " + values(len(seen), 14))
	r.note = prepare("INSERT INTO record (salon_id, at, person_id, kind, subject, detail) VALUES " + values(1, 6))
	return r
}

func (r *rawSigner) sign(ctx context.Context, key string) error {
	tx, err := r.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	if _, err := tx.StmtContext(ctx, r.drop).ExecContext(ctx, key, r.author, 1); err != nil {
		return err
	}
	g := r.row
	done, err := tx.StmtContext(ctx, r.groom).ExecContext(ctx, key, g.SalonID, g.ProgrammeID, g.ApprenticeID, g.AssessorID, g.Day, g.Dog, g.Coat, g.Size, g.WeightedSum, g.Weight, g.Outcome, g.Body, g.Digest, nil, g.SignedAt)
	if err != nil {
		return err
	}
	id, err := done.LastInsertId()
	if err != nil {
		return err
	}
	for i := 0; i < len(r.ratingArgs); i += 6 {
		r.ratingArgs[i] = id
	}
	if _, err := tx.StmtContext(ctx, r.ratings).ExecContext(ctx, r.ratingArgs...); err != nil {
		return err
	}
	for i := 4; i < len(r.observationArgs); i += 14 {
		r.observationArgs[i] = id
	}
	if _, err := tx.StmtContext(ctx, r.observation).ExecContext(ctx, r.observationArgs...); err != nil {
		return err
	}
	n := &r.record
	if _, err := tx.StmtContext(ctx, r.note).ExecContext(ctx, n.SalonID, n.At, n.PersonID, n.Kind, key, n.Detail); err != nil {
		return err
	}
	return tx.Commit()
}

// drafts puts n drafts of Ines into the database and returns their keys.
func (h *house) drafts(prefix string, n int) []string {
	h.t.Helper()
	h.sql(`WITH RECURSIVE n(i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i + 1 < ?)
		INSERT INTO draft (key, salon_id, author_id, version, body, updated_at) SELECT ? || i, ?, ?, 1, '{"dog":["Biscuit 1"]}', 1 FROM n`,
		n, prefix, h.ines.salon, h.ines.person)
	keys := make([]string, n)
	for i := range keys {
		keys[i] = fmt.Sprint(prefix, i)
	}
	return keys
}

func BenchmarkSign(b *testing.B) {
	ours, limit := newHouse(b), newHouse(b)
	g := fullGroom(ours.prog, ours.pia.Key, ours.ines.Key, ours.today(), "Biscuit 1", 14_000)
	in := Signing{Version: 1, Digest: Digest(ours.prog, &g), Groom: g}
	raw := newRawSigner(limit, in)
	sign := func(key string) error {
		in.Draft = key
		_, err := ours.Sign(ours.ctx, ours.ines, in)
		return err
	}
	require.NoError(b, sign(ours.drafts("same", 1)[0]))
	require.NoError(b, raw.sign(limit.ctx, limit.drafts("same", 1)[0]))
	for _, table := range []string{"draft", "groom", "rating", "observation", "record WHERE kind = 'groom.signed'"} {
		require.Equal(b, limit.contents(table), ours.contents(table), table)
	}
	run := 0
	each := func(b *testing.B, h *house, sign func(string) error) {
		run++
		keys := h.drafts(fmt.Sprint("run", run, "-"), b.N)
		b.ReportAllocs()
		b.ResetTimer()
		for _, key := range keys {
			if err := sign(key); err != nil {
				b.Fatal(err)
			}
		}
	}
	b.Run("ours", func(b *testing.B) { each(b, ours, sign) })
	b.Run("limit", func(b *testing.B) { each(b, limit, func(key string) error { return raw.sign(limit.ctx, key) }) })
}

// observed gives apprentices, beside Pia as many as asked for, so many
// observations of each of the sixty skills, each from a groom of its own day.
func (h *house) observed(apprentices, each int) {
	h.t.Helper()
	h.sql(`WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < ?)
		INSERT INTO person (key, salon_id, name, login, role, start_day, created_at)
		SELECT 'a' || i, ?, 'Apprentice ' || i, 'a' || i, 'apprentice', 20000, 1 FROM n WHERE i < ?`, apprentices, h.runa.salon, apprentices)
	h.sql("DELETE FROM person WHERE id IN (?, ?)", h.joss.person, h.nell.person)
	h.sql(`WITH RECURSIVE n(i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i + 1 < ?)
		INSERT INTO groom (key, salon_id, programme_id, apprentice_id, assessor_id, day, dog, coat, size, weighted_sum, weight, outcome, body, digest, signed_at)
		SELECT 'groom-of-' || p.id || '-' || i, p.salon_id, 1, p.id, CASE i % 2 WHEN 0 THEN ? ELSE ? END, ? - ? + i, 'Dog ' || (i * 7 % 83),
			CASE i % 4 WHEN 0 THEN 'WO' WHEN 1 THEN 'SI' WHEN 2 THEN 'WI' ELSE 'XW' END, CASE i % 3 WHEN 0 THEN 'S' WHEN 1 THEN 'M' ELSE 'L' END, 400, 100, 2, '{}', '', 1
		FROM person p, n WHERE p.role = 'apprentice' AND p.salon_id = ? ORDER BY i, p.id`, each, h.ines.person, h.tomas.person, int(h.today()), each, h.runa.salon)
	var skills []string
	for _, s := range h.prog.AllSkills() {
		skills = append(skills, s.ID)
	}
	list, err := json.Marshal(skills)
	require.NoError(h.t, err)
	h.sql(`INSERT INTO observation (apprentice_id, skill, day, assessor_id, groom_id, source, level, percent, dog, coat, size, style, severity, attribution)
		SELECT g.apprentice_id, s.value, g.day, g.assessor_id, g.id, 0, CASE (g.id * 31 + s.key * 17) % 23 WHEN 0 THEN 3 WHEN 1 THEN 5 ELSE 4 END, 0, g.dog, g.coat, g.size,
			CASE g.id % 2 WHEN 0 THEN 'comb_trim' ELSE 'scissored' END, CASE (g.id * 13 + s.key) % 97 WHEN 0 THEN 'S1' ELSE '' END, CASE (g.id * 13 + s.key) % 97 WHEN 0 THEN 'apprentice' ELSE '' END
		FROM groom g, json_each(?) s ORDER BY g.id, s.key`, string(list))
}

// columns are those of an observation, as the store reads them.
const columns = "apprentice_id, skill, day, id, assessor_id, COALESCE(groom_id, 0), source, level, percent, dog, coat, size, style, severity, attribution"

type scanned struct {
	apprentice, assessor, groom, day, source, level, percent int64
	assessment.Observation
}

// scan reads rows one after the other into the same value: the least that
// database/sql has to do for them. It keeps nothing.
func scan(db *sql.DB, f func(*scanned), query string, args ...any) error {
	rows, err := db.Query(query, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	var o scanned
	into := []any{&o.apprentice, &o.Skill, &o.day, &o.Seq, &o.assessor, &o.groom, &o.source, &o.level, &o.percent, &o.Dog, &o.Coat, &o.Size, &o.Style, &o.Severity, &o.Attribution}
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return err
		}
		f(&o)
	}
	return rows.Err()
}

// BenchmarkEvidence reads the 2,040 observations of one apprentice among 25. Its
// limit reads the same rows into one list.
func BenchmarkEvidence(b *testing.B) {
	h := newHouse(b)
	h.observed(25, 34)
	db := h.raw(false)
	query := "SELECT " + columns + " FROM observation WHERE apprentice_id = ? ORDER BY apprentice_id, skill, day, id"

	a, err := h.Evidence(h.ctx, h.runa, h.pia.Key)
	require.NoError(b, err)
	n := map[string]int{}
	require.NoError(b, scan(db, func(o *scanned) {
		got := a.Observations[o.Skill][n[o.Skill]]
		n[o.Skill]++
		got.Assessor, got.Groom = "", ""
		o.Day, o.Source, o.Level, o.Percent = assessment.Day(o.day), assessment.Source(o.source), int8(o.level), int8(o.percent)
		require.Equal(b, o.Observation, got)
	}, query, h.pia.person))
	require.Len(b, n, 60)
	for skill, list := range a.Observations {
		require.Len(b, list, n[skill])
	}

	b.Run("ours", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := h.Evidence(h.ctx, h.runa, h.pia.Key); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("limit", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			list := make([]assessment.Observation, 0, 60*34)
			if err := scan(db, func(o *scanned) { list = append(list, o.Observation) }, query, h.pia.person); err != nil || len(list) != 60*34 {
				b.Fatal(len(list), err)
			}
		}
	})
}

// BenchmarkMatrix works out the standing of 25 apprentices in 60 skills from
// 200 observations of each, 300,000 in all. Its limit reads the same rows and
// decides nothing; grouped lets the database count them instead.
func BenchmarkMatrix(b *testing.B) {
	h := newHouse(b)
	h.observed(25, 200)
	db := h.raw(false)
	query := "SELECT " + columns + " FROM observation WHERE apprentice_id IN (SELECT id FROM person WHERE salon_id = ?) ORDER BY apprentice_id, skill, day, id"
	grouped := "SELECT apprentice_id, skill, count(*), sum(level >= 4), max(day) FROM observation WHERE apprentice_id IN (SELECT id FROM person WHERE salon_id = ?) GROUP BY apprentice_id, skill"

	type cell struct{ seen, high, last int64 }
	matrix := func() (map[string]*assessment.Apprenticeship, map[string][]assessment.Standing, error) {
		all, err := h.AllEvidence(h.ctx, h.runa)
		standings := map[string][]assessment.Standing{}
		for key, a := range all {
			standings[key] = a.Standings(h.prog, h.today())
		}
		return all, standings, err
	}
	group := func() (map[[2]string]cell, error) {
		rows, err := db.Query(grouped, h.runa.salon)
		if err != nil {
			return nil, err
		}
		defer rows.Close()
		out := map[[2]string]cell{}
		for rows.Next() {
			var c cell
			var apprentice, skill string
			if err := rows.Scan(&apprentice, &skill, &c.seen, &c.high, &c.last); err != nil {
				return nil, err
			}
			out[[2]string{apprentice, skill}] = c
		}
		return out, rows.Err()
	}

	all, standings, err := matrix()
	require.NoError(b, err)
	require.Len(b, standings, 25)
	people, err := h.names(h.read, h.runa)
	require.NoError(b, err)
	read, fromRows := 0, map[[2]string]cell{}
	require.NoError(b, scan(db, func(o *scanned) {
		read++
		k := [2]string{fmt.Sprint(o.apprentice), o.Skill}
		c := fromRows[k]
		c.seen++
		if o.level >= 4 {
			c.high++
		}
		c.last = max(c.last, o.day)
		fromRows[k] = c
	}, query, h.runa.salon))
	require.Equal(b, 300_000, read)
	cells, err := group()
	require.NoError(b, err)
	require.Equal(b, fromRows, cells)
	ours := map[[2]string]cell{}
	for id, p := range people {
		for _, st := range standings[p.Key] {
			require.Positive(b, st.LastSeen)
			c := cell{seen: int64(st.Seen), high: int64(st.Clean), last: int64(st.LastSeen)}
			ours[[2]string{fmt.Sprint(id), st.Skill.ID}] = c
			require.Len(b, all[p.Key].Observations[st.Skill.ID], 200)
		}
	}
	require.Equal(b, cells, ours, "the same counts of seen and clean, and the same newest day")

	b.Run("ours", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, _, err := matrix(); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("limit", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			rows := 0
			if err := scan(db, func(*scanned) { rows++ }, query, h.runa.salon); err != nil || rows != 300_000 {
				b.Fatal(rows, err)
			}
		}
	})
	b.Run("grouped", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := group(); err != nil {
				b.Fatal(err)
			}
		}
	})
}
