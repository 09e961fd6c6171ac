package store

import (
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// awkward is a form with everything a person or a browser can put into one.
var awkward = url.Values{
	"dog":           {"Bärli 🐩👨‍👩‍👧 é e\u0301"},
	"keep":          {"two\r\nlines\nand\ra tab\t "},
	"change":        {strings.Repeat("0123456789", 1024)},
	"next":          {"<b>&amp;</b> \u2028\u2029 \\ \" ' ` %00 \x00 \x1b[31m"},
	"comb":          {"armpits", "behind_ears", "", "armpits"},
	"empty":         {""},
	"none":          {},
	"":              {"a field without a name"},
	"level.R1":      {"4"},
	"right to left": {"\u202eשלום"},
	"asked":         {"; DROP TABLE draft; --"},
	"not a number":  {"12,5 kg"},
}

func TestDraftKeepsWhatWasTyped(t *testing.T) {
	h := newHouse(t)
	key, err := h.NewDraft(h.ctx, h.ines, awkward, "")
	require.NoError(t, err)
	d, err := h.Draft(h.ctx, h.ines, key)
	require.NoError(t, err)
	assert.Equal(t, Draft{Key: key, Version: 1, Form: awkward, Updated: begin}, d)

	h.clock.add(time.Minute)
	changed := url.Values{"dog": {"Bärli"}}
	version, err := h.SaveDraft(h.ctx, h.ines, key, 1, changed)
	require.NoError(t, err)
	assert.Equal(t, 2, version)
	d, err = h.Draft(h.ctx, h.ines, key)
	require.NoError(t, err)
	assert.Equal(t, Draft{Key: key, Version: 2, Form: changed, Updated: begin.Add(time.Minute)}, d)
	version, err = h.SaveDraft(h.ctx, h.ines, key, 2, awkward)
	require.NoError(t, err)
	assert.Equal(t, 3, version)
	list, err := h.Drafts(h.ctx, h.ines)
	require.NoError(t, err)
	require.Len(t, list, 1)
	assert.Equal(t, awkward, list[0].Form)
}

// Bytes that are no text at all, which no browser sends, become the sign for
// an unreadable character; nothing around them is lost.
func TestDraftReplacesWhatIsNoText(t *testing.T) {
	h := newHouse(t)
	key, err := h.NewDraft(h.ctx, h.ines, url.Values{"keep": {"calm\xff\xfehands\xc3"}, "a\xff": {"b"}}, "")
	require.NoError(t, err)
	d, err := h.Draft(h.ctx, h.ines, key)
	require.NoError(t, err)
	assert.Equal(t, url.Values{"keep": {"calm\ufffd\ufffdhands\ufffd"}, "a\ufffd": {"b"}}, d.Form)
}

func TestDraftIsSavedOverTheVersionThatWasSeen(t *testing.T) {
	h := newHouse(t)
	key, err := h.NewDraft(h.ctx, h.ines, url.Values{"dog": {"1"}}, "")
	require.NoError(t, err)
	_, err = h.SaveDraft(h.ctx, h.ines, key, 1, url.Values{"dog": {"2"}})
	require.NoError(t, err)
	for _, seen := range []int{-1, 0, 1, 3} {
		_, err = h.SaveDraft(h.ctx, h.ines, key, seen, url.Values{"dog": {"lost"}})
		assert.ErrorIs(t, err, ErrConflict, "seen version %d", seen)
	}
	d, err := h.Draft(h.ctx, h.ines, key)
	require.NoError(t, err)
	assert.Equal(t, "2", d.Form.Get("dog"))

	_, errs := together(10, func(i int) (int, error) {
		return h.SaveDraft(h.ctx, h.ines, key, 2, url.Values{"dog": {"quick"}})
	})
	worked := 0
	for _, err := range errs {
		if err == nil {
			worked++
			continue
		}
		assert.ErrorIs(t, err, ErrConflict)
	}
	assert.Equal(t, 1, worked)
	_, err = h.SaveDraft(h.ctx, h.ines, "nothing", 1, nil)
	assert.ErrorIs(t, err, ErrNotFound)
}

func TestDraftsAreTheAuthorsOwn(t *testing.T) {
	h := newHouse(t)
	first, err := h.NewDraft(h.ctx, h.ines, url.Values{"dog": {"Biscuit"}}, "")
	require.NoError(t, err)
	h.clock.add(time.Minute)
	second, err := h.NewDraft(h.ctx, h.ines, url.Values{"dog": {"Pebble"}}, "")
	require.NoError(t, err)
	for _, sc := range []Scope{h.tomas, h.runa, h.sven, h.olan} {
		_, err := h.Draft(h.ctx, sc, first)
		assert.ErrorIs(t, err, ErrNotFound, sc.Name)
		_, err = h.SaveDraft(h.ctx, sc, first, 1, nil)
		assert.ErrorIs(t, err, ErrNotFound, sc.Name)
		require.NoError(t, h.DropDraft(h.ctx, sc, first), sc.Name)
		list, err := h.Drafts(h.ctx, sc)
		require.NoError(t, err)
		assert.Empty(t, list, sc.Name)
	}
	list, err := h.Drafts(h.ctx, h.ines)
	require.NoError(t, err)
	require.Len(t, list, 2, "nobody else dropped it")
	assert.Equal(t, [2]string{second, first}, [2]string{list[0].Key, list[1].Key}, "the newest first")

	require.NoError(t, h.DropDraft(h.ctx, h.ines, first))
	_, err = h.Draft(h.ctx, h.ines, first)
	assert.ErrorIs(t, err, ErrNotFound)
	assert.Equal(t, 1, h.rows("draft"))
}
