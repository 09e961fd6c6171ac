package server

import (
	"fmt"
	"strconv"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/web"
)

// groomView is what a groom says, in words; edit is where it can be changed,
// or empty.
type groomView struct {
	About, Brief, Prep, Feedback []web.Row
	Criteria                     []web.CriterionResult
	Incidents                    []web.IncidentLine
	Result                       web.Result
}

func (r *request) groomView(p *curriculum.Programme, g *assessment.Groom, edit string) groomView {
	var v groomView
	row := func(key, value, at string) web.Row {
		if edit == "" {
			return web.Row{Key: key, Value: value}
		}
		return web.Row{Key: key, Value: value, ChangeURL: edit + at}
	}
	voc := &p.Vocabulary
	coat, weight := g.Coat, strconv.FormatFloat(float64(g.Grams)/1000, 'f', -1, 64)+" kg"
	if c := voc.Coat(g.Coat); c != nil {
		coat = c.Name
	}
	if s := voc.SizeOf(float64(g.Grams) / 1000); s != nil {
		weight += " (" + s.ID + ")"
	}
	v.About = []web.Row{row("Day", g.Day.Words(), "#dog"), row("Time", timeWords(g), "#clock"), row("Dog", g.Dog, "#dog"), row("Coat", coat, "#dog"),
		row("Weight", weight, "#dog"), row("Matting", grade(g.Matting, len(voc.Matting), func(i int) string { return voc.Matting[i].Name }), "#dog"),
		row("Temperament", grade(g.Temperament, len(voc.Temperament)+1, func(i int) string { return voc.Temperament[max(i-1, 0)].Name }), "#dog"),
		row("Service", curriculum.TermName(voc.Services, g.Service), "#dog"), row("Style", curriculum.TermName(voc.Styles, g.Style), "#dog")}
	v.Brief = []web.Row{row("Asked for", g.Brief.Asked, "#brief"), row("The coat allows", g.Brief.CoatAllows, "#brief"), row("Agreed instead", g.Brief.Agreed, "#brief"),
		row("Why", g.Brief.Why, "#brief"), row("Leave alone", g.Brief.LeaveAlone, "#brief"),
		row("Weeks until the next visit", numberWord(g.Brief.Weeks, 0, ""), "#brief")}
	passed := ""
	for i, id := range g.CombTest {
		if i > 0 {
			passed += ", "
		}
		passed += curriculum.TermName(voc.CombTest, id)
	}
	v.Prep = []web.Row{row("The comb passed", passed, "#prep"), row("Where it did not", g.CombNote, "#prep")}
	v.Feedback = []web.Row{row("Help given", curriculum.TermName(helpWords, g.Help), "#feedback"), row("Share done by the apprentice", numberWord(g.Share, -1, " %"), "#feedback"),
		row("Overall impression", overall(g.Global), "#overall"), row("Keep", g.Keep, "#feedback"), row("Do differently", g.Change, "#feedback"), row("Practise next", g.Next, "#feedback")}
	if g.Stopped {
		v.About = append(v.About, row("Stopped early", "yes", "#dog"))
	}
	res := assessment.Judge(p, g)
	for _, c := range res.Criteria {
		v.Criteria = append(v.Criteria, criterionResult(p, g, c, edit))
	}
	for _, in := range g.Incidents {
		l := web.IncidentLine{Kind: curriculum.TermName(p.Incidents.Kinds, in.Kind), Severity: in.Severity, Attribution: curriculum.TermName(p.Incidents.Attributions, in.Attribution),
			Skill: r.skillTitle(in.Skill), Note: in.Note, Reported: in.SelfReported}
		if edit != "" {
			l.ChangeURL = edit + "#incidents"
		}
		v.Incidents = append(v.Incidents, l)
	}
	v.Result = web.Result{Word: res.Outcome.String(), Weight: fmt.Sprintf("%d of %d", res.Weight, p.Rubric.Total)}
	if res.Weight > 0 {
		v.Result.Mean, v.Result.Percent = res.Mean().Truncated(1, 2), res.Percent().Truncated(100, 2)+" %"
	}
	for _, why := range res.Reasons {
		v.Result.Reasons = append(v.Result.Reasons, web.Reason{Text: why})
	}
	return v
}

// timeWords are the times of a groom, "13:05 – 14:50, 10 min of breaks".
func timeWords(g *assessment.Groom) string {
	if g.Start == assessment.NoClock && g.Stop == assessment.NoClock {
		return ""
	}
	words := g.Start.String() + " – " + g.Stop.String()
	if g.Breaks > 0 {
		words += fmt.Sprintf(", %d min of breaks", g.Breaks)
	}
	return words
}

// numberWord is a number with its unit, or nothing when it was not given.
func numberWord(n, missing int, unit string) string {
	if n == missing {
		return ""
	}
	return strconv.Itoa(n) + unit
}

func overall(g int) string {
	if g < 1 || g > len(globalWords) {
		return ""
	}
	return globalWords[g-1]
}

func grade(g, n int, name func(int) string) string {
	if g < 0 || g >= n {
		return ""
	}
	return fmt.Sprintf("%d, %s", g, name(g))
}

func criterionResult(p *curriculum.Programme, g *assessment.Groom, c assessment.CriterionResult, edit string) web.CriterionResult {
	out := web.CriterionResult{ID: c.Criterion.ID, Title: c.Criterion.Title, Weight: c.Criterion.Weight, MustMeet: mustWords(c.Criterion), Reason: c.Lowered}
	switch {
	case c.NotApplicable:
		out.Given, out.Reason = "not applicable", c.Reason
	case c.Given == 0:
		out.Given = "not marked"
	default:
		out.Given, out.Effective = levelWord(c.Given), levelWord(c.Effective)
		out.Short = c.Effective < max(c.Criterion.MustMeet, p.Rubric.LeastLevel)
	}
	for _, list := range [][]string{c.Criterion.Skills, c.Criterion.SkillsIfSeen} {
		for _, id := range list {
			switch l := g.Skills[id]; {
			case l == assessment.Unseen:
				out.Skills = append(out.Skills, p.Skill(id).Title+": not seen")
			case l > 0:
				out.Skills = append(out.Skills, p.Skill(id).Title+": "+levelWord(l))
			}
		}
	}
	if edit != "" {
		out.ChangeURL = edit + "#c-" + c.Criterion.ID
	}
	return out
}
