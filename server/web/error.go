package web

// ErrorPage says that something did not work and what to do next.
type ErrorPage struct {
	Shell
	Code      int
	Message   []string // short paragraphs
	Next      []Link   // the first one is the button
	Reference string   // to quote when asking for help; may be empty
	Conflict  []ConflictRow
	Keep      *KeepForm // sends the reader's own version again
}

// ConflictRow is one field that two people changed.
type ConflictRow struct {
	Field, Theirs, Yours string
}

// KeepForm sends the reader's own entries again, on top of the newer version.
type KeepForm struct {
	Action string
	Label  string
	Hidden []HiddenField
}

// HiddenField is a value carried along in a form.
type HiddenField struct {
	Name, Value string
}

// Forbidden is for a page that exists and is not for this person.
func Forbidden(s Shell, why string) ErrorPage {
	s.Title = "You cannot do this"
	if why == "" {
		why = "Your role in this salon does not include it."
	}
	return ErrorPage{Shell: s, Code: 403, Message: []string{why,
		"If you think it should, ask the head groomer to look at your role."},
		Next: []Link{{"Go to Today", "/"}}}
}

// Stale is for a form from the page of somebody who is not signed in any more.
// Whose it was is not said: it may be for nobody else to know.
func Stale(s Shell) ErrorPage {
	s.Title = "This page was somebody else's"
	who := "Somebody else"
	if s.Person != "" {
		who = s.Person
	}
	return ErrorPage{Shell: s, Code: 403, Message: []string{
		"It was opened by another person, and " + who + " is signed in now. Nothing was saved or changed in anybody's name.",
		"A draft of theirs is kept as it was last saved. To go on with it they switch person and sign in themselves."},
		Next: []Link{{"Go to Today", "/"}}}
}

// NotFound is for an address that leads nowhere, or nowhere for this person.
func NotFound(s Shell) ErrorPage {
	s.Title = "We cannot find this page"
	return ErrorPage{Shell: s, Code: 404, Message: []string{
		"The address may be mistyped, or it belongs to something you cannot see.",
		"Everything you can see is reached from Today."},
		Next: []Link{{"Go to Today", "/"}, {"All grooms", "/grooms"}, {"Skills matrix", "/matrix"}}}
}

// Conflict is for a change that met someone else's newer change.
func Conflict(s Shell, rows []ConflictRow, look Link) ErrorPage {
	s.Title = "Someone else saved this first"
	p := ErrorPage{Shell: s, Code: 409, Message: []string{
		"Nothing of theirs was overwritten, and nothing of yours was saved.",
		"Compare the two and decide which to keep."},
		Conflict: rows}
	if look.URL != "" {
		p.Next = []Link{look}
	}
	return p
}

// TooLarge is for a form or file over the limit.
func TooLarge(s Shell, limit string, back Link) ErrorPage {
	s.Title = "That is too large to save"
	if back.URL == "" {
		back = Link{"Go to Today", "/"}
	}
	return ErrorPage{Shell: s, Code: 413, Message: []string{
		"The most that can be sent at once is " + limit + ".",
		"Go back, shorten the longest note, and save again. Your entries are still on the page before this one."},
		Next: []Link{back}}
}

// Unreadable is for a form that arrived damaged, or is none.
func Unreadable(s Shell) ErrorPage {
	s.Title = "The form did not arrive whole"
	return ErrorPage{Shell: s, Code: 400, Message: []string{
		"What was sent is not a form this page knows, or it was cut off on the way. Nothing was saved.",
		"Go back, check your entries, and send the form once more. If it happens again, load that page anew first."},
		Next: []Link{{"Go to Today", "/"}}}
}

// Unprocessable is for something sent that makes no sense and has no form to
// go back to.
func Unprocessable(s Shell, what string, back Link) ErrorPage {
	s.Title = "We could not read what was sent"
	if what == "" {
		what = "Some of it was missing or not in a form we know."
	}
	if back.URL == "" {
		back = Link{"Go to Today", "/"}
	}
	return ErrorPage{Shell: s, Code: 422, Message: []string{what, "Nothing was saved. Go back and try once more."},
		Next: []Link{back}}
}

// Broken is for a fault of the program. It can be rendered at start-up and
// kept, with an empty reference.
func Broken(s Shell, reference string) ErrorPage {
	s.Title = "Something went wrong on our side"
	return ErrorPage{Shell: s, Code: 500, Message: []string{
		"What you entered may not have been saved. Go back, check, and save again: saving twice does no harm.",
		"If it happens again, tell the person who looks after Tablehand in your salon."},
		Next: []Link{{"Go to Today", "/"}}, Reference: reference}
}
