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
