package curriculum_test

import (
	"errors"
	"os"
	"strings"
	"testing"

	"tablehand/curriculum"
)

// FuzzRead: whatever is read, the reader does not panic, and every mistake
// stands at a place that exists.
func FuzzRead(f *testing.F) {
	text := base(f)
	f.Add([]byte(text))
	for _, b := range brokenFiles {
		f.Add([]byte(mutate(f, text, b.oldNew...)))
	}
	tables := cutting(f)
	f.Add([]byte(tables))
	for _, b := range brokenTables {
		f.Add([]byte(mutate(f, tables, b.oldNew...)))
	}
	built, err := os.ReadFile("default.yaml")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(built)
	for _, s := range []string{"", "%YAML 1.2\n---\na: b\n", "? a\n: b\n", "? [a]\n: b\n", "{: x}", "- - - -", "a: |\n  x\n b", "&a *a", "!!binary x", "<<: *a", "id: >-\n", "units: [{skills: [{}]}]", "a: 'it''s'", "\"\\x\": 1"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 16<<10 && len(data) != len(built) {
			t.Skip("longer files are only slower")
		}
		p, err := curriculum.Read("f.yaml", data)
		if err == nil {
			if string(p.Source()) != string(data) || len(p.AllSkills()) == 0 {
				t.Fatal("accepted without a skill, or not kept as read")
			}
			return
		}
		var ms curriculum.Mistakes
		if p != nil || !errors.As(err, &ms) || len(ms) == 0 {
			t.Fatalf("%v, %v", p, err)
		}
		lines := 1 + strings.Count(strings.ReplaceAll(strings.ReplaceAll(string(data), "\r\n", "\n"), "\r", "\n"), "\n")
		for i, m := range ms {
			if m.Line < 1 || m.Line > lines || m.Column < 1 || m.Column > len([]rune(m.Excerpt))+1 || m.Problem == "" || m.Do == "" {
				t.Errorf("%d:%d of %d lines, %q: %s", m.Line, m.Column, lines, m.Excerpt, m.Problem)
			}
			if i > 0 && (m.Line < ms[i-1].Line || m.Line == ms[i-1].Line && m.Column < ms[i-1].Column) {
				t.Errorf("%d:%d stands after %d:%d", m.Line, m.Column, ms[i-1].Line, ms[i-1].Column)
			}
		}
		_ = err.Error()
	})
}
