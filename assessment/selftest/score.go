package selftest

import (
	"fmt"

	"tablehand/assessment"
)

// scoreMethods is the weighted score of the rubric: exact fractions, worked out
// apart from this program.
var scoreMethods = map[string]adapter{"rubric_score": rubricScore}

func rubricScore(a *args) calculation {
	// Ratings to 10 and these weights keep every fraction within 64 bits.
	parts := listOf(a, "criteria", a.get("criteria"), 100, func(at string, v any) assessment.Part {
		in, ok := v.(object)
		if !ok {
			a.fail(at, "is %s: an object is needed", kind(v))
			return assessment.Part{}
		}
		for _, key := range in.keys {
			switch key {
			case "weight", "max", "rating", "must":
			default:
				a.fail(at, "has %s, which is no input: remove it or correct its name", cut(fmt.Sprintf("%q", key), 60))
			}
		}
		for _, key := range []string{"weight", "max", "rating", "must"} {
			if _, ok := in.at[key]; !ok {
				a.fail(at+"."+key, "is missing")
			}
		}
		p := assessment.Part{Weight: int64(a.integer(at+".weight", in.at["weight"], 1, 100000)), Top: int64(a.integer(at+".max", in.at["max"], 1, 10))}
		if n := a.optional(at+".must", in.at["must"], 0, 10); n != nil {
			p.Must = int64(*n)
		}
		if n := a.optional(at+".rating", in.at["rating"], 0, int(p.Top)); n != nil {
			p.Rating, p.Rated = int64(*n), true
		}
		return p
	})
	pass := assessment.Ratio{Num: int64(a.whole("pass_num", 0, 10000)), Den: int64(a.whole("pass_den", 1, 10000))}
	return func() (made, error) {
		w := assessment.Weigh(parts)
		out := made{
			"score": nil, "pct_half_up_1dp": nil, "pct_trunc_1dp": nil, "meets_score": w.Score.AtLeast(pass),
			"must_failed": list(w.Failed), "must_unobserved": list(w.Unobserved),
			"outcome": map[assessment.Outcome]string{assessment.Meets: "met", assessment.NotYet: "not_met", assessment.Incomplete: "incomplete"}[w.Decide(pass)],
		}
		if w.Score.Den != 0 {
			lowest := w.Score.Lowest()
			out["score"] = fmt.Sprintf("%d/%d", lowest.Num, lowest.Den)
			out["pct_half_up_1dp"], out["pct_trunc_1dp"] = w.Score.Rounded(100, 1), w.Score.Truncated(100, 1)
		}
		return out, nil
	}
}
