package store

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
)

// CW5 is rehearsed (rule E5), CW7 is a knowledge check (rule E6), TH4 is judged
// on grooms.
func TestAddCheckAsTheRuleAsks(t *testing.T) {
	h := newHouse(t)
	today := h.today()
	for _, c := range []struct {
		name string
		in   CheckEntry
		want string // part of the refusal; empty when it is taken
	}{
		{"rehearsal", CheckEntry{Skill: "CW5", Day: today, Level: 4}, ""},
		{"rehearsal that failed", CheckEntry{Skill: "CW5", Day: today - 1, Level: 1}, ""},
		{"rehearsal without a level", CheckEntry{Skill: "CW5", Day: today, Percent: 90}, "L1 to L5"},
		{"rehearsal above the scale", CheckEntry{Skill: "CW5", Day: today, Level: 6}, "L1 to L5"},
		{"rehearsal below the scale", CheckEntry{Skill: "CW5", Day: today, Level: -1}, "L1 to L5"},
		{"check", CheckEntry{Skill: "CW7", Day: today, Percent: 80}, ""},
		{"check with nothing right", CheckEntry{Skill: "CW7", Day: today, Percent: 0}, ""},
		{"check with all right", CheckEntry{Skill: "CW7", Day: today, Percent: 100}, ""},
		{"check above 100", CheckEntry{Skill: "CW7", Day: today, Percent: 101}, "0 to 100"},
		{"check below 0", CheckEntry{Skill: "CW7", Day: today, Percent: -1}, "0 to 100"},
		{"no day", CheckEntry{Skill: "CW7", Percent: 80}, "today or earlier"},
		{"tomorrow", CheckEntry{Skill: "CW7", Day: today + 1, Percent: 80}, "today or earlier"},
		{"skill seen on grooms", CheckEntry{Skill: "TH4", Day: today, Level: 4, Percent: 80}, "judged on assessed grooms"},
		{"disputed skill", CheckEntry{Skill: "NE4", Day: today, Level: 4}, "judged on assessed grooms"},
		{"no such skill", CheckEntry{Skill: "ZZ9", Day: today, Level: 4}, "not in the programme"},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.in.Apprentice = h.pia.Key
			n := h.rows("observation")
			to, err := h.AddCheck(h.ctx, h.ines, c.in, "")
			if c.want != "" {
				assert.Contains(t, refusal(t, err), c.want)
				assert.Equal(t, n, h.rows("observation"))
				return
			}
			require.NoError(t, err)
			assert.Equal(t, "/apprentices/"+h.pia.Key+"/skills/"+c.in.Skill, to)
			assert.Equal(t, n+1, h.rows("observation"))
		})
	}
	a, err := h.Evidence(h.ctx, h.pia, h.pia.Key)
	require.NoError(t, err)
	require.Len(t, a.Observations["CW5"], 2)
	assert.Equal(t, []assessment.Day{today - 1, today}, []assessment.Day{a.Observations["CW5"][0].Day, a.Observations["CW5"][1].Day}, "in order of day, not of entry")
	o := a.Observations["CW5"][1]
	o.Seq = 0
	assert.Equal(t, assessment.Observation{Skill: "CW5", Assessor: h.ines.Key, Day: today, Source: assessment.Simulation, Level: 4}, o)
	require.Len(t, a.Observations["CW7"], 3)
	o = a.Observations["CW7"][0]
	o.Seq = 0
	assert.Equal(t, assessment.Observation{Skill: "CW7", Assessor: h.ines.Key, Day: today, Source: assessment.Check, Percent: 80}, o)
	assert.Equal(t, assessment.Eligible, h.standing(h.pia, "CW7").State)

	for _, sc := range []Scope{h.pia, h.mara} {
		_, err := h.AddCheck(h.ctx, sc, CheckEntry{Apprentice: h.pia.Key, Skill: "CW7", Day: today, Percent: 80}, "")
		assert.ErrorIs(t, err, ErrDenied)
	}
	_, err = h.AddCheck(h.ctx, h.sven, CheckEntry{Apprentice: h.pia.Key, Skill: "CW7", Day: today, Percent: 80}, "")
	assert.ErrorIs(t, err, ErrNotFound)
	_, err = h.AddCheck(h.ctx, h.ines, CheckEntry{Apprentice: h.nell.Key, Skill: "CW7", Day: today, Percent: 80}, "")
	assert.ErrorIs(t, err, ErrNotFound)
}

// Evidence comes in order of day and then of entry, in one list for each
// skill, and both ways of reading it agree.
func TestEvidenceIsInOrder(t *testing.T) {
	h := newHouse(t)
	h.clock.days(30)
	for i, back := range []int{3, 9, 9, 0, 20, 3} {
		by := []Scope{h.ines, h.tomas}[i%2]
		g := h.groom(by, []Scope{h.pia, h.joss}[i/4])
		g.Day -= assessment.Day(back)
		h.sign(by, g)
	}
	all, err := h.AllEvidence(h.ctx, h.runa)
	require.NoError(t, err)
	assert.Len(t, all, 2)
	for _, sc := range []Scope{h.pia, h.joss} {
		a, err := h.Evidence(h.ctx, h.runa, sc.Key)
		require.NoError(t, err)
		require.Len(t, a.Observations, 44)
		for skill, list := range a.Observations {
			for i, o := range list {
				require.Equal(t, skill, o.Skill)
				require.NotEmpty(t, o.Groom)
				if i > 0 {
					was := list[i-1]
					require.True(t, was.Day < o.Day || was.Day == o.Day && was.Seq < o.Seq, "%v before %v", was, o)
				}
			}
			without := make([]assessment.Observation, len(list))
			copy(without, list)
			for i := range without {
				without[i].Groom = "" // reading everybody leaves it out
			}
			require.Equal(t, without, all[sc.Key].Observations[skill])
		}
	}
}
