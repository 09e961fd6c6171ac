package assessment

import (
	"fmt"
	"slices"
	"strings"

	"tablehand/curriculum"
)

// StopFor is who is asked before anything is clipped.
type StopFor string

const (
	ForNobody StopFor = "" // it is clipped
	ForOwner  StopFor = "owner"
	ForVet    StopFor = "vet"
)

// Words returns the answer as shown to people.
func (s StopFor) Words() string {
	switch s {
	case ForOwner:
		return "Do not clip here yet: ask the owner first"
	case ForVet:
		return "Do not clip here: a vet looks first"
	}
	return ""
}

// Answer is one way to go on: a cut, or to stop and ask.
type Answer struct {
	Cut
	Stop StopFor
}

// Words says the answer in words.
func (a Answer) Words(c *curriculum.Cutting) string {
	if a.Stop != ForNobody {
		return a.Stop.Words()
	}
	return CutWords(c, a.Cut)
}

// CutScenario is a dog, an area of it and what was agreed: all that a choice of blade
// rests on.
type CutScenario struct {
	Dog     CutDog
	Area    string        // id
	Skin    string        // id of the state of skin found
	Agreed  curriculum.MM // 0 when no length was agreed
	Consent bool          // as in CutPlan
	Wish    bool          // as in CutPlan
}

func (s *CutScenario) plan(cut Cut) *CutPlan {
	return &CutPlan{Consent: s.Consent, Wish: s.Wish, Lines: []CutLine{{Area: s.Area, Skin: s.Skin, Agreed: s.Agreed, Cut: cut}}}
}

// CutChoice is an answer with what speaks for or against it.
type CutChoice struct {
	Answer
	Right bool
	Why   string // in sentences
	worst CutSeverity
	bad   int           // how many things are wrong with it
	off   curriculum.MM // how far it is from the agreed length; 0 when none was agreed
}

// CutChoices judges every answer there is to a scenario: each blade in both
// directions, each comb over each blade, and the two ways to stop. At least one is
// right: where nothing may be clipped, stopping is. The order is that of the table.
func CutChoices(p *curriculum.Programme, s *CutScenario) []CutChoice {
	var out []CutChoice
	c := p.Cutting
	add := func(cut Cut) { out = append(out, judgeCut(p, s, cut)) }
	for i := range c.Blades {
		for _, d := range curriculum.Directions {
			add(Cut{Tool: c.Blades[i].ID, Direction: d})
		}
	}
	for i := range c.Combs {
		for j := range c.Blades {
			if c.Blades[j].Length < c.Combs[i].Length {
				add(Cut{Tool: c.Combs[i].ID, Direction: curriculum.WithLie, Under: c.Blades[j].ID})
			}
		}
	}
	return append(out, judgeStops(p, s, out)...)
}

func judgeCut(p *curriculum.Programme, s *CutScenario, cut Cut) CutChoice {
	ch := CutChoice{Answer: Answer{Cut: cut}, Right: true}
	var bad, good []string
	for _, f := range CheckCutPlan(p, s.plan(cut), s.Dog) {
		if f.Severity == Advice {
			good = append(good, f.Text)
			continue
		}
		ch.Right, ch.worst, ch.bad = false, max(ch.worst, f.Severity), ch.bad+1
		bad = append(bad, f.Text)
	}
	l, known := ExpectedLength(p.Cutting, s.Dog.Coat, cut)
	if known && s.Agreed > 0 {
		ch.off = max(l.MM-s.Agreed, s.Agreed-l.MM)
	}
	if !ch.Right {
		ch.Why = strings.Join(bad, " ")
		return ch
	}
	if caution := cautionOf(p.Cutting, cut.Tool); caution != "" {
		good = append(good, caution)
	}
	fits := "and nothing here speaks against it."
	if s.Agreed > 0 {
		fits = fmt.Sprintf("and %s was agreed, give or take %s.", s.Agreed, p.Cutting.GiveOrTake.Number())
	}
	ch.Why = strings.Join(append([]string{fmt.Sprintf("It leaves %s, %s", l.Words(), fits)}, good...), " ")
	return ch
}

func cautionOf(c *curriculum.Cutting, tool string) string {
	if comb := c.Comb(tool); comb != nil {
		return comb.Caution
	}
	return c.Blade(tool).Caution
}

// judgeStops judges stopping by what the cuts came to: a vet where the skin says
// so, the owner where else nothing may be clipped.
func judgeStops(p *curriculum.Programme, s *CutScenario, cuts []CutChoice) []CutChoice {
	owner, vet := CutChoice{Answer: Answer{Stop: ForOwner}}, CutChoice{Answer: Answer{Stop: ForVet}}
	check := newCutCheck(p, s.plan(Cut{}), &CutLine{Area: s.Area, Skin: s.Skin}, s.Dog)
	free := check.mayBeClipped()
	right := slices.IndexFunc(cuts, func(c CutChoice) bool { return c.Right })
	vet.Why = "Nothing was found here that a vet has to look at first."
	switch {
	case slices.ContainsFunc(check.skins, func(k *curriculum.Skin) bool { return k.Stop != "" }):
		vet.Right, vet.Why = true, check.found[0].Text
		owner.Why = "The owner is told, but skin like this is for a vet first."
	case right >= 0:
		owner.Why = fmt.Sprintf("Nothing is left to ask: %s is right here.", CutWords(p.Cutting, cuts[right].Cut))
	case !free:
		owner.Right, owner.Why = true, check.found[0].Text
	case s.Agreed > 0:
		owner.Right = true
		owner.Why = fmt.Sprintf("%s: nothing that may be used here leaves %s, give or take %s. Show the owner what the coat allows, and agree another length.", check.area.Name, s.Agreed, p.Cutting.GiveOrTake.Number())
	default:
		owner.Right = true
		owner.Why = fmt.Sprintf("%s: no blade or comb of the salon's table may be used here. Leave the hair, and say so to the owner.", check.area.Name)
	}
	owner.bad, vet.bad = 1, 1
	return []CutChoice{owner, vet}
}

// RightWords lists the right answers of a scenario briefly, blades under one comb
// taken together: "#5F against the lie", "6 mm comb over #30, #15 or #10".
func RightWords(c *curriculum.Cutting, all []CutChoice) []string {
	var out []string
	for i := 0; i < len(all); i++ {
		ch := &all[i]
		if !ch.Right {
			continue
		}
		comb := c.Comb(ch.Tool)
		if comb == nil {
			out = append(out, ch.Words(c))
			continue
		}
		var under []string
		for ; i < len(all) && all[i].Tool == comb.ID; i++ {
			if all[i].Right {
				under = append(under, all[i].Under)
			}
		}
		i--
		out = append(out, comb.Name+" over "+toolNames(c, under))
	}
	return out
}
