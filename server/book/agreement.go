package book

import (
	"context"
	"iter"

	"tablehand/assessment"
	"tablehand/exports"
	"tablehand/server/store"
)

// agreementRows are the figures of each pair of assessors. They are about the
// salon, so a copy for one apprentice has none.
func agreementRows(ctx context.Context, s *store.Store, sc store.Scope, b *exports.Book) (iter.Seq2[exports.Agreement, error], error) {
	joints, err := s.Joints(ctx, sc)
	if err != nil {
		return nil, err
	}
	pairs := assessment.AssessorPairs(b.Programmes[0], store.RatedTwice(joints), b.Name)
	return func(yield func(exports.Agreement, error) bool) {
		for i := range pairs {
			for _, row := range exports.AgreementsOf(&pairs[i]) {
				if !yield(row, nil) {
					return
				}
			}
		}
	}, nil
}
