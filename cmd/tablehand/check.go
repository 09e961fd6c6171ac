package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// runCheck checks programme files and prints a summary of each good one. A bad
// file does not keep the others from being checked.
func runCheck(_ context.Context, c *call) error {
	show := c.flags.Bool("print", false, "print the built-in programme, to start your own from")
	if err := c.parse(); err != nil {
		return err
	}
	if *show && len(c.rest) > 0 {
		return wrongUse("--print prints the built-in programme and takes no file. To start your own: tablehand check --print > our-programme.yaml")
	}
	if *show {
		_, err := c.out.Write(curriculum.Default().Source())
		return err
	}
	if len(c.rest) == 0 {
		return wrongUse("Name at least one file, for example: %s", c.example)
	}
	bad := false
	for _, name := range c.rest {
		data, err := os.ReadFile(name)
		if err != nil {
			fmt.Fprintln(c.err, unreadable(name, err))
			bad = true
			continue
		}
		p, err := assessment.ReadProgramme(name, data)
		if err != nil {
			fmt.Fprintf(c.out, "%s: %v\n", name, err)
			bad = true
			continue
		}
		summarise(c, name, p)
	}
	if bad {
		return errFound
	}
	return nil
}

func unreadable(name string, err error) string {
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Sprintf("%s: there is no such file. Check the name, and the folder you are in.", name)
	}
	return fmt.Sprintf("%s: this cannot be read: %v. Name a file that you may read.", name, cause(err))
}

func summarise(c *call, name string, p *curriculum.Programme) {
	required, safety := p.RequiredCounts()
	fmt.Fprintf(c.out, "%s: good\n    %s, version %d\n    %s, %s: %d required, %d of them safety-critical\n    rubric: %s, weight %d in all\n", name, p.Title, p.Version,
		count(len(p.Units), "unit", "units"), count(len(p.AllSkills()), "skill", "skills"), required, safety,
		count(len(p.Rubric.Criteria), "criterion", "criteria"), p.Rubric.Total)
	for i := range p.Points {
		r := &p.Points[i]
		f := assessment.FiguresOf(r)
		fmt.Fprintf(c.out, "    points rule %s: clean +1, not clean −%d, never below %s, eligible at %d\n", r.ID, r.FaultCosts, assessment.Minus(r.NeverBelow), r.EligibleAt)
		fmt.Fprintf(c.out, "        faults in %.4g%% of observations: eligible within %d with probability %.4f (at most %v is allowed)\n", r.Unacceptable*100, r.Within, f.FalseSignOff, r.FalseSignOff)
		fmt.Fprintf(c.out, "        faults in %.4g%% of observations: eligible within %d with probability %.4f; %.2f observations on average\n", r.Competent*100, r.Within, f.CompetentWithin, f.MeanCompetent)
	}
	if t := p.Cutting; t != nil {
		fmt.Fprintf(c.out, "    %s, %s, %s of the dog; the length stamped on a blade is left %s\n",
			count(len(t.Blades), "blade", "blades"), count(len(t.Combs), "comb", "combs"), count(len(t.Areas), "area", "areas"), t.StampIs.Words())
	}
	fmt.Fprintf(c.out, "    SHA-256 %s\n", p.Digest())
}

func count(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}
