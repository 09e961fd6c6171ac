package server

import (
	"cmp"
	"fmt"
	"slices"

	"tablehand/assessment"
	"tablehand/assessment/agreement"
	"tablehand/server/store"
	"tablehand/server/web"
)

// agreementPage shows how far the assessors agree, and what to rate twice next.
func agreementPage(r *request) error {
	ctx := r.Request.Context()
	page := web.Agreement{Shell: r.shell("How far the assessors agree", "/people"), Note: agreement.RangeNote,
		Meant: "Clean means here that the whole groom met the standard; scores are its weighted mean level."}
	joints, err := r.srv.Store.Joints(ctx, r.scope)
	if err != nil {
		return err
	}
	names, err := r.names()
	if err != nil {
		return err
	}
	list := store.RatedTwice(joints)
	for _, p := range assessment.AssessorPairs(r.prog, list, func(key string) string { return names[key] }) {
		page.Pairs = append(page.Pairs, pairOf(&p))
	}
	if len(page.Pairs) > 0 {
		all := assessment.AllAssessors(list)
		for _, t := range all.All() {
			page.Group = append(page.Group, agreementFigure(t.Figure))
		}
	}
	if len(page.Pairs) == 0 {
		page.Empty = "No groom has been rated twice yet. When two of you watch the same groom, the second rates it without seeing the first marks."
	}
	if r.scope.Role.Judges() {
		page.NewURL = "/grooms/new#second"
	}
	if err := r.doubles(&page, joints, names); err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

func pairOf(p *assessment.AssessorPair) web.AgreementPair {
	out := web.AgreementPair{ID: p.A + "-" + p.B, A: p.Whole.A, B: p.Whole.B, Grooms: p.Whole.Grooms, Chart: sharesChart(p)}
	for _, f := range p.Figures() {
		out.Figures = append(out.Figures, agreementFigure(f))
	}
	of := func(s agreement.Share) string { return fmt.Sprintf("%d of %d", s.Hits, s.Of) }
	for _, c := range p.Criteria {
		out.Criteria = append(out.Criteria, web.AgreementCriterion{Title: c.Criterion.Title, Same: of(c.SameLevel), Clean: of(c.Clean)})
	}
	return out
}

func agreementFigure(f agreement.Shown) web.AgreementFigure {
	return web.AgreementFigure{Title: f.Title, Known: f.Known, Shown: f.Shown, Sentence: f.Sentence}
}

// doubles says which pairs of assessors have too few grooms in common.
func (r *request) doubles(page *web.Agreement, joints []store.Joint, names map[string]string) error {
	ctx := r.Request.Context()
	since := r.today() - assessment.DoubleDays
	people, err := r.srv.Store.People(ctx, r.scope)
	if err != nil {
		return err
	}
	grooms, err := r.srv.Store.Grooms(ctx, r.scope, store.GroomFilter{Since: since})
	if err != nil {
		return err
	}
	var assessors []string
	for _, p := range people {
		if p.Left == 0 && p.Role.Judges() {
			assessors = append(assessors, p.Key)
		}
	}
	marked := map[string]int{}
	for _, g := range grooms {
		if g.SupersededBy == "" && g.Groom.SecondOf == "" {
			marked[g.Assessor.Key]++
		}
	}
	joint := func(a, b string) (n int) {
		for _, j := range joints {
			x, y := j.First.Assessor.Key, j.Second.Assessor.Key
			if j.First.Groom.Day >= since && (x == a && y == b || x == b && y == a) {
				n++
			}
		}
		return n
	}
	for _, d := range assessment.DoublesWanted(assessors, marked, joint) {
		if d.Have < d.Want {
			page.Wanted = append(page.Wanted, web.DoubleLine{A: names[d.A], B: names[d.B], Have: d.Have, Want: d.Want})
		}
	}
	page.How = fmt.Sprintf("About one groom in %d, spread over the pairs; counted over the last %d days.", assessment.DoubleOneIn, assessment.DoubleDays)
	if len(page.Wanted) > 0 {
		page.Whose, err = r.nearest(people)
	}
	return err
}

// nearest are the apprentices with the most safety-critical skills that only a
// few clean observations keep from being eligible.
func (r *request) nearest(people []store.Person) ([]web.Link, error) {
	all, err := r.srv.Store.AllEvidence(r.Request.Context(), r.scope)
	if err != nil {
		return nil, err
	}
	type near struct {
		link   web.Link
		skills int
	}
	var list []near
	for _, p := range people {
		if p.Left != 0 || all[p.Key] == nil {
			continue
		}
		n := near{link: web.Link{Label: p.Name, URL: apprenticeURL(p.Key)}}
		for _, s := range all[p.Key].Standings(r.prog, r.today()) {
			if s.State == assessment.Practising && s.PointsRule != nil && s.PointsRule.EligibleAt-s.Points.Score <= 5 {
				n.skills++
			}
		}
		if n.skills > 0 {
			list = append(list, n)
		}
	}
	slices.SortStableFunc(list, func(a, b near) int { return cmp.Compare(b.skills, a.skills) })
	var out []web.Link
	for _, n := range list[:min(3, len(list))] {
		out = append(out, n.link)
	}
	return out, nil
}
