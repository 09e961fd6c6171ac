package demo

import (
	"math/rand/v2"
	"slices"
	"strings"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// exercises are what an apprentice answers at the end of a lunch break, in months
// since the first day, with the share of questions they get right.
var exercises = []struct {
	months, right float64
	adopted       bool // an assessor went through the answers
}{{0.5, 0.5, false}, {1.5, 0.75, false}, {2.6, 0.95, true}, {7, 0.9, false}, {12.5, 1, false}}

func (s *salon) planExercises(l *learner) {
	rng := rand.New(rand.NewPCG(s.seed, 100+uint64(l.start))) // of its own, so that nothing else moves
	for _, e := range exercises {
		day := openFrom(l.start + daysOf(e.months))
		if day >= s.today {
			continue
		}
		j := s.judges[rng.IntN(len(s.judges))]
		s.agenda.plan(s.at(day, 13*60+20), func() error { return s.exercise(l, rng, e.right, e.adopted && l.months > 5, j) })
	}
}

func (s *salon) exercise(l *learner, rng *rand.Rand, right float64, adopted bool, j *judge) error {
	scope, err := s.st.ScopeOf(s.ctx, l.key)
	if err != nil {
		return err
	}
	to, err := s.st.BeginExercise(s.ctx, scope, "")
	if err != nil {
		return err
	}
	key := strings.TrimPrefix(to, "/exercises/")
	x, err := s.st.Exercise(s.ctx, scope, key)
	if err != nil {
		return err
	}
	given := make([]int, len(x.Questions))
	for i, m := range assessment.MarkExercise(x.Programme, x.Questions, nil).Marked {
		knows := chance(rng, right)
		given[i] = slices.IndexFunc(m.Choices, func(c assessment.CutChoice) bool { return c.Right == knows })
	}
	if _, err := s.st.FinishExercise(s.ctx, scope, key, given, ""); err != nil || !adopted {
		return err
	}
	_, err = s.st.AdoptExercise(s.ctx, j.Scope, key, "asked", "")
	return err
}

// planned is how many days back cut plans were written in the demo salon.
const planned = 60

// cutPlan is what was planned for a groom with a clipper; without lines where
// nothing was, or before the salon began to write plans.
func (s *salon) cutPlan(g *assessment.Groom) assessment.CutPlan {
	var p assessment.CutPlan
	if g.Day < s.today-planned || g.Marks["R7"].Level == 0 {
		return p
	}
	add := func(area, tool, under string, agreed curriculum.MM, skin string) {
		p.Lines = append(p.Lines, assessment.CutLine{Area: area, Skin: skin, Agreed: agreed, Cut: assessment.Cut{Tool: tool, Direction: curriculum.WithLie, Under: under}})
	}
	switch g.Style {
	case "short_trim":
		add("back", map[bool]string{true: "5F", false: "7F"}[g.Coat == "WO"], "", 600, "")
		add("legs", "c10", "15", 1000, "")
	case "comb_trim":
		add("back", "c16", "10", 1600, "")
		add("legs", "c19", "30", 1900, "")
	case "clipped_pattern":
		add("back", "7F", "", 600, "")
		add("legs", "c13", "10", 1300, "")
	case "comfort_trim":
		add("back", "c6", "10", 600, "thin")
	case "clip_off":
		p.Consent = true
		add("back", "10", "", 300, "")
		add("legs", "10", "", 300, "")
	}
	add("face", "10", "", 0, "")
	add("sanitary", "10", "", 0, "")
	add("pads", "30", "", 0, "")
	return p
}
