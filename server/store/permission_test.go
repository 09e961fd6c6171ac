package store

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
)

func TestPermissionStopsAtWhatTheEvidenceSupports(t *testing.T) {
	h := newHouse(t)
	set := func(level int) error {
		_, err := h.SetPermission(h.ctx, h.ines, h.pia.Key, "TH4", level, "Good hands.", "")
		return err
	}
	highest := func() int {
		top := 0
		for level := 1; level <= 5; level++ {
			if err := set(level); err != nil {
				assert.Contains(t, refusal(t, err), "The evidence supports at most P", "P%d", level)
				continue
			}
			require.Equal(t, top+1, level, "no gap")
			top = level
		}
		return top
	}
	assert.Equal(t, 1, highest(), "nothing seen")
	h.signMore(1, h.pia, h.ines)
	assert.Equal(t, 2, highest())
	h.signMore(1, h.pia, h.tomas)
	assert.Equal(t, 3, highest())
	h.signMore(1, h.pia, h.ines)
	assert.Equal(t, 4, highest())
	h.confirmed(h.pia, "TH4")
	assert.Equal(t, 5, highest())
	assert.Equal(t, assessment.Permission{Set: 5, Ceiling: 5, Now: 5}, h.standing(h.pia, "TH4").Permission)

	h.clock.days(1)
	h.harm(h.ines, h.pia, "TH4", "S2")
	assert.Equal(t, 3, h.standing(h.pia, "TH4").Permission.Now, "an open hold lowers it by itself")
	assert.Contains(t, refusal(t, set(4)), "at most P3")
	for _, level := range []int{-1, 0, 6} {
		assert.Contains(t, refusal(t, set(level)), "P1 to P5")
	}
}

func TestPermissionHistory(t *testing.T) {
	h := newHouse(t)
	h.signMore(2, h.pia, h.ines, h.tomas)
	for _, x := range []struct {
		by    Scope
		level int
		why   string
	}{{h.ines, 2, "First dog."}, {h.tomas, 3, "Second dog."}, {h.runa, 1, "Tired today."}} {
		to, err := h.SetPermission(h.ctx, x.by, h.pia.Key, "TH4", x.level, x.why, "")
		require.NoError(t, err)
		assert.Equal(t, "/apprentices/"+h.pia.Key+"/skills/TH4", to)
	}
	list, err := h.PermissionHistory(h.ctx, h.pia, h.pia.Key, "TH4")
	require.NoError(t, err)
	require.Len(t, list, 3)
	for i, want := range []struct {
		level   int
		by, why string
	}{{1, "Runa Vale", "Tired today."}, {3, "Tomas Quill", "Second dog."}, {2, "Ines Holm", "First dog."}} {
		got := list[i]
		assert.Equal(t, want.level, got.Level)
		assert.Equal(t, [2]string{want.by, want.why}, [2]string{got.By.Name, got.Reason})
		assert.Equal(t, h.today(), got.Day)
	}
	assert.Equal(t, 1, h.standing(h.pia, "TH4").Permission.Now, "the newest holds")
	other, err := h.PermissionHistory(h.ctx, h.runa, h.pia.Key, "CW4")
	require.NoError(t, err)
	assert.Empty(t, other)

	_, err = h.SetPermission(h.ctx, h.ines, h.pia.Key, "no such skill", 1, "", "")
	assert.ErrorIs(t, err, ErrNotFound)
	_, err = h.SetPermission(h.ctx, h.sven, h.pia.Key, "TH4", 1, "", "")
	assert.ErrorIs(t, err, ErrNotFound)
	assert.Equal(t, 3, h.rows("permission"))
}
