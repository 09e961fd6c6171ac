package curriculum_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"tablehand/curriculum"
)

// Millimetres are read exactly, to a hundredth; nothing is rounded or guessed.
func TestParseMM(t *testing.T) {
	for text, want := range map[string]curriculum.MM{"3.2": 320, "0.05": 5, "13": 1300, "12.7": 1270, "19.05": 1905, "0": 0, "007": 700, "1000": 100_000, "0.5": 50, "0.50": 50} {
		got, ok := curriculum.ParseMM(text)
		assert.True(t, ok, text)
		assert.Equal(t, want, got, text)
	}
	for _, text := range []string{"", ".", ".5", "5.", "3.255", "-1", "+1", "1e2", "1,5", "1000.01", "99999", " 3", "3 mm", "٣", "1.2.3"} {
		_, ok := curriculum.ParseMM(text)
		assert.False(t, ok, text)
	}
	for mm, want := range map[curriculum.MM]string{320: "3.2 mm", 5: "0.05 mm", 1300: "13 mm", 1905: "19.05 mm", 0: "0 mm", 50: "0.5 mm", -125: "−1.25 mm"} {
		assert.Equal(t, want, mm.String())
	}
	rapid.Check(t, func(t *rapid.T) {
		mm := curriculum.MM(rapid.Int64Range(0, 100_000).Draw(t, "mm"))
		got, ok := curriculum.ParseMM(mm.Number())
		assert.True(t, ok)
		assert.Equal(t, mm, got, "what is written is read back")
	})
}

// The default table: areas, blades used there, and what thin skin forbids. Common
// practice, no source, but for #7F on thin skin: a published training page.
func TestDefaultTable(t *testing.T) {
	c := curriculum.Default().Cutting
	require.NotNil(t, c)
	for _, k := range []struct {
		area   string
		blades []string
	}{
		{"sanitary", []string{"10"}}, {"armpits", []string{"10"}}, {"groin", []string{"10"}}, {"tuck_up", []string{"10"}}, {"face", []string{"10", "15"}}, {"throat", []string{"10", "15"}},
		{"ears", []string{"10", "15"}}, {"pads", []string{"30", "15", "toe"}}, {"back", nil}, {"legs", nil},
	} {
		a := c.Area(k.area)
		require.NotNil(t, a, k.area)
		assert.Equal(t, k.blades, a.Blades, k.area)
		assert.Equal(t, k.blades == nil, a.Combs, "%s: combs only where any blade is", k.area)
	}
	thin := c.Skin("thin")
	for i := range c.Blades {
		b := &c.Blades[i]
		assert.Equal(t, b.Teeth == curriculum.SkipTeeth || b.Length >= 320, thin.Forbids(b), "%s on thin skin", b.ID)
	}
	assert.Equal(t, []string{"30", "15", "10"}, c.Under(c.Comb("c13")), "#40 is not for apprentices")
	assert.NotEmpty(t, c.Blade("40").Barred)
	assert.NotEmpty(t, c.Blade("50").Barred)
	assert.Nil(t, c.Blade("11"))
	assert.Nil(t, c.Comb("10"))
	assert.Nil(t, c.Skin("wet"))
	assert.Nil(t, c.Area("wings"))
}

// The digest of a programme covers its table: another length is another programme.
func TestTheDigestCoversTheTable(t *testing.T) {
	text := cutting(t)
	a, err := curriculum.Read("a.yaml", []byte(text))
	require.NoError(t, err)
	b, err := curriculum.Read("b.yaml", []byte(mutate(t, text, "length_mm: 1.6", "length_mm: 1.7")))
	require.NoError(t, err)
	assert.NotEqual(t, a.Digest(), b.Digest())
	assert.Equal(t, curriculum.MM(170), b.Cutting.Blade("b10").Length)
	next, err := a.WithPointsRule(curriculum.PointsRule{ID: "points", Competent: 0.02, Unacceptable: 0.2, FalseSignOff: 0.05, Within: 60, FaultCosts: 10, NeverBelow: -10, EligibleAt: 18}, 2)
	require.NoError(t, err)
	assert.Equal(t, a.Cutting, next.Cutting, "another points rule leaves it alone")
}
