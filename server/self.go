package server

import (
	"errors"
	"strconv"

	"tablehand/assessment"
	"tablehand/assessment/agreement"
	"tablehand/server/store"
	"tablehand/server/web"
)

func selfForm(g *store.Groom) *web.SelfForm {
	at := "/grooms/signed/" + g.Key
	f := &web.SelfForm{Action: at + "/self", ShowAction: at + "/show", ClientID: newClientID()}
	for i := range g.Programme.Rubric.Criteria {
		c := &g.Programme.Rubric.Criteria[i]
		choices := web.Choices{Name: "self." + c.ID, Label: c.Title}
		for l, anchor := range c.Anchors {
			choices.Choices = append(choices.Choices, web.Choice{Value: strconv.Itoa(l + 1), Label: levelWord(l + 1), Hint: anchor})
		}
		f.Criteria = append(f.Criteria, choices)
	}
	return f
}

// rateSelf takes an apprentice's own levels and opens the marks to them.
func rateSelf(r *request) error {
	ctx := r.Request.Context()
	g, err := r.srv.Store.Groom(ctx, r.scope, r.Param("groom"))
	if err != nil {
		return err
	}
	page, err := r.sealedGroom(&g)
	if err != nil {
		return err
	}
	levels := map[string]int{}
	for i := range page.Self.Criteria {
		c := &page.Self.Criteria[i]
		if v := r.value(c.Name); v != "" {
			levels[g.Programme.Rubric.Criteria[i].ID], _ = strconv.Atoi(v)
			c.Choose(v)
		}
	}
	to, err := r.srv.Store.RateSelf(ctx, r.scope, g.Key, levels, r.value("client_id"))
	if r.refusedBeside(&page.Shell, nil, err) {
		return r.show(page, page.Shell)
	}
	if err != nil {
		return err
	}
	return r.goTo(to, "Your levels are recorded. They stand beside your assessor's.")
}

// showMarks opens a groom's marks to its apprentice without a rating.
func showMarks(r *request) error {
	if err := r.srv.Store.Open(r.Request.Context(), r.scope, r.Param("groom")); err != nil {
		return err
	}
	return r.goTo("/grooms/signed/"+r.Param("groom"), "")
}

// unseal takes what a reader may not see yet out of the evidence on a page, and
// says so. What is decided rests on all of it.
func (r *request) unseal(a *assessment.Apprenticeship) (*assessment.Apprenticeship, string, error) {
	sealed, err := r.unrated()
	if err != nil || len(sealed) == 0 {
		return a, "", err
	}
	return a.Without(sealed), count(len(sealed), "newer groom") + " not in these figures yet: rate your own work first, or ask to see the marks.", nil
}

// unrated are the keys of the grooms that an apprentice has yet to rate before
// their marks are shown. Nobody else has any.
func (r *request) unrated() (map[string]bool, error) {
	if r.scope.Role != assessment.Apprentice {
		return nil, nil
	}
	return r.srv.Store.Sealed(r.Request.Context(), r.scope)
}

// ownRatings are an apprentice's levels against the assessors', in sentences.
func (r *request) ownRatings(apprentice string) ([]web.AgreementFigure, error) {
	pairs, err := r.srv.Store.SelfPairs(r.Request.Context(), r.scope, apprentice)
	if err != nil || len(pairs) == 0 {
		return nil, err
	}
	var self, assessor []float64
	for _, p := range pairs {
		self, assessor = append(self, p.Self), append(assessor, p.Assessor)
	}
	review := agreement.SelfVsAssessor(self, assessor)
	return []web.AgreementFigure{
		selfFigure(agreement.SelfDifference, len(pairs), agreement.SelfDifferenceSentence(review, "levels")),
		selfFigure(agreement.SelfLeaning, len(pairs), agreement.SelfLeaningSentence(review)),
	}, nil
}

func selfFigure(f agreement.Figure, grooms int, sentence string) web.AgreementFigure {
	m, _ := agreement.MinimumFor(f)
	out := web.AgreementFigure{Title: m.Title, Known: m.Known, Shown: true, Sentence: sentence}
	if ok, instead := agreement.Enough(f, agreement.Seen{agreement.Grooms: grooms}); !ok {
		out.Shown, out.Sentence = false, instead
	}
	return out
}

// seal reports whether the marks of a groom are to be hidden from the reader,
// and notes that they were shown when they are not.
func (r *request) seal(g *store.Groom) (bool, error) {
	ctx := r.Request.Context()
	sealed, err := r.srv.Store.Sealed(ctx, r.scope)
	if err != nil || sealed[g.Key] {
		return err == nil, err
	}
	if r.scope.Role.Judges() && g.Assessor.Key != r.scope.Key || r.scope.Role == assessment.Apprentice {
		err = r.srv.Store.Open(ctx, r.scope, g.Key)
		if errors.Is(err, store.ErrNotFound) {
			err = nil
		}
	}
	return false, err
}
