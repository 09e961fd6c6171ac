package selftest

import (
	"fmt"
	"strconv"

	"tablehand/assessment/estimate"
	"tablehand/assessment/sequence"
)

// forecastMethods are how many more observations, or weeks. None has a print: all
// values are computed from the definitions.
var forecastMethods = map[string]adapter{
	"forecast_engine":          reachKnown,
	"forecast_engine_beta_mix": reachUnknown,
	"forecast_negbin":          waitKnown,
	"forecast_beta_negbin":     waitUnknown,
	"forecast_calendar":        calendar,
}

// counted is as far as chances are given by number of observations.
const counted = 200

// quantiles adds q10, q20, … q90. What cannot be reached is null.
func (m made) quantiles(of func(y float64) (int, error)) {
	for tenth := 1; tenth < 10; tenth++ {
		key := fmt.Sprintf("q%d0", tenth)
		m[key] = nil
		if n, err := of(float64(tenth) / 10); err == nil {
			m[key] = n
		}
	}
}

// by adds by1, by2, … : the chances within so many observations.
func (m made) by(most int, within func(n int) float64) {
	for n := 1; n <= most; n++ {
		m["by"+strconv.Itoa(n)] = within(n)
	}
}

// reachKnown: the mean from a score is that of the rule moved by it.
func reachKnown(a *args) calculation {
	r, p, score := a.rule(), a.share("p"), a.whole("score_now", -sequence.MaxHorizon, sequence.MaxHorizon)
	return func() (made, error) {
		reach, err := estimate.ReachKnown(r, score, estimate.MaxWait, p)
		if err != nil {
			return nil, err
		}
		out := made{"mean": r.MeanFrom(score, p)}
		out.by(counted, reach.Within)
		out.quantiles(reach.Quantile)
		return out, nil
	}
}

// reachUnknown counts to 100 observations, as the cases do: a quantile beyond
// that is null.
func reachUnknown(a *args) calculation {
	const ahead = 100
	r, score := a.rule(), a.whole("score_now", -sequence.MaxHorizon, sequence.MaxHorizon)
	fault := a.beta()
	a.whole("quantile_points", estimate.MixPoints, estimate.MixPoints)
	return func() (made, error) {
		reach, err := estimate.ReachUnknown(r, score, ahead, fault)
		if err != nil {
			return nil, err
		}
		out := made{}
		out.by(ahead, reach.Within)
		out.quantiles(reach.Quantile)
		return out, nil
	}
}

// beta reads a and b.
func (a *args) beta() estimate.Beta {
	first, second := a.real("a", 0.01, 10000), a.real("b", 0.01, 10000)
	d, err := estimate.NewBeta(first, second)
	if err != nil {
		a.fail("a", "and b: %v", err)
	}
	return d
}

// chances are those within 0 to counted observations.
func chances(within func(n int) float64) made {
	all := make([]int, counted+1)
	for n := range all {
		all[n] = n
	}
	return byNumber(all, within)
}

func waitKnown(a *args) calculation {
	needed, q := a.whole("successes_needed", 0, estimate.MaxWait), a.share("q")
	return func() (made, error) {
		w, err := estimate.WaitKnown(needed, q)
		if err != nil {
			return nil, err
		}
		out := made{"mean": or(w.Mean()), "var": or(w.Variance()), "cdf": chances(w.Within)}
		out.quantiles(w.Quantile)
		return out, nil
	}
}

func waitUnknown(a *args) calculation {
	needed, clean := a.whole("successes_needed", 0, estimate.MaxWait), a.beta()
	return func() (made, error) {
		w, err := estimate.WaitUnknown(needed, clean)
		if err != nil {
			return nil, err
		}
		out := made{"mean": or(w.Mean()), "var": or(w.Variance()), "cdf": chances(w.Within)}
		out.quantiles(w.Quantile)
		return out, nil
	}
}

func calendar(a *args) calculation {
	needed := a.whole("observations_needed", 0, longest)
	past, weeks := a.whole("past_observations", 0, estimate.MaxCount), a.real("past_weeks", 0, estimate.MaxPastWeeks)
	return func() (made, error) {
		p, err := estimate.NewPace(past, weeks)
		if err != nil {
			return nil, err
		}
		return made{
			"q10": or(p.Quantile(needed, 0.1)), "q50": or(p.Quantile(needed, 0.5)), "q90": or(p.Quantile(needed, 0.9)), "mean": or(p.Mean(needed)),
		}, nil
	}
}
