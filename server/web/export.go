package web

// Export is where a copy of the record is made.
type Export struct {
	Shell
	Action   string
	ClientID string
	Scope    Choices // name "scope": "salon" or an apprentice's key
	Photos   Check   // name "photos"
	Sheets   []Term  // what is in the workbook
	LeftOut  []string
	Check    string // how the copy can be checked later
	Own      bool   // the reader's own record
	Opens    string // which marks the copy shows for the first time; may be empty
	Blocked  string // why this person cannot export; empty shows the form
}
