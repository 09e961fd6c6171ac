package book

import (
	"context"
	"slices"

	"tablehand/exports"
	"tablehand/server/store"
)

// AddPhotos puts the photos of an apprentice's grooms into a book, small, each
// with the newest version of its groom. They are read one by one as the workbook
// is written.
func AddPhotos(ctx context.Context, s *store.Store, sc store.Scope, b *exports.Book, apprentice string) error {
	grooms, err := s.Grooms(ctx, sc, store.GroomFilter{Apprentice: apprentice})
	if err != nil {
		return err
	}
	slices.Reverse(grooms)
	b.Photos = func(yield func(exports.Photo, error) bool) {
		for i := range grooms {
			if grooms[i].SupersededBy != "" {
				continue
			}
			list, _, err := s.Photos(ctx, sc, grooms[i].Key)
			if err != nil {
				yield(exports.Photo{}, err)
				return
			}
			for _, p := range list {
				if p.Withdrawn != nil && p.Withdrawn.Reason == "" { // the groom was not signed yet
					continue
				}
				row, err := photoOf(ctx, s, sc, &grooms[i], p)
				if !yield(row, err) || err != nil {
					return
				}
			}
		}
	}
	return nil
}

func photoOf(ctx context.Context, s *store.Store, sc store.Scope, g *store.Groom, p store.Photo) (exports.Photo, error) {
	row := exports.Photo{Groom: g.Key, Day: g.Groom.Day, Apprentice: g.Apprentice.Key, Kind: p.Kind, Added: p.Added, Digest: p.Digest}
	if p.Withdrawn != nil {
		row.TakenDown = p.Withdrawn.At
		return row, nil
	}
	var err error
	row.JPEG, err = s.PhotoPicture(ctx, sc, g.Key, p.Key, false)
	return row, err
}
