package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"
	"unicode/utf8"

	"tablehand/assessment/selftest"
)

// whatItShows is the reach of a self-test.
const whatItShows = "It shows the arithmetic of this build on this computer; it cannot show that the record is right."

// runSelftest holds the calculations of this build against reference cases: its
// own, or those of the files named. A bad file does not keep the others from
// being run.
func runSelftest(ctx context.Context, c *call) error {
	all := c.flags.Bool("all", false, "show every value, not only the worst of each case")
	if err := c.parse(); err != nil {
		return err
	}
	cases, bad, err := readCases(c)
	if err != nil {
		return err
	}
	if len(cases) == 0 && bad {
		return errFound
	}
	r, err := selftest.Run(ctx, cases)
	if err != nil {
		return err
	}
	if *all {
		printValues(c.out, r.Results)
	} else {
		printCases(c.out, r.Results)
	}
	fmt.Fprintf(c.out, "%s\n%s\n", summaryOf(&r), whatItShows)
	if bad || r.Failed() > 0 {
		return errFound
	}
	return nil
}

// readCases reads the files named, or the cases of the program itself. bad says
// that a file was told to be unreadable or malformed.
func readCases(c *call) (cases []selftest.Case, bad bool, err error) {
	if len(c.rest) == 0 {
		cases, err = selftest.Published()
		return cases, false, err
	}
	for _, name := range c.rest {
		data, err := readUpTo(name, selftest.MaxFile)
		if err != nil {
			fmt.Fprintln(c.err, unreadable(name, err))
			bad = true
			continue
		}
		more, err := selftest.Read(name, data)
		if err != nil {
			fmt.Fprintf(c.err, "%v.\n", strings.TrimSuffix(err.Error(), "."))
			bad = true
			continue
		}
		cases = append(cases, more...)
	}
	return cases, bad, nil
}

// readUpTo reads a file, and of one that is too large no more than shows it.
func readUpTo(name string, most int64) (data []byte, err error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	return io.ReadAll(io.LimitReader(f, most+1))
}

// A line has 100 columns at most.
const (
	caseLine  = "  %-23s %-18s %10s %13s %7s %-17s %s"
	valueLine = "    %-26s %12s %15s %15s %7s %s"
)

// row prints one line of a table.
func row(w io.Writer, line string, columns ...any) {
	fmt.Fprintln(w, strings.TrimRight(fmt.Sprintf(line, columns...), " "))
}

// printCases prints one line for each case, with the value that came nearest to
// failing, by method.
func printCases(w io.Writer, results []selftest.Result) {
	for i := range results {
		r := &results[i]
		if i == 0 || r.Method != results[i-1].Method {
			fmt.Fprintf(w, "%s\n", r.Method)
			row(w, caseLine, "case", "what (worst)", "published", "ours", "within", "source", "")
		}
		if i == 0 || !sameCase(r, &results[i-1]) {
			printCase(w, worst(results[i:]))
		}
		if i == len(results)-1 || r.Method != results[i+1].Method {
			fmt.Fprintln(w)
		}
	}
}

func sameCase(a, b *selftest.Result) bool { return a.Method == b.Method && a.Case == b.Case }

// worst is the value of the first case that failed first or, if none did, came
// nearest to failing.
func worst(results []selftest.Result) *selftest.Result {
	w := &results[0]
	for i := range results {
		r := &results[i]
		switch {
		case !sameCase(r, w):
			return w
		case r.Verdict != selftest.Agrees:
			return r
		case r.Used > w.Used:
			w = r
		}
	}
	return w
}

func printCase(w io.Writer, r *selftest.Result) {
	row(w, caseLine, fit(r.Case, 23), fit(r.Key, 18), orDash(r.Published, 10), orDash(short(r.Ours), 13), tolerance(r), fit(r.Source, 17), pass(r))
	if r.Verdict != selftest.Agrees {
		fmt.Fprintf(w, "      expected %s, ours %s: %s.\n      Source: %s (%s)\n", r.Expected, orNothing(r.Ours), strings.TrimSuffix(r.Why, "."), r.Source, r.SourceStatus)
	}
}

// printValues prints every value, by method and case.
func printValues(w io.Writer, results []selftest.Result) {
	for i := range results {
		r := &results[i]
		if i == 0 || !sameCase(r, &results[i-1]) {
			if i > 0 {
				fmt.Fprintln(w)
			}
			fmt.Fprintf(w, "%s, %s\n", r.Method, r.Case)
			for _, l := range wrap("source: "+r.Source+" ("+r.SourceStatus+")", 94) {
				fmt.Fprintln(w, "  "+l)
			}
			row(w, valueLine, "what", "published", "expected", "ours", "within", "")
		}
		row(w, valueLine, fit(r.Key, 26), orDash(r.Published, 12), fit(short(r.Expected), 15), orDash(short(r.Ours), 15), tolerance(r), pass(r))
		if r.Verdict != selftest.Agrees {
			fmt.Fprintf(w, "        expected %s, ours %s: %s.\n", r.Expected, orNothing(r.Ours), strings.TrimSuffix(r.Why, "."))
		}
	}
	if len(results) > 0 {
		fmt.Fprintln(w)
	}
}

// summaryOf counts what was run.
func summaryOf(r *selftest.Report) string {
	methods, values := map[string]bool{}, len(r.Results)
	for i := range r.Results {
		methods[r.Results[i].Method] = true
	}
	s := fmt.Sprintf("%s, %s, %s: ", count(len(methods), "method", "methods"), count(r.Cases, "case", "cases"), thousands(values)+plural(values, " value", " values"))
	switch n := r.Failed(); {
	case values == 0:
		s += "nothing was compared"
	case n == 0:
		s += "all agree"
	default:
		s += thousands(n) + plural(n, " does not agree", " do not agree")
	}
	if len(r.Left) > 0 {
		s += fmt.Sprintf("; %s (%s) not implemented: %s", count(len(r.Left), "method", "methods"), count(r.LeftOut, "case", "cases"), strings.Join(r.Left, ", "))
	}
	return s
}

func plural(n int, one, more string) string {
	if n == 1 {
		return one
	}
	return more
}

// thousands writes a count of 0 or more with a comma between thousands.
func thousands(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}

// short is a value in seven digits, for looking at.
func short(s string) string {
	f, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return s
	}
	return strconv.FormatFloat(f, 'g', 7, 64)
}

// fit cuts a text to a width, in characters.
func fit(s string, width int) string {
	if utf8.RuneCountInString(s) <= width {
		return s
	}
	return string([]rune(s)[:width-1]) + "…"
}

func orDash(s string, width int) string {
	if s == "" {
		return "–"
	}
	return fit(s, width)
}

func orNothing(s string) string {
	if s == "" {
		return "nothing"
	}
	return s
}

func pass(r *selftest.Result) string {
	if r.Verdict == selftest.Agrees {
		return "pass"
	}
	return "FAIL"
}

func tolerance(r *selftest.Result) string { return strconv.FormatFloat(r.Tolerance, 'g', -1, 64) }

// wrap breaks a text into lines of at most so many characters where it can.
func wrap(s string, width int) []string {
	var lines []string
	at := ""
	for word := range strings.FieldsSeq(s) {
		if at != "" && utf8.RuneCountInString(at)+1+utf8.RuneCountInString(word) > width {
			lines = append(lines, at)
			at = ""
		}
		if at != "" {
			at += " "
		}
		at += word
	}
	return append(lines, at)
}
