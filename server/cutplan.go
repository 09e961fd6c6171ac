package server

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/store"
	"tablehand/server/web"
)

// cutPlanForm is the page of a draft's cut plan, filled from what is saved.
func (r *request) cutPlanForm() (web.CutPlanForm, assessment.CutDog, error) {
	page := web.NewCutPlanForm()
	page.Shell = r.shell("Cut plan", "/grooms")
	ctx := r.Request.Context()
	d, err := r.srv.Store.Draft(ctx, r.scope, r.Param("draft"))
	if err != nil {
		return page, assessment.CutDog{}, err
	}
	page.DraftURL = "/grooms/drafts/" + d.Key
	page.Action, page.Dog = page.DraftURL+"/cut-plan", orElse(d.Form.Get("dog"), "A dog without a label yet")
	g, _ := readGroom(r.prog, d.Form, r.scope.Key)
	dog := assessment.CutDogOf(&g)
	if r.prog.Cutting == nil {
		page.Missing = noTable
		return page, dog, nil
	}
	plan, err := r.srv.Store.CutPlan(ctx, r.scope, d.Key)
	page.BaseVersion, page.About, page.Chart = strconv.Itoa(plan.Version), r.cutDogWords(dog), bladeChart(r.prog)
	page.Plan = cutPlanView(r.prog, &plan.CutPlan, dog)
	page.Plan.Empty = "Nothing is planned yet."
	page.Consent.Checked, page.Wish.Checked = plan.Consent, plan.Wish
	for i := range r.prog.Cutting.Areas {
		page.Areas = append(page.Areas, cutArea(r.prog.Cutting, &r.prog.Cutting.Areas[i], plan.Lines))
	}
	return page, dog, err
}

// noTable is said where a programme has no table of blades.
const noTable = "The programme in use has no table of blades and combs. A head groomer can add one: the built-in programme shows how."

// cutDogWords says what of the draft bears on the plan, so that a wrong entry is
// seen where it matters.
func (r *request) cutDogWords(dog assessment.CutDog) string {
	v := &r.prog.Vocabulary
	words := []string{"coat not chosen yet", "matting not graded yet", "comb test not recorded yet"}
	if c := v.Coat(dog.Coat); c != nil {
		words[0] = c.Name
	}
	if dog.Matting >= 0 && dog.Matting < len(v.Matting) {
		words[1] = fmt.Sprintf("matting %d", dog.Matting)
	}
	if dog.Tested {
		words[2] = fmt.Sprintf("the comb passed in %d of %d hidden places", len(dog.Passed), len(v.CombTest))
	}
	return strings.Join(words, " · ")
}

func cutArea(c *curriculum.Cutting, a *curriculum.Area, lines []assessment.CutLine) web.CutArea {
	out := web.NewCutArea(a.ID, a.Name)
	out.Caution = a.Caution
	for _, c := range []*web.Choices{&out.Skin, &out.Direction, &out.Under} {
		c.Choices = []web.Choice{{Label: "Not chosen"}} // so that an entry can be taken back
	}
	out.Tool.Choices = []web.Choice{{Label: "Not clipped"}}
	for _, s := range c.Skins {
		out.Skin.Choices = append(out.Skin.Choices, web.Choice{Value: s.ID, Label: s.Name})
	}
	for i := range c.Blades {
		if b := &c.Blades[i]; len(a.Blades) == 0 || slices.Contains(a.Blades, b.ID) {
			out.Tool.Choices = append(out.Tool.Choices, web.Choice{Value: b.ID, Label: b.Name})
		}
	}
	for i := range c.Blades { // then what is not used here: a plan is written down as it was made
		if b := &c.Blades[i]; len(a.Blades) > 0 && !slices.Contains(a.Blades, b.ID) {
			out.Tool.Choices = append(out.Tool.Choices, web.Choice{Value: b.ID, Label: b.Name})
		}
	}
	for _, comb := range c.Combs {
		out.Tool.Choices = append(out.Tool.Choices, web.Choice{Value: comb.ID, Label: comb.Name})
	}
	for _, d := range curriculum.Directions {
		out.Direction.Choices = append(out.Direction.Choices, web.Choice{Value: string(d), Label: d.Words()})
	}
	for _, b := range c.Blades {
		out.Under.Choices = append(out.Under.Choices, web.Choice{Value: b.ID, Label: b.Name})
	}
	for _, c := range []*web.Choices{&out.Skin, &out.Tool, &out.Direction, &out.Under} {
		c.Choose("")
	}
	for i := range lines {
		if l := &lines[i]; l.Area == a.ID {
			out.Open, out.Summary = true, assessment.CutWords(c, l.Cut)
			if l.Agreed > 0 {
				out.Agreed.Value = l.Agreed.Number()
			}
			out.Skin.Choose(l.Skin)
			out.Tool.Choose(l.Tool)
			out.Direction.Choose(string(l.Direction))
			out.Under.Choose(l.Under)
		}
	}
	return out
}

func cutPlanPage(r *request) error {
	page, _, err := r.cutPlanForm()
	if r.signedAlready(err) {
		return r.goTo("/grooms/signed/"+r.Param("draft"), "This groom was signed; its cut plan stays as it is.")
	}
	if err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

func saveCutPlan(r *request) error {
	page, dog, err := r.cutPlanForm()
	if r.signedAlready(err) {
		return r.goTo("/grooms/signed/"+r.Param("draft"), "This groom was signed meanwhile; its cut plan stays as it is.")
	}
	if err != nil {
		return err
	}
	if page.Missing != "" {
		return &store.Refusal{Reasons: []string{page.Missing}}
	}
	plan := r.readCutPlan(&page)
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	seen, _ := strconv.Atoi(r.value("base_version"))
	_, err = r.srv.Store.SaveCutPlan(r.Request.Context(), r.scope, r.Param("draft"), seen, plan)
	if errors.Is(err, store.ErrConflict) {
		page.Fail(nil, "This plan was saved in another window since, so yours is not saved. What is saved stands first below; yours stands in the form. Save again to replace the other.")
		return r.show(page, page.Shell)
	}
	if err != nil {
		return err
	}
	saved := cutPlanView(r.prog, &plan, dog)
	notice := "The plan is saved."
	if n := saved.Bad(); n > 0 {
		notice = "The plan is saved, with " + count(n, "thing") + " to change."
	}
	return r.goTo(page.Action, notice)
}

// readCutPlan reads the form into a plan and keeps what was typed on the page. A
// length that cannot be read is told and not guessed.
func (r *request) readCutPlan(page *web.CutPlanForm) assessment.CutPlan {
	page.Consent.Checked, page.Wish.Checked = r.value("consent") != "", r.value("wish") != ""
	plan := assessment.CutPlan{Consent: page.Consent.Checked, Wish: page.Wish.Checked}
	for i := range page.Areas {
		a := &page.Areas[i]
		l := assessment.CutLine{Area: a.ID, Skin: r.chosenOf(&a.Skin), Cut: assessment.Cut{Tool: r.chosenOf(&a.Tool), Direction: curriculum.Direction(r.chosenOf(&a.Direction)), Under: r.chosenOf(&a.Under)}}
		a.Agreed.Value = r.value(a.Agreed.Name)
		text := strings.Replace(strings.TrimSpace(strings.TrimSuffix(a.Agreed.Value, "mm")), ",", ".", 1)
		mm, ok := curriculum.ParseMM(text)
		if text != "" && (!ok || mm == 0) {
			page.Fail(&a.Agreed, fmt.Sprintf("%s: %q is not a length. Enter millimetres with at most two decimals, for example 6.5.", a.Name, short(a.Agreed.Value)))
		}
		l.Agreed = mm
		if a.Open = l != (assessment.CutLine{Area: a.ID}) || a.Agreed.Error != ""; a.Open {
			plan.Lines = append(plan.Lines, l)
		}
	}
	return plan
}

// chosenOf marks what was posted for a question, and returns it when the question
// has it.
func (r *request) chosenOf(c *web.Choices) string {
	v := r.value(c.Name)
	c.Choose(v)
	if c.Chosen() {
		return v
	}
	return ""
}

// cutPlanView is a plan in words, with what the table of a programme says of it.
func cutPlanView(p *curriculum.Programme, plan *assessment.CutPlan, dog assessment.CutDog) web.CutPlan {
	var out web.CutPlan
	if p.Cutting == nil {
		return out
	}
	found := assessment.CheckCutPlan(p, plan, dog)
	for i := range plan.Lines {
		l := &plan.Lines[i]
		line := web.CutLine{Area: l.Area, Cut: assessment.CutWords(p.Cutting, l.Cut)}
		if a := p.Cutting.Area(l.Area); a != nil {
			line.Area = a.Name
		}
		var about []string
		if left, ok := assessment.ExpectedLength(p.Cutting, dog.Coat, l.Cut); ok {
			about = append(about, left.Words())
		}
		if l.Agreed > 0 {
			about = append(about, "agreed "+l.Agreed.String())
		}
		if s := p.Cutting.Skin(l.Skin); s != nil {
			about = append(about, "skin: "+strings.ToLower(s.Name))
		}
		line.About = strings.Join(about, " · ")
		for _, f := range found {
			if f.Area == l.Area {
				line.Findings = append(line.Findings, web.CutFinding{Word: f.Severity.String(), Text: f.Text, Bad: f.Severity > assessment.Advice})
			}
		}
		out.Lines = append(out.Lines, line)
	}
	words := web.NewCutPlanForm()
	for _, given := range []struct {
		is   bool
		text string
	}{{plan.Consent, words.Consent.Label}, {plan.Wish, words.Wish.Label}} {
		if given.is {
			out.Given = append(out.Given, given.text+".")
		}
	}
	return out
}

// cutPlanOf is the cut plan of a draft or groom as it is shown there; nil where the
// programme has no table, or where nothing was planned and nothing can be any more.
func (r *request) cutPlanOf(p *curriculum.Programme, key string, g *assessment.Groom, change string) (*web.CutPlan, error) {
	if p.Cutting == nil {
		return nil, nil
	}
	plan, err := r.srv.Store.CutPlan(r.Request.Context(), r.scope, key)
	if err != nil {
		return nil, err
	}
	view := cutPlanView(p, &plan.CutPlan, assessment.CutDogOf(g))
	view.Empty, view.ChangeURL = "Nothing is planned.", change
	if change == "" && len(view.Lines) == 0 {
		return nil, nil
	}
	return &view, nil
}
