package curriculum

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// WithPointsRule returns the next version of the programme, in which the points
// rule with this id has the numbers of r. Nothing else in the file is touched:
// comments, order and wording stay. The version given is the one the changed
// programme gets. It is an error when the rule is not there, or when the changed
// programme does not pass the checks.
func (p *Programme) WithPointsRule(r PointsRule, version int, checks ...Check) (*Programme, error) {
	text := plain(p.source)
	root := newPage("", text).parse(text) // was read before, so it can be read
	decimal := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	numbers := map[string]string{
		"competent_fault_rate": decimal(r.Competent), "unacceptable_fault_rate": decimal(r.Unacceptable), "false_sign_off_at_most": decimal(r.FalseSignOff),
		"within_observations": strconv.Itoa(r.Within), "fault_costs": strconv.Itoa(r.FaultCosts), "never_below": strconv.Itoa(r.NeverBelow), "eligible_at": strconv.Itoa(r.EligibleAt),
	}
	var edits []edit
	for key, value := range entries(root) {
		switch key {
		case "version":
			edits = append(edits, edit{placeOf(value), value.GetToken().Value, strconv.Itoa(version)})
		case "points_rules":
			list, _ := bare(value).(*ast.SequenceNode)
			for _, item := range list.Values {
				rule := entries(item)
				if id, _ := scalarText(bare(rule["id"])); id != r.ID {
					continue
				}
				for name, number := range numbers {
					if old := rule[name]; old != nil {
						edits = append(edits, edit{placeOf(old), written(old), number})
					}
				}
			}
		}
	}
	if len(edits) != 1+len(numbers) {
		return nil, fmt.Errorf("the programme has no points rule %q with all its numbers", r.ID)
	}
	return Read(fmt.Sprintf("%s version %d", p.ID, version), []byte(apply(text, edits)), checks...)
}

// edit replaces one value that stands on a single line.
type edit struct {
	at       place
	old, now string
}

// apply makes edits, the last one first so that none moves another.
func apply(text string, edits []edit) string {
	slices.SortFunc(edits, func(a, b edit) int {
		if a.at.line != b.at.line {
			return b.at.line - a.at.line
		}
		return b.at.column - a.at.column
	})
	lines := strings.Split(text, "\n")
	for _, e := range edits {
		if sameNumber(e.old, e.now) {
			continue // 0.20 stays 0.20
		}
		line := []rune(lines[e.at.line-1])
		from := e.at.column - 1
		lines[e.at.line-1] = string(line[:from]) + e.now + string(line[from+len([]rune(e.old)):])
	}
	return strings.Join(lines, "\n")
}

func sameNumber(a, b string) bool {
	x, err1 := strconv.ParseFloat(a, 64)
	y, err2 := strconv.ParseFloat(b, 64)
	return err1 == nil && err2 == nil && x == y
}

// entries are the values of a group, by key.
func entries(n ast.Node) map[string]ast.Node {
	out := map[string]ast.Node{}
	switch m := bare(n).(type) {
	case *ast.MappingNode:
		for _, kv := range m.Values {
			out[kv.Key.GetToken().Value] = kv.Value
		}
	case *ast.MappingValueNode:
		out[m.Key.GetToken().Value] = m.Value
	}
	return out
}

// written is a number as it stands in the file.
func written(n ast.Node) string { return strings.TrimSpace(n.GetToken().Origin) }
