package assessment

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"tablehand/curriculum"
)

// Problem is one thing that has to be put right before a groom can be signed.
// Field is the name of the form field it is about.
type Problem struct{ Field, Message string }

// MaxText and MaxLine limit what is kept of a text, in characters.
const (
	MaxText = 2000
	MaxLine = 80
)

// Problems returns everything that keeps a groom from being signed.
func Problems(p *curriculum.Programme, g *Groom, today Day) []Problem {
	c := &checker{p: p, g: g}
	c.dog(today)
	c.brief()
	c.levels()
	for i, in := range g.Incidents {
		c.incident(i, in)
	}
	return c.found
}

type checker struct {
	p     *curriculum.Programme
	g     *Groom
	found []Problem
}

func (c *checker) say(field, format string, args ...any) {
	c.found = append(c.found, Problem{field, fmt.Sprintf(format, args...)})
}

func (c *checker) text(field, name, value string, limit int) {
	if n := utf8.RuneCountInString(value); n > limit {
		c.say(field, "%s has %d characters; keep it to %d.", name, n, limit)
	}
}

func (c *checker) dog(today Day) {
	g, v := c.g, &c.p.Vocabulary
	if g.Apprentice == "" {
		c.say("apprentice", "Choose the apprentice who groomed.")
	} else if g.Apprentice == g.Assessor {
		c.say("apprentice", "Nobody assesses their own groom. Choose another apprentice, or let another assessor mark it.")
	}
	switch {
	case g.Day == 0:
		c.say("day", "Enter the day of the groom, for example 2026-05-20.")
	case g.Day > today:
		c.say("day", "The day of the groom, %s, is in the future.", g.Day.Words())
	}
	if g.Start != NoClock && g.Stop != NoClock && g.Stop <= g.Start {
		c.say("stop", "The groom stops at %s, before it starts at %s.", g.Stop, g.Start)
	}
	if strings.TrimSpace(g.Dog) == "" {
		c.say("dog", "Give the dog a label, for example its name and the last digits of its card. No owner's name.")
	}
	c.text("dog", "The dog's label", g.Dog, MaxLine)
	if v.Coat(g.Coat) == nil {
		c.say("coat", "Choose the coat class.")
	}
	if g.Grams <= 0 || g.Grams > 150_000 {
		c.say("size_kg", "Enter the dog's weight in kilograms, above 0 and up to 150, for example 12.5.")
	}
	if g.Matting < 0 || g.Matting >= len(v.Matting) {
		c.say("matting", "Choose the matting grade.")
	}
	if g.Temperament < 1 || g.Temperament > len(v.Temperament) {
		c.say("temperament", "Choose the temperament.")
	}
	if !knownTerm(v.Services, g.Service) {
		c.say("service", "Choose the service.")
	}
	if g.Style != "" && !knownTerm(v.Styles, g.Style) {
		c.say("style", "Choose a style from the list.")
	}
}

func (c *checker) brief() {
	b := &c.g.Brief
	if strings.TrimSpace(b.Asked) == "" {
		c.say("asked", "Write what the owner asked for, in a few words.")
	}
	for _, t := range []struct{ field, name, value string }{
		{"asked", "What the owner asked for", b.Asked}, {"coat_allows", "What the coat allows", b.CoatAllows},
		{"agreed", "What was agreed", b.Agreed}, {"agreed_why", "The reason", b.Why}, {"leave_alone", "What to leave alone", b.LeaveAlone},
		{"comb_note", "The comb test note", c.g.CombNote}, {"help", "Help given", c.g.Help},
		{"keep", "What to keep", c.g.Keep}, {"change", "What to change", c.g.Change}, {"next", "What comes next", c.g.Next},
	} {
		c.text(t.field, t.name, t.value, MaxText)
	}
	if strings.TrimSpace(b.Agreed) != "" && strings.TrimSpace(b.Why) == "" {
		c.say("agreed_why", "Say why something other than the brief was agreed.")
	}
	if b.Weeks < 0 || b.Weeks > 104 {
		c.say("weeks_until_next", "Enter the weeks until the next visit, from 1 to 104.")
	}
	if c.g.Share > 100 || c.g.Share < -1 {
		c.say("share", "Enter the apprentice's share of the work, from 0 to 100 per cent.")
	}
}

func (c *checker) levels() {
	seen := false
	for i := range c.p.Rubric.Criteria {
		cr := &c.p.Rubric.Criteria[i]
		m := c.g.Marks[cr.ID]
		switch {
		case m.NotApplicable && cr.NotApplicable == "":
			c.say("level."+cr.ID, "%s always applies. Give it a level, or leave it open if you did not see it.", cr.Title)
		case m.Level < 0 || m.Level > curriculum.TopLevel:
			c.say("level."+cr.ID, "%s has no level %d; levels run from L1 to L5.", cr.Title, m.Level)
		}
		seen = seen || m.Level > 0
		for _, id := range slices.Concat(cr.Skills, cr.SkillsIfSeen) {
			level := c.g.Skills[id]
			seen = seen || level > 0
			if level < Unseen || level > curriculum.TopLevel {
				c.say("skill."+id, "%s has no level %d; levels run from L1 to L5.", c.p.Skill(id).Title, level)
			}
			if level > 0 && (m.NotApplicable || m.Level == 0) {
				c.say("level."+cr.ID, "%s has a level, so %s was seen: give the criterion a level too.", c.p.Skill(id).Title, lowerFirst(cr.Title))
			}
		}
	}
	if !seen {
		c.say("level."+c.p.Rubric.Criteria[0].ID, "Give at least one level.")
	}
	if clips := c.p.Rubric.CriterionOf("CL2"); clips != nil && c.g.Marks[clips.ID].Level > 0 {
		if len(c.g.CombTest) < len(c.p.Vocabulary.CombTest) && strings.TrimSpace(c.g.CombNote) == "" {
			c.say("prep", "Clipping is rated, so record the comb test: tick each place where the comb passed, and write what was found where it did not.")
		}
	}
}

func (c *checker) incident(i int, in Incident) {
	field := func(name string) string { return fmt.Sprintf("incident.%d.%s", i, name) }
	ip := &c.p.Incidents
	if !knownTerm(ip.Kinds, in.Kind) {
		c.say(field("kind"), "Choose what happened.")
	}
	if ip.Severity(in.Severity) == nil {
		c.say(field("severity"), "Choose how grave it was.")
	}
	if !knownTerm(ip.Attributions, in.Attribution) {
		c.say(field("attribution"), "Choose whose act caused it, before any effect is worked out.")
	}
	if c.p.Skill(in.Skill) == nil {
		c.say(field("skill"), "Choose the skill it happened under.")
	}
	c.text(field("note"), "The note", in.Note, MaxText)
}

func knownTerm(list []curriculum.Term, id string) bool {
	return slices.ContainsFunc(list, func(t curriculum.Term) bool { return t.ID == id })
}
