package agreement

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write testdata/*.golden anew; read each before keeping it")

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name+".golden")
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), got)
}

// season is n joint grooms. Bo marks every fifth a level lower, and there calls
// not clean what Ana calls clean; every seventh neither calls clean.
func season(n int) (joint []Joint) {
	for i := range n {
		mark := Mark{Level: 4 + i%2, Decision: Clean, Score: 3.9 + 0.1*float64(i%7)}
		if i%7 == 3 {
			mark = Mark{Level: 2 + i%2, Decision: NotClean, Score: 2.8}
		}
		other := mark
		other.Score -= 0.05 * float64(i%3)
		if i%5 == 4 && mark.Decision == Clean {
			other.Level, other.Decision = 3, NotClean
			other.Score -= 0.6
		}
		joint = append(joint, Joint{mark, other})
	}
	return joint
}

func tell(p Pair) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s and %s, %s\n", p.A, p.B, grooms(p.Grooms))
	for _, s := range p.All() {
		sign := "–"
		if s.Shown {
			sign = "+"
		}
		fmt.Fprintf(&b, "%s %s (%s): %s\n", sign, s.Title, s.Known, s.Sentence)
	}
	return b.String()
}

func TestPairReport(t *testing.T) {
	var b strings.Builder
	for _, n := range []int{0, 1, 4, 10, 24, 60} {
		b.WriteString(tell(NewPair("Ana", "Bo", 5, "levels", season(n))) + "\n")
	}
	golden(t, "pair", b.String())
}

func TestPairFigures(t *testing.T) {
	joint := season(60)
	p := NewPair("Ana", "Bo", 5, "levels", joint)
	assert.Equal(t, 60, p.Decisions.Grooms())
	assert.Len(t, p.All(), 11)
	seen := map[Figure]bool{}
	for _, s := range p.All() {
		assert.True(t, s.Shown, s.Title)
		assert.False(t, seen[s.Figure], s.Title)
		seen[s.Figure] = true
	}
	assert.Equal(t, p.Decisions.Agreement().Value, p.SameDecision.Value)
	assert.Equal(t, p.Decisions.Agreement().Range, p.SameDecision.Range)
	assert.Equal(t, p.Decisions.NotCleanAgreement().Value, p.NotCleanAgreement.Value)
	assert.Equal(t, p.Decisions.StricterChance(), p.Stricter.Value)
	assert.Equal(t, p.Decisions.AC1().Value, p.BeyondLuck.Value)
	assert.Equal(t, p.Decisions.Kappa().Range, p.HarshBeyondLuck.Range)
	var a, b []float64
	same := 0
	for _, j := range joint {
		a, b = append(a, j.A.Score), append(b, j.B.Score)
		if j.A.Level == j.B.Level {
			same++
		}
	}
	d := BlandAltman(a, b)
	assert.Equal(t, d.Bias, p.ScoreDifference.Value)
	assert.Equal(t, d.BiasRange, p.ScoreDifference.Range)
	assert.Equal(t, d.Limits, p.ScoreLimits.Range)
	assert.Equal(t, NewShare(same, 60).Value, p.SameLevel.Value)
}

// What is hidden shows nothing: not even the value.
func TestHiddenFiguresHoldNothing(t *testing.T) {
	for n := range 40 {
		p := NewPair("Ana", "Bo", 5, "levels", season(n))
		for _, s := range p.All() {
			assert.NotEmpty(t, s.Sentence)
			if !s.Shown {
				assert.False(t, s.Value.OK || s.Range.OK, s.Title)
				assert.Zero(t, s.Value.Value)
			}
		}
	}
}

// Each kind of mark may be missing on its own.
func TestGroomsCountOnlyForWhatBothGave(t *testing.T) {
	joint := season(40)
	for i := range joint {
		switch i % 4 {
		case 0:
			joint[i].A.Decision = Undecided
		case 1:
			joint[i].B.Level = 0
		case 2:
			joint[i].A.Score = NotRated()
		case 3:
			joint[i].B.Level = 9 // there is no such level
		}
	}
	p := NewPair("Ana", "Bo", 5, "levels", joint)
	assert.Equal(t, 40, p.Grooms)
	assert.Equal(t, 30, p.Decisions.Grooms())
	table, same, _ := levels(joint, 5)
	total, why := tableTotal(table)
	assert.Empty(t, why)
	assert.Equal(t, 20, total)
	assert.Equal(t, 20, same.Of)
	assert.Equal(t, 30, scores(joint).Pairs)
	assert.False(t, p.LinearLevels.Shown)
	assert.Contains(t, p.LinearLevels.Sentence, "so far 20")
}

// Swapping the two assessors swaps who is stricter and nothing else.
func TestPairIsTheSameFromBothSides(t *testing.T) {
	joint := season(60)
	turned := make([]Joint, len(joint))
	for i, j := range joint {
		turned[i] = Joint{j.B, j.A}
	}
	p, q := NewPair("Ana", "Bo", 5, "levels", joint), NewPair("Bo", "Ana", 5, "levels", turned)
	for i, s := range p.All() {
		other := q.All()[i]
		if s.Figure == ScoreDifference || s.Figure == ScoreLimits {
			assert.InDelta(t, s.Range.Low, -other.Range.High, close)
			continue
		}
		assert.Equal(t, s.Sentence, other.Sentence)
		assert.InDelta(t, s.Value.Value, other.Value.Value, close)
	}
}
