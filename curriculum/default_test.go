package curriculum_test

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// The counts of the default programme. The list of skills and what makes one
// safety-critical are common practice, no source; the split into units follows
// the order of the UK national occupational standards LANAnC38, C23 and C24.
func TestDefaultProgrammeCounts(t *testing.T) {
	p := curriculum.Default()
	units := map[string]int{}
	safety := map[string]int{}
	required, requiredSafety, withPoints := 0, 0, 0
	for _, s := range p.AllSkills() {
		unit := p.UnitOf(s.ID).ID
		assert.True(t, strings.HasPrefix(s.ID, unit), s.ID)
		units[unit]++
		if s.IsSafetyCritical() {
			safety[unit]++
		}
		if p.Required(s) {
			required++
			if s.IsSafetyCritical() {
				requiredSafety++
			}
		}
		if s.Points != "" {
			withPoints++
			assert.True(t, s.IsSafetyCritical(), "%s: points are for skills that can hurt", s.ID)
		}
	}
	assert.Len(t, p.AllSkills(), 60)
	assert.Equal(t, map[string]int{"HC": 5, "HR": 6, "BA": 4, "DR": 4, "CO": 6, "TH": 5, "CL": 9, "SC": 7, "NE": 6, "CW": 8}, units)
	assert.Equal(t, map[string]int{"HC": 4, "HR": 6, "BA": 3, "DR": 4, "CO": 2, "TH": 3, "CL": 7, "SC": 3, "NE": 5, "CW": 2}, safety)
	assert.Equal(t, 58, required)
	assert.Equal(t, 37, requiredSafety)
	assert.Equal(t, 28, withPoints)

	var gated []string
	for _, s := range p.AllSkills() {
		if !p.Required(s) {
			gated = append(gated, s.ID)
		}
	}
	assert.Equal(t, []string{"DR3", "NE4"}, gated)
}

// The rubric's weights and must-meets: common practice, no source.
func TestDefaultRubric(t *testing.T) {
	r := curriculum.Default().Rubric
	weights, musts := []int{}, []string{}
	sum := 0
	for _, c := range r.Criteria {
		weights = append(weights, c.Weight)
		sum += c.Weight
		if c.MustMeet > 0 {
			assert.Equal(t, 4, c.MustMeet, c.ID)
			musts = append(musts, c.ID)
		}
		assert.Len(t, c.Anchors, curriculum.TopLevel, c.ID)
		for i, a := range c.Anchors {
			assert.NotEmpty(t, a, "%s L%d", c.ID, i+1)
		}
	}
	assert.Equal(t, []int{8, 14, 6, 8, 10, 8, 12, 10, 8, 6, 5, 3, 2}, weights)
	assert.Equal(t, 100, sum)
	assert.Equal(t, []string{"R1", "R2", "R4", "R6", "R7", "R10"}, musts)
	assert.Equal(t, curriculum.Fraction{Over: 7, Under: 2}, r.Pass)
	assert.Equal(t, 70, r.LeastWeight)

	var never []string
	for _, c := range r.Criteria {
		if c.NotApplicable == "" {
			never = append(never, c.ID)
		}
	}
	assert.Equal(t, []string{"R1", "R2", "R5", "R6", "R10", "R11", "R13"}, never, "those that always apply")
}

// The evidence rules as a head groomer would say them: common practice, no
// source.
func TestDefaultEvidenceRules(t *testing.T) {
	p := curriculum.Default()
	streak := func(need, of int) curriculum.Streak { return curriculum.Streak{Need: need, Of: of} }
	for _, want := range []curriculum.EvidenceRule{
		{ID: "E1", Kind: curriculum.Observations, Count: 5, Level: 4, Coats: 3, Sizes: 2, Assessors: 2, Streak: streak(3, 3), NewestWithinDays: 60},
		{ID: "E2", Kind: curriculum.Observations, Count: 4, Level: 4, Sizes: 2, Assessors: 2, Streak: streak(3, 3), NewestWithinDays: 60},
		{ID: "E3", Kind: curriculum.Observations, Count: 6, Level: 4, Coats: 3, Styles: 2, Streak: streak(4, 6), NewestWithinDays: 90},
		{ID: "E4", Kind: curriculum.Observations, Count: 3, Level: 4, Sizes: 2, NewestWithinDays: 90},
		{ID: "E5", Kind: curriculum.Simulations, Count: 2, Level: 4, RepeatMonths: 12},
		{ID: "E6", Kind: curriculum.Knowledge, Count: 1, Percent: 80, RepeatMonths: 24},
		{ID: "E7", Kind: curriculum.Gated, Count: 3, Level: 4, RepeatMonths: 12},
	} {
		got := p.EvidenceRule(want.ID)
		require.NotNil(t, got, want.ID)
		want.Name = got.Name
		assert.Equal(t, want, *got)
	}
	assert.Len(t, p.Evidence, 7)
}

// Bands are half-open: 25.0 kg is large, 24.9 kg is medium. Common practice,
// no source.
func TestSizeBandsAreHalfOpen(t *testing.T) {
	v := curriculum.Default().Vocabulary
	for _, c := range []struct {
		kg   float64
		want string
	}{{0, "XS"}, {4.999, "XS"}, {5, "S"}, {9.9, "S"}, {10, "M"}, {24.9, "M"}, {25, "L"}, {39.999, "L"}, {40, "XL"}, {95, "XL"}} {
		assert.Equal(t, c.want, v.SizeOf(c.kg).ID, "%v kg", c.kg)
		assert.Equal(t, v.SizeOf(c.kg), v.Size(c.want))
	}
	assert.Nil(t, v.SizeOf(-0.001))
	assert.Nil(t, v.Size("XXL"))
}

func TestLookups(t *testing.T) {
	p := curriculum.Default()
	assert.Equal(t, "WO", p.Vocabulary.CoatClass("XW"), "a curly cross counts as wool")
	assert.Equal(t, "WI", p.Vocabulary.CoatClass("WI"))
	assert.Equal(t, "Full groom", curriculum.TermName(p.Vocabulary.Services, "full"))
	assert.Equal(t, "gone", curriculum.TermName(p.Vocabulary.Services, "gone"))
	assert.Equal(t, "R7", p.Rubric.CriterionOf("CL3").ID, "seen only if given a level")
	assert.Nil(t, p.Rubric.CriterionOf("CW7"), "knowledge is not seen in a groom")
	assert.Equal(t, 12, p.Rubric.Criterion("R7").Weight)
	assert.Equal(t, 3, p.Incidents.Rank("S3"))
	assert.Equal(t, -1, p.Incidents.Rank(""))
	assert.True(t, p.Incidents.CountsAgainst("shared"))
	assert.False(t, p.Incidents.CountsAgainst("dog"))
	assert.Nil(t, p.Skill("ZZ9"))
	assert.Nil(t, p.UnitOf("ZZ9"))
	assert.Nil(t, p.EvidenceRule("E9"))
	assert.Nil(t, p.PointsRule("none"))
	assert.Nil(t, p.Rubric.Criterion("R99"))
	assert.Nil(t, p.Incidents.Severity("S9"))
}

// Anyone with the file and a standard tool gets the same digest.
func TestDigestIsThatOfTheFile(t *testing.T) {
	data, err := os.ReadFile("default.yaml")
	require.NoError(t, err)
	sum := sha256.Sum256(data)
	p := curriculum.Default()
	assert.Equal(t, hex.EncodeToString(sum[:]), p.Digest())
	assert.Equal(t, data, p.Source())

	// FIPS 180-4 worked example: the digest of "abc"; the same function is used above.
	abc := sha256.Sum256([]byte("abc"))
	assert.Equal(t, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad", hex.EncodeToString(abc[:]))
}

// The built-in programme keeps the error its points rules declare.
func TestDefaultProgrammePassesEveryCheck(t *testing.T) {
	data, err := os.ReadFile("default.yaml")
	require.NoError(t, err)
	p, err := assessment.ReadProgramme("default.yaml", data)
	require.NoError(t, err)
	assert.Equal(t, curriculum.Default().Digest(), p.Digest())
	assert.NotContains(t, string(data), "\t")
}

// A skill cannot be reached before the skills it builds on, and every one of
// them can be reached.
func TestDefaultPrerequisitesHaveABeginning(t *testing.T) {
	p := curriculum.Default()
	reached := map[string]bool{}
	for again := true; again; {
		again = false
		for _, s := range p.AllSkills() {
			open := false
			for _, n := range s.Needs {
				require.NotNil(t, p.Skill(n), "%s needs %s", s.ID, n)
				open = open || !reached[n]
			}
			if !open && !reached[s.ID] {
				reached[s.ID], again = true, true
			}
		}
	}
	assert.Len(t, reached, 60)
	for _, s := range p.AllSkills() {
		for _, n := range s.Needs {
			if p.Required(s) {
				assert.True(t, p.Required(p.Skill(n)), "%s is required but needs the gated %s", s.ID, n)
			}
		}
	}
}
