package demo

import "math/rand/v2"

func chance(r *rand.Rand, p float64) bool { return r.Float64() < p }

func pick[T any](r *rand.Rand, list []T) T { return list[r.IntN(len(list))] }

// weighted draws a position in proportion to its weight; −1 when all are 0.
func weighted(r *rand.Rand, weights []float64) int {
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	if sum <= 0 {
		return -1
	}
	x, last := r.Float64()*sum, -1
	for i, w := range weights {
		if w <= 0 {
			continue
		}
		if last = i; x < w {
			break
		}
		x -= w
	}
	return last
}
