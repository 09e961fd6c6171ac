package demo

import (
	"fmt"

	"tablehand/assessment"
	"tablehand/server/store"
)

// readFrom and readTo bound, in days before now, the grooms whose apprentice has
// looked at the marks; newer ones are still to be rated by them.
const readFrom, readTo = 26, 4

// planReading lets an apprentice look at the marks of a groom in the evening.
func (s *salon) planReading(l *learner, day assessment.Day, key string) {
	if day < s.today-readFrom || day > s.today-readTo {
		return
	}
	s.agenda.plan(s.at(day, 19*60+5), func() error { return s.read(l, key) })
}

// remarks are what apprentices say to marks that they have read.
var remarks = []string{"", "", "Seen. I will try the order card.", "Thank you, that helps with the feet.", "I did not notice the loop. I will look out for it.", ""}

const disagreement = "The owner and I agreed on the shorter comb while you were on the telephone. I see the match with the brief one level higher."

// read rates the own work first, as most do, and says that the marks were read. A
// few are left unread.
func (s *salon) read(l *learner, key string) error {
	sc, err := s.st.ScopeOf(s.ctx, l.key)
	if err != nil {
		return err
	}
	g, err := s.st.Groom(s.ctx, sc, key)
	if err != nil {
		return err
	}
	brief := g.Groom.Marks["R11"].Level
	disagrees := l.story.disagrees && !l.done["disagrees"] && brief > 0 && brief < 5
	if chance(s.own, 0.8) || disagrees {
		levels := map[string]int{}
		for i := range s.prog.Rubric.Criteria {
			if m := g.Groom.Marks[s.prog.Rubric.Criteria[i].ID]; m.Level > 0 {
				levels[s.prog.Rubric.Criteria[i].ID] = min(5, max(1, m.Level+[]int{-1, 0, 0, 0, 1}[s.own.IntN(5)]))
			}
		}
		if disagrees {
			levels["R11"] = brief + 1
		}
		if _, err := s.st.RateSelf(s.ctx, sc, key, levels, ""); err != nil {
			return err
		}
	} else if err := s.st.Open(s.ctx, sc, key); err != nil {
		return err
	}
	in := assessment.Acknowledgement{Words: pick(s.own, remarks)}
	switch {
	case disagrees:
		l.done["disagrees"] = true
		in = assessment.Acknowledgement{Disagrees: true, Words: disagreement}
	case chance(s.own, 0.25):
		return nil
	}
	_, err = s.st.Acknowledge(s.ctx, sc, key, in, "")
	return err
}

// logged is one logbook entry of the last days.
type logged struct {
	login   string
	ago     assessment.Day // days before now
	skills  []string
	level   int
	wrong   bool
	words   string
	there   int    // judge who was there; −1 for nobody
	decided int    // how many days later it was decided on; 0 while it waits
	denied  string // why it was not so; empty where it was countersigned
}

var logbook = []logged{
	{"tamsin", 9, []string{"CL2", "CL9"}, 5, false, "Comb came loose once, seated it again.", 1, 1, ""},
	{"tamsin", 3, []string{"CL7"}, 5, false, "", -1, 0, ""},
	{"tamsin", 1, []string{"SC5"}, 4, false, "Head done without a word, visor checked from three sides.", 0, 0, ""},
	{"elowen", 7, []string{"BA3", "DR1"}, 4, false, "", 2, 1, ""},
	{"elowen", 1, []string{"HR6"}, 3, false, "Old dog, two breaks, Odile told me when to stop.", 0, 0, ""},
	{"kwabena", 6, []string{"NE1"}, 5, false, "", 1, 1, "You held the paws and I cut the nails, all but two."},
	{"linnea", 4, []string{"CO3"}, 3, true, "A knot behind the ear was found at hand-back.", 1, 2, ""},
	{"linnea", 1, []string{"BA1", "BA3", "BA4"}, 4, false, "", 0, 0, ""},
	{"bo", 1, []string{"HC3", "CO1"}, 2, false, "Hesper led, I combed.", 0, 0, ""},
}

// planLogbook plans every entry for the evening of its day, and its decision for
// the morning of a later one. All of it is after the last review of a record.
func (s *salon) planLogbook() {
	for _, e := range logbook {
		for _, l := range s.learners {
			if l.login == e.login {
				day := openUntil(s.today - e.ago)
				s.agenda.plan(s.at(day, 18*60+45), func() error { return s.log(l, e, day) })
			}
		}
	}
}

func (s *salon) log(l *learner, e logged, day assessment.Day) error {
	sc, err := s.st.ScopeOf(s.ctx, l.key)
	if err != nil {
		return err
	}
	d := pick(s.own, s.dogs)
	in := assessment.LogEntry{Day: day, Dog: d.label, Coat: d.coat, Grams: d.grams, Skills: e.skills, Level: e.level, Outcome: assessment.AsPlanned, Words: e.words}
	if e.wrong {
		in.Outcome = assessment.WentWrong
	}
	if e.there >= 0 {
		in.Supervisor = s.judges[e.there].Key
	}
	if _, err = s.st.AddLogEntry(s.ctx, sc, in, ""); err != nil {
		return fmt.Errorf("logbook of %s: %w", l.name, err)
	}
	if e.decided == 0 {
		return nil
	}
	list, err := s.st.LogEntries(s.ctx, sc, store.LogFilter{Apprentice: l.key, Limit: 1})
	if err != nil {
		return err
	}
	at := s.at(openFrom(day+assessment.Day(e.decided)), 8*60+10)
	if at.After(s.now) { // over a weekend it still waits
		return nil
	}
	s.agenda.plan(at, func() error {
		j := s.judges[e.there].Scope
		if e.denied != "" {
			_, err := s.st.DenyLogEntry(s.ctx, j, list[0].Key, e.denied, "")
			return err
		}
		_, err := s.st.Countersign(s.ctx, j, []string{list[0].Key}, "")
		return err
	})
	return nil
}
