package assessment

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"tablehand/curriculum"
)

// MaxNote limits the line of words in a logbook entry, in characters.
const MaxNote = 200

// LateEntryDays is how many days after the work an entry is still one from
// memory of the day; a later one is marked as entered late. Common practice, no
// source: 48 hours.
const LateEntryDays = 2

// LogOutcome is how the work went, as the apprentice tells it.
type LogOutcome uint8

const (
	OutcomeOpen LogOutcome = iota // not said
	AsPlanned
	WentWrong
)

// String returns the words shown to people.
func (o LogOutcome) String() string {
	return [...]string{"Not said", "Went as planned", "Something went wrong"}[o]
}

// LogEntry is what an apprentice writes into their logbook about one dog.
//
// It is their word and no observation: nothing is counted, kept in use or held
// against anybody on one person's word, and a slip of the finger costs nothing.
// It becomes observations when whoever was there countersigns it. That person
// confirms that it was so and judges nothing, which is why the observations stay
// those of a logbook: they earn no points, for which a formal one is needed.
type LogEntry struct {
	Apprentice string // key
	Day        Day
	Dog        string // label
	Coat       string // coat class id
	Grams      int    // weight; 0 when it was not taken
	Skills     []string
	Level      int // L1–L5: how far the work was their own, as they see it
	Outcome    LogOutcome
	Words      string // one line; needed where something went wrong
	Supervisor string // key of who was there or checked the dog; empty when nobody was
}

// LogProblems returns everything that keeps an entry from being taken, in the
// order of the form. today is the day it is entered.
func LogProblems(p *curriculum.Programme, e *LogEntry, today Day) []Problem {
	c := &checker{p: p}
	switch {
	case e.Day == 0:
		c.say("day", "Enter the day of the work, for example 2026-05-20.")
	case e.Day > today:
		c.say("day", "The day, %s, is in the future.", e.Day.Words())
	case e.Day < Earliest:
		c.say("day", "The day, %s, is long ago. Check the year.", e.Day.Words())
	}
	if dogName(e.Dog) == "" {
		c.say("dog", "Give the dog a label, for example its name and the last digits of its card. No owner's name.")
	}
	c.text("dog", "The dog's label", e.Dog, MaxLine)
	c.choose("coat", "the coat class", e.Coat, p.Vocabulary.Coat(e.Coat) != nil)
	if e.Grams < 0 || e.Grams > 150_000 {
		c.say("size_kg", "%v kg is no weight of a dog. Enter kilograms, above 0 and up to 150, or leave it open.", float64(e.Grams)/1000)
	}
	c.logSkills(e)
	if e.Level < 1 || e.Level > curriculum.TopLevel {
		c.say("level", "Choose how far the work was your own, L1 to L5.")
	}
	switch words := strings.TrimSpace(e.Words); {
	case e.Outcome != AsPlanned && e.Outcome != WentWrong:
		c.say("outcome", "Say whether it went as planned.")
	case e.Outcome == WentWrong && words == "":
		c.say("words", "Say in one line what went wrong.")
	}
	if n := utf8.RuneCountInString(e.Words); n > MaxNote {
		c.say("words", "The line has %d characters; keep it to %d.", n, MaxNote)
	}
	return c.found
}

// logSkills checks what was done. A fault belongs to the skill it happened
// under, so an entry that tells of one is about one skill.
func (c *checker) logSkills(e *LogEntry) {
	var known set
	for _, id := range e.Skills {
		switch s := c.p.Skill(id); {
		case s == nil:
			c.say("skill", "The programme does not know %q. Choose skills from the list.", shortened(id))
			return
		case c.p.Rubric.CriterionOf(id) == nil:
			c.say("skill", "%s is not shown on a dog: an assessor records a rehearsal or a check of it.", s.Title)
			return
		}
		known.add(id)
	}
	switch {
	case len(known) == 0:
		c.say("skill", "Choose what you did, at least one skill.")
	case len(known) < len(e.Skills):
		c.say("skill", "A skill is chosen twice. Choose each one once.")
	case e.Outcome == WentWrong && len(known) > 1:
		c.say("skill", "Something went wrong, and %d skills are chosen. Enter that skill by itself, and the others as another entry.", len(known))
	}
}

// Late reports whether an entry was made too long after the work to be one from
// memory of the day.
func (e *LogEntry) Late(entered Day) bool { return entered-e.Day > LateEntryDays }

// Observations returns what a countersigned entry shows of each skill. A fault is
// below the level of a clean one, whatever else was said of it. Work that went as
// planned with help is practice: neither a fault nor the skill in use, so it is
// kept in the logbook and shows nothing.
func (e *LogEntry) Observations(p *curriculum.Programme, countersigner string) []Observation {
	level := e.Level
	switch {
	case e.Outcome == WentWrong:
		level = min(level, curriculum.CleanLevel-1)
	case level < curriculum.CleanLevel:
		return nil
	}
	size := ""
	if e.Grams > 0 {
		if s := p.Vocabulary.SizeOf(float64(e.Grams) / 1000); s != nil {
			size = s.ID
		}
	}
	out := make([]Observation, 0, len(e.Skills))
	for _, skill := range e.Skills {
		out = append(out, Observation{Skill: skill, Assessor: countersigner, Day: e.Day, Source: Logbook, Level: int8(level), Dog: e.Dog, Coat: e.Coat, Size: size})
	}
	return out
}

// Effect says what countersigning the entry does.
func (e *LogEntry) Effect() string {
	switch {
	case e.Outcome == WentWrong:
		return "Countersigned, it is a fault that was told: it costs as many points as any other fault."
	case e.Level < curriculum.CleanLevel:
		return "Countersigned, it is practice with help: it earns nothing and costs nothing."
	}
	return "Countersigned, it shows that what was done is in use. It earns no points."
}

// LogDecision is where a logbook entry stands.
type LogDecision uint8

const (
	OwnWord LogDecision = iota // the apprentice's word, and nobody else's yet
	Countersigned
	NotSo
)

// LogDecisions lists every decision in the order of a legend.
var LogDecisions = []LogDecision{OwnWord, Countersigned, NotSo}

// String returns the words shown to people.
func (d LogDecision) String() string {
	return [...]string{"Own word", "Countersigned", "Not as it was"}[d]
}

// RefuseLogDecision returns why this person may not countersign the entry, or say
// that it was not so, or nothing. Only who was there knows.
func RefuseLogDecision(e *LogEntry, d LogDecision, person string, role Role) string {
	switch {
	case d != OwnWord:
		return "This entry has been decided on already."
	case e.Supervisor == "":
		return "Nobody was there, as this entry tells it, so nobody countersigns it."
	case person == e.Apprentice || person != e.Supervisor || !role.Judges():
		return "Whoever was there countersigns an entry. This one names somebody else."
	}
	return ""
}

// CountersignProblem returns what keeps these entries from being countersigned
// together, or nothing.
func CountersignProblem(keys []string) string {
	if len(keys) == 0 {
		return "Tick at least one entry that you can vouch for."
	}
	if sorted := slices.Sorted(slices.Values(keys)); len(slices.Compact(sorted)) < len(keys) {
		return fmt.Sprintf("One of the %d entries is ticked twice. Load the page again.", len(keys))
	}
	return ""
}
