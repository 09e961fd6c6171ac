package assessment

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestWhoMayKeepPhotos(t *testing.T) {
	for _, c := range []struct {
		role        Role
		own, signed bool
		may         bool
	}{
		{Assessor, true, false, true}, {Assessor, true, true, true}, {Assessor, false, true, false},
		{HeadGroomer, true, false, true}, {HeadGroomer, false, true, true}, {HeadGroomer, false, false, false}, // nobody else's draft
		{Apprentice, true, true, false}, {Auditor, true, true, false}, {"", true, true, false},
	} {
		p := PhotoPlace{Role: c.role, Own: c.own, Signed: c.signed}
		assert.Equal(t, c.may, p.May(), "%+v", c)
	}
}

func TestPhotosHaveBounds(t *testing.T) {
	p := PhotoPlace{Shown: 7, Lately: 149}
	for _, k := range PhotoKinds {
		assert.Empty(t, p.RefuseAdding(k, false), k)
	}
	assert.Contains(t, p.RefuseAdding("", false), "before, after or other")
	assert.Contains(t, p.RefuseAdding("during", false), "before, after or other")
	assert.Contains(t, p.RefuseAdding(PhotoAfter, true), "already")
	p.Lately = 150
	assert.Contains(t, p.RefuseAdding(PhotoAfter, false), "150 photos within a day")
	p.Shown = 8
	assert.Contains(t, p.RefuseAdding(PhotoAfter, false), "8 photos. Take one down first")
	p.Corrected = true
	assert.Contains(t, p.RefuseAdding(PhotoAfter, false), "newer version")
}

func TestTakingDownNeedsAReasonOnceSigned(t *testing.T) {
	draft, signed := PhotoPlace{}, PhotoPlace{Signed: true}
	assert.Empty(t, draft.RefuseTakingDown(""))
	assert.Contains(t, signed.RefuseTakingDown(""), "Say why")
	assert.Empty(t, signed.RefuseTakingDown("An address tag can be read."))
	assert.Empty(t, signed.RefuseTakingDown(strings.Repeat("é", 2000)))
	assert.Contains(t, signed.RefuseTakingDown(strings.Repeat("é", 2001)), "2,000 characters")
}
