package assessment

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
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

// MaxIncidents is the most incidents that one groom takes.
const MaxIncidents = 5

// Earliest is the first day that is taken for the day of a groom, a check or a
// policy; one before it is a slip in the year.
var Earliest = Date(2000, time.January, 1)

// Problems returns everything that keeps a groom from being signed, in the order
// of the form. today is the day it would be signed.
func Problems(p *curriculum.Programme, g *Groom, today Day) []Problem {
	c := &checker{p: p, g: g, levels: skillLevels(p, g)}
	c.people()
	c.time(today)
	c.dog()
	c.brief()
	c.combTest()
	for i := range p.Rubric.Criteria {
		c.criterion(&p.Rubric.Criteria[i])
	}
	c.strangers()
	c.anyLevel()
	if g.Global < 0 || g.Global > curriculum.TopLevel {
		c.say("global", "There is no overall impression %d. Choose one from 1 to 5, or leave it open.", g.Global)
	}
	if n := len(g.Incidents); n > MaxIncidents {
		c.say("incidents", "%d incidents are told. One groom takes %d; put what belongs together into one.", n, MaxIncidents)
	}
	for i, in := range g.Incidents[:min(len(g.Incidents), MaxIncidents)] {
		c.incident(i, in)
	}
	c.feedback()
	return c.found
}

type checker struct {
	p      *curriculum.Programme
	g      *Groom
	levels map[string]int // of each skill that was rated
	found  []Problem
}

func (c *checker) say(field, format string, args ...any) {
	c.found = append(c.found, Problem{field, fmt.Sprintf(format, args...)})
}

func (c *checker) text(field, name, value string, limit int) {
	if n := utf8.RuneCountInString(value); n > limit {
		c.say(field, "%s has %d characters; keep it to %d.", name, n, limit)
	}
}

// words is a text of the form.
type words struct{ field, name, value string }

func (c *checker) texts(limit int, list ...words) {
	for _, w := range list {
		c.text(w.field, w.name, w.value, limit)
	}
}

// choose tells of a word that is not in the programme's own list.
func (c *checker) choose(field, what, id string, known bool) {
	switch {
	case known:
	case id == "":
		c.say(field, "Choose %s.", what)
	default:
		c.say(field, "The programme does not know %q. Choose %s from the list.", shortened(id), what)
	}
}

// shortened is the beginning of a text that is repeated in a message.
func shortened(s string) string {
	if r := []rune(s); len(r) > MaxLine/2 {
		return string(r[:MaxLine/2]) + "…"
	}
	return s
}

// people checks the keys. Whether they lead to somebody, and to a groom of this
// salon, is known where the record is kept.
func (c *checker) people() {
	g := c.g
	if g.Apprentice == "" {
		c.say("apprentice", "Choose the apprentice who groomed.")
	} else if g.Apprentice == g.Assessor {
		c.say("apprentice", "Nobody assesses their own groom. Choose another apprentice, or let another assessor mark it.")
	}
	if g.Assessor == "" {
		c.say("assessor", "Nobody is named as the assessor. Sign in as the person who watched.")
	}
	c.texts(MaxLine, words{"apprentice", "The key of the apprentice", g.Apprentice}, words{"assessor", "The key of the assessor", g.Assessor},
		words{"second_of", "The key of the groom that is rated a second time", g.SecondOf}, words{"supersedes", "The key of the groom that is corrected", g.Supersedes})
	c.texts(MaxText, words{"because", "Why it is corrected", g.Because})
}

func (c *checker) time(today Day) {
	g := c.g
	switch {
	case g.Day == 0:
		c.say("day", "Enter the day of the groom, for example 2026-05-20.")
	case g.Day > today:
		c.say("day", "The day of the groom, %s, is in the future.", g.Day.Words())
	case g.Day < Earliest:
		c.say("day", "The day of the groom, %s, is long ago. Check the year.", g.Day.Words())
	}
	times := true
	for _, t := range []struct {
		field, name string
		at          Clock
	}{{"start", "starts", g.Start}, {"stop", "stops", g.Stop}} {
		if t.at < NoClock || t.at >= endOfDay {
			times = false
			c.say(t.field, "The groom %s at minute %d of the day. Enter a time from 00:00 to 23:59, for example 14:05.", t.name, int(t.at))
		}
	}
	if times && g.Start != NoClock && g.Stop != NoClock && g.Stop <= g.Start {
		c.say("stop", "The groom stops at %s, before it starts at %s.", g.Stop, g.Start)
		times = false
	}
	switch {
	case g.Breaks < 0:
		c.say("breaks", "Breaks of %d minutes are none. Enter the minutes in which nobody groomed, or nothing.", g.Breaks)
	case g.Breaks > 0 && (g.Start == NoClock || g.Stop == NoClock):
		c.say("breaks", "There are breaks of %d minutes, but no start and finish. Enter both times, or no breaks.", g.Breaks)
	case g.Breaks > 0 && times && g.Breaks >= int(g.Stop-g.Start):
		c.say("breaks", "The breaks take %d minutes, which is the whole time from %s to %s. Look at the three again.", g.Breaks, g.Start, g.Stop)
	}
}

func (c *checker) dog() {
	g, v := c.g, &c.p.Vocabulary
	if dogName(g.Dog) == "" {
		c.say("dog", "Give the dog a label, for example its name and the last digits of its card. No owner's name.")
	}
	c.text("dog", "The dog's label", g.Dog, MaxLine)
	c.choose("coat", "the coat class", g.Coat, v.Coat(g.Coat) != nil)
	switch {
	case g.Grams == 0:
		c.say("size_kg", "Enter the dog's weight in kilograms, above 0 and up to 150, for example 12.5.")
	case g.Grams < 0 || g.Grams > 150_000:
		c.say("size_kg", "%v kg is no weight of a dog. Enter kilograms, above 0 and up to 150, for example 12.5.", float64(g.Grams)/1000)
	}
	switch n := len(v.Matting); {
	case g.Matting == -1:
		c.say("matting", "Choose the matting grade.")
	case g.Matting < 0 || g.Matting >= n:
		c.say("matting", "There is no matting grade %d. Choose one from 0 to %d.", g.Matting, n-1)
	}
	switch n := len(v.Temperament); {
	case g.Temperament == 0:
		c.say("temperament", "Choose the temperament.")
	case g.Temperament < 1 || g.Temperament > n:
		c.say("temperament", "There is no temperament %d. Choose one from 1 to %d.", g.Temperament, n)
	}
	c.choose("service", "the service", g.Service, knownTerm(v.Services, g.Service))
	c.choose("style", "a style", g.Style, g.Style == "" || knownTerm(v.Styles, g.Style))
}

func (c *checker) brief() {
	b := &c.g.Brief
	if strings.TrimSpace(b.Asked) == "" {
		c.say("asked", "Write what the owner asked for, in a few words.")
	}
	c.texts(MaxText, words{"asked", "What the owner asked for", b.Asked}, words{"coat_allows", "What the coat allows", b.CoatAllows},
		words{"agreed", "What was agreed", b.Agreed}, words{"agreed_why", "The reason", b.Why}, words{"leave_alone", "What to leave alone", b.LeaveAlone})
	if strings.TrimSpace(b.Agreed) != "" && strings.TrimSpace(b.Why) == "" {
		c.say("agreed_why", "Say why something other than the brief was agreed.")
	}
	if b.Weeks < 0 || b.Weeks > 104 {
		c.say("weeks_until_next", "The next visit is %d weeks away. Enter the weeks until then, from 1 to 104.", b.Weeks)
	}
}

// criterion checks a criterion and the skills under it.
func (c *checker) criterion(cr *curriculum.Criterion) {
	m := c.g.Marks[cr.ID]
	switch {
	case m.NotApplicable && cr.NotApplicable == "":
		c.say("level."+cr.ID, "%s always applies. Give it a level, or leave it open if you did not see it.", cr.Title)
	case m.Level < 0 || m.Level > curriculum.TopLevel:
		c.say("level."+cr.ID, "%s has no level %d; levels run from L1 to L5.", cr.Title, m.Level)
	case m.NotApplicable && m.Level > 0:
		c.say("level."+cr.ID, "%s has the level L%d and is marked as not applicable. Keep one of the two.", cr.Title, m.Level)
	}
	c.text("na_reason."+cr.ID, "The reason why it does not apply", m.Reason, MaxText)
	for _, id := range slices.Concat(cr.Skills, cr.SkillsIfSeen) {
		level, own := c.g.Skills[id]
		if own && level != Unseen && (level < 1 || level > curriculum.TopLevel) {
			c.say("skill."+id, "%s has no level %d; levels run from L1 to L5.", c.p.Skill(id).Title, level)
		}
		if level > 0 && (m.NotApplicable || m.Level == 0) {
			c.say("level."+cr.ID, "%s has a level, so %s was seen: give the criterion a level too.", c.p.Skill(id).Title, lowerFirst(cr.Title))
		}
	}
}

// strangers tells of levels for what the rubric does not show. They would be
// lost, or make an observation that nobody could have made.
func (c *checker) strangers() {
	for _, id := range slices.Sorted(maps.Keys(c.g.Marks)) {
		if c.p.Rubric.Criterion(id) == nil {
			c.say("level."+shortened(id), "The rubric has no criterion %q. Take its level out.", shortened(id))
		}
	}
	for _, id := range slices.Sorted(maps.Keys(c.g.Skills)) {
		if c.p.Rubric.CriterionOf(id) == nil {
			c.say("skill."+shortened(id), "The rubric does not show the skill %q in a groom. Take its level out.", shortened(id))
		}
	}
}

func (c *checker) anyLevel() {
	for _, m := range c.g.Marks {
		if m.Level > 0 {
			return
		}
	}
	for _, level := range c.g.Skills {
		if level > 0 {
			return
		}
	}
	c.say("level."+c.p.Rubric.Criteria[0].ID, "Give at least one level.")
}

func (c *checker) combTest() {
	c.text("comb_note", "The comb test note", c.g.CombNote, MaxText)
	places := c.p.Vocabulary.CombTest
	var passed set
	for _, place := range c.g.CombTest {
		if !knownTerm(places, place) {
			c.say("prep", "The comb test has no place %q. Tick places from the list.", shortened(place))
			return
		}
		passed.add(place)
	}
	if len(passed) < len(c.g.CombTest) {
		c.say("prep", "A place of the comb test is ticked twice. Tick each one once.")
		return
	}
	if clips := c.p.Rubric.CriterionOf("CL2"); clips != nil && c.g.Marks[clips.ID].Level > 0 {
		if len(passed) < len(places) && strings.TrimSpace(c.g.CombNote) == "" {
			c.say("prep", "Clipping is rated, so record the comb test: tick each place where the comb passed, and write what was found where it did not.")
		}
	}
}

func (c *checker) feedback() {
	g := c.g
	c.text("help", "Help given", g.Help, MaxText)
	if g.Share < -1 || g.Share > 100 {
		c.say("share", "The share is %d per cent. Enter the apprentice's share of the work, from 0 to 100.", g.Share)
	}
	c.texts(MaxText, words{"keep", "What to keep", g.Keep}, words{"change", "What to change", g.Change}, words{"next", "What comes next", g.Next})
}

func (c *checker) incident(i int, in Incident) {
	field := func(name string) string { return fmt.Sprintf("incident.%d.%s", i, name) }
	ip := &c.p.Incidents
	s, skill := ip.Severity(in.Severity), c.p.Skill(in.Skill)
	c.choose(field("kind"), "what happened", in.Kind, knownTerm(ip.Kinds, in.Kind))
	c.choose(field("severity"), "how grave it was", in.Severity, s != nil)
	if in.Attribution == "" {
		c.say(field("attribution"), "Choose whose act caused it, before any effect is worked out.")
	} else {
		c.choose(field("attribution"), "whose act caused it", in.Attribution, knownTerm(ip.Attributions, in.Attribution))
	}
	c.choose(field("skill"), "the skill it happened under", in.Skill, skill != nil)
	// Without an observation of the skill, what the apprentice caused would
	// change nothing. A near miss changes nothing anyhow: telling of it stays easy.
	if s != nil && skill != nil && !s.SparesReport && ip.CountsAgainst(in.Attribution) && c.p.Rubric.CriterionOf(skill.ID) != nil && c.levels[skill.ID] < 1 {
		c.say(field("skill"), "The incident happened under %q, so that was done: give it a level, or choose another skill.", skill.Title)
	}
	c.text(field("note"), "The note", in.Note, MaxText)
}

func knownTerm(list []curriculum.Term, id string) bool {
	return slices.ContainsFunc(list, func(t curriculum.Term) bool { return t.ID == id })
}
