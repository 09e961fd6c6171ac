package store

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// rights are answers to an exercise of which so many are right.
func rights(x Exercise, n int) []int {
	given := make([]int, len(x.Questions))
	for i, m := range assessment.MarkExercise(x.Programme, x.Questions, nil).Marked {
		given[i] = slices.IndexFunc(m.Choices, func(c assessment.CutChoice) bool { return c.Right == (i < n) })
	}
	return given
}

func (h *house) begun(by Scope) Exercise {
	h.t.Helper()
	to, err := h.BeginExercise(h.ctx, by, "")
	require.NoError(h.t, err)
	x, err := h.Exercise(h.ctx, by, to[len("/exercises/"):])
	require.NoError(h.t, err)
	return x
}

// exercised is the key of an exercise that was finished with nine of ten right.
func (h *house) exercised(by Scope) string {
	h.t.Helper()
	x := h.begun(by)
	_, err := h.FinishExercise(h.ctx, by, x.Key, rights(x, 9), "")
	require.NoError(h.t, err)
	return x.Key
}

// The questions are drawn once and kept; nobody draws again for easier ones, and an
// answer is given once.
func TestExercise(t *testing.T) {
	h := newHouse(t)
	x := h.begun(h.pia)
	require.Len(t, x.Questions, 10)
	assert.Equal(t, [3]any{h.pia.Key, begin, assessment.Day(0)}, [3]any{x.Apprentice.Key, x.Begun, x.Done})
	assert.Equal(t, x, h.begun(h.pia), "one that is open is gone on with")
	assert.NotEqual(t, x.Questions, h.begun(h.joss).Questions)
	assert.Equal(t, assessment.Exercise(h.prog, uint64(h.count("SELECT seed FROM exercise WHERE key = ?", x.Key))), x.Questions, "drawn from the seed that is kept")

	finish := func(sc Scope, answers []int) error {
		_, err := h.FinishExercise(h.ctx, sc, x.Key, answers, "")
		return err
	}
	given := rights(x, 8)
	assert.Contains(t, refusal(t, finish(h.pia, given[:9])), "Answer every question")
	assert.Contains(t, refusal(t, finish(h.pia, append(slices.Clone(given[:9]), 99))), "Answer every question")
	assert.ErrorIs(t, finish(h.joss, given), ErrNotFound)
	assert.ErrorIs(t, finish(h.ines, given), ErrDenied)
	require.NoError(t, finish(h.pia, given))
	assert.Contains(t, refusal(t, finish(h.pia, rights(x, 10))), "answered already")
	x, err := h.Exercise(h.ctx, h.pia, x.Key)
	require.NoError(t, err)
	assert.Equal(t, [4]any{h.today(), 80, assessment.Day(0), ""}, [4]any{x.Done, x.Percent, x.Adopted, x.How})
	assert.Equal(t, given, x.Answers)
	assert.Zero(t, h.rows("observation"), "it is practice so far")
	assert.NotEqual(t, x.Key, h.begun(h.pia).Key, "the next one is a new one")
	_, err = h.BeginExercise(h.ctx, h.ines, "")
	assert.ErrorIs(t, err, ErrDenied)
}

// An assessor lets a result stand, once; it is a knowledge check of the day it was
// done and stands beside the observations of its skill.
func TestAdoptExercise(t *testing.T) {
	h := newHouse(t)
	open := h.begun(h.joss).Key
	key := h.exercised(h.pia)
	done := h.today()
	h.clock.days(3)
	adopt := func(sc Scope, key, how string) error {
		_, err := h.AdoptExercise(h.ctx, sc, key, how, "")
		return err
	}
	assert.ErrorIs(t, adopt(h.pia, key, "watched"), ErrDenied)
	assert.ErrorIs(t, adopt(h.sven, key, "watched"), ErrNotFound)
	assert.Contains(t, refusal(t, adopt(h.ines, key, "")), "apprentice's own")
	assert.Contains(t, refusal(t, adopt(h.ines, open, "watched")), "not finished")
	require.NoError(t, adopt(h.ines, key, "asked"))
	assert.Contains(t, refusal(t, adopt(h.tomas, key, "watched")), "stands already")

	x, err := h.Exercise(h.ctx, h.pia, key)
	require.NoError(t, err)
	assert.Equal(t, [3]any{done + 3, "Ines Holm", "asked"}, [3]any{x.Adopted, x.AdoptedBy.Name, x.How})
	a, err := h.Evidence(h.ctx, h.pia, h.pia.Key)
	require.NoError(t, err)
	require.Len(t, a.Observations["CL1"], 1)
	o := a.Observations["CL1"][0]
	o.Seq = 0
	assert.Equal(t, assessment.Observation{Skill: "CL1", Assessor: h.ines.Key, Day: done, Source: assessment.Check, Percent: 90}, o)
	assert.Equal(t, assessment.Practising, h.standing(h.pia, "CL1").State)

	late := h.exercised(h.pia)
	h.clock.days(800)
	assert.Contains(t, refusal(t, adopt(h.ines, late, "watched")), "too old")
}

func TestExerciseNeedsATable(t *testing.T) {
	h := newHouse(t)
	require.NoError(t, h.Publish(h.ctx, h.runa, withoutTable(t, h.prog)))
	_, err := h.BeginExercise(h.ctx, h.pia, "")
	assert.Contains(t, refusal(t, err), "no table of blades")
}

// Questions stay those of the programme they were drawn from.
func TestAnExerciseKeepsItsProgramme(t *testing.T) {
	h := newHouse(t)
	x := h.begun(h.pia)
	require.NoError(t, h.Publish(h.ctx, h.runa, nextVersion(t, h.prog)))
	again, err := h.Exercise(h.ctx, h.pia, x.Key)
	require.NoError(t, err)
	assert.Equal(t, h.prog.Digest(), again.Programme.Digest())
	_, err = h.FinishExercise(h.ctx, h.pia, x.Key, rights(again, 10), "")
	require.NoError(t, err)
	_, err = h.AdoptExercise(h.ctx, h.tomas, x.Key, "watched", "")
	require.NoError(t, err)
}

// Two clicks at the same moment begin one exercise, and finish it once.
func TestExerciseOfTwoClicks(t *testing.T) {
	h := newHouse(t)
	to, errs := together(8, func(int) (string, error) { return h.BeginExercise(h.ctx, h.pia, "") })
	for i := range errs {
		require.NoError(t, errs[i])
		assert.Equal(t, to[0], to[i])
	}
	assert.Equal(t, 1, h.rows("exercise"))
	x := h.begun(h.pia)
	given := rights(x, 7)
	to, errs = together(8, func(int) (string, error) { return h.FinishExercise(h.ctx, h.pia, x.Key, given, "one click") })
	for i := range errs {
		require.NoError(t, errs[i])
		assert.Equal(t, to[0], to[i])
	}
	assert.Equal(t, 1, h.rows("exercise_result"))
}

// withoutTable takes the table of blades out of the default programme and gives it
// the next version.
func withoutTable(t *testing.T, p *curriculum.Programme) *curriculum.Programme {
	t.Helper()
	text := string(nextVersion(t, p).Source())
	from, to := strings.Index(text, "\ncutting:\n"), strings.Index(text, "\nunits:\n")
	require.True(t, from > 0 && to > from)
	next, err := assessment.ReadProgramme("plain.yaml", []byte(text[:from]+text[to:]))
	require.NoError(t, err)
	require.Nil(t, next.Cutting)
	return next
}
