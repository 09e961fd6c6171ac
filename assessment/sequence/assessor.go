package sequence

import "math"

// ObservedRate is the fault rate that an assessor records of an apprentice whose
// true rate is p, when the assessor misses a share of the faults and sees a fault
// in a share of the clean observations: p (1-missed) + (1-p) invented. All are
// from 0 to 1. The figures of a rule at the recorded rate are those that such an
// assessor gives it.
func ObservedRate(p, missed, invented float64) float64 {
	if !isRate(p) || !isRate(missed) || !isRate(invented) {
		return math.NaN()
	}
	return p*(1-missed) + (1-p)*invented
}

// SourceEvidence is the log likelihood ratio, natural logarithm, in favour of p0
// against p1, of what a source says that records only a share of the faults and
// never invents one, such as a logbook: ln((1-sp0)/(1-sp1)) for a clean entry
// and -ln(p1/p0) for a fault. A clean entry is worth less than that of a
// source that sees everything, by about the share; a fault is worth as much.
// Both are NaN unless 0 < p0 < p1 < 1 and recorded is above 0 and at most 1.
func SourceEvidence(p0, p1, recorded float64) (clean, fault float64) {
	if !separated(p0, p1) || !(recorded > 0) || recorded > 1 {
		return math.NaN(), math.NaN()
	}
	clean, fault = evidence(recorded*p0, recorded*p1)
	return clean, -fault
}
