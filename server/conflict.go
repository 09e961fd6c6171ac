package server

import (
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"tablehand/assessment"
	"tablehand/server/store"
	"tablehand/server/web"
)

// sameEntries reports whether two drafts hold the same; a field that is empty
// and one that is not there are the same.
func sameEntries(a, b url.Values) bool {
	for name := range union(a, b) {
		if said(a[name]) != said(b[name]) {
			return false
		}
	}
	return true
}

func union(a, b url.Values) map[string]bool {
	names := map[string]bool{}
	for _, form := range []url.Values{a, b} {
		for name := range form {
			names[name] = true
		}
	}
	delete(names, "rows") // how many rows are open is nobody's entry
	return names
}

// said is every value of a field. A browser sends lines with a carriage return.
func said(values []string) string {
	return strings.TrimSpace(strings.ReplaceAll(strings.Join(slices.Sorted(slices.Values(values)), ", "), "\r\n", "\n"))
}

// draftConflict shows every field that differs between what was saved meanwhile
// and what was sent, so that keeping one's own is a choice made knowingly.
func (r *request) draftConflict(d store.Draft, mine url.Values, action string) error {
	if action == autosave {
		return store.ErrConflict
	}
	page := web.Conflict(r.shell("", "/grooms"), nil, web.Link{Label: "Open the saved one", URL: "/grooms/drafts/" + d.Key})
	page.Title = "This draft was saved in another window"
	page.Message = []string{"What was saved there stands. What you sent from here is not saved.", "Compare the two and decide which to keep. “Keep mine” replaces all of the other."}
	page.Keep = &web.KeepForm{Action: "/grooms/drafts/" + d.Key, Label: "Keep mine", Hidden: []web.HiddenField{{Name: "base_version", Value: strconv.Itoa(d.Version)}, {Name: "action", Value: "save"}}}
	for _, name := range slices.Sorted(maps.Keys(mine)) {
		for _, v := range mine[name] {
			page.Keep.Hidden = append(page.Keep.Hidden, web.HiddenField{Name: name, Value: v})
		}
	}
	people, err := r.srv.Store.Apprentices(r.Request.Context(), r.scope)
	if err != nil {
		return err
	}
	differ := union(mine, d.Form)
	for name := range differ {
		differ[name] = said(mine[name]) != said(d.Form[name])
	}
	for _, f := range r.draftFields(d, people) {
		if differ[f.name] {
			page.Conflict = append(page.Conflict, web.ConflictRow{Field: f.label, Theirs: f.words(d.Form[f.name]), Yours: f.words(mine[f.name])})
			delete(differ, f.name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(differ)) { // fields that the form does not have
		if differ[name] {
			page.Conflict = append(page.Conflict, web.ConflictRow{Field: name, Theirs: said(d.Form[name]), Yours: said(mine[name])})
		}
	}
	r.srv.page(r.Writer, http.StatusConflict, page)
	return nil
}

// signingConflict says that the draft is no longer what was read back. The
// address it was sent to takes no visits, so it leads to the read-back.
func (r *request) signingConflict(d store.Draft) error {
	at := "/grooms/drafts/" + d.Key
	page := web.Conflict(r.shell("", "/grooms"), nil, web.Link{Label: "Read it back as it stands now", URL: at + "/read-back"})
	page.Title = "The draft has changed since you read it back"
	page.Message = []string{"Nothing was signed: you sign exactly what you have read.", "It may have been changed in another window, or the programme has a new version."}
	page.Next = append(page.Next, web.Link{Label: "Open the draft", URL: at})
	r.srv.page(r.Writer, http.StatusConflict, page)
	return nil
}

// draftField is one field of the form, in words.
type draftField struct {
	name, label string
	choices     []web.Choice // answers to choose from; none for what is typed
}

// words are the values as the form shows them; an answer it no longer offers
// is shown as it was sent.
func (f draftField) words(values []string) string {
	out := make([]string, len(values))
	for i, v := range values {
		out[i] = v
		for _, c := range f.choices {
			if c.Value == v {
				out[i] = c.Label
				if f.name == "matting" || f.name == "temperament" { // a number alone says little
					out[i] += ", " + c.Hint
				}
			}
		}
	}
	return said(out)
}

// draftFields are all fields that a draft can have, in the order of the form.
func (r *request) draftFields(d store.Draft, people []store.Person) []draftField {
	page := r.draftForm(d, people)
	var out []draftField
	choices := func(c *web.Choices, label string) { out = append(out, draftField{c.Name, label + c.Label, c.Choices}) }
	tick := func(c *web.Check, label string) {
		out = append(out, draftField{c.Name, label + c.Label, []web.Choice{{Value: "yes", Label: "yes"}}})
	}
	for _, c := range chosen(&page) {
		choices(c, "")
	}
	for _, f := range typed(&page) {
		out = append(out, draftField{name: f.Name, label: f.Label})
	}
	tick(&page.Stopped, "")
	for i := range page.Criteria {
		c := &page.Criteria[i]
		level := draftField{name: c.Name(), label: "Level of " + c.Title, choices: []web.Choice{{Value: "na", Label: "not applicable"}}}
		for _, l := range c.Levels {
			level.choices = append(level.choices, web.Choice{Value: l.Value, Label: "L" + l.Value})
		}
		out = append(out, level, draftField{name: c.SkipWhy.Name, label: c.SkipWhy.Label + ": " + c.Title})
		for _, s := range c.Skills {
			out = append(out, draftField{s.Name(), "Level of " + s.Title, s.Options()})
		}
	}
	for i := range assessment.MaxIncidents {
		in := r.draftIncident(i, d.Form)
		label := "Incident " + strconv.Itoa(in.Number()) + ", "
		for _, c := range []*web.Choices{&in.Kind, &in.Skill, &in.Severity, &in.Attribution} {
			choices(c, label)
		}
		tick(&in.Reported, label)
		out = append(out, draftField{name: in.Note.Name, label: label + in.Note.Label})
	}
	return out
}
