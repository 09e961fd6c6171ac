package server

import (
	"fmt"
	"time"

	"tablehand/assessment"
	"tablehand/server/web"
)

// shell is the frame of a page: who is here and where they can go. current is
// the address of the main page it belongs to.
func (r *request) shell(title, current string) web.Shell {
	s := web.Shell{Title: title}
	if r.locked == nil {
		s.Notice = r.srv.sessions.PopString(r.Request.Context(), "notice")
	}
	if len(r.srv.Demo) > 0 {
		s.DemoNote = "An invented salon: every person, dog and groom here is made up. Nothing is kept when it stops."
	}
	s.Shared = r.device != nil
	if r.prog == nil {
		return s
	}
	s.Author = r.scope.Key
	if s.Shared {
		s.Lock = r.lock()
	}
	s.Salon, s.Person, s.Role, s.Login = r.scope.Salon, r.scope.Name, r.scope.Role.Words(), r.scope.Login
	s.Now = r.local(r.srv.Now()).Format("2 January 2006, 15:04 (MST)")
	for _, n := range []web.NavItem{{Label: "Today", URL: "/"}, {Label: "Skills matrix", URL: "/matrix"}, {Label: "Grooms", URL: "/grooms"},
		{Label: "Logbook", URL: "/logbook"}, {Label: "Sign-offs", URL: "/signoffs"}, {Label: "Programme", URL: "/programme"}, {Label: "Export", URL: "/export"}, {Label: "People", URL: "/people"}} {
		if n.URL == "/people" && r.scope.Role == assessment.Apprentice {
			continue
		}
		n.Current = n.URL == current
		s.Nav = append(s.Nav, n)
	}
	return s
}

// local is an instant in the salon's time zone.
func (r *request) local(t time.Time) time.Time { return r.scope.Local(t) }

// at says when something was done, with the zone's offset.
func (r *request) at(t time.Time) string {
	return r.local(t).Format("2 January 2006 15:04 (UTC-07:00)")
}

func (r *request) today() assessment.Day { return r.srv.Store.Today(r.scope) }

// standing translates a computed state for the pages.
func standing(s assessment.State) web.Standing {
	return [...]web.Standing{web.NotStarted, web.Practising, web.Eligible, web.Signed, web.OnHold, web.Lapsed}[s]
}

func permissionWord(level int) string {
	if level == 0 {
		return ""
	}
	return fmt.Sprintf("P%d", level)
}

func levelWord(level int) string { return fmt.Sprintf("L%d", level) }

func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
