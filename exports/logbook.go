package exports

import (
	"strings"

	"tablehand/assessment"
)

// LogEntry is one logbook entry and whose word it is, without the line that the
// apprentice wrote and the reason why it was not so.
type LogEntry struct {
	Apprentice string // key
	Day        assessment.Day
	Entered    assessment.Day
	Dog        string
	Coat       string // coat class id
	Grams      int    // weight; 0 when it was not taken
	Skills     []string
	Level      int // L1–L5, as the apprentice sees it
	Outcome    assessment.LogOutcome
	Supervisor string // key of who was there, as the apprentice says; empty when nobody was
	Decision   assessment.LogDecision
	DecidedBy  string         // key
	Decided    assessment.Day // zero while it is the apprentice's word
}

func logbookSheet() *sheet {
	return &sheet{name: "Logbook", fixed: 2, fitted: true, columns: []column{
		{title: "Apprentice", width: 18, meaning: "Whose logbook it is", source: "record"},
		{title: "Day", width: 11, as: asDate, unit: "date", values: "ISO date", meaning: "Day of the work", source: "record"},
		{title: "Entered on", width: 11, as: asDate, unit: "date", values: "ISO date", meaning: "Day it was entered", source: "record"},
		{title: "Whose word", width: 28, values: "Own word, not countersigned; Countersigned; Not as it was", meaning: "Whether whoever was there has countersigned it. Only what was countersigned is among the observations.", source: "record"},
		{title: "Skills", width: 26, as: asWrapped, values: "skill ids", meaning: "What was done", source: "record"},
		{title: "Level", width: 7, as: asCount, unit: "level", values: "1 to 5", meaning: "How far it was the apprentice's own work, as they see it", source: "record"},
		{title: "How it went", width: 22, values: "Went as planned, Something went wrong", meaning: "As the apprentice tells it", source: "record"},
		{title: "Dog", width: 14, meaning: "Label of the dog", source: "record"},
		{title: "Coat", width: 7, values: "coat class id", meaning: "Coat class", source: "record"},
		{title: "Weight", width: 8, as: asKilos, unit: "kg", values: "empty when it was not taken", meaning: "Weight of the dog", source: "record"},
		{title: "There", width: 20, values: "empty when nobody was", meaning: "Who was there or checked the dog, as the apprentice says", source: "record"},
		{title: "Decided by", width: 20, meaning: "Who countersigned it, or said that it was not so", source: "record"},
		{title: "Decided on", width: 11, as: asDate, unit: "date", values: "ISO date; empty while it is the apprentice's word", meaning: "Day of that", source: "record"},
	}}
}

func (wb *workbook) writeLogbook() error {
	p, err := wb.beginTable(wb.logbook)
	if err != nil {
		return err
	}
	err = each(wb.book.Logbook, func(e *LogEntry) error {
		word, weight := e.Decision.String(), any(nil)
		if e.Decision == assessment.OwnWord {
			word += ", not countersigned"
		}
		if e.Grams > 0 {
			weight = float64(e.Grams) / 1000
		}
		p.cells = append(p.cells, wb.apprentice(e.Apprentice), day(e.Day), day(e.Entered), word, text(strings.Join(e.Skills, " ")), e.Level, e.Outcome.String(),
			text(e.Dog), text(e.Coat), weight, wb.person(e.Supervisor), wb.person(e.DecidedBy), day(e.Decided))
		return p.end()
	})
	if err != nil {
		return err
	}
	return p.close()
}
