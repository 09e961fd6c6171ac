package demo

import (
	"tablehand/assessment"
	"tablehand/curriculum"
)

// mishap is a kind of slip with the words of the report.
type mishap struct {
	kind, severity, skill string
	by                    string // attribution; empty leaves it to the dice
	note                  string
	also                  string // a skill seen because of it
}

// mishap lets at most one slip happen in a groom, more often early than late.
func (s *salon) mishap(l *learner, g *assessment.Groom, stage float64) {
	early := 0.7 + 0.8/(1+stage/3)
	var severity string
	switch x := l.rng.Float64() / early; {
	case x < 0.011:
		severity = "S2"
	case x < 0.055:
		severity = "S1"
	case x < 0.125:
		severity = "S0"
	default:
		return
	}
	var fitting []*mishap
	for i := range mishaps {
		if m := &mishaps[i]; m.severity == severity && s.wasSeen(g, m.skill) {
			fitting = append(fitting, m)
		}
	}
	if len(fitting) > 0 {
		s.happen(l, g, pick(l.rng, fitting))
	}
}

// wasSeen reports whether a groom shows a skill.
func (s *salon) wasSeen(g *assessment.Groom, skill string) bool {
	c := s.prog.Rubric.CriterionOf(skill)
	if c == nil || g.Marks[c.ID].Level == 0 || g.Skills[skill] == assessment.Unseen {
		return false
	}
	for _, id := range c.Skills {
		if id == skill {
			return true
		}
	}
	return g.Skills[skill] > 0
}

// happen writes a mishap into a groom and lets it show in the levels.
func (s *salon) happen(l *learner, g *assessment.Groom, m *mishap) {
	by := m.by
	if by == "" {
		by = []string{"apprentice", "shared", "dog", "equipment", "assessor"}[weighted(l.rng, []float64{66, 12, 10, 8, 4})]
	}
	told := chance(l.rng, map[string]float64{"S0": 0.75, "S1": 0.6, "S2": 0.5, "S3": 1}[m.severity])
	g.Incidents = append(g.Incidents, assessment.Incident{Kind: m.kind, Severity: m.severity, Attribution: by, Skill: m.skill, SelfReported: told, Note: m.note})
	against := s.prog.Incidents.CountsAgainst(by)
	if against && (m.severity == "S2" || m.severity == "S3" || m.severity == "S1" && chance(l.rng, 0.5)) {
		g.Skills[m.skill] = 3
	}
	if m.also != "" && g.Marks[s.prog.Rubric.CriterionOf(m.also).ID].Level > 0 {
		g.Skills[m.also] = 4
	}
	if m.severity != "S0" && g.Marks["R13"].Level >= curriculum.CleanLevel && chance(l.rng, 0.7) {
		g.Skills["CW6"] = 4 // told and written down well
	}
}

var (
	burn = map[string]mishap{
		"TH2": {"clipper_burn", "S2", "TH2", "apprentice", "Coin-sized red patch on the right flank after a long run with one blade. Cooled, owner shown, vet phoned for advice.", ""},
		"CL2": {"clipper_burn", "S2", "CL2", "apprentice", "Red strip over the loin from repeated passes. Cooled, owner shown.", ""},
		"DR2": {"brush_burn", "S2", "DR2", "apprentice", "Thigh brushed too long under warm air, skin red and sore. Owner shown, cream as the vet advised.", ""},
		"DR1": {"brush_burn", "S2", "DR1", "apprentice", "Reddened skin at the thigh after drying against a knot. Owner shown.", ""},
		"BA3": {"skin_reaction", "S2", "BA3", "apprentice", "Belly red the next day, shampoo left in. Owner rang, rinsed again, vet asked.", ""},
		"NE1": {"quicked_nail", "S2", "NE1", "apprentice", "Black nail cut too far, bled for seven minutes. Owner told at once.", ""},
	}
	bite = mishap{"bite_person", "S3", "HR3", "shared", "Bite to the left hand, skin broken, while the hind feet were held on after two growls. Wound washed, seen by a doctor. The assessor finished the feet.", ""}
)

var mishaps = []mishap{
	{"near_miss", "S0", "HR2", "apprentice", "Belly loop still on while reaching for the comb; noticed at once.", ""},
	{"near_miss", "S0", "HR1", "", "Hind foot slid off the table edge, dog held in time.", ""},
	{"near_miss", "S0", "HR5", "", "Kennel door not latched; seen before the dog moved.", ""},
	{"escape_room", "S0", "HR5", "", "Slipped past at the inner door, the outer one was shut. Fetched back in a minute.", ""},
	{"near_miss", "S0", "BA1", "equipment", "Mixer jumped to warm; the hose was off the dog.", ""},
	{"near_miss", "S0", "TH2", "apprentice", "Blade too hot at the wrist, changed before it touched the dog.", ""},
	{"lost_tool", "S0", "TH4", "", "Scissors left on the table edge while the dog was turned.", ""},
	{"near_miss", "S0", "TH3", "", "Loop from a dog with itchy skin nearly used again. Put in the wash.", ""},
	{"near_miss", "S0", "HC1", "", "Two dogs of one name booked; mix-up seen at the card check.", ""},
	{"near_miss", "S0", "CL9", "equipment", "Comb worked loose at the thigh, no stripe cut.", ""},
	{"near_miss", "S0", "SC5", "dog", "Head turned into the scissors; they were closed and pointing away.", ""},
	{"near_miss", "S0", "DR1", "", "Cord across the walkway, tripped over, nobody hurt.", ""},

	{"quicked_nail", "S1", "NE1", "", "Left dewclaw, bleeding stopped in three minutes with powder.", "NE2"},
	{"quicked_nail", "S1", "NE1", "", "One black nail, a few drops, stopped in two minutes.", "NE2"},
	{"cut", "S1", "CL6", "", "Graze of 3 mm in the armpit. Cleaned, owner shown.", ""},
	{"cut", "S1", "CL5", "", "Ear edge nicked, 2 mm, pressed for four minutes.", ""},
	{"cut", "S1", "SC2", "", "Small nick at the pad edge, no plaster needed.", ""},
	{"cut", "S1", "CL8", "", "Scratch of 2 mm between the toes.", ""},
	{"water_shampoo", "S1", "BA3", "", "Shampoo in the left eye, rinsed for two minutes, clear again.", ""},
	{"scratch", "S1", "HR3", "dog", "Forearm scratched while lifting down. Washed.", ""},
	{"scratch", "S1", "SC5", "", "Comb tooth scratched the cheek, no blood.", ""},
	{"chemical_splash", "S1", "TH3", "", "Disinfectant on the wrist, washed off, no mark.", ""},
	{"complaint", "S1", "CW2", "shared", "Owner found the legs too short. Agreed length was on the card.", ""},

	{"quicked_nail", "S2", "NE1", "", "Two nails, the second bled for eight minutes. Owner asked to watch it.", "NE2"},
	{"brush_burn", "S2", "CO2", "", "Skin red behind the ear after combing out a knot. Owner told, vet asked.", ""},
	{"clipper_burn", "S2", "CL7", "", "Itchy red patch in the groin next day, owner rang.", ""},
	{"fall", "S2", "HR1", "dog", "Jumped off while the table was going down. Walked sound, owner told.", ""},
	{"skin_reaction", "S2", "BA2", "equipment", "Rash on the belly next day; the batch of shampoo was sent back.", ""},
	{"water_shampoo", "S2", "BA3", "", "Head shaking the next day, water in the ear. Vet advised drops.", ""},
}
