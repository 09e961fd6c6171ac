package server

import (
	"html/template"

	"tablehand/assessment"
	"tablehand/assessment/agreement"
	"tablehand/assessment/estimate"
	"tablehand/server/web"
)

// middleOf is how many levels in a row the line through a chart of levels is the
// middle of.
const middleOf = 5

// levelsChart draws the levels of a skill over time; nothing when none was seen on
// a dog.
func levelsChart(s *assessment.Standing) template.HTML {
	var points []web.LevelPoint
	var values []float64
	for _, u := range s.Used {
		o := u.Observation
		if o.Source != assessment.Formal || u.Why == assessment.SameDogSameDay {
			continue
		}
		points = append(points, web.LevelPoint{Level: int(o.Level), Clean: u.Verdict == assessment.Clean, Label: o.Day.Words() + ", " + o.Dog})
		values = append(values, float64(o.Level))
	}
	if len(points) == 0 {
		return ""
	}
	middle, err := estimate.RunningMedian(values, middleOf)
	if err != nil {
		middle = nil // too few for a line
	}
	return web.ChartLevels(points, middle)
}

// sharesChart draws the shares of a pair of assessors with their ranges; nothing
// when none is shown yet.
func sharesChart(p *assessment.AssessorPair) template.HTML {
	var spans []web.Span
	for _, f := range p.Whole.All() {
		switch f.Figure {
		case agreement.SameDecision, agreement.CleanAgreement, agreement.NotCleanAgreement:
			if f.Shown && f.Range.OK {
				spans = append(spans, web.Span{Name: f.Title, Low: f.Range.Low, Value: f.Value.Value, High: f.Range.High})
			}
		}
	}
	if len(spans) == 0 {
		return ""
	}
	return web.ChartSpans("shares-"+p.A+"-"+p.B, "How often "+p.Whole.A+" and "+p.Whole.B+" agreed, of 100", spans)
}
