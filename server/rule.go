package server

import (
	"fmt"
	"net/url"
	"strconv"
	"strings"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/store"
	"tablehand/server/web"
)

// inARow is what a points rule is compared with: what many salons do.
const inARow = 3

// rulePage shows a points rule and, when numbers are asked for, what else could
// be chosen. ask is the query of a visit or the form of a publication.
func (r *request) rulePage(ask url.Values) (page web.Rule, picked *curriculum.PointsRule, err error) {
	rule := r.prog.PointsRule(r.Param("rule"))
	if rule == nil {
		return page, nil, store.ErrNotFound
	}
	page = web.Rule{Shell: r.shell(rule.Name, "/programme"), Name: rule.Name, InUse: ruleFacts(rule, "in-use"), Search: web.NewRuleSearch("/programme/rules/" + rule.ID)}
	asked := *rule
	if !readRule(&page, &asked, ask) {
		return page, nil, nil
	}
	choices, err := assessment.RuleChoices(asked)
	if err != nil {
		page.Fail(&page.Search.Within, sentence(err.Error()))
		return page, nil, nil
	}
	all, err := r.allUnsealed()
	if err != nil {
		return page, nil, err
	}
	history := assessment.HistoryOf(r.prog, rule.ID, all)
	for _, c := range choices {
		q := url.Values{"competent": {percentText(c.Competent)}, "unacceptable": {percentText(c.Unacceptable)}, "error": {percentText(c.PointsRule.FalseSignOff)}, "within": {strconv.Itoa(c.Within)},
			"costs": {strconv.Itoa(c.FaultCosts)}, "never_below": {strconv.Itoa(c.NeverBelow)}}
		line := web.RuleLine{URL: "/programme/rules/" + rule.ID + "?" + q.Encode() + "#picked", InUse: c.PointsRule == *rule,
			Rule:  fmt.Sprintf("A fault costs %d, never below %s, eligible at %d", c.FaultCosts, assessment.Minus(c.NeverBelow), c.EligibleAt),
			False: fmt.Sprintf("%.2f %%", 100*c.Figures.FalseSignOff), Competent: fmt.Sprintf("%.1f", c.MeanCompetent), Improving: fmt.Sprintf("%.0f of 100", 100*c.Improving), Here: triedWords(history.Try(&c.PointsRule))}
		if ask.Get("costs") == q.Get("costs") && ask.Get("never_below") == q.Get("never_below") {
			one := c.PointsRule
			picked, line.Picked = &one, true
		}
		page.Choices = append(page.Choices, line)
	}
	if picked != nil {
		page.Picked, err = r.pickedRule(rule, picked, all)
	}
	return page, picked, err
}

// allUnsealed is all evidence that the reader may see, without the grooms that they
// are to rate first.
func (r *request) allUnsealed() (map[string]*assessment.Apprenticeship, error) {
	all, err := r.srv.Store.AllEvidence(r.Request.Context(), r.scope)
	for key, a := range all {
		if all[key], _, err = r.unseal(a); err != nil {
			break
		}
	}
	return all, err
}

// triedWords say how a rule would have gone on the record, "61 of 90, after 19.4".
func triedWords(t assessment.Tried) string {
	switch {
	case t.Sequences == 0:
		return "nothing yet"
	case t.Reached == 0:
		return fmt.Sprintf("none of %d", t.Sequences)
	}
	return fmt.Sprintf("%d of %d, after %s", t.Reached, t.Sequences, t.Mean().Rounded(1, 1))
}

// readRule reads the numbers that were asked for into rule, or fills the form
// with those in use when nothing was. It reports whether there is something to
// look for.
func readRule(page *web.Rule, rule *curriculum.PointsRule, ask url.Values) bool {
	s := &page.Search
	for _, n := range []struct {
		field *web.Field
		into  *float64
		what  string
	}{{&s.Competent, &rule.Competent, "2"}, {&s.Unacceptable, &rule.Unacceptable, "20"}, {&s.Error, &rule.FalseSignOff, "5"}} {
		typed := strings.TrimSpace(ask.Get(n.field.Name))
		n.field.Value = orElse(typed, percentText(*n.into))
		if !ask.Has(n.field.Name) {
			continue
		}
		n.field.Value = typed
		v, err := strconv.ParseFloat(strings.Replace(strings.TrimSuffix(typed, "%"), ",", ".", 1), 64)
		if err != nil || !(v > 0 && v < 100) {
			page.Fail(n.field, "Enter a share above 0 and below 100 per cent, for example "+n.what+".")
			continue
		}
		*n.into = v / 100
	}
	s.Within.Value = strconv.Itoa(rule.Within)
	if ask.Has("within") {
		s.Within.Value = strings.TrimSpace(ask.Get("within"))
		n, err := strconv.Atoi(s.Within.Value)
		if err != nil || n < 1 || n > assessment.MostObservations {
			page.Fail(&s.Within, fmt.Sprintf("Enter a whole number of observations from 1 to %d, for example 60.", assessment.MostObservations))
		}
		rule.Within = n
	}
	if len(page.Problems) == 0 && rule.Competent >= rule.Unacceptable {
		page.Fail(&s.Unacceptable, "The unacceptable fault rate must be above the acceptable one.")
	}
	return len(page.Problems) == 0 && len(ask) > 0
}

// pickedRule tries a rule on the salon's own record.
func (r *request) pickedRule(now, next *curriculum.PointsRule, all map[string]*assessment.Apprenticeship) (*web.RulePicked, error) {
	ctx := r.Request.Context()
	p := &web.RulePicked{Facts: ruleFacts(next, "picked"), Nothing: "No standing would change today."}
	changed, err := r.prog.WithPointsRule(*next, r.prog.Version+1, assessment.CheckPoints)
	if err != nil {
		return nil, err
	}
	people, err := r.srv.Store.Apprentices(ctx, r.scope)
	if err != nil {
		return nil, err
	}
	for _, who := range people {
		if who.Left != 0 || all[who.Key] == nil {
			continue
		}
		for _, c := range all[who.Key].RuleChanges(r.prog, changed, r.today()) {
			p.Changes = append(p.Changes, web.RuleChangeLine{Apprentice: who.Name, Skill: c.Skill.Title, URL: skillURL(who.Key, c.Skill.ID), Before: standing(c.Before), After: standing(c.After)})
		}
	}
	switch {
	case *now == *next:
		p.WhyNot = "This is the rule in use."
	case r.scope.Role != assessment.HeadGroomer:
		p.WhyNot = "A head groomer can take it into use."
	default:
		p.CanPublish, p.Action, p.ClientID, p.Insecure = true, "/programme/rules/"+now.ID, newClientID(), r.insecure()
		p.Password = web.Password("Your password", "You publish the version with it.")
		for _, h := range [][2]string{{"competent", percentText(next.Competent)}, {"unacceptable", percentText(next.Unacceptable)}, {"error", percentText(next.FalseSignOff)},
			{"within", strconv.Itoa(next.Within)}, {"costs", strconv.Itoa(next.FaultCosts)}, {"never_below", strconv.Itoa(next.NeverBelow)}} {
			p.Hidden = append(p.Hidden, web.HiddenField{Name: h[0], Value: h[1]})
		}
	}
	return p, nil
}

func rule(r *request) error {
	page, _, err := r.rulePage(r.Request.URL.Query())
	if err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

func publishRule(r *request) error {
	ctx := r.Request.Context()
	if to, done := r.srv.Store.Replayed(ctx, r.scope, r.value("client_id")); done {
		return r.goTo(to, "")
	}
	page, next, err := r.rulePage(r.Request.PostForm)
	if err != nil {
		return err
	}
	if next == nil || !page.Picked.CanPublish {
		if len(page.Problems) == 0 {
			page.Fail(nil, "Choose a rule from the list first.")
		}
		return r.show(page, page.Shell)
	}
	if err := r.checkSigner(&page.Shell, &page.Picked.Password); err != nil {
		return err
	}
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	to, err := r.srv.Store.PublishRule(ctx, r.scope, *next, r.value("client_id"))
	if r.refusedBeside(&page.Shell, nil, err) {
		return r.show(page, page.Shell)
	}
	if err != nil {
		return err
	}
	return r.goTo(to, "The next version of the programme is in use. What is signed stays as it was.")
}

// ruleFacts are a rule's exact properties; id tells the charts of a page apart.
func ruleFacts(rule *curriculum.PointsRule, id string) web.RuleFacts {
	f, row := assessment.FiguresOf(rule), assessment.CompareInARow(inARow, rule)
	facts := web.RuleFacts{Rule: assessment.PointsWords(rule)[0], Names: [2]string{"This rule", "Three clean in a row"}, Say: assessment.RuleFactWords(rule, f, row)}
	facts.Ours = hundred("This rule", rule, f.FalseSignOff)
	facts.Other = hundred("Three clean in a row", rule, row.FalseSignOff)
	up := min(1, 2*rule.Unacceptable)
	ours, other := assessment.Curves(rule, inARow, up)
	facts.Chart = web.ChartCurves(id, []web.Curve{{Name: "this rule", Chance: ours}, {Name: "three in a row", Chance: other, Dashed: true}},
		[]web.CurveMark{{Rate: rule.Competent, Word: "acceptable"}, {Rate: rule.Unacceptable, Word: "unacceptable"}}, up, facts.Ours.Say+" "+facts.Other.Say)
	for i := 0; i < len(ours); i += 5 {
		facts.Rows = append(facts.Rows, web.CurveRow{Rate: percentText(up*float64(i)/float64(len(ours)-1)) + " %", Ours: assessment.ChanceWords(ours[i]), Other: assessment.ChanceWords(other[i])})
	}
	return facts
}

func hundred(title string, rule *curriculum.PointsRule, falsely float64) web.Hundred {
	return web.Hundred{Title: title, Picture: web.OutOf100(int(falsely*100 + 0.5)), Say: assessment.OutOf100Words(rule, falsely)}
}

func percentText(share float64) string {
	return strconv.FormatFloat(float64(int64(share*1e8+0.5))/1e6, 'f', -1, 64)
}

// sentence makes the words of an error one.
func sentence(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:] + "."
}
