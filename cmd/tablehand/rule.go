package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"tablehand/assessment"
	"tablehand/assessment/sequence"
	"tablehand/curriculum"
)

// inARow is what a points rule is compared with: what many salons do.
const inARow = 3

// runRule prints the exact figures of the points rules worth choosing between,
// and everything about one of them when it is picked.
func runRule(ctx context.Context, c *call) error {
	acceptable := c.flags.String("acceptable", "2", "`PERCENT` of observations with a fault that is competent")
	unacceptable := c.flags.String("unacceptable", "20", "`PERCENT` that is not")
	wrong := c.flags.String("error", "5", "`PERCENT` of those who may become eligible all the same")
	within := c.flags.String("within", "60", "`N` observations in the programme")
	costs := c.flags.String("costs", "", "`N` points a fault costs, to pick a rule from the table")
	never := c.flags.String("never-below", "", "`N` points the score never falls below, to pick a rule")
	if err := c.parse(); err != nil {
		return err
	}
	var r curriculum.PointsRule
	for _, f := range []struct {
		name, text, example string
		into                *float64
	}{{"acceptable", *acceptable, "2", &r.Competent}, {"unacceptable", *unacceptable, "20", &r.Unacceptable}, {"error", *wrong, "5", &r.FalseSignOff}} {
		share, err := share(f.name, f.text, f.example)
		if err != nil {
			return err
		}
		*f.into = share
	}
	n, err := number("within", *within, 1, assessment.MostObservations, "60")
	if err != nil {
		return err
	}
	if r.Within = n; r.Competent >= r.Unacceptable {
		return wrongUse("--unacceptable has to be above --acceptable, and %s is not above %s; give a larger one.", *unacceptable, *acceptable)
	}
	if least := sequence.LeastObservations(r.Unacceptable, r.FalseSignOff); least > r.Within {
		return tooFew(&r, least)
	}
	choices, err := assessment.RuleChoices(r)
	if err != nil {
		return wrongUse("No rule fits these numbers: %v.", err)
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	if *costs == "" && *never == "" {
		printRules(c.out, &r, choices)
		return nil
	}
	picked, err := pick(choices, *costs, *never)
	if err != nil {
		return err
	}
	printRule(c.out, picked)
	return nil
}

// tooFew says that no rule at all can keep the error within so few observations.
func tooFew(r *curriculum.PointsRule, least int) error {
	do := fmt.Sprintf("give a larger number, for example --within %d", least)
	if least > assessment.MostObservations {
		do = "allow a larger --error, or choose a larger --unacceptable"
	}
	return wrongUse("--within is %d, but even a run without any fault needs %d observations to keep an error of %s %% at %s %% faults; %s.",
		r.Within, least, percent(r.FalseSignOff), percent(r.Unacceptable), do)
}

// percent writes a share in per cent as it would be typed.
func percent(share float64) string { return strconv.FormatFloat(100*share, 'g', 10, 64) }

// chance writes a chance at a fault rate above 0, where nothing within so many
// observations is certain. It may be so near to 1 that float64 holds 1.
func chance(p float64) string { return assessment.ChanceWords(min(p, math.Nextafter(1, 0))) }

// share reads a flag in per cent as a share between 0 and 1.
func share(name, text, example string) (float64, error) {
	typed := strings.Replace(strings.TrimSpace(strings.TrimSuffix(text, "%")), ",", ".", 1)
	v, err := strconv.ParseFloat(typed, 64)
	if err != nil || !(v > 0 && v < 100) {
		return 0, wrongUse("--%s takes a number of per cent above 0 and below 100, for example %s; %q is not that.", name, example, text)
	}
	return v / 100, nil
}

// number reads a flag as a whole number. A minus sign may be the printed one.
func number(name, text string, least, most int, example string) (int, error) {
	n, err := strconv.Atoi(strings.Replace(strings.TrimSpace(text), "−", "-", 1))
	if err != nil || n < least || n > most {
		return 0, wrongUse("--%s takes a whole number from %s to %d, for example %s; %q is not that.", name, assessment.Minus(least), most, example, text)
	}
	return n, nil
}

// pick finds the rule of the table that costs and never name.
func pick(choices []assessment.RuleChoice, costs, never string) (*assessment.RuleChoice, error) {
	example := fmt.Sprintf("--costs %d --never-below %d", choices[0].FaultCosts, choices[0].NeverBelow)
	if costs == "" || never == "" {
		return nil, wrongUse("A rule is picked with both numbers, for example %s.", example)
	}
	cost, err := number("costs", costs, 1, assessment.MostObservations, strconv.Itoa(choices[0].FaultCosts))
	if err != nil {
		return nil, err
	}
	floor, err := number("never-below", never, -1000, 0, strconv.Itoa(choices[0].NeverBelow))
	if err != nil {
		return nil, err
	}
	var known []string
	for i := range choices {
		if choices[i].FaultCosts == cost && choices[i].NeverBelow == floor {
			return &choices[i], nil
		}
		known = append(known, fmt.Sprintf("%d and %s", choices[i].FaultCosts, assessment.Minus(choices[i].NeverBelow)))
	}
	return nil, wrongUse("No rule of the table costs %d and is never below %s; pick one that does, for example %s. There are %s.", cost, assessment.Minus(floor), example, strings.Join(known, "; "))
}

// printRules prints the table of the rules worth choosing between.
func printRules(w io.Writer, r *curriculum.PointsRule, choices []assessment.RuleChoice) {
	fmt.Fprintln(w, "A clean observation earns 1 point. The rules worth choosing between:")
	fmt.Fprintf(w, "\n%9s %13s %13s %14s %18s %16s\n", "a fault", "never below", "eligible at", "false sign-off", "observations when", "who improve and")
	fmt.Fprintf(w, "%9s %13s %13s %14s %18s %16s\n", "costs", "(points)", "(points)", "(per cent)", "competent (mean)", "become eligible")
	for i := range choices {
		c := &choices[i]
		fmt.Fprintf(w, "%9d %13s %13d %14.4f %18.2f %16s\n", c.FaultCosts, assessment.Minus(c.NeverBelow), c.EligibleAt, 100*c.Figures.FalseSignOff, c.MeanCompetent, fmt.Sprintf("%.0f of 100", 100*c.Improving))
	}
	row := assessment.CompareInARow(inARow, r)
	fmt.Fprintf(w, "\n%s\n", assessment.Promise(r))
	fmt.Fprintf(w, "%d clean in a row would sign off %s of them, after %.2f observations on average when competent.\n", row.Needed, chance(row.FalseSignOff), row.MeanCompetent)
	fmt.Fprintf(w, "To see all about one rule: tablehand rule%s --costs %d --never-below %d\n", asked(r), choices[0].FaultCosts, choices[0].NeverBelow)
}

// asked are the flags that ask for the same rules again.
func asked(r *curriculum.PointsRule) string {
	return fmt.Sprintf(" --acceptable %s --unacceptable %s --error %s --within %d", percent(r.Competent), percent(r.Unacceptable), percent(r.FalseSignOff), r.Within)
}

// printRule prints one rule: its facts, and its chances beside three in a row at
// fault rates from 0 to 40 per cent.
func printRule(w io.Writer, c *assessment.RuleChoice) {
	const highest, steps = 0.4, 20
	row := assessment.CompareInARow(inARow, &c.PointsRule)
	fmt.Fprintln(w, assessment.PointsWords(&c.PointsRule)[0])
	for _, fact := range assessment.RuleFactWords(&c.PointsRule, c.Figures, row) {
		fmt.Fprintln(w, fact)
	}
	fmt.Fprintf(w, "\nChance of being eligible within %d observations, by how often there is a fault:\n\n", c.Within)
	fmt.Fprintf(w, "%7s %19s %19s\n", "faults", "this rule", "three in a row")
	ours, other := assessment.Curves(&c.PointsRule, inARow, highest)
	every := (assessment.CurvePoints - 1) / steps
	fmt.Fprintf(w, "%5d %% %19s %19s\n", 0, assessment.ChanceWords(ours[0]), assessment.ChanceWords(other[0]))
	for i := every; i < assessment.CurvePoints; i += every {
		fmt.Fprintf(w, "%5d %% %19s %19s\n", i/every*2, chance(ours[i]), chance(other[i]))
	}
}
