package curriculum

import (
	"fmt"
	"slices"
)

// longestStreak is the most observations a streak can look back on.
const longestStreak = 64

func (p *page) checkEvidence(pr *Programme) {
	p.ids("evidence_rules", len(pr.Evidence), func(i int) string { return pr.Evidence[i].ID })
	coats := coatClasses(pr)
	for i := range pr.Evidence {
		r := &pr.Evidence[i]
		at := fmt.Sprintf("evidence_rules[%d]", i)
		impossible := func(key, problem, do string, args ...any) {
			p.at(at+"."+key, "rule "+r.ID+" can never be met: "+problem, do, args...)
		}
		if !slices.Contains(EvidenceKinds, r.Kind) {
			p.at(at+".kind", "unknown kind of evidence %q", "Use one of: observations, simulations, knowledge, gated.", r.Kind)
			continue
		}
		if r.Count < 1 {
			p.at(at+".count", "rule %s asks for %d pieces of evidence", "Ask for at least 1.", r.ID, r.Count)
			continue
		}
		if r.Kind != Knowledge && (r.Level < CleanLevel || r.Level > TopLevel) {
			p.at(at+".level", "rule %s counts from level %d, but an observation is clean from L%d", "Use 4 or 5.", r.ID, r.Level, CleanLevel)
		}
		for _, n := range []struct {
			key   string
			value int
		}{{"coats", r.Coats}, {"sizes", r.Sizes}, {"assessors", r.Assessors}, {"styles", r.Styles}, {"newest_within_days", r.NewestWithinDays}, {"repeat_months", r.RepeatMonths}} {
			if n.value < 0 {
				p.at(at+"."+n.key, "%s is %d", "Use 0 or leave it out when it is not asked for.", n.key, n.value)
			}
		}
		if r.Coats > coats && coats > 0 {
			impossible("coats", "it asks for %d coat classes, but only %d are told apart", "Lower it, or add coat classes.", r.Coats, coats)
		}
		if r.Sizes > len(pr.Vocabulary.Sizes) && len(pr.Vocabulary.Sizes) > 0 {
			impossible("sizes", "it asks for %d size bands, but there are only %d", "Lower it, or add size bands.", r.Sizes, len(pr.Vocabulary.Sizes))
		}
		if r.Styles > len(pr.Vocabulary.Styles) {
			impossible("styles", "it asks for %d styles, but there are only %d", "Lower it, or add styles.", r.Styles, len(pr.Vocabulary.Styles))
		}
		for _, spread := range []struct {
			key  string
			need int
		}{{"coats", r.Coats}, {"sizes", r.Sizes}, {"assessors", r.Assessors}, {"styles", r.Styles}} {
			if spread.need > r.Count {
				p.at(at+"."+spread.key, "rule %s asks for %d %s in only %d observations", "Raise count, or lower this.", r.ID, spread.need, spread.key, r.Count)
			}
		}
		if s := r.Streak; !p.unreadIn(at+".streak") && (s.Need > s.Of || s.Need < 0) {
			impossible("streak", "%d clean out of the last %d", "Let need be from 0 to of, for example {need: 3, of: 3}.", s.Need, s.Of)
		}
		if r.Streak.Of > longestStreak {
			impossible("streak", "it looks back on %d observations, but only %d are kept in view", "Lower it.", r.Streak.Of, longestStreak)
		}
		if r.Kind == Knowledge && (r.Percent < 1 || r.Percent > 100) {
			p.at(at+".percent", "rule %s has a pass mark of %d", "Give a pass mark between 1 and 100 per cent.", r.ID, r.Percent)
		}
	}
}

// coatClasses counts the coat classes that an evidence rule tells apart.
func coatClasses(pr *Programme) int {
	classes := map[string]bool{}
	for _, c := range pr.Vocabulary.Coats {
		classes[pr.Vocabulary.CoatClass(c.ID)] = true
	}
	return len(classes)
}

func (p *page) checkPoints(pr *Programme) {
	p.ids("points_rules", len(pr.Points), func(i int) string { return pr.Points[i].ID })
	for i, r := range pr.Points {
		at := fmt.Sprintf("points_rules[%d]", i)
		rate := func(key string, v float64) {
			if v <= 0 || v >= 1 {
				p.at(at+"."+key, "%s is %v", "Give a rate between 0 and 1, for example 0.05.", key, v)
			}
		}
		rate("competent_fault_rate", r.Competent)
		rate("unacceptable_fault_rate", r.Unacceptable)
		rate("false_sign_off_at_most", r.FalseSignOff)
		if r.Competent >= r.Unacceptable {
			p.at(at+".unacceptable_fault_rate", "the unacceptable fault rate (%v) is not above the competent one (%v)", "Raise it, or lower competent_fault_rate.", r.Unacceptable, r.Competent)
		}
		if r.FaultCosts < 1 {
			p.at(at+".fault_costs", "a fault costs %d points", "Let it cost at least 1.", r.FaultCosts)
		}
		if r.NeverBelow > 0 {
			p.at(at+".never_below", "the score stops at %d", "Use 0 or a negative number.", r.NeverBelow)
		}
		if r.EligibleAt < 1 || r.EligibleAt > r.Within && !p.unread[at+".within_observations"] {
			p.at(at+".eligible_at", "%d points cannot be reached within %d observations", "Use a number from 1 to within_observations.", r.EligibleAt, r.Within)
		}
	}
}

func (p *page) checkRubric(pr *Programme) {
	r := &pr.Rubric
	p.ids("rubric.criteria", len(r.Criteria), func(i int) string { return r.Criteria[i].ID })
	if len(r.Criteria) == 0 {
		p.at("rubric.criteria", "the rubric has no criteria", "Add at least one criterion.")
		return
	}
	stages := p.terms("rubric.stages", r.Stages)
	sum, under := 0, map[string]string{}
	for i, c := range r.Criteria {
		at := fmt.Sprintf("rubric.criteria[%d]", i)
		sum += c.Weight
		p.requireText(at+".title", c.Title)
		if c.Weight < 1 {
			p.at(at+".weight", "criterion %s has weight %d", "Give it a weight of at least 1, or remove it.", c.ID, c.Weight)
		}
		if c.MustMeet < 0 || c.MustMeet > TopLevel {
			p.at(at+".must_meet", "criterion %s must be met at level %d, but the top level is %d", "Use a level from 1 to 5, or leave it out.", c.ID, c.MustMeet, TopLevel)
		}
		if len(c.Anchors) != TopLevel {
			p.at(at+".anchors", "criterion %s describes %d levels", "Describe all five levels, L1 first.", c.ID, len(c.Anchors))
		}
		switch {
		case p.unreadIn("rubric.stages") || c.Stage == "" && len(r.Stages) == 0 || stages[c.Stage]:
		case c.Stage == "":
			p.at(at+".stage", "criterion %s has no stage", "Say when in the groom it is seen; the form puts it there.", c.ID)
		default:
			p.at(at+".stage", "criterion %s is seen in the stage %q, which is not among rubric.stages", didYouMean(c.Stage, stages), c.ID, c.Stage)
		}
		p.criterionSkills(pr, at+".skills", c.ID, c.Skills, under)
		p.criterionSkills(pr, at+".skills_if_seen", c.ID, c.SkillsIfSeen, under)
	}
	if sum != r.Total && !p.unreadIn("rubric.criteria") {
		p.at("rubric.total_weight", "the weights add up to %d, but total_weight is %d", "Change a weight or the total, so that they agree.", sum, r.Total)
	}
	if r.LeastWeight < 0 || r.LeastWeight > r.Total && !p.unread["rubric.total_weight"] {
		p.at("rubric.least_applicable_weight", "a groom needs an applicable weight of %d out of %d", "Use a number from 0 to total_weight.", r.LeastWeight, r.Total)
	}
	if !p.unreadIn("rubric.pass_mean") && (r.Pass.Under < 1 || r.Pass.Over < r.Pass.Under || r.Pass.Over > TopLevel*r.Pass.Under) {
		p.at("rubric.pass_mean", "the pass mean is %d/%d", "Write it as a fraction between 1 and 5: {over: 7, under: 2} is 3.50.", r.Pass.Over, r.Pass.Under)
	}
	p.levelRange("rubric.least_level", r.LeastLevel)
}

func (p *page) criterionSkills(pr *Programme, path, criterion string, skills []string, under map[string]string) {
	known := map[string]bool{}
	for _, s := range pr.AllSkills() {
		known[s.ID] = true
	}
	for i, id := range skills {
		at := fmt.Sprintf("%s[%d]", path, i)
		if !known[id] {
			if len(known) == 0 {
				return // told already: there are no skills
			}
			p.at(at, "unknown skill %q", didYouMean(id, known), id)
			continue
		}
		if other, twice := under[id]; twice {
			p.at(at, "the skill %s is already seen under %s", "Let each skill be seen under one criterion.", id, other)
		}
		under[id] = criterion
	}
}

func (p *page) checkIncidents(pr *Programme) {
	ip := &pr.Incidents
	p.terms("incidents.kinds", ip.Kinds)
	attributions := p.terms("incidents.attributions", ip.Attributions)
	severities := p.ids("incidents.severities", len(ip.Severities), func(i int) string { return ip.Severities[i].ID })
	needKnown := func(path string, list []string) {
		for i, a := range list {
			if !attributions[a] {
				p.at(fmt.Sprintf("%s[%d]", path, i), "unknown attribution %q", didYouMean(a, attributions), a)
			}
		}
	}
	needKnown("incidents.resets_for", ip.ResetsFor)
	for i, s := range ip.Severities {
		at := fmt.Sprintf("incidents.severities[%d]", i)
		p.levelRange(at+".criterion_cap", s.CriterionCap)
		p.levelRange(at+".permission_max", s.PermissionMax)
		needKnown(at+".holds_for", s.HoldsFor)
		if !slices.Contains([]HoldScope{HoldNothing, HoldSkill, HoldUnit, HoldSafety}, s.Hold) {
			p.at(at+".hold", "unknown scope of a hold %q", "Use skill, unit or safety, or leave it out.", s.Hold)
		}
	}
	for i, r := range ip.Repeats {
		at := fmt.Sprintf("incidents.repeats[%d]", i)
		if !severities[r.Severity] {
			p.at(at+".severity", "unknown severity %q", didYouMean(r.Severity, severities), r.Severity)
		}
		if !p.unreadIn(at) && (r.Count < 2 || r.Days < 1) {
			p.at(at+".count", "this rule acts on count %d within %d days", "Count at least 2 incidents in at least 1 day.", r.Count, r.Days)
		}
		if r.Same != SameSkill && r.Same != SameKind {
			p.at(at+".same", "unknown word %q", "Use skill or kind.", r.Same)
		}
		switch {
		case r.Effect != PermissionDown && r.Effect != Review:
			p.at(at+".effect", "unknown effect %q", "Use permission_down or review.", r.Effect)
		case r.Effect == PermissionDown && r.Same == SameKind:
			p.at(at+".same", "a permission belongs to one skill, but this rule counts one kind of incident under any skill", "Use same: skill, or effect: review.")
		}
	}
}

func (p *page) checkCompletion(pr *Programme) {
	c := pr.Completion
	if c.LastMeet > c.Grooms && !p.unread["completion.grooms"] {
		p.at("completion.last_meet", "the last %d grooms must meet the standard, but only %d are asked for", "Raise grooms, or lower this.", c.LastMeet, c.Grooms)
	}
	if told := coatClasses(pr); c.Coats > told && told > 0 {
		p.at("completion.coats", "%d coat classes are asked for, but only %d are told apart", "Lower it, or add coat classes.", c.Coats, told)
	}
	if c.Sizes > len(pr.Vocabulary.Sizes) && len(pr.Vocabulary.Sizes) > 0 {
		p.at("completion.sizes", "%d size bands are asked for, but there are only %d", "Lower it, or add size bands.", c.Sizes, len(pr.Vocabulary.Sizes))
	}
}
