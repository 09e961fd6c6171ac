package web

// MyDay is an apprentice's first page: what comes next, and what they may do
// today.
type MyDay struct {
	Shell
	Greeting string
	Day      string
	First    *FirstThing // nil when nothing is open

	Stopped []StopGroup  // not until something happens
	Trust   []TrustGroup // by permission, the most trusted first

	Asked   []WaitingItem // own grooms to rate, marks to read, answers
	Next    []NextStep    // after the first thing
	Summary Progress
	LeftOut string // what the figures do not hold yet; may be empty
	Log     []LogLine
	Recent  []GroomLine

	MineURL, TimeURL, LogURL, NewLogURL, CopyURL string

	Practise Link // questions to practise on; zero when there are none
}

// FirstThing is the one thing that comes next.
type FirstThing struct {
	Over     string // "You are closest to"
	Title    string
	URL      string
	Action   string
	Standing Standing // empty shows no symbol
	Safety   bool
	Missing  []string // each thing that is missing, in words
	Note     string   // may be empty
}

// StopGroup are skills that are stopped for the same reason.
type StopGroup struct {
	Until  string // "Not until …"
	Skills []TrustLine
}

// TrustGroup are the skills that one permission holds for.
type TrustGroup struct {
	Level string // "P4"; empty where none was set
	Name  string // "Same room"
	Means string
	Lines []TrustLine
}

// TrustLine is one skill.
type TrustLine struct {
	Title, URL string
	Safety     bool
	Cautions   []string
	Note       string // "for now: Side by side"; may be empty
}
