package server

import (
	"fmt"
	"net/url"
	"strconv"
	"strings"

	"tablehand/assessment"
	"tablehand/server/web"
)

// The clock of a groom: a touch writes the time of day into the form's own
// fields, where it can be put right by hand.
const (
	clockAction = "clock."
	clockStart  = "start"
	clockBreak  = "break"
	clockOn     = "on" // after a break
	clockFinish = "finish"
)

// touchClock does to the form of a draft what a button of the clock says.
func touchClock(form url.Values, button string, now assessment.Clock) {
	endBreak := func() {
		f := formReader{form: form}
		since := f.clock("break_since")
		if since != assessment.NoClock && now > since {
			form.Set("breaks", strconv.Itoa(f.number("breaks", 0)+int(now-since)))
		}
		form.Del("break_since")
	}
	switch button {
	case clockStart:
		form.Set("start", now.String())
		form.Del("stop")
	case clockBreak:
		form.Set("break_since", now.String())
	case clockOn:
		endBreak()
	case clockFinish:
		endBreak()
		form.Set("stop", now.String())
	}
}

// draftClock is how the clock stands, in words, with the buttons that make sense.
func draftClock(form url.Values) web.DraftClock {
	f := formReader{form: form}
	start, stop, since := f.clock("start"), f.clock("stop"), f.clock("break_since")
	c := web.DraftClock{BreakSince: since.String()}
	button := func(action, label string, shown bool) {
		c.Buttons = append(c.Buttons, web.ClockButton{Action: clockAction + action, Does: action, Label: label, Hidden: !shown})
	}
	runs := start != assessment.NoClock && stop == assessment.NoClock
	button(clockStart, "Start the clock", start == assessment.NoClock)
	button(clockBreak, "Break", runs && since == assessment.NoClock)
	button(clockOn, "Go on", runs && since != assessment.NoClock)
	button(clockFinish, "Finished", runs)
	g := assessment.Groom{Start: start, Stop: stop, Breaks: f.number("breaks", 0)}
	switch {
	case start == assessment.NoClock:
		c.Words = "The clock has not been started."
	case runs && since != assessment.NoClock:
		c.Words = fmt.Sprintf("On a break since %s.", since)
	case runs:
		c.Words = fmt.Sprintf("Running since %s.", start)
	default:
		c.Words = fmt.Sprintf("%s to %s: %d minutes without breaks.", start, stop, g.Minutes())
	}
	return c
}

// clockNow is the time of day in the salon.
func (r *request) clockNow() assessment.Clock {
	now := r.local(r.srv.Now())
	return assessment.Clock(now.Hour()*60 + now.Minute())
}

// phraseAction puts a phrase into a field: phrase.change.2.
const phraseAction = "phrase."

// addPhrase puts a phrase at the end of the field it belongs to, unless it stands
// there already.
func addPhrase(form url.Values, field, phrase string) {
	text := strings.TrimRight(form.Get(field), " \r\n")
	switch {
	case phrase == "" || strings.Contains(text, phrase):
		return
	case text != "":
		text += " "
	}
	form.Set(field, text+phrase)
}
