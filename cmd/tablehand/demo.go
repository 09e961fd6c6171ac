package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"time"

	"tablehand/server"
	"tablehand/server/demo"
	"tablehand/server/web"
)

// runDemo makes an invented salon in a temporary folder and serves it.
func runDemo(ctx context.Context, c *call) (err error) {
	addr := c.flags.String("addr", defaultAddr, "`HOST:PORT` to answer on")
	seed := c.flags.Uint64("seed", 1, "`NUMBER` that decides what the salon looks like")
	if err := c.parse(); err != nil {
		return err
	}
	l, err := listen(*addr)
	if err != nil {
		return err
	}
	defer l.Close()
	dir, err := os.MkdirTemp("", "tablehand-demo-")
	if err != nil {
		return cannot("No folder can be made in %s for the invented salon: %v. Make room there, or set TMPDIR to another folder.", os.TempDir(), cause(err))
	}
	defer func() {
		if left := os.RemoveAll(dir); left != nil {
			err = errors.Join(err, cannot("The invented salon in %s could not be removed: %v. Remove that folder yourself.", dir, cause(left)))
		}
	}()
	fmt.Fprintln(c.err, "Making an invented salon. This takes a few seconds …")
	st, logins, err := demo.Build(ctx, dir, *seed, time.Now(), server.EncodePassword)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	var shown []web.DemoLogin
	for _, l := range logins {
		shown = append(shown, web.DemoLogin{Name: l.Name, Role: l.Role, Login: l.Login, Password: l.Password})
	}
	a, err := newApp(l, server.Options{Store: st, Log: logTo(c), Hosts: server.LocalHosts(*addr), Demo: shown})
	if err != nil {
		return err
	}
	a.announce(c)
	fmt.Fprintf(c.out, "\nSign in as\n")
	for _, l := range logins {
		fmt.Fprintf(c.out, "    %-10s password %-22s %s, %s\n", l.Login, l.Password, l.Name, l.Role)
	}
	fmt.Fprintln(c.out, "\nEverything in it is made up, and gone when you stop it with Ctrl-C.")
	return a.Run(ctx)
}
