package selftest

import (
	"maps"
	"slices"
)

// made is what a calculation gives, in the shape of the expected values of a
// case: int for what has to be equal, float64 for what may differ by the
// tolerance, string, bool and nil, lists as []any, and an error where there is
// no such value.
type made map[string]any

// calculation works one case out. An error says why there is nothing at all.
type calculation func() (made, error)

// adapter reads the inputs of a case and returns the calculation on them. There
// is one for each method, and it calls the same functions as the rest of the
// program.
type adapter func(a *args) calculation

// methods are the methods by name. A nil adapter is a method that cases are kept
// of and that nothing in this program needs so far.
var methods = func() map[string]adapter {
	all := map[string]adapter{
		"many_facet_rasch_dichotomous": nil,
		"normal_cusum_arl_optional":    nil,
	}
	for _, group := range []map[string]adapter{sequenceMethods, forecastMethods, estimateMethods, standardMethods, agreementMethods, studyMethods, scoreMethods} {
		maps.Copy(all, group)
	}
	return all
}()

// Methods are the names of all methods, sorted.
func Methods() []string { return slices.Sorted(maps.Keys(methods)) }

// list turns values of one type into a list of values.
func list[T any](values []T) []any {
	out := make([]any, len(values))
	for i, v := range values {
		out[i] = v
	}
	return out
}

// or is a value, or the reason why there is none.
func or[T any](v T, err error) any {
	if err != nil {
		return err
	}
	return v
}
