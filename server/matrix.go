package server

import (
	"fmt"

	"tablehand/assessment"
	"tablehand/server/store"
	"tablehand/server/web"
)

// matrix shows all skills of all apprentices.
func matrix(r *request) error {
	page, err := r.matrixPage()
	if err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

func (r *request) matrixPage() (web.Matrix, error) {
	ctx := r.Request.Context()
	page := web.Matrix{Shell: r.shell("Skills matrix", "/matrix")}
	people, err := r.srv.Store.Apprentices(ctx, r.scope)
	if err != nil {
		return page, err
	}
	all, err := r.srv.Store.AllEvidence(ctx, r.scope)
	if err != nil {
		return page, err
	}
	var here []store.Person
	for _, p := range people {
		if p.Left == 0 {
			here = append(here, p)
		}
	}
	today := r.today()
	page.Caption = fmt.Sprintf("The standing of %s of the programme %s, version %d, on %s", count(len(r.prog.AllSkills()), "skill"), r.prog.Title, r.prog.Version, today.Words())
	if r.scope.Role != assessment.Apprentice {
		page.WallURL = "/wall"
	}
	columns := make([][]assessment.Standing, len(here))
	foot := []web.MatrixFoot{{Label: "Signed"}, {Label: "Share"}, {Label: "Safety-critical"}}
	for i, p := range here {
		columns[i] = all[p.Key].Standings(r.prog, today)
		g, progress := r.progressOf(columns[i])
		foot[0].Cells = append(foot[0].Cells, fmt.Sprintf("%d of %d", g.Signed, g.Required))
		foot[1].Cells = append(foot[1].Cells, progress.Percent)
		foot[2].Cells = append(foot[2].Cells, fmt.Sprintf("%d of %d", g.SafetyNow, g.Safety))
		col := web.MatrixColumn{Name: p.Name, URL: apprenticeURL(p.Key)}
		if p.Start > 0 {
			col.Meta = weekOf(p, today)
		}
		page.Columns = append(page.Columns, col)
	}
	page.Foot = foot
	n := 0
	for i := range r.prog.Units {
		u := &r.prog.Units[i]
		unit := web.MatrixUnit{ID: u.ID, Title: u.Title}
		for j := range u.Skills {
			s := &u.Skills[j]
			row := web.MatrixRow{ID: s.ID, Title: s.Title, URL: "/skills/" + s.ID, Safety: s.IsSafetyCritical(), Optional: !r.prog.Required(s)}
			for c, p := range here {
				st := &columns[c][n]
				cell := web.MatrixCell{Standing: standing(st.State), URL: skillURL(p.Key, s.ID)}
				if st.Awaiting != nil {
					cell.Note = "waits for a second person"
				}
				row.Cells = append(row.Cells, cell)
			}
			unit.Rows = append(unit.Rows, row)
			n++
		}
		page.Units = append(page.Units, unit)
	}
	return page, nil
}
