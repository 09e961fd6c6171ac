package exports

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// The worked examples of a full groom, a bath and brush, and a dry groom;
// added up by hand. A criterion left out is neither 0 (mean 2.88) nor 1 (3.18).
func TestGroomsOfTheWorkedExamples(t *testing.T) {
	grooms := look(t, written(t, newSalon().book), "Assessed grooms", 1)
	for _, want := range []struct{ ref, sum, weight, mean, musts, lowest, outcome string }{
		{"G001", "351", "100", "3.51", "yes", "2", "Meets"},
		{"G002", "349", "100", "3.49", "yes", "2", "Not yet"},
		{"G003", "343", "100", "3.43", "yes", "1", "Not yet"},
		{"G004", "288", "70", "4.114285714285714", "no", "3", "Not yet"},
		{"G005", "234", "56", "4.178571428571429", "yes", "4", "Incomplete"},
		{"G006", "440", "88", "5", "not seen", "5", "Incomplete"},
		{"G007", "476", "100", "4.76", "no", "3", "Not yet"},
	} {
		assertSame(t, want.mean, grooms.value(want.ref, colMean), want.ref)
		got := []string{}
		for _, column := range []string{colSum, colWeight, colMustMeets, colLowest, colOutcome, colRecorded, colSame} {
			got = append(got, grooms.value(want.ref, column))
		}
		assert.Equal(t, []string{want.sum, want.weight, want.musts, want.lowest, want.outcome, want.outcome, yes}, got, want.ref)
	}
	assert.Equal(t, "", grooms.value("G004", "R7"), "not applicable is an empty cell")
	assert.Equal(t, "R7, R8, R9", grooms.value("G004", "Not applicable"))
	assert.Equal(t, "", grooms.value("G006", "R7"), "not seen is an empty cell")
	assert.Equal(t, "3", grooms.value("G007", "R7"), "lowered by the burn")
	assert.Equal(t, "S3", grooms.value("G007", colGravest))
	assert.Equal(t, "125", grooms.value("G001", "Minutes"))
	assert.Equal(t, "12", grooms.value("G001", "Body weight"))
	assert.Equal(t, []string{no, no, yes}, []string{grooms.value("G008", colCounts), grooms.value("G009", colCounts), grooms.value("G001", colCounts)})
}

func TestTotalsOfGrooms(t *testing.T) {
	totals := look(t, written(t, newSalon().book), "Totals", 3)
	value := func(row string) string {
		v, err := totals.f.GetCellValue("Totals", "B"+rowOf(t, totals, row), excelize.Options{RawCellValue: true})
		require.NoError(t, err)
		return v
	}
	assert.Equal(t, "7", value("Grooms counted"), "a corrected version and a second rating are not counted")
	assert.Equal(t, []string{"1", "4", "2", "0"}, []string{value("Meets"), value("Not yet"), value("Incomplete"), value("Rows where the formula and the record disagree")})
	// (3.51 + 3.49 + 3.43 + 288/70 + 4.76) ÷ 5
	assertSame(t, "3.860857142857143", value("Mean of the mean levels, grooms with a result"), "mean of means")
}

func rowOf(t *testing.T, l lookUp, first string) string {
	t.Helper()
	for i, r := range l.rows {
		if len(r) > 0 && r[0] == first {
			return itoa(i + 1)
		}
	}
	require.Failf(t, "no such row", first)
	return ""
}

// What a row's formulas come to must be what the judgement says, whatever the
// assessor gave and whichever version applies.
func TestRowFollowsTheJudgement(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	programmes := []*curriculum.Programme{curriculum.Default(), secondVersion(t)}
	seen := map[assessment.Outcome]int{}
	for range 20000 {
		p := programmes[r.IntN(2)]
		g := &assessment.Groom{Marks: map[string]assessment.Mark{}, Skills: map[string]int{}}
		good := r.IntN(3)
		for _, c := range p.Rubric.Criteria {
			switch k := r.IntN(20); {
			case k == 0:
			case k < 3 && c.NotApplicable != "":
				g.Marks[c.ID] = assessment.Mark{NotApplicable: true, Level: r.IntN(2) * 3}
			default:
				g.Marks[c.ID] = assessment.Mark{Level: min(5, 1+good+r.IntN(5))}
			}
		}
		if r.IntN(4) == 0 {
			skills := p.AllSkills()
			g.Skills[skills[r.IntN(len(skills))].ID] = 1 + r.IntN(5)
			g.Incidents = []assessment.Incident{{Severity: p.Incidents.Severities[r.IntN(5)].ID, Attribution: "apprentice", Skill: skills[r.IntN(len(skills))].ID},
				{Severity: p.Incidents.Severities[r.IntN(3)].ID, Attribution: "dog", Skill: "HR1"}}
		}
		want := assessment.Judge(p, g)
		row := NewGroom(p, "G", g, want)
		got := tallyOf(p, &row)
		seen[got.outcome]++
		require.Equal(t, want.Outcome, got.outcome, "%+v", row)
		require.Equal(t, want.Mean(), got.mean())
	}
	for _, o := range []assessment.Outcome{assessment.Incomplete, assessment.NotYet, assessment.Meets} {
		require.Greater(t, seen[o], 500, "%s should come up often", o)
	}
}

func TestGroomOfAnUnknownVersionIsRefused(t *testing.T) {
	s := newSalon()
	s.grooms[0].Version = 9
	s.use()
	assert.ErrorContains(t, Write(new(countingWriter), s.book), "groom G001 refers to programme pet-groomer-salon-core v9, which the book does not hold")
}

// An earlier version keeps its own weights, and a criterion that only one
// version has stays empty for the other.
func TestGroomsOfTwoVersions(t *testing.T) {
	s := withTwoVersions(t)
	f := written(t, s.book)
	grooms := look(t, f, "Assessed grooms", 1)
	assert.Equal(t, "pet-groomer-salon-core v2", grooms.value("G010", colVersion))
	assert.Equal(t, []string{"2", "1"}, []string{grooms.value("G010", colRubricRow), grooms.value("G001", colRubricRow)})
	assert.Equal(t, []string{"", "3"}, []string{grooms.value("G010", "R13"), grooms.value("G010", "R14")})
	assert.Equal(t, []string{"3", ""}, []string{grooms.value("G001", "R13"), grooms.value("G001", "R14")})
	rubric := look(t, f, "Rubric weights", 1)
	assert.Equal(t, []string{"", "2"}, []string{rubric.value("pet-groomer-salon-core v2", "R13 weight"), rubric.value("pet-groomer-salon-core v2", "R14 weight")})
	assert.Equal(t, "S3, S4", rubric.value("pet-groomer-salon-core v1", colHarm))
}

// withTwoVersions adds one groom judged by another version to the salon.
func withTwoVersions(t testing.TB) *salon {
	s := newSalon()
	p := secondVersion(t)
	g := levels(assessment.Groom{Apprentice: "a2", Assessor: "y", Day: today - 40, Dog: "Mop", Coat: "WO", Grams: 4800, Matting: 0, Temperament: 1, Service: "full", Stop: -1, Start: -1},
		4, 4, 4, 4, 3, 4, 4, 3, 2, 4, 3, 2, 3)
	g.Marks["R14"] = g.Marks["R13"]
	r := assessment.Judge(p, g)
	s.book.Programmes = append(s.book.Programmes, p)
	s.grooms = append(s.grooms, NewGroom(p, "G010", g, r))
	s.ratings = append(s.ratings, RatingsOf("G010", r)...)
	s.use()
	return s
}

func TestCutPlanOfAGroom(t *testing.T) {
	s := newSalon()
	s.grooms[0].CutPlan = []string{"Back and sides: #7F with the lie, agreed 6 mm", "Groin: #7 with the lie (Unsafe)"}
	grooms := look(t, written(t, s.book), "Assessed grooms", 1)
	assert.Equal(t, "Back and sides: #7F with the lie, agreed 6 mm; Groin: #7 with the lie (Unsafe)", grooms.value("G001", "Cut plan"))
	assert.Equal(t, "", grooms.value("G002", "Cut plan"), "nothing was planned")
}
