package server

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"tablehand/assessment"
	"tablehand/server/store"
	"tablehand/server/web"
)

// draft loads one of the person's drafts and fills the form. One that has been
// signed meanwhile leads to its receipt.
func (r *request) draft() (store.Draft, web.GroomDraft, error) {
	ctx := r.Request.Context()
	d, err := r.srv.Store.Draft(ctx, r.scope, r.Param("draft"))
	if err != nil {
		return d, web.GroomDraft{}, err
	}
	people, err := r.srv.Store.Apprentices(ctx, r.scope)
	if err != nil {
		return d, web.GroomDraft{}, err
	}
	phrases, err := r.srv.Store.Phrases(ctx, r.scope, r.prog)
	page := r.draftForm(d, people)
	page.Phrases = []web.PhraseSet{{Field: "keep", Phrases: phrases.Keep}, {Field: "change", Phrases: phrases.Change}, {Field: "next", Phrases: phrases.Next}}
	if err != nil {
		return d, page, err
	}
	if page.Photos, err = r.draftPhotos(d); err != nil {
		return d, page, err
	}
	g, _ := readGroom(r.prog, d.Form, r.scope.Key)
	if page.Cut, err = r.cutPlanOf(r.prog, d.Key, &g, "/grooms/drafts/"+d.Key+"/cut-plan"); page.Cut != nil {
		page.Cut.ChangeURL = "" // a button saves the draft first
	}
	return d, page, err
}

func (r *request) draftPhotos(d store.Draft) (web.PhotoStrip, error) {
	return r.photoStrip(photoHome{key: d.Key, at: "/grooms/drafts/" + d.Key, dog: d.Form.Get("dog")})
}

func (r *request) signedAlready(err error) bool {
	if !errors.Is(err, store.ErrNotFound) {
		return false
	}
	_, gone := r.srv.Store.Groom(r.Request.Context(), r.scope, r.Param("draft"))
	return gone == nil
}

func draftPage(r *request) error {
	_, page, err := r.draft()
	if r.signedAlready(err) {
		return r.goTo("/grooms/signed/"+r.Param("draft"), "")
	}
	if err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

// autosave is the action a script saves with. It is answered in figures, or
// with a status and a sentence of its own: a script cannot follow a redirect to
// a receipt.
const autosave = "autosave"

// aside are the fields of the form that say how it is sent; they are no entries.
var aside = []string{"action", "base_version", "client_id", "save_id", "save_try"}

var saveID = regexp.MustCompile(`^[0-9a-f]{32}$`)

// save is how a script calls this try to save. Anything else is a button's,
// which knows of no answer that was lost.
func (r *request) save() store.Save {
	try, err := strconv.ParseInt(r.value("save_try"), 10, 64)
	if id := r.value("save_id"); err == nil && try > 0 && saveID.MatchString(id) {
		return store.Save{ID: id, Try: try}
	}
	return store.Save{}
}

func saveDraft(r *request) error {
	ctx := r.Request.Context()
	action := r.value("action")
	d, err := r.srv.Store.Draft(ctx, r.scope, r.Param("draft"))
	if err != nil {
		return r.draftGone(err, action)
	}
	form := r.draftEntries(d, action)
	place, err := r.touch(form, action)
	if err != nil {
		return err
	}
	seen, _ := strconv.Atoi(r.value("base_version"))
	version, err := r.srv.Store.SaveDraft(ctx, r.scope, d.Key, seen, form, r.save())
	if errors.Is(err, store.ErrConflict) && sameEntries(form, d.Form) {
		// Saved before, by this page, and the answer did not arrive.
		version, err = d.Version, nil
	}
	if errors.Is(err, store.ErrConflict) {
		return r.draftConflict(d, form, action)
	}
	if err != nil {
		return r.draftGone(err, action)
	}
	switch {
	case action == autosave:
		return r.savedSoFar(version, form)
	case place != "":
		return r.goTo("/grooms/drafts/"+d.Key+place, "")
	case action == "cut_plan":
		return r.goTo("/grooms/drafts/"+d.Key+"/cut-plan", "")
	case action == "photos":
		return r.goTo("/grooms/drafts/"+d.Key+"/photos", "")
	case action == "read_back":
		return r.goToReadBack()
	}
	return r.goTo("/grooms/drafts/"+d.Key, "Saved. Nothing is signed yet.")
}

// draftEntries is what was sent, as a draft keeps it. What the draft is about
// is not taken from the form.
func (r *request) draftEntries(d store.Draft, action string) url.Values {
	form := url.Values{}
	for name, values := range r.Request.PostForm {
		if !slices.Contains(aside, name) {
			form[name] = values
		}
	}
	for _, keep := range []string{"supersedes", "because", "second_of", "assessor"} {
		form.Del(keep)
		if v := d.Form.Get(keep); v != "" {
			form.Set(keep, v)
		}
	}
	return form
}

// touch does what a button of the form says besides saving, and returns the
// place on the page where it was pressed; nothing for a button that only saves.
func (r *request) touch(form url.Values, action string) (place string, err error) {
	if action == "add_incident" {
		form.Set("rows", strconv.Itoa(len(r.draftIncidents(form))+1))
		return "#incidents", nil
	}
	if row, is := strings.CutPrefix(action, dropIncident); is {
		for name := range form {
			if strings.HasPrefix(name, "incident."+row+".") {
				form.Del(name)
			}
		}
		return "#incidents", nil
	}
	if button, is := strings.CutPrefix(action, clockAction); is {
		touchClock(form, button, r.clockNow())
		return "#clock", nil
	}
	if which, is := strings.CutPrefix(action, phraseAction); is {
		field, _, _ := strings.Cut(which, ".")
		return "#phrases-" + field, r.choosePhrase(form, which)
	}
	return "", nil
}

// draftGone answers for a draft that is no longer there: signed meanwhile, or
// discarded.
func (r *request) draftGone(err error, action string) error {
	switch signed := r.signedAlready(err); {
	case signed && action == autosave:
		r.srv.plain(r.Writer, http.StatusGone, "This groom was signed in another window. What you changed here after that is not in it.")
		return nil
	case signed:
		return r.goTo("/grooms/signed/"+r.Param("draft"), "This groom was signed meanwhile.")
	case errors.Is(err, store.ErrNotFound) && action == autosave:
		r.srv.plain(r.Writer, http.StatusNotFound, "This draft was discarded in another window. What stands here is not saved.")
		return nil
	}
	return err
}

// savedSoFar tells a script what the bar of the form shows from now on.
func (r *request) savedSoFar(version int, form url.Values) error {
	g, _ := readGroom(r.prog, form, r.scope.Key)
	r.JSON(http.StatusOK, struct {
		Version int       `json:"version"`
		SoFar   web.SoFar `json:"so_far"`
	}{version, r.soFar(&g)})
	return nil
}

// discardDraft throws away a draft of the reader's own.
func discardDraft(r *request) error {
	ctx := r.Request.Context()
	d, page, err := r.draft()
	if r.signedAlready(err) {
		return r.goTo("/grooms/signed/"+r.Param("draft"), "This groom was signed meanwhile, so it was not discarded.")
	}
	if err != nil {
		return err
	}
	if seen, err := strconv.Atoi(r.value("base_version")); err == nil && seen != d.Version {
		page.Fail(nil, "This draft was saved in another window since, so it was not discarded. It stands below as it is now: look at it first.")
		return r.show(page, page.Shell)
	}
	if err := r.srv.Store.DropDraft(ctx, r.scope, r.Param("draft")); err != nil {
		return err
	}
	return r.goTo("/", "The draft is gone. Nothing of it was signed.")
}

// goToReadBack leads on only when the draft can be signed; otherwise the form
// comes back with everything that was typed and what is missing.
func (r *request) goToReadBack() error {
	d, page, err := r.draft()
	if err != nil {
		return err
	}
	if problems := r.problems(d); len(problems) > 0 {
		failDraft(&page, problems)
		return r.show(page, page.Shell)
	}
	return r.goTo("/grooms/drafts/"+d.Key+"/read-back", "")
}

// problems are what keeps a draft from being signed, each with the field of the
// form it is about. An empty row of incidents is not one of the groom's, so
// theirs are counted differently.
func (r *request) problems(d store.Draft) []assessment.Problem {
	g, unread := readGroom(r.prog, d.Form, r.scope.Key)
	found := assessment.Problems(r.prog, &g, r.today())
	rows := filledIncidents(d.Form)
	for i := range found {
		var n int
		var field string
		if k, _ := fmt.Sscanf(found[i].Field, "incident.%d.%s", &n, &field); k == 2 && n < len(rows) {
			found[i].Field = incidentField(rows[n], field)
		}
	}
	return append(unread, found...)
}
