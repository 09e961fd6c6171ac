package selftest

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
)

// args reads the inputs of one case by name and keeps the first thing that is
// wrong with them. Every number has bounds, so that no case takes long. After a
// mistake it gives zero values, so an adapter has to read everything before it
// calculates.
type args struct {
	in   object
	used map[string]bool
	err  error // names the field, what was found and what is taken
}

func newArgs(in object) *args { return &args{in: in, used: map[string]bool{}} }

func (a *args) fail(at, format string, values ...any) {
	if a.err == nil {
		a.err = fmt.Errorf("inputs.%s %s", at, fmt.Sprintf(format, values...))
	}
}

// done says what is wrong with the inputs, keys that nothing asked for included.
func (a *args) done() error {
	for _, key := range a.in.keys {
		if !a.used[key] {
			a.fail(cut(key, 60), "is not an input of this method: remove it or correct its name")
		}
	}
	return a.err
}

func (a *args) get(key string) any {
	a.used[key] = true
	v, ok := a.in.at[key]
	if !ok {
		a.fail(key, "is missing")
	}
	return v
}

// number is a number from low to high.
func (a *args) number(at string, v any, low, high float64) float64 {
	n, ok := v.(json.Number)
	if !ok {
		a.fail(at, "is %s: a number from %v to %v is needed", kind(v), low, high)
		return 0
	}
	f, err := n.Float64()
	if err != nil || !(f >= low && f <= high) {
		a.fail(at, "is %s: it can be from %v to %v", n, low, high)
		return 0
	}
	return f
}

// integer is a whole number from low to high, also when it is written 3.0.
func (a *args) integer(at string, v any, low, high int) int {
	f := a.number(at, v, float64(low), float64(high))
	if f != math.Trunc(f) {
		a.fail(at, "is %v: a whole number is needed", f)
		return 0
	}
	return int(f)
}

func (a *args) whole(key string, low, high int) int {
	return a.integer(key, a.get(key), low, high)
}

func (a *args) real(key string, low, high float64) float64 {
	return a.number(key, a.get(key), low, high)
}

// share is a number from 0 to 1.
func (a *args) share(key string) float64 { return a.real(key, 0, 1) }

// inside is a share that is neither 0 nor 1, nor so near that it takes long.
func (a *args) inside(key string) float64 { return a.real(key, 1e-6, 1-1e-6) }

// listOf is a list of 1 to most elements.
func listOf[T any](a *args, at string, v any, most int, each func(at string, v any) T) []T {
	list, ok := v.([]any)
	switch {
	case !ok:
		a.fail(at, "is %s: a list is needed", kind(v))
		return nil
	case len(list) == 0 || len(list) > most:
		a.fail(at, "is a list of %d: it can hold 1 to %d", len(list), most)
		return nil
	}
	out := make([]T, len(list))
	for i, e := range list {
		out[i] = each(fmt.Sprintf("%s[%d]", at, i), e)
	}
	return out
}

func (a *args) reals(key string, most int, low, high float64) []float64 {
	return listOf(a, key, a.get(key), most, func(at string, v any) float64 { return a.number(at, v, low, high) })
}

func (a *args) wholes(key string, most, low, high int) []int {
	return listOf(a, key, a.get(key), most, func(at string, v any) int { return a.integer(at, v, low, high) })
}

// table is a list of rows that are equally long.
func table[T any](a *args, at string, v any, rows, columns int, cell func(at string, v any) T) [][]T {
	out := listOf(a, at, v, rows, func(at string, v any) []T { return listOf(a, at, v, columns, cell) })
	for i := range out {
		if len(out[i]) != len(out[0]) {
			a.fail(fmt.Sprintf("%s[%d]", at, i), "is a list of %d and the first row one of %d: all rows are equally long", len(out[i]), len(out[0]))
		}
	}
	return out
}

func (a *args) realTable(key string, low, high float64) [][]float64 {
	return table(a, key, a.get(key), 200, 50, func(at string, v any) float64 { return a.number(at, v, low, high) })
}

func (a *args) wholeTable(key string, rows, columns, low, high int) [][]int {
	return table(a, key, a.get(key), rows, columns, func(at string, v any) int { return a.integer(at, v, low, high) })
}

// cube is a list of tables of the same size.
func (a *args) cube(key string, low, high float64) [][][]float64 {
	out := listOf(a, key, a.get(key), 100, func(at string, v any) [][]float64 {
		return table(a, at, v, 20, 20, func(at string, v any) float64 { return a.number(at, v, low, high) })
	})
	for i := range out {
		if len(out[i]) != len(out[0]) || len(out[i]) > 0 && len(out[i][0]) != len(out[0][0]) {
			a.fail(fmt.Sprintf("%s[%d]", key, i), "is not as large as the first table: all are")
		}
	}
	return out
}

// word is one of some words.
func (a *args) word(key string, words ...string) string {
	v := a.get(key)
	s, ok := v.(string)
	if !ok || !slices.Contains(words, s) {
		a.fail(key, "is %s: it can be %s", kind(v), strings.Join(words, ", "))
		return words[0]
	}
	return s
}

// optional is a whole number from low to high, or nil for null.
func (a *args) optional(at string, v any, low, high int) *int {
	if v == nil {
		return nil
	}
	n := a.integer(at, v, low, high)
	return &n
}
