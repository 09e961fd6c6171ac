package server

import (
	"errors"
	"strings"

	"tablehand/assessment"
	"tablehand/server/store"
	"tablehand/server/web"
)

func (r *request) peoplePage() (web.People, error) {
	page := web.People{Shell: r.shell("People", "/people"), CanAdd: r.scope.Role == assessment.HeadGroomer, Form: web.NewPersonForm()}
	page.Form.ClientID = newClientID()
	for _, role := range assessment.Roles {
		page.Form.Role.Choices = append(page.Form.Role.Choices, web.Choice{Value: string(role), Label: role.Words()})
	}
	list, err := r.srv.Store.People(r.Request.Context(), r.scope)
	for _, p := range list {
		line := web.PersonLine{Name: p.Name, Login: p.Login, Role: p.Role.Words(), State: "active"}
		if p.Role == assessment.Apprentice {
			line.URL = apprenticeURL(p.Key)
		}
		if page.CanAdd && p.Left == 0 && p.Key != r.scope.Key {
			line.NewCode = "/people/" + p.Key + "/code"
		}
		switch {
		case p.Left != 0:
			line.State = "left " + p.Left.Words()
		case !p.HasPassword:
			line.State = "has not signed in yet"
		}
		if p.Start != 0 {
			line.Since = "since " + p.Start.Words()
		}
		page.People = append(page.People, line)
	}
	return page, err
}

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
	f := &page.Form
	f.Name.Value, f.Login.Value, f.StartDay.Value = r.value("name"), r.value("login"), r.value("start_day")
	f.Role.Choose(r.value("role"))
	p := store.Person{Name: f.Name.Value, Login: strings.ToLower(f.Login.Value), Role: assessment.Role(r.value("role"))}
	r.checkLine(&page.Shell, &f.Name, "Enter the name.")
	checkLogin(&page.Shell, &f.Login)
	if !f.Role.Chosen() {
		page.Fail(&f.Role, "Choose the role.")
	}
	if f.StartDay.Value != "" {
		if p.Start, err = assessment.ParseDay(f.StartDay.Value); err != nil {
			page.Fail(&f.StartDay, "Enter the day as year-month-day, for example 2026-05-20.")
		}
	}
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	code, err := r.srv.Store.AddPerson(r.Request.Context(), r.scope, p, r.value("client_id"))
	if errors.Is(err, store.ErrExists) {
		page.Fail(&f.Login, "This login is taken. Choose another.")
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

// showCode shows a one-time code, this once: only its hash is kept.
func (r *request) showCode(p store.Person, code string) error {
	page, err := r.peoplePage()
	if err != nil {
		return err
	}
	scheme := "http://"
	if r.Request.TLS != nil {
		scheme = "https://"
	}
	page.Code = &web.OneTimeCode{Name: p.Name, Login: p.Login, Code: code, Where: scheme + r.Request.Host + "/welcome", Until: "It can be used for seven days."}
	return r.show(page, page.Shell)
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
