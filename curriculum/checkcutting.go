package curriculum

import (
	"fmt"
	"slices"
)

// mostQuestions is the longest exercise.
const mostQuestions = 30

// checkCutting looks at the table of blades and combs, if there is one.
func (p *page) checkCutting(pr *Programme) {
	c := pr.Cutting
	if c == nil || p.unread["cutting"] {
		return
	}
	p.direction("cutting.stamp_is", c.StampIs)
	if c.WithLieTimes < 1 || c.WithLieTimes > 4 {
		p.at("cutting.with_lie_times", "with the lie a blade leaves %d times as much", "Use a whole number from 1 to 4; 2 is usual.", c.WithLieTimes)
	}
	if c.GiveOrTake < 1 {
		p.at("cutting.give_or_take_mm", "give_or_take_mm is %v", "Say how far from the agreed length still meets it, for example 1.", c.GiveOrTake.Number())
	}
	if grades := len(pr.Vocabulary.Matting); grades > 0 && (c.KnottedFrom < 1 || c.ConsentFrom < c.KnottedFrom || c.ConsentFrom >= grades) {
		p.at("cutting.knotted_from", "a coat is knotted from grade %d and needs consent from grade %d", "Use matting grades from 1 to the highest, consent_from no lower than knotted_from.", c.KnottedFrom, c.ConsentFrom)
	}
	coats := map[string]bool{}
	for _, coat := range pr.Vocabulary.Coats {
		coats[coat.ID] = true
	}
	p.known("cutting.stands_off", "coat class", c.StandsOff, coats)
	p.known("cutting.written_wish", "coat class", c.WrittenWish, coats)
	blades := p.checkBlades(c)
	p.known("cutting.under_blades", "blade", c.UnderBlades, blades)
	p.checkCombs(c, blades)
	p.checkSkins(c, blades)
	p.checkAreas(pr, blades)
	p.checkExercise(pr, coats)
}

// known tells of ids in a list that lead nowhere.
func (p *page) known(path, what string, list []string, known map[string]bool) {
	for i, id := range list {
		if !known[id] {
			p.at(fmt.Sprintf("%s[%d]", path, i), "unknown %s %q", didYouMean(id, known), what, id)
		}
	}
}

func (p *page) direction(path string, d Direction) {
	if !slices.Contains(Directions, d) {
		p.at(path, "unknown direction %q", "Use reverse (against the lie) or with (with the lie).", d)
	}
}

func (p *page) checkBlades(c *Cutting) map[string]bool {
	ids := p.ids("cutting.blades", len(c.Blades), func(i int) string { return c.Blades[i].ID })
	if len(c.Blades) == 0 {
		p.at("cutting.blades", "the table has no blades", "List at least one, or leave the section cutting out.")
	}
	for i, b := range c.Blades {
		at := fmt.Sprintf("cutting.blades[%d]", i)
		p.requireText(at+".name", b.Name)
		if b.Teeth != EvenTeeth && b.Teeth != SkipTeeth {
			p.at(at+".teeth", "unknown teeth %q", "Use even (finish cut) or skip.", b.Teeth)
		}
		if !slices.Contains([]Mats{UnderMats, ExperiencedMats, NeverMats}, b.Mats) {
			p.at(at+".mats", "unknown use in mats %q", "Use under, experienced or never.", b.Mats)
		}
		if b.StampIs != "" {
			p.direction(at+".stamp_is", b.StampIs)
		}
		if !p.unreadIn(at) && (b.Least < 1 || b.Length < b.Least || b.Most < b.Length) {
			p.at(at+".length_mm", "blade %s is stamped %v mm, and makers stamp from %v to %v mm on it", "Let least_mm be above 0, most_mm the largest, and length_mm between them.", b.ID, b.Length.Number(), b.Least.Number(), b.Most.Number())
		}
		p.tolerance(at, b.Tolerance, b.Length)
	}
	return ids
}

func (p *page) tolerance(at string, tolerance, length MM) {
	if !p.unreadIn(at) && (tolerance < 1 || tolerance >= length) {
		p.at(at+".tolerance_mm", "%v mm has a tolerance of %v mm", "Give a tolerance above 0 and below the length.", length.Number(), tolerance.Number())
	}
}

func (p *page) checkCombs(c *Cutting, blades map[string]bool) {
	p.ids("cutting.combs", len(c.Combs), func(i int) string { return c.Combs[i].ID })
	for i := range c.Combs {
		comb, at := &c.Combs[i], fmt.Sprintf("cutting.combs[%d]", i)
		p.requireText(at+".name", comb.Name)
		if blades[comb.ID] {
			p.at(at+".id", "the comb %q has the id of a blade", "Give it an id of its own, for example c13.", comb.ID)
		}
		if comb.Length < 1 && !p.unreadIn(at) {
			p.at(at+".length_mm", "the comb %s has no length", "Give the millimetres it leaves, for example 13.", comb.ID)
			continue
		}
		p.tolerance(at, comb.Tolerance, comb.Length)
		p.known(at+".under_blades", "blade", comb.UnderBlades, blades)
		if len(c.Under(comb)) == 0 {
			p.at(at+".under_blades", "the comb %s has no blade to sit on", "List its under_blades, or those of the table.", comb.ID)
		}
		for _, id := range c.Under(comb) {
			if b := c.Blade(id); b != nil && b.Length >= comb.Length && !p.unreadIn("cutting.blades") {
				p.at(at+".length_mm", "the comb %s leaves %v mm, no more than the blade %s under it", "Give the comb's length, or take that blade out of its under_blades.", comb.ID, comb.Length.Number(), id)
			}
		}
	}
}

func (p *page) checkSkins(c *Cutting, blades map[string]bool) {
	p.ids("cutting.skins", len(c.Skins), func(i int) string { return c.Skins[i].ID })
	if len(c.Skins) == 0 {
		p.at("cutting.skins", "the table has no states of skin", "List at least one: sound skin.")
		return
	}
	if c.Skins[0].forbids() {
		p.at("cutting.skins[0]", "the first state of skin, %s, forbids something", "Put sound skin first; it forbids nothing.", c.Skins[0].ID)
	}
	for i, s := range c.Skins {
		at := fmt.Sprintf("cutting.skins[%d]", i)
		p.requireText(at+".name", s.Name)
		for j, t := range s.NoTeeth {
			if t != EvenTeeth && t != SkipTeeth {
				p.at(fmt.Sprintf("%s.no_teeth[%d]", at, j), "unknown teeth %q", "Use even (finish cut) or skip.", t)
			}
		}
		p.known(at+".no_blades", "blade", s.NoBlades, blades)
		p.known(at+".only_blades", "blade", s.OnlyBlades, blades)
		if s.forbids() && s.Stop == "" && s.Why == "" {
			p.at(at+".why", "the skin %s forbids something without saying why", "Give the reason in a sentence; apprentices read it.", s.ID)
		}
	}
}

func (s *Skin) forbids() bool {
	return len(s.NoTeeth)+len(s.NoBlades)+len(s.OnlyBlades) > 0 || s.NoReverse || s.Stop != ""
}

// Forbids reports whether a bare blade is unsafe on this skin.
func (s *Skin) Forbids(b *Blade) bool {
	return slices.Contains(s.NoTeeth, b.Teeth) || slices.Contains(s.NoBlades, b.ID) || len(s.OnlyBlades) > 0 && !slices.Contains(s.OnlyBlades, b.ID)
}

func (p *page) checkAreas(pr *Programme, blades map[string]bool) {
	c := pr.Cutting
	p.ids("cutting.areas", len(c.Areas), func(i int) string { return c.Areas[i].ID })
	if len(c.Areas) == 0 {
		p.at("cutting.areas", "the table has no areas of the dog", "List at least one.")
	}
	skins, places := map[string]bool{}, map[string]bool{}
	for _, s := range c.Skins {
		skins[s.ID] = true
	}
	for _, t := range pr.Vocabulary.CombTest {
		places[t.ID] = true
	}
	for i, a := range c.Areas {
		at := fmt.Sprintf("cutting.areas[%d]", i)
		p.requireText(at+".name", a.Name)
		p.known(at+".blades", "blade", a.Blades, blades)
		if a.CombTest != "" && !places[a.CombTest] {
			p.at(at+".comb_test", "unknown place of the comb test %q", didYouMean(a.CombTest, places), a.CombTest)
		}
		if len(skins) == 0 {
			continue // told already
		}
		if !skins[a.Skin] {
			p.at(at+".skin", "unknown state of skin %q", didYouMean(a.Skin, skins), a.Skin)
			continue
		}
		skin := c.Skin(a.Skin)
		if skin.Stop != "" {
			p.at(at+".skin", "on healthy dogs %s may never be clipped", "Give the skin that a healthy dog has there.", a.Name)
		}
		for j, id := range a.Blades {
			if b := c.Blade(id); b != nil && skin.Forbids(b) {
				p.at(fmt.Sprintf("%s.blades[%d]", at, j), "the blade %s is used here although the skin (%s) forbids it", "Take it out, or change what the skin forbids.", id, skin.ID)
			}
		}
	}
}

func (p *page) checkExercise(pr *Programme, coats map[string]bool) {
	e := &pr.Cutting.Exercise
	if _, there := p.places["cutting.exercise"]; !there {
		p.at("cutting.exercise", "the exercise on blades is missing", "Name its skill, its evidence rule, the number of questions and the coats.")
		return
	}
	if e.Questions < 1 || e.Questions > mostQuestions {
		p.at("cutting.exercise.questions", "an exercise has %d questions", "Ask from 1 to 30.", e.Questions)
	}
	p.known("cutting.exercise.coats", "coat class", e.Coats, coats)
	if len(e.Coats) == 0 {
		p.at("cutting.exercise.coats", "the exercise asks about no coat", "List at least one coat class that is clipped.")
	}
	skill := pr.Skill(e.Skill)
	if skill == nil {
		skills := map[string]bool{}
		for _, s := range pr.AllSkills() {
			skills[s.ID] = true
		}
		p.at("cutting.exercise.skill", "unknown skill %q", didYouMean(e.Skill, skills), e.Skill)
	}
	rule := pr.EvidenceRule(e.Evidence)
	switch {
	case rule == nil || rule.Kind != Knowledge:
		p.at("cutting.exercise.evidence", "%q is no rule for a knowledge check", "Name an evidence rule of kind knowledge.", e.Evidence)
	case skill != nil && skill.Evidence != e.Evidence:
		if own := pr.EvidenceRule(skill.Evidence); own != nil && own.Kind == Knowledge {
			p.at("cutting.exercise.evidence", "the exercise keeps rule %s, but its skill asks for rule %s", "Name the same rule in both places.", e.Evidence, skill.Evidence)
		}
	}
}
