package server

import (
	"fmt"
	"strings"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/web"
)

// bladeChart is the table of blades and combs of a programme that has one.
func bladeChart(p *curriculum.Programme) web.BladeChart {
	c := p.Cutting
	chart := web.BladeChart{Say: chartWords(p)}
	for i := range c.Blades {
		b := &c.Blades[i]
		row := web.BladeRow{Name: b.Name, Teeth: map[curriculum.Teeth]string{curriculum.EvenTeeth: "even", curriculum.SkipTeeth: "skip"}[b.Teeth], Stamped: b.Length.String(),
			Mats: map[curriculum.Mats]string{curriculum.UnderMats: "goes under", curriculum.ExperiencedMats: "experienced hands", curriculum.NeverMats: "never"}[b.Mats],
			Note: strings.TrimSpace(b.Caution)}
		if b.Least != b.Most {
			row.Makers = fmt.Sprintf("makers: %s to %s", b.Least.Number(), b.Most.Number())
		}
		if b.Barred != "" {
			row.Note = strings.TrimSpace("Not for apprentices. " + b.Barred + " " + row.Note)
		}
		// No coat class: the lengths are those on a coat that lies.
		with, _ := assessment.ExpectedLength(c, "", assessment.Cut{Tool: b.ID, Direction: curriculum.WithLie})
		against, _ := assessment.ExpectedLength(c, "", assessment.Cut{Tool: b.ID, Direction: curriculum.Reverse})
		row.With, row.Against = with.MM.String(), against.MM.String()
		chart.Blades = append(chart.Blades, row)
	}
	for i := range c.Combs {
		comb := &c.Combs[i]
		chart.Combs = append(chart.Combs, web.Term{Name: comb.Name, Note: strings.TrimSpace("over " + bladeNames(c, c.Under(comb)) + ". " + comb.Caution)})
	}
	for i := range c.Skins {
		chart.Skins = append(chart.Skins, web.Term{Name: c.Skins[i].Name, Note: skinWords(c, &c.Skins[i])})
	}
	for i := range c.Areas {
		chart.Areas = append(chart.Areas, web.Term{Name: c.Areas[i].Name, Note: areaWords(c, &c.Areas[i])})
	}
	return chart
}

func bladeNames(c *curriculum.Cutting, ids []string) string {
	names := make([]string, len(ids))
	for i, id := range ids {
		names[i] = id
		if b := c.Blade(id); b != nil {
			names[i] = b.Name
		}
	}
	return strings.Join(names, ", ")
}

// chartWords says what holds for the whole table.
func chartWords(p *curriculum.Programme) []string {
	c := p.Cutting
	out := []string{fmt.Sprintf("The length stamped on a blade is what it leaves %s. With the lie it leaves about %d times what it leaves against it.", c.StampIs.Words(), c.WithLieTimes)}
	if len(c.StandsOff) > 0 {
		out = append(out, "On a coat that stands off, the direction makes no difference: "+coatNames(p, c.StandsOff)+".")
	}
	out = append(out, "A comb leaves its own length, with the lie. Lengths are a guide: make a test patch and measure it.",
		fmt.Sprintf("A length meets the brief within %s of what was agreed.", c.GiveOrTake))
	if len(c.WrittenWish) > 0 {
		out = append(out, "The jacket is clipped only at the owner's written wish or for a vet's reason: "+coatNames(p, c.WrittenWish)+".")
	}
	return append(out, fmt.Sprintf("From matting grade %d the comb no longer passes; from grade %d the owner's written consent is needed.", c.KnottedFrom, c.ConsentFrom))
}

func coatNames(p *curriculum.Programme, ids []string) string {
	names := make([]string, len(ids))
	for i, id := range ids {
		names[i] = strings.ToLower(p.Vocabulary.Coat(id).Name)
	}
	return strings.Join(names, "; ")
}

func skinWords(c *curriculum.Cutting, s *curriculum.Skin) string {
	var out []string
	for _, t := range s.NoTeeth {
		if t == curriculum.SkipTeeth {
			out = append(out, "No skip-tooth blade.")
		}
	}
	if len(s.NoBlades) > 0 {
		out = append(out, "Not "+bladeNames(c, s.NoBlades)+".")
	}
	if len(s.OnlyBlades) > 0 {
		out = append(out, "Only "+bladeNames(c, s.OnlyBlades)+".")
	}
	if s.NoReverse {
		out = append(out, "Never against the lie.")
	}
	return strings.TrimSpace(strings.Join(out, " ") + " " + s.Why + s.Stop)
}

func areaWords(c *curriculum.Cutting, a *curriculum.Area) string {
	out := []string{"Any blade."}
	if len(a.Blades) > 0 {
		out[0] = bladeNames(c, a.Blades) + "."
	}
	if a.Combs {
		out = append(out, "Combs.")
	}
	if a.WithOnly {
		out = append(out, "With the lie only.")
	}
	if a.Skin != c.Skins[0].ID {
		out = append(out, "Skin: "+strings.ToLower(c.Skin(a.Skin).Name)+".")
	}
	return strings.TrimSpace(strings.Join(append(out, a.Caution), " "))
}
