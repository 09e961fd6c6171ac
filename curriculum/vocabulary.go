package curriculum

// Vocabulary is the fixed set of words a dog and a service are described in.
type Vocabulary struct {
	Coats       []Coat        `yaml:"coats"`
	Sizes       []Size        `yaml:"sizes"`
	Matting     []Matting     `yaml:"matting"`
	Temperament []Temperament `yaml:"temperament"`
	Services    []Term        `yaml:"services"`
	Styles      []Term        `yaml:"styles"`
	CombTest    []Term        `yaml:"comb_test"` // hidden places combed before clipping is marked
	Phrases     Phrases       `yaml:"phrases"`   // offered until the salon writes its own
}

// Phrases are what an assessor often writes about a groom, to be put in with one
// touch.
type Phrases struct {
	Keep   []string `yaml:"keep"`
	Change []string `yaml:"change"`
	Next   []string `yaml:"next"`
}

// Term is an id with the words shown for it.
type Term struct {
	ID   string `yaml:"id"`
	Name string `yaml:"name"`
}

// Coat is a coat class.
type Coat struct {
	ID   string `yaml:"id"`
	Name string `yaml:"name"`
	// CountsAs is the class used when an evidence rule asks for different
	// coats: a curly cross counts as wool. Empty means itself.
	CountsAs string `yaml:"counts_as"`
	Points   int    `yaml:"points"` // share of the dog's difficulty
}

// Size is a half-open band of body weight: From ≤ kg < To. The last band has
// no upper end (To is 0).
type Size struct {
	ID     string  `yaml:"id"`
	Name   string  `yaml:"name"`
	From   float64 `yaml:"from_kg"`
	To     float64 `yaml:"to_kg"`
	Points int     `yaml:"points"`
}

// Matting is one grade of matting, 0 (none) upwards.
type Matting struct {
	Grade  int    `yaml:"grade"`
	Name   string `yaml:"name"`
	Points int    `yaml:"points"`
}

// Temperament is one grade of behaviour on the table, 1 (relaxed) upwards.
type Temperament struct {
	Grade   int    `yaml:"grade"`
	Name    string `yaml:"name"`
	Points  int    `yaml:"points"`
	Caution string `yaml:"caution"`
}

// Coat returns the coat class with this id, or nil.
func (v *Vocabulary) Coat(id string) *Coat {
	for i := range v.Coats {
		if v.Coats[i].ID == id {
			return &v.Coats[i]
		}
	}
	return nil
}

// CoatClass returns the class a coat counts as in an evidence rule.
func (v *Vocabulary) CoatClass(id string) string {
	if c := v.Coat(id); c != nil && c.CountsAs != "" {
		return c.CountsAs
	}
	return id
}

// SizeOf returns the band that holds a body weight in kg, or nil.
func (v *Vocabulary) SizeOf(kg float64) *Size {
	for i := range v.Sizes {
		s := &v.Sizes[i]
		if kg >= s.From && (kg < s.To || s.To == 0) {
			return s
		}
	}
	return nil
}

// Size returns the band with this id, or nil.
func (v *Vocabulary) Size(id string) *Size {
	for i := range v.Sizes {
		if v.Sizes[i].ID == id {
			return &v.Sizes[i]
		}
	}
	return nil
}

// TermName returns the words for an id in a list of terms, or the id itself
// when the list does not know it.
func TermName(list []Term, id string) string {
	for _, t := range list {
		if t.ID == id {
			return t.Name
		}
	}
	return id
}
