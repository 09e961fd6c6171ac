package server

import (
	"bytes"
	"errors"
	"mime"
	"net/http"

	"tablehand/assessment"
	"tablehand/exports"
	"tablehand/server/book"
	"tablehand/server/web"
)

const workbookType = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"

func (r *request) exportForm() (web.Export, error) {
	page := web.Export{Shell: r.shell("Export", "/export"), Action: "/export/workbook", ClientID: newClientID(),
		Scope: web.Choices{Name: "scope", Label: "Whose record"},
		Sheets: []web.Term{{Name: "Read me", Note: "what it covers, which versions, and how each figure is made"}, {Name: "Matrix", Note: "apprentices against skills"},
			{Name: "Progress", Note: "each requirement: have, need, missing"}, {Name: "Totals", Note: "live formulas you can follow"}, {Name: "Assessed grooms", Note: "with weights, scores and outcomes as formulas"},
			{Name: "Ratings, Observations, Incidents, Sign-offs", Note: "the long lists, counted or left out and why"},
			{Name: "Logbook", Note: "each entry, and whether it is the apprentice's word alone"},
			{Name: "Agreement", Note: "how far each two assessors agree, and all of them together, once there is enough to say so"}},
		Photos:  web.Check{Name: "photos", Label: "With the photos, small", Hint: "Only in the copy of one apprentice's record."},
		LeftOut: []string{"photos, unless you choose them", "what was written about an incident", "what the owner asked for, and feedback", "what apprentices wrote in words, and the answers", "passwords and sessions"},
		Check:   "Scores, totals and percentages are formulas: any spreadsheet program recalculates them without us."}
	people, err := r.srv.Store.Apprentices(r.Request.Context(), r.scope)
	if r.scope.Role != assessment.Apprentice {
		page.Scope.Choices = append(page.Scope.Choices, web.Choice{Value: "salon", Label: "The whole salon"})
	}
	for _, p := range people {
		page.Scope.Choices = append(page.Scope.Choices, web.Choice{Value: p.Key, Label: p.Name})
	}
	if err != nil || r.scope.Role != assessment.Apprentice {
		return page, err
	}
	page.Own = true
	sealed, err := r.srv.Store.Sealed(r.Request.Context(), r.scope)
	if len(sealed) > 0 {
		page.Opens = "The marks of " + count(len(sealed), "newer groom") + " have not been shown to you yet. A copy is whole, so downloading it shows them, and after that you cannot rate those grooms yourself."
	}
	return page, err
}

// openSealed notes that an apprentice has been shown the marks that their copy
// holds: a copy is whole.
func (r *request) openSealed() error {
	if r.scope.Role != assessment.Apprentice {
		return nil
	}
	ctx := r.Request.Context()
	sealed, err := r.srv.Store.Sealed(ctx, r.scope)
	for key := range sealed {
		err = errors.Join(err, r.srv.Store.Open(ctx, r.scope, key))
	}
	return err
}

func exportPage(r *request) error {
	page, err := r.exportForm()
	if err != nil {
		return err
	}
	page.Scope.Choose(orElse(r.Query("scope"), page.Scope.Choices[0].Value))
	return r.show(page, page.Shell)
}

func exportWorkbook(r *request) error {
	page, err := r.exportForm()
	if err != nil {
		return err
	}
	page.Scope.Choose(r.value("scope"))
	who := r.value("scope")
	if who == "salon" {
		who = ""
	}
	page.Photos.Checked = r.value("photos") != ""
	switch {
	case !page.Scope.Chosen():
		page.Fail(&page.Scope, "Choose whose record to copy.")
	case who == "" && page.Photos.Checked:
		page.Fail(&page.Photos, "Photos go only into the copy of one apprentice's record. Choose one, or leave the photos out.")
	}
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	out, err := r.workbook(who, page.Photos.Checked)
	if err != nil {
		return err
	}
	if err := r.openSealed(); err != nil {
		return err
	}
	name := book.FileName(page.Scope.LabelOf(who), r.today())
	r.Header("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
	write(r.Writer, http.StatusOK, workbookType, out)
	return nil
}

// workbooks bounds how many workbooks are made at once: each holds the whole
// record. The wait for a free place ends with the request.
var workbooks = make(chan struct{}, 2)

func (r *request) workbook(who string, photos bool) ([]byte, error) {
	ctx := r.Request.Context()
	select {
	case workbooks <- struct{}{}:
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	defer func() { <-workbooks }()
	b, err := book.Make(ctx, r.srv.Store, r.scope, who, r.srv.Now())
	if err != nil {
		return nil, err
	}
	if photos {
		if err := book.AddPhotos(ctx, r.srv.Store, r.scope, b, who); err != nil {
			return nil, err
		}
	}
	var out bytes.Buffer
	err = exports.Write(&out, b)
	return out.Bytes(), err
}
