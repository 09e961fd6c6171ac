package curriculum

import (
	"strconv"
	"strings"
)

// MM is a length in hundredths of a millimetre: 320 is 3.2 mm. Whole numbers, so
// that lengths are doubled and compared exactly.
type MM int64

// String returns the length with as many decimals as it has, "3.2 mm".
func (m MM) String() string { return m.Number() + " mm" }

// Number is the length in millimetres without the unit, "3.2".
func (m MM) Number() string {
	sign := ""
	if m < 0 {
		m, sign = -m, "−"
	}
	text := strconv.FormatInt(int64(m/100), 10)
	if rest := int64(m % 100); rest > 0 {
		text += "." + strings.TrimRight(strconv.FormatInt(100+rest, 10)[1:], "0")
	}
	return sign + text
}

// ParseMM reads millimetres with at most two decimals, exactly: "3.2" is 320. It
// takes a point only, no sign and no unit, and nothing above 1,000 mm.
func ParseMM(s string) (MM, bool) {
	whole, part, has := strings.Cut(s, ".")
	if has && (part == "" || len(part) > 2) || !digits(whole+part) || whole == "" || len(whole) > 4 {
		return 0, false
	}
	n, _ := strconv.Atoi(whole + (part + "00")[:2]) // at most six digits
	return MM(n), n <= 1000_00
}

func digits(s string) bool {
	return strings.Trim(s, "0123456789") == ""
}

// Direction is how a clipper runs against the growth of the hair.
type Direction string

const (
	WithLie Direction = "with"    // along the lie of the coat
	Reverse Direction = "reverse" // against it
)

// Directions lists both, the usual one first.
var Directions = []Direction{WithLie, Reverse}

// Words returns the direction as shown to people.
func (d Direction) Words() string {
	switch d {
	case WithLie:
		return "with the lie"
	case Reverse:
		return "against the lie"
	}
	return string(d)
}

// Teeth is how a blade's comb is cut.
type Teeth string

const (
	EvenTeeth Teeth = "even" // finish cut: smooth, the skin stays out
	SkipTeeth Teeth = "skip" // every other tooth shorter: feeds coarse coat, lets skin in
)

// Mats is what a blade may do where the coat is knotted.
type Mats string

const (
	UnderMats       Mats = "under"       // goes under the knots, next to the skin
	ExperiencedMats Mats = "experienced" // goes under them in experienced hands
	NeverMats       Mats = "never"       // needs a coat that the comb has passed
)

// Cutting is the salon's table of blades and combs, and where on a dog they may
// be used. The lengths differ between makers: a salon puts in its own.
type Cutting struct {
	// StampIs is the direction in which a blade leaves the length that is
	// stamped on it. Sources disagree, by a factor of two.
	StampIs Direction `yaml:"stamp_is"`
	// WithLieTimes is how many times as long the coat stays when the same blade
	// runs with the lie instead of against it, 1–4.
	WithLieTimes int      `yaml:"with_lie_times"`
	StandsOff    []string `yaml:"stands_off"`      // coat classes on which the direction makes no difference
	GiveOrTake   MM       `yaml:"give_or_take_mm"` // how far from the agreed length still meets it
	KnottedFrom  int      `yaml:"knotted_from"`    // matting grade at which the comb no longer passes
	ConsentFrom  int      `yaml:"consent_from"`    // matting grade that is clipped only with the owner's written consent
	WrittenWish  []string `yaml:"written_wish"`    // coat classes whose jacket is clipped only at a written wish or for a vet's reason
	UnderBlades  []string `yaml:"under_blades"`    // ids of the blades a comb may sit on, unless it names its own
	Blades       []Blade  `yaml:"blades"`          // in the order they are shown
	Combs        []Comb   `yaml:"combs"`           // in the order they are shown
	Skins        []Skin   `yaml:"skins"`           // the first is sound skin
	Areas        []Area   `yaml:"areas"`           // in the order of a cut plan
	Exercise     Exercise `yaml:"exercise"`        // questions for apprentices
}

// Blade is one clipper blade.
type Blade struct {
	ID        string    `yaml:"id"`
	Name      string    `yaml:"name"`
	Teeth     Teeth     `yaml:"teeth"`
	Length    MM        `yaml:"length_mm"`    // stamped on it
	Least     MM        `yaml:"least_mm"`     // shortest that makers stamp on this number
	Most      MM        `yaml:"most_mm"`      // longest
	Tolerance MM        `yaml:"tolerance_mm"` // of the stamped length
	StampIs   Direction `yaml:"stamp_is"`     // where it differs from the table's
	Mats      Mats      `yaml:"mats"`
	Narrow    bool      `yaml:"narrow"` // not for the jacket
	// Barred says why apprentices do not use it; empty when they do.
	Barred  string `yaml:"not_for_apprentices"`
	Caution string `yaml:"caution"`
}

// Comb is an attachment comb. Combs are known by their length: their numbers
// and letters mean something else with each maker.
type Comb struct {
	ID          string   `yaml:"id"`
	Name        string   `yaml:"name"`
	Length      MM       `yaml:"length_mm"` // left with the lie
	Tolerance   MM       `yaml:"tolerance_mm"`
	UnderBlades []string `yaml:"under_blades"` // ids; empty means those of the table
	Caution     string   `yaml:"caution"`
}

// Skin is a state of the skin and what it forbids.
type Skin struct {
	ID         string   `yaml:"id"`
	Name       string   `yaml:"name"`
	NoTeeth    []Teeth  `yaml:"no_teeth"`    // unsafe on it
	NoBlades   []string `yaml:"no_blades"`   // unsafe on it, by id
	OnlyBlades []string `yaml:"only_blades"` // every other bare blade is unsafe
	NoReverse  bool     `yaml:"no_reverse"`
	Stop       string   `yaml:"stop"` // what to do instead of clipping at all
	Why        string   `yaml:"why"`
}

// Area is a part of the dog.
type Area struct {
	ID       string   `yaml:"id"`
	Name     string   `yaml:"name"`
	Skin     string   `yaml:"skin"`      // id: how the skin is there on a healthy dog
	Blades   []string `yaml:"blades"`    // ids of those used there; empty means any
	Combs    bool     `yaml:"combs"`     // combs are used there
	WithOnly bool     `yaml:"with_only"` // never against the lie
	Jacket   bool     `yaml:"jacket"`    // carries the coat that a style is about
	CombTest string   `yaml:"comb_test"` // id of the hidden place that belongs to it
	Caution  string   `yaml:"caution"`
}

// Exercise is how apprentices are asked about blades.
type Exercise struct {
	Skill     string   `yaml:"skill"`     // id of the skill the result belongs to
	Evidence  string   `yaml:"evidence"`  // id of the knowledge rule whose pass mark it keeps
	Questions int      `yaml:"questions"` // in one exercise, 1–30
	Coats     []string `yaml:"coats"`     // coat classes asked about
}

// Blade returns the blade with this id, or nil.
func (c *Cutting) Blade(id string) *Blade {
	for i := range c.Blades {
		if c.Blades[i].ID == id {
			return &c.Blades[i]
		}
	}
	return nil
}

// Comb returns the comb with this id, or nil.
func (c *Cutting) Comb(id string) *Comb {
	for i := range c.Combs {
		if c.Combs[i].ID == id {
			return &c.Combs[i]
		}
	}
	return nil
}

// Skin returns the state of skin with this id, or nil.
func (c *Cutting) Skin(id string) *Skin {
	for i := range c.Skins {
		if c.Skins[i].ID == id {
			return &c.Skins[i]
		}
	}
	return nil
}

// Area returns the area with this id, or nil.
func (c *Cutting) Area(id string) *Area {
	for i := range c.Areas {
		if c.Areas[i].ID == id {
			return &c.Areas[i]
		}
	}
	return nil
}

// Under returns the ids of the blades a comb may sit on.
func (c *Cutting) Under(comb *Comb) []string {
	if len(comb.UnderBlades) > 0 {
		return comb.UnderBlades
	}
	return c.UnderBlades
}

// StampOf is the direction in which a blade leaves its stamped length.
func (c *Cutting) StampOf(b *Blade) Direction {
	if b.StampIs != "" {
		return b.StampIs
	}
	return c.StampIs
}
