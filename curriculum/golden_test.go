package curriculum_test

import (
	"errors"
	"flag"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/curriculum"
)

var update = flag.Bool("update", false, "write the messages to testdata/curriculum/*.golden; read each before keeping it")

const goldenDir = "../testdata/curriculum"

// base is a small programme that passes every check.
func base(t testing.TB) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(goldenDir, "base.yaml"))
	require.NoError(t, err)
	return string(data)
}

// mutate replaces text in a programme, pair by pair. Each old text must stand
// there exactly once, so that a test breaks what it means to break.
func mutate(t testing.TB, text string, oldNew ...string) string {
	t.Helper()
	for i := 0; i < len(oldNew); i += 2 {
		require.Equal(t, 1, strings.Count(text, oldNew[i]), "occurrences of %q", oldNew[i])
		text = strings.Replace(text, oldNew[i], oldNew[i+1], 1)
	}
	return text
}

// broken is one file with mistakes in it: the base with some texts replaced.
type broken struct {
	name   string
	oldNew []string
	at     []string // the text at each place pointed to, in file order
}

var brokenFiles = []broken{
	{"unknown_key", []string{"title: Bathing", "titel: Bathing", "version: 1", "version: 1\nauthor: Alder"}, []string{"author", "titel"}},
	{"unknown_stage", []string{"  criteria:\n    - id: R1\n      title: Washing", "  stages: [{id: bath, name: Bath}, {id: finish, name: Finish}]\n  criteria:\n    - id: R1\n      stage: bat\n      title: Washing"}, []string{"bat\n", "id: R2"}},
	{"key_twice", []string{"version: 1", "version: 1\nversion: 2"}, []string{"version: 2"}},
	{"missing_id", []string{"      - id: BA2\n        title: Wash to the skin", "      - title: Wash to the skin", "needs: [BA2]", "needs: [BA1]", "[BA1, BA2]", "[BA1]", "title: Nails\n    skills", "title: \"\"\n    skills"}, []string{"title: Wash", `""`}},
	{"missing_section", []string{"monitor: {fault: 11, alarm: 12}\n", "", "vocabulary:", "words:"}, []string{"id: small", "id: small", "words"}},
	{"missing_version", []string{"version: 1\n", ""}, []string{"id: small"}},
	{"duplicate_ids", []string{"- id: NE\n", "- id: BA\n", "- id: NE1", "- id: BA1", "needs: [BA2]", "needs: []", "skills: [NE1]", "skills: []", "- id: R2", "- id: R1"}, []string{"R1", "BA\n", "BA1"}},
	{"unknown_prerequisite", []string{"needs: [BA1]", "needs: [BA9]", "needs: [BA2]", "needs: [BA1, grooming, BA1]"}, []string{"BA9", "grooming", "BA1]"}},
	{"prerequisite_cycle", []string{"        safety_critical: Scald.", "        needs: [NE1]\n        safety_critical: Scald."}, []string{"BA1]"}},
	{"prerequisite_of_itself", []string{"needs: [BA1]", "needs: [BA2]"}, []string{"BA2]"}},
	{"weights_do_not_sum", []string{"weight: 4", "weight: 5"}, []string{"10\n"}},
	{"weight_missing", []string{"      weight: 4\n", "", "least_applicable_weight: 7", "least_applicable_weight: 11", "{over: 7, under: 2}", "{over: 21, under: 4}"},
		[]string{"10\n", "{over", "11\n", "id: R2"}},
	{"impossible_evidence", []string{"coats: 3\n    sizes: 2", "coats: 4\n    sizes: 3", "{need: 3, of: 3}", "{need: 4, of: 3}", "percent: 80", "percent: 180"},
		[]string{"4\n", "3\n", "{need: 4", "180"}},
	{"spread_above_count", []string{"count: 5", "count: 2"}, []string{"3\n"}},
	{"evidence_numbers", []string{"kind: observations", "kind: observation", "  - id: quiz\n", "  - {id: gone, name: x, kind: gated, count: 0, level: 4}\n  - {id: low, name: x, kind: gated, count: 3, level: 3, sizes: -1}\n  - {id: far, name: x, kind: observations, count: 3, level: 4, styles: 3, streak: {need: 70, of: 80}}\n  - id: quiz\n"},
		[]string{"observation\n", "0,", "3, sizes", "-1", "3, streak", "{need: 70"}},
	{"must_meet_above_5", []string{"must_meet: 4", "must_meet: 6"}, []string{"6\n"}},
	{"rubric_skills", []string{"skills: [NE1]", "skills: [NE9, BA2]", "[Did not, Led, Prompted, Safe, Sure]", "[Did not, Led, Prompted, Safe]"}, []string{"NE9", "BA2]", "[Did not"}},
	{"no_criteria", []string{"  criteria:\n    - id: R1\n      title: Washing\n      weight: 6\n      must_meet: 4\n      skills: [BA1, BA2]\n      anchors: [Did not, Led, Prompted, Clean, Planned ahead]\n    - id: R2\n      title: Nails\n      weight: 4\n      not_applicable: No nails were done.\n      skills: [NE1]\n      anchors: [Did not, Led, Prompted, Safe, Sure]\n", "  criteria: []\n"}, []string{"[]"}},
	{"anchors_aliases_merge_tags", []string{"title: Bathing", "title: &bath Bathing", "title: Wash to the skin", "title: *bath", "criteria: [Counts the dewclaws too]", "<<: {criteria: [Counts the dewclaws too]}", "caution: Small slices.", "caution: !!str Small slices."},
		[]string{"&bath", "*bath", "id: NE1", "<<", "!!str"}},
	{"wrong_type", []string{"weight: 6", "weight: six", "needs: [BA1]", "needs: BA1", "signed: true", "signed: yes", "from_kg: 10", "from_kg: ten", "title: Washing", "title: [Washing]", "fault_costs: 10", "fault_costs: 10.5", "release: {clean: 3}", "release: 3", "meaning: Talked through.", "meaning: "},
		nil},
	{"entry_is_text", []string{"  - id: quiz\n    name: Knowledge check\n    kind: knowledge\n    count: 1\n    percent: 80\n", "  - quiz\n", "evidence: quiz", "evidence: safe"}, []string{"quiz\n"}},
	{"quote_not_closed", []string{"title: Bathing", "title: \"Bathing"}, []string{"\"Bathing"}},
	{"colon_in_text", []string{"title: Bathing", "title: Bathing: hot"}, []string{"Bathing: hot"}},
	{"bracket_not_closed", []string{"criteria: [Wets to the skin]", "criteria: [Wets to the skin"}, []string{"needs"}},
	{"wrong_indentation", []string{"    title: Bathing", "   title: Bathing"}, []string{"title: Bathing"}},
	{"tab", []string{"    title: Bathing", "\ttitle: Bathing"}, []string{"\ttitle"}},
	{"tab_after_spaces", []string{"    title: Bathing", "  \ttitle: Bathing"}, []string{"\ttitle"}},
	{"tab_before_mistake", []string{"name: Full groom}", "name:\tFull groom, colour: 3}"}, []string{"colour"}},
	{"wide_characters", []string{"name: Full groom", "name: \"犬🐩é e\u0301\", colour: 3"}, []string{"colour"}},
	{"blanks_at_the_end", []string{"version: 1", "version: zero   "}, []string{"zero"}},
	{"long_line", []string{"criteria: [Wets to the skin]", "criteria: [" + strings.Repeat("Wets to the skin, ", 20) + "{a: 1}" + strings.Repeat(", wets to the skin", 20) + "]"}, []string{"{a: 1}"}},
	{"two_documents", []string{"units:\n", "---\nunits:\n"}, []string{"units"}},
	{"nested_too_deep", []string{"cautions: [Stop when the dog struggles.]", "cautions: " + strings.Repeat("[", 40) + strings.Repeat("]", 40)}, []string{"["}},
	{"points_numbers", []string{"competent_fault_rate: 0.02", "competent_fault_rate: 0", "unacceptable_fault_rate: 0.20", "unacceptable_fault_rate: 20", "fault_costs: 10", "fault_costs: 0", "never_below: -10", "never_below: 10", "eligible_at: 17", "eligible_at: 61"},
		[]string{"0\n", "20\n", "0\n", "10\n", "61\n"}},
	{"points_rates_swapped", []string{"competent_fault_rate: 0.02", "competent_fault_rate: 0.20", "unacceptable_fault_rate: 0.20", "unacceptable_fault_rate: 0.02"}, []string{"0.02\n"}},
	{"vocabulary", []string{"counts_as: WO", "counts_as: WOO", "from_kg: 0, to_kg: 10", "from_kg: 1, to_kg: 1", "from_kg: 10}", "from_kg: 12, to_kg: 60}", "{grade: 1, name: Knots}", "{grade: 2, name: Knots}", "{grade: 2, name: Anxious}", "{grade: 3, name: Anxious}", "services: [{id: full, name: Full groom}]", "services: []", "{id: short, name: Short trim}", "{id: short}"},
		[]string{"WOO", "1,", "12,", "2,", "3,", "[]", "{id: short"}},
	{"size_band_upside_down", []string{"from_kg: 0, to_kg: 10", "from_kg: 0, to_kg: -1", "from_kg: 10", "from_kg: -1"}, []string{"-1}"}},
	{"scales", []string{"  - {level: 5, name: Alone, meaning: Nobody else needed.}\n", "", "{level: 2, name: Side", "{level: 3, name: Side", "at_level: 4", "at_level: 7", "current_days: 91", "current_days: 365", "alarm: 12", "alarm: 0"},
		[]string{"- {level: 1", "3, name: Side", "7", "{current", "{fault"}},
	{"levels_out_of_order", []string{"{level: 2, name: Guided", "{level: 4, name: Guided"}, []string{"4, name: Guided"}},
	{"no_units", []string{"units:\n", "units: []\nspare:\n"}, []string{"[]", "spare"}},
	{"permissions_missing", []string{"  - {level: 5, name: Alone, meaning: Unwatched., signed: true}\n", ""}, []string{"- {level: 1, name: Watch"}},
	{"skills", []string{"        caution: Small slices.\n", "", "criteria: [Wets to the skin]", "criteria: []", "evidence: quiz", "evidence: quizz\n        points: poynts", "        needs: [BA1]\n        evidence: safe", "        needs: [BA1]\n        evidence: quiz\n        points: points"},
		[]string{"[]", "points\n", "id: NE1", "quizz", "poynts"}},
	{"unit_without_skills", []string{"    skills:\n      - id: NE1\n        title: Clip nails\n        criteria: [Counts the dewclaws too]\n        safety_critical: Cuts the quick.\n        needs: [BA2]\n        evidence: quiz\n        caution: Small slices.\n", "", "skills: [NE1]", "skills: []"}, []string{"id: NE"}},
	{"no_evidence_rules", []string{"evidence_rules:\n  - id: safe\n    name: Safety skill\n    kind: observations\n    count: 5\n    level: 4\n    coats: 3\n    sizes: 2\n    assessors: 2\n    streak: {need: 3, of: 3}\n    newest_within_days: 60\n  - id: quiz\n    name: Knowledge check\n    kind: knowledge\n    count: 1\n    percent: 80\n", "evidence_rules: []\n"}, []string{"[]"}},
	{"incidents", []string{"holds_for: [apprentice]", "holds_for: [aprentice]", "hold: skill", "hold: room", "permission_max: 3", "permission_max: 6", "resets_for: [apprentice]", "resets_for: [nobody]", "severity: S0, count: 3, days: 30, same: kind, effect: review", "severity: S5, count: 1, days: 30, same: dog, effect: sacked"},
		[]string{"room", "aprentice", "6\n", "nobody", "S5", "1,", "dog", "sacked"}},
	{"repeats", []string{"same: kind, effect: review}", "same: kind, effect: permission_down}"}, []string{"kind, effect: permission_down"}},
	{"completion_coats", []string{"last_meet: 5, coats: 3", "last_meet: 5, coats: 4"}, []string{"4"}},
	{"completion", []string{"last_meet: 5, coats: 3, sizes: 2", "last_meet: 50, coats: 3, sizes: 9"}, []string{"50", "9"}},
	{"many", []string{"version: 1", "version: one", "counts_as: WO", "counts_as: SILK", "alarm: 12", "alarm: twelve", "percent: 80", "percent: 0", "must_meet: 4", "must_meet: 9", "title: Bathing", "titel: Bathing", "needs: [BA2]", "needs: [BA3]", "        evidence: safe\n        points: points", "        evidence: save\n        points: points"},
		[]string{"one", "SILK", "twelve", "0\n", "9\n", "titel", "save", "BA3"}},
}

// cutting is a small table of blades, to stand behind the base.
func cutting(t testing.TB) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(goldenDir, "cutting.yaml"))
	require.NoError(t, err)
	return base(t) + string(data)
}

// brokenTables are mistakes in a table of blades.
var brokenTables = []broken{
	{"cutting_words", []string{"stamp_is: reverse", "stamp_is: revers", "stands_off: [XW]", "stands_off: [XX]", "under_blades: [b10]", "under_blades: [b1O]", "teeth: even", "teeth: evn", "mats: experienced", "mats: sometimes", "no_teeth: [skip]", "no_teeth: [gap]", "no_blades: [b7]", "no_blades: [b77]",
		"skin: sound, combs", "skin: sounds, combs", "comb_test: ears", "comb_test: eyes", "skill: BA2, evidence: quiz", "skill: BA9, evidence: safe"},
		[]string{"revers\n", "XX", "b1O", "evn", "sometimes", "gap", "b77", "sounds", "eyes", "BA9", "safe"}},
	{"cutting_numbers", []string{"with_lie_times: 2", "with_lie_times: 5", "give_or_take_mm: 1.25", "give_or_take_mm: 0", "knotted_from: 1", "knotted_from: 0", "least_mm: 1.5", "least_mm: 1.7", "tolerance_mm: 1.1", "tolerance_mm: 13", "questions: 4, coats: [WI, WO]", "questions: 31, coats: []"},
		[]string{"5\n", "0\n", "0\n", "1.6", "13}", "31", "[]"}},
	{"cutting_lengths", []string{"give_or_take_mm: 1.25", "give_or_take_mm: 1.255", "length_mm: 1.6", "length_mm: \"1/16\"", "length_mm: 3.2", "length_mm: -3.2"},
		[]string{"1.255", "\"1/16", "-3.2"}},
	{"cutting_nothing", []string{"  blades:\n    - {id: b10, name: \"#10\", teeth: even, length_mm: 1.6, least_mm: 1.5, most_mm: 1.8, tolerance_mm: 0.5, mats: under}\n    - {id: b7, name: \"#7\", teeth: skip, length_mm: 3.2, least_mm: 3, most_mm: 4.05, tolerance_mm: 0.55, stamp_is: with, mats: experienced}\n", "  blades: []\n",
		"under_blades: [b10]", "under_blades: []", "  areas:\n    - {id: back, name: Back, skin: sound, combs: true, jacket: true}\n    - {id: face, name: Face, skin: thin, blades: [b10], with_only: true, comb_test: ears}\n  exercise: {skill: BA2, evidence: quiz, questions: 4, coats: [WI, WO]}\n", "  areas: []\n", "no_teeth: [skip], no_blades: [b7], why", "why"},
		[]string{"stamp_is", "[]", "{id: c13", "[]"}},
	{"cutting_no_skins", []string{"  skins:\n    - {id: sound, name: Sound}\n    - {id: thin, name: Thin, no_teeth: [skip], no_blades: [b7], why: It tears.}\n    - {id: sore, name: Sore, stop: Let a vet look.}\n", "", "length_mm: 13, tolerance_mm: 1.1", "length_mm: 1.6, tolerance_mm: 1.1", "skin: sound, ", "", "skin: thin, ", ""},
		[]string{"stamp_is", "1.6, tol"}},
	{"cutting_contradictions", []string{"id: c13, name: 13 mm comb, length_mm: 13", "id: b7, name: 13 mm comb, length_mm: 0", "{id: sound, name: Sound}", "{id: sound, name: Sound, no_reverse: true}", "skin: sound, combs", "skin: sore, combs", "blades: [b10], with_only", "blades: [b7], with_only", "skill: BA2, evidence: quiz", "skill: NE1, evidence: exam",
		"    kind: knowledge\n    count: 1\n    percent: 80\n", "    kind: knowledge\n    count: 1\n    percent: 80\n  - {id: exam, name: Exam, kind: knowledge, count: 1, percent: 60}\n"},
		[]string{"b7, name: 13", "0, tol", "{id: sound", "{id: sound", "sore", "b7], with", "exam, questions"}},
}

func mistakesOf(t testing.TB, err error) curriculum.Mistakes {
	t.Helper()
	var ms curriculum.Mistakes
	require.True(t, errors.As(err, &ms), "%T", err)
	return ms
}

// pointedAt is the text from a mistake's place to the end of the file.
func pointedAt(t testing.TB, text string, m curriculum.Mistake) string {
	t.Helper()
	lines := strings.Split(text, "\n")
	require.LessOrEqual(t, m.Line, len(lines))
	line := []rune(lines[m.Line-1])
	require.LessOrEqual(t, m.Column, len(line)+1)
	return string(line[m.Column-1:]) + "\n"
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join(goldenDir, name+".golden")
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), got)
}

func TestBaseProgrammePasses(t *testing.T) {
	p, err := curriculum.Read("base.yaml", []byte(base(t)))
	require.NoError(t, err)
	assert.Len(t, p.AllSkills(), 3)
	assert.Nil(t, p.Cutting, "a programme need not have a table of blades")
	p, err = curriculum.Read("cutting.yaml", []byte(cutting(t)))
	require.NoError(t, err)
	assert.Equal(t, curriculum.MM(125), p.Cutting.GiveOrTake)
	assert.Equal(t, curriculum.MM(405), p.Cutting.Blade("b7").Most)
}

// Each file is broken in a known place; the golden file holds the message a
// head groomer reads, and the text under the caret is named in the table.
func TestMessages(t *testing.T) {
	messages(t, base(t), brokenFiles)
	messages(t, cutting(t), brokenTables)
}

func messages(t *testing.T, text string, list []broken) {
	for _, b := range list {
		t.Run(b.name, func(t *testing.T) {
			file := mutate(t, text, b.oldNew...)
			p, err := curriculum.Read("programme.yaml", []byte(file))
			require.Error(t, err)
			assert.Nil(t, p)
			ms := mistakesOf(t, err)
			assert.True(t, slices.IsSortedFunc(ms, func(a, b curriculum.Mistake) int {
				return (a.Line-b.Line)*10_000 + a.Column - b.Column
			}), "in file order")
			if b.at != nil && assert.Len(t, ms, len(b.at), "%v", err) {
				for i, m := range ms {
					assert.True(t, strings.HasPrefix(pointedAt(t, file, m), b.at[i]), "mistake %d (%s) points at %.20q, not at %q", i+1, m.Problem, pointedAt(t, file, m), b.at[i])
				}
			}
			golden(t, b.name, err.Error())
		})
	}
}

// What an editor adds unseen changes neither the verdict nor a place.
func TestLineEndsAndByteOrderMark(t *testing.T) {
	text := base(t)
	for name, disguise := range map[string]func(string) string{
		"windows":         func(s string) string { return strings.ReplaceAll(s, "\n", "\r\n") },
		"old mac":         func(s string) string { return strings.ReplaceAll(s, "\n", "\r") },
		"byte order mark": func(s string) string { return "\ufeff" + s },
		"blanks":          func(s string) string { return strings.ReplaceAll(s, "\n", "  \n") },
	} {
		t.Run(name, func(t *testing.T) {
			p, err := curriculum.Read("programme.yaml", []byte(disguise(text)))
			require.NoError(t, err)
			assert.Equal(t, "Small slices.", p.Skill("NE1").Caution)
			assert.Equal(t, disguise(text), string(p.Source()), "kept as it was read")
			for _, b := range brokenFiles {
				file := mutate(t, text, b.oldNew...)
				_, plain := curriculum.Read("programme.yaml", []byte(file))
				_, err := curriculum.Read("programme.yaml", []byte(disguise(file)))
				assert.EqualError(t, err, plain.Error(), b.name)
			}
		})
	}
}

// noProgrammes are files that are not read at all.
var noProgrammes = map[string]string{
	"empty":             "",
	"only_comments":     "# nothing here\n---\n",
	"one_word":          "grooming\n",
	"a_list":            "- one\n- two\n",
	"not_utf8":          "id: small\ntitle: caf\xe9\n",
	"utf16":             "\xff\xfei\x00d\x00:\x00",
	"zero_bytes":        "id: sm\x00all\n",
	"control_character": "id: small\ntitle: a\x1b[31mb\n",
	"too_large":         "# " + strings.Repeat("x", curriculum.MaxFileSize),
}

func TestFilesThatAreNoProgramme(t *testing.T) {
	for name, data := range noProgrammes {
		t.Run(name, func(t *testing.T) {
			_, err := curriculum.Read("programme.yaml", []byte(data))
			require.Error(t, err)
			assert.Len(t, mistakesOf(t, err), 1)
			golden(t, name, err.Error())
		})
	}
}

func TestSizeLimitIsExact(t *testing.T) {
	text := base(t)
	fill := func(size int) []byte { return []byte(text + "# " + strings.Repeat("x", size-len(text)-2)) }
	_, err := curriculum.Read("programme.yaml", fill(curriculum.MaxFileSize))
	require.NoError(t, err)
	_, err = curriculum.Read("programme.yaml", fill(curriculum.MaxFileSize+1))
	assert.ErrorContains(t, err, "at most")
}

// edge is a value in a file that passes, one that does not, and what they replace.
type edge struct{ from, passes, fails string }

func edges(t *testing.T, text string, list []edge) {
	t.Helper()
	for _, c := range list {
		_, err := curriculum.Read("programme.yaml", []byte(mutate(t, text, c.from, c.passes)))
		assert.NoError(t, err, c.passes)
		_, err = curriculum.Read("programme.yaml", []byte(mutate(t, text, c.from, c.fails)))
		if assert.Error(t, err, c.fails) {
			assert.Len(t, mistakesOf(t, err), 1, "%s: %v", c.fails, err)
		}
	}
}

// The last value that is allowed, and the first that is not.
func TestEdges(t *testing.T) {
	text := base(t)
	edges(t, text, []edge{
		{"version: 1", "version: 1", "version: 0"},
		{"from_kg: 0, to_kg: 10}\n    - {id: L, name: Large, from_kg: 10}", "from_kg: 0, to_kg: 0.5}\n    - {id: L, name: Large, from_kg: 0.5}", "from_kg: 0, to_kg: 0}\n    - {id: L, name: Large, from_kg: 0}"},
		{"{current_days: 91, lapse_days: 182}", "{current_days: 1, lapse_days: 1}", "{current_days: 0, lapse_days: 1}"},
		{"{current_days: 91, lapse_days: 182}", "{current_days: 182, lapse_days: 182}", "{current_days: 183, lapse_days: 182}"},
		{"monitor: {fault: 11, alarm: 12}", "monitor: {fault: 1, alarm: 1}", "monitor: {fault: 0, alarm: 1}"},
		{"at_level: 4", "at_level: 5", "at_level: 6"},
		{"at_level: 2", "at_level: 0", "at_level: -1"},
		{"count: 5", "count: 3", "count: 2"}, // it asks for three coat classes
		{"level: 4\n", "level: 5\n", "level: 6\n"},
		{"coats: 3\n", "coats: 0\n", "coats: -1\n"},
		{"sizes: 2\n", "sizes: 2\n", "sizes: 3\n"},
		{"newest_within_days: 60", "newest_within_days: 0", "newest_within_days: -1"},
		{"{need: 3, of: 3}", "{need: 64, of: 64}", "{need: 64, of: 65}"},
		{"{need: 3, of: 3}", "{need: 0, of: 0}", "{need: -1, of: 0}"},
		{"percent: 80", "percent: 100", "percent: 101"},
		{"percent: 80", "percent: 1", "percent: 0"},
		{"competent_fault_rate: 0.02", "competent_fault_rate: 0.1999", "competent_fault_rate: 0.2"},
		{"unacceptable_fault_rate: 0.20", "unacceptable_fault_rate: 0.99", "unacceptable_fault_rate: 1"},
		{"false_sign_off_at_most: 0.05", "false_sign_off_at_most: 0.001", "false_sign_off_at_most: 0"},
		{"fault_costs: 10", "fault_costs: 1", "fault_costs: 0"},
		{"never_below: -10", "never_below: 0", "never_below: 1"},
		{"eligible_at: 17", "eligible_at: 60", "eligible_at: 61"},
		{"eligible_at: 17", "eligible_at: 1", "eligible_at: 0"},
		{"weight: 6\n      must_meet: 4\n", "weight: 6\n      must_meet: 5\n", "weight: 6\n      must_meet: 6\n"},
		{"total_weight: 10", "total_weight: 10", "total_weight: 11"},
		{"weight: 6", "weight: 6", "weight: 7"},
		{"least_applicable_weight: 7", "least_applicable_weight: 10", "least_applicable_weight: 11"},
		{"least_applicable_weight: 7", "least_applicable_weight: 0", "least_applicable_weight: -1"},
		{"{over: 7, under: 2}", "{over: 5, under: 1}", "{over: 6, under: 1}"},
		{"{over: 7, under: 2}", "{over: 1, under: 1}", "{over: 1, under: 2}"},
		{"{over: 7, under: 2}", "{over: 7, under: 2}", "{over: 0, under: 0}"},
		{"{over: 7, under: 2}", "{over: 7, under: 2}", "{over: -7, under: -2}"},
		{"least_level: 2", "least_level: 5", "least_level: 6"},
		{"criterion_cap: 3", "criterion_cap: 0", "criterion_cap: -1"},
		{"count: 3, days: 30", "count: 2, days: 1", "count: 1, days: 1"},
		{"count: 3, days: 30", "count: 2, days: 1", "count: 2, days: 0"},
		{"last_meet: 5", "last_meet: 10", "last_meet: 11"},
	})
	edges(t, cutting(t), []edge{
		{"with_lie_times: 2", "with_lie_times: 1", "with_lie_times: 0"},
		{"with_lie_times: 2", "with_lie_times: 4", "with_lie_times: 5"},
		{"give_or_take_mm: 1.25", "give_or_take_mm: 0.01", "give_or_take_mm: 0.00"},
		{"knotted_from: 1\n  consent_from: 1", "knotted_from: 1\n  consent_from: 1", "knotted_from: 2\n  consent_from: 1"},
		{"consent_from: 1", "consent_from: 1", "consent_from: 2"}, // there are two grades, 0 and 1
		{"least_mm: 1.5", "least_mm: 1.6", "least_mm: 1.61"},
		{"most_mm: 1.8", "most_mm: 1.6", "most_mm: 1.59"},
		{"tolerance_mm: 0.5,", "tolerance_mm: 1.59,", "tolerance_mm: 1.6,"},
		{"length_mm: 13", "length_mm: 1.61", "length_mm: 1.6"}, // its blade leaves 1.6
		{"tolerance_mm: 1.1", "tolerance_mm: 0.01", "tolerance_mm: 0"},
		{"questions: 4", "questions: 1", "questions: 0"},
		{"questions: 4", "questions: 30", "questions: 31"},
	})
	small := mutate(t, text, "weight: 6", "weight: 9", "weight: 4", "weight: 1")
	_, err := curriculum.Read("programme.yaml", []byte(small))
	assert.NoError(t, err)
	_, err = curriculum.Read("programme.yaml", []byte(mutate(t, text, "weight: 6", "weight: 10", "weight: 4", "weight: 0")))
	assert.Error(t, err)
	deep := func(n int) string {
		return mutate(t, text, "cautions: [Stop when the dog struggles.]", "cautions: "+strings.Repeat("[", n)+strings.Repeat("]", n))
	}
	_, err = curriculum.Read("programme.yaml", []byte(deep(32)))
	assert.ErrorContains(t, err, "must be text")
	_, err = curriculum.Read("programme.yaml", []byte(deep(33)))
	assert.ErrorContains(t, err, "nested more than 32 deep")
}

// The part of a long line that is shown: by hand, lines of 120 characters and
// fewer whole, longer ones cut to 120 with the caret still under its character.
func TestExcerptOfALongLine(t *testing.T) {
	for _, c := range []struct{ length, column, from, to, caret int }{
		{120, 1, 1, 120, 1}, {120, 120, 1, 120, 120}, {121, 1, 1, 120, 1}, {121, 121, 2, 121, 120}, {300, 61, 1, 120, 61}, {300, 62, 2, 121, 61}, {300, 300, 181, 300, 120},
		{300, 150, 90, 209, 61},
	} {
		line := []rune(strings.Repeat("abcdefghij", 30))[:c.length]
		text := strings.Split(curriculum.Mistake{File: "f", Line: 1, Column: c.column, Excerpt: string(line), Problem: "p", Do: "d"}.Error(), "\n")
		want := slices.Clone(line[c.from-1 : c.to])
		if c.from > 1 {
			want[0] = '…'
		}
		if c.to < c.length {
			want[len(want)-1] = '…'
		}
		assert.Equal(t, "    1 | "+string(want), text[1], "%v", c)
		assert.Equal(t, strings.Repeat(" ", 8+c.caret-1)+"^", text[2], "%v", c)
	}
}

// A file of nothing but mistakes is not answered with a book.
func TestVeryManyMistakes(t *testing.T) {
	_, err := curriculum.Read("programme.yaml", []byte(base(t)+strings.Repeat("zzz: 1\n", 1000)))
	ms := mistakesOf(t, err)
	assert.Len(t, ms, 1000)
	assert.Equal(t, 100, strings.Count(err.Error(), "→"))
	assert.True(t, strings.HasSuffix(err.Error(), "… and 900 more; put these right first\n"))
}

// A long circle is told by its ends, and unknown words in a long list are told
// without a guess.
func TestLongLists(t *testing.T) {
	var b strings.Builder
	b.WriteString("units:\n  - id: U\n    skills:\n")
	for i := range 1100 {
		b.WriteString("      - {id: s" + strconv.Itoa(i) + ", needs: [s" + strconv.Itoa((i+1)%1100) + ", zz]}\n")
	}
	_, err := curriculum.Read("programme.yaml", []byte(b.String()))
	var circle, unknown []curriculum.Mistake
	for _, m := range mistakesOf(t, err) {
		if strings.Contains(m.Problem, "circle") {
			circle = append(circle, m)
		}
		if strings.Contains(m.Problem, "unknown prerequisite") {
			unknown = append(unknown, m)
		}
	}
	require.Len(t, circle, 1)
	assert.Equal(t, 24, strings.Count(circle[0].Problem, "→"))
	assert.Contains(t, circle[0].Problem, " s0 → s1 → ")
	assert.True(t, strings.HasSuffix(circle[0].Problem, "… → s1089 → s1090 → s1091 → s1092 → s1093 → s1094 → s1095 → s1096 → s1097 → s1098 → s1099 → s0"))
	require.Len(t, unknown, 1100)
	assert.Equal(t, "Use an id that is defined in this file.", unknown[0].Do)
}

// A check from above this package is told at the place it names.
func TestFurtherChecks(t *testing.T) {
	text := base(t)
	_, err := curriculum.Read("programme.yaml", []byte(text), func(p *curriculum.Programme) []curriculum.Finding {
		return []curriculum.Finding{{Path: "units[1].skills[0].title", Problem: "100% wrong", Do: "Put it right."}}
	})
	ms := mistakesOf(t, err)
	require.Len(t, ms, 1)
	assert.Equal(t, "100% wrong", ms[0].Problem)
	assert.True(t, strings.HasPrefix(pointedAt(t, text, ms[0]), "Clip nails"))
}

// Every message in the source has been read in a golden file.
func TestEveryMessageHasAGoldenFile(t *testing.T) {
	files, err := filepath.Glob(goldenDir + "/*.golden")
	require.NoError(t, err)
	var all strings.Builder
	for _, f := range files {
		name := strings.TrimSuffix(filepath.Base(f), ".golden")
		_, none := noProgrammes[name]
		assert.True(t, none || slices.ContainsFunc(slices.Concat(brokenFiles, brokenTables), func(b broken) bool { return b.name == name }), "%s belongs to no test", f)
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		all.Write(data)
	}
	sources, err := filepath.Glob("*.go")
	require.NoError(t, err)
	verb := regexp.MustCompile(`%[dqsv]`)
	messages := 0
	for _, name := range sources {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		require.NoError(t, err)
		ast.Inspect(file, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok || len(call.Args) < 3 {
				return true
			}
			fun, ok := call.Fun.(*ast.SelectorExpr)
			if !ok || !slices.Contains([]string{"at", "atPlace", "misread"}, fun.Sel.Name) {
				return true
			}
			problem, ok := call.Args[1].(*ast.BasicLit)
			if !ok || problem.Value == `"%s"` {
				return true
			}
			messages++
			format, err := strconv.Unquote(problem.Value)
			require.NoError(t, err)
			pattern := verb.ReplaceAllLiteralString(regexp.QuoteMeta(format), ".+")
			assert.True(t, regexp.MustCompile(`(?m):\d+:\d+: (this is not well-formed YAML: )?`+pattern+`$`).MatchString(all.String()), "no golden file shows %q", format)
			return true
		})
	}
	assert.Greater(t, messages, 55)
}
