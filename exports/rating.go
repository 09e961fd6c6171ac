package exports

import "tablehand/assessment"

// Rating is one criterion of one groom.
type Rating struct {
	Groom         string // reference
	Criterion     string // id
	Given         int    // level given, L1–L5; 0 when not seen
	Effective     int    // level that counts; at most Given
	Weight        int
	NotApplicable bool
	Lowered       string // why Effective is below Given
}

// RatingsOf lists the criteria of a judged groom.
func RatingsOf(ref string, r assessment.Result) []Rating {
	out := make([]Rating, len(r.Criteria))
	for i, c := range r.Criteria {
		out[i] = Rating{Groom: ref, Criterion: c.Criterion.ID, Given: c.Given, Effective: c.Effective,
			Weight: c.Criterion.Weight, NotApplicable: c.NotApplicable, Lowered: c.Lowered}
	}
	return out
}

func ratingSheet() *sheet {
	return &sheet{name: "Ratings", fixed: 2, columns: []column{
		{title: "Groom", width: 28, meaning: "Reference of the assessed groom", source: "record"},
		{title: "Criterion", width: 11, values: "criterion id", meaning: "Line of the rubric", source: "record"},
		{title: "Criterion title", width: 44, meaning: "Its words in the newest version given", source: "programme file"},
		{title: "Level given", width: 9, as: asCount, unit: "level", values: "1 to 5; empty when not applicable or not seen", meaning: "What the assessor gave", source: "record"},
		{title: "Level that counts", width: 10, as: asCount, unit: "level", values: "1 to 5, at most the one given", meaning: "After the rules for safety-critical skills and incidents", source: "judged from the record"},
		{title: "Weight", width: 9, as: asCount, unit: "weight", values: "1 or more", meaning: "Weight of the criterion in that version", source: "programme file"},
		{title: "Applies", width: 9, values: "yes, no", meaning: "No when the criterion was left out on purpose", source: "record"},
		{title: "Why lowered", width: 60, meaning: "Why the level that counts is below the one given", source: "judged from the record"},
	}}
}

func (wb *workbook) writeRatings() error {
	p, err := wb.beginTable(wb.ratings)
	if err != nil {
		return err
	}
	titles := map[string]any{}
	for _, c := range wb.criteria {
		titles[c.ID] = text(c.Title)
	}
	err = each(wb.book.Ratings, func(r *Rating) error {
		p.cells = append(p.cells, text(r.Groom), text(r.Criterion), titles[r.Criterion], given(r.Given, 0), given(r.Effective, 0),
			r.Weight, yesNo(!r.NotApplicable), text(r.Lowered))
		return p.end()
	})
	if err != nil {
		return err
	}
	return p.close()
}
