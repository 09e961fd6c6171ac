package demo

import (
	"fmt"
	"math"
	"net/url"
	"strings"

	"tablehand/assessment"
	"tablehand/server/store"
)

// groom is one assessed groom from the first look at the dog; it is signed
// after the dog has gone home.
func (s *salon) groom(l *learner, v visit) error {
	d, matting, service := s.chooseDog(l, v.day)
	d.last = v.day
	j := s.judges[v.judge]
	g := s.compose(l, d, matting, service, v.day, j.praise)
	g.Assessor = j.Key
	start := s.clock.now().In(s.zone)
	g.Start = assessment.Clock(start.Hour()*60 + start.Minute())
	s.time(l, g)
	if err := s.storied(l, g); err != nil {
		return err
	}
	if len(g.Incidents) == 0 {
		s.mishap(l, g, l.stage(v.day))
	}
	feedback(l.rng, s.prog, g)
	end := int(g.Stop) + 4 + s.rng.IntN(18)
	if s.begun++; s.begun%65 == 30 {
		s.slips++ // every now and then somebody writes something wrong
	}
	if s.slips > 0 && len(g.Incidents) == 0 && v.day < s.today-4 {
		s.slips--
		s.agenda.plan(s.at(v.day, end), func() error { return s.mistaken(j, v, *g) })
		return nil
	}
	second := -1
	if s.begun%18 == 9 {
		s.doubles++
	}
	if other := v; s.doubles > 0 && l.stage(v.day) > 1 && s.engage(&other) {
		s.doubles--
		second = other.judge
	}
	s.agenda.plan(s.at(v.day, end), func() error {
		key, err := s.sign(j, *g)
		if err != nil {
			return err
		}
		s.planReading(l, v.day, key)
		if second < 0 {
			return nil
		}
		s.agenda.plan(s.at(v.day, end+6), func() error { return s.again(s.judges[second], key, *g) })
		return nil
	})
	return nil
}

// sign begins a draft and signs it at once.
func (s *salon) sign(j *judge, g assessment.Groom) (string, error) {
	g.Assessor = j.Key
	key, err := s.st.NewDraft(s.ctx, j.Scope, url.Values{"apprentice": {g.Apprentice}, "dog": {g.Dog}}, "")
	if err != nil {
		return "", err
	}
	if plan := s.cutPlan(&g); len(plan.Lines) > 0 {
		if _, err = s.st.SaveCutPlan(s.ctx, j.Scope, key, 0, plan); err != nil {
			return "", err
		}
	}
	key, err = s.st.Sign(s.ctx, j.Scope, store.Signing{Draft: key, Version: 1, Digest: store.Digest(s.prog, &g), Groom: g})
	if err != nil {
		return "", fmt.Errorf("groom of %s on %s: %w", g.Dog, g.Day, err)
	}
	return key, nil
}

// chooseDog finds a dog that has not been here for some weeks and that one
// would give to an apprentice of this stage, and what state it comes in.
func (s *salon) chooseDog(l *learner, day assessment.Day) (*dog, int, string) {
	stage := l.stage(day) - l.lag
	weights := make([]float64, len(s.dogs))
	for _, gap := range []assessment.Day{26, 14, 1} {
		some := false
		for i, d := range s.dogs {
			if d.last > 0 && day-d.last < gap || d.joins > 0 && day < s.today-daysOf(d.joins) {
				weights[i] = 0
				continue
			}
			weights[i] = suits(d, stage)
			some = some || weights[i] > 0
		}
		if some {
			break
		}
	}
	d := s.dogs[weighted(s.rng, weights)]
	matting := s.matting(d, stage)
	return d, matting, s.service(d, stage, matting)
}

// suits says how likely a dog is given to an apprentice: calm and short-haired
// ones first, everything later.
func suits(d *dog, stage float64) float64 {
	w := 1.0
	switch {
	case stage < beginsAt["R7"]:
		w = map[string]float64{"SM": 2.5, "DA": 2, "DB": 1, "SI": 1, "WI": 0.6, "WO": 0.6, "XW": 0.3}[d.coat]
	case d.coat == "SM":
		w = 0.35
	case d.coat == "DA":
		w = 0.6
	}
	switch {
	case d.temper >= 4 && stage < 5:
		w = 0
	case d.temper == 3 && stage < 2:
		w *= 0.1
	case d.need != "" && stage < 1:
		w *= 0.3
	}
	return w
}

// matting draws the grade the dog comes with. Felted coats are kept from
// beginners.
func (s *salon) matting(d *dog, stage float64) int {
	most := map[string]int{"SM": 0, "DA": 2, "WI": 2}
	top, limited := most[d.coat]
	if !limited {
		top = 4
	}
	if stage < beginsAt["R7"]+1 {
		top = min(top, 1)
	}
	grade := weighted(s.rng, []float64{1.2 - d.tangles, 0.5, 0.35 * d.tangles, 0.16 * d.tangles, 0.03 * d.tangles})
	return min(grade, top)
}

// service is what is booked for a dog that is given to this apprentice.
func (s *salon) service(d *dog, stage float64, matting int) string {
	clips := stage >= beginsAt["R7"]
	switch {
	case d.coat == "SM", !clips:
		return "bath_brush"
	case matting >= 3:
		return "strip_off"
	case stage > 6 && chance(s.rng, 0.03) && d.coat != "DA" && d.coat != "DB":
		return "dry"
	}
	names := []string{"bath_brush", "bath_tidy", "full", "hand_strip"}
	w := map[string][]float64{
		"DA": {0.3, 0.7, 0, 0}, "DB": {0.1, 0.35, 0.55, 0}, "SI": {0.08, 0.17, 0.75, 0}, "WI": {0.08, 0, 0.77, 0.15}, "WO": {0.1, 0, 0.9, 0}, "XW": {0.1, 0, 0.9, 0},
	}[d.coat]
	return names[weighted(s.rng, w)]
}

// compose puts the dog, the brief and the levels together.
func (s *salon) compose(l *learner, d *dog, matting int, service string, day assessment.Day, praise float64) *assessment.Groom {
	o := s.orderFor(d, service, matting)
	g := &assessment.Groom{Apprentice: l.key, Day: day, Dog: d.label, Coat: d.coat, Matting: matting, Service: service,
		Style: o.style, Brief: o.brief(), Share: -1}
	// A dog weighs within 3 % of what it did; to the nearest 100 g.
	g.Grams = int(math.Round(float64(d.grams)*(0.97+0.06*s.rng.Float64())/100)) * 100
	g.Temperament = d.temper
	switch {
	case chance(s.rng, 0.12) && d.temper < 4:
		g.Temperament++
	case chance(s.rng, 0.15) && d.temper > 1:
		g.Temperament--
	}
	g.Stopped = g.Temperament >= 3 && chance(s.rng, 0.12)
	s.assess(l, g, d, praise)
	s.combTest(g)
	s.helped(l, g)
	return g
}

// knots says what was found where the comb did not pass: when it was combed
// out, and when there was a clipper at hand.
var knots = map[string][2]string{
	"behind_ears":  {"Knot behind the left ear, free after a second comb-out.", "Felt behind both ears, taken off under the mat."},
	"armpits":      {"Armpits caught at first, free in the end.", "Right armpit would not comb; taken off under the mat."},
	"between_toes": {"Small mats between the toes, left for the trim.", "Small mats between the toes, cleared with the pads."},
	"tail_base":    {"Tail base tight, eased by hand, owner told.", "Tail base tight, taken shorter there and the owner told."},
}

// combTest records where the comb passed. Weak preparation and mats leave
// places where it did not.
func (s *salon) combTest(g *assessment.Groom) {
	if g.Coat == "SM" {
		return
	}
	missed, with := -1, 0
	if g.Marks["R7"].Level > 0 {
		with = s.rng.IntN(2)
	}
	if level := g.Marks["R5"].Level; g.Matting >= 2 || level > 0 && level < 4 || chance(s.rng, 0.1) {
		missed = s.rng.IntN(len(s.prog.Vocabulary.CombTest))
		g.CombNote = knots[s.prog.Vocabulary.CombTest[missed].ID][with]
	}
	for i, place := range s.prog.Vocabulary.CombTest {
		if i != missed {
			g.CombTest = append(g.CombTest, place.ID)
		}
	}
}

// helped says how much of the work was the apprentice's.
func (s *salon) helped(l *learner, g *assessment.Groom) {
	result := assessment.Judge(s.prog, g)
	mean := result.Mean().Float()
	switch {
	case mean < 2.8:
		g.Help = "hands"
	case mean < 3.5:
		g.Help = "talked_through"
	case mean < 4:
		g.Help = "words"
	default:
		g.Help = "none"
	}
	share := 5 * int(math.Round(20*min(1, max(0.15, (mean-1.6)/2.2))))
	if l.stage(g.Day) < beginsAt["R9"] && g.Service != "bath_brush" {
		share = min(share, 70)
	}
	if g.Matting == 4 {
		share = 50
	}
	g.Share = share
	if chance(s.rng, 0.7) {
		g.Global = int(math.Round(mean))
	}
}

// standard is the time of a qualified groomer in minutes, by service, for a
// small, medium, large and extra large dog.
var standard = map[string][4]float64{
	"bath_brush": {55, 75, 100, 125}, "bath_tidy": {75, 90, 120, 150}, "full": {95, 125, 155, 185}, "hand_strip": {120, 150, 180, 220},
	"strip_off": {75, 105, 135, 180}, "dry": {60, 80, 100, 120},
}

// time ends the groom and rates its pace. Beginners take twice as long; an
// assessor steps in before a dog stands for more than four hours.
func (s *salon) time(l *learner, g *assessment.Groom) {
	size := map[string]int{"XS": 0, "S": 0, "M": 1, "L": 2, "XL": 3}[s.prog.Vocabulary.SizeOf(float64(g.Grams)/1000).ID]
	usual := standard[g.Service][size]
	ratio := 1.08 + 0.95*math.Exp(-(l.stage(g.Day)-l.lag)/4) + 0.09*l.rng.NormFloat64()
	minutes := min(240, usual*max(ratio, 0.95))
	if g.Stopped {
		minutes *= 0.55
	}
	g.Stop = g.Start + assessment.Clock(math.Round(minutes))
	if m := g.Marks["R12"]; m.Level == 0 {
		return
	}
	level := 2
	switch ratio = minutes / usual; {
	case ratio <= 1.15:
		level = 5
	case ratio <= 1.4:
		level = 4
	case ratio <= 1.7:
		level = 3
	}
	g.Marks["R12"] = assessment.Mark{Level: level}
}

// storied lets happen what the apprentice's story says.
func (s *salon) storied(l *learner, g *assessment.Groom) error {
	switch {
	case l.story.bitten && !l.done["bitten"] && l.stage(g.Day) > 3.3 && s.wasSeen(g, "HR3"):
		l.done["bitten"] = true
		b := bite
		g.Temperament = 4
		s.happen(l, g, &b)
	case l.story.burned && !l.done["burned"] && g.Day >= s.today-12:
		standings, err := s.standings(l)
		if err != nil {
			return err
		}
		for _, skill := range []string{"CL2", "TH2", "DR2", "DR1", "NE1", "BA3"} {
			if standings[skill].SignedNow() && s.wasSeen(g, skill) {
				l.done["burned"] = true
				b := burn[skill]
				s.happen(l, g, &b)
				return nil
			}
		}
	}
	return nil
}

// again rates a groom a second time, by somebody who watched it too.
func (s *salon) again(j *judge, key string, g assessment.Groom) error {
	first := g
	g.SecondOf, g.Incidents, g.Global = key, nil, 0
	g.Marks, g.Skills = map[string]assessment.Mark{}, map[string]int{}
	for i := range s.prog.Rubric.Criteria {
		id := s.prog.Rubric.Criteria[i].ID
		m := first.Marks[id]
		if m.Level > 0 {
			m.Level = s.otherEyes(m.Level)
			g.Marks[id] = m
		} else if m.NotApplicable {
			g.Marks[id] = m
		}
	}
	for _, sk := range s.prog.AllSkills() {
		if level := first.Skills[sk.ID]; level != 0 {
			g.Skills[sk.ID] = level
		}
	}
	feedback(s.rng, s.prog, &g)
	_, err := s.sign(j, g)
	return err
}

// otherEyes is the level a second assessor gives: mostly the same.
func (s *salon) otherEyes(level int) int {
	x := s.rng.Float64()
	switch {
	case level == 5 && x < 0.35, level == 4 && x < 0.025, level == 3 && x < 0.1:
		return level - 1
	case level == 4 && x > 0.87, level == 3 && x > 0.72, level < 3 && x > 0.8:
		return level + 1
	}
	return level
}

// mistaken signs a groom with a slip of the pen, which its assessor corrects
// the next working day.
func (s *salon) mistaken(j *judge, v visit, right assessment.Groom) error {
	wrong, because := right, ""
	switch s.rng.IntN(3) {
	case 0:
		wrong.Grams = right.Grams * 2
		because = "The weight was that of the dog on the next table."
	case 1:
		wrong.Stop = right.Stop + 60
		because = "The stop time was typed an hour late."
	default:
		wrong.Keep, wrong.Change = right.Change, right.Keep
		because = "What to keep and what to change stood in each other's place."
	}
	key, err := s.sign(j, wrong)
	if err != nil {
		return err
	}
	right.Supersedes, right.Because = key, because
	s.agenda.plan(s.at(openFrom(v.day+1), 8*60+20+s.rng.IntN(20)), func() error {
		_, err := s.sign(j, right)
		return err
	})
	return nil
}

// planDrafts leaves two grooms on the head groomer's table.
func (s *salon) planDrafts() {
	for i, minutes := range []int{52, 9} {
		at := s.now.Add(-minute(minutes))
		s.agenda.plan(at, func() error {
			l := s.learners[i*2]
			d := s.dogs[(int(s.today)+17*i)%len(s.dogs)]
			for d.coat == "SM" || d.joins > 0 || s.today-d.last < 14 {
				d = s.dogs[s.rng.IntN(len(s.dogs))]
			}
			_, err := s.st.NewDraft(s.ctx, s.judges[0].Scope, s.draft(l, d, i == 0), "")
			return err
		})
	}
}

// draft is a form half filled in; a nearly finished one has levels too.
func (s *salon) draft(l *learner, d *dog, nearly bool) url.Values {
	at := s.clock.now().In(s.zone)
	service := s.service(d, 8, 1)
	o := s.orderFor(d, service, 1)
	f := url.Values{
		"apprentice": {l.key}, "day": {s.dayOf(at).String()}, "start": {at.Format("15:04")}, "dog": {d.label}, "coat": {d.coat},
		"size_kg": {fmt.Sprintf("%.1f", float64(d.grams)/1000)}, "matting": {"1"}, "temperament": {fmt.Sprint(d.temper)},
		"service": {service}, "style": {o.style}, "asked": {o.asked}, "coat_allows": {o.allows}, "agreed": {o.agreed},
		"agreed_why": {o.why}, "leave_alone": {o.leave}, "weeks_until_next": {fmt.Sprint(o.weeks)},
	}
	if !nearly {
		f.Set("level.R1", "4")
		return f
	}
	for _, place := range s.prog.Vocabulary.CombTest {
		f.Add("prep", place.ID)
	}
	for i, id := range strings.Fields("R1 R2 R3 R4 R5 R6") {
		f.Set("level."+id, []string{"4", "4", "5", "4", "4", "3"}[i])
	}
	f.Set("keep", pick(s.rng, advices["R3"].keep))
	return f
}
