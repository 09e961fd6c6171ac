package main

import (
	"context"
	"fmt"
	"os"
	"time"

	"tablehand/server"
	"tablehand/server/demo"
	"tablehand/server/web"
)

// runDemo makes an invented salon in a temporary folder and serves it.
func runDemo(ctx context.Context, c *call) (err error) {
	addr := c.flags.String("addr", defaultAddr, "`HOST:PORT` to serve on")
	seed := c.flags.Uint64("seed", 1, "`NUMBER` that decides what the salon looks like")
	if err := c.parse(); err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "tablehand-demo-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	fmt.Fprintln(c.err, "Making an invented salon …")
	start := time.Now()
	st, logins, err := demo.Build(ctx, dir, *seed, start, server.EncodePassword)
	if err != nil {
		return err
	}
	var shown []web.DemoLogin
	for _, l := range logins {
		shown = append(shown, web.DemoLogin{Name: l.Name, Role: l.Role, Login: l.Login, Password: l.Password})
	}
	a, err := newApp(*addr, nil, server.Options{Store: st, Log: logTo(c), Demo: shown})
	if err != nil {
		st.Close()
		return err
	}
	defer a.Close()
	fmt.Fprintf(c.out, "\nTablehand is at %s\n\nSign in as\n", a.URL())
	for _, l := range logins {
		fmt.Fprintf(c.out, "    %-12s password %-20s %s, %s\n", l.Login, l.Password, l.Name, l.Role)
	}
	fmt.Fprintln(c.out, "\nEverything in it is made up, and gone when you stop it with Ctrl-C.")
	return a.Run(ctx)
}
