package book

import (
	"iter"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/exports"
	"tablehand/server/store"
)

func apprenticeOf(programmes []*curriculum.Programme, p store.Person, a *assessment.Apprenticeship, grooms []store.Groom, today assessment.Day) exports.Apprentice {
	prog := programmes[0]
	out := exports.Apprentice{Key: p.Key, Name: p.Name, Start: p.Start, End: p.End, Standings: a.ExplainedStandings(prog, today)}
	for i := range out.Standings {
		out.Progress.Add(prog, &out.Standings[i])
	}
	out.Completion = Completion(prog, p.Key, a, grooms, out.Progress)
	return out
}

// Completion is what finishing the programme needs of one apprentice. grooms
// are in order of day; those of others, corrected ones and second ratings are
// left out.
func Completion(prog *curriculum.Programme, apprentice string, a *assessment.Apprenticeship, grooms []store.Groom, progress assessment.Progress) []assessment.Requirement {
	open := 0
	for i := range a.Holds {
		if a.Holds[i].Open() {
			open++
		}
	}
	return assessment.Completion(prog, progress, Counted(apprentice, grooms), open)
}

// Counted are one apprentice's grooms as completion and a review of progress see
// them, without corrected ones and second ratings.
func Counted(apprentice string, grooms []store.Groom) []assessment.Counted {
	var counted []assessment.Counted
	for _, g := range grooms {
		if g.Apprentice.Key == apprentice && g.SupersededBy == "" && g.Groom.SecondOf == "" {
			c := assessment.Counted{Day: g.Groom.Day, Outcome: g.Outcome, Coat: g.Groom.Coat, Assessor: g.Assessor.Key}
			if s := g.Programme.Vocabulary.SizeOf(float64(g.Groom.Grams) / 1000); s != nil {
				c.Size = s.ID
			}
			counted = append(counted, c)
		}
	}
	return counted
}

// judge judges every groom once, for the sheets that show it.
func judge(grooms []store.Groom) []assessment.Result {
	out := make([]assessment.Result, len(grooms))
	for i := range grooms {
		out[i] = assessment.Judge(grooms[i].Programme, &grooms[i].Groom)
	}
	return out
}

func groomRows(grooms []store.Groom, results []assessment.Result, plans map[string]assessment.CutPlan) iter.Seq2[exports.Groom, error] {
	return func(yield func(exports.Groom, error) bool) {
		for i := range grooms {
			g := &grooms[i]
			row := exports.NewGroom(g.Programme, g.Key, &g.Groom, results[i])
			row.Outcome = g.Outcome // as it was signed, so that the sheet can show a difference
			if plan, has := plans[g.Key]; has {
				row.CutPlan = assessment.CutPlanWords(g.Programme, &plan, assessment.CutDogOf(&g.Groom))
			}
			row.Supersedes, row.SupersededBy, row.SecondOf, row.Signed = g.Groom.Supersedes, g.SupersededBy, g.Groom.SecondOf, g.Signed
			if !yield(row, nil) {
				return
			}
		}
	}
}

func ratingRows(grooms []store.Groom, results []assessment.Result) iter.Seq2[exports.Rating, error] {
	return func(yield func(exports.Rating, error) bool) {
		for i := range grooms {
			g := &grooms[i]
			for _, row := range exports.RatingsOf(g.Key, results[i]) {
				if !yield(row, nil) {
					return
				}
			}
		}
	}
}

func incidentRows(grooms []store.Groom, all map[string]*assessment.Apprenticeship) iter.Seq2[exports.Incident, error] {
	return func(yield func(exports.Incident, error) bool) {
		for i := range grooms {
			g := &grooms[i]
			for _, in := range g.Groom.Incidents {
				row := exports.Incident{Groom: g.Key, Day: g.Groom.Day, Apprentice: g.Apprentice.Key, Kind: in.Kind, Severity: in.Severity,
					Attribution: in.Attribution, Skill: in.Skill, SelfReported: in.SelfReported}
				if a := all[g.Apprentice.Key]; a != nil {
					for _, h := range a.Holds {
						if h.Groom == g.Key && h.Skill == in.Skill && h.Severity == in.Severity {
							row.Hold, row.Released = h.Scope, h.Released
						}
					}
				}
				if !yield(row, nil) {
					return
				}
			}
		}
	}
}

func signOffRows(list []store.SignOff, all map[string]*assessment.Apprenticeship) iter.Seq2[exports.SignOff, error] {
	return func(yield func(exports.SignOff, error) bool) {
		for i := len(list) - 1; i >= 0; i-- {
			so := &list[i]
			if all[so.Apprentice] != nil && !yield(exports.NewSignOff(&so.SignOff, len(so.Evidence.Counted)), nil) {
				return
			}
		}
	}
}
