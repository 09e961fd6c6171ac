package server

import (
	"fmt"
	"math"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/store"
	"tablehand/server/web"
)

// readGroom reads a draft's form as a groom. Values that cannot be read are
// told as problems and left empty; nothing is guessed.
func readGroom(p *curriculum.Programme, form url.Values, assessor string) (assessment.Groom, []assessment.Problem) {
	f := formReader{form: form}
	g := assessment.Groom{
		Apprentice: f.text("apprentice"), Assessor: assessor, Day: f.day("day"), Start: f.clock("start"), Stop: f.clock("stop"), Breaks: f.number("breaks", 0),
		Dog: f.text("dog"), Coat: f.text("coat"), Grams: f.grams("size_kg"), Matting: f.number("matting", -1), Temperament: f.number("temperament", 0),
		Service: f.text("service"), Style: f.text("style"), CombTest: form["prep"], CombNote: f.text("comb_note"), Stopped: form.Get("stopped") != "",
		Brief: assessment.Brief{Asked: f.text("asked"), CoatAllows: f.text("coat_allows"), Agreed: f.text("agreed"), Why: f.text("agreed_why"),
			LeaveAlone: f.text("leave_alone"), Weeks: f.number("weeks_until_next", 0)},
		Help: f.text("help"), Share: f.number("share", -1), Global: f.number("global", 0), Keep: f.text("keep"), Change: f.text("change"), Next: f.text("next"),
		SecondOf: f.text("second_of"), Supersedes: f.text("supersedes"), Because: f.text("because"),
		Marks: map[string]assessment.Mark{}, Skills: map[string]int{},
	}
	for i := range p.Rubric.Criteria {
		c := &p.Rubric.Criteria[i]
		switch v := f.text("level." + c.ID); v {
		case "":
		case "na":
			g.Marks[c.ID] = assessment.Mark{NotApplicable: true, Reason: orElse(f.text("na_reason."+c.ID), c.NotApplicable)}
		default:
			g.Marks[c.ID] = assessment.Mark{Level: f.number("level."+c.ID, 0)}
		}
		for _, id := range slices.Concat(c.Skills, c.SkillsIfSeen) {
			switch v := f.text("skill." + id); v {
			case "":
			case "unseen":
				g.Skills[id] = assessment.Unseen
			default:
				g.Skills[id] = f.number("skill."+id, 0)
			}
		}
	}
	for _, row := range filledIncidents(form) {
		g.Incidents = append(g.Incidents, f.incidentIn(row))
	}
	return g, f.problems
}

type formReader struct {
	form     url.Values
	problems []assessment.Problem
}

func (f *formReader) text(name string) string {
	return strings.TrimSpace(strings.ReplaceAll(f.form.Get(name), "\r\n", "\n"))
}

func (f *formReader) bad(name, format string, args ...any) {
	f.problems = append(f.problems, assessment.Problem{Field: name, Message: fmt.Sprintf(format, args...)})
}

func (f *formReader) number(name string, missing int) int {
	v := f.text(name)
	if v == "" {
		return missing
	}
	n, err := strconv.Atoi(strings.TrimSuffix(strings.TrimSpace(strings.TrimSuffix(v, "%")), "%"))
	if err != nil || n < -1000 || n > 1_000_000 {
		f.bad(name, "%q is not a whole number. Use digits only.", short(v))
		return missing
	}
	return n
}

func (f *formReader) day(name string) assessment.Day {
	v := f.text(name)
	if v == "" {
		return 0
	}
	d, err := assessment.ParseDay(v)
	if err != nil {
		f.bad(name, "%q is not a day. Enter it as year-month-day, for example 2026-05-20.", short(v))
	}
	return d
}

func (f *formReader) clock(name string) assessment.Clock {
	v := f.text(name)
	if v == "" {
		return assessment.NoClock
	}
	h, m, ok := strings.Cut(v, ":")
	hours, err1 := strconv.Atoi(h)
	minutes, err2 := strconv.Atoi(m)
	if !ok || err1 != nil || err2 != nil || hours < 0 || hours > 23 || minutes < 0 || minutes > 59 {
		f.bad(name, "%q is not a time. Enter it as hours and minutes, for example 14:05.", short(v))
		return assessment.NoClock
	}
	return assessment.Clock(hours*60 + minutes)
}

func (f *formReader) grams(name string) int {
	v := strings.TrimSpace(strings.TrimSuffix(f.text(name), "kg"))
	if v == "" {
		return 0
	}
	kg, err := strconv.ParseFloat(strings.Replace(v, ",", ".", 1), 64)
	if err != nil || math.IsNaN(kg) || kg < 0 || kg > 1000 {
		f.bad(name, "%q is not a weight. Enter kilograms, for example 12.5.", short(v))
		return 0
	}
	return int(math.Round(kg * 1000))
}

func short(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}

// groomForm writes a groom back as a form, for a correction.
func groomForm(g *assessment.Groom) url.Values {
	f := url.Values{}
	set := func(name, v string) {
		if v != "" {
			f.Set(name, v)
		}
	}
	number := func(name string, v, missing int) {
		if v != missing {
			f.Set(name, strconv.Itoa(v))
		}
	}
	b := &g.Brief
	for _, t := range [][2]string{{"apprentice", g.Apprentice}, {"day", g.Day.String()}, {"start", g.Start.String()}, {"stop", g.Stop.String()}, {"dog", g.Dog}, {"coat", g.Coat},
		{"service", g.Service}, {"style", g.Style}, {"comb_note", g.CombNote}, {"asked", b.Asked}, {"coat_allows", b.CoatAllows}, {"agreed", b.Agreed}, {"agreed_why", b.Why},
		{"leave_alone", b.LeaveAlone}, {"help", g.Help}, {"keep", g.Keep}, {"change", g.Change}, {"next", g.Next}, {"second_of", g.SecondOf}} {
		set(t[0], t[1])
	}
	set("size_kg", strconv.FormatFloat(float64(g.Grams)/1000, 'f', -1, 64))
	number("matting", g.Matting, -1)
	number("temperament", g.Temperament, 0)
	number("weeks_until_next", b.Weeks, 0)
	number("share", g.Share, -1)
	number("breaks", g.Breaks, 0)
	number("global", g.Global, 0)
	f["prep"] = g.CombTest
	if g.Stopped {
		f.Set("stopped", "yes")
	}
	for id, m := range g.Marks {
		if m.NotApplicable {
			f.Set("level."+id, "na")
			set("na_reason."+id, m.Reason)
		} else {
			number("level."+id, m.Level, 0)
		}
	}
	for id, l := range g.Skills {
		if l == assessment.Unseen {
			f.Set("skill."+id, "unseen")
		} else {
			number("skill."+id, l, 0)
		}
	}
	for i, in := range g.Incidents {
		at := fmt.Sprintf("incident.%d.", i)
		set(at+"kind", in.Kind)
		set(at+"severity", in.Severity)
		set(at+"attribution", in.Attribution)
		set(at+"skill", in.Skill)
		set(at+"note", in.Note)
		if in.SelfReported {
			f.Set(at+"reported", "yes")
		}
	}
	return f
}

// draftForm fills the marking form from a draft, exactly as it was typed.
func (r *request) draftForm(d store.Draft, people []store.Person) web.GroomDraft {
	page, v, form := web.NewGroomDraft(), &r.prog.Vocabulary, d.Form
	page.Shell = r.shell("Mark a groom", "/grooms")
	page.Heading = orElse(form.Get("dog"), "A groom")
	for _, p := range people {
		if p.Left == 0 {
			page.Apprentice.Choices = append(page.Apprentice.Choices, web.Choice{Value: p.Key, Label: p.Name})
			if p.Key == form.Get("apprentice") {
				page.Heading += ", groomed by " + p.Name
			}
		}
	}
	page.Action, page.ReadBack = "/grooms/drafts/"+d.Key, "/grooms/drafts/"+d.Key+"/read-back"
	page.ClientID, page.BaseVersion = newClientID(), strconv.Itoa(d.Version)
	page.DraftKey, page.SavedAs = d.Key, d.SavedAs
	if d.Version > 1 {
		page.SavedAt = "Saved " + r.local(d.Updated).Format("15:04")
	}
	switch {
	case form.Get("supersedes") != "":
		page.Corrects = "This corrects a signed groom, because: " + form.Get("because")
	case form.Get("second_of") != "":
		page.Corrects = secondWords
	}
	fillVocabulary(&page, v)
	for _, f := range typed(&page) {
		f.Value = form.Get(f.Name)
	}
	for _, c := range chosen(&page) {
		c.Choose(form[c.Name]...)
	}
	page.Stopped.Checked = form.Get("stopped") != ""
	for i := range r.prog.Rubric.Criteria {
		page.Criteria = append(page.Criteria, r.draftCriterion(i, form))
	}
	page.Stages, page.Clock = draftStages(&r.prog.Rubric, page.Criteria), draftClock(form)
	page.Incidents = r.draftIncidents(form)
	page.MoreAllowed = len(page.Incidents) < assessment.MaxIncidents
	g, _ := readGroom(r.prog, form, r.scope.Key)
	page.SoFar = r.soFar(&g)
	return page
}

// helpWords and globalWords are what the form offers and a receipt repeats.
var (
	helpWords   = []curriculum.Term{{ID: "none", Name: "None"}, {ID: "words", Name: "A word now and then"}, {ID: "talked_through", Name: "Talked through parts"}, {ID: "hands", Name: "Hands-on help"}}
	globalWords = []string{"Not acceptable", "Weak", "Borderline", "Good", "Excellent"}
)

func fillVocabulary(page *web.GroomDraft, v *curriculum.Vocabulary) {
	add := func(c *web.Choices, value, label, hint string) {
		c.Choices = append(c.Choices, web.Choice{Value: value, Label: label, Hint: hint})
	}
	for _, c := range v.Coats {
		page.Coat.Choices = append(page.Coat.Choices, web.Choice{Value: c.ID, Label: c.Name, Symbol: web.CoatSymbol(c.ID)})
	}
	for _, m := range v.Matting {
		add(&page.Matting, strconv.Itoa(m.Grade), strconv.Itoa(m.Grade), m.Name)
	}
	for _, t := range v.Temperament {
		add(&page.Temperament, strconv.Itoa(t.Grade), strconv.Itoa(t.Grade), t.Name)
	}
	for _, t := range v.Services {
		add(&page.Service, t.ID, t.Name, "")
	}
	for _, t := range v.Styles {
		add(&page.Style, t.ID, t.Name, "")
	}
	for _, t := range v.CombTest {
		add(&page.Prep, t.ID, t.Name, "")
	}
	for _, h := range helpWords {
		add(&page.Help, h.ID, h.Name, "")
	}
	for i, h := range globalWords {
		add(&page.Global, strconv.Itoa(i+1), h, "")
	}
}

func (r *request) draftCriterion(i int, form url.Values) web.DraftCriterion {
	c := &r.prog.Rubric.Criteria[i]
	d := web.DraftCriterion{ID: c.ID, Stage: c.Stage, Title: c.Title, Weight: c.Weight, MustMeet: mustWords(c), CanSkip: c.NotApplicable != "", SkipWhen: c.NotApplicable, SkipWhy: web.SkipReason(c.ID)}
	given := form.Get("level." + c.ID)
	for l, anchor := range c.Anchors {
		v := strconv.Itoa(l + 1)
		d.Levels = append(d.Levels, web.LevelChoice{Value: v, Anchor: anchor, Checked: v == given})
	}
	d.Skipped, d.SkipWhy.Value = given == "na", form.Get("na_reason."+c.ID)
	for n, id := range slices.Concat(c.Skills, c.SkillsIfSeen) {
		s := r.prog.Skill(id)
		own := form.Get("skill." + id)
		d.Skills = append(d.Skills, web.DraftSkill{ID: id, Title: s.Title, Value: own, IfSeen: n >= len(c.Skills), Safety: s.IsSafetyCritical()})
		d.SkillOpen = d.SkillOpen || own != ""
		if s.IsSafetyCritical() && n < len(c.Skills) && len(d.Cautions) < 3 {
			// The hazard first: most cautions speak of "it", and mean what can go wrong.
			d.Cautions = append(d.Cautions, web.Caution{Skill: s.Title, Text: strings.TrimSpace(s.Hazard + " " + s.Caution)})
		}
	}
	return d
}

// combStage is the stage in which the comb test is asked for, where a rubric has
// one of this id; otherwise it stands at the check-in.
const combStage = "comb_out"

// draftStages puts the criteria in the order of the groom. A rubric without
// stages is one of them.
func draftStages(rubric *curriculum.Rubric, criteria []web.DraftCriterion) []web.DraftStage {
	terms := rubric.Stages
	if len(terms) == 0 {
		terms = []curriculum.Term{{Name: "The groom"}}
	}
	comb := max(0, slices.IndexFunc(terms, func(t curriculum.Term) bool { return t.ID == combStage }))
	out := make([]web.DraftStage, len(terms))
	for i, t := range terms {
		out[i] = web.DraftStage{ID: orElse(t.ID, "groom"), Title: t.Name, CheckIn: i == 0, CombTest: i == comb, HandBack: i == len(terms)-1}
		for j := range criteria {
			if criteria[j].Stage == t.ID {
				out[i].Criteria = append(out[i].Criteria, &criteria[j])
			}
		}
	}
	return out
}

func mustWords(c *curriculum.Criterion) string {
	if c.MustMeet == 0 {
		return ""
	}
	return fmt.Sprintf("must meet, L%d or more", c.MustMeet)
}

func (r *request) soFar(g *assessment.Groom) web.SoFar {
	res := assessment.Judge(r.prog, g)
	marked := 0
	for _, c := range res.Criteria {
		if c.Effective > 0 || c.NotApplicable {
			marked++
		}
	}
	s := web.SoFar{Marked: fmt.Sprintf("%d of %d", marked, len(res.Criteria)), Weight: fmt.Sprintf("weight %d of %d", res.Weight, r.prog.Rubric.Total)}
	if res.Weight > 0 {
		s.Mean, s.Outlook = "mean "+res.Mean().Truncated(1, 2), res.Outcome.String()
		if len(res.Reasons) > 0 {
			s.Why = res.Reasons[0]
		}
	}
	return s
}

// typed and chosen are the entries of the form outside criteria and incidents.
func typed(page *web.GroomDraft) []*web.Field {
	return []*web.Field{&page.Day, &page.Start, &page.Stop, &page.Breaks, &page.Dog, &page.Size, &page.Asked, &page.CoatAllows, &page.Agreed, &page.AgreedWhy, &page.LeaveAlone,
		&page.Weeks, &page.CombNote, &page.Share, &page.Keep, &page.Change, &page.Next}
}

func chosen(page *web.GroomDraft) []*web.Choices {
	return []*web.Choices{&page.Apprentice, &page.Coat, &page.Matting, &page.Temperament, &page.Service, &page.Style, &page.Prep, &page.Help, &page.Global}
}

// failDraft puts each problem beside the field it is about.
func failDraft(page *web.GroomDraft, problems []assessment.Problem) {
	controls := map[string]web.Control{}
	for _, f := range typed(page) {
		controls[f.Name] = f
	}
	for _, c := range chosen(page) {
		controls[c.Name] = c
	}
	for i := range page.Criteria {
		controls[page.Criteria[i].Name()] = &page.Criteria[i]
	}
	for i := range page.Incidents {
		d := &page.Incidents[i]
		for _, c := range []*web.Choices{&d.Kind, &d.Severity, &d.Attribution, &d.Skill} {
			controls[c.Name] = c
		}
		controls[d.Note.Name] = &d.Note
	}
	defer func() {
		for i := range page.Incidents {
			d := &page.Incidents[i]
			d.Open = d.Open || d.Kind.Error+d.Severity.Error+d.Attribution.Error+d.Skill.Error+d.Note.Error != "" // told where it is seen
		}
	}()
	told := map[string]bool{}
	for _, p := range problems {
		if told[p.Field] {
			continue // the reading of a field comes before its meaning
		}
		told[p.Field] = true
		page.Fail(controls[p.Field], p.Message)
	}
}
