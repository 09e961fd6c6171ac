package agreement

import (
	"fmt"
	"math"
	"strings"
)

// RangeNote says once, on a page with ranges, what they are.
const RangeNote = "A range is drawn so that 95 in 100 ranges drawn this way hold the true figure. " +
	"Ranges take it that both marked by themselves, before talking it over, and that the grooms are like those still to come."

// fewFaults is the number of grooms called not clean below which agreement beyond
// luck comes with a warning.
const fewFaults = 5

// few is the number of grooms below which a sentence says that they are few.
const few = 30

// SameLevelSentence is for a share of grooms that got the same level from both.
func SameLevelSentence(s Share) string { return shareSentence(s, "got the same level from both") }

// SameDecisionSentence is for a share of grooms decided alike.
func SameDecisionSentence(s Share) string { return shareSentence(s, "agreed") }

func shareSentence(s Share, what string) string {
	if !s.Value.OK {
		return s.Value.Why
	}
	return fmt.Sprintf("%d of %d %s; %s.", s.Hits, s.Of, what, trueShare(s.Range, s.Of))
}

// trueShare tells a range of a share that rests on n grooms.
func trueShare(r Interval, n int) string {
	if !r.OK {
		return "no range can be given"
	}
	low, high := inHundred(r.Low), inHundred(r.High)
	switch {
	case low == high:
		return fmt.Sprintf("the true share is about %d in 100", low)
	case n < few:
		return fmt.Sprintf("with so few, the true share could be anywhere from %d to %d in 100", low, high)
	}
	return fmt.Sprintf("the true share could be anywhere from %d to %d in 100", low, high)
}

// inHundred rounds a share from 0 to 1 to whole hundredths, halves up. Only a
// share of exactly nothing is told as 0, and only exactly all as 100.
func inHundred(v float64) int {
	n := int(math.Round(v * 100))
	if v > 0 {
		n = max(n, 1)
	}
	if v < 1 {
		n = min(n, 99)
	}
	return n
}

// CleanAgreementSentence is for Decisions.CleanAgreement.
func CleanAgreementSentence(s Share) string { return matchedSentence(s, "clean") }

// NotCleanAgreementSentence is for Decisions.NotCleanAgreement.
func NotCleanAgreementSentence(s Share) string { return matchedSentence(s, "not clean") }

func matchedSentence(s Share, word string) string {
	if !s.Value.OK {
		return fmt.Sprintf("Neither called a groom %s, so nothing shows whether they agree on it.", word)
	}
	grooms := s.Hits/2 + s.Of - s.Hits
	return fmt.Sprintf("When one of them said %s, the other said so too %d times in %d; %s.", word, s.Hits, s.Of, trueShare(s.Range, grooms))
}

// StricterSentence is for Decisions.StricterChance; a and b are the names.
func StricterSentence(a, b string, d Decisions) string {
	p := d.StricterChance()
	if !p.OK {
		return p.Why
	}
	n := d.Disagreements()
	if n == 0 {
		return "They never disagreed, so neither was the stricter."
	}
	name, times := a, d.OnlyBClean
	if d.OnlyAClean > d.OnlyBClean {
		name, times = b, d.OnlyAClean
	}
	if d.OnlyAClean == d.OnlyBClean {
		return fmt.Sprintf("They disagreed on %d grooms, and each was the stricter on half of them.", n)
	}
	many := fmt.Sprintf("on %d of them", times)
	if times == n {
		many = "each time"
	}
	return fmt.Sprintf("They disagreed on %s, and %s was the stricter %s. If neither were stricter, a split at least this uneven would still come up %s.",
		grooms(n), name, many, oftenIn100(p.Value))
}

func grooms(n int) string {
	if n == 1 {
		return "1 groom"
	}
	return fmt.Sprintf("%d grooms", n)
}

func oftenIn100(p float64) string {
	switch {
	case p < 0.01:
		return "less than once in 100 times"
	case p < 0.015:
		return "about once in 100 times"
	case p == 1:
		return "every time"
	case p > 0.995:
		return "nearly every time"
	}
	return fmt.Sprintf("about %d times in 100", int(math.Round(p*100)))
}

// The sentences for agreement beyond luck share one scale: 0 is what luck gives,
// 100 is always.

// BeyondLuckSentence is for AC1 of decisions. notClean is how many grooms at least
// one called not clean: AC1 can be high where faults were hardly put to the test.
func BeyondLuckSentence(c Coefficient, notClean int) string {
	say := luckSentence("Count agreeing by luck as 0 and always agreeing as 100", c)
	switch {
	case !c.Value.OK:
	case notClean == 0:
		say += " Neither called a groom not clean, so this does not show whether both see a fault."
	case notClean < fewFaults:
		say += fmt.Sprintf(" Only %s was called not clean by either, so this shows little of whether both see a fault.", grooms(notClean))
		if notClean > 1 {
			say = strings.Replace(say, " was called", " were called", 1)
		}
	}
	return say
}

// HarshBeyondLuckSentence is for Cohen's kappa of decisions.
func HarshBeyondLuckSentence(c Coefficient) string {
	return luckSentence("On the same scale, but with little credit for agreeing on what both nearly always say", c)
}

// LinearLevelsSentence is for Cohen's kappa of levels with linear weights.
func LinearLevelsSentence(c Coefficient) string {
	return luckSentence("For levels, on the same scale, with more credit the nearer the two levels are", c)
}

// QuadraticLevelsSentence is for Cohen's kappa of levels with quadratic weights.
func QuadraticLevelsSentence(c Coefficient) string {
	return luckSentence("For levels, on the same scale, with a miss by one level counted lightly and a wide miss heavily", c)
}

func luckSentence(scale string, c Coefficient) string {
	if !c.Value.OK {
		return c.Value.Why
	}
	return fmt.Sprintf("%s: they reach %s%s.", scale, onScale(c.Value.Value), scaleRange(c.Range))
}

// GroupAgreementSentence is for Fleiss' kappa.
func GroupAgreementSentence(c Coefficient) string { return groupSentence(c.Value) }

// GroupAlphaSentence is for Krippendorff's alpha.
func GroupAlphaSentence(alpha Number) string { return groupSentence(alpha) }

func groupSentence(n Number) string {
	if !n.OK {
		return n.Why
	}
	return fmt.Sprintf("Count agreeing by luck as 0 and always agreeing as 100: all assessors together reach %s.", onScale(n.Value))
}

// onScale is a coefficient in hundredths; 100 only if it is exactly 1.
func onScale(v float64) string {
	if v < 0 {
		if n := int(math.Round(-v * 100)); n > 0 {
			return fmt.Sprintf("−%d, less than luck alone", n)
		}
		return "0"
	}
	if v == 0 {
		return "0"
	}
	return fmt.Sprint(inHundred(v))
}

func scaleRange(r Interval) string {
	if !r.OK {
		return ""
	}
	return fmt.Sprintf("; the truth could be anywhere from %s to %s", bareScale(r.Low), bareScale(r.High))
}

func bareScale(v float64) string {
	n := int(math.Round(v * 100))
	if v < 1 {
		n = min(n, 99)
	}
	if n < 0 {
		return fmt.Sprintf("−%d", -n)
	}
	return fmt.Sprint(n)
}

// ScoreDifferenceSentence is for the bias of A's scores against B's; a and b are
// the names, unit is the plural of the unit of the scores.
func ScoreDifferenceSentence(a, b, unit string, d Differences) string {
	if !d.Bias.OK {
		return d.Bias.Why
	}
	say := fmt.Sprintf("On %s, %s scored %s %s on average", grooms(d.Pairs), a, awayFrom(d.Bias.Value, unit), b)
	if twoPlaces(d.Bias.Value) == 0 {
		say = fmt.Sprintf("On %s, %s and %s scored the same on average", grooms(d.Pairs), a, b)
	}
	return say + differenceRange(d.BiasRange) + "."
}

// awayFrom is "0.25 levels higher than" or "lower than".
func awayFrom(v float64, unit string) string {
	word := "higher than"
	if v < 0 {
		word = "lower than"
	}
	return fmt.Sprintf("%.2f %s %s", math.Abs(v), unit, word)
}

// twoPlaces is v in hundredths, as it is told.
func twoPlaces(v float64) float64 { return math.Round(v * 100) }

func differenceRange(r Interval) string {
	if !r.OK {
		return ""
	}
	tail := ""
	if r.Low <= 0 && r.High >= 0 {
		tail = ", so it may be nothing"
	}
	low, high := side(r.Low, "higher", "lower"), side(r.High, "higher", "lower")
	switch {
	case twoPlaces(r.Low) > 0:
		low = fmt.Sprintf("%.2f", r.Low) // the same word would stand twice
	case twoPlaces(r.High) < 0:
		low, high = fmt.Sprintf("%.2f", -r.High), side(r.Low, "higher", "lower")
	}
	return fmt.Sprintf("; the true average could be anywhere from %s to %s%s", low, high, tail)
}

// side is a difference with a word for its direction.
func side(v float64, up, down string) string {
	switch {
	case twoPlaces(v) == 0:
		return "no difference"
	case v < 0:
		return fmt.Sprintf("%.2f %s", -v, down)
	}
	return fmt.Sprintf("%.2f %s", v, up)
}

// ScoreLimitsSentence is for the limits of agreement.
func ScoreLimitsSentence(a, b, unit string, d Differences) string {
	if !d.Limits.OK {
		return d.Limits.Why
	}
	say := fmt.Sprintf("If it goes on like this, about 19 in 20 of %s's scores should lie between %s and %s %s's, in %s",
		a, side(d.Limits.Low, "above", "below"), side(d.Limits.High, "above", "below"), b, unit)
	if d.LowRange.OK {
		say += fmt.Sprintf("; each of these limits could be out by %.2f", (d.LowRange.High-d.LowRange.Low)/2)
	}
	return say + "."
}

// GroomShareSentence is for ICC.Two or ICC.One, where being strict counts as error;
// not for ICC.Three, which forgives it.
func GroomShareSentence(f Form) string {
	if !f.Value.OK {
		return f.Value.Why
	}
	if f.Value.Value <= 0 {
		return "The marks do not tell the grooms apart: one groom's marks differ at least as much as different grooms' do."
	}
	if f.Value.Value == 1 {
		return "All that makes marks differ is the grooms: all assessors gave each groom the same mark."
	}
	say := fmt.Sprintf("Of what makes marks differ, about %d in 100 is the grooms; the rest is who marked, and chance", inHundred(f.Value.Value))
	if f.Range.OK {
		say += fmt.Sprintf(". The true share could be anywhere from %d to %d in 100", inHundred(max(0, f.Range.Low)), inHundred(max(0, f.Range.High)))
	}
	return say + "."
}

// CriteriaTogetherSentence is for Cronbach's alpha and the error of a total; unit
// is the plural of the unit of the totals.
func CriteriaTogetherSentence(c Consistency, unit string) string {
	if !c.Alpha.OK {
		return c.Alpha.Why
	}
	if c.Alpha.Value <= 0 {
		return "The criteria do not go together: good marks on one do not go with good marks on the others."
	}
	return fmt.Sprintf("Of what makes total scores differ, about %d in 100 is what the criteria have in common. About two totals in three lie within %.1f %s of what many more such criteria would give.",
		inHundred(c.Alpha.Value), c.TotalSEM.Value, unit)
}

// DependableSentence is for a plan; marks says what it is made of, such as "two
// tasks with three assessors each".
func DependableSentence(p Plan, marks string) string {
	if !p.Dependability.OK {
		return p.Dependability.Why
	}
	return fmt.Sprintf("With %s, about %d in 100 of what makes apprentices' scores differ would be the apprentices; the rest would be who marked, what was marked, and chance.",
		marks, inHundred(p.Dependability.Value))
}

// SelfDifferenceSentence is for an apprentice's own marks; unit is the plural of
// the unit of the marks.
func SelfDifferenceSentence(s SelfReview, unit string) string {
	if !s.Bias.OK {
		return s.Bias.Why
	}
	say := fmt.Sprintf("On %s, the apprentice's own marks were on average %s the assessor's", grooms(s.Pairs), awayFrom(s.Bias.Value, unit))
	if twoPlaces(s.Bias.Value) == 0 {
		say = fmt.Sprintf("On %s, the apprentice's own marks were on average the same as the assessor's", grooms(s.Pairs))
	}
	say += differenceRange(s.BiasRange) + "."
	if s.MAE.OK && s.Pairs > 1 && twoPlaces(s.MAE.Value) > 0 {
		say += fmt.Sprintf(" Up or down, they were %.2f %s apart on average.", s.MAE.Value, unit)
	}
	return say
}

// SelfLeaningSentence is for SelfReview.Leaning, of marks in levels.
func SelfLeaningSentence(s SelfReview) string {
	if ok, instead := Enough(SelfLeaning, Seen{Grooms: s.Pairs}); !ok {
		return instead
	}
	switch s.Leaning() {
	case LeansHigher:
		return "The apprentice tends to mark their own work higher than the assessor does."
	case LeansLower:
		return "The apprentice tends to mark their own work lower than the assessor does."
	}
	return "There is no clear leaning of half a level or more, up or down."
}
