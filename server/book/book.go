// Package book gathers what a workbook is made of from the store. The page and
// the command line use the same one.
package book

import (
	"context"
	"slices"
	"time"

	"tablehand/assessment"
	"tablehand/exports"
	"tablehand/server/store"
)

// Make gathers the record of one apprentice, or of everybody the scope may see
// when apprentice is empty.
func Make(ctx context.Context, s *store.Store, sc store.Scope, apprentice string, now time.Time) (*exports.Book, error) {
	programmes, err := s.Programmes(ctx, sc)
	if err != nil {
		return nil, err
	}
	people, err := s.People(ctx, sc)
	if err != nil {
		return nil, err
	}
	names := map[string]string{}
	for _, p := range people {
		names[p.Key] = p.Name
	}
	grooms, err := s.Grooms(ctx, sc, store.GroomFilter{Apprentice: apprentice})
	if err != nil {
		return nil, err
	}
	slices.Reverse(grooms)
	b := &exports.Book{Salon: sc.Salon, Zone: sc.Zone, By: sc.Name + ", " + sc.Role.Words(), Scope: "The whole salon", Made: now, Today: s.Today(sc),
		Programmes: programmes, Name: func(key string) string { return names[key] }}
	if apprentice == "" && sc.Role == assessment.Apprentice {
		apprentice = sc.Key
	}
	if apprentice != "" {
		b.Scope = "One apprentice: " + orKey(names[apprentice], apprentice)
	}
	all := map[string]*assessment.Apprenticeship{}
	for _, p := range people {
		if p.Role != assessment.Apprentice || apprentice != "" && p.Key != apprentice {
			continue
		}
		a, err := s.Evidence(ctx, sc, p.Key)
		if err != nil {
			return nil, err
		}
		all[p.Key] = a
		b.Apprentices = append(b.Apprentices, apprenticeOf(programmes, p, a, grooms, b.Today))
	}
	if apprentice != "" && len(b.Apprentices) == 0 {
		return nil, store.ErrNotFound
	}
	signOffs, err := s.SignOffs(ctx, sc)
	if err != nil {
		return nil, err
	}
	plans, err := s.CutPlans(ctx, sc)
	if err != nil {
		return nil, err
	}
	results := judge(grooms)
	b.Grooms, b.Ratings, b.Incidents = groomRows(grooms, results, plans), ratingRows(grooms, results), incidentRows(grooms, all)
	b.Observations = exports.ObservationsOf(b.Apprentices, nil)
	b.SignOffs = signOffRows(signOffs, all)
	if b.Logbook, err = logbookRows(ctx, s, sc, apprentice); err != nil {
		return nil, err
	}
	if apprentice == "" && sc.Role != assessment.Apprentice {
		if b.Agreement, err = agreementRows(ctx, s, sc, b); err != nil {
			return nil, err
		}
	}
	return b, nil
}
