package web

// Shell is what every page has round its content.
type Shell struct {
	Title    string // the page's own name; shown as "Title – Tablehand"
	Salon    string // the salon's name; empty before the salon is set up
	Person   string // who is signed in; empty when nobody is
	Role     string // the person's role in words, "Head groomer"
	Login    string // the person's login, carried in signing forms for password managers
	Author   string // key of the person the page was made for; each form carries it, see withAuthor
	Shared   bool   // the page is shown on a tablet that several people share
	Lock     *Lock  // covers the page when nobody touches a shared tablet; nil elsewhere
	Nav      []NavItem
	Notice   string // what was just done: "Saved. …"; empty when nothing was
	DemoNote string // shown on every page of an invented salon
	Now      string // salon-local date, time and zone the page was made
	Refresh  string // where "Look again" leads; empty on pages that do not change by themselves
	Back     Link   // one step up; zero on top pages
	Sheet    string // short fingerprint of a page that is made for paper; empty on others

	Problems []Problem // what is wrong with the form just sent
}

// NavItem is one place in the main navigation.
type NavItem struct {
	Label   string
	URL     string
	Current bool
	Count   int // things waiting there; 0 shows nothing
}

// Link is a place to go.
type Link struct {
	Label string
	URL   string
}

// Problem is one thing to put right in a form, with the field it belongs to.
type Problem struct {
	Field   string // the field's Name, after "form." where there are several forms; empty for the whole form
	Message string // what to do, "Enter the day of the groom"
}

// Href is the address of the problem's field in this page.
func (p Problem) Href() string { return "#" + fieldID(p.Field) }

func (s Shell) author() string { return s.Author }

// PageTitle is the text of the browser's title bar.
func (s Shell) PageTitle() string {
	title := s.Title
	if title == "" {
		title = "Tablehand"
	} else {
		title += " – Tablehand"
	}
	if len(s.Problems) > 0 {
		return "Error: " + title
	}
	return title
}

// PaperFoot is what stands at the foot of each printed page: whose record it is,
// who printed it and when. A browser that cannot put it there has the foot of the
// page alone.
func (s Shell) PaperFoot() string {
	if s.Person == "" {
		return ""
	}
	foot := s.Salon + " · printed by " + s.Person + " · " + s.Now
	if s.Sheet != "" {
		foot += " · fingerprint " + s.Sheet
	}
	return foot
}

// Fail marks a control as wrong and adds the problem to the summary at the top
// of the page. The control may be nil for a problem of the whole form.
func (s *Shell) Fail(control Control, message string) {
	p := Problem{Message: message}
	if control != nil {
		p.Field = control.fail(message)
	}
	s.Problems = append(s.Problems, p)
}
