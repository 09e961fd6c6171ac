package main

import (
	"context"
	"fmt"
	"strings"

	"tablehand/server"
	"tablehand/server/store"
)

// runServe serves a salon's record. The first time, it prints a one-time code
// with which the salon is set up.
func runServe(ctx context.Context, c *call) error {
	addr := c.flags.String("addr", defaultAddr, "`HOST:PORT` to serve on")
	dir := c.flags.String("data", "", "`DIR` with the record; made when missing")
	hosts := c.flags.String("host", "", "further `NAMES` the server is reached under, with commas")
	if err := c.parse(); err != nil {
		return err
	}
	if *dir == "" {
		return errUse{"Say where the record is kept, for example: tablehand serve --data tablehand-data"}
	}
	st, err := store.Open(ctx, *dir, store.Options{})
	if err != nil {
		return err
	}
	o := server.Options{Store: st, Log: logTo(c)}
	isNew, err := st.IsNew(ctx)
	if err != nil {
		st.Close()
		return err
	}
	if isNew {
		o.SetUpCode = store.NewCode()
	}
	var names []string
	if *hosts != "" {
		names = strings.Split(*hosts, ",")
	}
	a, err := newApp(*addr, names, o)
	if err != nil {
		st.Close()
		return err
	}
	defer a.Close()
	fmt.Fprintf(c.out, "Tablehand is at %s\n", a.URL())
	if isNew {
		fmt.Fprintf(c.out, "\nThe record is new. Set the salon up at %sset-up with this code, which works once:\n\n    %s\n\n", a.URL(), o.SetUpCode)
	}
	return a.Run(ctx)
}
