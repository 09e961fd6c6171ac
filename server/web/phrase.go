package web

// Phrases is the page on which the salon writes what can be put into a groom's
// feedback with one touch.
type Phrases struct {
	Shell
	ClientID           string
	Keep, Change, Next Field
}

// NewPhrases is the page with its words.
func NewPhrases() Phrases {
	return Phrases{
		Keep:   Field{Name: "keep", Label: "Keep", Hint: "One phrase to a line.", Rows: 7, Optional: true},
		Change: Field{Name: "change", Label: "Do differently", Hint: "The faults you see most, each as something to do.", Rows: 8, Optional: true},
		Next:   Field{Name: "next", Label: "Practise next", Hint: "One phrase to a line.", Rows: 7, Optional: true},
	}
}

// Fields are the lists in their order.
func (p *Phrases) Fields() []*Field { return []*Field{&p.Keep, &p.Change, &p.Next} }
