package assessment_test

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"tablehand/assessment"
)

// population is 23 decisions: 12 proposed by X, 8 by Y, 3 by Z who is new.
func population() (out []assessment.SignOff) {
	for _, who := range []struct {
		key   string
		n     int
		first assessment.Day
	}{{"X", 12, 0}, {"Y", 8, 3}, {"Z", 3, 300}} {
		for i := range who.n {
			day := firstDay + who.first + assessment.Day(95*i)
			if who.key == "Z" {
				day = firstDay + who.first + assessment.Day(i)
			}
			out = append(out, assessment.SignOff{Key: fmt.Sprint(who.key, i), ProposedBy: who.key, Proposed: day, Skill: "CL4", Apprentice: "a"})
		}
	}
	return out
}

func sizeOf(t *testing.T, id string, n int) int {
	p, ok := assessment.SamplePlanOf(id)
	assert.True(t, ok)
	return p.Size(n)
}

// Worked by hand: 23 decisions of X (12), Y (8) and Z (3).
func TestSamplingByHand(t *testing.T) {
	assert.Equal(t, 6, sizeOf(t, "table", 23))
	assert.Equal(t, 9, sizeOf(t, "table_more", 23))
	assert.Equal(t, 5, sizeOf(t, "root", 23), "the root of 23 is 4.796")
	assert.Equal(t, []int{3, 2, 1}, assessment.Shares([]int{12, 8, 3}, 6), "3.13, 2.09, 0.78")
	assert.Equal(t, []int{2, 2, 1}, assessment.Shares([]int{12, 8, 3}, 5), "2.61, 1.74, 0.65")

	all := population()
	plan, _ := assessment.SamplePlanOf("table")
	risks := assessment.SampleRisks(all)
	list := assessment.Sample(all, plan, "autumn", func(s *assessment.SignOff) []string {
		if s.ProposedBy != "Z" { // the first of X and Y are from long ago
			return nil
		}
		return risks(s)
	})
	by := map[string]int{}
	for _, s := range list {
		by[s.SignOff.ProposedBy]++
	}
	assert.Equal(t, map[string]int{"X": 3, "Y": 2, "Z": 3}, by, "all three of the new assessor are added: 8")
}

// The bands of the letter of 28 March 2025, at both ends of each.
func TestSampleSizes(t *testing.T) {
	for n, want := range map[int][2]int{0: {0, 0}, 5: {5, 5}, 6: {6, 6}, 8: {6, 8}, 25: {6, 9}, 26: {9, 12}, 100: {9, 12}, 101: {12, 15}, 200: {12, 15}, 201: {24, 30}, 300: {24, 30}, 301: {36, 45}} {
		assert.Equal(t, want[0], sizeOf(t, "table", n), n)
		assert.Equal(t, want[1], sizeOf(t, "table_more", n), n)
	}
	for n, want := range map[int]int{0: 0, 1: 1, 2: 2, 4: 2, 5: 3, 9: 3, 10: 4, 100: 10, 101: 11} {
		assert.Equal(t, want, sizeOf(t, "root", n), n)
	}
	assert.Equal(t, 3, sizeOf(t, "tenth", 21))
	assert.Equal(t, 21, sizeOf(t, "all", 21))
	_, ok := assessment.SamplePlanOf("none")
	assert.False(t, ok)
}

func TestSharesAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sizes := rapid.SliceOfN(rapid.IntRange(0, 40), 0, 8).Draw(t, "sizes")
		total := 0
		for _, n := range sizes {
			total += n
		}
		draws := rapid.IntRange(0, total+3).Draw(t, "draws")
		got, sum := assessment.Shares(sizes, draws), 0
		for i, n := range got {
			sum += n
			assert.LessOrEqual(t, n, sizes[i])
			if total > 0 { // within one of the exact share
				assert.Less(t, max(n*total-sizes[i]*min(draws, total), sizes[i]*min(draws, total)-n*total), total)
			}
		}
		assert.Equal(t, min(draws, total), sum)
	})
}

// The draw can be repeated by anyone with a hash tool, and does not depend on the
// order in which the decisions came.
func TestSampleIsReproducible(t *testing.T) {
	all := population()
	plan, _ := assessment.SamplePlanOf("root")
	keys := func(seed string, all []assessment.SignOff) (out []string) {
		for _, s := range assessment.Sample(all, plan, seed, nil) {
			assert.True(t, s.Drawn)
			out = append(out, s.SignOff.Key)
		}
		slices.Sort(out)
		return out
	}
	var byHand []string
	for who, draws := range map[string]int{"X": 2, "Y": 2, "Z": 1} {
		lots := map[string]string{}
		var order []string
		for _, d := range all {
			if d.ProposedBy == who {
				sum := sha256.Sum256([]byte("autumn 2026\n" + d.Key))
				lots[hex.EncodeToString(sum[:])] = d.Key
				order = append(order, hex.EncodeToString(sum[:]))
			}
		}
		slices.Sort(order)
		for _, lot := range order[:draws] {
			byHand = append(byHand, lots[lot])
		}
	}
	slices.Sort(byHand)
	assert.Equal(t, byHand, keys("autumn 2026", all))
	slices.Reverse(all)
	assert.Equal(t, byHand, keys("autumn 2026", all))
	assert.NotEqual(t, byHand, keys("winter 2026", all))
	assert.Empty(t, keys("x", nil))
}

func TestSampleRisks(t *testing.T) {
	all := population()
	all[1].Decision, all[1].Skill = assessment.Declined, "CL5"
	all[2].Skill = "CL5"
	all[3].Weakened = firstDay + 700
	risks := assessment.SampleRisks(all)
	assert.Equal(t, []string{"within the first 90 days of this assessor's decisions"}, risks(&all[0]))
	assert.Equal(t, []string{"this skill of this apprentice was declined at some time"}, risks(&all[2]))
	assert.Equal(t, []string{"a groom that it rests on was corrected afterwards"}, risks(&all[3]))
	assert.Empty(t, risks(&all[4]))
	for i := 20; i < 23; i++ {
		assert.NotEmpty(t, risks(&all[i]), "all of the new assessor's")
	}
}
