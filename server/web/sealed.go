package web

// SealedGroom stands where a groom's marks will be: the reader is to rate it
// first, without knowing them.
type SealedGroom struct {
	Shell
	Apprentice, Dog, Day, SignedBy string
	About                          []Row
	Why                            string
	DraftURL                       string // the reader's own rating under way; empty for an apprentice
	Self                           *SelfForm
	Photos                         PhotoStrip
}

// SelfForm asks an apprentice for levels of their own.
type SelfForm struct {
	Action     string
	ShowAction string // shows the marks without a rating
	ClientID   string
	Criteria   []Choices // names "self.R1" …
}

// SecondStart is a groom that the reader may rate a second time.
type SecondStart struct {
	Groom      string // key, sent as "groom"
	Dog, About string
}
