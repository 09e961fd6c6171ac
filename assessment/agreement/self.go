package agreement

import "math"

// SelfReview compares an apprentice's marks of their own grooms with an
// assessor's marks of the same grooms, each made before seeing the other. All but
// T, Correlation and HigherShare are in the unit of the marks.
//
// The differences are never to be plotted against, or correlated with, the
// apprentice's own marks: who marks high by luck then looks overconfident, and
// who marks low looks modest, whatever the truth (Krueger & Mueller 2002, J Pers
// Soc Psychol 82:180).
type SelfReview struct {
	Pairs       int
	Bias        Number   // mean of self − assessor; above 0 when the apprentice marks higher
	BiasRange   Interval // from Student's t with Pairs − 1 degrees of freedom
	SD          Number   // standard deviation of self − assessor, from Pairs − 1
	T           Number   // Bias in standard errors
	MAE         Number   // mean of |self − assessor|
	RMSE        Number   // root of the mean of (self − assessor)²
	Correlation Number   // Pearson's, of self and assessor, −1 to 1
	HigherShare Number   // share of grooms that the apprentice marked higher, 0 to 1
}

// SelfVsAssessor compares self[i] with assessor[i].
func SelfVsAssessor(self, assessor []float64) SelfReview {
	p, why := pair(self, assessor)
	d := BlandAltman(self, assessor)
	out := SelfReview{Pairs: d.Pairs, Bias: d.Bias, BiasRange: d.BiasRange, SD: d.SD, T: d.T}
	if why != "" {
		out.MAE, out.RMSE, out.Correlation, out.HigherShare = none(why), none(why), none(why), none(why)
		return out
	}
	n, abs, squares, higher := float64(p.n), 0.0, 0.0, 0.0
	for i, v := range p.diff {
		abs += math.Abs(v) / n
		squares += v * v / n
		if self[i] > assessor[i] {
			higher++
		}
	}
	out.MAE, out.RMSE, out.HigherShare = number(abs), number(math.Sqrt(squares)), number(higher/n)
	out.Correlation = pearson(self, assessor)
	return out
}

// pearson is the correlation of two full lists of equal length.
func pearson(a, b []float64) Number {
	if len(a) < 2 {
		return none(whyOnePair)
	}
	zero := make([]float64, len(a))
	x, _ := pair(a, zero) // deviations from a fixed point
	y, _ := pair(b, zero)
	if x.ss == 0 || y.ss == 0 {
		return none(whySame)
	}
	sum := 0.0
	for i := range a {
		sum += (a[i] - x.mean) / math.Sqrt(x.ss) * ((b[i] - y.mean) / math.Sqrt(y.ss))
	}
	return number(min(1, max(-1, sum)))
}

// Leaning is what may be said of an apprentice's marks of their own work.
type Leaning uint8

const (
	NoLeaning   Leaning = iota // nothing that the grooms bear out
	LeansHigher                // marks their own work higher than the assessor does
	LeansLower
)

// halfLevel is the least mean difference worth a word, in levels.
const halfLevel = 0.5

// Leaning needs marks in levels. It says something only if there are enough
// pairs (see Enough, SelfLeaning), the interval leaves 0 out, and the mean is
// half a level or more away from it.
func (s SelfReview) Leaning() Leaning {
	if ok, _ := Enough(SelfLeaning, Seen{Grooms: s.Pairs}); !ok || !s.BiasRange.OK || math.Abs(s.Bias.Value) < halfLevel {
		return NoLeaning
	}
	switch {
	case s.BiasRange.Low > 0:
		return LeansHigher
	case s.BiasRange.High < 0:
		return LeansLower
	}
	return NoLeaning
}
