package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"strings"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server"
	"tablehand/server/store"
)

// runServe serves a salon's record. Until the salon is set up, each start
// prints a new one-time code with which that is done.
func runServe(ctx context.Context, c *call) (err error) {
	addr := c.flags.String("addr", defaultAddr, "`HOST:PORT` to answer on")
	dir := c.flags.String("data", "", "`DIR` of the record; made when missing")
	file := c.flags.String("programme", "", "`FILE` of the programme to use from now on")
	list := c.flags.String("host", "", "`NAMES` it is also reached under, with commas between")
	if err := c.parse(); err != nil {
		return err
	}
	if *dir == "" {
		return wrongUse("Say where the record is kept, for example: %s", c.example)
	}
	names, err := hostNames(*list)
	if err != nil {
		return err
	}
	prog, err := readProgramme(*file)
	if err != nil {
		return err
	}
	l, err := listen(*addr)
	if err != nil {
		return err
	}
	defer l.Close()
	st, err := openRecord(ctx, *dir)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	isNew, err := st.IsNew(ctx)
	if err != nil {
		return err
	}
	o := server.Options{Store: st, Log: logTo(c), Hosts: server.LocalHosts(*addr, names...)}
	if isNew {
		o.SetUpCode, o.Programme = store.NewCode(), prog
	} else if err := takeIntoUse(ctx, c, st, prog); err != nil {
		return err
	}
	a, err := newApp(l, o)
	if err != nil {
		return err
	}
	a.announce(c)
	if isNew {
		fmt.Fprintf(c.out, "\nThe record is new. Set the salon up at %sset-up with this code, which works once:\n\n    %s\n\n", a.URL(), o.SetUpCode)
	}
	fmt.Fprintln(c.out, "Stop it with Ctrl-C.")
	return a.Run(ctx)
}

// readProgramme reads the file named with --programme, if one was.
func readProgramme(file string) (*curriculum.Programme, error) {
	if file == "" {
		return nil, nil
	}
	data, err := os.ReadFile(file)
	if err != nil {
		return nil, cannot("%s", unreadable(file, err))
	}
	p, err := assessment.ReadProgramme(file, data)
	if err != nil {
		return nil, cannot("%s: %v", file, err)
	}
	return p, nil
}

// takeIntoUse publishes a programme in the name of the first head groomer, if
// it is not the one in use.
func takeIntoUse(ctx context.Context, c *call, st *store.Store, p *curriculum.Programme) error {
	if p == nil {
		return nil
	}
	sc, err := st.ScopeOfLogin(ctx, "")
	if err != nil {
		return err
	}
	now, err := st.Programme(ctx, sc)
	if err != nil || now.Digest() == p.Digest() {
		return err
	}
	var refusal *store.Refusal
	if err := st.Publish(ctx, sc, p); errors.As(err, &refusal) {
		return cannot("The programme was not taken into use. %s", strings.Join(refusal.Reasons, " "))
	} else if err != nil {
		return err
	}
	fmt.Fprintf(c.out, "The programme in use is now %s, version %d. What is signed stays as it was.\n", p.Title, p.Version)
	return nil
}

// hostNames reads the names of --host. What a browser's address line holds
// besides the name would never match, so it is refused.
func hostNames(list string) ([]string, error) {
	var names []string
	for name := range strings.SplitSeq(list, ",") {
		name = strings.TrimSpace(name)
		if strings.ContainsAny(name, "/: ") && net.ParseIP(name) == nil {
			return nil, wrongUse("--host takes names only, without http:// or a port, for example --host salon.example; %q is not that.", name)
		}
		if name != "" {
			names = append(names, name)
		}
	}
	return names, nil
}
