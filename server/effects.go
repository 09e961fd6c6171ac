package server

import (
	"fmt"
	"slices"

	"tablehand/assessment"
	"tablehand/server/store"
	"tablehand/server/web"
)

// effects is what signing would change for each skill, the standing without and
// with the groom: what moves first, and the rest.
func (r *request) effects(before, after []assessment.Standing, g *assessment.Groom, apprentice string) (moved, same []web.Effect) {
	seen := map[string]assessment.Observation{}
	for _, o := range assessment.Derive(r.prog, g) {
		seen[o.Skill] = o
	}
	for i := range before {
		o, touched := seen[before[i].Skill.ID]
		if !touched && before[i].State == after[i].State {
			continue
		}
		e := web.Effect{Skill: before[i].Skill.Title, URL: skillURL(apprentice, before[i].Skill.ID), StandingFrom: standing(before[i].State), StandingTo: standing(after[i].State),
			Before: evidenceWords(&before[i]), After: evidenceWords(&after[i])}
		if touched {
			e.Outcome = assessment.VerdictOf(r.prog, &o).String()
		}
		if e.Changed() || e.Before != e.After || e.Outcome == assessment.NotClean.String() {
			moved = append(moved, e)
		} else {
			same = append(same, e)
		}
	}
	weightiestFirst(moved)
	return moved, same
}

// weightiestFirst puts what is not clean and what changes a standing above the
// rest, which is many lines of the same.
func weightiestFirst(list []web.Effect) {
	weight := func(e web.Effect) int {
		switch {
		case e.Changed() && e.StandingTo == web.OnHold:
			return 0
		case e.Outcome != assessment.Clean.String() && e.Outcome != "":
			return 1
		case e.Changed():
			return 2
		}
		return 3
	}
	slices.SortStableFunc(list, func(a, b web.Effect) int { return weight(a) - weight(b) })
}

func evidenceWords(s *assessment.Standing) string {
	if s.PointsRule != nil {
		return pointsWord(s.Points.Score)
	}
	for _, q := range s.Requirements {
		switch q.Need {
		case assessment.NeedCount, assessment.NeedSimulations:
			if q.Have >= q.Want {
				return fmt.Sprintf("enough (%d needed)", q.Want)
			}
			return fmt.Sprintf("%d of %d", q.Have, q.Want)
		}
	}
	return s.State.String()
}

func pointsWord(n int) string {
	if n < 0 {
		return "−" + count(-n, "point")
	}
	return count(n, "point")
}

// standingNow lists the skills a signed groom showed: what became of each
// observation, and where the skill stands today.
//
// It does not show before and after. What the record was when the groom was
// signed cannot be worked out in every case: grooms corrected since, reviews,
// holds and the programme of that day are no longer in the evidence as they
// were. What the observation does to the points of today's record, and where
// that record stands, is true of every groom, whenever it was entered.
func (r *request) standingNow(a *assessment.Apprenticeship, g *store.Groom) (moved, same []web.Effect) {
	var simple []web.Effect // clean and counted: after what is not
	list := a.ExplainedStandings(r.prog, r.today())
	for i := range list {
		s := &list[i]
		for n := range s.Used {
			u := &s.Used[n]
			if u.Observation.Groom != g.Key {
				continue
			}
			e := web.Effect{Skill: s.Skill.Title, URL: skillURL(g.Apprentice.Key, s.Skill.ID), Outcome: outcomeWords(s, n), Level: levelWord(int(u.Observation.Level)),
				After: evidenceWords(s), StandingFrom: standing(s.State), StandingTo: standing(s.State), Note: u.Why.Words()}
			if u.Why == assessment.BelowLevel {
				e.Note = "" // "not clean" says it
			}
			switch taken := u.Counted || u.Judged; {
			case u.Verdict != assessment.Clean || !taken || s.State == assessment.OnHold:
				moved = append(moved, e)
			case pointsMove(s, n) == 0:
				same = append(same, e)
			default:
				simple = append(simple, e)
			}
		}
	}
	return append(moved, simple...), same
}

// pointsMove is what one observation did to the points, as the record stands
// now; 0 where the skill has none.
func pointsMove(s *assessment.Standing, n int) int {
	if s.PointsRule == nil || !s.Used[n].Judged {
		return 0
	}
	before := 0
	for i := n - 1; i >= 0; i-- {
		if s.Used[i].Judged {
			before = s.Used[i].Score
			break
		}
	}
	return s.Used[n].Score - before
}

// outcomeWords is what was seen and what it does to the points: "clean, +1,
// 9 points after it".
func outcomeWords(s *assessment.Standing, n int) string {
	u := &s.Used[n]
	switch {
	case s.PointsRule == nil:
		return u.Verdict.String()
	case !u.Judged:
		return u.Verdict.String() + ", no points"
	}
	move := pointsMove(s, n)
	if move == 0 {
		return fmt.Sprintf("%s, stays at %s", u.Verdict, pointsWord(u.Score))
	}
	return fmt.Sprintf("%s, %s, %s after it", u.Verdict, signed(move), pointsWord(u.Score))
}

// pointsStep is a change of points with its sign.
func pointsStep(n int) string {
	if n == 0 {
		return "±0"
	}
	return signed(n)
}
