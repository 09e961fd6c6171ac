package server

import (
	"slices"
	"strconv"

	"tablehand/assessment"
	"tablehand/server/web"
)

// noSupervisor is the answer where nobody was there.
const noSupervisor = "nobody"

// logForm is the quick entry, empty.
func (r *request) logForm() (web.LogNew, error) {
	page := web.NewLogNew()
	page.Shell, page.ClientID = r.shell("Add to my logbook", "/logbook"), newClientID()
	for _, c := range r.prog.Vocabulary.Coats {
		page.Coat.Choices = append(page.Coat.Choices, web.Choice{Value: c.ID, Label: c.Name})
	}
	for _, l := range r.prog.Levels {
		page.Level.Choices = append(page.Level.Choices, web.Choice{Value: strconv.Itoa(l.Level), Label: levelWord(l.Level), Hint: l.Name + ". " + ownLevelWords[l.Level-1]})
	}
	for i := range r.prog.Units {
		u := &r.prog.Units[i]
		unit := web.LogUnit{Title: u.Title}
		for j := range u.Skills {
			if s := &u.Skills[j]; r.prog.Rubric.CriterionOf(s.ID) != nil { // anything else is not shown on a dog
				unit.Skills = append(unit.Skills, web.Choice{Value: s.ID, Label: s.Title})
			}
		}
		if len(unit.Skills) > 0 {
			page.Units = append(page.Units, unit)
		}
	}
	people, err := r.srv.Store.People(r.Request.Context(), r.scope)
	for _, p := range people {
		if p.Role.Judges() && p.Left == 0 {
			page.Supervisor.Choices = append(page.Supervisor.Choices, web.Choice{Value: p.Key, Label: p.Name})
		}
	}
	page.Supervisor.Choices = append(page.Supervisor.Choices, web.Choice{Value: noSupervisor, Label: "Nobody"})
	return page, err
}

// ownLevelWords say the five levels as the apprentice would: the programme's own
// words speak of them.
var ownLevelWords = [...]string{"I looked on or held the dog.", "I did it, led step by step.", "I did it, with a reminder now and then.", "I did all of it without help.", "I did it alone, and saw the risks coming."}

func logNewPage(r *request) error {
	page, err := r.logForm()
	if err != nil {
		return err
	}
	page.Day.Value = r.today().String()
	return r.show(page, page.Shell)
}

func addLogEntry(r *request) error {
	ctx := r.Request.Context()
	page, err := r.logForm()
	if err != nil {
		return err
	}
	in, unread := r.readLogEntry(&page)
	found := slices.Concat(unread, assessment.LogProblems(r.prog, &in, r.today()))
	for _, c := range []struct { // in the order of the form, one thing at a time for each field
		name    string
		control web.Control
	}{{"dog", &page.Dog}, {"day", &page.Day}, {"coat", &page.Coat}, {"size_kg", &page.Size}, {"skill", &page.Skill}, {"level", &page.Level},
		{"outcome", &page.Outcome}, {"words", &page.Words}, {"supervisor", &page.Supervisor}} {
		if i := slices.IndexFunc(found, func(p assessment.Problem) bool { return p.Field == c.name }); i >= 0 {
			page.Fail(c.control, found[i].Message)
		}
	}
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	to, err := r.srv.Store.AddLogEntry(ctx, r.scope, in, r.value("client_id"))
	if r.refusedBeside(&page.Shell, &page.Supervisor, err) {
		return r.show(page, page.Shell)
	}
	if err != nil {
		return err
	}
	return r.goTo(to, "It is in your logbook.")
}

// readLogEntry reads the form as an entry and keeps in the page what was typed.
func (r *request) readLogEntry(page *web.LogNew) (assessment.LogEntry, []assessment.Problem) {
	f := formReader{form: r.Request.PostForm}
	in := assessment.LogEntry{Day: f.day("day"), Dog: f.text("dog"), Coat: f.text("coat"), Grams: f.grams("size_kg"), Skills: f.form["skill"],
		Level: f.number("level", 0), Words: f.text("words"), Supervisor: f.text("supervisor")}
	for _, field := range []*web.Field{&page.Day, &page.Dog, &page.Size, &page.Words} {
		field.Value = f.form.Get(field.Name)
	}
	for _, c := range []*web.Choices{&page.Coat, &page.Level, &page.Outcome, &page.Supervisor} {
		c.Choose(f.form.Get(c.Name))
	}
	for i := range page.Units {
		u := &page.Units[i]
		for j := range u.Skills {
			u.Skills[j].Checked = slices.Contains(in.Skills, u.Skills[j].Value)
			u.Open = u.Open || u.Skills[j].Checked
		}
	}
	switch f.text("outcome") {
	case "planned":
		in.Outcome = assessment.AsPlanned
	case "wrong":
		in.Outcome = assessment.WentWrong
	}
	for _, line := range []*web.Field{&page.Dog, &page.Words} {
		if p := lineProblem(line.Value); p != "" && line.Value != "" {
			f.bad(line.Name, "%s: %s", line.Label, p)
		}
	}
	if !page.Supervisor.Chosen() {
		f.bad("supervisor", "Choose who was there, or say that nobody was.")
	}
	if in.Supervisor == noSupervisor {
		in.Supervisor = ""
	}
	return in, f.problems
}
