package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"regexp"
	"strings"
)

// Exit statuses.
const (
	done   = 0
	failed = 1 // a fault was found, or the work failed
	misuse = 2 // the command was used wrongly
)

type command struct {
	name, summary, example string
	files                  string // how file names besides flags are written in its help; empty when it takes none
	note                   string // what else its help says
	run                    func(ctx context.Context, c *call) error
}

// call is one use of a command: results go to out, everything else to err.
type call struct {
	command
	flags    *flag.FlagSet
	args     []string
	rest     []string // what is no flag, once parsed
	out, err io.Writer
}

// told is a failure in words for the person at the command line.
type told struct {
	status int
	words  string
}

func (t told) Error() string { return t.words }

func wrongUse(format string, args ...any) error { return told{misuse, fmt.Sprintf(format, args...)} }
func cannot(format string, args ...any) error   { return told{failed, fmt.Sprintf(format, args...)} }

// errFound means that the command did its work and found faults, which it has
// already told.
var errFound = errors.New("faults found")

func commands() []command {
	return []command{
		{"demo", "serve an invented salon to try everything in", "tablehand demo", "", "", runDemo},
		{"serve", "serve a salon's record", "tablehand serve --data tablehand-data", "", "", runServe},
		{"check", "check programme files and sum them up", "tablehand check our-programme.yaml", "FILE ...", "", runCheck},
		{"export", "write the whole record as a workbook", "tablehand export --data tablehand-data --out record.xlsx", "", "", runExport},
		{"code", "make a one-time code for a forgotten password", "tablehand code --data tablehand-data --login LOGIN", "", "", runCode},
		{"rule", "work out points rules to choose between", "tablehand rule --acceptable 2 --unacceptable 20 --error 5 --within 60", "", "", runRule},
		{"selftest", "hold the calculations of this build against reference cases", "tablehand selftest", "[FILE ...]", whatItShows, runSelftest},
	}
}

// run chooses and runs a command and returns the exit status.
func run(ctx context.Context, args []string, out, errOut io.Writer) int {
	if len(args) == 0 {
		usage(errOut)
		return misuse
	}
	switch args[0] {
	case "help", "--help", "-help", "-h":
		if len(args) == 1 {
			usage(out)
			return done
		}
		args = []string{args[1], "--help"}
	}
	for _, c := range commands() {
		if c.name != args[0] {
			continue
		}
		flags := flag.NewFlagSet(c.name, flag.ContinueOnError)
		flags.SetOutput(io.Discard) // parse says it in its own words
		return status(c.run(ctx, &call{command: c, flags: flags, args: args[1:], out: out, err: errOut}), errOut)
	}
	fmt.Fprintf(errOut, "There is no command %q.\n\n", args[0])
	usage(errOut)
	return misuse
}

func status(err error, errOut io.Writer) int {
	var t told
	switch {
	case err == nil, errors.Is(err, flag.ErrHelp):
		return done
	case errors.Is(err, errFound):
		return failed
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(errOut, "Stopped before it was done.")
		return failed
	}
	fmt.Fprintln(errOut, err)
	if errors.As(err, &t) {
		return t.status
	}
	return failed
}

func usage(w io.Writer) {
	fmt.Fprintln(w, "tablehand keeps the training record of apprentice dog groomers.\n\nCommands:")
	for _, c := range commands() {
		fmt.Fprintf(w, "    %-8s %s\n", c.name, c.summary)
	}
	fmt.Fprintln(w, "\nEach takes --help, which shows an example.")
}

// parse reads the flags of a command, wherever they stand among file names.
func (c *call) parse() error {
	for args := c.args; ; {
		err := c.flags.Parse(args)
		if errors.Is(err, flag.ErrHelp) {
			c.help()
			return err
		}
		if err != nil {
			return wrongUse("%s See tablehand %s --help.", flagProblem(err), c.name)
		}
		if c.flags.NArg() == 0 {
			break
		}
		c.rest = append(c.rest, c.flags.Arg(0))
		args = c.flags.Args()[1:]
	}
	if len(c.rest) > 0 && c.files == "" {
		return wrongUse("%q means nothing here: tablehand %s takes flags only. See tablehand %s --help.", c.rest[0], c.name, c.name)
	}
	return nil
}

// flagProblems says what package flag found, with the flag as it is written
// everywhere else, and without "parse error".
var flagProblems = []struct {
	found *regexp.Regexp
	words string
}{
	{regexp.MustCompile(`^flag provided but not defined: -(.*)$`), "There is no flag --$1."},
	{regexp.MustCompile(`^flag needs an argument: -(.*)$`), "The flag --$1 needs a value."},
	{regexp.MustCompile(`^invalid (?:boolean )?value (.*) for (?:flag )?-([^:]*): .*$`), "The flag --$2 cannot be $1."},
}

func flagProblem(err error) string {
	for _, p := range flagProblems {
		if p.found.MatchString(err.Error()) {
			return p.found.ReplaceAllString(err.Error(), p.words)
		}
	}
	return err.Error() + "."
}

func (c *call) help() {
	rest := ""
	if c.files != "" {
		rest = " " + c.files
	}
	fmt.Fprintf(c.out, "tablehand %s: %s\n", c.name, c.summary)
	if c.note != "" {
		fmt.Fprintln(c.out, c.note)
	}
	fmt.Fprintf(c.out, "\nUse:\n    tablehand %s [FLAGS]%s\n\nFor example:\n    %s\n\nFlags:\n", c.name, rest, c.example)
	c.flags.VisitAll(func(f *flag.Flag) {
		value, meaning := flag.UnquoteUsage(f)
		meaning = strings.TrimPrefix(meaning, value+" ")
		if f.DefValue != "" && f.DefValue != "false" {
			meaning += "; " + f.DefValue + " when left out"
		}
		fmt.Fprintf(c.out, "    %-17s %s\n", strings.TrimSpace("--"+f.Name+" "+value), meaning)
	})
}

// cause is the innermost reason of a failure: what the machine itself said,
// without the names of its calls.
func cause(err error) error {
	for {
		var inner error
		switch e := err.(type) {
		case interface{ Unwrap() error }:
			inner = e.Unwrap()
		case interface{ Unwrap() []error }:
			inner = e.Unwrap()[0]
		}
		if inner == nil {
			return err
		}
		err = inner
	}
}
