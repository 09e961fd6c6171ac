package exports

import (
	"bytes"
	"fmt"
	"iter"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"tablehand/assessment"
	"tablehand/curriculum"
)

func seq[T any](list ...T) iter.Seq2[T, error] {
	return func(yield func(T, error) bool) {
		for _, v := range list {
			if !yield(v, nil) {
				return
			}
		}
	}
}

// levels gives a groom one level per criterion of the default rubric, in
// order; 0 means not applicable and −1 not seen.
func levels(g assessment.Groom, given ...int) *assessment.Groom {
	g.Marks = map[string]assessment.Mark{}
	for i, c := range curriculum.Default().Rubric.Criteria {
		switch given[i] {
		case 0:
			g.Marks[c.ID] = assessment.Mark{NotApplicable: true, Reason: "NOT FOR EXPORT"}
		case -1:
		default:
			g.Marks[c.ID] = assessment.Mark{Level: given[i]}
		}
	}
	return &g
}

var today = assessment.Date(2026, time.May, 20)

// salon is one invented salon with the grooms of the worked examples.
type salon struct {
	book    *Book
	grooms  []Groom
	ratings []Rating
}

func newSalon() *salon {
	p := curriculum.Default()
	names := map[string]string{"a1": "Ash Reed", "a2": "Bo Lind", "x": "Xenia Holt", "y": "Yves Marr", "q": "Quin Dale"}
	s := &salon{book: &Book{Salon: "Salon Alder & Co", Zone: "Europe/Dublin", By: "Quin Dale", Scope: "Whole salon",
		Made: time.Date(2026, 5, 20, 16, 30, 0, 0, time.UTC), Today: today, Programmes: []*curriculum.Programme{p},
		Name: func(key string) string { return names[key] }}}
	s.book.Apprentices = []Apprentice{{Key: "a1", Name: "Ash Reed", Start: assessment.Date(2025, 9, 1), Standings: variety(p)},
		{Key: "a2", Name: "Bo Lind", Start: assessment.Date(2025, 6, 2), Standings: weekFiftyTwo(p)}}
	base := assessment.Groom{Apprentice: "a1", Assessor: "x", Day: today - 8, Dog: "Pepper 2", Coat: "XW", Grams: 12000, Matting: 1, Temperament: 2,
		Service: "full", Style: "comb_trim", Start: 9 * 60, Stop: 11*60 + 5}
	bath := base
	bath.Coat, bath.Service, bath.Style, bath.Dog, bath.Grams, bath.Matting = "SM", "bath_brush", "", "Juno", 24900, 0
	hurt := base
	hurt.Incidents = []assessment.Incident{{Kind: "clipper_burn", Severity: "S2", Attribution: "apprentice", Skill: "CL4", Note: "NOT FOR EXPORT"},
		{Kind: "bite_person", Severity: "S3", Attribution: "dog", Skill: "HR1", Note: "NOT FOR EXPORT"}}
	for i, g := range []*assessment.Groom{
		levels(base, 4, 4, 4, 4, 3, 4, 4, 3, 2, 4, 3, 2, 3),  // 351, Meets
		levels(base, 4, 4, 4, 4, 3, 4, 4, 3, 2, 4, 3, 2, 2),  // 349, Not yet
		levels(base, 4, 4, 4, 4, 3, 4, 4, 3, 1, 4, 3, 2, 3),  // a level 1 as well
		levels(bath, 5, 4, 5, 3, 4, 4, 0, 0, 0, 4, 4, 4, 5),  // 288 of 70, Not yet
		levels(bath, 5, 4, 0, 0, 4, 4, 0, 0, 0, 4, 4, 4, 5),  // 56, Incomplete
		levels(base, 5, 5, 5, 5, 5, 5, -1, 5, 5, 5, 5, 5, 5), // a must-meet not seen
		levels(hurt, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5),  // harm
	} {
		ref := fmt.Sprintf("G%03d", i+1)
		r := assessment.Judge(p, g)
		row := NewGroom(p, ref, g, r)
		row.Signed = time.Date(2026, 5, 12, 13, 45, 30, 0, time.UTC)
		s.grooms = append(s.grooms, row)
		s.ratings = append(s.ratings, RatingsOf(ref, r)...)
	}
	corrected, second := s.grooms[0], s.grooms[0]
	corrected.Ref, corrected.SupersededBy = "G008", "G001"
	second.Ref, second.SecondOf, second.Assessor = "G009", "G001", "y"
	s.grooms = append(s.grooms, corrected, second)
	s.use()
	return s
}

func (s *salon) use() {
	b := s.book
	b.Grooms, b.Ratings, b.Observations = seq(s.grooms...), seq(s.ratings...), ObservationsOf(b.Apprentices, nil)
	b.Incidents = seq(Incident{Groom: "G007", Day: today - 8, Apprentice: "a1", Kind: "clipper_burn", Severity: "S2", Attribution: "apprentice", Skill: "CL4", Hold: curriculum.HoldSkill},
		Incident{Groom: "G007", Day: today - 8, Apprentice: "a1", Kind: "bite_person", Severity: "S3", Attribution: "dog", Skill: "HR1", SelfReported: true, Hold: curriculum.HoldUnit, Released: today})
	b.SignOffs = seq(NewSignOff(&assessment.SignOff{Apprentice: "a1", Skill: "HC1", ProposedBy: "x", Proposed: today - 9, Programme: "pet-groomer-salon-core", Version: 1,
		Decision: assessment.Confirmed, DecidedBy: "q", Decided: today - 2, Statement: "NOT FOR EXPORT", Reason: "NOT FOR EXPORT"}, 4),
		NewSignOff(&assessment.SignOff{Apprentice: "a2", Skill: "CL4", ProposedBy: "y", Proposed: today - 1, Programme: "pet-groomer-salon-core", Version: 1}, -1))
	b.Apprentices[0].Completion = assessment.Completion(b.Programmes[0], assessment.Progress{Signed: 1, Required: 58}, nil, 1)
}

func (s *salon) programme() *curriculum.Programme { return s.book.Programmes[0] }

// variety runs the real rules over a year of observations of a few skills.
func variety(p *curriculum.Programme) []assessment.Standing {
	record := assessment.Apprenticeship{Observations: map[string][]assessment.Observation{}, SignOffs: map[string][]assessment.SignOff{}, Permissions: map[string]assessment.PermissionSet{}}
	coats, sizes, people := []string{"WO", "SI", "WI", "DA"}, []string{"S", "M", "L"}, []string{"x", "y"}
	for i, skill := range p.AllSkills() {
		for n := range i % 7 * 4 {
			o := assessment.Observation{Skill: skill.ID, Assessor: people[n%2], Groom: fmt.Sprint("key", n), Dog: fmt.Sprintf("Dog %d", n), Coat: coats[n%4], Size: sizes[n%3],
				Day: today - assessment.Day(120-5*n), Level: int8(3 + min(n, 1)), Seq: int64(n)}
			if n == 9 {
				o.Source = assessment.Self
			}
			if skill.ID == "CL4" && n == 2 {
				o.Severity, o.Attribution, o.Level = "S2", "apprentice", 4
			}
			record.Observations[skill.ID] = append(record.Observations[skill.ID], o)
		}
	}
	record.SignOffs["HC1"] = []assessment.SignOff{{Skill: "HC1", Decision: assessment.Confirmed, Decided: today - 2}}
	record.SignOffs["HR1"] = []assessment.SignOff{{Skill: "HR1", Decision: assessment.Confirmed, Decided: today - 20}}
	record.Permissions["HC1"] = assessment.PermissionSet{Level: 4, Day: today - 30}
	record.Holds = []assessment.Hold{{Scope: curriculum.HoldUnit, Unit: "HR", Skill: "HR1", Severity: "S3", From: today - 8}}
	return record.ExplainedStandings(p, today)
}

// weekFiftyTwo is the worked progress example: of 58 required skills 36 are
// signed, 2 signed but held, 3 eligible, 11 practising, 6 not started.
func weekFiftyTwo(p *curriculum.Programme) []assessment.Standing {
	list := (&assessment.Apprenticeship{}).Standings(p, today)
	n := 0
	for i := range list {
		s := &list[i]
		if !p.Required(s.Skill) {
			continue
		}
		switch {
		case n < 36:
			s.State, s.SignOff = assessment.Signed, &assessment.SignOff{}
		case n < 38:
			s.State, s.SignOff = assessment.OnHold, &assessment.SignOff{}
			s.Holds = []*assessment.Hold{{From: today - 8, Severity: "S2"}}
		case n < 41:
			s.State = assessment.Eligible
		case n < 52:
			s.State = assessment.Practising
		}
		n++
	}
	return list
}

// written writes the book and opens it again.
func written(t testing.TB, b *Book) *excelize.File {
	t.Helper()
	var buf bytes.Buffer
	require.NoError(t, Write(&buf, b))
	f, err := excelize.OpenReader(&buf)
	require.NoError(t, err)
	t.Cleanup(func() { f.Close() })
	return f
}

// lookUp finds cells of one sheet by a word of their row and column.
type lookUp struct {
	t     testing.TB
	f     *excelize.File
	sheet string
	head  int // row of the titles, from 1
	rows  [][]string
}

func look(t testing.TB, f *excelize.File, sheet string, head int) lookUp {
	t.Helper()
	rows, err := f.GetRows(sheet, excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	return lookUp{t, f, sheet, head, rows}
}

func (l lookUp) cell(row, column string) string {
	l.t.Helper()
	col := slices.Index(l.rows[l.head-1], column)
	require.GreaterOrEqual(l.t, col, 0, "no column %s on %s", column, l.sheet)
	for i := l.head; i < len(l.rows); i++ {
		if len(l.rows[i]) > 0 && l.rows[i][0] == row {
			return letter(col+1) + itoa(i+1)
		}
	}
	require.Failf(l.t, "no such row", "%s on %s", row, l.sheet)
	return ""
}

func (l lookUp) value(row, column string) string {
	l.t.Helper()
	v, err := l.f.GetCellValue(l.sheet, l.cell(row, column), excelize.Options{RawCellValue: true})
	require.NoError(l.t, err)
	return v
}

// secondVersion is the default programme with other weights, another pass mean
// and one criterion under another id.
func secondVersion(t testing.TB) *curriculum.Programme {
	t.Helper()
	src := strings.NewReplacer("\nversion: 1\n", "\nversion: 2\n", "pass_mean: {over: 7, under: 2}", "pass_mean: {over: 10, under: 3}",
		"least_applicable_weight: 70", "least_applicable_weight: 60", "id: R13\n", "id: R14\n").Replace(string(curriculum.Default().Source()))
	p, err := curriculum.Read("second.yaml", []byte(src))
	require.NoError(t, err)
	require.NotNil(t, p.Rubric.Criterion("R14"))
	r12, r5 := p.Rubric.Criterion("R12"), p.Rubric.Criterion("R5")
	r12.Weight, r5.Weight = r5.Weight, r12.Weight
	return p
}
