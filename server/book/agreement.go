package book

import (
	"context"
	"iter"

	"tablehand/assessment"
	"tablehand/exports"
	"tablehand/server/store"
)

// agreementRows are the figures of each pair of assessors, and of all together.
// They are about the salon, so a copy for one apprentice has none.
func agreementRows(ctx context.Context, s *store.Store, sc store.Scope, b *exports.Book) (iter.Seq2[exports.Agreement, error], error) {
	joints, err := s.Joints(ctx, sc)
	if err != nil {
		return nil, err
	}
	list := store.RatedTwice(joints)
	var rows []exports.Agreement
	for _, p := range assessment.AssessorPairs(b.Programmes[0], list, b.Name) {
		rows = append(rows, exports.AgreementsOf(&p)...)
	}
	if len(rows) > 0 {
		all := assessment.AllAssessors(list)
		rows = append(rows, exports.AgreementsOfAll(&all)...)
	}
	return func(yield func(exports.Agreement, error) bool) {
		for _, row := range rows {
			if !yield(row, nil) {
				return
			}
		}
	}, nil
}
