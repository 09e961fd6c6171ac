package server

import (
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"tablehand/assessment"
	"tablehand/server/store"
	"tablehand/server/web"
)

// logbookPage is how many entries the list shows before it is asked for all.
const logbookPage = 100

// logbook lists the entries the reader may see.
func logbook(r *request) error {
	ctx := r.Request.Context()
	who, state := r.Query("apprentice"), r.Query("state")
	page := web.Logbook{Shell: r.shell("Logbook", "/logbook"), Lead: "What apprentices did, in their own words, the newest first"}
	if r.scope.Role == assessment.Apprentice {
		page.Lead, page.NewURL, who = "What I did, the newest first", "/logbook/new", r.scope.Key
	} else {
		people, err := r.srv.Store.Apprentices(ctx, r.scope)
		if err != nil {
			return err
		}
		page.Filters, page.Filtered = filterLinks("/logbook", who, people)
	}
	list, err := r.srv.Store.LogEntries(ctx, r.scope, store.LogFilter{Apprentice: who})
	if err != nil {
		return err
	}
	at := func(state, all string) string {
		q := url.Values{}
		for name, v := range map[string]string{"apprentice": r.Query("apprentice"), "state": state, "all": all} {
			if v != "" {
				q.Set(name, v)
			}
		}
		return strings.TrimSuffix("/logbook?"+q.Encode(), "?")
	}
	page.AllURL, page.States = "/logbook", []web.Filter{{Label: "All", URL: at("", ""), Current: state == ""}}
	for _, d := range assessment.LogDecisions {
		page.States = append(page.States, web.Filter{Label: d.String(), URL: at(strconv.Itoa(int(d)), ""), Current: state == strconv.Itoa(int(d))})
		if state == strconv.Itoa(int(d)) {
			page.Filtered = strings.TrimPrefix(page.Filtered+", "+strings.ToLower(d.String()), ", ")
			list = slices.DeleteFunc(list, func(e store.LogEntry) bool { return e.Decision != d })
		}
	}
	if len(list) > logbookPage && r.Query("all") == "" {
		list, page.More = list[:logbookPage], web.Link{Label: "Show all of them", URL: at(state, "1")}
	}
	page.Lines = r.logLines(list)
	if r.scope.Role.Judges() {
		waiting, err := r.srv.Store.LogEntries(ctx, r.scope, store.LogFilter{Supervisor: r.scope.Key, Limit: 1})
		if err != nil {
			return err
		}
		if len(waiting) > 0 {
			page.SignURL = "/logbook/countersign"
		}
	}
	return r.show(page, page.Shell)
}

func (r *request) logLines(list []store.LogEntry) []web.LogLine {
	out := make([]web.LogLine, len(list))
	for i := range list {
		out[i] = r.logLine(&list[i])
	}
	return out
}

func (r *request) logLine(e *store.LogEntry) web.LogLine {
	l := web.LogLine{URL: "/logbook/" + e.Key, Day: e.Day.Words(), Dog: e.Dog, About: r.logDog(e), Skills: strings.Join(r.titles(e.Skills), "; "),
		Outcome: e.Outcome.String() + ", " + levelWord(e.Level), State: logState(e)}
	if r.scope.Role != assessment.Apprentice {
		l.Apprentice = e.Who.Name
	}
	if entered := assessment.DayOf(r.local(e.Entered)); e.Late(entered) {
		l.Late = "entered on " + entered.Words()
	}
	return l
}

func (r *request) titles(skills []string) []string {
	out := make([]string, len(skills))
	for i, id := range skills {
		out[i] = r.skillTitle(id)
	}
	return out
}

// logDog is the coat and the weight of the dog in an entry.
func (r *request) logDog(e *store.LogEntry) string {
	about := e.Coat
	if c := r.prog.Vocabulary.Coat(e.Coat); c != nil {
		about = c.Name
	}
	if e.Grams > 0 {
		about += fmt.Sprintf(", %s kg", strconv.FormatFloat(float64(e.Grams)/1000, 'f', -1, 64))
	}
	return about
}

// logState says in a few words whose word an entry is.
func logState(e *store.LogEntry) string {
	switch {
	case e.Decision == assessment.Countersigned:
		return "Countersigned by " + e.DecidedBy.Name
	case e.Decision == assessment.NotSo:
		return "Not as it was, says " + e.DecidedBy.Name
	case e.Supervisor != "":
		return "Own word; " + e.Supervised.Name + " is asked"
	}
	return "Own word"
}

// logEntry shows one entry.
func logEntry(r *request) error {
	page, err := r.logEntryPage()
	if err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

func (r *request) logEntryPage() (web.LogEntry, error) {
	e, err := r.srv.Store.LogEntry(r.Request.Context(), r.scope, r.Param("entry"))
	if err != nil {
		return web.LogEntry{}, err
	}
	page := web.LogEntry{Shell: r.shell("Logbook: "+e.Dog+", "+e.Who.Name, "/logbook"), Apprentice: e.Who.Name, ApprenticeURL: apprenticeURL(e.Apprentice),
		Dog: e.Dog, Day: e.Day.Words(), State: e.Decision.String()}
	there := "Nobody"
	if e.Supervisor != "" {
		there = e.Supervised.Name
	}
	page.Rows = []web.Row{{Key: "How it went", Value: e.Outcome.String()}, {Key: "How far their own work", Value: fmt.Sprintf("L%d, %s", e.Level, r.prog.Levels[e.Level-1].Name)},
		{Key: "In words", Value: e.Words}, {Key: "Dog", Value: r.logDog(&e)}, {Key: "There, or checked the dog", Value: there}, {Key: "Entered", Value: r.at(e.Entered)}}
	if r.logLine(&e).Late != "" {
		page.Rows[5].Value += ", later than from memory of the day"
	}
	for _, id := range e.Skills {
		page.Skills = append(page.Skills, web.Link{Label: r.skillTitle(id), URL: skillURL(e.Apprentice, id)})
	}
	whose := "the apprentice's"
	if e.Apprentice == r.scope.Key {
		whose = "your"
	}
	switch {
	case e.Decision == assessment.Countersigned:
		page.StateNote = fmt.Sprintf("%s countersigned it, %s.", e.DecidedBy.Name, r.at(e.Decided))
		page.Effect = e.Effect()
	case e.Decision == assessment.NotSo:
		page.StateNote = fmt.Sprintf("%s, %s: “%s”", e.DecidedBy.Name, r.at(e.Decided), e.Reason)
		page.Effect = "It shows nothing of a skill."
	case e.Supervisor != "":
		page.StateNote = "It is " + whose + " word. " + e.Supervised.Name + " is asked to countersign it; until then it shows nothing of a skill."
		page.Effect = e.Effect()
	default:
		page.StateNote = "It is " + whose + " word, and nobody was there to countersign it. It shows nothing of a skill."
	}
	if assessment.RefuseLogDecision(&e.LogEntry, e.Decision, r.scope.Key, r.scope.Role) == "" {
		page.SignURL, page.Deny = "/logbook/countersign?entry="+e.Key, web.NewDenyForm()
		page.Deny.Action, page.Deny.ClientID = "/logbook/"+e.Key+"/deny", newClientID()
	}
	return page, nil
}

// denyLogEntry records that an entry was not as it was.
func denyLogEntry(r *request) error {
	ctx := r.Request.Context()
	if to, done := r.srv.Store.Replayed(ctx, r.scope, r.value("client_id")); done {
		return r.goTo(to, "")
	}
	page, err := r.logEntryPage()
	if err != nil {
		return err
	}
	if page.Deny == nil {
		page.Fail(nil, "Whoever was there decides on an entry, once. This one is not yours to decide on now."+unsent(r.value("reason")))
		return r.show(page, page.Shell)
	}
	reason := &page.Deny.Reason
	reason.Value = r.value("reason")
	if reason.Value == "" {
		page.Fail(reason, "Say what was different. The apprentice reads it.")
	}
	r.checkText(&page.Shell, reason)
	if len(page.Problems) == 0 {
		if err := r.checkSigner(&page.Shell, &page.Deny.Password); err != nil {
			return err
		}
	}
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	to, err := r.srv.Store.DenyLogEntry(ctx, r.scope, r.Param("entry"), reason.Value, r.value("client_id"))
	if r.refusedBeside(&page.Shell, reason, err) {
		return r.show(page, page.Shell)
	}
	if err != nil {
		return err
	}
	return r.goTo(to, "It is in the record that it was not so.")
}

func (r *request) countersignForm() (web.Countersign, error) {
	page := web.NewCountersign()
	page.Shell, page.ClientID, page.Insecure = r.shell("Countersign logbook entries", "/logbook"), newClientID(), r.insecure()
	list, err := r.srv.Store.LogEntries(r.Request.Context(), r.scope, store.LogFilter{Supervisor: r.scope.Key})
	for i := range list {
		e := &list[i]
		page.Entries = append(page.Entries, web.CountersignEntry{Key: e.Key, Line: r.logLine(e), Words: e.Words, Effect: e.Effect()})
	}
	return page, err
}

// countersignPage shows what waits for the reader. The entry they came from is
// ticked; nothing else is.
func countersignPage(r *request) error {
	page, err := r.countersignForm()
	if err != nil {
		return err
	}
	for i := range page.Entries {
		page.Entries[i].Checked = page.Entries[i].Key == r.Query("entry")
	}
	return r.show(page, page.Shell)
}

func countersign(r *request) error {
	ctx := r.Request.Context()
	if to, done := r.srv.Store.Replayed(ctx, r.scope, r.value("client_id")); done {
		return r.goTo(to, "")
	}
	page, err := r.countersignForm()
	if err != nil {
		return err
	}
	ticked := r.Request.PostForm["entry"]
	for i := range page.Entries {
		page.Entries[i].Checked = slices.Contains(ticked, page.Entries[i].Key)
	}
	if why := assessment.CountersignProblem(ticked); why != "" {
		page.Fail(&page.Entry, why)
	}
	if len(page.Problems) == 0 {
		if err := r.checkSigner(&page.Shell, &page.Password); err != nil {
			return err
		}
	}
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	to, err := r.srv.Store.Countersign(ctx, r.scope, ticked, r.value("client_id"))
	if r.refusedBeside(&page.Shell, &page.Entry, err) {
		return r.show(page, page.Shell)
	}
	if err != nil {
		return err
	}
	return r.goTo(to, count(len(ticked), "logbook entry")+" countersigned.")
}
