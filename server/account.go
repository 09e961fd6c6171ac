package server

import (
	"errors"

	"tablehand/server/store"
	"tablehand/server/web"
)

func (r *request) accountForm() web.Account {
	page := web.NewAccount()
	page.Shell, page.Insecure, page.HasPIN = r.shell(page.Title, ""), r.insecure(), r.scope.PINProof != ""
	return page
}

func accountPage(r *request) error {
	page := r.accountForm()
	return r.show(page, page.Shell)
}

// changePassword sets one's own password anew. Every other session of the
// person ends with the old one; this one goes on, under a new token.
func changePassword(r *request) error {
	ctx := r.Request.Context()
	page := r.accountForm()
	old, password := r.Request.PostFormValue("old_password"), r.Request.PostFormValue("new_password")
	login, before, err := r.srv.Store.PasswordOf(ctx, r.scope)
	if err != nil {
		return err
	}
	if old == "" {
		page.Fail(&page.Old, "Enter the password you sign in with now.")
	}
	if p := passwordProblem(password, login); p != "" {
		page.Fail(&page.New, p)
	} else if password == old {
		page.Fail(&page.New, "This is the password you have already. Choose another.")
	}
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	problem, err := r.check(before, old, tryKey{kind: aSignature, who: r.scope.Key})
	if err != nil {
		return err
	}
	if problem != "" {
		page.Fail(&page.Old, problem)
		return r.show(page, page.Shell)
	}
	after, err := encodePassword(ctx, password)
	if err != nil {
		return err
	}
	err = r.srv.Store.ChangePassword(ctx, r.scope, before, after)
	if errors.Is(err, store.ErrConflict) {
		return errSignIn // with the password set meanwhile, this session is over
	}
	if err != nil {
		return err
	}
	if err := r.begin(r.scope.Key, store.ProofOf(after), store.ByPassword); err != nil {
		return err
	}
	return r.goTo("/account", "Your password is changed. Wherever else you were signed in, you are not any more.")
}
