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

func ExampleRule_Curve() {
	for _, reached := range safety.Curve(60, []float64{0.02, 0.05, 0.10, 0.20}) {
		fmt.Printf("%.3f ", reached)
	}
	// Output: 0.993 0.880 0.465 0.049
}

func ExampleRule_Forecast() {
	f := safety.Forecast(4, 60, 0.05)
	for _, share := range []float64{0.10, 0.50, 0.90} {
		n, ok := f.Quantile(share)
		fmt.Println(n, ok)
	}
	fmt.Printf("mean %.1f, not within 60: %.3f\n", safety.MeanFrom(4, 0.05), f.Never())
	// Output:
	// 13 true
	// 13 true
	// 55 true
	// mean 26.5, not within 60: 0.071
}

// One fault in six observations, then whatever may be true of such an apprentice.
func ExampleBetaRates() {
	f := safety.Forecast(-5, 60, sequence.BetaRates(1+1, 1+5, 400)...)
	fmt.Printf("within 30 more: %.3f, within 60 more: %.3f\n", f.Within(30), f.Within(60))
	// Output: within 30 more: 0.058, within 60 more: 0.146
}

func ExampleFrontier() {
	frontier, _ := sequence.Frontier(0.02, 0.20, 0.05, 60, sequence.ImprovingFor(0.02, 0.20))
	for _, c := range sequence.Choices(frontier) {
		fmt.Printf("%d, never below %d, at %d: %.2f observations, improving %.3f\n",
			-c.Fault, c.Floor, c.Threshold, c.MeanCompetent, c.ImprovingWithin)
	}
	// Output:
	// -10, never below -14, at 16: 20.39 observations, improving 0.413
	// -10, never below -10, at 17: 21.57 observations, improving 0.494
	// -10, never below -6, at 19: 23.75 observations, improving 0.566
	// -6, never below -5, at 23: 26.67 observations, improving 0.642
	// -5, never below -2, at 27: 30.50 observations, improving 0.678
}

func ExampleObservedRate() {
	missesOneInFive := sequence.ObservedRate(0.20, 0.20, 0)
	fmt.Printf("%.3f\n", safety.ReachWithin(60, missesOneInFive))
	// Output: 0.133
}

func ExampleEfficiency() {
	o := safety.Operating(0.02, 0.20)
	fmt.Printf("%.3f\n", sequence.Efficiency(60, 0.02, 0.20, o.FalseSignOff, o.MeanCompetent))
	// Output: 0.903
}

// Cutting the test off and signing off whoever is ahead lets through nearly
// four times as many as leaving them undecided.
func ExampleSPRT_WithinOrPositive() {
	s := sequence.WaldSPRT(0.02, 0.10, 0.05, 0.05)
	fmt.Printf("%.3f %.3f\n", s.Within(60, 0.10), s.WithinOrPositive(60, 0.10))
	// Output: 0.037 0.137
}

// Believing with 95% after every dog that fewer than one in five go wrong is not
// the same as letting through 5% of those of whom it is untrue.
func ExampleBayesStop() {
	b := sequence.BayesStop{A: 1, B: 1, P1: 0.20, Level: 0.95}
	fmt.Printf("%.3f\n", b.Within(60, 0.20))
	// Output: 0.145
}
