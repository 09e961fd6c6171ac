package estimate

import "testing"

// BenchmarkForecast compares a forecast with a limit: whatever mixes over rates
// has to run the rule for each of them, here a bare loop over fixed arrays.
func BenchmarkForecast(b *testing.B) {
	s := aSkill("CCCCCCCCCCCC", 12)
	rates := must(Beta{}.After(0, 12)).points(MixPoints)
	f := Forecast(s)
	b.Run("forecast", func(b *testing.B) {
		for b.Loop() {
			if got := Forecast(s); got.WithinRemaining != f.WithinRemaining {
				b.Fatal(got.WithinRemaining)
			}
		}
	})
	b.Run("limit", func(b *testing.B) {
		for b.Loop() {
			if got := bareMix(rates, s.Score, f.Remaining); got-f.WithinRemaining > 1e-12 || f.WithinRemaining-got > 1e-12 {
				b.Fatal(got, f.WithinRemaining)
			}
		}
	})
	b.Run("programme-of-12", func(b *testing.B) {
		missing := make([]SkillForecast, 12)
		for i := range missing {
			missing[i] = Forecast(aSkill("CCCCCCCCCCCCCCCCCCCCCCCCCCCCCCC", 16))
		}
		for b.Loop() {
			if p := ForecastProgramme(missing, 70); p.WhyNot != "" {
				b.Fatal(p.WhyNot)
			}
		}
	})
}

func bareMix(rates []float64, score, n int) float64 {
	const fault, floor, threshold = 10, 10, 17
	done := 0.0
	for _, p := range rates {
		var from, to [floor + threshold + 1]float64
		from[floor+score] = 1
		for range n {
			low := 0.0
			for i := range fault + 1 {
				low += from[i]
			}
			to[0] = low * p
			for i := 1; i < floor+threshold-fault; i++ {
				to[i] = from[i-1]*(1-p) + from[i+fault]*p
			}
			for i := floor + threshold - fault; i < floor+threshold; i++ {
				to[i] = from[i-1] * (1 - p)
			}
			done += from[floor+threshold-1] * (1 - p)
			from, to = to, from
		}
	}
	return done / float64(len(rates))
}
