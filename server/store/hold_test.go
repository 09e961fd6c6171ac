package store

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
)

// signedTH4 is a house in which Pia is signed for TH4.
func signedTH4(t *testing.T) *house {
	h := newHouse(t)
	h.signMore(3, h.pia, h.ines, h.tomas)
	h.confirmed(h.pia, "TH4")
	require.Equal(t, assessment.Signed, h.standing(h.pia, "TH4").State)
	h.clock.days(1)
	return h
}

func (h *house) openHolds() []Held {
	h.t.Helper()
	list, err := h.OpenHolds(h.ctx, h.runa)
	require.NoError(h.t, err)
	return list
}

func TestHarmUnderASignedSkillOpensAHold(t *testing.T) {
	h := signedTH4(t)
	h.harm(h.ines, h.pia, "TH5", "S2")
	h.harm(h.ines, h.joss, "TH4", "S2")
	assert.Empty(t, h.openHolds(), "neither skill is signed")
	g := h.groom(h.ines, h.pia)
	g.Incidents = []assessment.Incident{{Kind: "lost_tool", Severity: "S2", Attribution: "equipment", Skill: "TH4"}}
	h.sign(h.ines, g)
	assert.Empty(t, h.openHolds(), "it was not the apprentice's act")

	key := h.harm(h.ines, h.pia, "TH4", "S2")
	list := h.openHolds()
	require.Len(t, list, 1)
	assert.Equal(t, "Pia Lund", list[0].Apprentice.Name)
	assert.Equal(t, "TH4", list[0].Skill)
	st := h.standing(h.pia, "TH4")
	assert.Equal(t, assessment.OnHold, st.State)
	require.Len(t, st.Holds, 1)
	assert.Equal(t, key, st.Holds[0].Groom)
}

// A hold on the whole unit does not swallow the hold on one skill: when the
// unit's is released the skill's own still stands.
func TestHarmUnderASkillHeldOtherwiseOpensItsOwnHold(t *testing.T) {
	h := signedTH4(t)
	h.harm(h.ines, h.pia, "TH2", "S3")
	require.Equal(t, assessment.OnHold, h.standing(h.pia, "TH4").State)
	h.harm(h.ines, h.pia, "TH4", "S2")
	list := h.openHolds()
	require.Len(t, list, 2)
	h.signMore(3, h.pia, h.ines)
	_, err := h.Release(h.ctx, h.tomas, list[0].Key, true, "Shown again.", "")
	require.NoError(t, err)
	assert.Equal(t, assessment.OnHold, h.standing(h.pia, "TH4").State)
}

// A sign-off that has lapsed is none: what happens then is practice.
func TestHarmUnderALapsedSkillOpensNoHold(t *testing.T) {
	h := signedTH4(t)
	h.clock.days(h.prog.Currency.LapseDays + 1)
	require.Equal(t, assessment.Lapsed, h.standing(h.pia, "TH4").State)
	h.harm(h.ines, h.pia, "TH4", "S2")
	assert.Empty(t, h.openHolds())
}

func TestHoldIsReleasedWhenItsConditionsAreMet(t *testing.T) {
	h := signedTH4(t)
	h.harm(h.ines, h.pia, "TH4", "S2")
	hold := h.openHolds()[0].Key
	release := func(by Scope, reason string) error {
		_, err := h.Release(h.ctx, by, hold, false, reason, "")
		return err
	}
	for n := range 3 {
		assert.Contains(t, refusal(t, release(h.ines, "Good again.")), "more since the incident", "after %d clean", n)
		h.signMore(1, h.pia, h.tomas)
	}
	assert.Contains(t, refusal(t, release(h.ines, "")), "Give the reason")
	assert.ErrorIs(t, release(h.pia, "Good again."), ErrDenied)
	assert.ErrorIs(t, release(h.mara, "Good again."), ErrDenied)
	assert.ErrorIs(t, release(h.olan, "Good again."), ErrNotFound)
	_, err := h.Release(h.ctx, h.ines, "nothing", true, "Good again.", "")
	assert.ErrorIs(t, err, ErrNotFound)
	assert.Zero(t, h.rows("hold_release"))

	to, err := h.Release(h.ctx, h.ines, hold, false, "Good again.", "")
	require.NoError(t, err)
	assert.Equal(t, "/apprentices/"+h.pia.Key+"/skills/TH4", to)
	assert.Empty(t, h.openHolds())
	assert.Equal(t, assessment.Signed, h.standing(h.pia, "TH4").State)
	a, err := h.Evidence(h.ctx, h.pia, h.pia.Key)
	require.NoError(t, err)
	require.Len(t, a.Holds, 1, "the hold stays in the record")
	assert.Equal(t, [2]string{h.ines.Key, "Good again."}, [2]string{a.Holds[0].ReleasedBy, a.Holds[0].Reason})
	assert.Equal(t, h.today(), a.Holds[0].Released)
	assert.Contains(t, refusal(t, release(h.ines, "Once more.")), "already ended")
}

func TestAFaultAfterTheHoldStartsItsCountAgain(t *testing.T) {
	h := signedTH4(t)
	h.harm(h.ines, h.pia, "TH4", "S2")
	hold := h.openHolds()[0].Key
	h.signMore(2, h.pia, h.tomas)
	h.clock.days(1)
	low := h.groom(h.tomas, h.pia)
	low.Skills["TH4"] = 3
	h.sign(h.tomas, low)
	h.signMore(2, h.pia, h.tomas)
	_, err := h.Release(h.ctx, h.ines, hold, false, "Good again.", "")
	assert.Contains(t, refusal(t, err), "1 clean observation more")
	h.signMore(1, h.pia, h.tomas)
	_, err = h.Release(h.ctx, h.ines, hold, false, "Good again.", "")
	assert.NoError(t, err)
}

func TestGraveHoldsAskForMore(t *testing.T) {
	h := newHouse(t)
	h.harm(h.ines, h.pia, "CL4", "S3")
	unit := h.openHolds()[0].Key
	_, err := h.Release(h.ctx, h.ines, unit, false, "", "")
	var r *Refusal
	require.ErrorAs(t, err, &r)
	assert.Len(t, r.Reasons, 5, "clean ones, dogs, another assessor, shown again, reason: %v", r.Reasons)
	h.signMore(3, h.pia, h.tomas)
	_, err = h.Release(h.ctx, h.ines, unit, true, "Shown again.", "")
	assert.Contains(t, refusal(t, err), "other than the assessor who recorded")
	_, err = h.Release(h.ctx, h.tomas, unit, true, "Shown again.", "")
	assert.NoError(t, err)

	h.harm(h.ines, h.pia, "CL4", "S4")
	all := h.openHolds()
	require.Len(t, all, 1)
	assert.Equal(t, assessment.OnHold, h.standing(h.pia, "NE1").State, "every safety-critical skill")
	assert.NotEqual(t, assessment.OnHold, h.standing(h.pia, "TH4").State)
	_, err = h.Release(h.ctx, h.tomas, all[0].Key, true, "Looked into.", "")
	assert.Contains(t, refusal(t, err), "Only a head groomer")
	_, err = h.Release(h.ctx, h.runa, all[0].Key, false, "Looked into with the vet.", "")
	assert.NoError(t, err)
}

// A near miss that keeps coming back asks for a talk, and for nothing else.
func TestNearMissesReachTheStanding(t *testing.T) {
	h := newHouse(t)
	var keys []string
	for range 3 {
		keys = append(keys, h.harm(h.ines, h.pia, "HR2", "S0"))
		h.clock.days(1)
	}
	assert.Equal(t, assessment.IncidentsRepeated, h.standing(h.pia, "HR2").Review)
	a, err := h.Evidence(h.ctx, h.runa, h.pia.Key)
	require.NoError(t, err)
	require.Len(t, a.Incidents, 3)
	assert.Equal(t, keys[0], a.Incidents[0].Groom)
	assert.Equal(t, h.today()-3, a.Incidents[0].Day)

	again := h.groom(h.ines, h.pia)
	again.Supersedes, again.Because = keys[1], "No near miss after all."
	h.sign(h.ines, again)
	assert.Equal(t, assessment.NoReview, h.standing(h.pia, "HR2").Review, "a corrected one is gone")
	a, err = h.Evidence(h.ctx, h.runa, h.joss.Key)
	require.NoError(t, err)
	assert.Empty(t, a.Incidents, "nobody else's")
}
