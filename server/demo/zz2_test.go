package demo

import ("testing";"time";"tablehand/assessment")

func TestYY(t *testing.T) {
	for i := range 14 {
		w := build(t, uint64(1+i%2*4), noon.AddDate(0, i*3, i*11).Add(time.Duration(i)*2*time.Hour))
		for _, f := range []func(*testing.T,*world){people, grooms, dogs, incidents, standings, signOffs, drafts} { f(t, w) }
		for _, p := range w.people { if p.Login == "tamsin" || p.Login == "kwabena" || p.Login=="elowen" {
			n := map[assessment.State]int{}
			for _, st := range w.standings[p.Key] { n[st.State]++ }
			t.Log(i, p.Login, n)
		}}
	}
}
