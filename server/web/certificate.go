package web

import "html/template"

// Certificate is a sign-off on one page of paper, for as long as it stands.
type Certificate struct {
	Shell
	Apprentice, Skill string
	SignOffURL        string // the record page, within this program
	WhyNot            string // why there is none; everything below is empty then
	LeftOut           string // what the reader is not shown yet; may be empty

	Unit, Programme string
	Criteria        []string // what was seen, as the programme had it
	Proposed        string   // who, in which role, when
	Confirmed       string
	Evidence        string   // "17 observations, listed in the record"
	Rule            []string // in words
	Error           string   // the exact chance of a false sign-off, in words
	Currency        string   // how long it can be relied on
	Review          string   // why it is to be looked at again; may be empty
	Cautions        []string
	Digest          string // SHA-256 of the evidence, 64 hex digits
	Address         string // the full address of the record page
	Code            template.HTML
	OnlyHere        bool // the address works on this computer alone
}
