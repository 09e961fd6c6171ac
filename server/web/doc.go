// Package web is what a reader sees: the server-rendered pages, one stylesheet
// and a few small script modules, all embedded.
//
// A page is a struct of plain, already formatted values, one per page, each
// embedding [Shell]. [Render] picks the template by the type of the struct.
// The package decides nothing: it is told what a standing is, which buttons a
// person may press and what each error says, and shows it.
//
// Every page works with script off, sets no inline style and no inline script,
// and loads nothing from anywhere else.
package web
