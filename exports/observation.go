package exports

import (
	"iter"

	"tablehand/assessment"
)

// Observation is one dated judgement of one skill, and what became of it.
type Observation struct {
	Apprentice, Skill string // key; skill id
	Groom             string // reference; empty for other sources
	Day               assessment.Day
	Source            assessment.Source
	Level             int // L1–L5; 0 for a knowledge check
	Percent           int // result of a knowledge check, 0–100
	Verdict           assessment.Verdict
	Counted           bool
	Why               assessment.Exclusion // why not counted
	Dog               string
	Coat, Size, Style string // ids
	Assessor          string // key
	Severity          string // worst incident under the skill, or empty
	Attribution       string // whose act caused it
}

// ObservationsOf lists every observation behind the standings of some
// apprentices. ref turns the key of a groom into its reference; nil keeps the
// key.
func ObservationsOf(list []Apprentice, ref func(key string) string) iter.Seq2[Observation, error] {
	if ref == nil {
		ref = func(key string) string { return key }
	}
	return func(yield func(Observation, error) bool) {
		for _, a := range list {
			for i := range a.Standings {
				for _, u := range a.Standings[i].Used {
					if !yield(observationOf(a.Key, u, ref), nil) {
						return
					}
				}
			}
		}
	}
}

func observationOf(apprentice string, u assessment.Used, ref func(string) string) Observation {
	o := u.Observation
	row := Observation{Apprentice: apprentice, Skill: o.Skill, Day: o.Day, Source: o.Source, Level: int(o.Level), Percent: int(o.Percent),
		Verdict: u.Verdict, Counted: u.Counted, Why: u.Why, Dog: o.Dog, Coat: o.Coat, Size: o.Size, Style: o.Style,
		Assessor: o.Assessor, Severity: o.Severity, Attribution: o.Attribution}
	if o.Groom != "" {
		row.Groom = ref(o.Groom)
	}
	return row
}

func observationSheet() *sheet {
	return &sheet{name: "Observations", fixed: 3, pages: 1, columns: []column{
		{title: "Apprentice", width: 18, meaning: "Who did the work", source: "record"},
		{title: "Skill", width: 7, values: "skill id", meaning: "Skill that was seen", source: "record"},
		{title: "Day", width: 11, as: asDate, unit: "date", values: "ISO date", meaning: "Day in the salon", source: "record"},
		{title: "Groom", width: 28, values: "empty outside a groom", meaning: "Reference of the assessed groom", source: "record"},
		{title: "Source", width: 16, values: "Formal, Logbook, Self-rating, Rehearsal, Knowledge check", meaning: "How it came about; Logbook only once it was countersigned", source: "record"},
		{title: "Level", width: 7, as: asCount, unit: "level", values: "1 to 5; empty for a knowledge check", meaning: "Level given for the skill", source: "record"},
		{title: "Check result", width: 8, as: asCount, unit: "per cent, whole", values: "0 to 100; only for a knowledge check", meaning: "Result of the check", source: "record"},
		{title: "Verdict", width: 10, values: "clean, not clean, set aside; empty for a knowledge check", meaning: "Clean is level 4 or above without harm by the apprentice", source: "judged from the record"},
		{title: "Counts", width: 8, values: "yes, no", meaning: "Whether it counts towards the evidence of the skill", source: "judged from the record"},
		{title: "Why not", width: 44, meaning: "Why it does not count", source: "judged from the record"},
		{title: "Dog", width: 14, meaning: "Label of the dog", source: "record"},
		{title: "Coat", width: 7, values: "coat class id", meaning: "Coat class", source: "record"},
		{title: "Size", width: 7, values: "size band id", meaning: "Size band", source: "record"},
		{title: "Style", width: 14, values: "style id", meaning: "Style of the trim", source: "record"},
		{title: "Assessor", width: 18, meaning: "Who judged, or countersigned a logbook entry", source: "record"},
		{title: "Incident", width: 9, values: "severity id; empty when there was none", meaning: "Worst incident under this skill in the groom", source: "record"},
		{title: "Caused by", width: 12, values: "attribution id", meaning: "Whose act caused it", source: "record"},
	}}
}

func (wb *workbook) writeObservations() error {
	p, err := wb.beginTable(wb.observations)
	if err != nil {
		return err
	}
	err = each(wb.book.Observations, func(o *Observation) error {
		var percent, verdict any
		if o.Source == assessment.Check {
			percent = o.Percent
		} else {
			verdict = o.Verdict.String()
		}
		p.cells = append(p.cells, wb.apprentice(o.Apprentice), text(o.Skill), day(o.Day), text(o.Groom), o.Source.String(),
			given(o.Level, 0), percent, verdict, yesNo(o.Counted), text(o.Why.Words()), text(o.Dog), text(o.Coat), text(o.Size),
			text(o.Style), wb.person(o.Assessor), text(o.Severity), text(o.Attribution))
		return p.end()
	})
	if err != nil {
		return err
	}
	return p.close()
}
