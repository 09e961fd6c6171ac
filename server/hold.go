package server

import (
	"fmt"
	"slices"
	"strings"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/store"
	"tablehand/server/web"
)

func (r *request) holdPanel(h *assessment.Hold, seen []assessment.Observation, names map[string]string) web.HoldPanel {
	p := web.NewHoldPanel(h.Key)
	p.Open, p.Since, p.By = h.Open(), h.From.Words(), names[h.RecordedBy]
	p.Reason = "An incident of severity " + h.Severity + " under " + r.skillTitle(h.Skill) + "."
	rule := r.prog.Incidents.Severity(h.Severity)
	p.Condition = releaseWords(rule)
	var shown []string
	for _, n := range assessment.ReleaseNeeds(r.prog, h, seen) {
		shown = append(shown, fmt.Sprintf("%s: %s of %s.", n.Name(), n.Found(), n.Wanted()))
	}
	p.Shown = strings.Join(shown, " ")
	if !h.Open() {
		p.Released = names[h.ReleasedBy] + ", " + h.Released.Words() + ": " + h.Reason
		return p
	}
	if !r.scope.Role.Judges() {
		return p
	}
	if why := assessment.RefuseRelease(r.prog, h, seen, assessment.Releaser{Person: r.scope.Key, HeadGroomer: r.scope.Role == assessment.HeadGroomer, Redemonstrate: true, Reason: "-"}); len(why) > 0 {
		p.WhyNot = strings.Join(why, " ")
		return p
	}
	p.CanRelease, p.ClientID = true, newClientID()
	p.Action = skillURL(r.Param("apprentice"), r.Param("skill")) + "/holds/" + h.Key
	return p
}

func releaseWords(s *curriculum.Severity) string {
	if s == nil {
		return "The programme in use does not know this severity, so nothing says what ends the hold. Take a version into use that does."
	}
	var out []string
	if s.Release.Clean > 0 {
		out = append(out, count(s.Release.Clean, "clean observation")+" in a row since the incident")
	}
	if s.Release.DifferentDogs > 0 {
		out = append(out, "on "+count(s.Release.DifferentDogs, "different dog"))
	}
	if s.Release.Redemonstrate {
		out = append(out, "the skill demonstrated again by an assessor")
	}
	if s.Release.SecondAssessor {
		out = append(out, "release by someone other than who recorded it")
	}
	if s.Release.NamedPerson {
		out = append(out, "release by a head groomer, after the investigation")
	}
	return strings.Join(out, "; ") + "."
}

// releaseHold ends a hold from the page of a skill it covers.
func releaseHold(r *request) error {
	ctx := r.Request.Context()
	if to, done := r.srv.Store.Replayed(ctx, r.scope, r.value("client_id")); done {
		return r.goTo(to, "")
	}
	page, err := r.skillPage()
	if err != nil {
		return err
	}
	i := slices.IndexFunc(page.Holds, func(h web.HoldPanel) bool { return h.ID == r.Param("hold") })
	if i < 0 {
		return store.ErrNotFound
	}
	h := &page.Holds[i]
	h.Met.Choose(r.value("condition"))
	h.Note.Value = r.value("reason")
	switch {
	case !h.Open:
		page.Fail(nil, "This hold has been released already."+unsent(h.Note.Value))
	case !h.CanRelease:
		page.Fail(nil, h.WhyNot+unsent(h.Note.Value))
	case !h.Met.Chosen():
		page.Fail(&h.Met, "Say whether the condition has been shown.")
	case r.value("condition") != "met":
		page.Fail(&h.Met, "The hold stays until its condition has been shown.")
	}
	if h.Note.Value == "" {
		page.Fail(&h.Note, "Say what you saw. The apprentice reads it.")
	}
	r.checkText(&page.Shell, &h.Note)
	if len(page.Problems) == 0 {
		if err := r.checkSigner(&page.Shell, &h.Password); err != nil {
			return err
		}
	}
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	to, err := r.srv.Store.Release(ctx, r.scope, h.ID, true, h.Note.Value, r.value("client_id"))
	if r.refusedBeside(&page.Shell, &h.Note, err) {
		return r.show(page, page.Shell)
	}
	if err != nil {
		return err
	}
	return r.goTo(to, "The hold is released.")
}
