package curriculum

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// MaxFileSize is the largest programme file that is read, in bytes: three
// times the built-in one and more. The parser's time on a hostile file grows with the square
// of its size.
const MaxFileSize = 256 << 10

// Finding is a mistake found by a check outside this package. Path names the
// value it is about, for example "points_rules[0].eligible_at".
type Finding struct{ Path, Problem, Do string }

// Check looks at a whole programme. Packages above this one use it to add
// checks that need more than the programme itself.
type Check func(*Programme) []Finding

// Read reads and checks a programme. file is used in messages only. The error,
// if any, is of type Mistakes and holds every mistake found.
func Read(file string, data []byte, checks ...Check) (*Programme, error) {
	if len(data) > MaxFileSize {
		pg := newPage(file, "")
		pg.atPlace(place{}, "the file is %d bytes; a programme may have at most %d", "Check that this is the right file.", len(data), MaxFileSize)
		return nil, pg.mistakes
	}
	text := plain(data)
	pg := newPage(file, text)
	if !pg.isText() {
		return nil, pg.mistakes
	}
	root := pg.parse(text)
	if root == nil {
		return nil, pg.mistakes
	}
	sum := sha256.Sum256(data)
	p := &Programme{source: data, digest: hex.EncodeToString(sum[:])}
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

// plain is the text of a file without what editors add unseen: the byte order
// mark, the line ends of Windows and blanks at the end of a line. The parser
// counts lines and columns wrongly where it meets them.
func plain(data []byte) string {
	text := strings.TrimPrefix(string(data), "\ufeff")
	text = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text)
	lines := strings.Split(text, "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " \t")
	}
	return strings.Join(lines, "\n")
}

// isText notes the first character that is not text: a file in another
// encoding, one that is no text file at all, or something pasted unseen.
func (p *page) isText() bool {
	for i, line := range p.lines {
		column := 0
		for at, r := range line {
			column++
			_, size := utf8.DecodeRuneInString(line[at:])
			foreign := r == utf8.RuneError && size == 1
			if !foreign && !isControl(r) {
				continue
			}
			p.lines[i] = strings.Map(visible, line)
			if foreign || r == 0 {
				p.atPlace(place{i + 1, column}, "this is not text in the encoding UTF-8", "Save the file as UTF-8 (in some editors: \"Save as\", then the encoding), and check that it is the right file.")
			} else {
				p.atPlace(place{i + 1, column}, "an invisible control character stands here", "Remove it, and type the text around it again.")
			}
			return false
		}
	}
	return true
}

func isControl(r rune) bool { return unicode.IsControl(r) && r != '\t' }

func visible(r rune) rune {
	if r == utf8.RuneError || isControl(r) {
		return '?'
	}
	return r
}

// parse returns the one document of the file, or nil after noting why not.
// Anchors, aliases, merge keys and tags are refused: the parser expands
// aliases without a limit and can lose a merged value silently.
func (p *page) parse(text string) ast.Node {
	if p.tabIndented() {
		return nil
	}
	words := lexer.Tokenize(strings.ReplaceAll(text, "\t", " ")) // the lexer miscounts columns after a tab
	if p.tooDeep(words) {
		return nil
	}
	file, err := parser.Parse(words, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		p.notWellFormed(err)
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
		p.atPlace(placeOf(docs[1]), "a second document begins here", "Keep one programme in one file; remove the line with three dashes above.")
		return nil
	}
	ast.Walk(unsafeNodes{p}, docs[0])
	return docs[0]
}

// tabIndented notes the first line that is indented with a tab: YAML cannot
// tell how deep that is.
func (p *page) tabIndented() bool {
	for i, line := range p.lines {
		words := strings.TrimLeft(line, " \t")
		if words == "" || words[0] == '#' {
			continue
		}
		if tab := strings.IndexByte(line[:len(line)-len(words)], '\t'); tab >= 0 {
			p.atPlace(place{i + 1, tab + 1}, "this line is indented with a tab", "Indent with spaces only; most editors can replace every tab at once.")
			return true
		}
	}
	return false
}

// tooDeep notes nesting that no programme has. The parser's time grows with
// the square of the depth.
func (p *page) tooDeep(words token.Tokens) bool {
	const most = 32
	flow, dashes, line := 0, 0, 0
	for _, w := range words {
		if w.Position.Line != line {
			dashes, line = 0, w.Position.Line
		}
		switch w.Type {
		case token.SequenceStartType, token.MappingStartType:
			flow++
		case token.SequenceEndType, token.MappingEndType:
			flow--
		case token.SequenceEntryType:
			dashes++
		}
		if flow > most || dashes > most {
			p.atPlace(place{line, w.Position.Column}, "lists and groups are nested more than %d deep", "Look for brackets or dashes that stand here by mistake.", most)
			return true
		}
	}
	return false
}

// notWellFormed notes where the parser stopped, with the usual cause.
func (p *page) notWellFormed(err error) {
	at, why := place{1, 1}, err.Error()
	var ye yaml.Error
	if errors.As(err, &ye) && ye.GetToken() != nil {
		at, why = place{ye.GetToken().Position.Line, ye.GetToken().Position.Column}, ye.GetMessage()
	}
	do := "Look at the indentation, colons and quotes here and on the line above."
	switch {
	case strings.Contains(why, "mapping value is not allowed"):
		why, do = "a key and value cannot begin here", "If this is text that holds a colon, put it in double quotes. If not, look at the indentation here and on the line above."
	case strings.Contains(why, "']'"), strings.Contains(why, "'}'"):
		why, do = "a bracket is not closed before this place", "Close each [ with ] and each { with }, and put a comma between the entries."
	case strings.Contains(why, "could not find end character"):
		why, do = "this quotation mark is not closed", "Close the text with the same mark. Put text that holds a quotation mark inside the other kind of marks."
	}
	p.atPlace(at, "this is not well-formed YAML: %s", do, why)
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
