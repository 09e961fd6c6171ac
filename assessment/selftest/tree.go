package selftest

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

const (
	// MaxFile is the largest file that is read, in bytes.
	MaxFile = 4 << 20
	// maxDepth is how deep lists and objects may lie in each other. The cases need
	// six: file, case, inputs, and tables of up to three dimensions.
	maxDepth = 8
	// maxText is the longest text, in bytes.
	maxText = 2000
	// maxDigits is the longest number, in characters: more than float64 can hold.
	maxDigits = 40
)

// object is a JSON object that keeps the order of its keys, so that results come
// in the order in which the file gives the values.
type object struct {
	keys []string
	at   map[string]any
}

// parse reads one JSON value into objects, []any, json.Number, string, bool and
// nil. encoding/json alone takes the last of two equal keys and any depth; a
// reference case has to mean one thing only.
func parse(data []byte) (any, error) {
	switch {
	case len(data) > MaxFile:
		return nil, fmt.Errorf("the file is larger than %d MB: split it", MaxFile>>20)
	case !utf8.Valid(data):
		return nil, errors.New("the file is not UTF-8 text: save it as such")
	}
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	v, err := value(d, 0)
	if err == nil {
		if _, more := d.Token(); !errors.Is(more, io.EOF) {
			err = errors.New("something follows the end of the list: remove it")
		}
	}
	var syntax *json.SyntaxError
	switch {
	case errors.As(err, &syntax):
		return nil, fmt.Errorf("line %d is not JSON: %v", line(data, syntax.Offset), syntax)
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return nil, errors.New("the file ends too early: a bracket is not closed")
	case err != nil:
		return nil, fmt.Errorf("line %d: %w", line(data, d.InputOffset()), err)
	}
	return v, nil
}

// line is the number of the line that holds the byte at an offset, from 1.
func line(data []byte, offset int64) int {
	return 1 + bytes.Count(data[:min(max(0, offset), int64(len(data)))], []byte("\n"))
}

func value(d *json.Decoder, depth int) (any, error) {
	t, err := d.Token()
	if err != nil {
		return nil, err
	}
	switch t := t.(type) {
	case json.Delim:
		if depth == maxDepth {
			return nil, fmt.Errorf("lists and objects lie more than %d deep in each other", maxDepth)
		}
		if t == '[' {
			return listIn(d, depth+1)
		}
		return objectIn(d, depth+1)
	case string:
		if len(t) > maxText {
			return nil, fmt.Errorf("a text is %d bytes long: at most %d are taken", len(t), maxText)
		}
		return t, nil
	case json.Number:
		if f, err := t.Float64(); err != nil || len(t) > maxDigits {
			return nil, fmt.Errorf("the number %s is too long or too large: at most %d characters and %.0e are taken", cut(string(t), maxDigits), maxDigits, 1e308)
		} else if f == 0 && nonZero(string(t)) {
			return nil, fmt.Errorf("the number %s is too small to be held", t)
		}
		return t, nil
	}
	return t, nil // a bool or nil
}

// nonZero reports whether a number has a digit other than 0 before its exponent.
func nonZero(number string) bool {
	digits, _, _ := strings.Cut(strings.ToLower(number), "e")
	return strings.ContainsAny(digits, "123456789")
}

func listIn(d *json.Decoder, depth int) (any, error) {
	list := []any{}
	for d.More() {
		v, err := value(d, depth)
		if err != nil {
			return nil, err
		}
		list = append(list, v)
	}
	_, err := d.Token()
	return list, err
}

func objectIn(d *json.Decoder, depth int) (any, error) {
	o := object{at: map[string]any{}}
	for d.More() {
		t, err := d.Token()
		if err != nil {
			return nil, err
		}
		key, _ := t.(string) // the decoder refuses anything else
		if _, twice := o.at[key]; twice {
			return nil, fmt.Errorf("the key %q stands twice in the same object: remove one", cut(key, 60))
		}
		if len(key) > maxText {
			return nil, fmt.Errorf("a key is %d bytes long: at most %d are taken", len(key), maxText)
		}
		v, err := value(d, depth)
		if err != nil {
			return nil, err
		}
		o.keys = append(o.keys, key)
		o.at[key] = v
	}
	_, err := d.Token()
	return o, err
}

// cut shortens a text to so many characters.
func cut(s string, most int) string {
	r := []rune(s)
	if len(r) <= most {
		return s
	}
	return string(r[:most-1]) + "…"
}

// kind is what a value is, in words.
func kind(v any) string {
	switch v := v.(type) {
	case object:
		return "an object"
	case []any:
		return "a list"
	case json.Number:
		return "the number " + string(v)
	case string:
		return fmt.Sprintf("the text %q", cut(v, 40))
	case bool:
		return fmt.Sprint(v)
	}
	return "null"
}
