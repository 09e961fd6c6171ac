package curriculum

import (
	"errors"
	"fmt"
	"reflect"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
)

// MaxFileSize is the largest programme file that is read, in bytes.
const MaxFileSize = 1 << 20

// Finding is a mistake found by a check outside this package. Path names the
// value it is about, for example "points_rules[0].eligible_at".
type Finding struct{ Path, Problem, Do string }

// Check looks at a whole programme. Packages above this one use it to add
// checks that need more than the programme itself.
type Check func(*Programme) []Finding

// Read reads and checks a programme. file is used in messages only. The error,
// if any, is of type Mistakes and holds every mistake found.
func Read(file string, data []byte, checks ...Check) (*Programme, error) {
	pg := newPage(file, data)
	if len(data) > MaxFileSize {
		pg.atPlace(place{}, "the file is %d bytes; a programme may have at most %d", "Check that this is the right file.", len(data), MaxFileSize)
		return nil, pg.mistakes
	}
	root := pg.parse(data)
	if root == nil {
		return nil, pg.mistakes
	}
	p := &Programme{source: data}
	pg.decode(root, reflect.ValueOf(p).Elem(), "")
	p.index()
	pg.check(p)
	for _, check := range checks {
		for _, f := range check(p) {
			pg.at(f.Path, "%s", f.Do, f.Problem)
		}
	}
	if len(pg.mistakes) > 0 {
		return nil, pg.mistakes.inFileOrder()
	}
	return p, nil
}

// parse returns the one document of the file, or nil after noting why not.
// Anchors, aliases, merge keys and tags are refused: the parser expands
// aliases without a limit and can lose a merged value silently.
func (p *page) parse(data []byte) ast.Node {
	file, err := parser.ParseBytes(data, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		at, why := place{1, 1}, err.Error()
		var ye yaml.Error
		if errors.As(err, &ye) && ye.GetToken() != nil {
			at, why = place{ye.GetToken().Position.Line, ye.GetToken().Position.Column}, ye.GetMessage()
		}
		p.atPlace(at, "this is not well-formed YAML: %s", "Look at the indentation, colons and quotes here and on the line above.", why)
		return nil
	}
	var docs []ast.Node
	for _, d := range file.Docs {
		if d.Body != nil {
			docs = append(docs, d.Body)
		}
	}
	switch len(docs) {
	case 0:
		p.atPlace(place{}, "the file is empty", "Start from the built-in programme: tablehand check --print > FILE")
		return nil
	case 1:
	default:
		p.atPlace(placeOf(docs[1]), "a second document begins here", "Keep one programme in one file; remove the line with three dashes.")
	}
	ast.Walk(unsafeNodes{p}, docs[0])
	return docs[0]
}

// unsafeNodes notes each anchor, alias, merge key and tag.
type unsafeNodes struct{ p *page }

func (u unsafeNodes) Visit(n ast.Node) ast.Visitor {
	refuse := func(what, do string) {
		tok := n.GetToken()
		u.p.atPlace(place{tok.Position.Line, tok.Position.Column}, "%s is not allowed in a programme", do, fmt.Sprintf("%s (%s)", what, tok.Value))
	}
	switch n.(type) {
	case *ast.AnchorNode:
		refuse("an anchor", "Write the value out in each place instead of naming it.")
	case *ast.AliasNode:
		refuse("an alias", "Write the value out here instead of pointing to another.")
	case *ast.MergeKeyNode:
		refuse("a merge key", "Write the keys out here instead of merging them.")
	case *ast.TagNode:
		refuse("a tag", "Remove the word that begins with an exclamation mark.")
	}
	return u
}
