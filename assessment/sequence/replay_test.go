package sequence

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Every sequence of 14 observations is walked by hand arithmetic that shares
// nothing with Step: the score is the least sum over the starts at the floor.
func TestReplayOfEverySequence(t *testing.T) {
	r := Rule{Fault: 3, Floor: -4, Threshold: 5, Horizon: 14}
	const n = 14
	verdicts := make([]byte, n)
	reachedWith := map[int]int{}
	for s := range 1 << n {
		for i := range verdicts {
			verdicts[i] = byte(s >> i & 1)
		}
		got := r.Replay(verdicts)
		score, reached := highestFloorSum(r, verdicts)
		if got.Score != score || got.ReachedAt != reached {
			t.Fatal(verdicts, got, score, reached)
		}
		reachedWith[reached]++
	}
	assert.NotZero(t, reachedWith[0], "some never get there")
	assert.NotZero(t, reachedWith[5], "the quickest need as many as there are points")
	assert.Equal(t, Replayed{}, r.Replay(nil))
	assert.Equal(t, Replayed{-1, 5}, r.Replay([]byte{1, 1, 1, 1, 1, 0, 0}), "a fault afterwards does not take it back")
}

// highestFloorSum works out a reflected walk without reflecting it: the walk
// without a floor, lifted by as much as it ever fell below (Skorokhod's formula,
// from memory).
func highestFloorSum(r Rule, verdicts []byte) (score, reached int) {
	free, lift := 0, 0
	for i, v := range verdicts {
		if v == 1 {
			free++
		} else {
			free -= r.Fault
		}
		lift = max(lift, r.Floor-free)
		if score = free + lift; score >= r.Threshold && reached == 0 {
			reached = i + 1
		}
	}
	return score, reached
}

const (
	replayApprentices = 2000
	replaySkills      = 60
	replayEach        = 200
)

// replayBytes are the observations of 2,000 apprentices, about one in eight not
// clean (a xorshift of our own, so that no two runs differ).
func replayBytes(each int) []byte {
	all, x := make([]byte, replayApprentices*replaySkills*each), uint64(88172645463325252)
	for i := range all {
		x ^= x << 13
		x ^= x >> 7
		x ^= x << 17
		if x%8 != 0 {
			all[i] = 1
		}
	}
	return all
}

// BenchmarkReplay replays 24 million observations. "limit" is a bare loop in whole
// numbers over the same bytes, with the numbers of the rule written into it.
func BenchmarkReplay(b *testing.B) {
	all, r := replayBytes(replayEach), Rule{10, -10, 17, 60}
	want := 0
	for i := 0; i < len(all); i += replayEach {
		want += bareReplay(all[i : i+replayEach])
	}
	b.Run("replay", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			sum := 0
			for i := 0; i < len(all); i += replayEach {
				sum += r.Replay(all[i : i+replayEach]).ReachedAt
			}
			if sum != want {
				b.Fatal(sum, want)
			}
		}
	})
	b.Run("limit", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			sum := 0
			for i := 0; i < len(all); i += replayEach {
				sum += bareReplay(all[i : i+replayEach])
			}
			if sum != want {
				b.Fatal(sum, want)
			}
		}
	})
}

func bareReplay(verdicts []byte) (reached int) {
	score := 0
	for i, v := range verdicts {
		if v == 1 {
			score++
		} else if score -= 10; score < -10 {
			score = -10
		}
		if reached == 0 && score >= 17 {
			reached = i + 1
		}
	}
	return reached
}

// However long the sequences, replaying them allocates nothing.
func TestReplayAllocatesNothing(t *testing.T) {
	r := Rule{10, -10, 17, 60}
	for _, each := range []int{1, 200, 5000} {
		verdicts := make([]byte, each)
		assert.Zero(t, testing.AllocsPerRun(10, func() { r.Replay(verdicts) }), each)
	}
}
