package assessment

import (
	"fmt"
	"slices"
	"strings"

	"tablehand/curriculum"
)

// Cut is how one area is clipped.
type Cut struct {
	Tool      string // id of a blade or comb
	Direction curriculum.Direction
	Under     string // id of the blade under a comb; empty for a blade
}

// CutLine is one area of a cut plan.
type CutLine struct {
	Area   string
	Skin   string        // id of the state of skin found; empty for what is usual there
	Agreed curriculum.MM // length agreed with the owner; 0 when none was
	Cut
}

// LeftAlone reports whether the area is noted and not to be clipped, for example for
// its skin.
func (l *CutLine) LeftAlone() bool { return l.Cut == Cut{} && l.Agreed == 0 }

// CutPlan is what is to be clipped how, written down before the clipper comes
// out.
type CutPlan struct {
	Lines   []CutLine
	Consent bool // the owner agreed in writing that a felted coat comes off
	Wish    bool // the owner wished in writing, or a vet advised, to clip a coat that is otherwise left
}

// CutDog is what of a dog bears on a cut plan.
type CutDog struct {
	Coat    string   // id of the coat class
	Matting int      // grade; −1 when not given
	Tested  bool     // the comb test was recorded
	Passed  []string // hidden places where the comb passed
}

// CutDogOf takes what bears on a cut plan from a groom.
func CutDogOf(g *Groom) CutDog {
	return CutDog{Coat: g.Coat, Matting: g.Matting, Tested: len(g.CombTest) > 0 || strings.TrimSpace(g.CombNote) != "", Passed: g.CombTest}
}

// Length is what a blade or comb is expected to leave, a guide and no promise:
// dirt, speed, tilt and pressure change it.
type Length struct {
	MM         curriculum.MM
	GiveOrTake curriculum.MM
}

// Words returns the length as shown to people.
func (l Length) Words() string {
	return fmt.Sprintf("about %s, give or take %s", l.MM, l.GiveOrTake.Number())
}

// ExpectedLength returns the length a cut leaves on a coat class. A blade leaves
// its stamped length in the direction the stamp means; with the lie is
// WithLieTimes as long as against it, and on a coat that stands off the direction
// makes no difference. A comb leaves its own length with the lie, whatever is under
// it. Half a hundredth of a millimetre is rounded up. There is no length where the
// table does not know the tool, the direction is not given, or a comb runs against
// the lie.
//
// The ratio and the two meanings of the stamp: two retailers' published guides,
// which a third contradicts in meaning but not in ratio.
func ExpectedLength(c *curriculum.Cutting, coat string, cut Cut) (Length, bool) {
	if comb := c.Comb(cut.Tool); comb != nil {
		return Length{comb.Length, comb.Tolerance}, cut.Direction == curriculum.WithLie
	}
	b := c.Blade(cut.Tool)
	if b == nil || !slices.Contains(curriculum.Directions, cut.Direction) {
		return Length{}, false
	}
	l, times := Length{b.Length, b.Tolerance}, curriculum.MM(c.WithLieTimes)
	switch stamp := c.StampOf(b); {
	case cut.Direction == stamp || slices.Contains(c.StandsOff, coat):
	case cut.Direction == curriculum.WithLie:
		l = Length{l.MM * times, l.GiveOrTake * times}
	default:
		l = Length{divided(l.MM, times), divided(l.GiveOrTake, times)}
	}
	return l, true
}

// divided is a length by a whole number, halves rounded up.
func divided(l, by curriculum.MM) curriculum.MM { return (2*l + by) / (2 * by) }

// CutSeverity is how much is wrong with a line of a cut plan.
type CutSeverity uint8

const (
	Advice      CutSeverity = iota // worth knowing; the line may stand
	MissesBrief                    // leaves another length than was agreed
	NotAllowed                     // against the salon's own rules
	Unsafe                         // can hurt the dog
)

// String returns the word shown to people.
func (s CutSeverity) String() string {
	return [...]string{"Good to know", "Misses the brief", "Not here", "Unsafe"}[s]
}

// CutFinding is one thing about a line of a cut plan, in a sentence that says
// where, what was found and what to do.
type CutFinding struct {
	Area     string // id
	Severity CutSeverity
	Text     string
}

// CheckCutPlan holds a cut plan against the salon's table, the agreed lengths and
// the dog. It returns nothing for a programme without a table.
func CheckCutPlan(p *curriculum.Programme, plan *CutPlan, dog CutDog) []CutFinding {
	var out []CutFinding
	if p.Cutting == nil {
		return nil
	}
	for i := range plan.Lines {
		c := newCutCheck(p, plan, &plan.Lines[i], dog)
		if c.area == nil {
			out = append(out, CutFinding{plan.Lines[i].Area, NotAllowed, fmt.Sprintf("The table of this programme has no area %q. Take the line out.", shortened(plan.Lines[i].Area))})
			continue
		}
		if plan.Lines[i].LeftAlone() {
			continue
		}
		if c.mayBeClipped() {
			c.tool()
			c.length()
		}
		out = append(out, c.found...)
	}
	return out
}

// cutCheck looks at one line.
type cutCheck struct {
	p     *curriculum.Programme
	c     *curriculum.Cutting
	plan  *CutPlan
	line  *CutLine
	dog   CutDog
	area  *curriculum.Area
	skins []*curriculum.Skin // what is usual there, and what was found
	found []CutFinding
}

func newCutCheck(p *curriculum.Programme, plan *CutPlan, line *CutLine, dog CutDog) *cutCheck {
	c := &cutCheck{p: p, c: p.Cutting, plan: plan, line: line, dog: dog, area: p.Cutting.Area(line.Area)}
	if c.area == nil {
		return c
	}
	c.skins = []*curriculum.Skin{p.Cutting.Skin(c.area.Skin)}
	if s := p.Cutting.Skin(line.Skin); s != nil && s != c.skins[0] {
		c.skins = append(c.skins, s)
	}
	return c
}

func (c *cutCheck) say(s CutSeverity, format string, args ...any) {
	c.found = append(c.found, CutFinding{c.area.ID, s, c.area.Name + ": " + fmt.Sprintf(format, args...)})
}

// mayBeClipped says what keeps the area from being clipped with anything, and
// reports whether nothing does.
func (c *cutCheck) mayBeClipped() bool {
	for _, s := range c.skins {
		if s.Stop != "" {
			c.say(Unsafe, "the skin is %s. %s", lowerFirst(s.Name), s.Stop)
			return false
		}
	}
	if c.area.Jacket && !c.plan.Wish && slices.Contains(c.c.WrittenWish, c.dog.Coat) {
		c.say(NotAllowed, "this coat (%s) is clipped only at the owner's written wish or for a vet's reason, and neither is noted. Ask the owner, or leave its length and tidy it.", c.coatName())
	}
	if !c.plan.Consent && c.dog.Matting >= c.c.ConsentFrom {
		c.say(NotAllowed, "the matting is of grade %d, and the owner's written consent to take it off is not noted. Ask for it before the clipper comes out.", c.dog.Matting)
	}
	return len(c.found) == 0
}

func (c *cutCheck) coatName() string {
	if coat := c.p.Vocabulary.Coat(c.dog.Coat); coat != nil {
		return lowerFirst(coat.Name)
	}
	return c.dog.Coat
}

func (c *cutCheck) tool() {
	blade, comb := c.c.Blade(c.line.Tool), c.c.Comb(c.line.Tool)
	switch {
	case c.line.Tool == "":
		c.say(NotAllowed, "no blade or comb is chosen. Choose one, or take the line out.")
		return
	case comb != nil:
		c.comb(comb)
	case blade != nil:
		c.blade(blade)
	default:
		c.say(NotAllowed, "the table has no blade or comb %q. Choose one of the list.", shortened(c.line.Tool))
		return
	}
	if !slices.Contains(curriculum.Directions, c.line.Direction) {
		c.say(NotAllowed, "no direction is chosen. Say whether it goes with the lie or against it.")
	}
	if c.line.Direction == curriculum.Reverse {
		c.reverse(comb)
	}
}

func (c *cutCheck) blade(b *curriculum.Blade) {
	told := false
	for _, s := range c.skins {
		if s.Forbids(b) {
			c.say(Unsafe, "%s, and %s is unsafe on it. %s", c.skinIs(s), bladeWords(b), s.Why+c.hereItIs())
			told = true
		}
	}
	switch {
	case !c.knotted():
		c.combFirst(b.Name, b.Mats == curriculum.NeverMats)
	case b.Mats == curriculum.NeverMats:
		c.say(Unsafe, "the coat is knotted here; %s jams in it and drags the skin. Comb it through first, or go under the knots with %s.", b.Name, c.underKnots())
	case b.Mats == curriculum.ExperiencedMats:
		c.say(NotAllowed, "under knots %s is for experienced hands. Take %s.", b.Name, c.underKnots())
	}
	if len(c.area.Blades) > 0 && !slices.Contains(c.area.Blades, b.ID) && !told {
		c.say(NotAllowed, "%s is not used here. Take %s.", b.Name, c.names(c.area.Blades))
	}
	if b.Narrow && c.area.Jacket {
		c.say(NotAllowed, "%s is too narrow here and leaves lines. Take a wider one.", b.Name)
	}
	if b.Barred != "" {
		c.say(NotAllowed, "%s is not for apprentices. %s Take another.", b.Name, b.Barred)
	}
	if c.line.Under != "" {
		c.say(NotAllowed, "a blade sits on the clipper itself. Leave the blade under it empty, or choose a comb.")
	}
}

// skinIs says what the skin is, and whether that was found or holds there anyhow.
func (c *cutCheck) skinIs(s *curriculum.Skin) string {
	if s.ID == c.area.Skin && s.ID != c.line.Skin {
		return "the skin here counts as " + lowerFirst(s.Name) + " on every dog"
	}
	return "the skin is " + lowerFirst(s.Name)
}

// bladeWords names a blade with what makes it dangerous.
func bladeWords(b *curriculum.Blade) string {
	if b.Teeth == curriculum.SkipTeeth {
		return b.Name + " (skip-tooth)"
	}
	return b.Name
}

func (c *cutCheck) hereItIs() string {
	if len(c.area.Blades) == 0 {
		return ""
	}
	return " Here it is " + c.names(c.area.Blades) + "."
}

func (c *cutCheck) comb(comb *curriculum.Comb) {
	if !c.area.Combs {
		do := "Take a blade."
		if len(c.area.Blades) > 0 {
			do = "Take " + c.names(c.area.Blades) + "."
		}
		c.say(NotAllowed, "combs are not used here. %s", do)
	}
	if c.knotted() {
		c.say(Unsafe, "the coat is knotted here; the %s catches and pulls the skin up. Comb it through first, or go under the knots with %s.", comb.Name, c.underKnots())
	} else {
		c.combFirst(comb.Name, true)
	}
	allowed := c.c.Under(comb)
	under := c.c.Blade(c.line.Under)
	switch {
	case c.line.Under == "":
		c.say(NotAllowed, "no blade is chosen under the %s. Choose %s.", comb.Name, c.names(allowed))
	case under == nil || !slices.Contains(allowed, under.ID):
		c.say(NotAllowed, "%s may not sit under the %s. Take %s.", c.name(c.line.Under), comb.Name, c.names(allowed))
	default:
		c.lostComb(under, allowed)
	}
}

// lostComb tells what a shorter blade under a comb leaves when the comb comes
// off.
func (c *cutCheck) lostComb(under *curriculum.Blade, allowed []string) {
	longest := under
	for _, id := range allowed {
		if b := c.c.Blade(id); b.Length > longest.Length {
			longest = b
		}
	}
	if longest != under {
		c.say(Advice, "if the comb comes off, %s is stamped %s and %s %s. Tug the comb before you begin.", under.Name, under.Length, longest.Name, longest.Length)
	}
}

func (c *cutCheck) reverse(comb *curriculum.Comb) {
	for _, s := range c.skins {
		if s.NoReverse {
			c.say(Unsafe, "the skin is %s, and nothing runs against the lie on it. %s", lowerFirst(s.Name), s.Why)
		}
	}
	switch {
	case comb != nil:
		c.say(NotAllowed, "a comb goes with the lie; against it nobody knows what it leaves. Turn the clipper round.")
	case c.area.WithOnly:
		c.say(NotAllowed, "the clipper goes with the lie here, never against it. Turn it round.")
	}
}

// knotted reports whether the comb does not pass in this area.
func (c *cutCheck) knotted() bool {
	hidden := c.area.CombTest != "" && c.dog.Tested && !slices.Contains(c.dog.Passed, c.area.CombTest)
	return hidden || c.dog.Matting >= c.c.KnottedFrom
}

// combFirst reminds of the comb where a tool needs a combed coat and nothing says
// yet that the comb passes.
func (c *cutCheck) combFirst(tool string, needed bool) {
	if needed && (!c.dog.Tested || c.dog.Matting != 0) {
		c.say(Advice, "comb to the skin before the %s: it needs a coat in which nothing catches.", tool)
	}
}

// underKnots names the blades that go under knots here.
func (c *cutCheck) underKnots() string {
	var ids []string
	for i := range c.c.Blades {
		b := &c.c.Blades[i]
		forbidden := slices.ContainsFunc(c.skins, func(s *curriculum.Skin) bool { return s.Forbids(b) })
		if b.Mats == curriculum.UnderMats && b.Barred == "" && !(b.Narrow && c.area.Jacket) && !forbidden && (len(c.area.Blades) == 0 || slices.Contains(c.area.Blades, b.ID)) {
			ids = append(ids, b.ID)
		}
	}
	if len(ids) == 0 {
		return "a blade your assessor chooses"
	}
	return c.names(ids)
}

// length holds the expected length against the agreed one.
func (c *cutCheck) length() {
	l, known := ExpectedLength(c.c, c.dog.Coat, c.line.Cut)
	agreed, give := c.line.Agreed, c.c.GiveOrTake
	if !known || agreed == 0 || l.MM >= agreed-give && l.MM <= agreed+give {
		return
	}
	c.say(MissesBrief, "%s leaves about %s, but %s was agreed, give or take %s. Take what leaves %s to %s, or agree another length with the owner.",
		CutWords(c.c, c.line.Cut), l.MM, agreed, give.Number(), max(agreed-give, 0).Number(), agreed+give)
}

// CutPlanWords says a plan in a line for each area, with what speaks against it:
// "Back and sides: #7F with the lie, agreed 6 mm (Misses the brief)".
func CutPlanWords(p *curriculum.Programme, plan *CutPlan, dog CutDog) []string {
	if p.Cutting == nil {
		return nil
	}
	found := CheckCutPlan(p, plan, dog)
	out := make([]string, len(plan.Lines))
	for i := range plan.Lines {
		l := &plan.Lines[i]
		name := shortened(l.Area)
		if a := p.Cutting.Area(l.Area); a != nil {
			name = a.Name
		}
		out[i] = name + ": " + CutWords(p.Cutting, l.Cut)
		if l.Agreed > 0 {
			out[i] += ", agreed " + l.Agreed.String()
		}
		var against set
		for _, f := range found {
			if f.Area == l.Area && f.Severity > Advice {
				against.add(f.Severity.String())
			}
		}
		if len(against) > 0 {
			out[i] += " (" + strings.Join(against, ", ") + ")"
		}
	}
	return out
}

// CutWords says a cut in words, "#7F with the lie", "13 mm comb over #10".
func CutWords(c *curriculum.Cutting, cut Cut) string {
	switch {
	case cut == Cut{}:
		return "not clipped"
	case cut.Tool == "":
		return "no blade or comb chosen"
	case c.Comb(cut.Tool) != nil && cut.Under != "":
		text := c.Comb(cut.Tool).Name + " over " + toolName(c, cut.Under)
		if cut.Direction == curriculum.Reverse {
			text += " " + cut.Direction.Words()
		}
		return text
	case cut.Direction == "":
		return toolName(c, cut.Tool)
	}
	return toolName(c, cut.Tool) + " " + cut.Direction.Words()
}

// toolName is the name of a blade or comb, or the id itself when the table does
// not know it.
func toolName(c *curriculum.Cutting, id string) string {
	if b := c.Blade(id); b != nil {
		return b.Name
	}
	if comb := c.Comb(id); comb != nil {
		return comb.Name
	}
	return shortened(id)
}

func (c *cutCheck) name(id string) string { return toolName(c.c, id) }

// names lists blades, "#30, #15 or #10".
func (c *cutCheck) names(ids []string) string { return toolNames(c.c, ids) }

func toolNames(c *curriculum.Cutting, ids []string) string {
	names := make([]string, len(ids))
	for i, id := range ids {
		names[i] = lowerFirst(toolName(c, id))
	}
	return orList(names)
}

// orList joins words, "a, b or c".
func orList(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}
