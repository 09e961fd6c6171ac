package sequence

import (
	"fmt"
	"math"
)

// Monitor watches a skill after sign-off. It starts at 0 points. A clean
// observation takes 1 point away, but never below 0; any other adds Fault
// points. At Alarm points the skill is due for review. It is a Bernoulli CUSUM
// (Page 1954) in whole points (Reynolds & Stoumbos 1999).
type Monitor struct {
	Fault int // points added by an observation that is not clean; 1 to MaxHorizon
	Alarm int // points that call for a review; 1 to MaxHorizon
}

// DefaultMonitor asks for a review when a second fault follows within ten clean
// observations of the first.
func DefaultMonitor() Monitor { return Monitor{Fault: 11, Alarm: 12} }

// Validate returns nil if both numbers are in range, and otherwise what is
// wrong.
func (m Monitor) Validate() error {
	if m.Fault < 1 || m.Fault > MaxHorizon {
		return fmt.Errorf("an observation that is not clean adds %d points to the monitor: choose between 1 and %d", m.Fault, MaxHorizon)
	}
	if m.Alarm < 1 || m.Alarm > MaxHorizon {
		return fmt.Errorf("the monitor calls for a review at %d points: choose between 1 and %d", m.Alarm, MaxHorizon)
	}
	return nil
}

// Step returns the points after one more observation and whether they have
// reached Alarm. The points are not capped; after a review it is for the caller
// to go back to 0.
func (m Monitor) Step(score int, clean bool) (next int, alarm bool) {
	if clean {
		next = max(0, score-1)
	} else {
		next = score + m.Fault
	}
	return next, next >= m.Alarm
}

// AlarmWithin is the chance, 0 to 1, of a call for review within n observations
// from 0 points at fault rate p: false alarms at an acceptable rate, detection
// at an unacceptable one.
func (m Monitor) AlarmWithin(n int, p float64) float64 {
	if m.Validate() != nil || !isRate(p) {
		return math.NaN()
	}
	c := newChain(m.Alarm)
	c.start[0] = 1
	for i := range c.start {
		c.clean[i], _ = m.Step(i, true)
		up, _ := m.Step(i, false)
		c.fault[i] = min(up, m.Alarm)
	}
	done, _ := c.within(n, constant(p))
	return done
}

// MeanToAlarm is the mean number of observations to the first call for review
// from 0 points at fault rate p. It is +Inf at p = 0, and where the mean is
// beyond float64.
//
// Points go down one at a time, so the linear equations can be solved level by
// level from the top. Every term is positive: no digits are lost at small p.
func (m Monitor) MeanToAlarm(p float64) float64 {
	if m.Validate() != nil || !isRate(p) {
		return math.NaN()
	}
	// For each score: observations made, and chance of an alarm, before the
	// score is one lower for the first time.
	spent, alarm := make([]float64, m.Alarm), make([]float64, m.Alarm)
	for s := m.Alarm - 1; s >= 0; s-- {
		// After a fault at s: the same two numbers until the score is s again.
		back, lost := 0.0, 1.0
		if up := s + m.Fault; up < m.Alarm {
			live := 1.0
			lost = 0
			for i := up; i > s; i-- {
				back += live * spent[i]
				lost += live * alarm[i]
				live *= 1 - alarm[i]
			}
		}
		if s == 0 { // a clean observation stays at 0, so only an alarm ends it
			return (1 + p*back) / (p * lost)
		}
		leave := (1 - p) + p*lost
		spent[s] = (1 + p*back) / leave
		alarm[s] = p * lost / leave
	}
	return math.NaN() // not reached: Alarm is at least 1
}
