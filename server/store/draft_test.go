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
	version, err := h.SaveDraft(h.ctx, h.ines, key, 1, changed, Save{})
	require.NoError(t, err)
	assert.Equal(t, 2, version)
	d, err = h.Draft(h.ctx, h.ines, key)
	require.NoError(t, err)
	assert.Equal(t, Draft{Key: key, Version: 2, Form: changed, Updated: begin.Add(time.Minute)}, d)
	version, err = h.SaveDraft(h.ctx, h.ines, key, 2, awkward, Save{})
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
	_, err = h.SaveDraft(h.ctx, h.ines, key, 1, url.Values{"dog": {"2"}}, Save{})
	require.NoError(t, err)
	for _, seen := range []int{-1, 0, 1, 3} {
		_, err = h.SaveDraft(h.ctx, h.ines, key, seen, url.Values{"dog": {"lost"}}, Save{})
		assert.ErrorIs(t, err, ErrConflict, "seen version %d", seen)
	}
	d, err := h.Draft(h.ctx, h.ines, key)
	require.NoError(t, err)
	assert.Equal(t, "2", d.Form.Get("dog"))

	_, errs := together(10, func(i int) (int, error) {
		return h.SaveDraft(h.ctx, h.ines, key, 2, url.Values{"dog": {"quick"}}, Save{})
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
	_, err = h.SaveDraft(h.ctx, h.ines, "nothing", 1, nil, Save{})
	assert.ErrorIs(t, err, ErrNotFound)
}

// A page that got no answer does not meet its own save as somebody else's,
// whatever it changed since; an older try that comes late changes nothing.
func TestDraftSavedByAPageThatGotNoAnswer(t *testing.T) {
	h := newHouse(t)
	key, err := h.NewDraft(h.ctx, h.ines, url.Values{"dog": {"0"}}, "")
	require.NoError(t, err)
	is := func(version int, dog, savedAs string) {
		t.Helper()
		d, err := h.Draft(h.ctx, h.ines, key)
		require.NoError(t, err)
		assert.Equal(t, [3]any{version, dog, savedAs}, [3]any{d.Version, d.Form.Get("dog"), d.SavedAs})
	}
	for _, c := range []struct {
		seen    int
		dog     string
		by      Save
		version int // 0: a conflict
	}{
		{1, "first", Save{"page", 1}, 2},
		{1, "first", Save{"page", 1}, 2},  // the same try, sent again
		{1, "second", Save{"page", 3}, 3}, // more was changed meanwhile
		{1, "first", Save{"page", 2}, 0},  // an older one comes late
		{1, "theirs", Save{"other", 9}, 0},
		{3, "third", Save{"page", 4}, 4},
		{1, "button", Save{}, 0},
		{4, "theirs", Save{"other", 1}, 5},
		{4, "mine", Save{"page", 5}, 0}, // somebody else has saved since
		{5, "button", Save{}, 6},
		{5, "theirs", Save{"other", 2}, 0}, // a button has
		{5, "button", Save{}, 0},           // a button is never known again
	} {
		before, err := h.Draft(h.ctx, h.ines, key)
		require.NoError(t, err)
		version, err := h.SaveDraft(h.ctx, h.ines, key, c.seen, url.Values{"dog": {c.dog}}, c.by)
		if c.version == 0 {
			assert.ErrorIs(t, err, ErrConflict, "%+v", c)
			is(before.Version, before.Form.Get("dog"), before.SavedAs)
			continue
		}
		require.NoError(t, err, "%+v", c)
		assert.Equal(t, c.version, version)
		is(c.version, c.dog, c.by.ID)
	}

	versions, errs := together(10, func(int) (int, error) {
		return h.SaveDraft(h.ctx, h.ines, key, 6, url.Values{"dog": {"sent ten times"}}, Save{"again", 1})
	})
	for i, err := range errs {
		require.NoError(t, err)
		assert.Equal(t, 7, versions[i])
	}
	is(7, "sent ten times", "again")
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
		_, err = h.SaveDraft(h.ctx, sc, first, 1, nil, Save{})
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
