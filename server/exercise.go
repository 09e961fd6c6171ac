package server

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/store"
	"tablehand/server/web"
)

// exercises lists the exercises on the choice of blades and begins one.
func exercises(r *request) error {
	page := web.Exercises{Shell: r.shell("Blade choice", "/programme")}
	c := r.prog.Cutting
	if c == nil {
		page.Missing = noTable
		return r.show(page, page.Shell)
	}
	rule := assessment.ExerciseRule(r.prog)
	page.Lead = fmt.Sprintf("%s: a dog, a place on it, and what was agreed. Which blade or comb, which way, or is it time to ask first?", count(c.Exercise.Questions, "question"))
	page.Rule = fmt.Sprintf("From %d %% it is passed. A result is practice until an assessor, who knows whose answers they are, lets it stand as a knowledge check for the skill", rule.Percent)
	page.Skill, page.SkillURL, page.Chart = r.skillTitle(c.Exercise.Skill), "/skills/"+c.Exercise.Skill, bladeChart(r.prog)
	list, err := r.srv.Store.Exercises(r.Request.Context(), r.scope, r.Query("apprentice"))
	if err != nil {
		return err
	}
	open := slices.ContainsFunc(list, func(x store.Exercise) bool { return x.Done == 0 })
	waiting := assessment.WaitingResults(taken(list), r.today())
	for i := range list {
		line := r.exerciseLine(&list[i])
		if r.scope.Role.Judges() && slices.Contains(waiting, i) {
			page.Waiting = append(page.Waiting, line)
		} else {
			page.Lines = append(page.Lines, line)
		}
	}
	if page.CanBegin = r.scope.Role == assessment.Apprentice; page.CanBegin {
		page.ClientID, page.Begin = newClientID(), "Begin"
		if open {
			page.Begin = "Go on"
		}
	}
	return r.show(page, page.Shell)
}

func passes(x *store.Exercise) bool {
	return x.Done > 0 && assessment.ExercisePassed(x.Programme, x.Percent)
}

// exercisesToday are the results that somebody should look at.
func (r *request) exercisesToday() ([]web.WaitingItem, error) {
	all, err := r.srv.Store.Exercises(r.Request.Context(), r.scope, "")
	if err != nil {
		return nil, err
	}
	all = slices.DeleteFunc(all, func(x store.Exercise) bool { return x.Done == 0 || x.Apprentice.Left != 0 })
	var out []web.WaitingItem
	for _, i := range assessment.WaitingResults(taken(all), r.today()) {
		x := &all[i]
		out = append(out, web.WaitingItem{Title: "Blade choice – " + x.Apprentice.Name, Detail: fmt.Sprintf("%d %%", x.Percent), URL: "/exercises/" + x.Key, Action: "Look at it", When: x.Done.Words()})
	}
	return out, nil
}

func taken(list []store.Exercise) []assessment.Taken {
	out := make([]assessment.Taken, len(list))
	for i := range list {
		x := &list[i]
		out[i] = assessment.Taken{Apprentice: x.Apprentice.Key, Done: x.Done, Passed: passes(x), Adopted: x.Adopted > 0, Months: assessment.ExerciseRule(x.Programme).RepeatMonths}
	}
	return out
}

func (r *request) exerciseLine(x *store.Exercise) web.ExerciseLine {
	l := web.ExerciseLine{URL: "/exercises/" + x.Key, Day: x.Done.Words(), State: worth(x)}
	if x.Apprentice.Key != r.scope.Key {
		l.Who = x.Apprentice.Name
	}
	switch {
	case x.Done == 0:
		l.Day, l.Result = r.local(x.Begun).Format("2 January 2006"), "not finished"
	case passes(x):
		l.Result = fmt.Sprintf("%d %%, passed", x.Percent)
	default:
		l.Result = fmt.Sprintf("%d %%, not passed", x.Percent)
	}
	return l
}

// worth says what a result is worth.
func worth(x *store.Exercise) string {
	switch {
	case x.Done == 0:
		return ""
	case x.Adopted > 0:
		return fmt.Sprintf("It stands as a knowledge check. %s, %s: “%s.”", x.AdoptedBy.Name, x.Adopted.Words(), curriculum.TermName(assessment.AdoptionWays, x.How))
	}
	return "Practice. It was marked by the program and nobody has let it stand."
}

func beginExercise(r *request) error {
	to, err := r.srv.Store.BeginExercise(r.Request.Context(), r.scope, r.value("client_id"))
	if err != nil {
		return err
	}
	return r.goTo(to, "")
}

// exercisePage is an exercise as this reader sees it.
func (r *request) exercisePage() (web.Exercise, store.Exercise, error) {
	page := web.Exercise{Shell: r.shell("Blade choice", "/programme")}
	x, err := r.srv.Store.Exercise(r.Request.Context(), r.scope, r.Param("exercise"))
	if err != nil {
		return page, x, err
	}
	own := x.Apprentice.Key == r.scope.Key
	if !own {
		page.Who = x.Apprentice.Name
	}
	if x.Done == 0 {
		page.Lead = "These questions are not answered yet."
		if own {
			page.Lead = "Choose one answer to each. More than one may be right; any right one counts."
			page.Action, page.ClientID, page.Chart = "/exercises/"+x.Key, newClientID(), bladeChart(x.Programme)
			for i := range x.Questions {
				page.Questions = append(page.Questions, question(x.Programme, i, &x.Questions[i]))
			}
		}
		return page, x, nil
	}
	result := assessment.MarkExercise(x.Programme, x.Questions, x.Answers)
	word := "not passed"
	if passes(&x) {
		word = "passed"
	}
	page.Result = fmt.Sprintf("%d of %d right, %d %%: %s", result.Right, result.Asked, x.Percent, word)
	page.Title = page.Result
	page.Lead = x.Done.Words() + fmt.Sprintf(" · %d %% is needed", assessment.ExerciseRule(x.Programme).Percent)
	page.Worth = worth(&x)
	for i := range result.Marked {
		page.Marked = append(page.Marked, markedQuestion(x.Programme, &result.Marked[i]))
	}
	if r.scope.Role.Judges() && x.Adopted == 0 {
		page.Adopt, err = r.adoptPanel(&x)
	}
	return page, x, err
}

// refuseAdoption says why this reader may not let a result stand, before they say
// how they know it; nothing when they may.
func (r *request) refuseAdoption(x *store.Exercise) string {
	a := assessment.Adoption{Person: r.scope.Key, Apprentice: x.Apprentice.Key, Role: r.scope.Role, Done: x.Done, Already: x.Adopted > 0, How: assessment.AdoptionWays[0].ID,
		Rule: assessment.ExerciseRule(x.Programme), Today: r.today()}
	return a.Refuse()
}

func (r *request) adoptPanel(x *store.Exercise) (*web.AdoptPanel, error) {
	p := web.NewAdoptPanel()
	for _, w := range assessment.AdoptionWays {
		p.How.Choices = append(p.How.Choices, web.Choice{Value: w.ID, Label: w.Name})
	}
	p.Action, p.ClientID = "/exercises/"+x.Key+"/adopt", newClientID()
	p.Refused = r.refuseAdoption(x)
	list, err := r.srv.Store.Exercises(r.Request.Context(), r.scope, x.Apprentice.Key)
	if at := slices.IndexFunc(list, func(e store.Exercise) bool { return e.Key == x.Key }); at >= 0 && at < len(list)-1 {
		p.Earlier = "There were " + count(len(list)-1-at, "earlier exercise") + " by the same apprentice."
	}
	return p, err
}

// question is a question of the form. The values of the answers are their
// positions; which is right is not in the page.
func question(p *curriculum.Programme, i int, q *assessment.Question) web.Choices {
	title, facts := scenarioWords(p, &q.CutScenario)
	c := web.Choices{Name: "q." + strconv.Itoa(i+1), Label: fmt.Sprintf("%d. %s", i+1, title), Hint: facts}
	for k, o := range q.Options {
		c.Choices = append(c.Choices, web.Choice{Value: strconv.Itoa(k + 1), Label: o.Words(p.Cutting)})
	}
	return c
}

// scenarioWords tells a scenario: where, and everything that was found and agreed.
func scenarioWords(p *curriculum.Programme, s *assessment.CutScenario) (title, facts string) {
	c := p.Cutting
	area := c.Area(s.Area)
	say := []string{"Coat: " + strings.ToLower(p.Vocabulary.Coat(s.Dog.Coat).Name) + "."}
	if s.Dog.Matting < c.KnottedFrom {
		say = append(say, "The comb passes everywhere.")
	} else {
		say = append(say, fmt.Sprintf("Matting of grade %d: %s.", s.Dog.Matting, strings.ToLower(p.Vocabulary.Matting[s.Dog.Matting].Name)))
	}
	say = append(say, "Skin here today: "+strings.ToLower(c.Skin(s.Skin).Name)+".")
	if s.Agreed > 0 {
		say = append(say, fmt.Sprintf("Agreed with the owner: %s, give or take %s.", s.Agreed, c.GiveOrTake.Number()))
	}
	if s.Dog.Matting >= c.ConsentFrom {
		say = append(say, "Written consent to take the coat off: "+yesNo(s.Consent)+".")
	}
	if area.Jacket && slices.Contains(c.WrittenWish, s.Dog.Coat) {
		say = append(say, "Written wish or a vet's reason to clip this coat: "+yesNo(s.Wish)+".")
	}
	return area.Name, strings.Join(say, " ")
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "none"
}

func markedQuestion(p *curriculum.Programme, m *assessment.MarkedQuestion) web.MarkedQuestion {
	out := web.MarkedQuestion{Right: m.Right, Also: m.Also, Given: web.MarkedAnswer{Answer: "None"}}
	out.Title, out.Facts = scenarioWords(p, &m.CutScenario)
	for i := range m.Choices {
		c := &m.Choices[i]
		answer := web.MarkedAnswer{Answer: c.Words(p.Cutting), Why: c.Why}
		switch {
		case i == m.Given:
			out.Given = answer
		case c.Right:
			out.Good = append(out.Good, answer)
		default:
			out.Wrong = append(out.Wrong, answer)
		}
	}
	return out
}

func exercise(r *request) error {
	page, _, err := r.exercisePage()
	if err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

func finishExercise(r *request) error {
	page, x, err := r.exercisePage()
	if err != nil {
		return err
	}
	given := make([]int, len(x.Questions))
	for i := range page.Questions {
		q := &page.Questions[i]
		n, _ := strconv.Atoi(r.chosenOf(q))
		given[i] = n - 1
		if n == 0 {
			page.Fail(q, fmt.Sprintf("Question %d: choose an answer.", i+1))
		}
	}
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	to, err := r.srv.Store.FinishExercise(r.Request.Context(), r.scope, x.Key, given, r.value("client_id"))
	if err != nil {
		return err
	}
	return r.goTo(to, "")
}

func adoptExercise(r *request) error {
	page, x, err := r.exercisePage()
	if err != nil {
		return err
	}
	how := ""
	if page.Adopt != nil && page.Adopt.Refused == "" {
		if how = r.chosenOf(&page.Adopt.How); how == "" {
			page.Fail(&page.Adopt.How, "Say how you know that the answers are the apprentice's own.")
			return r.show(page, page.Shell)
		}
	}
	to, err := r.srv.Store.AdoptExercise(r.Request.Context(), r.scope, x.Key, how, r.value("client_id"))
	if err != nil {
		return err
	}
	return r.goTo(to, "It stands as a knowledge check, in your name.")
}
