package server

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"

	"tablehand/server/web"
)

// wall is the sheet for the wall: what each apprentice may do today.
func wall(r *request) error {
	ctx := r.Request.Context()
	people, err := r.srv.Store.Apprentices(ctx, r.scope)
	if err != nil {
		return err
	}
	all, err := r.srv.Store.AllEvidence(ctx, r.scope)
	if err != nil {
		return err
	}
	today := r.today()
	page := web.Wall{Date: today.Time().Format("Monday 2 January 2006"), Programme: fmt.Sprintf("%s, version %d", r.prog.Title, r.prog.Version), Cautions: wallCautions}
	for _, p := range r.prog.Permissions {
		page.Levels = append(page.Levels, web.WallLevel{Level: p.Level, Name: p.Name})
	}
	for i := range r.prog.Units {
		u := &r.prog.Units[i]
		unit := web.WallUnit{Title: u.Title}
		for j := range u.Skills {
			unit.Rows = append(unit.Rows, web.WallRow{Title: u.Skills[j].Title, Safety: u.Skills[j].IsSafetyCritical()})
		}
		page.Units = append(page.Units, unit)
	}
	for _, p := range people {
		if p.Left != 0 {
			continue
		}
		a := all[p.Key]
		col := web.WallColumn{Name: p.Name, URL: apprenticeURL(p.Key)}
		for i := range a.Holds {
			if h := &a.Holds[i]; h.OpenOn(today) {
				col.Held = append(col.Held, h.What(r.prog))
			}
		}
		page.Columns = append(page.Columns, col)
		list, n := a.Standings(r.prog, today), 0
		for i := range page.Units {
			for j := range page.Units[i].Rows {
				s := &list[n]
				n++
				cells := &page.Units[i].Rows[j].Cells
				*cells = append(*cells, web.WallCell{Level: s.Permission.Now, OnHold: len(s.Holds) > 0, Watched: s.Due})
			}
		}
	}
	sheet, err := sheetFingerprint(page)
	if err != nil {
		return err
	}
	page.Shell = r.shell("Sheet for the wall", "/matrix")
	page.Back, page.Sheet = web.Link{Label: "Skills matrix", URL: "/matrix"}, sheet
	return r.show(page, page.Shell)
}

var wallCautions = []string{
	"This sheet supports, and does not replace, licensed practice, veterinary advice and local law.",
	"Anyone may stop a groom for the dog's sake. P5 never means that somebody under 18 may be alone on the premises.",
}

// sheetFingerprint is the short form of a digest over what a page made for paper
// says: the same record on the same day gives the same one, whoever prints it. The
// frame of the page is left out, so page has to be without it.
func sheetFingerprint(page any) (string, error) {
	data, err := json.Marshal(page)
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(data)
	return fingerprint(hex.EncodeToString(sum[:])), nil
}
