package main

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/curriculum"
)

func TestRule(t *testing.T) {
	choices, err := assessment.RuleChoices(curriculum.PointsRule{Competent: 0.02, Unacceptable: 0.2, FalseSignOff: 0.05, Within: 60})
	require.NoError(t, err)
	status, out, errOut := use(t, "rule")
	assert.Equal(t, done, status, errOut)
	for _, c := range choices {
		assert.Regexp(t, fmt.Sprintf(`(?m)^ +%d +%s +%d +%.4f +%.2f +%.0f of 100$`, c.FaultCosts, assessment.Minus(c.NeverBelow), c.EligibleAt, 100*c.Figures.FalseSignOff, c.MeanCompetent, 100*c.Improving), out)
	}
	assert.Contains(t, out, assessment.Promise(&choices[0].PointsRule))
	_, same, _ := use(t, strings.Fields("rule --acceptable 2% --unacceptable 20,0 --error 5 --within 60")...)
	assert.Equal(t, out, same)
	_, advice, found := strings.Cut(out, "To see all about one rule: tablehand ")
	require.True(t, found)
	_, one, _ := use(t, strings.Fields(advice)...)
	assert.Contains(t, one, assessment.PointsWords(&choices[0].PointsRule)[0]+"\n")
}

func TestRulePicked(t *testing.T) {
	status, out, errOut := use(t, "rule", "--costs", "10", "--never-below", "-10")
	require.Equal(t, done, status, errOut)
	assert.Contains(t, out, "One that is not clean costs 10, and the score never falls below −10. Eligible at 17 points.\n")
	_, table, found := strings.Cut(out, "three in a row\n")
	require.True(t, found)
	lines := strings.Split(strings.TrimSuffix(table, "\n"), "\n")
	require.Len(t, lines, 21, "0 to 40 per cent in steps of 2")
	assert.Equal(t, []string{"0", "%", "100.00", "%", "100.00", "%"}, strings.Fields(lines[0]))
	assert.Equal(t, []string{"2", "%", "99.34", "%", "more", "than", "99.99", "%"}, strings.Fields(lines[1]))
	assert.Equal(t, []string{"20", "%", "4.93", "%", "more", "than", "99.99", "%"}, strings.Fields(lines[10]))
	assert.Equal(t, []string{"40", "%", "0.02", "%", "99.98", "%"}, strings.Fields(lines[20]))
	for _, line := range lines[1:] {
		assert.NotContains(t, line, "100.00", "nothing is certain")
	}
	_, same, _ := use(t, "rule", "--costs", "10", "--never-below", "−10")
	assert.Equal(t, out, same, "a minus sign as it is printed")
}

func TestRuleRefuses(t *testing.T) {
	for _, u := range []useCase{
		{"rule --help", done, "    --acceptable PERCENT ", ""},
		{"rule --acceptable x", misuse, "", "--acceptable takes a number of per cent above 0 and below 100, for example 2; \"x\" is not that.\n"},
		{"rule --unacceptable 100", misuse, "", `--unacceptable takes a number of per cent above 0 and below 100, for example 20; "100" is not that.`},
		{"rule --error 0", misuse, "", `--error takes a number of per cent above 0 and below 100, for example 5; "0" is not that.`},
		{"rule --error NaN", misuse, "", `"NaN" is not that.`},
		{"rule --within 60.5", misuse, "", "--within takes a whole number from 1 to 200, for example 60; \"60.5\" is not that.\n"},
		{"rule --within 201", misuse, "", `"201" is not that.`},
		{"rule --within 3", misuse, "", "--within is 3, but even a run without any fault needs 14 observations to keep an error of 5 % at 20 % faults; give a larger number, for example --within 14.\n"},
		{"rule --acceptable 0.1 --unacceptable 1", misuse, "", "needs 299 observations to keep an error of 5 % at 1 % faults; allow a larger --error, or choose a larger --unacceptable.\n"},
		{"rule --acceptable 20", misuse, "", "--unacceptable has to be above --acceptable, and 20 is not above 20; give a larger one."},
		{"rule --costs 10", misuse, "", "A rule is picked with both numbers, for example --costs 10 --never-below -14.\n"},
		{"rule --costs ten --never-below 0", misuse, "", `--costs takes a whole number from 1 to 200, for example 10; "ten" is not that.`},
		{"rule --costs 10 --never-below 5", misuse, "", `--never-below takes a whole number from −1000 to 0, for example -14; "5" is not that.`},
		{"rule --costs 11 --never-below -11", misuse, "", "No rule of the table costs 11 and is never below −11; pick one that does, for example --costs 10 --never-below -14. There are 10 and −14; "},
		{"rule now", misuse, "", `"now" means nothing here: tablehand rule takes flags only.`},
	} {
		t.Run("tablehand "+u.args, u.check)
	}
}
