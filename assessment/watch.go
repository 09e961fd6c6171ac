package assessment

import (
	"fmt"

	"tablehand/assessment/sequence"
)

// Watch is what has been seen since a sign-off: a count that rises with each
// fault and falls with each clean observation, and asks for a talk when it comes
// too high.
type Watch struct {
	Seen, Faults int // observations since the sign-off, or since the last review of it
	Score        int // 0 up to Alarm
	Alarm        int
}

// Words tells what has been seen since sign-off.
func (w *Watch) Words() string {
	switch {
	case w.Seen == 0:
		return "Nothing has been seen since sign-off yet."
	case w.Faults == 0:
		return fmt.Sprintf("%s since sign-off, all clean.", plural(w.Seen, "observation"))
	}
	say := fmt.Sprintf("%s since sign-off, %d not clean.", plural(w.Seen, "observation"), w.Faults)
	if w.Score == 0 {
		return say + " The faults lie far enough apart."
	}
	return fmt.Sprintf("%s The count stands at %d; at %d it is talked over together.", say, w.Score, w.Alarm)
}

// WatchWords tells how often the watch calls without a reason, and how soon it
// notices one: exact means at an acceptable and an unacceptable fault rate.
func WatchWords(m sequence.Monitor, competent, unacceptable float64) string {
	return fmt.Sprintf("Somebody whose fault rate is %s would be called for nothing once in %.0f observations on average; somebody at %s is noticed after %.1f.",
		percent(competent), m.MeanToAlarm(competent), percent(unacceptable), m.MeanToAlarm(unacceptable))
}
