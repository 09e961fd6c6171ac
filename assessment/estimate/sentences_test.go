package estimate

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write testdata/sentences.golden; read it before keeping it")

func TestSentences(t *testing.T) {
	var got strings.Builder
	say := func(title string, lines ...string) {
		got.WriteString("# " + title + "\n" + strings.Join(lines, "\n") + "\n\n")
	}
	say("Not clean", NotCleanSentence(0, 17), NotCleanSentence(1, 17), NotCleanSentence(2, 17), NotCleanSentence(3, 3),
		NotCleanSentence(1, 1), NotCleanSentence(0, 1000), NotCleanSentence(0, 0), NotCleanSentence(2, 1))
	say("Clean", CleanSentence(9, 10), CleanSentence(1, 1), CleanSentence(0, 4), CleanSentence(0, 0), CleanSentence(-1, 4))
	say("Below", BelowSentence(0, 13, 0.2), BelowSentence(2, 13, 0.1), BelowSentence(0, 500, 0.2))
	say("Zero faults", ZeroFaultSentence(0.2, 0.05), ZeroFaultSentence(0.9, 0.5), ZeroFaultSentence(0, 0.05))

	forecasts := []Skill{
		aSkill("CCCCCCCCCCCC", 12), aSkill("CCCCCCCCCCNCCCCCCCCC", 9), aSkill("CCCCCCCCCCCCCCCC", 16),
		aSkill("CCC", 3), aSkill("CNCNCNCNC", -6), aSkill("CCCCCCCCCCCCCCCCC", 17),
	}
	young := aSkill("CCCCCC", 6)
	young.Days = 10
	idle := aSkill("CCCCCC", 6)
	idle.DaysAgo = nil
	usedUp := aSkill("CCCCCC", 6)
	usedUp.Used = 60
	slow := aSkill("CCCCCCCCCCCC", 12)
	slow.DaysAgo = slow.DaysAgo[:1]
	slow.DaysAgo[0] = 30
	undated := aSkill("CCCCCCCCCCCC", 12)
	undated.TargetDays = 0
	wrong := aSkill("CCCCCC", 6)
	wrong.Rule.Threshold = 70
	var shown []SkillForecast
	for _, s := range append(forecasts, young, idle, usedUp, slow, undated, wrong) {
		f := Forecast(s)
		if f.WhyNot != "" {
			say("Skill, not shown", ObservationsSentence(f))
			continue
		}
		shown = append(shown, f)
		say("Skill", ObservationsSentence(f), HalfwaySentence(f), WeeksSentence(f), TargetSentence(f))
	}
	require.Len(t, shown, 4)
	for _, p := range []ProgrammeForecast{
		ForecastProgramme(shown[:1], 70), ForecastProgramme([]SkillForecast{shown[0], shown[2]}, 70), ForecastProgramme(shown[:1], 0),
		ForecastProgramme(shown, 70), ForecastProgramme(nil, 70), ForecastProgramme([]SkillForecast{shown[0], {WhyNot: "too early"}}, 70),
	} {
		say("Programme", ProgrammeSentence(p), ProgrammeTargetSentence(p))
	}
	say("Programme, assumptions", ProgrammeAssumptions())

	say("Self-rating", CalibrationSentence(Calibration{Predictions: 24, Brier: 0.21, Uncertainty: 0.19, Overconfidence: 0.08}),
		CalibrationSentence(Calibration{Predictions: 24, Brier: 0.21, Uncertainty: 0.25, Overconfidence: -0.12}),
		CalibrationSentence(Calibration{Predictions: 20, Brier: 0.2, Uncertainty: 0.25}), CalibrationSentence(Calibration{Predictions: 1}))
	say("Smoothed", SmoothedSentence(9), SmoothedSentence(4), SmoothedSentence(1), SmoothedSentence(0))
	say("Never falling", IsotonicSentence(9), IsotonicSentence(1), IsotonicSentence(0))
	say("Pass line", PassLineSentence(must(Angoff([][]float64{{60, 70, 80, 55}, {65, 75, 70, 50}, {55, 80, 85, 60}}))), PassLineSentence(PassLine{}))
	say("Borderline", BorderlineLineSentence(BorderlineLine{Performances: 60, Line: 47.4}), BorderlineLineSentence(BorderlineLine{Performances: 15, Line: 44.4}),
		BorderlineLineSentence(BorderlineLine{}), BorderlineGroupSentence(BorderlineScores{12, 43.9, 44.4}), BorderlineGroupSentence(BorderlineScores{1, 44, 44}), BorderlineGroupSentence(BorderlineScores{}))
	d := must(Rasch([][]int{{1, 0}, {0, 1}}, []int{30, 10}))
	say("Difficulty", DifficultySentence(d, 1), DifficultySentence(d, 2), DifficultySentence(must(Rasch([][]int{{1, 0}, {0, 1}}, []int{5, 5})), 1), DifficultySentence(d, 3))

	path := filepath.Join("testdata", "sentences.golden")
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(got.String()), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), got.String(), "go test ./assessment/estimate -run TestSentences -update writes it anew")
}
