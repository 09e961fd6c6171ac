package server

import (
	"errors"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"tablehand/server/store"
	"tablehand/server/web"
)

// asked is a request that waits until whoever sent it has proved who they are:
// on a tablet that has locked itself, or for what a PIN is not enough for.
type asked struct {
	who     store.Scope
	locked  bool
	problem string // with the proof that came along
}

func (asked) Error() string { return "prove who you are first" }

// byPIN reports whether a PIN is proof enough.
func (a asked) byPIN() bool { return a.locked && a.who.PINProof != "" }

// errStale is a form that was opened by somebody else than is signed in now.
var errStale = errors.New("the form was opened by somebody else")

// ofItsAuthor refuses a form from the page of somebody else: another person has
// taken the tablet over since.
func (r *request) ofItsAuthor() error {
	here := r.scope.Key
	if r.locked != nil {
		here = r.locked.scope.Key
	}
	if r.author != "" && here != "" && r.author != here {
		return errStale
	}
	return nil
}

// prove lets a request go on when the proof that is asked for came along in its
// form. A visit is sent to a page that asks; whatever else is sent waits in it.
func (r *request) prove(a asked) (err error) {
	password, pin := r.Request.PostFormValue("password"), r.value("own_pin")
	switch {
	case password != "":
		var encoded string
		if _, encoded, err = r.srv.Store.PasswordOf(r.Request.Context(), a.who); err != nil {
			return err
		}
		if a.problem, err = r.check(encoded, password, tryKey{kind: aSignature, who: a.who.Key}); err != nil {
			return err
		}
		if a.problem == "" {
			return r.begin(a.who.Key, a.who.Proof, store.ByPassword)
		}
	case pin != "" && a.byPIN():
		if a.problem, err = r.tryPIN(a.who.Key, pin); err != nil {
			return err
		}
		if a.problem == "" {
			return r.begin(a.who.Key, a.who.PINProof, store.ByPIN)
		}
	}
	return a
}

// unlock lets the person whose session has locked itself go on with what they
// sent. Photos cannot wait in a page.
func (r *request) unlock() error {
	if r.locked == nil || r.Request.Method != http.MethodPost || isUpload(r.Request) {
		return errSignIn
	}
	if err := r.prove(asked{who: r.locked.scope, locked: true}); err != nil {
		return err
	}
	r.scope, r.prog = r.locked.scope, r.locked.prog
	r.scope.Method, r.locked = r.session("method"), nil
	return nil
}

// stepUp asks somebody who signed in with their PIN for the password, once.
func (r *request) stepUp() error {
	if err := r.prove(asked{who: r.scope}); err != nil {
		return err
	}
	r.scope.Method = store.ByPassword
	return nil
}

// askToProve answers a request that waits. A form waits in the page, without
// what must not be seen again.
func (r *request) askToProve(a asked) {
	if r.Request.Method != http.MethodPost {
		r.Redirect(http.StatusSeeOther, "/password?next="+url.QueryEscape(r.Request.URL.RequestURI()))
		return
	}
	page := r.proveForm(a)
	page.Action, page.Next = r.Request.URL.RequestURI(), ""
	for _, name := range slices.Sorted(maps.Keys(r.Request.PostForm)) {
		for _, v := range r.Request.PostForm[name] {
			if !secret(name) {
				page.Hidden = append(page.Hidden, web.HiddenField{Name: name, Value: v})
			}
		}
	}
	status := http.StatusUnauthorized
	if a.problem != "" {
		page.Fail(&page.Secret, a.problem)
		status = http.StatusUnprocessableEntity
	}
	r.srv.page(r.Writer, status, page)
}

// secret reports whether the text of a field must not be seen again.
func secret(field string) bool {
	return strings.Contains(field, "password") || field == "code" || field == "own_pin" || field == "new_pin"
}

func (r *request) proveForm(a asked) web.Prove {
	page := web.NewProve()
	if !a.locked {
		page.Shell = r.shell(page.Title, "")
		page.Why = "You signed in with your PIN. This takes your password, once; then you go on where you were."
		return page
	}
	page.Shell = r.shell("Locked", "")
	page.Author, page.Login, page.Other = a.who.Key, a.who.Login, true
	page.Why = "Nobody touched this tablet for a while, so it locked itself. What was just sent is still here. Are you " + a.who.Name + "? Then unlock it, and it goes on."
	page.Button = "Unlock and go on"
	if a.byPIN() {
		page.Secret = web.OwnPIN("Your PIN")
	}
	return page
}

// passwordPage asks for the password before a page that a PIN is not enough
// for.
func passwordPage(r *request) error {
	next := safeNext(r.Query("next"))
	if r.scope.Method == store.ByPassword {
		return r.goTo(next, "")
	}
	page := r.proveForm(asked{who: r.scope})
	page.Next = next
	return r.show(page, page.Shell)
}

func password(r *request) error {
	page := r.proveForm(asked{who: r.scope})
	page.Next = safeNext(r.value("next"))
	problem, err := r.verify(r.Request.PostFormValue("password"))
	if err != nil {
		return err
	}
	if problem != "" {
		page.Fail(&page.Secret, problem)
		return r.show(page, page.Shell)
	}
	if err := r.begin(r.scope.Key, r.scope.Proof, store.ByPassword); err != nil {
		return err
	}
	return r.goTo(page.Next, "")
}
