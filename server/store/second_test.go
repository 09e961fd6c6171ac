package store

import (
	"net/url"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
)

func (h *house) secondDraft(by Scope, first string) (assessment.Groom, error) {
	var form assessment.Groom
	_, err := h.NewSecond(h.ctx, by, first, "", func(g assessment.Groom) map[string][]string {
		form = g
		return url.Values{"dog": {g.Dog}, "second_of": {g.SecondOf}}
	})
	return form, err
}

// A second rating begins with what was so before anybody marked, and the first
// marks stay sealed to its author until it is signed.
func TestSecondRating(t *testing.T) {
	h := newHouse(t)
	g := h.groom(h.ines, h.pia)
	first := h.sign(h.ines, g)
	form, err := h.secondDraft(h.tomas, first)
	require.NoError(t, err)
	assert.Equal(t, [4]string{g.Dog, g.Coat, g.Brief.Asked, first}, [4]string{form.Dog, form.Coat, form.Brief.Asked, form.SecondOf})
	assert.Empty(t, form.Marks)
	assert.Empty(t, form.Keep+form.Change+form.Next+form.Help)
	sealed, err := h.Sealed(h.ctx, h.tomas)
	require.NoError(t, err)
	assert.Equal(t, map[string]bool{first: true}, sealed)
	sealed, err = h.Sealed(h.ctx, h.runa)
	require.NoError(t, err)
	assert.Empty(t, sealed)

	second := fullGroom(h.prog, h.pia.Key, h.tomas.Key, g.Day, g.Dog, g.Grams)
	second.SecondOf = first
	second.Marks["R5"] = assessment.Mark{Level: 3}
	key := h.sign(h.tomas, second)
	joints, err := h.Joints(h.ctx, h.mara)
	require.NoError(t, err)
	require.Len(t, joints, 1)
	assert.Equal(t, [2]string{first, key}, [2]string{joints[0].First.Key, joints[0].Second.Key})
	for _, sc := range []Scope{h.joss, h.sven} {
		joints, err = h.Joints(h.ctx, sc)
		require.NoError(t, err)
		assert.Empty(t, joints, sc.Name)
	}

	again := h.groom(h.ines, h.pia)
	again.Dog, again.Supersedes, again.Because = g.Dog, first, "Wrong coat."
	h.sign(h.ines, again)
	joints, err = h.Joints(h.ctx, h.mara)
	require.NoError(t, err)
	assert.Empty(t, joints, "a correction knows both ratings")
}

func TestSecondRatingIsRefused(t *testing.T) {
	h := newHouse(t)
	first := h.sign(h.ines, h.groom(h.ines, h.pia))
	start := func(by Scope, key string) string {
		_, err := h.secondDraft(by, key)
		return refusal(t, err)
	}
	assert.Contains(t, start(h.ines, first), "You marked this groom yourself")
	_, err := h.secondDraft(h.sven, first)
	assert.ErrorIs(t, err, ErrNotFound, "another salon")
	require.NoError(t, h.Open(h.ctx, h.runa, first))
	assert.Contains(t, start(h.runa, first), "You have seen the marks")

	other := h.groom(h.tomas, h.pia)
	other.SecondOf = first
	_, err = h.Sign(h.ctx, h.tomas, h.draft(h.tomas, other))
	assert.Contains(t, refusal(t, err), "same apprentice, dog and day")
	old := h.sign(h.ines, h.groom(h.ines, h.pia))
	h.clock.days(8)
	assert.Contains(t, start(h.tomas, old), "within 7 days")
	assert.Zero(t, h.count("SELECT count(*) FROM groom WHERE second_of_id IS NOT NULL"))
}

// A third assessor is as blind as the second: they may see the marks of neither
// before their own, and whoever saw the second's knows the groom.
func TestThirdRatingIsBlindToBoth(t *testing.T) {
	h := newHouse(t)
	g := h.groom(h.ines, h.pia)
	first := h.sign(h.ines, g)
	again := fullGroom(h.prog, h.pia.Key, h.runa.Key, g.Day, g.Dog, g.Grams)
	again.SecondOf = first
	second := h.sign(h.runa, again)

	sealed, err := h.Sealed(h.ctx, h.tomas)
	require.NoError(t, err)
	assert.Empty(t, sealed, "nothing is being rated")
	_, err = h.secondDraft(h.tomas, first)
	require.NoError(t, err)
	sealed, err = h.Sealed(h.ctx, h.tomas)
	require.NoError(t, err)
	assert.Equal(t, map[string]bool{first: true, second: true}, sealed)

	other := h.sign(h.ines, h.groom(h.ines, h.pia))
	h.sql("UPDATE draft SET body = '{}'") // nobody is rating any more
	require.NoError(t, h.Open(h.ctx, h.tomas, second))
	_, err = h.secondDraft(h.tomas, first)
	assert.Contains(t, refusal(t, err), "You have seen the marks")
	seen, err := h.Opened(h.ctx, h.tomas, 0)
	require.NoError(t, err)
	assert.Equal(t, map[string]bool{first: true, second: true}, seen)
	_, err = h.secondDraft(h.tomas, other)
	assert.NoError(t, err)
}

// An apprentice rates a groom before its marks are shown, or asks to see them
// and does not rate it.
func TestSelfRating(t *testing.T) {
	h := newHouse(t)
	rated, looked, old := h.sign(h.ines, h.groom(h.ines, h.pia)), h.sign(h.ines, h.groom(h.ines, h.pia)), h.sign(h.ines, h.groom(h.ines, h.pia))
	sealed, err := h.Sealed(h.ctx, h.pia)
	require.NoError(t, err)
	assert.Len(t, sealed, 3)
	to, err := h.RateSelf(h.ctx, h.pia, rated, map[string]int{"R1": 5, "R2": 3}, "one click")
	require.NoError(t, err)
	assert.Equal(t, "/grooms/signed/"+rated, to)
	again, err := h.RateSelf(h.ctx, h.pia, rated, map[string]int{"R1": 5, "R2": 3}, "one click")
	require.NoError(t, err)
	assert.Equal(t, to, again, "a repeat is the same rating")
	require.NoError(t, h.Open(h.ctx, h.pia, looked))

	rate := func(sc Scope, key string, levels map[string]int) error {
		_, err := h.RateSelf(h.ctx, sc, key, levels, "")
		return err
	}
	assert.Contains(t, refusal(t, rate(h.pia, rated, map[string]int{"R3": 4})), "seen the marks already")
	assert.Contains(t, refusal(t, rate(h.pia, looked, map[string]int{"R3": 4})), "seen the marks already")
	assert.Contains(t, refusal(t, rate(h.pia, old, nil)), "at least one criterion")
	assert.Contains(t, refusal(t, rate(h.pia, old, map[string]int{"R1": 6})), "L1 to L5")
	assert.Contains(t, refusal(t, rate(h.pia, old, map[string]int{"R99": 3})), "not in the rubric")
	assert.ErrorIs(t, rate(h.joss, old, map[string]int{"R1": 4}), ErrNotFound, "somebody else's")
	assert.ErrorIs(t, rate(h.ines, old, map[string]int{"R1": 4}), ErrDenied)
	h.clock.days(15)
	assert.Contains(t, refusal(t, rate(h.pia, old, map[string]int{"R1": 4})), "within 14 days")
	sealed, err = h.Sealed(h.ctx, h.pia)
	require.NoError(t, err)
	assert.Empty(t, sealed, "older ones are simply shown")

	pairs, err := h.SelfPairs(h.ctx, h.runa, h.pia.Key)
	require.NoError(t, err)
	assert.Equal(t, []SelfPair{{Groom: rated, Self: 4, Assessor: 4, Criteria: 2}}, pairs)
	own, err := h.SelfRatings(h.ctx, h.pia, rated)
	require.NoError(t, err)
	assert.Equal(t, map[string]int{"R1": 5, "R2": 3}, own)
	own, err = h.SelfRatings(h.ctx, h.joss, rated)
	require.NoError(t, err)
	assert.Empty(t, own)
	_, err = h.SelfPairs(h.ctx, h.joss, h.pia.Key)
	assert.ErrorIs(t, err, ErrNotFound)
}
