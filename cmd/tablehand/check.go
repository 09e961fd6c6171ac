package main

import (
	"context"
	"fmt"
	"os"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// runCheck checks programme files and prints a summary of each good one.
func runCheck(_ context.Context, c *call) error {
	print := c.flags.Bool("print", false, "print the built-in programme, to start your own from")
	if err := c.parse(); err != nil {
		return err
	}
	if *print {
		_, err := c.out.Write(curriculum.Default().Source())
		return err
	}
	if c.flags.NArg() == 0 {
		return errUse{"Name at least one file, for example: tablehand check our-programme.yaml"}
	}
	bad := false
	for _, name := range c.flags.Args() {
		data, err := os.ReadFile(name)
		if err != nil {
			return err
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

func summarise(c *call, name string, p *curriculum.Programme) {
	required, safety := p.RequiredCounts()
	fmt.Fprintf(c.out, "%s: good\n    %s, version %d\n    %d units, %d skills; %d required, %d of them safety-critical\n    rubric: %d criteria, weight %d\n",
		name, p.Title, p.Version, len(p.Units), len(p.AllSkills()), required, safety, len(p.Rubric.Criteria), p.Rubric.Total)
	for i := range p.Points {
		r := &p.Points[i]
		f := assessment.FiguresOf(r)
		fmt.Fprintf(c.out, "    points rule %s: +1 clean, −%d not clean, never below %d, eligible at %d; false sign-off %.4f within %d (at most %v), %.2f observations for a competent apprentice\n",
			r.ID, r.FaultCosts, r.NeverBelow, r.EligibleAt, f.FalseSignOff, r.Within, r.FalseSignOff, f.MeanCompetent)
	}
	fmt.Fprintf(c.out, "    SHA-256 %s\n", p.Digest())
}
