package store

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
)

func TestPolicyOpensADisputedSkill(t *testing.T) {
	h := newHouse(t)
	inDate := func() bool {
		for _, r := range h.standing(h.pia, "NE4").Requirements {
			if r.Need == assessment.NeedPolicy {
				return r.Met
			}
		}
		t.Fatal("NE4 asks for a policy")
		return false
	}
	assert.False(t, inDate(), "no policy, no sign-off")
	to, err := h.SetPolicy(h.ctx, h.runa, "NE4", h.today(), "Long-coated ears only; the paper hangs in the office.", "")
	require.NoError(t, err)
	assert.Equal(t, "/skills/NE4", to)
	assert.True(t, inDate())
	h.clock.days(366)
	assert.False(t, inDate(), "a policy is looked at again within twelve months")
	_, err = h.SetPolicy(h.ctx, h.runa, "NE4", h.today(), "Looked at again.", "")
	require.NoError(t, err)
	assert.True(t, inDate())
	_, err = h.SetPolicy(h.ctx, h.runa, "NE4", 0, "The insurer said no.", "")
	require.NoError(t, err)
	assert.False(t, inDate(), "withdrawn")

	history, err := h.PolicyHistory(h.ctx, h.mara, "NE4")
	require.NoError(t, err)
	require.Len(t, history, 3)
	assert.Equal(t, PolicyEntry{Note: "The insurer said no.", By: history[0].By, Set: h.today()}, history[0])
	assert.Equal(t, "Runa Vale", history[0].By.Name)
}

func TestPolicyIsRefused(t *testing.T) {
	h := newHouse(t)
	set := func(sc Scope, skill string, day assessment.Day, note string) error {
		_, err := h.SetPolicy(h.ctx, sc, skill, day, note, "")
		return err
	}
	assert.ErrorIs(t, set(h.ines, "NE4", h.today(), "Yes."), ErrDenied, "an assessor does not decide for the salon")
	assert.ErrorIs(t, set(h.runa, "XX9", h.today(), "Yes."), ErrNotFound)
	assert.Contains(t, refusal(t, set(h.runa, "TH4", h.today(), "Yes.")), "needs no salon policy")
	assert.Contains(t, refusal(t, set(h.runa, "NE4", h.today()+1, "Yes.")), "today or earlier")
	assert.Contains(t, refusal(t, set(h.runa, "NE4", h.today(), "")), "what the policy allows")
	assert.Zero(t, h.rows("salon_policy"))
}
