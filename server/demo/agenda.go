package demo

import (
	"container/heap"
	"time"

	"tablehand/assessment"
)

// agenda is what will happen, the earliest first.
type agenda struct {
	list []event
	made int
}

type event struct {
	at time.Time
	nr int // order of planning settles equal instants
	do func() error
}

func (a *agenda) plan(at time.Time, do func() error) {
	a.made++
	heap.Push(a, event{at, a.made, do})
}

func (a *agenda) next() (event, bool) {
	if len(a.list) == 0 {
		return event{}, false
	}
	return heap.Pop(a).(event), true
}

// Len, Less, Swap, Push and Pop are for container/heap.
func (a *agenda) Len() int { return len(a.list) }

func (a *agenda) Less(i, j int) bool {
	if x, y := a.list[i], a.list[j]; !x.at.Equal(y.at) {
		return x.at.Before(y.at)
	} else {
		return x.nr < y.nr
	}
}

func (a *agenda) Swap(i, j int) { a.list[i], a.list[j] = a.list[j], a.list[i] }

func (a *agenda) Push(x any) { a.list = append(a.list, x.(event)) }

func (a *agenda) Pop() any {
	last := a.list[len(a.list)-1]
	a.list = a.list[:len(a.list)-1]
	return last
}

// open reports whether the salon works on a day: Tuesday to Saturday, and not
// on 25 and 26 December and 1 January.
func open(d assessment.Day) bool {
	t := d.Time()
	if w := t.Weekday(); w == time.Sunday || w == time.Monday {
		return false
	}
	switch t.Format("01-02") {
	case "12-25", "12-26", "01-01":
		return false
	}
	return true
}

// openFrom returns the first working day that is not before d.
func openFrom(d assessment.Day) assessment.Day {
	for !open(d) {
		d++
	}
	return d
}

// openUntil returns the last working day that is not after d.
func openUntil(d assessment.Day) assessment.Day {
	for !open(d) {
		d--
	}
	return d
}

// at is an instant in the salon: a day and minutes after midnight.
func (s *salon) at(d assessment.Day, minutes int) time.Time {
	y, m, day := d.Time().Date()
	return time.Date(y, m, day, minutes/60, minutes%60, 0, 0, s.zone)
}

// daysOf turns months into days, roughly.
func daysOf(months float64) assessment.Day { return assessment.Day(months * 30.4) }

// visit is a table booked for an apprentice and an assessor.
type visit struct {
	day   assessment.Day
	slot  int // 0 in the morning, 1 after lunch
	judge int
}

// book spreads an apprentice's assessed grooms over the working days, without
// two weeks of holiday in the middle of each half year, and finds an assessor
// who is free each time.
func (s *salon) book(l *learner) []visit {
	first, last := l.start+4, s.today-1
	var free []visit
	for d := first; d <= last; d++ {
		if since := int(d-l.start) % 182; open(d) && (since < 100 || since >= 114) {
			free = append(free, visit{d, 0, -1}, visit{d, 1, -1})
		}
	}
	var out []visit
	next := 0
	for i := range l.grooms {
		at := int((float64(i) + 0.15 + 0.7*l.rng.Float64()) / float64(l.grooms) * float64(len(free)))
		for at = max(at, next); at < len(free); at++ {
			if v := free[at]; s.engage(&v) {
				out, next = append(out, v), at+1
				break
			}
		}
	}
	return out
}

// engage gives a visit an assessor who is free.
func (s *salon) engage(v *visit) bool {
	w := make([]float64, len(s.judges))
	for i, j := range s.judges {
		if !s.busy[busyKey{v.day, v.slot, i}] {
			w[i] = j.share
		}
	}
	if v.judge = weighted(s.rng, w); v.judge < 0 {
		return false
	}
	s.busy[busyKey{v.day, v.slot, v.judge}] = true
	return true
}

type busyKey struct {
	day         assessment.Day
	slot, judge int
}
