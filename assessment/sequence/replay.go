package sequence

// Replayed is what a rule makes of one known sequence of observations.
type Replayed struct {
	Score     int // points after the last observation; goes on above Threshold
	ReachedAt int // observations made when Threshold was first reached; 0 when never
}

// Replay applies the rule to known observations in time order, each 1 for clean
// and 0 for not clean; any other number counts as not clean. Horizon is not used:
// whoever wants it cuts the sequence there.
func (r Rule) Replay(verdicts []byte) Replayed {
	score, reached := 0, 0
	for i, v := range verdicts {
		score = r.Step(score, v == 1)
		if reached == 0 && score >= r.Threshold {
			reached = i + 1
		}
	}
	return Replayed{score, reached}
}
