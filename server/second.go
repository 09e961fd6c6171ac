package server

import (
	"fmt"
	"net/url"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/store"
	"tablehand/server/web"
)

const secondWords = "A second rating. You have not seen the first marks; they are shown when yours are signed."

// sealedGroom is the page that stands before a groom's marks.
func (r *request) sealedGroom(g *store.Groom) (web.SealedGroom, error) {
	view := r.groomView(g.Programme, &g.Groom, "")
	page := web.SealedGroom{Shell: r.shell(g.Groom.Dog+" – "+g.Apprentice.Name, "/grooms"), Apprentice: g.Apprentice.Name, Dog: g.Groom.Dog, Day: g.Groom.Day.Words(),
		SignedBy: "Marked by " + g.Assessor.Name + ", " + r.at(g.Signed), About: view.About}
	var err error
	if page.Photos, err = r.photoStrip(photoHome{key: g.Key, at: "/grooms/signed/" + g.Key, dog: g.Groom.Dog}); err != nil {
		return page, err
	}
	if r.scope.Role == assessment.Apprentice {
		page.Why = "Rate your own work first, then see the marks. What you say before you know them is worth most to you."
		page.Self = selfForm(g)
		return page, nil
	}
	page.Why = "You are rating this groom a second time. Its marks are shown when yours are signed."
	drafts, err := r.srv.Store.Drafts(r.Request.Context(), r.scope)
	for _, d := range drafts {
		if d.Form.Get("second_of") == orElse(g.Groom.SecondOf, g.Key) {
			page.DraftURL = "/grooms/drafts/" + d.Key
		}
	}
	return page, err
}

// signedBy says whose judgement a groom is, and who signed it.
func (r *request) signedBy(g *store.Groom) string {
	if g.Signer.Key == g.Assessor.Key {
		return "Signed by " + g.Assessor.Name + ", " + g.Assessor.Role.Words() + ", " + r.at(g.Signed)
	}
	return "Marked by " + g.Assessor.Name + ", corrected and signed by " + g.Signer.Name + ", " + g.Signer.Role.Words() + ", " + r.at(g.Signed)
}

// seconds are the grooms that this person may rate a second time.
func (r *request) seconds() ([]web.SecondStart, error) {
	ctx := r.Request.Context()
	since := r.today() - assessment.SecondRatingDays
	grooms, err := r.srv.Store.Grooms(ctx, r.scope, store.GroomFilter{Since: since})
	if err != nil {
		return nil, err
	}
	sealed, err := r.srv.Store.Sealed(ctx, r.scope)
	if err != nil {
		return nil, err
	}
	opened, err := r.srv.Store.Opened(ctx, r.scope, since)
	if err != nil {
		return nil, err
	}
	done := map[string]bool{}
	for _, g := range grooms {
		if g.Assessor.Key == r.scope.Key {
			done[g.Groom.SecondOf] = true
		}
	}
	var out []web.SecondStart
	for _, g := range grooms {
		second := assessment.Second{First: &g.Groom, Corrected: g.SupersededBy != "", Opened: opened[g.Key], Already: done[g.Key] || sealed[g.Key], Person: r.scope.Key, Role: r.scope.Role, Today: r.today()}
		if second.Refuse() == "" {
			out = append(out, web.SecondStart{Groom: g.Key, Dog: g.Groom.Dog,
				About: fmt.Sprintf("%s, %s, %s, marked by %s", g.Apprentice.Name, g.Groom.Day.Words(), curriculum.TermName(g.Programme.Vocabulary.Services, g.Groom.Service), g.Assessor.Name)})
		}
	}
	return out, nil
}

func newSecond(r *request) error {
	key, err := r.srv.Store.NewSecond(r.Request.Context(), r.scope, r.value("groom"), r.value("client_id"), func(g assessment.Groom) map[string][]string {
		return url.Values(groomForm(&g))
	})
	if err != nil {
		return err
	}
	return r.goTo("/grooms/drafts/"+key, "Mark what you saw. The first marks are shown when yours are signed.")
}
