package assessment

import "tablehand/curriculum"

// SecondRatingDays is how many days after a groom it may be rated a second
// time. Common practice, no source: from memory the marks are worth little.
const SecondRatingDays = 7

// SelfRatingDays is how many days after a groom its apprentice may rate it
// before seeing the marks; after that the marks are simply shown. Common
// practice, no source.
const SelfRatingDays = 14

// Second is somebody who wants to rate a groom a second time.
type Second struct {
	First     *Groom
	Corrected bool // the first rating was corrected meanwhile
	Opened    bool // this person has looked at its marks
	Already   bool // this person has rated it before
	Person    string
	Role      Role
	Today     Day
}

// Refuse returns why the second rating may not be made, or nothing. It is worth
// something only if it is made without knowing the first.
func (s *Second) Refuse() string {
	switch {
	case !s.Role.Judges():
		return "Only a head groomer or an assessor may rate a groom."
	case s.Person == s.First.Assessor:
		return "You marked this groom yourself. A second rating comes from somebody else."
	case s.Person == s.First.Apprentice:
		return "Nobody rates their own groom as an assessor."
	case s.First.SecondOf != "":
		return "This is a second rating already. Rate the first one."
	case s.Corrected:
		return "This groom has been corrected. Rate the newer version."
	case s.Already:
		return "You have rated this groom already."
	case s.Opened:
		return "You have seen the marks of this groom, so yours would not be independent."
	case s.Today-s.First.Day > SecondRatingDays:
		return "A groom is rated a second time within " + plural(SecondRatingDays, "day") + ", while it is remembered."
	}
	return ""
}

// RefuseMatch returns why a rating is not one of the same groom, or nothing.
func (s *Second) RefuseMatch(second *Groom) string {
	if second.Apprentice != s.First.Apprentice || !SameDog(second.Dog, s.First.Dog) || second.Day != s.First.Day {
		return "A second rating is of the same apprentice, dog and day as the first."
	}
	return ""
}

// SecondForm is the groom that a second rating begins with: what was so before
// anybody marked it, and nothing of the first assessor's judgement.
func SecondForm(first *Groom, key string) Groom {
	return Groom{Apprentice: first.Apprentice, Day: first.Day, Start: first.Start, Stop: first.Stop, Dog: first.Dog, Coat: first.Coat, Grams: first.Grams,
		Matting: first.Matting, Temperament: first.Temperament, Service: first.Service, Style: first.Style, Brief: first.Brief, CombTest: first.CombTest,
		Stopped: first.Stopped, Share: -1, SecondOf: key}
}

// RefuseSelfRating returns why an apprentice may not rate this groom, or
// nothing.
func RefuseSelfRating(g *Groom, person string, opened bool, today Day) string {
	switch {
	case person != g.Apprentice:
		return "Only the apprentice who groomed rates their own work."
	case opened:
		return "You have seen the marks already, so your own would not be independent."
	case today-g.Day > SelfRatingDays:
		return "Own work is rated within " + plural(SelfRatingDays, "day") + ", while it is remembered."
	}
	return ""
}

// SelfProblems returns what keeps self-ratings from being taken: levels run from
// 1 to 5, for criteria of the rubric, and at least one is given.
func SelfProblems(p *curriculum.Programme, levels map[string]int) []Problem {
	if len(levels) == 0 {
		return []Problem{{Message: "Give at least one criterion a level, or look at the marks without rating."}}
	}
	var out []Problem
	known := 0
	for i := range p.Rubric.Criteria {
		c := &p.Rubric.Criteria[i]
		l, given := levels[c.ID]
		if !given {
			continue
		}
		known++
		if l < 1 || l > curriculum.TopLevel {
			out = append(out, Problem{Field: "self." + c.ID, Message: c.Title + ": choose a level from L1 to L5."})
		}
	}
	if known < len(levels) {
		out = append(out, Problem{Message: "One of the criteria is not in the rubric. Load the page again."})
	}
	return out
}
