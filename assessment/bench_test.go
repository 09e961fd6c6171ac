package assessment_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"tablehand/assessment"
	"tablehand/curriculum"
)

const (
	benchApprentices = 25
	benchEach        = 200 // observations of each skill
)

// benchSalon is 25 apprentices with 200 observations of each of 60 skills.
func benchSalon() []*assessment.Apprenticeship {
	p := curriculum.Default()
	rng := rand.New(rand.NewPCG(1, 2))
	salon := make([]*assessment.Apprenticeship, benchApprentices)
	for i := range salon {
		a := &assessment.Apprenticeship{Observations: map[string][]assessment.Observation{}, SignOffs: map[string][]assessment.SignOff{}}
		for _, s := range p.AllSkills() {
			list := make([]assessment.Observation, benchEach)
			for j := range list {
				list[j] = assessment.Observation{Skill: s.ID, Day: firstDay + assessment.Day(j*2), Level: int8(3 + min(rng.IntN(12), 2)), Dog: fmt.Sprint("dog ", rng.IntN(80)),
					Coat: []string{"WO", "XW", "SI", "WI"}[rng.IntN(4)], Size: []string{"S", "M", "L"}[rng.IntN(3)], Style: "scissored", Assessor: []string{"X", "Y", "Z"}[rng.IntN(3)]}
			}
			a.Observations[s.ID] = list
			if rng.IntN(2) == 0 {
				a.SignOffs[s.ID] = confirmed(firstDay + 100)
			}
		}
		salon[i] = a
	}
	return salon
}

// BenchmarkStandings works out every standing of a large salon. "limit" only
// adds up the levels of the same observations: nothing that reads each of them
// once can be faster.
func BenchmarkStandings(b *testing.B) {
	p, salon := curriculum.Default(), benchSalon()
	today := firstDay + 2*benchEach
	observations := float64(benchApprentices * len(p.AllSkills()) * benchEach)
	perObservation := func(b *testing.B) {
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/observations, "ns/observation")
	}
	b.Run("standings", func(b *testing.B) {
		b.ReportAllocs()
		signed := 0
		for b.Loop() {
			signed = 0
			for _, a := range salon {
				for _, s := range a.Standings(p, today) {
					if s.SignedNow() {
						signed++
					}
				}
			}
		}
		if signed == 0 {
			b.Fatal("nobody has signed anything: the work was not done")
		}
		perObservation(b)
	})
	b.Run("limit", func(b *testing.B) {
		b.ReportAllocs()
		sum := 0
		for b.Loop() {
			sum = 0
			for _, a := range salon {
				for _, list := range a.Observations {
					for i := range list {
						sum += int(list[i].Level)
					}
				}
			}
		}
		if sum == 0 {
			b.Fatal("nothing was added up")
		}
		perObservation(b)
	})
}
