package web

// CutPlan is a cut plan as it stands, with what the salon's table says of it.
type CutPlan struct {
	Lines     []CutLine
	Given     []string // what the owner agreed to in writing
	Empty     string   // said when there is no line
	ChangeURL string   // may be empty
}

// CutLine is one area of a cut plan.
type CutLine struct {
	Area     string // "Back and sides"
	Cut      string // "#7F with the lie"
	About    string // "about 6.4 mm, give or take 1 · agreed 6 mm · skin: sound"
	Findings []CutFinding
}

// CutFinding is one thing to know about a line.
type CutFinding struct {
	Word string // "Unsafe"
	Text string // in a sentence, with what to do
	Bad  bool   // something to change, not only to know
}

// Bad counts the findings that ask for a change.
func (p CutPlan) Bad() int {
	n := 0
	for _, l := range p.Lines {
		for _, f := range l.Findings {
			if f.Bad {
				n++
			}
		}
	}
	return n
}

// CutPlanForm is the page on which a cut plan is written.
type CutPlanForm struct {
	Shell
	Dog         string
	About       string // coat, matting and comb test, as the draft has them
	Missing     string // why no plan can be written; empty shows the form
	Plan        CutPlan
	Action      string
	BaseVersion string
	DraftURL    string
	Consent     Check
	Wish        Check
	Areas       []CutArea
	Chart       BladeChart
}

// CutArea is one area of the form.
type CutArea struct {
	ID, Name  string
	Caution   string
	Summary   string // the cut as it was saved; empty when there is none
	Open      bool
	Agreed    Field   // name "cut.ID.agreed"
	Skin      Choices // name "cut.ID.skin"
	Tool      Choices // name "cut.ID.tool"
	Direction Choices // name "cut.ID.direction"
	Under     Choices // name "cut.ID.under"
}

// NewCutPlanForm is the form with its words.
func NewCutPlanForm() CutPlanForm {
	return CutPlanForm{
		Consent: Check{Name: "consent", Label: "The owner agreed in writing that a felted coat comes off"},
		Wish:    Check{Name: "wish", Label: "The owner wished in writing, or a vet advised, to clip a coat that is otherwise left"},
	}
}

// NewCutArea is one area of the form with its words; the choices are the server's.
func NewCutArea(id, name string) CutArea {
	p := "cut." + id + "."
	return CutArea{ID: id, Name: name,
		Agreed:    Field{Name: p + "agreed", Label: "Agreed length", InputMode: "decimal", Unit: "mm", Width: "short", Optional: true},
		Skin:      Choices{Name: p + "skin", Label: "Skin found"},
		Tool:      Choices{Name: p + "tool", Label: "Blade or comb"},
		Direction: Choices{Name: p + "direction", Label: "Direction"},
		Under:     Choices{Name: p + "under", Label: "Blade under a comb"},
	}
}

// BladeChart is the salon's table of blades and combs.
type BladeChart struct {
	Say    []string // what the stamp means here, and what else holds for all
	Blades []BladeRow
	Combs  []Term
	Skins  []Term
	Areas  []Term
}

// BladeRow is one blade.
type BladeRow struct {
	Name, Teeth   string
	Stamped       string // "3.2 mm"
	Makers        string // "3 to 4 mm"
	With, Against string // expected lengths on a coat that lies
	Mats          string
	Note          string
}
