package curriculum

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// check looks at the meaning of a decoded programme: ids that must exist once,
// names that must lead somewhere, numbers that must be possible.
func (p *page) check(pr *Programme) {
	for _, section := range []string{"vocabulary", "levels", "permissions", "currency", "monitor", "evidence_rules", "rubric", "units"} {
		if _, there := p.places[section]; !there {
			p.misread(section, "the section %s is missing", "Take it over from the built-in programme: tablehand check --print", section)
		}
	}
	p.requireText("id", pr.ID)
	p.requireText("title", pr.Title)
	if pr.Version < 1 {
		p.at("version", "version is %d", "Number the first version 1 and add 1 for each change.", pr.Version)
	}
	p.checkVocabulary(&pr.Vocabulary)
	p.checkScales(pr)
	p.checkEvidence(pr)
	p.checkPoints(pr)
	p.checkSkills(pr)
	p.checkNeeds(pr)
	p.checkRubric(pr)
	p.checkIncidents(pr)
	p.checkCompletion(pr)
	p.checkCutting(pr)
}

func (p *page) requireText(path, text string) bool {
	if strings.TrimSpace(text) == "" {
		p.at(path, "%s is missing", "Give it a value.", lastName(path))
		return false
	}
	return true
}

// ids notes a missing or repeated id in one list and returns the ids found.
func (p *page) ids(path string, n int, id func(int) string) map[string]bool {
	first := map[string]int{}
	for i := range n {
		at := fmt.Sprintf("%s[%d].id", path, i)
		if !p.requireText(at, id(i)) {
			continue
		}
		if j, twice := first[id(i)]; twice {
			line := p.places[fmt.Sprintf("%s[%d].id", path, j)].line
			p.at(at, "the id %q is used twice (first on line %d)", "Give each entry an id of its own.", id(i), line)
			continue
		}
		first[id(i)] = i
	}
	known := map[string]bool{}
	for k := range first {
		known[k] = true
	}
	return known
}

func (p *page) terms(path string, list []Term) map[string]bool {
	for i := range list {
		p.requireText(fmt.Sprintf("%s[%d].name", path, i), list[i].Name)
	}
	return p.ids(path, len(list), func(i int) string { return list[i].ID })
}

func (p *page) checkVocabulary(v *Vocabulary) {
	coats := p.ids("vocabulary.coats", len(v.Coats), func(i int) string { return v.Coats[i].ID })
	for i, c := range v.Coats {
		if c.CountsAs != "" && !coats[c.CountsAs] {
			p.at(fmt.Sprintf("vocabulary.coats[%d].counts_as", i), "unknown coat class %q", didYouMean(c.CountsAs, coats), c.CountsAs)
		}
	}
	p.ids("vocabulary.sizes", len(v.Sizes), func(i int) string { return v.Sizes[i].ID })
	for i, s := range v.Sizes {
		last := i == len(v.Sizes)-1
		at := fmt.Sprintf("vocabulary.sizes[%d]", i)
		switch {
		case p.unreadIn("vocabulary.sizes"):
		case i == 0 && s.From != 0:
			p.at(at+".from_kg", "the first size band begins at %v kg", "Begin it at 0, so that every dog has a band.", s.From)
		case i > 0 && s.From != v.Sizes[i-1].To:
			p.at(at+".from_kg", "this band begins at %v kg but the one before ends at %v kg", "Make the bands meet: each begins where the one before ends.", s.From, v.Sizes[i-1].To)
		case !last && s.To <= s.From, last && s.To != 0:
			p.at(at+".to_kg", "this band runs from %v to %v kg", "End it above its beginning; leave to_kg out of the last band only.", s.From, s.To)
		}
	}
	for i, m := range v.Matting {
		if m.Grade != i {
			p.at(fmt.Sprintf("vocabulary.matting[%d].grade", i), "grade %d stands where %d is expected", "Number the grades 0, 1, 2 … in order.", m.Grade, i)
		}
	}
	for i, t := range v.Temperament {
		if t.Grade != i+1 {
			p.at(fmt.Sprintf("vocabulary.temperament[%d].grade", i), "grade %d stands where %d is expected", "Number the grades 1, 2, 3 … in order.", t.Grade, i+1)
		}
	}
	p.terms("vocabulary.services", v.Services)
	p.terms("vocabulary.styles", v.Styles)
	p.terms("vocabulary.comb_test", v.CombTest)
	for _, list := range []struct {
		name    string
		phrases []string
	}{{"keep", v.Phrases.Keep}, {"change", v.Phrases.Change}, {"next", v.Phrases.Next}} {
		for i, phrase := range list.phrases {
			p.requireText(fmt.Sprintf("vocabulary.phrases.%s[%d]", list.name, i), phrase)
		}
	}
	for _, list := range []struct {
		name string
		n    int
	}{{"coats", len(v.Coats)}, {"sizes", len(v.Sizes)}, {"matting", len(v.Matting)}, {"temperament", len(v.Temperament)}, {"services", len(v.Services)}} {
		if list.n == 0 {
			p.at("vocabulary."+list.name, "vocabulary.%s is missing", "List at least one entry.", list.name)
		}
	}
}

func (p *page) checkScales(pr *Programme) {
	for i, l := range pr.Levels {
		if l.Level != i+1 {
			p.at(fmt.Sprintf("levels[%d].level", i), "level %d stands where %d is expected", "List the levels 1 to 5 in order.", l.Level, i+1)
		}
	}
	for i, l := range pr.Permissions {
		at := fmt.Sprintf("permissions[%d]", i)
		if l.Level != i+1 {
			p.at(at+".level", "permission %d stands where %d is expected", "List the permissions 1 to 5 in order.", l.Level, i+1)
		}
		p.levelRange(at+".at_level", l.AtLevel)
	}
	if len(pr.Levels) != TopLevel {
		p.at("levels", "%d levels are described", "Describe all five, L1 to L5.", len(pr.Levels))
	}
	if len(pr.Permissions) != TopLevel {
		p.at("permissions", "%d permissions are described", "Describe all five, P1 to P5.", len(pr.Permissions))
	}
	if c := pr.Currency; !p.unreadIn("currency") && (c.CurrentDays < 1 || c.LapseDays < c.CurrentDays) {
		p.at("currency", "a skill is current for %d days and lapses after %d", "Give current_days at least 1 and lapse_days no less than that.", c.CurrentDays, c.LapseDays)
	}
	if m := pr.Monitor; !p.unreadIn("monitor") && (m.Fault < 1 || m.Alarm < 1) {
		p.at("monitor", "the monitor has fault %d and alarm %d", "Both must be 1 or more.", m.Fault, m.Alarm)
	}
}

func (p *page) levelRange(path string, level int) {
	if level < 0 || level > TopLevel {
		p.at(path, "%s is %d", "Levels run from 1 to 5.", lastName(path), level)
	}
}

func (p *page) checkSkills(pr *Programme) {
	p.ids("units", len(pr.Units), func(i int) string { return pr.Units[i].ID })
	if len(pr.Units) == 0 {
		p.at("units", "the programme has no units", "Add at least one unit with one skill.")
	}
	if len(pr.Evidence) == 0 {
		p.at("evidence_rules", "the programme has no evidence rules", "Add at least one; every skill names the rule it needs.")
	}
	evidence, points := map[string]bool{}, map[string]bool{}
	for _, e := range pr.Evidence {
		evidence[e.ID] = true
	}
	for _, r := range pr.Points {
		points[r.ID] = true
	}
	seen := map[string]string{}
	for i, u := range pr.Units {
		p.requireText(fmt.Sprintf("units[%d].title", i), u.Title)
		if len(u.Skills) == 0 {
			p.at(fmt.Sprintf("units[%d].skills", i), "the unit %q has no skills", "Add a skill or remove the unit.", u.ID)
		}
		for j, s := range u.Skills {
			at := fmt.Sprintf("units[%d].skills[%d]", i, j)
			if p.requireText(at+".id", s.ID) {
				if first, twice := seen[s.ID]; twice {
					p.at(at+".id", "the id %q is used twice (first on line %d)", "Give each skill an id of its own, in all units together.", s.ID, p.places[first].line)
				}
				seen[s.ID] = at + ".id"
			}
			p.requireText(at+".title", s.Title)
			if len(s.Criteria) == 0 {
				p.at(at+".criteria", "the skill %q has no criteria", "Add at least one thing a bystander could answer yes or no.", s.ID)
			}
			if s.IsSafetyCritical() && strings.TrimSpace(s.Caution) == "" {
				p.at(at+".caution", "the safety-critical skill %q has no caution", "Say what the usual caution is.", s.ID)
			}
			if p.requireText(at+".evidence", s.Evidence) && !evidence[s.Evidence] && len(evidence) > 0 {
				p.at(at+".evidence", "unknown evidence rule %q", didYouMean(s.Evidence, evidence), s.Evidence)
			}
			if s.Points == "" {
				continue
			}
			if !points[s.Points] {
				p.at(at+".points", "unknown points rule %q", didYouMean(s.Points, points), s.Points)
			} else if r := pr.EvidenceRule(s.Evidence); r != nil && r.Kind != Observations && slices.Contains(EvidenceKinds, r.Kind) {
				p.at(at+".points", "a points rule cannot run on %s (rule %s)", "Use an evidence rule of kind observations, or remove points.", r.Kind, r.ID)
			}
		}
	}
}

// checkNeeds looks for prerequisites that do not exist or lead back to
// themselves. A cycle is told once, as the path that closes it.
func (p *page) checkNeeds(pr *Programme) {
	known := map[string]bool{}
	place := map[string]string{}
	var order []string
	for i, u := range pr.Units {
		for j, s := range u.Skills {
			known[s.ID] = true
			place[s.ID] = fmt.Sprintf("units[%d].skills[%d].needs", i, j)
			order = append(order, s.ID)
		}
	}
	const unseen, open, done = 0, 1, 2
	state := map[string]int{}
	var walk func(id string, path []string)
	walk = func(id string, path []string) {
		state[id] = open
		path = append(path, id)
		skill := pr.Skill(id)
		for k, need := range skill.Needs {
			at := fmt.Sprintf("%s[%d]", place[id], k)
			switch {
			case slices.Contains(skill.Needs[:k], need):
				p.at(at, "the prerequisite %q stands here twice", "Keep one of the two.", need)
			case !known[need]:
				p.at(at, "unknown prerequisite %q", didYouMean(need, known), need)
			case state[need] == open:
				cycle := append(slices.Clone(path[slices.Index(path, need):]), need)
				if len(cycle) > 24 {
					cycle = slices.Concat(cycle[:12], []string{"…"}, cycle[len(cycle)-12:])
				}
				p.at(at, "prerequisites run in a circle: %s", "Remove one of these steps, so that there is a skill to begin with.", strings.Join(cycle, " → "))
			case state[need] == unseen:
				walk(need, path)
			}
		}
		state[id] = done
	}
	for _, id := range order {
		if state[id] == unseen {
			walk(id, nil)
		}
	}
}

// didYouMean names the closest known word, or all of them when few.
func didYouMean(word string, known map[string]bool) string {
	all := slices.Sorted(maps.Keys(known))
	best := closest(word, all)
	switch {
	case best != "":
		return fmt.Sprintf("Did you mean %q?", best)
	case len(all) == 0:
		return "None is defined in this file yet; define it first."
	case len(all) <= 15:
		return "Use one of: " + strings.Join(all, ", ") + "."
	}
	return "Use an id that is defined in this file."
}

// closest returns the word that one or two changed letters turn this one into,
// or nothing. In long lists and of long words nothing is sought.
func closest(word string, all []string) string {
	const longestWord, longestList = 64, 1000
	best, least := "", 3
	if len(word) > longestWord || len(all) > longestList {
		return ""
	}
	for _, k := range all {
		if len(k) > longestWord {
			continue
		}
		if d := distance(strings.ToLower(word), strings.ToLower(k)); d < least {
			best, least = k, d
		}
	}
	return best
}

// distance is the number of single-letter changes between two words
// (Levenshtein's edit distance).
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := diagonal
			if a[i] != b[j] {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
