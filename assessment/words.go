package assessment

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tablehand/curriculum"
)

// Name is the requirement in a few words.
func (r Requirement) Name() string {
	switch r.Need {
	case NeedPoints:
		return "Points"
	case NeedWithin:
		return "Declared observations"
	case NeedCount:
		return "Counting observations"
	case NeedStreak:
		return fmt.Sprintf("Clean among the last %d", r.Of)
	case NeedCoats:
		return "Coat classes"
	case NeedSizes:
		return "Size bands"
	case NeedStyles:
		return "Styles"
	case NeedAssessors:
		return "Assessors"
	case NeedNewest:
		return "Newest evidence, days old"
	case NeedPrerequisites:
		return "Skills signed before this one"
	case NeedSimulations:
		return "Rehearsals, with questions"
	case NeedCheck:
		return "Knowledge check, per cent"
	case NeedPolicy:
		return "Written salon policy in date"
	case NeedCleanSince:
		return "Clean observations since the incident"
	case NeedDogs:
		return "Different dogs since the incident"
	case NeedNoHolds:
		return "Open holds"
	}
	return ""
}

// Found is what there is, as words: "5", "none yet", "yes".
func (r Requirement) Found() string {
	switch {
	case r.Need == NeedNewest && r.Have < 0:
		return "none yet"
	case r.Need == NeedPolicy && r.Have == 0:
		return "no"
	case r.Need == NeedPolicy:
		return "yes"
	case r.Need == NeedNoHolds && r.Have == 0:
		return "none"
	case r.OpenLimit():
		return fmt.Sprintf("%d made, %d left", r.Have, r.Missing)
	case r.Need == NeedWithin && r.Met:
		return fmt.Sprintf("%d when the points were reached", r.Have)
	}
	return Minus(r.Have)
}

// OpenLimit reports whether this is a limit that nothing has run into so far:
// met, and no achievement. What is left of it is then Missing.
func (r Requirement) OpenLimit() bool {
	return r.Need == NeedWithin && r.Met && r.Missing > 0 && r.Have+r.Missing == r.Want
}

// Wanted is what is needed, as words.
func (r Requirement) Wanted() string {
	switch r.Need {
	case NeedNewest:
		return fmt.Sprintf("at most %d", r.Want)
	case NeedWithin:
		return fmt.Sprintf("at most %d", r.Want)
	case NeedStreak:
		return fmt.Sprintf("%d of %d", r.Want, r.Of)
	case NeedPolicy:
		return "yes"
	case NeedNoHolds:
		return "none"
	}
	return Minus(r.Want)
}

// Closing says what would close the gap, as one sentence; empty when met.
func (r Requirement) Closing() string {
	if r.Met {
		return ""
	}
	switch r.Need {
	case NeedPoints:
		return fmt.Sprintf("%s more if all are clean.", plural(r.Missing, "observation"))
	case NeedWithin:
		return fmt.Sprintf("The %d declared observations are used up; sit down together and review the plan.", r.Want)
	case NeedCount:
		return fmt.Sprintf("%s more.", plural(r.Missing, "counting observation"))
	case NeedStreak:
		return fmt.Sprintf("%s more, in a row.", plural(r.Missing, "clean observation"))
	case NeedCoats:
		return fmt.Sprintf("%s more%s.", plural(r.Missing, "coat class"), soFar(r.Names))
	case NeedSizes:
		return fmt.Sprintf("%s more%s.", plural(r.Missing, "size band"), soFar(r.Names))
	case NeedStyles:
		return fmt.Sprintf("%s more.", plural(r.Missing, "style"))
	case NeedAssessors:
		return fmt.Sprintf("%s more.", plural(r.Missing, "assessor"))
	case NeedNewest:
		if r.Have < 0 {
			return "One counting observation."
		}
		return fmt.Sprintf("A fresh counting observation; the newest was good until %s.", r.Until.Words())
	case NeedPrerequisites:
		return "Still to be signed: " + strings.Join(r.Names, ", ") + "."
	case NeedSimulations:
		return fmt.Sprintf("%s more.", plural(r.Missing, "rehearsal"))
	case NeedCheck:
		return fmt.Sprintf("A check with %d %% or more.", r.Want)
	case NeedPolicy:
		return "Only where the salon's written policy allows it, checked with its insurer."
	case NeedCleanSince:
		return fmt.Sprintf("%s more since the incident, without a fault between.", plural(r.Missing, "clean observation"))
	case NeedDogs:
		return fmt.Sprintf("On %s more.", plural(r.Missing, "different dog"))
	case NeedNoHolds:
		return fmt.Sprintf("%s to be released.", plural(r.Missing, "hold"))
	}
	return ""
}

// Line names the requirement and what would close it.
func (r Requirement) Line() string {
	if r.Need == NeedPrerequisites { // says its own name
		return r.Closing()
	}
	return r.Name() + ": " + lowerFirst(r.Closing())
}

func soFar(names []string) string {
	if len(names) == 0 {
		return ""
	}
	return " (so far " + strings.Join(names, ", ") + ")"
}

// Minus writes a whole number, with a true minus sign below 0.
func Minus(n int) string { return strings.Replace(strconv.Itoa(n), "-", "−", 1) }

func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	if strings.HasSuffix(noun, "s") {
		return fmt.Sprintf("%d %ses", n, noun)
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// Words is the reason as shown to people; empty when the observation counts.
func (x Exclusion) Words() string {
	return [...]string{
		NotExcluded:        "",
		BelowLevel:         "below the level that counts",
		SelfRated:          "self-rating",
		LogbookOnly:        "logbook entry, not watched by an assessor",
		HarmedByApprentice: "incident in this groom under this skill",
		HarmNotApprentice:  "incident not caused by the apprentice: set aside",
		SameDogSameDay:     "same dog on the same day; the lower one is taken",
		BeforeLapse:        "before the sign-off lapsed",
		WrongKind:          "not the kind of evidence this skill asks for",
		BelowPass:          "below the pass mark",
		TooOld:             "too old; it had to be renewed",
		BesideObservations: "knowledge check; it stands beside the observations and is not one of them",
	}[x]
}

// What says which skills a hold pauses.
func (h *Hold) What(p *curriculum.Programme) string {
	switch h.Scope {
	case curriculum.HoldUnit:
		if i := slices.IndexFunc(p.Units, func(u curriculum.Unit) bool { return u.ID == h.Unit }); i >= 0 {
			return "every skill of " + p.Units[i].Title
		}
		return "every skill of unit " + h.Unit
	case curriculum.HoldSafety:
		return "every safety-critical skill"
	}
	if s := p.Skill(h.Skill); s != nil {
		return s.Title
	}
	return h.Skill
}

// Words is the reason for a review as shown to people.
func (r Review) Words() string {
	return [...]string{
		NoReview:           "",
		ObservationsUsedUp: "The declared observations are used up. Review the plan together before going on.",
		EvidenceCorrected:  "Grooms that the sign-off rested on were corrected downwards since. Look at the evidence again together; nothing is withdrawn by itself.",
		MonitorAlarm:       "Since sign-off, faults have come closer together than a competent groomer's would. Review it together; nothing is withdrawn by itself.",
		IncidentsRepeated:  "The same sort of incident has come back within a short time. Look for the cause together; no standing and no permission changes by itself.",
	}[r]
}

// Words says what came back, how often and in what time.
func (r Repeat) Words() string {
	return fmt.Sprintf("%s of severity %s (%s) within %s, the last on %s. Look for the cause together; no standing and no permission changes by itself.",
		plural(r.Count, "incident"), r.Severity, r.What, plural(r.Days, "day"), r.Last.Words())
}

// ReviewWords tells every reason to sit down together; empty when there is
// none.
func (s *Standing) ReviewWords() string {
	var out []string
	switch {
	case s.Review == ObservationsUsedUp && s.Points.Reached > 0:
		out = append(out, fmt.Sprintf("The points were reached with observation %d, after the %d declared ones were used up, so they do not make the skill eligible. Review the plan together before going on.",
			s.Points.Reached, s.PointsRule.Within))
	case s.Review != NoReview && s.Review != IncidentsRepeated:
		out = append(out, s.Review.Words())
	}
	for _, r := range s.Repeats {
		out = append(out, r.Words())
	}
	return strings.Join(out, " ")
}

// Sentence says the standing in one sentence.
func (s *Standing) Sentence() string {
	switch s.State {
	case Signed:
		if s.Due {
			return "Signed, but out of use; it was current until " + s.CurrentUntil.Words() + ": the next one is watched."
		}
		return "Signed off and current until " + s.CurrentUntil.Words() + "."
	case OnHold:
		return "On hold since " + s.Holds[0].From.Words() + " after an incident of severity " + s.Holds[0].Severity + ". Earlier evidence is kept."
	case Eligible:
		if s.Awaiting != nil {
			return "Eligible, proposed, and waiting for a second person to confirm."
		}
		return "Eligible: a named person may now propose sign-off, and a different person confirms it."
	case Lapsed:
		return s.lapseWords() + " The evidence begins again."
	case NotStarted:
		return "Nothing has been seen yet."
	}
	return "Practising. " + s.NextStep()
}

// lapseWords says why the sign-off lapsed.
func (s *Standing) lapseWords() string {
	if s.Rule != nil && s.Rule.RepeatMonths > 0 {
		return "The sign-off lapsed because it was not renewed in time."
	}
	return "The sign-off lapsed because the skill was not used for too long."
}

// NextStep says what is missing next: the first open requirement that the
// apprentice can work on.
func (s *Standing) NextStep() string {
	missing := s.Missing()
	for _, r := range missing {
		if r.Need != NeedPrerequisites {
			return r.Line()
		}
	}
	for _, r := range missing {
		return r.Closing()
	}
	return ""
}

func (s *Standing) support() string {
	if s.Permission.Limited != "" {
		return "It is limited by " + s.Permission.Limited + "."
	}
	return "More clean observations, and for P5 a sign-off, raise it."
}

func lowerFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}

// RuleWords explains an evidence rule in plain words, one line for each thing
// it asks for. points is nil when count and streak decide.
func RuleWords(r *curriculum.EvidenceRule, points *curriculum.PointsRule) []string {
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	switch r.Kind {
	case curriculum.Knowledge:
		say("An oral or written check with at least %d %%.", r.Percent)
	case curriculum.Simulations:
		say("%s with oral questions at L%d or above; a real event handled well counts as one.", plural(r.Count, "rehearsal"), r.Level)
	case curriculum.Gated:
		say("Only where a written salon policy allows it. Never needed to complete the programme.")
		say("%s at L%d or above, directly supervised.", plural(r.Count, "observation"), r.Level)
	default:
		if points != nil {
			out = append(out, PointsWords(points)...)
			break
		}
		say("%s at L%d or above, by an assessor, one for each dog and day.", plural(r.Count, "counting observation"), r.Level)
		if r.Streak.Need > 0 {
			say("Clean in %d of the last %d.", r.Streak.Need, r.Streak.Of)
		}
	}
	for _, sp := range []struct {
		n    int
		noun string
	}{{r.Coats, "coat class"}, {r.Sizes, "size band"}, {r.Styles, "style"}, {r.Assessors, "assessor"}} {
		if sp.n > 0 {
			say("At least %s.", plural(sp.n, "different "+sp.noun))
		}
	}
	if r.NewestWithinDays > 0 {
		say("The newest counting one at most %d days old on the day of the decision.", r.NewestWithinDays)
	}
	if r.RepeatMonths > 0 {
		say("To be renewed every %d months.", r.RepeatMonths)
	}
	return out
}

// PointsWords explains a points rule and its promise in plain words.
func PointsWords(r *curriculum.PointsRule) []string {
	return []string{
		fmt.Sprintf("A clean formal observation earns 1 point. One that is not clean costs %d, and the score never falls below %s. Eligible at %d points.", r.FaultCosts, Minus(r.NeverBelow), r.EligibleAt),
		Promise(r),
	}
}

// Promise is the guarantee of a points rule in words that stay true. It is
// about one skill; it does not say how likely it is that somebody is competent.
func Promise(r *curriculum.PointsRule) string {
	return fmt.Sprintf("If an apprentice's true fault rate on this skill were %s or more on observations like these, at most %s in 100 would reach this within %d observations.",
		percent(r.Unacceptable), trimZeros(r.FalseSignOff*100), r.Within)
}

func percent(v float64) string { return trimZeros(v*100) + " %" }

func trimZeros(v float64) string {
	return strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.2f", v), "0"), ".")
}

// OutOf100Words says a chance of a false sign-off with a fixed denominator and
// exactly.
func OutOf100Words(r *curriculum.PointsRule, falsely float64) string {
	return fmt.Sprintf("Of 100 apprentices whose fault rate is %s, about %.0f would become eligible within %d observations (exactly %s).",
		percent(r.Unacceptable), 100*falsely, r.Within, ChanceWords(falsely))
}

// RuleFactWords are the exact facts about a points rule beside "so many clean in
// a row", one sentence each.
func RuleFactWords(r *curriculum.PointsRule, f Figures, row InARow) []string {
	out := []string{
		Promise(r),
		fmt.Sprintf("A competent apprentice, whose fault rate is %s, needs %.1f observations on average and becomes eligible within %d with a chance of %s.",
			percent(r.Competent), f.MeanCompetent, r.Within, ChanceWords(f.CompetentWithin)),
		fmt.Sprintf("No rule with this error can need fewer than %.1f on average; this one reaches %.0f %% of that limit.", f.Least, 100*f.Efficiency()),
		fmt.Sprintf("%d clean in a row would need only %.1f, and would sign nearly anybody in the end: %s of those at %s within %d observations.",
			row.Needed, row.MeanCompetent, ChanceWords(row.FalseSignOff), percent(r.Unacceptable), r.Within),
	}
	if row.Safe > 0 {
		out = append(out, fmt.Sprintf("To keep the error, it would have to be %d clean in a row.", row.Safe))
	}
	return out
}

// ChanceWords writes a chance, 0–1, in per cent with two decimals. What is not
// certain is never written as if it were.
func ChanceWords(p float64) string {
	switch {
	case p > 0 && p < 0.00005:
		return "less than 0.01 %"
	case p < 1 && p >= 0.99995:
		return "more than 99.99 %"
	}
	return fmt.Sprintf("%.2f %%", 100*p)
}
