package sequence

import "testing"

// BenchmarkThreshold compares the search with a limit: showing that 17 is the
// least threshold takes at least the chances at 17 and at 16, each a bare loop
// over fixed arrays.
func BenchmarkThreshold(b *testing.B) {
	b.Run("search", func(b *testing.B) {
		for b.Loop() {
			if h, err := Threshold(10, -10, 60, 0.20, 0.05); h != 17 || err != nil {
				b.Fatal(h, err)
			}
		}
	})
	b.Run("limit", func(b *testing.B) {
		for b.Loop() {
			if at17, at16 := bareReach(17), bareReach(16); at17 > 0.05 || at16 <= 0.05 {
				b.Fatal(at17, at16)
			}
		}
	})
}

func bareReach(h int) (done float64) {
	const fault, floor, n, p = 10, 10, 60, 0.20
	var from, to [32]float64
	states := floor + h
	from[floor] = 1
	for range n {
		to[0] = 0
		for i := range fault + 1 {
			to[0] += from[i] * p
		}
		for i := fault + 1; i < states; i++ {
			to[i-fault] = from[i] * p
		}
		clear(to[states-fault : states])
		for i := range states - 1 {
			to[i+1] += from[i] * (1 - p)
		}
		done += from[states-1] * (1 - p)
		from, to = to, from
	}
	return done
}

// BenchmarkCurve compares 101 rates within 100 observations with a limit: a bare
// loop over the same scores in fixed arrays.
func BenchmarkCurve(b *testing.B) {
	rates := make([]float64, 101)
	for i := range rates {
		rates[i] = float64(i) / 100
	}
	r := Rule{10, -10, 17, 100}
	b.Run("curve", func(b *testing.B) {
		for b.Loop() {
			if got := r.Curve(100, rates); got[0] != 1 {
				b.Fatal(got)
			}
		}
	})
	b.Run("limit", func(b *testing.B) {
		for b.Loop() {
			for i, p := range rates {
				if got := bareCurve(p); i == 0 && got != 1 {
					b.Fatal(got)
				}
			}
		}
	})
}

func bareCurve(p float64) (done float64) {
	const fault, floor, states, n = 10, 10, 27, 100
	var from, to [states]float64
	from[floor] = 1
	for range n {
		bottom := 0.0
		for i := range fault + 1 {
			bottom += from[i]
		}
		done += (1 - p) * from[states-1]
		to[0] = p * bottom
		for i := 1; i < states-fault; i++ {
			to[i] = (1-p)*from[i-1] + p*from[i+fault]
		}
		for i := states - fault; i < states; i++ {
			to[i] = (1 - p) * from[i-1]
		}
		from = to
	}
	return done
}

// BenchmarkFrontier compares the search with a limit: the three passes over
// observations that the figures of each remaining rule take, and one that shows
// the threshold of each rule tried.
func BenchmarkFrontier(b *testing.B) {
	const p0, p1, alpha, n = 0.02, 0.20, 0.05, 60
	improving := ImprovingFor(p0, p1)
	b.Run("search", func(b *testing.B) {
		for b.Loop() {
			if f, err := Frontier(p0, p1, alpha, n, improving); len(f) != 19 || err != nil {
				b.Fatal(len(f), err)
			}
		}
	})
	corners := leastThresholds(p0, p1, alpha, n)
	var tried []Rule
	for _, fault := range searchSteps(p0, p1) {
		for _, depth := range append([]int{0}, searchSteps(p0, p1)...) {
			h, err := Threshold(fault, -depth, n, p1, alpha)
			if err != nil {
				b.Fatal(err)
			}
			tried = append(tried, Rule{fault, -depth, h, n})
		}
	}
	b.Run("limit", func(b *testing.B) {
		for b.Loop() {
			for _, r := range tried {
				if r.ReachWithin(n, p1) > alpha {
					b.Fatal(r)
				}
			}
			for _, r := range corners {
				if r.MeanWithin(n, p0) > n || r.ReachWithin(n, p1) > alpha || r.ReachWithinVarying(improving.Rate, n) > 1 {
					b.Fatal(r)
				}
			}
		}
	})
}

// BenchmarkForecast compares a forecast for an unknown rate with a limit: as many
// passes over observations as there are rates.
func BenchmarkForecast(b *testing.B) {
	r := Rule{10, -10, 17, 60}
	rates := BetaRates(1, 13, 400)
	b.Run("forecast", func(b *testing.B) {
		for b.Loop() {
			if f := r.Forecast(4, 60, rates...); f.Never() == 0 {
				b.Fatal(f)
			}
		}
	})
	b.Run("limit", func(b *testing.B) {
		for b.Loop() {
			for _, got := range r.Curve(60, rates) {
				if got == 0 {
					b.Fatal(got)
				}
			}
		}
	})
}
