package estimate

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"
)

// The sentences are what people read. Each takes a figure and says what it is, how
// sure it is and on what it rests; a figure that does not exist gets a sentence
// that says so. Shares are said in hundreds. Ranges of weeks are widened to whole
// weeks, so what is said is never narrower than what was calculated.

// minPredictions is the least number of predictions to be told about.
const minPredictions = 20

// NotCleanSentence tells how many of n observations were not clean, and how large
// the true share could still be (ExactUpper at 0.95). When none was clean it tells
// how small.
func NotCleanSentence(notClean, n int) string {
	upper, err := ExactUpper(notClean, n, 0.95)
	switch {
	case err != nil:
		return noFigure("share", err)
	case n == 0:
		return "Nothing has been observed yet, so nothing is known about the share that is not clean."
	case notClean == n:
		lower := 1 - exactHigh(0, n, 0.05)
		return fmt.Sprintf("%d of %d %s not clean; the true share could still be as low as %s.", n, n, were(n), inHundred(lower))
	}
	return fmt.Sprintf("%d of %d %s not clean; the true share could still be as high as %s.", notClean, n, were(notClean), upTo(upper))
}

// CleanSentence tells how many of n observations were clean, with the Wilson
// interval at 0.95. It never gives the share alone.
func CleanSentence(clean, n int) string {
	i, err := Wilson(clean, n, 0.95)
	switch {
	case err != nil:
		return noFigure("share", err)
	case n == 0:
		return "Nothing has been observed yet, so nothing is known about the share that is clean."
	}
	return fmt.Sprintf("%d of %d %s clean; observations like these fit a true share from %.0f to %.0f in 100.",
		clean, n, were(clean), math.Floor(100*i.Low), math.Ceil(100*i.High))
}

// BelowSentence tells the chance that the share not clean is below cut, after
// notClean of n, with every share equally likely beforehand.
func BelowSentence(notClean, n int, cut float64) string {
	d, err := Beta{}.After(notClean, n)
	if err != nil {
		return noFigure("chance", err)
	}
	cut = clamp(cut, 0, 1)
	return fmt.Sprintf("Taking every share as equally likely beforehand, after %d of %d not clean the chance that fewer than %s are not clean is %s.",
		notClean, n, inHundred(cut), inHundred(d.Below(cut)))
}

// ZeroFaultSentence tells how many clean observations in a row rule out a share of
// p1 not clean.
func ZeroFaultSentence(p1, alpha float64) string {
	n, err := ZeroFaultCount(p1, alpha)
	if err != nil {
		return noFigure("number of observations", err)
	}
	return fmt.Sprintf("To rule out that %s or more are not clean takes at least %s, all clean; the chance of being wrong is then at most %s.",
		inHundred(p1), countOf(n, "observation"), inHundred(alpha))
}

// ObservationsSentence tells how many more observations a skill needs.
func ObservationsSentence(f SkillForecast) string {
	if f.WhyNot != "" {
		return NotShownSentence(f.WhyNot)
	}
	o := f.Observations
	number := fmt.Sprintf("%d to %d", o.Low, o.High)
	if o.Low == o.High {
		number = fmt.Sprint(o.Low)
	}
	return fmt.Sprintf("Needs about %s to reach %s, if performance stays as in the last %d. %s",
		moreObservations(number, o.High), countOf(f.Points, "point"), f.Evidence, enough(f))
}

// enough tells how likely the declared number is enough, which a range supposes.
func enough(f SkillForecast) string {
	return fmt.Sprintf("The chance that the remaining %s enough is %s; if so, this is right at least 8 times in 10.",
		are(f.Remaining, "observation"), inHundred(f.WithinRemaining))
}

func moreObservations(number string, n int) string {
	if n == 1 {
		return number + " more observation"
	}
	return number + " more observations"
}

// HalfwaySentence tells the number of observations within which the points are as
// likely there as not.
func HalfwaySentence(f SkillForecast) string {
	if f.WhyNot != "" {
		return NotShownSentence(f.WhyNot)
	}
	return fmt.Sprintf("The chance of reaching %s within %s is at least 50 in 100.",
		countOf(f.Points, "point"), moreObservations(fmt.Sprint(f.Halfway), f.Halfway))
}

// WeeksSentence tells the weeks in which the points of a skill will be there.
func WeeksSentence(f SkillForecast) string {
	if f.WhyNot != "" {
		return NotShownSentence(f.WhyNot)
	}
	return fmt.Sprintf("The %s should be there %s, if performance stays as in the last %d and observations come as in the last %s. %s",
		countOf(f.Points, "point"), inWeeks(f.Weeks), f.Evidence, pastWeeks(f.PaceDays), enough(f))
}

// inWeeks widens a range to whole weeks.
func inWeeks(r Range[float64]) string {
	low, high := int(math.Floor(r.Low)), int(math.Ceil(r.High))
	if low == 0 {
		return "within " + countOf(high, "week")
	}
	return fmt.Sprintf("in %d to %s", low, countOf(high, "week"))
}

func pastWeeks(days int) string {
	if days%7 == 0 {
		return countOf(days/7, "week")
	}
	return countOf(days, "day")
}

// TargetSentence tells the chance that the points of a skill are there by the
// planned end.
func TargetSentence(f SkillForecast) string {
	switch {
	case f.WhyNot != "":
		return NotShownSentence(f.WhyNot)
	case f.TargetDays == 0:
		return "No planned end is set."
	}
	return fmt.Sprintf("The chance that the points are there by the planned end, %s from now, is %s, if performance and pace stay as they are.",
		countOf(f.TargetDays, "day"), inHundred(f.ByTarget))
}

// NotShownSentence tells why a forecast is not shown.
func NotShownSentence(whyNot string) string { return "No forecast: " + whyNot + "." }

// ProgrammeSentence tells the week by which every skill still missing has its
// points.
func ProgrammeSentence(p ProgrammeForecast) string {
	if p.WhyNot != "" {
		return NotShownSentence(p.WhyNot)
	}
	what := fmt.Sprintf("the %d skills still missing", p.Skills)
	if p.Skills == 1 {
		what = "the one skill still missing"
	}
	return fmt.Sprintf("The points of %s should be there %s. The chance that the declared observations are enough is %s; if so, this is right at least 8 times in 10.",
		what, inWeeks(p.Weeks), inHundred(p.WithinRemaining))
}

// ProgrammeTargetSentence tells the chance that every skill still missing has its
// points by the planned end.
func ProgrammeTargetSentence(p ProgrammeForecast) string {
	switch {
	case p.WhyNot != "":
		return NotShownSentence(p.WhyNot)
	case p.TargetDays == 0:
		return "No planned end is set."
	}
	return fmt.Sprintf("The chance that all points are there by the planned end, %s from now, is %s.",
		countOf(p.TargetDays, "day"), inHundred(p.ByTarget))
}

// ProgrammeAssumptions tells what a programme's forecast takes for granted.
func ProgrammeAssumptions() string {
	return "This supposes that performance and pace stay as they are, that a groom is an observation for every skill alike, and that being better than seen so far in one skill says nothing about another. The first makes the forecast a little early if skills are seen on some grooms only; the second makes it late if one skill is like another."
}

// CalibrationSentence tells how sure somebody was, against what happened.
func CalibrationSentence(c Calibration) string {
	if c.Predictions < minPredictions {
		return fmt.Sprintf("So far %s; it takes at least %d to tell how well sureness fits what happens.", thereAre(c.Predictions, "prediction"), minPredictions)
	}
	points := math.Round(100 * math.Abs(c.Overconfidence))
	how := fmt.Sprintf("%.0f in 100 more often than it happened", points)
	switch {
	case points == 0:
		how = "as often as it happened"
	case c.Overconfidence < 0:
		how = fmt.Sprintf("%.0f in 100 less often than it happened", points)
	}
	return fmt.Sprintf("Over %d predictions, it was expected %s. The mean squared error is %.2f; always saying the overall share would have given %.2f.",
		c.Predictions, how, c.Brier, c.Uncertainty)
}

// SmoothedSentence tells what the smoothed line through n ratings is.
func SmoothedSentence(n int) string {
	if n < MinSmoothed {
		return fmt.Sprintf("So far %s: too few for a smoothed line, which needs at least %d.", thereAre(n, "rating"), MinSmoothed)
	}
	return fmt.Sprintf("The line is smoothed: the newest of %d ratings counts for %.0f in 100, older ones for less and less.", n, 100*SmoothWeight)
}

// IsotonicSentence tells what the rising line through n ratings is.
func IsotonicSentence(n int) string {
	if n == 0 {
		return "There are no ratings yet."
	}
	return fmt.Sprintf("The line is the best fit to %s that never falls; a relapse would not show in it.", countOf(n, "rating"))
}

// PassLineSentence tells a pass line from judges.
func PassLineSentence(p PassLine) string {
	if len(p.Judges) < 2 {
		return "No pass line: ask at least 2 judges."
	}
	t := distuv.StudentsT{Sigma: 1, Nu: float64(len(p.Judges) - 1)}.Quantile(0.975)
	return fmt.Sprintf("%d judges put the pass line at %.1f per cent; many judges like them might put it up to %.1f lower or higher.",
		len(p.Judges), p.Line, t*p.SE)
}

// BorderlineLineSentence tells a pass line from regression on overall grades.
func BorderlineLineSentence(b BorderlineLine) string {
	if b.Performances == 0 {
		return "No pass line: no performance has been graded."
	}
	return fmt.Sprintf("The line through %s is at %.1f for a borderline grade%s.",
		countOf(b.Performances, "graded performance"), b.Line, tooFew(b.Performances, MinStandard))
}

// BorderlineGroupSentence tells a pass line from the borderline performances.
func BorderlineGroupSentence(b BorderlineScores) string {
	if b.Performances == 0 {
		return "No pass line: no performance was graded borderline."
	}
	return fmt.Sprintf("The %s scored %.1f on average, %.1f in the middle%s.",
		countOf(b.Performances, "borderline performance"), b.Mean, b.Median, tooFew(b.Performances, MinBorderline))
}

func tooFew(have, want int) string {
	if have >= want {
		return ""
	}
	return fmt.Sprintf("; at least %d are needed before it is used", want)
}

// DifficultySentence tells how hard an item, counted from 1, is.
func DifficultySentence(d ItemDifficulty, item int) string {
	if item < 1 || item > len(d.Difficulty) {
		return fmt.Sprintf("No difficulty: there is no item %d.", item)
	}
	at, se := d.Difficulty[item-1], d.SE[item-1]
	how := "about as hard as the average item"
	switch {
	case at > 2*se:
		how = "harder than the average item"
	case at < -2*se:
		how = "easier than the average item"
	}
	return fmt.Sprintf("Item %d is %s: %s logits, give or take %.1f.", item, how, signed1(at), 2*se)
}

// noFigure tells that a figure does not exist, and why.
func noFigure(what string, err error) string {
	return "No " + what + ": " + strings.TrimSuffix(err.Error(), ".") + "."
}
