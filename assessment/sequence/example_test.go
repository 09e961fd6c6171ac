package sequence_test

import (
	"fmt"
	"math"

	"tablehand/assessment/sequence"
)

var safety = sequence.Rule{Fault: 10, Floor: -10, Threshold: 17, Horizon: 60}

func ExampleRule_Step() {
	score := 0
	for _, clean := range []bool{true, true, true, false, true} {
		score = safety.Step(score, clean)
		fmt.Print(score, " ")
	}
	// Output: 1 2 3 -7 -6
}

func ExampleRule_Validate() {
	fmt.Println(sequence.Rule{Fault: 10, Floor: -10, Threshold: 61, Horizon: 60}.Validate())
	// Output: the points needed are 61: choose between 1 and the declared number of observations, 60
}

func ExampleRule_Operating() {
	o := safety.Operating(0.02, 0.20)
	fmt.Printf("false sign-off %.4f, competent %.3f after %.2f observations on average\n",
		o.FalseSignOff, o.CompetentWithin, o.MeanCompetent)
	// Output: false sign-off 0.0493, competent 0.993 after 21.57 observations on average
}

func ExampleRule_ReachWithin() {
	for _, p := range []float64{0.02, 0.05, 0.10, 0.20} {
		fmt.Printf("%.2f: %.3f\n", p, safety.ReachWithin(60, p))
	}
	// Output:
	// 0.02: 0.993
	// 0.05: 0.880
	// 0.10: 0.465
	// 0.20: 0.049
}

func ExampleRule_ReachWithinVarying() {
	improving := func(t int) float64 { return 0.02 + 0.28*math.Exp(-float64(t-1)/20) }
	fmt.Printf("%.3f\n", safety.ReachWithinVarying(improving, 60))
	// Output: 0.494
}

func ExampleRule_MeanWithin() {
	fmt.Printf("%.2f\n", safety.MeanWithin(60, 0.02))
	// Output: 21.57
}

func ExampleRule_MeanUnlimited() {
	fmt.Printf("%.2f\n", safety.MeanUnlimited(0.02))
	// Output: 21.62
}

func ExampleThreshold() {
	fmt.Println(sequence.Threshold(10, -10, 60, 0.20, 0.05))
	fmt.Println(sequence.Threshold(10, -10, 10, 0.20, 0.05))
	// Output:
	// 17 <nil>
	// 0 10 observations are too few: even if all of them are clean, at least 14 are needed to keep false sign-off at a fault rate of 0.2 within 0.05
}

func ExampleFaultFor() {
	fmt.Println(sequence.FaultFor(0.02, 0.20))
	// Output: 11
}

func ExampleLeastObservations() {
	fmt.Println(sequence.LeastObservations(0.20, 0.05))
	// Output: 14
}

func ExampleLowerBound() {
	bound := sequence.LowerBound(60, 0.02, 0.20, 0.05)
	fmt.Printf("%.2f, efficiency %.3f\n", bound, bound/safety.MeanWithin(60, 0.02))
	// Output: 19.39, efficiency 0.899
}

func ExampleGreatestCompetent() {
	fmt.Printf("%.3f\n", sequence.GreatestCompetent(60, 0.02, 0.10, 0.05))
	// Output: 0.864
}

func ExampleFalseSignOffAttempts() {
	fmt.Printf("%.2f\n", sequence.FalseSignOffAttempts(0.05, 3))
	// Output: 0.15
}

// Three in a row lets through almost everybody who faults on one dog in five.
func ExampleRunWaiting() {
	w := sequence.RunWaiting{Clean: 3}
	fmt.Printf("first chance %.3f, within 20 %.4f, mean %.2f, variance %.2f\n",
		w.Within(3, 0.20), w.Within(20, 0.20), w.Mean(0.20), w.Variance(0.20))
	// Output: first chance 0.512, within 20 0.9988, mean 4.77, variance 7.01
}

func ExampleRollingWindow() {
	w := sequence.RollingWindow{Clean: 9, Of: 10}
	fmt.Printf("one shot %.3f, within 60 %.3f\n", w.OneShot(0.20), w.Within(60, 0.20))
	// Output: one shot 0.376, within 60 0.994
}

func ExampleMonitor_Step() {
	m, score, alarm := sequence.DefaultMonitor(), 0, false
	for _, clean := range []bool{false, true, true, false} {
		score, alarm = m.Step(score, clean)
		fmt.Println(score, alarm)
	}
	// Output:
	// 11 false
	// 10 false
	// 9 false
	// 20 true
}

func ExampleMonitor() {
	m := sequence.DefaultMonitor()
	fmt.Printf("observations to a review: %.0f at 0.02, %.1f at 0.20; within 20 at 0.20: %.3f\n",
		m.MeanToAlarm(0.02), m.MeanToAlarm(0.20), m.AlarmWithin(20, 0.20))
	// Output: observations to a review: 301 at 0.02, 10.5 at 0.20; within 20 at 0.20: 0.905
}
