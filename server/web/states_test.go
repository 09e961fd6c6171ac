package web

import (
	"reflect"
	"strings"
	"testing"
)

// fixture is a page of the gallery, copied so that it can be changed.
func fixture[P any](name string) P {
	for _, f := range fixtures() {
		if f.name == name {
			return rewritten(f.page, func(s string) string { return s }).(P)
		}
	}
	panic("no fixture is called " + name)
}

// rewritten is a deep copy of a page with every text in it put through to.
// Drawings and other finished markup are left as they are.
func rewritten(page any, to func(string) string) any {
	return rewriteValue(reflect.ValueOf(page), to).Interface()
}

func rewriteValue(v reflect.Value, to func(string) string) reflect.Value {
	out := reflect.New(v.Type()).Elem()
	out.Set(v)
	switch v.Kind() {
	case reflect.String:
		if v.Type() == reflect.TypeFor[string]() {
			out.SetString(to(v.String()))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if out.Field(i).CanSet() {
				out.Field(i).Set(rewriteValue(v.Field(i), to))
			}
		}
	case reflect.Slice:
		if v.IsNil() {
			break
		}
		out.Set(reflect.MakeSlice(v.Type(), v.Len(), v.Len()))
		for i := range v.Len() {
			out.Index(i).Set(rewriteValue(v.Index(i), to))
		}
	case reflect.Array:
		for i := range v.Len() {
			out.Index(i).Set(rewriteValue(v.Index(i), to))
		}
	case reflect.Pointer:
		if !v.IsNil() {
			out.Set(reflect.New(v.Type().Elem()))
			out.Elem().Set(rewriteValue(v.Elem(), to))
		}
	}
	return out
}

// strange puts long names, names in other scripts and words without a place to
// break where the fixtures have short ones.
var strange = strings.NewReplacer(
	"Jory Pell", "Wilhelmina-Konstantina Featherstonehaugh-van der Westhuizen",
	"Aïsha Okonkwo-Brandt", "عائشة بنت عبد الرحمن الخطيب",
	"Mbali Zwane", "Þórunn Ægisdóttir-Łukasiewiczówna",
	"Nils Østergård", "แสงดาว ศรีสุวรรณ",
	"Rowan Ash", "Åsgeir Øvrebø-Ćwiertniewicz de Albuquerque",
	"Indigo Farr", "ישראל בן־דוד אברמוביץ׳",
	"Biscuit", "Donaudampfschifffahrtsgesellschaft",
	"Tarn", "🐩",
	"Salon Alder", "Hundesalon Überlingen-Donaueschingen am Bodensee, Hinterhaus",
	"Throat and face", "Throat, face and the underside of the jaw, including the lip folds",
	"Comb test", "Kammprüfung an den versteckten Stellen, auch zwischen den Zehen",
)

// longStates are pages full of names that a layout made for short ones breaks
// at.
func longStates() []namedPage {
	var out []namedPage
	for _, name := range []string{"sign-in", "today", "my-day", "over-time", "logbook-all", "logbook-new", "logbook-entry", "countersign", "groom-answer", "matrix", "matrix-25", "apprentice", "apprentice-skill", "skill", "grooms", "groom-new", "groom-draft",
		"groom-read-back", "groom", "groom-correct", "sealed-apprentice", "sign-offs", "propose", "sign-off", "rule", "agreement", "export", "people", "person-left", "account", "error-409"} {
		out = append(out, namedPage{name + "-long", rewritten(fixture[any](name), strange.Replace)})
	}
	return out
}

// moreStates are what a page becomes when something was typed wrongly, when
// there is little to show and when the reader may do less.
func moreStates() []namedPage {
	out := append(wrongStates(), sparseStates()...)
	waited := fixture[SignIn]("sign-in")
	waited.Waited = "For safety, wait 30 seconds before the next try."
	setUp := NewSetUp()
	setUp.Zone.Choices = []Choice{{Value: "Europe/London", Label: "Europe/London"}}
	full := fixture[ApprenticeSkill]("apprentice-skill")
	full.Optional, full.LeftOut, full.StandsAnyway = true, "1 newer groom not in these figures yet.", "It was signed under an earlier version of the rule and stays signed."
	full.Watch, full.Points.Forecast = "14 clean since sign-off, none not clean.", []string{"Between 9 and 22 more observations, if they go as the last 12."}
	full.Levels = ChartLevels([]LevelPoint{{3, false, "1 March 2026, Biscuit"}, {4, true, "2 March 2026, Tarn"}, {2, false, "3 March 2026, Pip"}, {4, true, "4 March 2026, Fern"}, {5, true, "5 March 2026, Moss"}}, []float64{4})
	agreement := fixture[Agreement]("agreement")
	agreement.Pairs[0].Chart = ChartSpans("spans-p1", "Shares", []Span{{"Same decision", .6, .9, .98}, {"Agreement beyond luck", .2, .5, .8}})
	draft := fixture[ErrorPage]("error-409")
	draft.Conflict, draft.Keep = nil, nil
	demo := fixture[Today]("today")
	demo.DemoNote, demo.Refresh = "An invented salon: every person, dog and groom here is made up. Nothing is kept when it stops.", "/"
	return append(out, namedPage{"sign-in-waited", waited}, namedPage{"set-up-first", setUp}, namedPage{"apprentice-skill-everything", full}, namedPage{"agreement-chart", agreement},
		namedPage{"error-409-plain", draft}, namedPage{"today-demo", demo})
}

// wrongStates are forms that came back with something to put right.
func wrongStates() []namedPage {
	welcome := fixture[Welcome]("welcome")
	welcome.Fail(&welcome.Code, "This code does not go with this login, or it was used already. Ask the person who added you for a new one.")
	welcome.Fail(&welcome.Password, "Enter a password of twelve characters or more; this one has 7.")
	begin := fixture[GroomNew]("groom-new")
	begin.Apprentice.Choose()
	begin.Fail(&begin.Apprentice, "Choose who is grooming.")
	begin.Fail(&begin.Dog, "Enter the dog's name, and a word that tells it from others of that name.")
	readBack := fixture[GroomReadBack]("groom-read-back")
	readBack.Corrects = "This corrects the groom signed on 2 March 2026. Reason: the wrong dog was chosen."
	readBack.Fail(&readBack.Password, "This is not your password. Nothing was signed.")
	correct := fixture[GroomCorrect]("groom-correct")
	correct.Fail(&correct.Reason, "Say what is wrong with it.")
	propose := fixture[Propose]("propose")
	propose.Fail(&propose.Password, "This is not your password. Nothing was proposed.")
	signOff := fixture[SignOff]("sign-off")
	signOff.Fail(&signOff.Reason, "Say what you want to see before you would confirm.")
	signOff.Fail(&signOff.Password, "This is not your password. Nothing was decided.")
	skill := fixture[ApprenticeSkill]("apprentice-skill")
	skill.Fail(&skill.Holds[0].Met, "Choose whether the condition has been shown.")
	skill.Fail(&skill.Holds[0].Password, "This is not your password. The hold stays.")
	skill.Fail(&skill.Permission.Level, "P4 is above what the evidence supports. The highest now is P3.")
	people := fixture[People]("people")
	people.Code, people.Left = nil, []PersonLine{{"Hana Sato", "hana", "Assessor", "", "left 2 March 2026", "", "", "/people/p9"}}
	people.Fail(&people.Form.Login, "The login “jory” is taken. Choose another.")
	return []namedPage{{"welcome-wrong", welcome}, {"groom-new-wrong", begin}, {"groom-read-back-wrong", readBack}, {"groom-correct-wrong", correct}, {"propose-wrong", propose},
		{"sign-off-wrong", signOff}, {"apprentice-skill-wrong", skill}, {"people-wrong", people}}
}

// sparseStates are pages with little on them, or for someone who may do little.
func sparseStates() []namedPage {
	groom := fixture[Groom]("groom")
	groom.Notice, groom.Incidents, groom.Moved, groom.Same, groom.Next, groom.Correct, groom.NewURL, groom.Supersedes, groom.SecondOf = "", nil, nil, nil, nil, "", "", nil, nil
	groom.Insecure, groom.LeftOut = true, "1 newer groom not in these figures yet."
	blank := fixture[GroomDraft]("groom-draft")
	blank.SavedAt, blank.Incidents, blank.SoFar = "", blank.Incidents[1:], SoFar{Marked: "0 of 13", Weight: "weight 0 of 100"}
	for i := range blank.Criteria {
		for l := range blank.Criteria[i].Levels {
			blank.Criteria[i].Levels[l].Checked = false
		}
	}
	for _, c := range []*Choices{&blank.Coat, &blank.Matting, &blank.Temperament, &blank.Style, &blank.Prep, &blank.Help} {
		c.Choose()
	}
	sealed := fixture[SealedGroom]("sealed-apprentice")
	sealed.Problems = nil
	people := fixture[People]("people")
	people.Code, people.CanAdd = nil, false
	people.People = people.People[:1]
	people.People[0].NewCode, people.People[0].Change = "", ""
	rule := fixture[Rule]("rule")
	rule.Problems, rule.Choices, rule.Picked, rule.Search.Within.Error = nil, nil, nil, ""
	noPolicy := fixture[Skill]("skill-disputed")
	noPolicy.Problems, noPolicy.Policy, noPolicy.Optional = nil, &PolicyPanel{}, true
	learner := fixture[ApprenticeSkill]("apprentice-skill-bare")
	learner.Review = &ReviewPanel{Why: "The declared number of observations has passed.", WhyNot: "Your assessor records it once you have talked."}
	learner.Requirements, learner.Points = nil, nil
	programme := fixture[Programme]("programme")
	programme.Units, programme.Points, programme.Completion = programme.Units[:1], nil, nil
	return []namedPage{{"groom-bare", groom}, {"groom-draft-blank", blank}, {"sealed-apprentice-first", sealed}, {"people-auditor", people}, {"rule-plain", rule},
		{"skill-no-policy", noPolicy}, {"apprentice-skill-learner", learner}, {"programme-small", programme}}
}

func TestRewrittenCopiesAndChanges(t *testing.T) {
	before := fixture[ApprenticeSkill]("apprentice-skill")
	after := rewritten(before, strange.Replace).(ApprenticeSkill)
	if !strings.Contains(after.Apprentice, "Westhuizen") || !strings.Contains(after.Permission.History[0].By, "Albuquerque") || before.Apprentice != "Jory Pell" || before.Permission.History[0].By != "Rowan Ash" {
		t.Errorf("%q %q, before %q %q", after.Apprentice, after.Permission.History[0].By, before.Apprentice, before.Permission.History[0].By)
	}
	after.Points.Rows[0].Dog = "changed"
	if before.Points.Rows[0].Dog != "Biscuit" {
		t.Error("the copy shares what a pointer leads to")
	}
}
