package server

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"
	"time"

	"tablehand/server/store"
	"tablehand/server/web"
)

const pinDigits = 6

// pinProblem says what is wrong with a new PIN, or nothing.
func pinProblem(pin string) string {
	if len(pin) != pinDigits || strings.Trim(pin, "0123456789") != "" {
		return "A PIN is six digits, 0 to 9, and nothing between them. Choose six."
	}
	switch {
	case pin == strings.Repeat(pin[:1], pinDigits):
		return "This PIN is one digit six times. Choose one that nobody guesses."
	case pin == strings.Repeat(pin[:2], 3), pin == strings.Repeat(pin[:3], 2):
		return "This PIN repeats itself. Choose one that nobody guesses."
	case inARowOfDigits(pin, 1), inARowOfDigits(pin, 9):
		return "This PIN counts up or down. Choose one that nobody guesses."
	case readsAsDate(pin):
		return "This PIN reads as a date, and dates are what others try first. Choose another."
	}
	return ""
}

// inARowOfDigits reports whether each digit follows the one before by a step;
// after 9 comes 0.
func inARowOfDigits(pin string, step byte) bool {
	for i := 1; i < len(pin); i++ {
		if (pin[i-1]-'0'+step)%10 != pin[i]-'0' {
			return false
		}
	}
	return true
}

// readsAsDate reports whether six digits are a day in one of the orders in
// which people write it, in any year.
func readsAsDate(pin string) bool {
	for _, order := range []string{"020106", "010206", "060102"} { // day first, month first, year first
		if _, err := time.Parse(order, pin); err == nil {
			return true
		}
	}
	return false
}

// underKey is what is hashed of a PIN: nobody can try PINs on a stolen database
// without the key, which is not in it.
func underKey(key []byte, pin string) string {
	mac := hmac.New(sha256.New, key)
	mac.Write([]byte(pin))
	return hex.EncodeToString(mac.Sum(nil))
}

// tryPIN checks the PIN of a person on the tablet that the request comes from.
func (r *request) tryPIN(person, pin string) (problem string, err error) {
	const password = " Sign in with your password; after that the PIN works here again."
	if len(pin) != pinDigits {
		return "Enter your PIN: six digits.", nil
	}
	ctx := r.Request.Context()
	encoded, left, err := r.srv.Store.TryPIN(ctx, *r.device, person)
	switch {
	case errors.Is(err, store.ErrDenied):
		return "The PIN was wrong five times on this tablet." + password, nil
	case errors.Is(err, store.ErrNotFound):
		return "Your PIN was taken away meanwhile. Sign in with your password.", nil
	case err != nil:
		return "", err
	}
	key, err := r.srv.Store.PINKey(false)
	if err != nil {
		r.srv.Log.Error("PINs cannot be checked", "error", err)
		return "No PIN can be checked just now. Sign in with your password; whoever looks after Tablehand finds the reason in its log.", nil
	}
	right, err := checkPassword(ctx, encoded, underKey(key, pin))
	switch {
	case err != nil:
		return "", err
	case right:
		return "", r.srv.Store.ForgetTries(ctx, *r.device, person)
	case left == 0:
		return "This was the fifth wrong PIN." + password, r.srv.Store.NoteTriesSpent(ctx, *r.device, person)
	case left == 1:
		return "This is not your PIN. One more try, then it takes your password.", nil
	}
	return fmt.Sprintf("This is not your PIN. Try again: %d tries are left.", left), nil
}

// offerPINs offers the people of a shared tablet on its sign-in page. Nowhere
// else are names shown to somebody who has not signed in.
func (r *request) offerPINs(page *web.SignIn) {
	if r.device == nil {
		return
	}
	page.Tablet, page.Salon = r.device.Name, r.device.Salon
	people, err := r.srv.Store.PINHolders(r.Request.Context(), *r.device)
	if err != nil { // the password still works
		r.srv.Log.Error("nobody can be offered a PIN", "error", err)
	}
	for _, p := range people {
		page.People.Choices = append(page.People.Choices, web.Choice{Value: p.Key, Label: p.Name})
	}
}

func signInWithPIN(r *request) error {
	page := r.signInForm(safeNext(r.value("next")))
	if r.device == nil {
		page.Fail(nil, "A PIN works only on a tablet that the head groomer has enrolled. Sign in with your login and password.")
		return r.show(page, page.Shell)
	}
	person := r.value("person")
	page.People.Choose(person)
	if !page.People.Chosen() {
		page.Fail(&page.People, "Choose your name. If it is not there, sign in with your password and choose a PIN under Account.")
		return r.show(page, page.Shell)
	}
	problem, err := r.tryPIN(person, r.value("own_pin"))
	if err != nil {
		return err
	}
	if problem != "" {
		page.Fail(&page.PIN, problem)
		return r.show(page, page.Shell)
	}
	to := r.nextFor(person)
	scope, err := r.srv.Store.ScopeOf(r.Request.Context(), person)
	if err != nil {
		return err
	}
	if err := r.begin(person, scope.PINProof, store.ByPIN); err != nil {
		return err
	}
	return r.goTo(to, "")
}

// setPIN sets one's own PIN.
func setPIN(r *request) error {
	ctx := r.Request.Context()
	page := r.accountForm()
	pin := r.value("new_pin")
	if p := pinProblem(pin); p != "" {
		page.Fail(&page.PIN, p)
	}
	_, before, err := r.srv.Store.PasswordOf(ctx, r.scope)
	if err != nil {
		return err
	}
	if err := r.checkSigner(&page.Shell, &page.Password); err != nil {
		return err
	}
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	key, err := r.srv.Store.PINKey(true)
	if err != nil {
		return err
	}
	encoded, err := encodePassword(ctx, underKey(key, pin))
	if err != nil {
		return err
	}
	err = r.srv.Store.SetPIN(ctx, r.scope, before, encoded)
	if errors.Is(err, store.ErrConflict) {
		return errSignIn // with the password set meanwhile, this session is over
	}
	if err != nil {
		return err
	}
	return r.goTo("/account", "Your PIN is set. It works on the salon's enrolled tablets.")
}

func removePIN(r *request) error {
	if err := r.srv.Store.RemovePIN(r.Request.Context(), r.scope); err != nil {
		return err
	}
	return r.goTo("/account", "Your PIN is gone. On a shared tablet you sign in with your password.")
}

// lock covers the page of whoever is signed in on a shared tablet when nobody
// touches it.
func (r *request) lock() *web.Lock {
	l := &web.Lock{Seconds: int(r.srv.idle.Seconds()), Name: r.scope.Name, Action: "/sign-in", Secret: web.Password("Your password", ""),
		Hidden: []web.HiddenField{{Name: "login", Value: r.scope.Login}}}
	if r.scope.PINProof != "" {
		l.Action, l.Secret, l.Hidden = "/sign-in/pin", web.OwnPIN("Your PIN"), []web.HiddenField{{Name: "person", Value: r.scope.Key}}
	}
	l.Secret.Form = "lock"
	return l
}
