package selftest

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
)

// Verdict is what became of one value.
type Verdict uint8

const (
	// Agrees: within the tolerance, and rounding to the printed value if there is one.
	Agrees Verdict = iota
	// Differs from what is expected or printed.
	Differs
	// NotProduced: the calculation gives no such value.
	NotProduced
)

// String returns the word shown to people.
func (v Verdict) String() string { return [...]string{"pass", "FAIL", "NOT PRODUCED"}[v] }

// Result is one value of one case, beside what this build makes of it.
type Result struct {
	Method, Case         string
	Key                  string  // where the value stands in expected: "cdf.60", "ci[0]"
	Published            string  // as printed; empty when no print is used
	Expected             string  // as the case gives it
	Ours                 string  // shortest text that is exactly our value; empty when not produced
	Tolerance            float64 // of the case, relative to max(1, |expected|)
	Used                 float64 // |ours − expected| as a share of what is allowed; 0 for what has to be equal
	Source, SourceStatus string
	Verdict              Verdict
	Why                  string // what is wrong; empty when it agrees
}

// Report is what became of some cases.
type Report struct {
	Results []Result
	Cases   int      // cases that were calculated
	Left    []string // methods of cases that this build knows and does not calculate, sorted
	LeftOut int      // cases of those methods
}

// Failed is the number of values that do not agree.
func (r *Report) Failed() int {
	n := 0
	for i := range r.Results {
		if r.Results[i].Verdict != Agrees {
			n++
		}
	}
	return n
}

// Run calculates cases and compares every value. It stops between two cases when
// the context ends.
func Run(ctx context.Context, cases []Case) (Report, error) {
	var r Report
	for i := range cases {
		if err := ctx.Err(); err != nil {
			return r, err
		}
		c := &cases[i]
		if !c.Implemented() {
			r.LeftOut++
			r.Left = append(r.Left, c.Method)
			continue
		}
		r.Cases++
		r.Results = append(r.Results, c.compare(c.calculate())...)
	}
	slices.Sort(r.Left)
	r.Left = slices.Compact(r.Left)
	return r, nil
}

// calculate never breaks off: a calculation that does is one that failed, and
// the other cases are still wanted.
func (c *Case) calculate() (out made, err error) {
	defer func() {
		if broke := recover(); broke != nil {
			out, err = nil, fmt.Errorf("the calculation broke off: %v", broke)
		}
	}()
	return c.run()
}

func (c *Case) compare(out made, err error) []Result {
	k := comparison{c: c}
	printed, _ := c.published.(object)
	for _, key := range c.expected.keys {
		ours, ok := out[key]
		if err != nil {
			ours = err
		} else if !ok {
			ours = errMissing
		}
		k.at(key, c.expected.at[key], printed.at[key], ours)
	}
	return k.results
}

// comparison collects the results of one case.
type comparison struct {
	c       *Case
	results []Result
}

// errMissing stands for a value that a calculation does not give.
var errMissing = errors.New("the calculation has no such value")

func (k *comparison) at(key string, expected, printed, ours any) {
	switch e := expected.(type) {
	case object:
		m, isMap := ours.(made)
		p, _ := printed.(object)
		if _, isErr := ours.(error); !isMap && !isErr {
			k.add(key, kind(expected), nil, ours, Differs, "an object is expected")
			return
		}
		for _, name := range e.keys {
			one, ok := m[name]
			if err, isErr := ours.(error); isErr {
				one = err
			} else if !ok {
				one = errMissing
			}
			k.at(key+"."+name, e.at[name], p.at[name], one)
		}
	case []any:
		k.list(key, e, printed, ours)
	default:
		k.leaf(key, expected, printed, ours)
	}
}

func (k *comparison) list(key string, expected []any, printed, ours any) {
	p, _ := printed.([]any)
	list, isList := ours.([]any)
	err, isErr := ours.(error)
	many := fmt.Sprintf("%d values", len(expected))
	switch {
	case isErr && len(expected) == 0:
		k.add(key, many, nil, ours, NotProduced, err.Error())
		return
	case isErr:
	case !isList:
		k.add(key, many, nil, ours, Differs, "a list is expected")
		return
	case len(list) != len(expected):
		k.add(key, many, nil, fmt.Sprintf("%d values", len(list)), Differs, fmt.Sprintf("the list has %d values", len(list)))
		return
	case len(list) == 0:
		k.add(key, many, nil, many, Agrees, "")
		return
	}
	for i, e := range expected {
		var one, print any
		if one = any(err); isList {
			one = list[i]
		}
		if p != nil {
			print = p[i]
		}
		k.at(fmt.Sprintf("%s[%d]", key, i), e, print, one)
	}
}

// leaf compares one value. Whole numbers, texts, yes or no and null have to be
// equal.
func (k *comparison) leaf(key string, expected, printed, ours any) {
	verdict, why, used := Agrees, "", 0.0
	n, isNumber := expected.(json.Number)
	e, _ := n.Float64()
	switch v := ours.(type) {
	case error:
		k.add(key, expected, printed, ours, NotProduced, v.Error())
		return
	case int:
		if !isNumber || e != float64(v) {
			verdict, why = Differs, "it has to be equal"
		}
	case float64:
		allowed := k.c.Tolerance * max(1, math.Abs(e))
		off := math.Abs(v - e)
		switch {
		case math.IsNaN(v) || math.IsInf(v, 0):
			k.add(key, expected, printed, ours, NotProduced, "the value is not finite")
			return
		case !isNumber:
			verdict, why = Differs, "a number came out"
		case off > allowed:
			verdict, why = Differs, fmt.Sprintf("it is off by %.3g, and %.3g is allowed", off, allowed)
		}
		if used = off / allowed; off == 0 {
			used = 0
		}
	case made, []any:
		verdict, why = Differs, "one value is expected"
	default:
		if ours != expected {
			verdict, why = Differs, "it has to be equal"
		}
	}
	if verdict == Agrees && !k.asPrinted(printed, ours) {
		verdict, why = Differs, fmt.Sprintf("it does not round to the printed value, to %d decimals", k.c.decimals)
	}
	k.add(key, expected, printed, ours, verdict, why)
	k.results[len(k.results)-1].Used = used
}

// asPrinted reports whether our value is within half a unit of the last decimal
// of a printed one. A hair more is allowed, for halves that float64 cannot hold.
func (k *comparison) asPrinted(printed, ours any) bool {
	p, isNumber := printed.(json.Number)
	if !isNumber {
		return printed == nil || printed == ours
	}
	f, _ := p.Float64()
	half := 0.5000001 * math.Pow10(-k.c.decimals)
	switch v := ours.(type) {
	case int:
		return math.Abs(float64(v)-f) <= half
	case float64:
		return math.Abs(v-f) <= half
	}
	return false
}

func (k *comparison) add(key string, expected, printed, ours any, verdict Verdict, why string) {
	c := k.c
	r := Result{Method: c.Method, Case: c.ID, Key: key, Expected: text(expected), Ours: text(ours), Tolerance: c.Tolerance,
		Source: c.Source, SourceStatus: c.SourceStatus, Verdict: verdict, Why: why}
	if printed != nil {
		r.Published = text(printed)
	}
	k.results = append(k.results, r)
}

// text writes a value as it is shown.
func text(v any) string {
	switch v := v.(type) {
	case nil:
		return "null"
	case error:
		return ""
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64)
	case made:
		return "an object"
	case []any:
		return fmt.Sprintf("%d values", len(v))
	}
	return fmt.Sprint(v)
}
