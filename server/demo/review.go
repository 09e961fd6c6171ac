package demo

import (
	"errors"
	"fmt"
	"time"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/store"
)

func minute(n int) time.Duration { return time.Duration(n) * time.Minute }

// planReviews sits down over an apprentice's record every two weeks. The
// reviews end some days before now: what becomes eligible after the last one
// waits for the reader of the demo.
func (s *salon) planReviews(l *learner) {
	nr := 0
	for d := l.start + 30; d <= s.today-l.unread; d += 14 {
		if nr == 1 { // little changes in the second month
			d += 14
		}
		permissions := nr%4 == 1
		s.agenda.plan(s.at(openFrom(d), 17*60+50), func() error { return s.review(l, 5, permissions) })
		nr++
	}
}

// standings is where every skill of an apprentice stands at the clock.
func (s *salon) standings(l *learner) (map[string]*assessment.Standing, error) {
	_, list, err := s.look(l)
	out := map[string]*assessment.Standing{}
	for i := range list {
		out[list[i].Skill.ID] = &list[i]
	}
	return out, err
}

func (s *salon) look(l *learner) (*assessment.Apprenticeship, []assessment.Standing, error) {
	a, err := s.st.Evidence(s.ctx, s.judges[0].Scope, l.key)
	if err != nil {
		return nil, nil, err
	}
	return a, a.Standings(s.prog, s.dayOf(s.clock.now())), nil
}

// review releases holds that may end, proposes some of the eligible skills and
// brings permissions up to what the evidence supports.
func (s *salon) review(l *learner, most int, permissions bool) error {
	a, list, err := s.look(l)
	if err != nil {
		return err
	}
	if err := s.release(l, a); err != nil {
		return err
	}
	today := s.dayOf(s.clock.now())
	for i := range list {
		st := &list[i]
		if st.SignedNow() {
			l.done[st.Skill.ID] = true
		}
		if st.State != assessment.Eligible || st.Awaiting != nil || most == 0 || today < l.pause[st.Skill.ID] || l.keepsBack(st) {
			continue
		}
		most--
		if err := s.propose(l, st, s.proposer(), true); err != nil {
			return err
		}
	}
	if !permissions {
		return nil
	}
	return s.permit(l, list)
}

// keepsBack leaves first aid alone where the story wants it to have lapsed.
func (l *learner) keepsBack(st *assessment.Standing) bool {
	return l.story.firstAidOld && st.Skill.ID == "CW5" && st.Again
}

func (s *salon) proposer() int { return weighted(s.rng, []float64{0.3, 0.4, 0.3}) }

var statements = []string{
	"I have seen this done well %d times, lately without a word from me.",
	"Clean %d times, and no prompt for weeks. I would leave the room.",
	"Clean %d times and able to say why. I propose to sign it.",
	"%d clean observations, calm and complete each time lately.",
}

// propose proposes a sign-off; somebody else decides within the week.
func (s *salon) propose(l *learner, st *assessment.Standing, by int, decide bool) error {
	skill := st.Skill
	text := fmt.Sprintf(pick(s.rng, statements), st.Clean)
	switch s.prog.EvidenceRule(skill.Evidence).Kind {
	case curriculum.Simulations:
		text = "Rehearsed twice with questions; the answers came without looking anything up."
	case curriculum.Knowledge:
		text = "Oral check passed, and the answers fitted our own salon."
	}
	key, err := s.st.Propose(s.ctx, s.judges[by].Scope, l.key, skill.ID, text, "", "")
	if err != nil {
		return fmt.Errorf("%s %s: %w", l.name, skill.ID, err)
	}
	if !decide {
		return nil
	}
	other := (by + 1 + s.rng.IntN(len(s.judges)-1)) % len(s.judges)
	day := openFrom(s.dayOf(s.clock.now()) + 1 + assessment.Day(s.rng.IntN(5)))
	s.agenda.plan(s.at(day, 12*60+35+s.rng.IntN(25)), func() error { return s.decide(l, skill, key, other) })
	return nil
}

var confirmations = []string{
	"Watched one myself this week before confirming.",
	"Evidence read, three grooms looked at. I agree.",
	"Asked three questions at the table, all answered.",
	"The evidence is complete and fits what I see.",
}

// decide confirms, unless the skill has stopped being eligible meanwhile, or
// the story wants it declined.
func (s *salon) decide(l *learner, skill *curriculum.Skill, key string, by int) error {
	scope := s.judges[by].Scope
	if l.story.declined && !l.done["declined"] && s.prog.EvidenceRule(skill.Evidence).Coats > 0 {
		l.done["declined"] = true
		l.pause[skill.ID] = s.dayOf(s.clock.now()) + 35
		return s.st.Decide(s.ctx, scope, key, false, "All seen on easy coats lately. I want to watch it on a wire or a matted coat first.", "", "")
	}
	err := s.st.Decide(s.ctx, scope, key, true, pick(s.rng, confirmations), "", "")
	var refused *store.Refusal
	if errors.As(err, &refused) {
		return s.st.Decide(s.ctx, scope, key, false, "A fault since it was proposed. We look again when the evidence is complete.", "", "")
	}
	if err == nil {
		l.done[skill.ID] = true
	}
	return err
}

// release ends holds whose conditions are met, by somebody who did not record
// them. The burn of the story stays for the reader.
func (s *salon) release(l *learner, a *assessment.Apprenticeship) error {
	for i := range a.Holds {
		h := &a.Holds[i]
		if !h.Open() || l.done["burned"] && h.From >= s.today-12 {
			continue
		}
		for _, j := range s.judges {
			by := assessment.Releaser{Person: j.Key, HeadGroomer: j.Role == assessment.HeadGroomer, Redemonstrate: true,
				Reason: "Shown again at the table and talked through; clean on different dogs since."}
			if j.Key == h.RecordedBy || len(assessment.RefuseRelease(s.prog, h, a.Observations[h.Skill], by)) > 0 {
				continue
			}
			if _, err := s.st.Release(s.ctx, j.Scope, h.Key, true, by.Reason, ""); err != nil {
				return err
			}
			break
		}
	}
	return nil
}

var reasons = map[int]string{
	3: "Needs a word now and then; I check each stage.",
	4: "Three without a prompt. I stay in the room and look before the dog goes home.",
	5: "Signed and confirmed. May show it to the others.",
}

// permit raises the permissions of safety-critical skills, which decide who
// may have which dog, to what the evidence supports.
func (s *salon) permit(l *learner, list []assessment.Standing) error {
	j := s.judges[s.proposer()]
	for i := range list {
		st := &list[i]
		to := st.Permission.Ceiling
		if !st.Skill.IsSafetyCritical() || st.State == assessment.OnHold || to <= l.set[st.Skill.ID] || to < 3 {
			continue
		}
		_, err := s.st.SetPermission(s.ctx, j.Scope, l.key, st.Skill.ID, to, reasons[to], "")
		var refused *store.Refusal
		if err != nil && !errors.As(err, &refused) {
			return err
		}
		l.set[st.Skill.ID] = to
	}
	return nil
}

// check is a rehearsal or a knowledge check on the calendar of an apprentice.
type check struct {
	skill  string
	months float64
	result int // level, or per cent
}

var checks = []check{
	{"CW8", 0.4, 70}, {"CW7", 0.6, 85}, {"CW5", 0.7, 4}, {"CW5", 1.1, 4}, {"CW8", 1.3, 90}, {"CW6", 1.8, 3}, {"CW6", 2.5, 4}, {"CW6", 3.3, 4},
	{"NE2", 3.6, 4}, {"DR4", 4.2, 3}, {"NE2", 4.8, 4}, {"DR4", 5.2, 4}, {"DR4", 6.1, 4}, {"CW6", 9.5, 4}, {"CW5", 10.8, 4}, {"CW5", 11.3, 5},
}

func (s *salon) planChecks(l *learner) {
	for _, c := range checks {
		day := openFrom(l.start + daysOf(c.months))
		if day >= s.today || l.story.firstAidOld && c.skill == "CW5" && c.months > 2 {
			continue
		}
		j := s.judges[s.proposer()]
		s.agenda.plan(s.at(day, 17*60+20), func() error {
			in := store.CheckEntry{Apprentice: l.key, Skill: c.skill, Day: day, Level: c.result}
			if s.prog.EvidenceRule(s.prog.Skill(c.skill).Evidence).Kind == curriculum.Knowledge {
				in.Level, in.Percent = 0, c.result
			}
			_, err := s.st.AddCheck(s.ctx, j.Scope, in, "")
			return err
		})
	}
}

// leaveWork proposes a part of what is eligible on the evening before now, so
// that there is something to confirm, and leaves the rest to be proposed.
func (s *salon) leaveWork() error {
	type ready struct {
		l  *learner
		st *assessment.Standing
	}
	var all []ready
	for _, l := range s.learners {
		_, list, err := s.look(l)
		if err != nil {
			return err
		}
		for i := range list {
			if st := &list[i]; st.State == assessment.Eligible && st.Awaiting == nil && !l.keepsBack(st) {
				all = append(all, ready{l, st})
			}
		}
	}
	for i, r := range all {
		if i%2 == 1 || i >= 14 {
			continue
		}
		by := 1 + i/2%2 // not the head groomer, who can then confirm
		if i == 10 {
			by = 0
		}
		s.clock.set(s.clock.now().Add(minute(1)))
		if err := s.propose(r.l, r.st, by, false); err != nil {
			return err
		}
	}
	return nil
}
