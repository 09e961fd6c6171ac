package estimate

import (
	"fmt"
	"math"
)

// MaxPastWeeks is the longest stretch of past weeks that a pace rests on.
const MaxPastWeeks = 520

// Pace is how fast observations come: a Poisson process whose rate is known from
// count observations in some past weeks as Gamma(count+1/2, weeks) (Jeffreys).
// The zero value knows nothing: no observation is expected ever.
type Pace struct {
	count int
	weeks float64
}

// NewPace returns the pace of count observations in the last weeks. It is an
// error unless count is 0 to MaxCount and weeks is above 0 and at most
// MaxPastWeeks.
func NewPace(count int, weeks float64) (Pace, error) {
	if err := checkCounts(0, count); err != nil {
		return Pace{}, err
	}
	if !(weeks >= 1.0/7 && weeks <= MaxPastWeeks) {
		return Pace{}, fmt.Errorf("the past weeks are %v: a pace needs between a day and %d weeks", weeks, MaxPastWeeks)
	}
	return Pace{count, weeks}, nil
}

// shape is the Gamma shape, count + 1/2.
func (p Pace) shape() float64 { return float64(p.count) + 0.5 }

// Within is the chance, 0 to 1, that the n-th observation from now is made within
// the given weeks: they are distributed like past weeks × BetaPrime(n, count+1/2).
// n counts no further than MaxCount.
func (p Pace) Within(n int, weeks float64) float64 {
	weeks = clamp(weeks, 0, math.MaxFloat64)
	switch {
	case n <= 0:
		return 1
	case p.weeks == 0 || weeks == 0:
		return 0
	}
	return Beta{float64(min(n, MaxCount)), p.shape()}.below(weeks / (weeks + p.weeks))
}

// Quantile is the number of weeks within which the n-th observation from now is
// made with chance y; 0 for n ≤ 0. It is an error if nothing is known about the
// pace or if no number of weeks is enough.
func (p Pace) Quantile(n int, y float64) (float64, error) {
	y = clamp(y, 0, 1)
	switch {
	case n <= 0:
		return 0, nil
	case p.weeks == 0:
		return 0, fmt.Errorf("nothing is known about how often observations are made")
	case n > MaxCount:
		return 0, fmt.Errorf("observation %d from now is too far: at most %d can be forecast", n, MaxCount)
	case y == 0:
		return 0, nil
	}
	d := Beta{p.shape(), float64(n)} // of the past weeks' part in past and future
	past := d.quantile(1-y, d.Mean())
	return finite(p.weeks*((1-past)/past), "no number of weeks is sure to be enough")
}

// Mean is the mean number of weeks to the n-th observation from now,
// weeks × n/(count-1/2); 0 for n ≤ 0. It is an error without past observations:
// the pace may then be so slow that the mean has no end.
func (p Pace) Mean(n int) (float64, error) {
	if n <= 0 {
		return 0, nil
	}
	if p.count == 0 {
		return 0, fmt.Errorf("no observation was made in the past %g weeks, so the mean number of weeks has no end", p.weeks)
	}
	return p.weeks * float64(n) / (p.shape() - 1), nil
}

// made goes through k = 0, 1, … below limit with the chance that at most k
// observations are made in the given weeks: a negative binomial distribution.
// Whatever is left belongs to limit and more.
func (p Pace) made(weeks float64, limit int) []float64 {
	atMost := make([]float64, limit)
	if weeks <= 0 || p.weeks == 0 {
		for k := range atMost {
			atMost[k] = 1
		}
		return atMost
	}
	shape := p.shape()
	future := weeks / (weeks + p.weeks)
	logFuture := math.Log(future)
	logp := -shape * math.Log1p(weeks/p.weeks)
	sum := 0.0
	for k := range atMost {
		sum += math.Exp(logp)
		atMost[k] = min(sum, 1)
		logp += logFuture + math.Log((shape+float64(k))/float64(k+1))
	}
	return atMost
}
