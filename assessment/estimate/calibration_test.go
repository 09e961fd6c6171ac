package estimate

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"tablehand/assessment/sequence"
)

// A forecast is checked against apprentices whose fault rates are known because
// they are drawn. The stated prior, from which everybody below comes unless said
// otherwise: fault rates uniform from 0 to 1, a pace of 0.3 to 8 grooms a week
// with density falling as one over its square root, programmes that began 4 to 26
// weeks ago. The rule is that of a safety-critical or of a routine skill.

var calibrationRules = []sequence.Rule{
	{Fault: 10, Floor: -10, Threshold: 17, Horizon: 60},
	{Fault: 5, Floor: -10, Threshold: 9, Horizon: 60},
}

func uniformRate(r *rand.Rand, skills int) []float64 {
	rates := make([]float64, skills)
	for i := range rates {
		rates[i] = r.Float64()
	}
	return rates
}

// apprentice has the same grooms for every skill; each groom shows a skill with
// chance shown.
type apprentice struct {
	rule   sequence.Rule
	rates  []float64
	pace   float64 // grooms a week
	shown  float64
	skills []Skill
}

// draw makes an apprentice with a past, or returns false if a skill has its points
// or its number of observations already. Nobody knows the future here yet.
func draw(r *rand.Rand, skills int, rates func(*rand.Rand, int) []float64, shown float64) (apprentice, bool) {
	low, high := math.Sqrt(0.3), math.Sqrt(8)
	root := low + (high-low)*r.Float64()
	a := apprentice{
		rule: calibrationRules[r.IntN(len(calibrationRules))], rates: rates(r, skills),
		pace: root * root, shown: shown, skills: make([]Skill, skills),
	}
	days := 28 + r.IntN(155)
	for i := range a.skills {
		a.skills[i] = Skill{Rule: a.rule, Days: days, TargetDays: 42}
	}
	for at := r.ExpFloat64() / a.pace * 7; at < float64(days); at += r.ExpFloat64() / a.pace * 7 {
		for i := range a.skills {
			if s := &a.skills[i]; r.Float64() < shown {
				clean := r.Float64() >= a.rates[i]
				s.Score, s.Used = a.rule.Step(s.Score, clean), s.Used+1
				s.Recent = append(s.Recent, clean)
				s.DaysAgo = append(s.DaysAgo, days-1-int(at))
				if s.Score >= a.rule.Threshold || s.Used >= a.rule.Horizon {
					return a, false
				}
			}
		}
	}
	return a, true
}

// future plays on until every skill has its points or no observations are left.
// It returns the observations that the first skill took and the weeks that all
// took, infinite if never.
func (a apprentice) future(r *rand.Rand) (observations, weeks float64) {
	observations = math.Inf(1)
	missing := len(a.skills)
	score, used := make([]int, missing), make([]int, missing)
	for i, s := range a.skills {
		score[i], used[i] = s.Score, s.Used
	}
	for {
		weeks += r.ExpFloat64() / a.pace
		for i := range a.skills {
			if score[i] >= a.rule.Threshold || r.Float64() >= a.shown {
				continue
			}
			score[i], used[i] = a.rule.Step(score[i], r.Float64() >= a.rates[i]), used[i]+1
			if score[i] < a.rule.Threshold && used[i] >= a.rule.Horizon {
				return observations, math.Inf(1)
			}
			if score[i] >= a.rule.Threshold {
				if i == 0 {
					observations = float64(used[i] - a.skills[i].Used)
				}
				if missing--; missing == 0 {
					return observations, weeks
				}
			}
		}
	}
}

// hopeless spares time: a past with hardly a chance is not forecast. It looks at
// the past only, so it cannot bias the coverage.
func (a apprentice) hopeless() bool {
	chance := 1.0
	for _, s := range a.skills {
		faults := 0
		for _, clean := range s.Recent {
			if !clean {
				faults++
			}
		}
		if len(s.Recent) < MinRecent {
			return true
		}
		likely := float64(1+faults) / float64(2+len(s.Recent))
		chance *= must(ReachKnown(s.Rule, s.Score, s.Rule.Horizon-s.Used, likely)).Within(s.Rule.Horizon)
		if chance < 0.5 {
			return true
		}
	}
	return false
}

// tally counts futures. Those of one apprentice are alike, so the standard error
// is that of a ratio of sums over apprentices.
type tally struct {
	apprentices                    int
	futures, reached, held, spread float64
	expected, came                 float64 // by the target date
	each                           [][2]float64
}

func (c *tally) add(reached, held float64) {
	c.apprentices++
	c.futures += futures
	c.reached += reached
	c.held += held
	c.each = append(c.each, [2]float64{reached, held})
}

// coverage is the share held by the range of those that reach their points at all.
func (c tally) coverage() (share, se float64) {
	share = c.held / c.reached
	for _, e := range c.each {
		se += square(e[1] - share*e[0])
	}
	return share, math.Sqrt(se) / c.reached
}

const futures = 20 // played for each apprentice with a forecast

// calibrateSkill goes on until want forecasts were shown.
func calibrateSkill(want int, seed uint64, rates func(*rand.Rand, int) []float64) (c tally) {
	r := rand.New(rand.NewPCG(seed, 1))
	for c.apprentices < want {
		a, ok := draw(r, 1, rates, 1)
		if !ok || a.hopeless() {
			continue
		}
		f := Forecast(a.skills[0])
		if f.WhyNot != "" {
			continue
		}
		reached, held := 0.0, 0.0
		for range futures {
			took, weeks := a.future(r)
			if weeks <= 6 {
				c.came++
			}
			c.expected += f.ByTarget
			// Observations are whole numbers. Spread evenly over the step that the
			// number takes, the chance is evenly distributed if the forecast is right.
			before, at := f.WithinRemaining, 1.0
			if !math.IsInf(took, 1) {
				before, at = f.reach.Within(int(took)-1), f.reach.Within(int(took))
				reached++
			}
			if u := before + (at-before)*r.Float64(); u >= 0.1 && u <= 0.9 {
				c.spread++
			}
			if weeks >= f.Weeks.Low && weeks <= f.Weeks.High {
				held++
			}
		}
		c.add(reached, held)
	}
	return c
}

func calibrateProgramme(want, skills int, seed uint64, rates func(*rand.Rand, int) []float64, shown float64) (c tally) {
	r := rand.New(rand.NewPCG(seed, 2))
	for c.apprentices < want {
		a, ok := draw(r, skills, rates, shown)
		if !ok || a.hopeless() {
			continue
		}
		var missing []SkillForecast
		for _, s := range a.skills {
			missing = append(missing, Forecast(s))
		}
		p := ForecastProgramme(missing, 42)
		if p.WhyNot != "" {
			continue
		}
		reached, held := 0.0, 0.0
		for range futures {
			_, weeks := a.future(r)
			if weeks <= 6 {
				c.came++
			}
			c.expected += p.ByTarget
			if !math.IsInf(weeks, 1) {
				reached++
			}
			if weeks >= p.Weeks.Low && weeks <= p.Weeks.High {
				held++
			}
		}
		c.add(reached, held)
	}
	return c
}

// Other worlds, for the benchmark: what is left of the coverage when apprentices
// are not as the forecast supposes.

func betterRate(r *rand.Rand, skills int) []float64 { // Beta(1, 9): a tenth not clean on average
	rates := make([]float64, skills)
	for i := range rates {
		rates[i] = 1 - math.Pow(r.Float64(), 1.0/9)
	}
	return rates
}

func sameRate(r *rand.Rand, skills int) []float64 { // one rate for every skill
	rates := make([]float64, skills)
	p := r.Float64()
	for i := range rates {
		rates[i] = p
	}
	return rates
}

func (c tally) log(t *testing.T) {
	share, se := c.coverage()
	t.Logf("weeks held %.4f (se %.4f), observations %.4f, reached %.3f, by target %.3f expected, %.3f came",
		share, se, c.spread/c.futures, c.reached/c.futures, c.expected/c.futures, c.came/c.futures)
}

// The standard error of the weeks' coverage is below 0.0067, so 0.78 to 0.82 are
// three of them to either side. The other two figures have about the same.
func TestSkillForecastIsCalibrated(t *testing.T) {
	t.Parallel()
	c := calibrateSkill(450, 1, uniformRate)
	c.log(t)
	share, se := c.coverage()
	assert.Less(t, se, 0.02/3)
	assert.InDelta(t, 0.8, share, 0.02, "weeks")
	assert.InDelta(t, 0.8, c.spread/c.futures, 0.03, "observations")
	assert.InDelta(t, c.expected/c.futures, c.came/c.futures, 0.03, "by the target date")
}

// Two skills on the same grooms; three standard errors, of about 0.01.
func TestProgrammeForecastIsCalibrated(t *testing.T) {
	t.Parallel()
	c := calibrateProgramme(150, 2, 1, uniformRate, 1)
	c.log(t)
	share, se := c.coverage()
	assert.Less(t, se, 0.025)
	assert.InDelta(t, 0.8, share, 3*se, "weeks")
	assert.InDelta(t, c.expected/c.futures, c.came/c.futures, 0.1, "by the target date")
}

// BenchmarkCalibration is the long run: the share of apprentices held by the
// ranges that are meant to hold 0.8 of those who get there, and how many came by
// the target date for one expected. In the prior's world the two are near 0.8 and
// 1. Where skills are alike, or apprentices better than supposed, more come in time
// than expected, up to half as many again, while the ranges hold 0.81 to 0.83.
func BenchmarkCalibration(b *testing.B) {
	for _, world := range []struct {
		name  string
		rates func(*rand.Rand, int) []float64
	}{{"skill", uniformRate}, {"skill-better-than-supposed", betterRate}} {
		b.Run(world.name, func(b *testing.B) {
			for b.Loop() {
				c := calibrateSkill(10000, 7, world.rates)
				c.report(b)
				b.ReportMetric(c.spread/c.futures, "held-observations")
			}
		})
	}
	for _, world := range []struct {
		name  string
		rates func(*rand.Rand, int) []float64
		shown float64
	}{
		{"programme", uniformRate, 1},
		{"programme-on-some-grooms", uniformRate, 0.6},
		{"programme-skills-alike", sameRate, 1},
		{"programme-better-than-supposed", betterRate, 1},
	} {
		b.Run(world.name, func(b *testing.B) {
			for b.Loop() {
				calibrateProgramme(1000, 3, 7, world.rates, world.shown).report(b)
			}
		})
	}
}

func (c tally) report(b *testing.B) {
	share, se := c.coverage()
	b.ReportMetric(share, "held")
	b.ReportMetric(se, "se")
	b.ReportMetric(c.reached/c.futures, "reached")
	b.ReportMetric(c.came/c.expected, "came/expected")
}
