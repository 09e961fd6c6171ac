package estimate

import (
	"fmt"
	"math"
	"strings"
)

// countOf is "1 day", "2 days", "no days".
func countOf(n int, noun string) string {
	switch n {
	case 0:
		return "no " + noun + "s"
	case 1:
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// inHundred is a chance or share as people say it: "16 in 100", rounded to the
// nearest; "fewer than 1 in 100" and "more than 99 in 100" near the ends, "0 in
// 100" and "100 in 100" only when that is exact.
func inHundred(share float64) string {
	hundredths := math.Round(share * 100)
	switch {
	case share > 0 && share < 0.01:
		return "fewer than 1 in 100"
	case share < 1 && share > 0.99:
		return "more than 99 in 100"
	}
	return fmt.Sprintf("%.0f in 100", hundredths)
}

// upTo is an upper limit of a share: like inHundred, but in thousandths, rounded
// up, below 1 in 100, and never said to be 100 in 100 by rounding.
func upTo(share float64) string {
	switch {
	case share < 0.01:
		return fmt.Sprintf("%.0f in 1000", math.Ceil(share*1000))
	case share < 1:
		return fmt.Sprintf("%.0f in 100", min(99, math.Round(share*100)))
	}
	return "100 in 100"
}

// were is the verb for a number of observations.
func were(n int) string {
	if n == 1 {
		return "was"
	}
	return "were"
}

// signed1 is a number with one decimal and its sign, without a minus before zero.
func signed1(v float64) string {
	s := fmt.Sprintf("%+.1f", v)
	if s == "-0.0" || s == "+0.0" {
		return "0.0"
	}
	return strings.Replace(s, "-", "−", 1)
}

// are is "1 observation is", "2 observations are".
func are(n int, noun string) string { return countOf(n, noun) + " " + isAre(n) }

// thereAre is "there is 1 rating", "there are 2 ratings".
func thereAre(n int, noun string) string { return "there " + isAre(n) + " " + countOf(n, noun) }

func isAre(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}
