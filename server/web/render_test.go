package web

import (
	"bytes"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

var preview = flag.String("preview", "", "write every page to this directory, to be looked at")

func render(t *testing.T, page any) string {
	t.Helper()
	var b bytes.Buffer
	if err := Render(&b, page); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestEveryPageRenders(t *testing.T) {
	seen := map[reflect.Type]bool{}
	for _, f := range fixtures() {
		t.Run(f.name, func(t *testing.T) {
			seen[reflect.TypeOf(f.page)] = true
			checkPage(t, render(t, f.page))
		})
	}
	for _, p := range pages {
		if !seen[reflect.TypeOf(p.page)] {
			t.Errorf("no example of %T is rendered", p.page)
		}
	}
}

func TestEveryTemplateHasAPage(t *testing.T) {
	used := map[string]bool{}
	for _, s := range shared {
		used[s] = true
	}
	for _, p := range pages {
		used["templates/"+p.file] = true
	}
	files, err := fs.Glob(templateFiles, "templates/*")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if !used[f] {
			t.Errorf("%s belongs to no page", f)
		}
	}
}

func TestRenderRefusesWhatItDoesNotKnow(t *testing.T) {
	var nothing *Today
	for _, p := range []any{nil, 3, "Today", struct{ Shell }{}, nothing} {
		var b bytes.Buffer
		if Render(&b, p) == nil || b.Len() > 0 {
			t.Errorf("%T was rendered", p)
		}
	}
	if err := Render(io.Discard, &Today{}); err != nil {
		t.Errorf("a pointer to a page: %v", err)
	}
}

// forbidden is what the content security policy would block, or what would
// lead a browser to another machine.
var forbidden = []*regexp.Regexp{
	regexp.MustCompile(`(?i)\sstyle\s*=`),
	regexp.MustCompile(`(?i)<style`),
	regexp.MustCompile(`(?i)\son[a-z]+\s*=\s*["']`),
	regexp.MustCompile(`(?i)javascript:`),
	regexp.MustCompile(`(?i)(src|href|action|poster|data|srcset)\s*=\s*["']?(https?:)?//`),
	regexp.MustCompile(`(?i)\b(url\(|@import)`),
	regexp.MustCompile(`(?i)<(iframe|object|embed|base|link[^>]+preconnect)`),
	regexp.MustCompile(`<script[^>]*>[^<]`),
	regexp.MustCompile(`user-scalable|maximum-scale`),
	regexp.MustCompile(`ZgotmplZ|<no value>|%!`),
}

func TestTemplatesKeepToTheContentPolicy(t *testing.T) {
	files, _ := fs.Glob(templateFiles, "templates/*.html")
	for _, f := range files {
		text, err := fs.ReadFile(templateFiles, f)
		if err != nil {
			t.Fatal(err)
		}
		for _, re := range forbidden {
			if m := re.Find(text); m != nil {
				t.Errorf("%s has %q", f, m)
			}
		}
	}
}

// checkPage holds a rendered page to the rules every page keeps.
func checkPage(t *testing.T, text string) {
	t.Helper()
	for _, re := range forbidden {
		if m := re.FindString(text); m != "" {
			t.Errorf("the page has %q", m)
		}
	}
	if strings.Count(text, "</html>") != 1 {
		t.Error("the page is not whole")
	}
	checkBalanced(t, text)
	doc, err := html.Parse(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	ids, labels := map[string]int{}, map[string]bool{}
	var h1s []string
	var title string
	lastHeading := 0
	walk(doc, func(n *html.Node) {
		if id := attr(n, "id"); id != "" {
			ids[id]++
		}
		switch n.Data {
		case "label":
			labels[attr(n, "for")] = true
		case "title":
			if n.Parent.Data == "head" {
				title = content(n)
			}
		case "h1", "h2", "h3", "h4":
			level := int(n.Data[1] - '0')
			if level == 1 {
				h1s = append(h1s, content(n))
			}
			if level > lastHeading+1 && lastHeading > 0 {
				t.Errorf("heading %q skips a level", content(n))
			}
			lastHeading = level
			if strings.TrimSpace(content(n)) == "" {
				t.Error("an empty heading")
			}
		}
	})
	if len(h1s) != 1 {
		t.Errorf("%d h1: %q", len(h1s), h1s)
	}
	if !strings.HasSuffix(title, "– Tablehand") && title != "Tablehand" {
		t.Errorf("title %q", title)
	}
	for id, n := range ids {
		if n > 1 {
			t.Errorf("id %q stands %d times", id, n)
		}
	}
	if ids["problems"] > 0 != strings.HasPrefix(title, "Error: ") {
		t.Errorf("title %q and the list of problems do not agree", title)
	}
	if !strings.Contains(text, "supports, and does not replace, licensed practice") {
		t.Error("the foot is missing")
	}
	walk(doc, func(n *html.Node) {
		switch n.Data {
		case "input", "select", "textarea":
			if attr(n, "type") != "hidden" && !has(n, "hidden") && !labels[attr(n, "id")] {
				t.Errorf("%s %q has no label", n.Data, attr(n, "name"))
			}
			if attr(n, "name") == "" {
				t.Errorf("a %s has no name", n.Data)
			}
			if attr(n, "type") == "password" && attr(n, "autocomplete") == "" {
				t.Error("a password field has no autocomplete")
			}
		case "form":
			asks := attr(n, "method") == "get" && !hasPassword(n) // changes nothing
			if attr(n, "method") != "post" && !asks || attr(n, "action") == "" {
				t.Errorf("form to %q by %q", attr(n, "action"), attr(n, "method"))
			}
		case "a":
			if h := attr(n, "href"); strings.HasPrefix(h, "#") && ids[h[1:]] == 0 {
				t.Errorf("link to %s leads nowhere", h)
			} else if h == "" {
				t.Errorf("link %q has no address", content(n))
			}
			if strings.TrimSpace(content(n)) == "" {
				t.Errorf("link to %q has no words", attr(n, "href"))
			}
		case "button":
			if strings.TrimSpace(content(n)) == "" {
				t.Error("a button has no words")
			}
		case "fieldset":
			if first := firstElement(n); first == nil || first.Data != "legend" {
				t.Error("a fieldset does not begin with its legend")
			}
		case "table":
			if first := firstElement(n); first == nil || first.Data != "caption" {
				t.Error("a table has no caption")
			}
		case "th":
			if attr(n, "scope") == "" {
				t.Errorf("heading cell %q has no scope", content(n))
			}
		case "use":
			if ids[strings.TrimPrefix(attr(n, "href"), "#")] == 0 {
				t.Errorf("no symbol %q", attr(n, "href"))
			}
		case "svg":
			if attr(n, "aria-hidden") != "true" && attr(n, "role") != "img" {
				t.Error("a drawing is neither hidden nor named")
			}
		}
		for _, key := range []string{"aria-describedby", "aria-labelledby", "aria-controls"} {
			for _, id := range strings.Fields(attr(n, key)) {
				if ids[id] == 0 {
					t.Errorf("%s names %q, which is not there", key, id)
				}
			}
		}
	})
}

// checkBalanced finds tags that the parser would silently mend.
func checkBalanced(t *testing.T, text string) {
	t.Helper()
	void := map[string]bool{"meta": true, "link": true, "input": true, "br": true, "img": true, "hr": true}
	var open []string
	z := html.NewTokenizer(strings.NewReader(text))
	for {
		switch z.Next() {
		case html.ErrorToken:
			if len(open) > 0 {
				t.Errorf("never closed: %v", open)
			}
			return
		case html.StartTagToken:
			if name, _ := z.TagName(); !void[string(name)] {
				open = append(open, string(name))
			}
		case html.EndTagToken:
			name, _ := z.TagName()
			if len(open) == 0 || open[len(open)-1] != string(name) {
				t.Fatalf("</%s> closes %v", name, open)
			}
			open = open[:len(open)-1]
		}
	}
}

func walk(n *html.Node, do func(*html.Node)) {
	if n.Type == html.ElementNode {
		do(n)
	}
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		walk(c, do)
	}
}

func attr(n *html.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

func has(n *html.Node, key string) bool {
	for _, a := range n.Attr {
		if a.Key == key {
			return true
		}
	}
	return false
}

func content(n *html.Node) string {
	if n.Type == html.TextNode {
		return n.Data
	}
	var b strings.Builder
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		b.WriteString(content(c))
	}
	return b.String()
}

func hasPassword(n *html.Node) bool {
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		if attr(c, "type") == "password" || hasPassword(c) {
			return true
		}
	}
	return false
}

func firstElement(n *html.Node) *html.Node {
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		if c.Type == html.ElementNode {
			return c
		}
	}
	return nil
}

func TestNothingTypedBecomesMarkup(t *testing.T) {
	const evil = `"><script>alert(1)</script>`
	d := fixtureDraft()
	d.Heading, d.Dog.Value, d.Keep.Value = evil, evil, evil
	d.Apprentice.Choices[0].Label = evil
	m := fixtureMatrix(2)
	m.Units[0].Rows[0].Cells[0] = MatrixCell{Standing: Signed, URL: `/a"><script>`, Note: evil}
	m.Columns[0].Name, m.Columns[0].Meta, m.Columns[0].URL = evil, evil, `/a"><script>`
	m.Units[0].Title, m.Units[0].Rows[0].Title, m.Units[0].Rows[0].URL = evil, evil, `javascript:alert(1)`
	m.Foot[0].Label, m.Foot[0].Cells[0] = evil, evil
	m.Units[0].Rows[0].Cells[1] = MatrixCell{Standing: Signed, URL: `javascript:alert(1)`}
	s := fixtureSkill()
	s.Points.Chart = ChartPoints([]ChartPoint{{1, true, evil}, {-9, false, evil}}, 17, -10)
	w := fixtureWall(1)
	w.Columns[0].Name, w.Columns[0].URL, w.Columns[0].Held, w.Units[0].Rows[0].Title = evil, `javascript:alert(1)`, []string{evil}, evil
	w.Salon, w.Now = evil, evil // they stand at the foot of each printed page too
	for _, p := range []any{d, m, s, w} {
		if text := render(t, p); strings.Contains(text, "<script>") || strings.Contains(text, "javascript:") {
			t.Errorf("%T lets markup through", p)
		}
	}
}

// What stands in the page of one person must not be sent as the next one's, so
// every form that changes something says whose page it is.
func TestEveryFormSaysWhoseItIs(t *testing.T) {
	forms := 0
	for _, f := range fixtures() {
		page := reflect.New(reflect.TypeOf(f.page)).Elem()
		page.Set(reflect.ValueOf(f.page))
		page.FieldByName("Shell").FieldByName("Author").SetString(`a"key`)
		text := render(t, page.Interface())
		doc, err := html.Parse(strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		walk(doc, func(n *html.Node) {
			if n.Data != "form" {
				return
			}
			field := firstElement(n)
			says := field != nil && attr(field, "name") == "author" && attr(field, "type") == "hidden" && attr(field, "value") == `a"key`
			if changes := attr(n, "method") == "post"; says != changes {
				t.Errorf("%s: the form to %s says whose it is: %v", f.name, attr(n, "action"), says)
			} else if changes {
				forms++
			}
		})
		page.FieldByName("Shell").FieldByName("Author").SetString("")
		if strings.Contains(render(t, page.Interface()), `name="author"`) {
			t.Errorf("%s names nobody", f.name)
		}
	}
	if forms < 100 {
		t.Errorf("only %d forms", forms)
	}
	for _, a := range assets { // what a script puts together itself says so too
		if text := string(a.Data); strings.Contains(text, "new FormData()") && !strings.Contains(text, `data.set("author", `) {
			t.Errorf("%s sends what says nothing about whose it is", a.Name)
		}
	}
}

// The preview writes the pages with their stylesheet beside them:
//
//	go test ./server/web -run Preview -preview DIR
func TestPreview(t *testing.T) {
	if *preview == "" {
		t.Skip("no directory given")
	}
	if err := os.MkdirAll(*preview, 0o755); err != nil {
		t.Fatal(err)
	}
	for _, a := range assets {
		if err := os.WriteFile(filepath.Join(*preview, a.Name), a.Data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, f := range fixtures() {
		text := render(t, f.page)
		for _, a := range assets {
			text = strings.ReplaceAll(text, a.Path, a.Name)
		}
		if err := os.WriteFile(filepath.Join(*preview, f.name+".html"), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func TestAssets(t *testing.T) {
	files, _ := fs.Glob(Static, "*")
	for _, name := range files {
		p := AssetPath(name)
		a, ok := LookupAsset(p)
		if !ok || a.Name != name || a.ContentType == "" || len(a.Data) == 0 {
			t.Errorf("%s at %q: %v %q", name, p, ok, a.ContentType)
		}
		for _, m := range regexp.MustCompile(`from "([^"]*)"`).FindAllSubmatch(a.Data, -1) {
			if _, ok := LookupAsset(string(m[1])); !ok {
				t.Errorf("%s imports %s, which is not answered", name, m[1])
			}
		}
		if _, ok := LookupAsset("/static/000000000000/" + name); ok {
			t.Errorf("%s is found under a hash that is not its own", name)
		}
	}
	if AssetPath("nothing.css") != "" {
		t.Error("an unknown file has an address")
	}
	if _, ok := LookupAsset(""); ok {
		t.Error("an empty address is found")
	}
	if _, ok := LookupAsset("/static/../tablehand.css"); ok {
		t.Error("a path upwards is found")
	}
}

func FuzzCellEscaping(f *testing.F) {
	f.Add(`a"b'c<d>e&f`)
	f.Add("\x00\xff é")
	f.Fuzz(func(t *testing.T, s string) {
		var want bytes.Buffer
		templateEscape(&want, s)
		if got := appendEscaped(nil, s); string(got) != want.String() {
			t.Errorf("got %q, want %q", got, want.String())
		}
	})
}

func ExampleRender() {
	var b bytes.Buffer
	fmt.Println(Render(&b, NotFound(Shell{})), b.Len() > 0)
	// Output: <nil> true
}
