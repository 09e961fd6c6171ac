package store

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
)

// refusal is the first reason of a refused change.
func refusal(t *testing.T, err error) string {
	t.Helper()
	var r *Refusal
	require.ErrorAs(t, err, &r)
	require.NotEmpty(t, r.Reasons)
	return r.Reasons[0]
}

// TH4 needs three counting observations on two sizes of dog (rule E4), no
// points and no other skill.
func TestSignOffIsProposedWhenEligible(t *testing.T) {
	h := newHouse(t)
	propose := func(by Scope, skill string) (string, error) {
		return h.Propose(h.ctx, by, h.pia.Key, skill, "Seen on three dogs.", "", "")
	}
	for n := range 3 {
		_, err := propose(h.ines, "TH4")
		assert.Contains(t, refusal(t, err), "The evidence is not complete yet", "after %d grooms", n)
		h.signMore(1, h.pia, h.ines)
	}
	assert.Zero(t, h.rows("signoff"))
	key, err := propose(h.ines, "TH4")
	require.NoError(t, err)
	_, err = propose(h.tomas, "TH4")
	assert.Contains(t, refusal(t, err), "already waits")
	_, err = propose(h.ines, "no such skill")
	assert.ErrorIs(t, err, ErrNotFound)
	_, err = h.Propose(h.ctx, h.sven, h.pia.Key, "CW4", "", "", "")
	assert.ErrorIs(t, err, ErrNotFound, "not of this salon")
	_, err = h.Propose(h.ctx, h.ines, h.tomas.Key, "CW4", "", "", "")
	assert.ErrorIs(t, err, ErrNotFound, "not an apprentice")
	for _, sc := range []Scope{h.pia, h.mara} {
		_, err = propose(sc, "CW4")
		assert.ErrorIs(t, err, ErrDenied, sc.Role)
	}
	assert.Equal(t, 1, h.rows("signoff"))

	so, err := h.SignOff(h.ctx, h.pia, key)
	require.NoError(t, err)
	assert.Equal(t, assessment.SignOff{Key: key, Apprentice: h.pia.Key, Skill: "TH4", ProposedBy: h.ines.Key, Proposed: h.today(),
		Statement: "Seen on three dogs.", Programme: h.prog.ID, Version: 1}, so.SignOff)
	assert.Equal(t, [3]string{"Pia Lund", "Ines Holm", ""}, [3]string{so.Who.Name, so.Proposer.Name, so.Decider.Name})
	assert.Equal(t, h.clock.Now(), so.ProposedAt)
	assert.Equal(t, assessment.Eligible, h.standing(h.pia, "TH4").State, "proposed is not signed")
}

// What a sign-off rested on stays as it was, whatever comes later.
func TestSignOffKeepsItsEvidence(t *testing.T) {
	h := newHouse(t)
	grooms := h.signMore(3, h.pia, h.ines, h.tomas)
	low := h.groom(h.ines, h.pia)
	low.Skills["TH4"] = 3
	below := h.sign(h.ines, low)
	st := h.standing(h.pia, "TH4")
	key, err := h.Propose(h.ctx, h.ines, h.pia.Key, "TH4", "Seen.", "", "")
	require.NoError(t, err)
	h.signMore(2, h.pia, h.tomas)
	g := h.groom(h.ines, h.pia)
	g.Supersedes, g.Because = grooms[0], "Wrong dog."
	h.sign(h.ines, g)

	so, err := h.SignOff(h.ctx, h.runa, key)
	require.NoError(t, err)
	assert.Equal(t, st.Requirements, so.Evidence.Requirements)
	assert.Equal(t, st.Points, so.Evidence.Points)
	var counted []string
	for _, o := range so.Evidence.Counted {
		counted = append(counted, o.Groom)
	}
	assert.Equal(t, grooms, counted)
	require.Len(t, so.Evidence.Excluded, 1)
	assert.Equal(t, below, so.Evidence.Excluded[0].Groom)
	assert.Equal(t, assessment.BelowLevel.Words(), so.Evidence.Excluded[0].Why)
}

func TestAnotherPersonConfirms(t *testing.T) {
	h := newHouse(t)
	h.signMore(3, h.pia, h.ines, h.tomas)
	key, err := h.Propose(h.ctx, h.ines, h.pia.Key, "TH4", "Seen.", "", "")
	require.NoError(t, err)
	for _, confirm := range []bool{true, false} {
		err := h.Decide(h.ctx, h.ines, key, confirm, "", "", "")
		assert.Contains(t, refusal(t, err), "You proposed this sign-off")
		for _, sc := range []Scope{h.pia, h.mara} {
			assert.ErrorIs(t, h.Decide(h.ctx, sc, key, confirm, "", "", ""), ErrDenied, sc.Role)
		}
		assert.ErrorIs(t, h.Decide(h.ctx, h.olan, key, confirm, "", "", ""), ErrNotFound)
		assert.ErrorIs(t, h.Decide(h.ctx, h.tomas, "nothing", confirm, "", "", ""), ErrNotFound)
	}
	assert.Zero(t, h.rows("signoff_decision"))
	h.clock.days(1)
	require.NoError(t, h.Decide(h.ctx, h.tomas, key, true, "Agreed.", "", ""))

	st := h.standing(h.pia, "TH4")
	assert.Equal(t, assessment.Signed, st.State)
	require.NotNil(t, st.SignOff)
	so, err := h.SignOff(h.ctx, h.pia, key)
	require.NoError(t, err)
	assert.Equal(t, *st.SignOff, so.SignOff)
	assert.Equal(t, assessment.Confirmed, so.Decision)
	assert.Equal(t, [2]string{h.tomas.Key, "Tomas Quill"}, [2]string{so.DecidedBy, so.Decider.Name})
	assert.Equal(t, h.today(), so.Decided)
	assert.Equal(t, "Agreed.", so.Reason)

	for _, confirm := range []bool{true, false} {
		assert.Contains(t, refusal(t, h.Decide(h.ctx, h.runa, key, confirm, "", "", "")), "decided already")
	}
	_, err = h.Propose(h.ctx, h.ines, h.pia.Key, "TH4", "Seen.", "", "")
	assert.Contains(t, refusal(t, err), "signed already")
}

func TestOfTwoConfirmersOneDecides(t *testing.T) {
	h := newHouse(t)
	h.signMore(3, h.pia, h.ines, h.tomas)
	key, err := h.Propose(h.ctx, h.ines, h.pia.Key, "TH4", "Seen.", "", "")
	require.NoError(t, err)
	by := []Scope{h.tomas, h.runa}
	_, errs := together(8, func(i int) (int, error) { return 0, h.Decide(h.ctx, by[i%2], key, i%4 < 2, "", "", "") })
	decided := 0
	for _, err := range errs {
		if err == nil {
			decided++
			continue
		}
		assert.Contains(t, refusal(t, err), "decided already")
	}
	assert.Equal(t, 1, decided)
	assert.Equal(t, 1, h.rows("signoff_decision"))
	assert.Equal(t, 1, h.count("SELECT count(*) FROM record WHERE kind IN ('signoff.confirmed', 'signoff.declined')"))
}

func TestDeclinedCanBeProposedAgain(t *testing.T) {
	h := newHouse(t)
	h.signMore(3, h.pia, h.ines, h.tomas)
	first, err := h.Propose(h.ctx, h.ines, h.pia.Key, "TH4", "Seen.", "", "")
	require.NoError(t, err)
	require.NoError(t, h.Decide(h.ctx, h.tomas, first, false, "One more large dog first.", "", ""))
	assert.Equal(t, assessment.Eligible, h.standing(h.pia, "TH4").State)
	second, err := h.Propose(h.ctx, h.tomas, h.pia.Key, "TH4", "Seen, the large one too.", "", "")
	require.NoError(t, err)
	require.NoError(t, h.Decide(h.ctx, h.ines, second, true, "", "", ""))
	assert.Equal(t, assessment.Signed, h.standing(h.pia, "TH4").State)

	list, err := h.SignOffs(h.ctx, h.runa)
	require.NoError(t, err)
	require.Len(t, list, 2)
	assert.Equal(t, [2]string{second, first}, [2]string{list[0].Key, list[1].Key}, "the newest first")
	assert.Equal(t, assessment.Declined, list[1].Decision)
	assert.Equal(t, "One more large dog first.", list[1].Reason)
}

func TestWhatIsNoLongerEligibleIsNotConfirmed(t *testing.T) {
	for name, spoil := range map[string]func(h *house, grooms []string){
		"too old": func(h *house, _ []string) { h.clock.days(91) },
		"on hold": func(h *house, _ []string) { h.harm(h.ines, h.pia, "TH2", "S3") },
		"corrected": func(h *house, grooms []string) {
			g := h.groom(h.ines, h.pia)
			g.Supersedes, g.Because, g.Skills = grooms[0], "TH4 was prompted.", map[string]int{"TH4": 3}
			h.sign(h.ines, g)
		},
	} {
		t.Run(name, func(t *testing.T) {
			h := newHouse(t)
			grooms := h.signMore(3, h.pia, h.ines, h.tomas)
			key, err := h.Propose(h.ctx, h.ines, h.pia.Key, "TH4", "Seen.", "", "")
			require.NoError(t, err)
			spoil(h, grooms)
			assert.Contains(t, refusal(t, h.Decide(h.ctx, h.tomas, key, true, "", "", "")), "stopped being eligible")
			assert.Zero(t, h.rows("signoff_decision"))
			require.NoError(t, h.Decide(h.ctx, h.tomas, key, false, "Not now.", "", ""), "it can be declined")
		})
	}
}

// A sign-off that nobody may make fails for the store's own reason even if the
// judgement above it were wrong.
func TestDatabaseRefusesSelfSignOff(t *testing.T) {
	h := newHouse(t)
	for _, query := range []string{
		"INSERT INTO signoff (key, salon_id, apprentice_id, programme_id, skill, proposed_by, day, statement, evidence, created_at) VALUES ('x', 1, 5, 1, 'TH4', 5, 1, '', '{}', 1)",
		"INSERT INTO groom (key, salon_id, programme_id, apprentice_id, assessor_id, day, dog, coat, size, weighted_sum, weight, outcome, body, digest, signed_at) VALUES ('x', 1, 1, 5, 5, 1, '', '', '', 0, 0, 0, '{}', '', 1)",
	} {
		err := h.write.Exec(query).Error
		require.Error(t, err, query)
		assert.Contains(t, err.Error(), "CHECK constraint failed", query)
	}
}

func TestProposeOnTheEvidenceLookedAt(t *testing.T) {
	h := newHouse(t)
	h.signMore(3, h.pia, h.ines, h.tomas)
	digest := func() string {
		st := h.standing(h.pia, "TH4")
		d, err := EvidenceDigest(&st)
		require.NoError(t, err)
		return d
	}
	old := digest()
	h.signMore(1, h.pia, h.tomas)
	_, err := h.Propose(h.ctx, h.ines, h.pia.Key, "TH4", "Seen.", old, "")
	assert.ErrorIs(t, err, ErrConflict)
	assert.Zero(t, h.rows("signoff"))
	key, err := h.Propose(h.ctx, h.ines, h.pia.Key, "TH4", "Seen.", digest(), "")
	require.NoError(t, err)
	so, err := h.SignOff(h.ctx, h.mara, key)
	require.NoError(t, err)
	assert.Equal(t, digest(), so.Digest)
}
