package store

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
)

// What a sign-off rested on is corrected downwards: the skill stays signed and
// asks to be looked at again, until somebody has.
func TestCorrectedEvidenceAsksForALook(t *testing.T) {
	h := newHouse(t)
	grooms := h.signMore(3, h.pia, h.ines, h.ines)
	h.confirmed(h.pia, "TH4")
	require.Equal(t, assessment.NoReview, h.standing(h.pia, "TH4").Review)
	correct := func(key string, level int) string {
		was, err := h.Groom(h.ctx, h.ines, key)
		require.NoError(t, err)
		g := was.Groom
		g.Supersedes, g.Because, g.Skills = key, "Seen again on the film.", map[string]int{"TH4": level}
		return h.sign(h.ines, g)
	}
	h.clock.days(1)
	same := correct(grooms[0], 4)
	assert.Equal(t, assessment.NoReview, h.standing(h.pia, "TH4").Review, "a slip of the pen")
	correct(same, 3)
	st := h.standing(h.pia, "TH4")
	assert.Equal(t, [2]any{assessment.Signed, assessment.EvidenceCorrected}, [2]any{st.State, st.Review})
	assert.NotEmpty(t, st.ReviewWords())

	_, err := h.Review(h.ctx, h.tomas, h.pia.Key, "TH4", " ", "")
	assert.Contains(t, refusal(t, err), "what you agreed")
	to, err := h.Review(h.ctx, h.tomas, h.pia.Key, "TH4", "Watched two more; she is safe.", "")
	require.NoError(t, err)
	assert.Equal(t, "/apprentices/"+h.pia.Key+"/skills/TH4", to)
	assert.Equal(t, assessment.NoReview, h.standing(h.pia, "TH4").Review)
	_, err = h.Review(h.ctx, h.tomas, h.pia.Key, "TH4", "Again.", "")
	assert.Contains(t, refusal(t, err), "nothing to review")
	h.clock.days(1)
	correct(grooms[1], 1)
	assert.Equal(t, assessment.EvidenceCorrected, h.standing(h.pia, "TH4").Review, "newer than the look")
}

// Harm on a skill that waits for its second person holds it.
func TestHarmWhileASignOffWaits(t *testing.T) {
	h := newHouse(t)
	h.signMore(3, h.pia, h.ines, h.tomas)
	key, err := h.Propose(h.ctx, h.ines, h.pia.Key, "TH4", "Seen.", "", "")
	require.NoError(t, err)
	st := h.standing(h.pia, "TH4")
	digest, err := EvidenceDigest(&st)
	require.NoError(t, err)
	more := h.groom(h.ines, h.pia)
	h.sign(h.ines, more)
	assert.ErrorIs(t, h.Decide(h.ctx, h.tomas, key, true, "", digest, ""), ErrConflict, "the evidence is other than was looked at")
	h.harm(h.ines, h.pia, "TH4", "S2")
	assert.Equal(t, assessment.OnHold, h.standing(h.pia, "TH4").State)
	assert.Contains(t, refusal(t, h.Decide(h.ctx, h.tomas, key, true, "", "", "")), "stopped being eligible")
	require.NoError(t, h.Decide(h.ctx, h.tomas, key, false, "After that we look again.", digest, ""), "it can be declined on any evidence")
}

// A hold goes with its incident: a correction of something else neither reopens
// it nor changes who recorded it.
func TestAHoldStaysWithItsIncident(t *testing.T) {
	h := newHouse(t)
	first := h.harm(h.ines, h.pia, "HR2", "S4")
	held := h.openHolds()
	require.Len(t, held, 1)
	was, err := h.Groom(h.ctx, h.ines, first)
	require.NoError(t, err)
	typo := was.Groom
	typo.Supersedes, typo.Because, typo.Keep = first, "A slip of the pen.", "Calm at the loop."
	second := h.sign(h.runa, typo)
	open := h.openHolds()
	require.Len(t, open, 1)
	assert.Equal(t, [2]string{held[0].Key, h.ines.Key}, [2]string{open[0].Key, open[0].RecordedBy})
	_, err = h.Release(h.ctx, h.runa, open[0].Key, true, "Looked into with the vet.", "")
	require.NoError(t, err)

	typo.Supersedes, typo.Keep = second, "Very calm at the loop."
	h.sign(h.runa, typo)
	assert.Empty(t, h.openHolds(), "released it stays")
	a, err := h.Evidence(h.ctx, h.runa, h.pia.Key)
	require.NoError(t, err)
	require.Len(t, a.Holds, 1)
	assert.Equal(t, "Looked into with the vet.", a.Holds[0].Reason)
}
