package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"tablehand/server/store"
)

// runCode makes a one-time code for somebody who forgot their password and has
// no head groomer to ask: whoever has the computer's files has the record
// anyway. The record may be served meanwhile.
func runCode(ctx context.Context, c *call) error {
	dir := c.flags.String("data", "", "`DIR` of the record")
	login := c.flags.String("login", "", "`LOGIN` of the person the code is for")
	if err := c.parse(); err != nil {
		return err
	}
	if *dir == "" || *login == "" {
		return wrongUse("Say where the record is and whom the code is for, for example: %s", c.example)
	}
	st, err := openExisting(ctx, *dir)
	if err != nil {
		return err
	}
	defer st.Close()
	isNew, err := st.IsNew(ctx)
	if err != nil {
		return err
	}
	if isNew {
		return cannot("The salon in %s is not set up yet. Start tablehand serve --data %s: it prints the code for that.", *dir, *dir)
	}
	p, code, err := st.RenewCodeOfLogin(ctx, strings.ToLower(*login))
	if errors.Is(err, store.ErrNotFound) {
		return cannot("Nobody who is here has the login %q.%s", *login, headLogin(ctx, st))
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(c.out, "One-time code for %s, login %s:\n\n    %s\n\nOpen Tablehand, choose “choose a password with your code” on the sign-in page (its address ends in /welcome), and type both there. "+
		"The code works once, for seven days; an earlier code does not work any more. The record says that this one was made here.\n", p.Name, p.Login, code)
	return nil
}

// headLogin names a login that there is, to somebody who forgot even that.
func headLogin(ctx context.Context, st *store.Store) string {
	head, err := st.ScopeOfLogin(ctx, "")
	if err != nil {
		return ""
	}
	return fmt.Sprintf(" The login of %s, head groomer, is %s.", head.Name, head.Login)
}
