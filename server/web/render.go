package web

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io"
	"reflect"
	"strings"
	"sync"
)

//go:embed templates
var templateFiles embed.FS

//go:embed symbols.svg
var symbolSheet string

// shared are the templates every page may use.
var shared = []string{"templates/layout.html", "templates/parts.html", "templates/photo-parts.html", "templates/cutting.html"}

// pages is the one table from page struct to template.
var pages = []struct {
	page any
	file string
}{
	{SignIn{}, "sign-in.html"},
	{SetUp{}, "set-up.html"},
	{Welcome{}, "welcome.html"},
	{Today{}, "today.html"},
	{MyDay{}, "my-day.html"},
	{OverTime{}, "over-time.html"},
	{Logbook{}, "logbook.html"},
	{LogNew{}, "logbook-new.html"},
	{LogEntry{}, "logbook-entry.html"},
	{Countersign{}, "countersign.html"},
	{Matrix{}, "matrix.html"},
	{Wall{}, "wall.html"},
	{Apprentice{}, "apprentice.html"},
	{ProgressReview{}, "progress-review.html"},
	{ApprenticeSkill{}, "apprentice-skill.html"},
	{Skill{}, "skill.html"},
	{Grooms{}, "grooms.html"},
	{GroomNew{}, "groom-new.html"},
	{GroomDraft{}, "groom-draft.html"},
	{GroomReadBack{}, "groom-read-back.html"},
	{Groom{}, "groom.html"},
	{GroomCorrect{}, "groom-correct.html"},
	{Photos{}, "photos.html"},
	{SealedGroom{}, "sealed-groom.html"},
	{CutPlanForm{}, "cut-plan.html"},
	{Exercises{}, "exercises.html"},
	{Exercise{}, "exercise.html"},
	{Agreement{}, "agreement.html"},
	{SignOffs{}, "sign-offs.html"},
	{Sample{}, "sample.html"},
	{Phrases{}, "phrases.html"},
	{Propose{}, "propose.html"},
	{SignOff{}, "sign-off.html"},
	{Certificate{}, "certificate.html"},
	{Programme{}, "programme.html"},
	{Rule{}, "rule.html"},
	{Export{}, "export.html"},
	{People{}, "people.html"},
	{Person{}, "person.html"},
	{Account{}, "account.html"},
	{Devices{}, "devices.html"},
	{Prove{}, "prove.html"},
	{Help{}, "help.html"},
	{ErrorPage{}, "error.html"},
}

var templates = parseTemplates()

func parseTemplates() map[reflect.Type]*template.Template {
	base := template.Must(template.New("layout.html").
		Option("missingkey=error").Funcs(functions).ParseFS(templateFiles, shared...))
	table := make(map[reflect.Type]*template.Template, len(pages))
	for _, p := range pages {
		t := template.Must(base.Clone())
		table[reflect.TypeOf(p.page)] = template.Must(t.ParseFS(templateFiles, "templates/"+p.file))
	}
	return table
}

var buffers = sync.Pool{New: func() any { return new(bytes.Buffer) }}

// Render writes a page. The template is chosen by the type of the struct (or
// of what a pointer points at); an unknown type is an error. Nothing is
// written unless the whole page could be made.
func Render(w io.Writer, page any) error {
	v := reflect.ValueOf(page)
	if v.Kind() == reflect.Pointer && !v.IsNil() {
		v = v.Elem()
	}
	if !v.IsValid() {
		return fmt.Errorf("web: no page given")
	}
	t, ok := templates[v.Type()]
	if !ok {
		return fmt.Errorf("web: no template for a page of type %s", v.Type())
	}
	b := buffers.Get().(*bytes.Buffer)
	defer buffers.Put(b)
	b.Reset()
	if err := t.ExecuteTemplate(b, "layout.html", v.Interface()); err != nil {
		return fmt.Errorf("web: render %s: %w", v.Type(), err)
	}
	made := b.Bytes()
	if p, ok := v.Interface().(interface{ author() string }); ok {
		made = withAuthor(made, p.author())
	}
	_, err := w.Write(made)
	return err
}

// withAuthor puts the key of the person a page was made for into each of its
// forms that change something, so that what stands in the page of one person is
// never taken for the next one's. It is done here, to all of them: a form that
// lacked it would look as if it worked.
func withAuthor(page []byte, key string) []byte {
	const form = `<form method="post"`
	if key == "" || !bytes.Contains(page, []byte(form)) {
		return page
	}
	field := `<input type="hidden" name="author" value="` + template.HTMLEscapeString(key) + `">`
	out := make([]byte, 0, len(page)+8*len(field))
	for {
		_, rest, found := bytes.Cut(page, []byte(form))
		if !found {
			return append(out, page...)
		}
		// Text and values cannot hold a ">": the templates escape it.
		end := len(page) - len(rest) + bytes.IndexByte(rest, '>') + 1
		out = append(append(out, page[:end]...), field...)
		page = page[end:]
	}
}

var functions = template.FuncMap{
	"asset":     AssetPath,
	"sprite":    func() template.HTML { return template.HTML(symbolSheet) },
	"icon":      icon,
	"standings": func() []Standing { return Standings },
	"bar":       StandingBar,
	"inc":       func(n int) int { return n + 1 },
	"plural":    plural,
	"lower":     strings.ToLower,
	"first":     firstLetter,
}

// icon draws a symbol of the sheet; it carries no meaning of its own, so it is
// always beside a word.
func icon(id string) template.HTML {
	if !HasSymbol(id) {
		return ""
	}
	return template.HTML(`<svg class="icon" aria-hidden="true"><use href="#` + id + `"/></svg>`)
}

// HasSymbol says whether the symbol sheet has a drawing with this id.
func HasSymbol(id string) bool {
	return id != "" && strings.Contains(symbolSheet, `<symbol id="`+template.HTMLEscapeString(id)+`"`)
}

// CoatSymbol is the drawing of a coat class, or "" when there is none.
func CoatSymbol(coat string) string {
	if id := "coat-" + coat; HasSymbol(id) {
		return id
	}
	return ""
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return itoa(n) + " " + many
}

func firstLetter(s string) string {
	for _, r := range s {
		return string(r)
	}
	return ""
}
