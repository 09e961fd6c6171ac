package server

import (
	"errors"
	"slices"
	"strings"

	"tablehand/assessment"
	"tablehand/server/store"
	"tablehand/server/web"
)

func roleChoices() (out []web.Choice) {
	for _, role := range assessment.Roles {
		out = append(out, web.Choice{Value: string(role), Label: role.Words()})
	}
	return out
}

func (r *request) peoplePage() (web.People, error) {
	page := web.People{Shell: r.shell("People", "/people"), CanAdd: r.scope.Role == assessment.HeadGroomer, Form: web.NewPersonForm()}
	page.Form.ClientID = newClientID()
	page.Form.Role.Choices = roleChoices()
	list, err := r.srv.Store.People(r.Request.Context(), r.scope)
	for _, p := range list {
		line := r.personLine(p)
		if p.Left != 0 {
			page.Left = append(page.Left, line)
		} else {
			page.People = append(page.People, line)
		}
	}
	return page, err
}

func (r *request) personLine(p store.Person) web.PersonLine {
	line := web.PersonLine{Name: p.Name, Login: p.Login, Role: p.Role.Words(), State: "active"}
	if p.Role == assessment.Apprentice {
		line.URL = apprenticeURL(p.Key)
	}
	if r.scope.Role == assessment.HeadGroomer {
		line.Change = personURL(p.Key)
		if p.Left == 0 && p.Key != r.scope.Key {
			line.NewCode = personURL(p.Key) + "/code"
		}
	}
	switch {
	case p.Left != 0:
		line.State = "left " + p.Left.Words()
	case !p.HasPassword:
		line.State = "has no password yet"
	}
	if p.Start != 0 {
		line.Since = "since " + p.Start.Words()
	}
	return line
}

func personURL(key string) string { return "/people/" + key }

func people(r *request) error {
	page, err := r.peoplePage()
	if err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

func addPerson(r *request) error {
	page, err := r.peoplePage()
	if err != nil {
		return err
	}
	p := r.readPerson(&page.Shell, &page.Form)
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	code, err := r.srv.Store.AddPerson(r.Request.Context(), r.scope, p, r.value("client_id"))
	if errors.Is(err, store.ErrExists) {
		page.Fail(&page.Form.Login, loginTaken)
		return r.show(page, page.Shell)
	}
	if err != nil {
		return err
	}
	if code == "" {
		return r.goTo("/people", "This person was added already. If nobody has the code, make a new one.")
	}
	return r.showCode(p, code)
}

const loginTaken = "This login is taken. Choose another."

// readPerson reads what was entered of a person, and keeps it in the form.
func (r *request) readPerson(shell *web.Shell, f *web.PersonForm) store.Person {
	f.Name.Value, f.Login.Value, f.StartDay.Value, f.EndDay.Value = r.value("name"), r.value("login"), r.value("start_day"), r.value("end_day")
	f.Role.Choose(r.value("role"))
	p := store.Person{Name: f.Name.Value, Login: strings.ToLower(f.Login.Value), Role: assessment.Role(r.value("role"))}
	r.checkLine(shell, &f.Name, "Enter the name.")
	checkLogin(shell, &f.Login)
	if !f.Role.Chosen() {
		shell.Fail(&f.Role, "Choose the role.")
	}
	if f.StartDay.Value != "" {
		p.Start = readDay(shell, &f.StartDay)
	}
	if f.EndDay.Value != "" {
		p.End = readDay(shell, &f.EndDay)
		r.refusedBeside(shell, &f.EndDay, p.InOrder())
	}
	return p
}

func readDay(shell *web.Shell, f *web.Field) assessment.Day {
	day, err := assessment.ParseDay(f.Value)
	if err != nil {
		shell.Fail(f, "Enter the day as year-month-day, for example 2026-05-20.")
	}
	return day
}

// showCode shows a one-time code, this once: only its hash is kept.
func (r *request) showCode(p store.Person, code string) error {
	page, err := r.peoplePage()
	if err != nil {
		return err
	}
	page.Code = &web.OneTimeCode{Name: p.Name, Login: p.Login, Code: code, Where: r.absolute("/welcome"), Until: "It can be used for seven days."}
	return r.show(page, page.Shell)
}

// absolute is the full address of a path, under the name by which the reader
// reached this server.
func (r *request) absolute(path string) string {
	scheme := "http://"
	if r.Request.TLS != nil {
		scheme = "https://"
	}
	return scheme + r.Request.Host + path
}

// renewCode makes a new one-time code, for somebody who lost theirs or forgot
// their password.
func renewCode(r *request) error {
	p, code, err := r.srv.Store.RenewCode(r.Request.Context(), r.scope, r.Param("person"))
	if err != nil {
		return err
	}
	return r.showCode(p, code)
}

// person is the page on which a head groomer corrects what the record says of a person.
func (r *request) person() (web.Person, error) {
	page := web.NewPerson(personURL(r.Param("person")))
	list, err := r.srv.Store.People(r.Request.Context(), r.scope)
	if err != nil {
		return page, err
	}
	i := slices.IndexFunc(list, func(p store.Person) bool { return p.Key == r.Param("person") })
	if i < 0 {
		return page, store.ErrNotFound
	}
	p := list[i]
	page.Shell, page.Name = r.shell(p.Name+" – People", "/people"), p.Name
	page.Back = web.Link{Label: "People", URL: "/people"}
	page.Form.Name.Value, page.Form.Login.Value = p.Name, p.Login
	page.Form.Role.Choices = roleChoices()
	page.Form.Role.Choose(string(p.Role))
	if p.Start != 0 {
		page.Form.StartDay.Value = p.Start.String()
	}
	if p.End != 0 {
		page.Form.EndDay.Value = p.End.String()
	}
	page.LastDay.Value = r.today().String()
	if p.Left != 0 {
		page.Left, page.LeaveTo = p.Left.Words(), ""
	} else {
		page.BackTo = ""
	}
	return page, nil
}

func personPage(r *request) error {
	page, err := r.person()
	if err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

func correctPerson(r *request) error {
	page, err := r.person()
	if err != nil {
		return err
	}
	p := r.readPerson(&page.Shell, &page.Form)
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	err = r.srv.Store.Correct(r.Request.Context(), r.scope, r.Param("person"), p)
	if errors.Is(err, store.ErrExists) {
		page.Fail(&page.Form.Login, loginTaken)
		return r.show(page, page.Shell)
	}
	if r.refusedBeside(&page.Shell, &page.Form.Role, err) {
		return r.show(page, page.Shell)
	}
	if err != nil {
		return err
	}
	return r.backToPeople("Saved. This is what the record says of "+p.Name+" now.", p.Role.Judges() || p.Role == assessment.Auditor)
}

// backToPeople leads to the list, unless whoever changed themselves may not see
// it any more.
func (r *request) backToPeople(what string, staff bool) error {
	if r.Param("person") == r.scope.Key && !staff {
		return r.goTo("/", what)
	}
	return r.goTo("/people", what)
}

func personLeft(r *request) error {
	page, err := r.person()
	if err != nil {
		return err
	}
	page.LastDay.Value = r.value("last_day")
	day := readDay(&page.Shell, &page.LastDay)
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	err = r.srv.Store.Leave(r.Request.Context(), r.scope, r.Param("person"), day)
	if r.refusedBeside(&page.Shell, &page.LastDay, err) {
		return r.show(page, page.Shell)
	}
	if err != nil {
		return err
	}
	return r.goTo("/people", page.Name+" has left, and cannot sign in any more.")
}

// personBack takes it back that somebody has left, and shows the code with
// which they choose a new password.
func personBack(r *request) error {
	if err := r.srv.Store.ComeBack(r.Request.Context(), r.scope, r.Param("person")); err != nil {
		return err
	}
	return renewCode(r)
}
