package store

import (
	"net/url"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
)

var aCutPlan = assessment.CutPlan{Consent: true, Lines: []assessment.CutLine{
	{Area: "back", Skin: "thin", Agreed: 650, Cut: assessment.Cut{Tool: "c6", Direction: "with", Under: "10"}}, {Area: "face", Cut: assessment.Cut{Tool: "10", Direction: "with"}}}}

// A plan belongs to a draft and then to its groom; two windows do not save over each
// other, and the same save twice is one.
func TestCutPlanOfADraftAndItsGroom(t *testing.T) {
	h := newHouse(t)
	in := h.draft(h.ines, h.groom(h.ines, h.pia))
	plan, err := h.CutPlan(h.ctx, h.ines, in.Draft)
	require.NoError(t, err)
	assert.Zero(t, plan)
	save := func(sc Scope, key string, seen int, plan assessment.CutPlan) (int, error) {
		return h.SaveCutPlan(h.ctx, sc, key, seen, plan)
	}
	version, err := save(h.ines, in.Draft, 0, assessment.CutPlan{Wish: true})
	require.NoError(t, err)
	assert.Equal(t, 1, version)
	version, err = save(h.ines, in.Draft, 1, aCutPlan)
	require.NoError(t, err)
	assert.Equal(t, 2, version)
	version, err = save(h.ines, in.Draft, 1, aCutPlan)
	require.NoError(t, err, "the answer did not arrive, and it was sent again")
	assert.Equal(t, 2, version)
	for _, seen := range []int{0, 1, 3} {
		_, err = save(h.ines, in.Draft, seen, assessment.CutPlan{})
		assert.ErrorIs(t, err, ErrConflict, "%d", seen)
	}
	plan, err = h.CutPlan(h.ctx, h.ines, in.Draft)
	require.NoError(t, err)
	assert.Equal(t, CutPlan{aCutPlan, 2}, plan)
	assert.Equal(t, 2, h.count("SELECT count(*) FROM record WHERE kind = 'cut_plan.saved'"))

	for _, sc := range []Scope{h.tomas, h.runa, h.sven} {
		_, err = save(sc, in.Draft, 2, assessment.CutPlan{})
		assert.ErrorIs(t, err, ErrNotFound, "a draft of somebody else's")
		_, err = h.CutPlan(h.ctx, sc, in.Draft)
		assert.ErrorIs(t, err, ErrNotFound)
	}
	_, err = h.Sign(h.ctx, h.ines, in)
	require.NoError(t, err)
	_, err = save(h.ines, in.Draft, 2, assessment.CutPlan{})
	assert.ErrorIs(t, err, ErrNotFound, "it is no draft any more")
	h.refused("UPDATE cut_plan SET body = '{}'", "never changed")
	for _, sc := range []Scope{h.ines, h.tomas, h.pia, h.mara} {
		plan, err = h.CutPlan(h.ctx, sc, in.Draft)
		require.NoError(t, err)
		assert.Equal(t, aCutPlan, plan.CutPlan, sc.Name)
	}
	for _, sc := range []Scope{h.joss, h.sven, h.nell} {
		_, err = h.CutPlan(h.ctx, sc, in.Draft)
		assert.ErrorIs(t, err, ErrNotFound, sc.Name)
		plans, err := h.CutPlans(h.ctx, sc)
		require.NoError(t, err)
		assert.Empty(t, plans, sc.Name)
	}
}

// A correction has the plan of the groom it corrects until it has its own, down a
// whole chain.
func TestCutPlanOfACorrection(t *testing.T) {
	h := newHouse(t)
	in := h.draft(h.ines, h.groom(h.ines, h.pia))
	_, err := h.SaveCutPlan(h.ctx, h.ines, in.Draft, 0, aCutPlan)
	require.NoError(t, err)
	first, err := h.Sign(h.ctx, h.ines, in)
	require.NoError(t, err)
	correct := func(old string) (draft string, sign func() string) {
		g := h.groom(h.ines, h.pia)
		g.Supersedes, g.Because = old, "Wrong coat."
		draft, err := h.NewDraft(h.ctx, h.ines, url.Values{"supersedes": {old}}, "")
		require.NoError(t, err)
		return draft, func() string {
			key, err := h.Sign(h.ctx, h.ines, Signing{Draft: draft, Version: 1, Digest: Digest(h.prog, &g), Groom: g})
			require.NoError(t, err)
			return key
		}
	}
	draft, sign := correct(first)
	plan, err := h.CutPlan(h.ctx, h.ines, draft)
	require.NoError(t, err)
	assert.Equal(t, CutPlan{aCutPlan, 0}, plan, "shown, and not its own yet")
	second := sign()
	draft, sign = correct(second)
	changed := assessment.CutPlan{Lines: aCutPlan.Lines[:1]}
	_, err = h.SaveCutPlan(h.ctx, h.ines, draft, 0, changed)
	require.NoError(t, err)
	third := sign()
	for key, want := range map[string]assessment.CutPlan{first: aCutPlan, second: aCutPlan, third: changed} {
		plan, err := h.CutPlan(h.ctx, h.pia, key)
		require.NoError(t, err)
		assert.Equal(t, want, plan.CutPlan)
	}
	plans, err := h.CutPlans(h.ctx, h.mara)
	require.NoError(t, err)
	assert.Equal(t, map[string]assessment.CutPlan{first: aCutPlan, second: aCutPlan, third: changed}, plans)
}

// A groom that goes to another apprentice takes its plan along, although the first
// is not theirs to see.
func TestCutPlanOfAGroomThatWentToSomebodyElse(t *testing.T) {
	h := newHouse(t)
	in := h.draft(h.ines, h.groom(h.ines, h.pia))
	_, err := h.SaveCutPlan(h.ctx, h.ines, in.Draft, 0, aCutPlan)
	require.NoError(t, err)
	first, err := h.Sign(h.ctx, h.ines, in)
	require.NoError(t, err)
	g := h.groom(h.ines, h.joss)
	g.Supersedes, g.Because = first, "Wrong apprentice."
	second := h.sign(h.ines, g)
	plan, err := h.CutPlan(h.ctx, h.joss, second)
	require.NoError(t, err)
	assert.Equal(t, CutPlan{aCutPlan, 0}, plan)
	plans, err := h.CutPlans(h.ctx, h.joss)
	require.NoError(t, err)
	assert.Equal(t, map[string]assessment.CutPlan{second: aCutPlan}, plans)
	_, err = h.CutPlan(h.ctx, h.joss, first)
	assert.ErrorIs(t, err, ErrNotFound)
	plain := h.sign(h.ines, h.groom(h.ines, h.pia))
	plan, err = h.CutPlan(h.ctx, h.pia, plain)
	require.NoError(t, err)
	assert.Zero(t, plan)
}

func TestADiscardedDraftTakesItsCutPlanAlong(t *testing.T) {
	h := newHouse(t)
	in := h.draft(h.ines, h.groom(h.ines, h.pia))
	_, err := h.SaveCutPlan(h.ctx, h.ines, in.Draft, 0, aCutPlan)
	require.NoError(t, err)
	require.NoError(t, h.DropDraft(h.ctx, h.tomas, in.Draft), "nothing of his")
	assert.Equal(t, 1, h.rows("cut_plan"))
	require.NoError(t, h.DropDraft(h.ctx, h.ines, in.Draft))
	assert.Zero(t, h.rows("cut_plan"))

	in = h.draft(h.ines, h.groom(h.ines, h.pia))
	_, err = h.SaveCutPlan(h.ctx, h.ines, in.Draft, 0, aCutPlan)
	require.NoError(t, err)
	_, err = h.Sign(h.ctx, h.ines, in)
	require.NoError(t, err)
	require.NoError(t, h.DropDraft(h.ctx, h.ines, in.Draft), "it is signed: there is no draft to drop")
	assert.Equal(t, 1, h.rows("cut_plan"))
}
