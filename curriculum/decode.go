package curriculum

import (
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// decode fills v from a syntax tree. The library's own decoder stops at its
// first error; an editor needs all of them, so this one notes each mistake and
// goes on. It also records where every value stands, for the checks that
// follow. path names the value: "units[2].skills[0].id".
func (p *page) decode(n ast.Node, v reflect.Value, path string) {
	n = bare(n)
	p.places[path] = placeOf(n)
	if _, refused := n.(*ast.AliasNode); refused {
		p.unread[path] = true
		return
	}
	if v.Type() == reflect.TypeFor[MM]() {
		p.decodeMM(n, v, path)
		return
	}
	switch v.Kind() {
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		p.decode(n, v.Elem(), path)
	case reflect.Struct:
		p.decodeStruct(n, v, path)
	case reflect.Slice:
		p.decodeSlice(n, v, path)
	case reflect.String:
		if s, ok := scalarText(n); ok {
			v.SetString(s)
		} else {
			p.misread(path, "%s must be text, but a %s was found", "Write the words on the same line, in quotes if they hold a colon or a #.", lastName(path), kindOf(n))
		}
	case reflect.Int, reflect.Int64:
		p.decodeWhole(n, v, path)
	case reflect.Float64:
		p.decodeNumber(n, v, path)
	case reflect.Bool:
		if b, ok := n.(*ast.BoolNode); ok {
			v.SetBool(b.Value)
		} else {
			p.misread(path, "%s must be true or false, but a %s was found", "Write true or false, without quotes.", lastName(path), kindOf(n))
		}
	default:
		panic("curriculum: no decoding for " + v.Kind().String())
	}
}

func (p *page) decodeStruct(n ast.Node, v reflect.Value, path string) {
	var values []*ast.MappingValueNode
	switch m := n.(type) {
	case *ast.MappingNode:
		values = m.Values
	case *ast.MappingValueNode:
		values = []*ast.MappingValueNode{m}
	default:
		p.misread(path, "%s must be a group of keys and values, but a %s was found", "Write each key on a line of its own, followed by a colon and its value.", lastName(path), kindOf(n))
		return
	}
	fields, names := fieldsOf(v.Type())
	seen, meant := map[string]place{}, map[string]bool{}
	for _, kv := range values {
		key := kv.Key.GetToken().Value
		at := placeOf(kv.Key)
		if first, twice := seen[key]; twice {
			p.atPlace(at, "the key %q stands here a second time (first on line %d)", "Keep one of the two and remove the other.", key, first.line)
			continue
		}
		seen[key] = at
		i, known := fields[key]
		if _, refused := kv.Key.(*ast.MergeKeyNode); refused {
			continue
		}
		if !known {
			do := "Remove it, or use one of: " + strings.Join(names, ", ") + "."
			if best := closest(key, names); best != "" {
				do = fmt.Sprintf("Did you mean %q?", best)
				meant[best] = true
			}
			p.atPlace(at, "unknown key %q", do, key)
			continue
		}
		p.decode(kv.Value, v.Field(i), join(path, key))
	}
	for key := range meant { // a slip in its name is not also a missing value
		if _, there := seen[key]; !there {
			p.unread[join(path, key)] = true
		}
	}
}

func (p *page) decodeSlice(n ast.Node, v reflect.Value, path string) {
	if _, empty := n.(*ast.NullNode); empty {
		return
	}
	seq, ok := n.(*ast.SequenceNode)
	if !ok {
		p.misread(path, "%s must be a list, but a %s was found", "Write each entry on a line of its own that begins with a dash.", lastName(path), kindOf(n))
		return
	}
	v.Set(reflect.MakeSlice(v.Type(), len(seq.Values), len(seq.Values)))
	for i, item := range seq.Values {
		p.decode(item, v.Index(i), fmt.Sprintf("%s[%d]", path, i))
	}
}

func (p *page) decodeWhole(n ast.Node, v reflect.Value, path string) {
	text, ok := scalarText(n)
	if ok {
		if i, err := strconv.ParseInt(text, 10, 32); err == nil {
			v.SetInt(i)
			return
		}
	}
	p.misread(path, "%s must be a whole number, but %s was found", "Write digits only, without quotes or units.", lastName(path), foundWords(n, text, ok))
}

func (p *page) decodeNumber(n ast.Node, v reflect.Value, path string) {
	text, ok := scalarText(n)
	if ok {
		if f, err := strconv.ParseFloat(text, 64); err == nil && !math.IsNaN(f) && !math.IsInf(f, 0) {
			v.SetFloat(f)
			return
		}
	}
	p.misread(path, "%s must be a number, but %s was found", "Write it with a point for decimals, for example 0.05.", lastName(path), foundWords(n, text, ok))
}

func (p *page) decodeMM(n ast.Node, v reflect.Value, path string) {
	text, ok := scalarText(n)
	if ok {
		if mm, good := ParseMM(text); good {
			v.SetInt(int64(mm))
			return
		}
	}
	p.misread(path, "%s must be a length in millimetres, but %s was found", "Write it with a point and at most two decimals, for example 3.2.", lastName(path), foundWords(n, text, ok))
}

func fieldsOf(t reflect.Type) (map[string]int, []string) {
	fields, names := map[string]int{}, []string{}
	for i := range t.NumField() {
		if name := t.Field(i).Tag.Get("yaml"); name != "" {
			fields[name] = i
			names = append(names, name)
		}
	}
	return fields, names
}

// bare strips the wrappers the parser puts round a value. Tags and anchors
// have been refused before decoding; what stands under them is still read, so
// that one refusal does not hide other mistakes.
func bare(n ast.Node) ast.Node {
	for {
		switch w := n.(type) {
		case *ast.TagNode:
			n = w.Value
		case *ast.AnchorNode:
			n = w.Value
		default:
			return n
		}
	}
}

func scalarText(n ast.Node) (string, bool) {
	switch s := n.(type) {
	case *ast.StringNode:
		return s.Value, true
	case *ast.LiteralNode:
		return s.Value.Value, true
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode:
		return n.GetToken().Value, true
	}
	return "", false
}

func kindOf(n ast.Node) string {
	switch n.(type) {
	case *ast.SequenceNode:
		return "list"
	case *ast.MappingNode, *ast.MappingValueNode:
		return "group of keys"
	case *ast.NullNode:
		return "blank"
	case *ast.IntegerNode, *ast.FloatNode:
		return "number"
	case *ast.BoolNode:
		return "true/false value"
	}
	return "piece of text"
}

func foundWords(n ast.Node, text string, scalar bool) string {
	if scalar {
		return strconv.Quote(text)
	}
	return "a " + kindOf(n)
}

func placeOf(n ast.Node) place {
	if n == nil || n.GetToken() == nil {
		return place{}
	}
	tok := n.GetToken()
	if m, ok := n.(*ast.MappingNode); ok && len(m.Values) > 0 && !m.IsFlowStyle {
		tok = m.Values[0].Key.GetToken()
	}
	if m, ok := n.(*ast.MappingValueNode); ok {
		tok = m.Key.GetToken()
	}
	return place{tok.Position.Line, tok.Position.Column}
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

func lastName(path string) string {
	if path == "" {
		return "the file"
	}
	name, _, entry := strings.Cut(path[strings.LastIndex(path, ".")+1:], "[")
	if entry {
		return "an entry of " + name
	}
	return name
}
