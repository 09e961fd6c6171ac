package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
)

// photo adds a photo with a picture of its own and returns its key.
func (h *house) photo(by Scope, groom string, kind assessment.PhotoKind) string {
	h.t.Helper()
	n := h.rows("photo")
	key, err := h.AddPhoto(h.ctx, by, groom, NewPhoto{Kind: kind, Large: fmt.Appendf(nil, "large %d", n), Small: fmt.Appendf(nil, "small %d", n)}, "")
	require.NoError(h.t, err)
	return key
}

// shown are the keys of the photos a person is shown with a groom or draft.
func (h *house) shown(by Scope, groom string) (keys []string) {
	h.t.Helper()
	list, at, err := h.Photos(h.ctx, by, groom)
	require.NoError(h.t, err)
	for _, p := range list {
		if p.Withdrawn == nil {
			keys = append(keys, p.Key)
		}
	}
	assert.Equal(h.t, len(keys), at.Shown)
	return keys
}

func TestPhotosGoWithTheGroom(t *testing.T) {
	h := newHouse(t)
	in := h.draft(h.ines, h.groom(h.ines, h.pia))
	after := h.photo(h.ines, in.Draft, assessment.PhotoAfter)
	before := h.photo(h.ines, in.Draft, assessment.PhotoBefore)
	assert.Equal(t, []string{before, after}, h.shown(h.ines, in.Draft), "before comes first")
	for _, sc := range []Scope{h.runa, h.tomas, h.pia, h.mara, h.olan} {
		_, _, err := h.Photos(h.ctx, sc, in.Draft)
		assert.ErrorIs(t, err, ErrNotFound, "a draft is its author's: %s", sc.Name)
		_, err = h.PhotoPicture(h.ctx, sc, in.Draft, after, false)
		assert.ErrorIs(t, err, ErrNotFound, sc.Name)
	}

	groom, err := h.Sign(h.ctx, h.ines, in)
	require.NoError(t, err)
	for _, sc := range []Scope{h.runa, h.ines, h.tomas, h.pia, h.mara} {
		assert.Equal(t, []string{before, after}, h.shown(sc, groom), sc.Name)
		for large, want := range map[bool]string{true: "large 1", false: "small 1"} {
			picture, err := h.PhotoPicture(h.ctx, sc, groom, before, large)
			require.NoError(t, err)
			assert.Equal(t, want, string(picture))
		}
	}
	list, at, err := h.Photos(h.ctx, h.tomas, groom)
	require.NoError(t, err)
	assert.False(t, at.May())
	sum := sha256.Sum256([]byte("large 1"))
	assert.Equal(t, Photo{Key: before, Groom: groom, Kind: assessment.PhotoBefore, Digest: hex.EncodeToString(sum[:]), By: list[0].By, Added: begin}, list[0])
	assert.Equal(t, "Ines Holm", list[0].By.Name)

	other := h.sign(h.ines, h.groom(h.ines, h.joss))
	_, err = h.PhotoPicture(h.ctx, h.joss, other, before, true)
	assert.ErrorIs(t, err, ErrNotFound, "a photo is not reached through somebody else's groom")
	_, err = h.PhotoPicture(h.ctx, h.ines, other, before, true)
	assert.ErrorIs(t, err, ErrNotFound)
}

func TestWhoAddsPhotosToASignedGroom(t *testing.T) {
	h := newHouse(t)
	groom := h.sign(h.ines, h.groom(h.ines, h.pia))
	add := func(sc Scope, picture string) error {
		_, err := h.AddPhoto(h.ctx, sc, groom, NewPhoto{Kind: assessment.PhotoAfter, Large: []byte(picture), Small: []byte("s")}, "")
		return err
	}
	assert.NoError(t, add(h.ines, "1"))
	assert.NoError(t, add(h.runa, "2"))
	for sc, want := range map[Scope]error{h.tomas: ErrDenied, h.pia: ErrDenied, h.joss: ErrDenied, h.mara: ErrDenied, h.sven: ErrNotFound, h.olan: ErrNotFound} {
		assert.ErrorIs(t, add(sc, "3"), want, sc.Name)
		assert.ErrorIs(t, h.WithdrawPhoto(h.ctx, sc, groom, h.key("photo"), "x"), want, sc.Name)
	}
	assert.Len(t, h.shown(h.ines, groom), 2)
	assert.Equal(t, 2, h.count(`SELECT count(*) FROM record WHERE kind = 'photo.added' AND subject = ? AND json_extract(detail, '$.signed') = 1`, groom))
}

func TestPhotosAreBounded(t *testing.T) {
	h := newHouse(t)
	groom := h.sign(h.ines, h.groom(h.ines, h.pia))
	var refusal *Refusal
	add := func(picture string, kind assessment.PhotoKind) error {
		_, err := h.AddPhoto(h.ctx, h.ines, groom, NewPhoto{Kind: kind, Large: []byte(picture), Small: []byte("s")}, "")
		return err
	}
	assert.ErrorAs(t, add("x", "during"), &refusal)
	require.NoError(t, add("the same", assessment.PhotoBefore))
	assert.ErrorAs(t, add("the same", assessment.PhotoAfter), &refusal)
	assert.Contains(t, refusal.Error(), "already")
	for range 7 {
		h.photo(h.ines, groom, assessment.PhotoOther)
	}
	assert.ErrorAs(t, add("one more", assessment.PhotoAfter), &refusal)
	assert.Contains(t, refusal.Error(), "8 photos")
	require.NoError(t, h.WithdrawPhoto(h.ctx, h.ines, groom, h.shown(h.ines, groom)[0], "Wrong dog."))
	assert.NoError(t, add("the same", assessment.PhotoAfter), "one that was taken down may come again")
	assert.Error(t, add("", assessment.PhotoAfter), "no picture at all")

	h.sql("INSERT INTO photo (key, salon_id, groom_key, kind, digest, added_by, created_at) WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 150) SELECT 'many' || i, 1, 'elsewhere', 'other', i, ?, ? FROM n",
		h.ines.person, h.clock.Now().Unix())
	next := h.draft(h.ines, h.groom(h.ines, h.pia))
	_, err := h.AddPhoto(h.ctx, h.ines, next.Draft, NewPhoto{Kind: assessment.PhotoAfter, Large: []byte("a"), Small: []byte("s")}, "")
	assert.ErrorAs(t, err, &refusal)
	assert.Contains(t, refusal.Error(), "within a day")
	h.clock.days(1)
	h.photo(h.ines, next.Draft, assessment.PhotoAfter)
}

// A photo taken down leaves its place, its fingerprint and why; its picture is
// nowhere in the files any more.
func TestAPhotoTakenDown(t *testing.T) {
	h := newHouse(t)
	groom := h.sign(h.ines, h.groom(h.ines, h.pia))
	picture := bytes.Repeat([]byte("the address on the tag "), 2000) // some pages long
	photo, err := h.AddPhoto(h.ctx, h.ines, groom, NewPhoto{Kind: assessment.PhotoAfter, Large: picture, Small: picture[:4000]}, "")
	require.NoError(t, err)
	require.True(t, h.inFiles("the address on the tag"))
	var refusal *Refusal
	require.ErrorAs(t, h.WithdrawPhoto(h.ctx, h.ines, groom, photo, ""), &refusal)
	assert.Contains(t, refusal.Error(), "Say why")
	h.clock.add(time.Minute)
	require.NoError(t, h.WithdrawPhoto(h.ctx, h.ines, groom, photo, "A tag can be read."))
	require.NoError(t, h.WithdrawPhoto(h.ctx, h.runa, groom, photo, "Once more."), "a second time does nothing")
	assert.False(t, h.inFiles("the address on the tag"), "neither in the database nor in its log")

	list, at, err := h.Photos(h.ctx, h.pia, groom)
	require.NoError(t, err)
	require.Len(t, list, 1)
	assert.Zero(t, at.Shown)
	sum := sha256.Sum256(picture)
	assert.Equal(t, hex.EncodeToString(sum[:]), list[0].Digest)
	assert.Equal(t, "Ines Holm", list[0].Withdrawn.By.Name)
	assert.Equal(t, begin.Add(time.Minute), list[0].Withdrawn.At)
	assert.Equal(t, "A tag can be read.", list[0].Withdrawn.Reason)
	_, err = h.PhotoPicture(h.ctx, h.ines, groom, photo, true)
	assert.ErrorIs(t, err, ErrNotFound)
	assert.Equal(t, 1, h.count("SELECT count(*) FROM record WHERE kind = 'photo.withdrawn' AND subject = ? AND json_extract(detail, '$.sha256') = ?", groom, list[0].Digest))
	assert.Zero(t, h.count("SELECT count(*) FROM record WHERE detail LIKE '%tag%' OR detail LIKE '%Ines%'"), "what people wrote is not in the record")
	assert.ErrorIs(t, h.WithdrawPhoto(h.ctx, h.ines, groom, "nothing", "x"), ErrNotFound)
}

// inFiles looks for a text in the files of the database.
func (h *house) inFiles(text string) bool {
	h.t.Helper()
	files, err := filepath.Glob(filepath.Join(h.dir, "*"))
	require.NoError(h.t, err)
	for _, name := range files {
		data, err := os.ReadFile(name)
		require.NoError(h.t, err)
		if bytes.Contains(data, []byte(text)) {
			return true
		}
	}
	return false
}

func TestPhotosOfADraft(t *testing.T) {
	h := newHouse(t)
	in := h.draft(h.ines, h.groom(h.ines, h.pia))
	first, second := h.photo(h.ines, in.Draft, assessment.PhotoBefore), h.photo(h.ines, in.Draft, assessment.PhotoAfter)
	require.NoError(t, h.WithdrawPhoto(h.ctx, h.ines, in.Draft, first, ""), "before signing no reason is asked")
	assert.Equal(t, []string{second}, h.shown(h.ines, in.Draft))
	require.NoError(t, h.DropDraft(h.ctx, h.runa, in.Draft))
	assert.Equal(t, 1, h.rows("photo_picture"), "nobody else drops it")
	require.NoError(t, h.DropDraft(h.ctx, h.ines, in.Draft))
	assert.Zero(t, h.rows("photo_picture"), "the photos go with the draft")
	assert.Equal(t, 2, h.count("SELECT count(*) FROM record WHERE kind = 'photo.withdrawn'"))
	_, err := h.AddPhoto(h.ctx, h.ines, in.Draft, NewPhoto{Kind: assessment.PhotoAfter, Large: []byte("a"), Small: []byte("s")}, "")
	assert.ErrorIs(t, err, ErrNotFound)
}

// A correction shows the photos of what it corrects, whoever it goes to, and
// nothing is added to the version it replaced.
func TestPhotosOfACorrection(t *testing.T) {
	h := newHouse(t)
	old := h.sign(h.ines, h.groom(h.ines, h.pia))
	photo := h.photo(h.ines, old, assessment.PhotoAfter)
	g := h.groom(h.ines, h.joss)
	g.Supersedes, g.Because = old, "It was Joss."
	draft, err := h.NewDraft(h.ctx, h.ines, url.Values{"supersedes": {old}}, "")
	require.NoError(t, err)
	assert.Equal(t, []string{photo}, h.shown(h.ines, draft))
	assert.ErrorIs(t, h.WithdrawPhoto(h.ctx, h.ines, draft, photo, ""), ErrNotFound, "a signed groom's photo is not taken down on the way of a draft")
	added := h.photo(h.ines, draft, assessment.PhotoBefore)
	newer, err := h.Sign(h.ctx, h.ines, Signing{Draft: draft, Version: 1, Digest: Digest(h.prog, &g), Groom: g})
	require.NoError(t, err)
	assert.Equal(t, []string{added, photo}, h.shown(h.joss, newer))
	assert.Equal(t, []string{photo}, h.shown(h.pia, old), "the old version shows what it had")
	_, _, err = h.Photos(h.ctx, h.pia, newer)
	assert.ErrorIs(t, err, ErrNotFound)
	_, err = h.PhotoPicture(h.ctx, h.pia, old, added, true)
	assert.ErrorIs(t, err, ErrNotFound)

	var refusal *Refusal
	_, err = h.AddPhoto(h.ctx, h.ines, old, NewPhoto{Kind: assessment.PhotoAfter, Large: []byte("late"), Small: []byte("s")}, "")
	require.ErrorAs(t, err, &refusal)
	assert.Contains(t, refusal.Error(), "newer version")
	require.NoError(t, h.WithdrawPhoto(h.ctx, h.ines, newer, photo, "Blurred."))
	assert.Empty(t, h.shown(h.pia, old), "taken down is taken down everywhere")
}
