package server

import (
	"fmt"
	"net/url"
	"strconv"
	"strings"

	"tablehand/curriculum"
	"tablehand/server/web"
)

// Limits of a salon's lists, so that they stay a help.
const (
	mostPhrases   = 12
	longestPhrase = 120 // characters
)

func phraseList(p *curriculum.Phrases, field string) *[]string {
	switch field {
	case "keep":
		return &p.Keep
	case "change":
		return &p.Change
	}
	return &p.Next
}

// choosePhrase does what the button of a phrase says, "change.2".
func (r *request) choosePhrase(form url.Values, which string) error {
	phrases, err := r.srv.Store.Phrases(r.Request.Context(), r.scope, r.prog)
	if err != nil {
		return err
	}
	field, number, _ := strings.Cut(which, ".")
	list := *phraseList(&phrases, field)
	if n, err := strconv.Atoi(number); err == nil && n >= 0 && n < len(list) && (field == "keep" || field == "change" || field == "next") {
		addPhrase(form, field, list[n])
	}
	return nil
}

func (r *request) phrasesPage() (web.Phrases, error) {
	page := web.NewPhrases()
	page.Shell, page.ClientID = r.shell("Quick phrases", "/programme"), newClientID()
	p, err := r.srv.Store.Phrases(r.Request.Context(), r.scope, r.prog)
	for _, f := range page.Fields() {
		f.Value = strings.Join(*phraseList(&p, f.Name), "\n")
	}
	return page, err
}

func phrasesPage(r *request) error {
	page, err := r.phrasesPage()
	if err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

func setPhrases(r *request) error {
	page, err := r.phrasesPage()
	if err != nil {
		return err
	}
	var p curriculum.Phrases
	for _, f := range page.Fields() {
		f.Value = r.value(f.Name)
		list := phraseList(&p, f.Name)
		for _, line := range strings.Split(f.Value, "\n") {
			if line = strings.TrimSpace(line); line == "" {
				continue
			}
			if n := len([]rune(line)); n > longestPhrase && f.Error == "" {
				page.Fail(f, fmt.Sprintf("%q has %d characters. Keep a phrase to %d.", short(line), n, longestPhrase))
			}
			*list = append(*list, line)
		}
		if len(*list) > mostPhrases && f.Error == "" {
			page.Fail(f, fmt.Sprintf("These are %d phrases. Keep it to %d, so that each is found at a glance.", len(*list), mostPhrases))
		}
	}
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	if err := r.srv.Store.SetPhrases(r.Request.Context(), r.scope, p, r.value("client_id")); err != nil {
		return err
	}
	return r.goTo("/phrases", "Saved. Everybody who marks a groom here sees them from now on.")
}
