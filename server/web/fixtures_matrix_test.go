package web

import "fmt"

func fixtureMatrix(people int) Matrix {
	m := Matrix{Shell: shell("Skills matrix", "Skills matrix"),
		Caption: fmt.Sprintf("%d apprentices at Salon Alder, 60 skills, as of 3 March 2026.", people),
		Filters: []Filter{{"All skills", "/matrix", true}, {"Safety-critical only", "/matrix?show=safety", false}},
		Note:    "Apprentices who have left are not shown.", WallURL: "/wall"}
	names := apprenticeNames[:people]
	for i, n := range names {
		m.Columns = append(m.Columns, MatrixColumn{n, fmt.Sprintf("/apprentices/a%d", i+1), fmt.Sprintf("week %d", 4+i*13%74)})
	}
	signedOf := make([]int, people)
	safeOf := make([]int, people)
	row := 0
	for _, u := range unitNames {
		mu := MatrixUnit{ID: u.id, Title: u.title}
		for k, title := range u.skills {
			safety := title[0] == '!'
			if safety {
				title = title[1:]
			}
			id := fmt.Sprintf("%s%d", u.id, k+1)
			r := MatrixRow{ID: id, Title: title, URL: "/skills/" + id, Safety: safety, Optional: id == "DR3" || id == "NE4"}
			for c := range names {
				cell := MatrixCell{Standing: standingFor(row, c), URL: fmt.Sprintf("/apprentices/a%d/skills/%s", c+1, id)}
				if cell.Standing == Eligible && c%2 == 0 {
					cell.Note = "waits for a confirmer"
				}
				if cell.Standing == Signed && !r.Optional {
					signedOf[c]++
					if safety {
						safeOf[c]++
					}
				}
				r.Cells = append(r.Cells, cell)
			}
			mu.Rows = append(mu.Rows, r)
			row++
		}
		m.Units = append(m.Units, mu)
	}
	foot := []MatrixFoot{{Label: "Signed, of 58 required"}, {Label: "Percent"}, {Label: "Safety-critical, of 37"}}
	for c := range names {
		foot[0].Cells = append(foot[0].Cells, itoa(signedOf[c]))
		foot[1].Cells = append(foot[1].Cells, fmt.Sprintf("%.0f %%", float64(signedOf[c])/.58))
		foot[2].Cells = append(foot[2].Cells, itoa(safeOf[c]))
	}
	m.Foot = foot
	return m
}

func standingFor(row, column int) Standing {
	reach := 8 + column*29%62
	noise := (row*7 + column*13) % 11
	switch {
	case (row*5+column*3)%67 == 9 && row < reach:
		return OnHold
	case (row*3+column*11)%71 == 20 && row < reach:
		return Lapsed
	case row+noise < reach:
		return Signed
	case row+noise < reach+4:
		return Eligible
	case row+noise < reach+24:
		return Practising
	}
	return NotStarted
}
