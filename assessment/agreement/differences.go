package agreement

import "math"

// Differences is the comparison of two lists of marks of the same grooms by
// their differences A − B (Bland & Altman 1986, Lancet i:307). All but T are in
// the unit of the marks.
type Differences struct {
	Pairs     int
	Bias      Number   // mean of A − B; above 0 when A marks higher
	SD        Number   // standard deviation of A − B, from Pairs − 1
	T         Number   // Bias in standard errors; Student's t with Pairs − 1 degrees of freedom
	BiasRange Interval // of Bias, from Student's t

	// Limits hold about 95 in 100 differences if they are spread evenly around
	// Bias: Bias ± 1.96 SD. Limits2SD is the rounder Bias ± 2 SD of 1986.
	Limits, Limits2SD Interval

	// LowRange and HighRange are the intervals of the two ends of Limits, by the
	// standard error of 1986, √(3/n) SD. LimitSE is the finer one of Bland &
	// Altman 1999 (Stat Methods Med Res 8:135), SD √(1/n + 1.96²/(2(n−1))).
	LowRange, HighRange Interval
	LimitSE             Number
}

// BlandAltman compares a[i] with b[i]. One pair gives a Bias and no spread. If
// all differences are the same, there is no interval.
func BlandAltman(a, b []float64) Differences {
	p, why := pair(a, b)
	if why != "" {
		return Differences{Bias: none(why)}.without(why)
	}
	out := Differences{Pairs: p.n, Bias: number(p.mean)}
	if p.n < 2 {
		return out.without(whyOnePair)
	}
	if p.ss == 0 {
		out = out.without(whySameGap)
		out.SD = number(0)
		return out
	}
	n := float64(p.n)
	sd := math.Sqrt(p.ss / (n - 1))
	t, se := t95(n-1), sd/math.Sqrt(n)
	around := func(centre, half float64) Interval { return interval(centre-half, centre+half) }
	out.SD, out.T = number(sd), number(p.mean/se)
	out.BiasRange = around(p.mean, t*se)
	out.Limits, out.Limits2SD = around(p.mean, 1.96*sd), around(p.mean, 2*sd)
	out.LowRange = around(p.mean-1.96*sd, t*math.Sqrt(3)*se)
	out.HighRange = around(p.mean+1.96*sd, t*math.Sqrt(3)*se)
	out.LimitSE = number(sd * math.Sqrt(1/n+1.96*1.96/(2*(n-1))))
	return out
}

// without gives everything that needs a spread the same reason.
func (d Differences) without(why string) Differences {
	gone := noInterval(why)
	d.SD, d.T, d.LimitSE = none(why), none(why), none(why)
	d.BiasRange, d.Limits, d.Limits2SD, d.LowRange, d.HighRange = gone, gone, gone, gone, gone
	return d
}

// paired holds the differences a[i] − b[i], their mean, and the sum of squares
// around it.
type paired struct {
	n        int
	diff     []float64
	mean, ss float64
}

func pair(a, b []float64) (p paired, why string) {
	switch {
	case len(a) != len(b):
		return p, whyNotTable
	case len(a) == 0:
		return p, whyNothing
	}
	largest := 0.0
	p.n = len(a)
	p.diff = make([]float64, p.n)
	for i := range a {
		switch {
		case math.IsNaN(a[i]) || math.IsNaN(b[i]):
			return p, whyGaps
		case tooLarge(a[i]) || tooLarge(b[i]):
			return p, whyTooLarge
		}
		largest = max(largest, math.Abs(a[i]), math.Abs(b[i]))
		p.diff[i] = a[i] - b[i]
		p.mean += p.diff[i] / float64(p.n)
	}
	for _, d := range p.diff {
		p.ss += (d - p.mean) * (d - p.mean)
	}
	p.ss = unlessNoise(p.ss, p.n, largest)
	return p, ""
}
