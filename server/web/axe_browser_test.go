package web_test

import (
	"encoding/json"
	"fmt"
	"os"
	"testing"

	"tablehand/server/chromium"
)

// Every page in every state against the rules of axe, on a tablet and a phone,
// with long names on the phone.
func TestEveryPageForAxe(t *testing.T) {
	axe := axeScript(t)
	throughTheGallery(t, func(w *window, name string) {
		ask[bool](w, axe)
		if !isLong(name) {
			w.axe("1180 × 820")
		}
		w.screen(390, 844)
		w.axe("390 × 844")
	})
}

// reviewed are the places that axe cannot judge by itself and a person has.
// Whatever else it leaves open fails.
var reviewed = []struct{ Rule, Selector, Reason string }{
	{"color-contrast", ".pick > label *", "The mark of the answer is drawn beside the words, not behind them. Measured by faint in look.js."},
	{"color-contrast", "svg text", "Words in a drawing lie on the ground of its box. Measured by faint in look.js."},
	{"color-contrast", ".mc b", "One letter, and axe asks whether it is one. Measured by faint in look.js."},
	{"color-contrast", ".matrix tfoot td, .matrix thead a *, .scroll :is(th, td)", "Part of it lies outside the box that scrolls. Measured by faint in look.js."},
	{"color-contrast", ".effects [aria-hidden]", "An arrow between two words; a screen reader is told “to”."},
	{"color-contrast", ".draft :is(label, legend, label *, .hint, input, textarea)", "The bar at the foot lies over part of the form until it is scrolled. Measured by faint in look.js."},
	{"th-has-data-cells", "table.matrix, table.wall-table", "The title of a unit heads the rows of its group; nothing else stands in its line, or only a cell that fills it."},
}

// axeRun asks for the rules of WCAG 2.2 A and AA and what is good practice, and
// for three rules that are off by default. It returns what is wrong, then what
// is left open and not reviewed.
const axeRun = `axe.run(document, {
	runOnly: { type: "tag", values: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] },
	rules: { "td-has-header": { enabled: true }, "label-content-name-mismatch": { enabled: true }, "css-orientation-lock": { enabled: true } },
	resultTypes: ["violations", "incomplete"], elementRef: true,
}).then((result) => {
	const seen = (rule, node) => %s.some((r) => r.Rule === rule && node.element.matches(r.Selector));
	const say = (rule, node) => rule.help + " (" + rule.id + "): " + node.target.flat().join(" ") + " " + node.html.slice(0, 160) + ": " + [...node.any, ...node.all, ...node.none].map((c) => c.message).join("; ");
	const lines = (rules, keep) => rules.flatMap((rule) => rule.nodes.filter((n) => keep(rule.id, n)).slice(0, 5).map((n) => say(rule, n)));
	return [lines(result.violations, () => true), lines(result.incomplete, (rule, n) => !seen(rule, n))];
})`

// axeScript reads the checker that TABLEHAND_AXE names.
func axeScript(t *testing.T) string {
	t.Helper()
	file := os.Getenv("TABLEHAND_AXE")
	if file == "" {
		chromium.Missing(t, "This test needs axe-core: npm install --prefix DIR axe-core@4.14.1, then set TABLEHAND_AXE to DIR/node_modules/axe-core/axe.min.js.")
	}
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return string(text) + "\n;true"
}

// axe checks the page as it stands against the rules.
func (w *window) axe(when string) {
	w.Helper()
	known, err := json.Marshal(reviewed)
	if err != nil {
		w.Fatal(err)
	}
	found := ask[[2][]string](w, fmt.Sprintf(axeRun, known))
	for _, line := range found[0] {
		w.Errorf("%s: %s", when, line)
	}
	for _, line := range found[1] {
		w.Errorf("%s: to be looked at by a person, then listed as reviewed: %s", when, line)
	}
}
