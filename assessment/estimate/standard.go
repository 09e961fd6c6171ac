package estimate

import (
	"fmt"
	"math"
	"sort"
)

const (
	// MinStandard is the least number of performances for a pass line from
	// borderline regression to be used rather than looked at.
	MinStandard = 50
	// MinBorderline is the same for borderline performances and the group method.
	MinBorderline = 10
)

// PassLine is a pass line from what judges expect of an apprentice who only just
// passes.
type PassLine struct {
	Line   float64   // mean of the judges' means, per cent
	Judges []float64 // mean over items, per cent, for each judge
	SE     float64   // standard error of Line from the judges' spread, per cent
}

// Angoff returns the pass line from each judge's estimate, item by item, of how
// many in a hundred apprentices who only just pass get it right (Angoff 1971). It
// is an error for fewer than two judges, because one judge has no spread, without
// items, if the judges did not rate the same number of items, or if an estimate is
// not from 0 to 100.
func Angoff(percent [][]float64) (PassLine, error) {
	if len(percent) < 2 {
		return PassLine{}, fmt.Errorf("the number of judges is %d: ask at least 2", len(percent))
	}
	items := len(percent[0])
	if items == 0 {
		return PassLine{}, fmt.Errorf("no item was judged: one is the least")
	}
	var p PassLine
	for j, row := range percent {
		if len(row) != items {
			return PassLine{}, fmt.Errorf("judge %d rated %d items and the first judge %d: all have to rate the same", j+1, len(row), items)
		}
		for i, v := range row {
			if !(v >= 0 && v <= 100) {
				return PassLine{}, fmt.Errorf("judge %d says %v for item %d: it has to be from 0 to 100", j+1, v, i+1)
			}
		}
		p.Judges = append(p.Judges, mean(row))
	}
	p.Line = mean(p.Judges)
	spread := 0.0
	for _, m := range p.Judges {
		spread += square(m - p.Line)
	}
	judges := float64(len(percent))
	p.SE = math.Sqrt(spread / (judges - 1) / judges)
	return p, nil
}

// BorderlineLine is a pass line from the scores' regression on the overall
// grades.
type BorderlineLine struct {
	Performances     int
	Slope, Intercept float64 // score points for one grade; score at grade 0
	Line             float64 // score on the fitted line at the borderline grade
}

// BorderlineRegression returns the score that the least-squares line through
// (overall grade, score) has at the borderline grade. It takes the grades as
// equally far apart, which they rarely are. It is an error if the lists differ in
// length, if a number cannot be calculated with, if all grades are the same (there
// is then no line), or if the borderline grade lies beyond all grades given.
func BorderlineRegression(grade, score []float64, borderline float64) (BorderlineLine, error) {
	if err := checkGraded(grade, score, borderline); err != nil {
		return BorderlineLine{}, err
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, g := range grade {
		low, high = min(low, g), max(high, g)
	}
	if !(low < high) {
		return BorderlineLine{}, fmt.Errorf("all %d performances have the same overall grade: a line needs at least two different ones", len(grade))
	}
	if borderline < low || borderline > high {
		return BorderlineLine{}, fmt.Errorf("the borderline grade %v lies outside the grades given, %v to %v: the line is not known there", borderline, low, high)
	}
	mg, ms := mean(grade), mean(score)
	gg, gs := 0.0, 0.0
	for i, g := range grade {
		gg += square(g - mg)
		gs += (g - mg) * (score[i] - ms)
	}
	slope := gs / gg
	if !(gg > 0 && math.Abs(slope) <= maxRating) {
		return BorderlineLine{}, fmt.Errorf("the overall grades differ too little to put a line through")
	}
	return BorderlineLine{
		Performances: len(grade),
		Slope:        slope, Intercept: ms - slope*mg,
		Line: ms + slope*(borderline-mg),
	}, nil
}

// BorderlineScores is the group of performances graded borderline.
type BorderlineScores struct {
	Performances int
	Mean, Median float64 // of their scores, in score points
}

// BorderlineGroup returns mean and median score of the performances whose overall
// grade is the borderline one. It is an error if the lists differ in length, if a
// number cannot be calculated with, or if no performance has that grade.
func BorderlineGroup(grade, score []float64, borderline float64) (BorderlineScores, error) {
	if err := checkGraded(grade, score, borderline); err != nil {
		return BorderlineScores{}, err
	}
	var group []float64
	for i, g := range grade {
		if g == borderline {
			group = append(group, score[i])
		}
	}
	if len(group) == 0 {
		return BorderlineScores{}, fmt.Errorf("none of %d performances has the borderline grade %v: one is the least", len(grade), borderline)
	}
	sort.Float64s(group)
	half := len(group) / 2
	median := group[half]
	if len(group)%2 == 0 {
		median = (group[half-1] + group[half]) / 2
	}
	return BorderlineScores{len(group), mean(group), median}, nil
}

func checkGraded(grade, score []float64, borderline float64) error {
	if len(grade) != len(score) {
		return fmt.Errorf("there are %d overall grades and %d scores: each performance needs both", len(grade), len(score))
	}
	if err := checkRatings("overall grade", grade); err != nil {
		return err
	}
	if err := checkRatings("score", score); err != nil {
		return err
	}
	return checkRatings("borderline grade", []float64{borderline})
}
