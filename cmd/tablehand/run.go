package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
)

// Exit statuses.
const (
	done   = 0
	failed = 1 // a fault was found, or the work failed
	misuse = 2 // the command was used wrongly
)

type command struct {
	name, summary, example string
	run                    func(ctx context.Context, c *call) error
}

// call is one use of a command: results go to out, everything else to err.
type call struct {
	flags    *flag.FlagSet
	args     []string
	out, err io.Writer
}

// errUse is a wrong use of a command.
type errUse struct{ problem string }

func (e errUse) Error() string { return e.problem }

// errFound means that the command did its work and found faults, which it has
// already told.
var errFound = errors.New("faults found")

func commands() []command {
	return []command{
		{"demo", "serve an invented salon to try everything in", "tablehand demo", runDemo},
		{"serve", "serve a salon's record", "tablehand serve --data /var/lib/tablehand", runServe},
		{"check", "check programme files and sum them up", "tablehand check our-programme.yaml", runCheck},
		{"export", "write the workbook", "tablehand export --data DIR --out record.xlsx", runExport},
	}
}

// run chooses and runs a command and returns the exit status.
func run(ctx context.Context, args []string, out, errOut io.Writer) int {
	if len(args) == 0 || args[0] == "--help" || args[0] == "-h" || args[0] == "help" {
		usage(out)
		if len(args) == 0 {
			return misuse
		}
		return done
	}
	for _, c := range commands() {
		if c.name != args[0] {
			continue
		}
		fs := flag.NewFlagSet("tablehand "+c.name, flag.ContinueOnError)
		fs.SetOutput(errOut)
		fs.Usage = func() {
			fmt.Fprintf(fs.Output(), "tablehand %s: %s\n\nFor example:\n    %s\n\nFlags:\n", c.name, c.summary, c.example)
			fs.PrintDefaults()
		}
		return status(c.run(ctx, &call{fs, args[1:], out, errOut}), errOut)
	}
	fmt.Fprintf(errOut, "There is no command %q.\n\n", args[0])
	usage(errOut)
	return misuse
}

func status(err error, errOut io.Writer) int {
	var use errUse
	switch {
	case err == nil, errors.Is(err, flag.ErrHelp):
		return done
	case errors.Is(err, errFound):
		return failed
	case errors.As(err, &use):
		fmt.Fprintln(errOut, use.problem)
		return misuse
	}
	fmt.Fprintln(errOut, err)
	return failed
}

func usage(w io.Writer) {
	fmt.Fprintln(w, "tablehand keeps the training record of apprentice dog groomers.\n\nCommands:")
	for _, c := range commands() {
		fmt.Fprintf(w, "    %-8s %s\n", c.name, c.summary)
	}
	fmt.Fprintln(w, "\nEach takes --help, which shows an example.")
}

// parse reads the flags of a command.
func (c *call) parse() error {
	if err := c.flags.Parse(c.args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return err
		}
		return errUse{"See tablehand " + c.flags.Name()[len("tablehand "):] + " --help."}
	}
	return nil
}
