package server

import (
	"tablehand/assessment"
	"tablehand/server/store"
	"tablehand/server/web"
)

// saidPanel is what the apprentice said to the marks of a groom, with the form
// that is the reader's; nil where there is neither.
func (r *request) saidPanel(g *store.Groom) (*web.SaidPanel, error) {
	said, err := r.srv.Store.Acknowledgements(r.Request.Context(), r.scope, store.AcknowledgementFilter{Groom: g.Key})
	if err != nil {
		return nil, err
	}
	p, at := r.saidForm(g, said), "/grooms/signed/"+g.Key
	switch {
	case p == nil && len(said) == 0:
		return nil, nil
	case p == nil:
		p = &web.SaidPanel{}
	case r.scope.Role.Judges():
		p.Action, p.ClientID = at+"/answer", newClientID()
	default:
		p.Action, p.ClientID = at+"/acknowledge", newClientID()
	}
	p.Own = r.scope.Role == assessment.Apprentice
	for _, a := range said {
		what := "has read the marks."
		if a.Disagrees {
			what = "disagrees with the marks."
		}
		p.Lines = append(p.Lines, web.SaidLine{Who: a.Apprentice.Name, What: what, When: r.at(a.At), Words: a.Words})
		if a.Answer != nil {
			p.Lines = append(p.Lines, web.SaidLine{Who: a.Answer.By.Name, What: "answers.", When: r.at(a.Answer.At), Words: a.Answer.Words})
		}
	}
	return p, nil
}

// saidForm is the form that the reader may fill in, or nil.
func (r *request) saidForm(g *store.Groom, said []store.Acknowledgement) *web.SaidPanel {
	corrected := g.SupersededBy != ""
	if r.scope.Role == assessment.Apprentice {
		reader := assessment.Reader{Groom: &g.Groom, Person: r.scope.Key, Opened: true, Corrected: corrected}
		for _, a := range said {
			reader.Said = append(reader.Said, a.Acknowledgement)
		}
		if reader.Refuse(assessment.Acknowledgement{Disagrees: true, Words: "-"}) != "" {
			return nil
		}
		return web.NewSaidPanel(len(said) > 0)
	}
	for _, a := range said {
		d := assessment.Disagreement{Apprentice: a.Apprentice.Key, Answered: a.Answer != nil, Corrected: corrected}
		if a.Disagrees && d.Refuse(r.scope.Key, r.scope.Role, "-") == "" {
			return web.NewAnswerPanel()
		}
	}
	return nil
}

// acknowledge takes what an apprentice says to the marks of their groom.
func acknowledge(r *request) error {
	return r.say(func(page *web.Groom) (string, error) {
		choice := &page.Said.Choice
		choice.Choose(r.value("said"))
		if !choice.Chosen() {
			page.Fail(choice, "Choose whether you have read the marks or disagree with them.")
		}
		in := assessment.Acknowledgement{Disagrees: r.value("said") == "disagree", Words: page.Said.Words.Value}
		if in.Disagrees && in.Words == "" {
			page.Fail(&page.Said.Words, "Say what you see differently, in your own words.")
		}
		r.checkText(&page.Shell, &page.Said.Words)
		if len(page.Problems) > 0 {
			return "", nil
		}
		return r.srv.Store.Acknowledge(r.Request.Context(), r.scope, r.Param("groom"), in, r.value("client_id"))
	}, "It is in the record. The marks are as they were.")
}

// answerDisagreement takes an assessor's answer to an apprentice who disagrees.
func answerDisagreement(r *request) error {
	return r.say(func(page *web.Groom) (string, error) {
		if page.Said.Words.Value == "" {
			page.Fail(&page.Said.Words, "Answer in a sentence or two. The apprentice reads it.")
		}
		r.checkText(&page.Shell, &page.Said.Words)
		if len(page.Problems) > 0 {
			return "", nil
		}
		return r.srv.Store.AnswerDisagreement(r.Request.Context(), r.scope, r.Param("groom"), page.Said.Words.Value, r.value("client_id"))
	}, "Your answer is in the record.")
}

// say takes words about a groom's marks: take checks them and hands them on.
func (r *request) say(take func(*web.Groom) (string, error), done string) error {
	ctx := r.Request.Context()
	if to, again := r.srv.Store.Replayed(ctx, r.scope, r.value("client_id")); again {
		return r.goTo(to, "")
	}
	g, err := r.srv.Store.Groom(ctx, r.scope, r.Param("groom"))
	if err != nil {
		return err
	}
	sealed, err := r.srv.Store.Sealed(ctx, r.scope)
	if err != nil {
		return err
	}
	if sealed[g.Key] {
		return &store.Refusal{Reasons: []string{"The marks of this groom have not been shown to you yet." + unsent(r.value("words"))}}
	}
	page, err := r.groomPage(&g)
	if err != nil {
		return err
	}
	if page.Said == nil || page.Said.Action == "" {
		page.Fail(nil, "There is nothing to say to these marks now: it was said or answered already, or nobody disagrees with them."+unsent(r.value("words")))
		return r.show(page, page.Shell)
	}
	page.Said.Words.Value = r.value("words")
	to, err := take(&page)
	if len(page.Problems) > 0 || r.refusedBeside(&page.Shell, &page.Said.Words, err) {
		return r.show(page, page.Shell)
	}
	if err != nil {
		return err
	}
	return r.goTo(to+"#said", done)
}
