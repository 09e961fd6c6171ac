package assessment

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// AcknowledgeDays is how many days after a groom its apprentice is asked to say
// that they have read the marks. They may say it later too, unasked. Common
// practice, no source.
const AcknowledgeDays = 28

// Acknowledgement is what an apprentice says to the marks of a groom. That they
// were read and that they are agreed with are two things: who has only read them
// has agreed to nothing. Neither changes a mark.
type Acknowledgement struct {
	Disagrees bool
	Words     string // needed to disagree, free otherwise
}

// Reader is the person who would acknowledge the marks of a groom.
type Reader struct {
	Groom     *Groom
	Person    string            // key
	Opened    bool              // the marks have been shown to them
	Corrected bool              // a newer version of the groom stands instead
	Said      []Acknowledgement // by them before, about this groom
}

// Refuse returns why this may not be said, or nothing. The marks are read once
// and disagreed with once; who has read them may disagree later, on reflection.
func (r *Reader) Refuse(in Acknowledgement) string {
	if r.Person != r.Groom.Apprentice {
		return "Only the apprentice who groomed says that they have read the marks."
	}
	if r.Corrected {
		return "This version was replaced. Look at the newer one, and say it there."
	}
	if !r.Opened {
		return "The marks have not been shown to you yet. Look at them first."
	}
	for _, a := range r.Said {
		switch {
		case a.Disagrees:
			return "You have disagreed with these marks already. What you wrote stays."
		case !in.Disagrees:
			return "You have said already that you have read these marks."
		}
	}
	if in.Disagrees && strings.TrimSpace(in.Words) == "" {
		return "Say what you see differently, in your own words."
	}
	return tooLong(in.Words)
}

// Disagreement is one that somebody would answer.
type Disagreement struct {
	Apprentice string // key of who disagrees
	Answered   bool
	Corrected  bool // the groom was corrected since
}

// Refuse returns why this person may not answer, or nothing. It is answered once;
// a groom that was wrong is corrected instead.
func (d *Disagreement) Refuse(person string, role Role, words string) string {
	switch {
	case person == d.Apprentice || !role.Judges():
		return "Only a head groomer or an assessor answers a disagreement."
	case d.Answered:
		return "This has been answered already."
	case d.Corrected:
		return "The groom was corrected since; the newer version is the answer."
	case strings.TrimSpace(words) == "":
		return "Answer in a sentence or two. The apprentice reads it."
	}
	return tooLong(words)
}

func tooLong(words string) string {
	if n := utf8.RuneCountInString(words); n > MaxText {
		return fmt.Sprintf("This text has %d characters; keep it to %d.", n, MaxText)
	}
	return ""
}
