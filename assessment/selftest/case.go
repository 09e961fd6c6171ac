package selftest

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"math"
	"path"
	"regexp"
	"slices"
	"strings"

	"tablehand/testdata"
)

const (
	// maxCases is the number of cases that one file may hold.
	maxCases = 1000
	// maxTolerance is the widest tolerance that still compares anything.
	maxTolerance = 1e-3
	// maxDecimals is as many decimals as float64 can be held to.
	maxDecimals = 15
)

// Case is one reference case, checked and ready to be calculated.
type Case struct {
	File, Method, ID     string
	Source, SourceStatus string
	Note                 string
	Tolerance            float64 // relative to max(1, |expected|); 0 to 1e-3

	expected  object
	published any // an object, or nil when nothing printed is used
	decimals  int // to which published is printed; 0 to 15
	run       calculation
}

// Implemented reports whether this build calculates the method of the case.
func (c *Case) Implemented() bool { return c.run != nil }

// caseKeys are the keys of a case; see testdata/cases/README.md.
var caseKeys = []string{
	"id", "method", "inputs", "expected", "tolerance", "published", "published_decimals", "agrees_with_published",
	"source", "source_status", "verified_with", "recomputed_max_rel_diff", "note",
}

// mayLack holds the one key that a case can do without: exact arithmetic has no
// difference to report.
const mayLack = "recomputed_max_rel_diff"

// plainName is what an id or a method may look like, so that each fits into one
// line of a report.
var plainName = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._-]{0,59}$`)

// Read takes a file of cases apart. The error is one line that names the file,
// the case and the field, says what was found there and what would do.
func Read(file string, data []byte) ([]Case, error) {
	cases, err := read(file, data)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	return cases, nil
}

func read(file string, data []byte) ([]Case, error) {
	v, err := parse(data)
	if err != nil {
		return nil, err
	}
	list, ok := v.([]any)
	switch {
	case !ok:
		return nil, fmt.Errorf("the file holds %s: a list of cases is needed", kind(v))
	case len(list) == 0 || len(list) > maxCases:
		return nil, fmt.Errorf("the file holds %d cases: it can hold 1 to %d", len(list), maxCases)
	}
	cases, seen := make([]Case, 0, len(list)), map[string]bool{}
	for i, v := range list {
		name := fmt.Sprintf("case %d", i+1)
		in, ok := v.(object)
		if !ok {
			return nil, fmt.Errorf("%s: %s was found: an object is needed", name, kind(v))
		}
		if id, _ := in.at["id"].(string); plainName.MatchString(id) {
			name += " (" + id + ")"
		}
		c, err := readCase(in)
		if err == nil && seen[c.ID] {
			err = fmt.Errorf("id is %q: an earlier case has it already", c.ID)
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		seen[c.ID] = true
		c.File = file
		cases = append(cases, c)
	}
	return cases, nil
}

func readCase(in object) (Case, error) {
	for _, key := range in.keys {
		if !slices.Contains(caseKeys, key) {
			return Case{}, fmt.Errorf("%s is no key of a case: remove it or correct its name", cut(fmt.Sprintf("%q", key), 60))
		}
	}
	for _, key := range caseKeys {
		if _, ok := in.at[key]; !ok && key != mayLack {
			return Case{}, fmt.Errorf("%s is missing", key)
		}
	}
	var c Case
	if err := c.readWords(in); err != nil {
		return c, err
	}
	if err := c.readNumbers(in); err != nil {
		return c, err
	}
	expected, ok := in.at["expected"].(object)
	if !ok || len(expected.keys) == 0 {
		return c, fmt.Errorf("expected is %s: an object with at least one value is needed", kind(in.at["expected"]))
	}
	c.expected = expected
	if at := withoutValues("expected", expected); at != "" {
		return c, fmt.Errorf("%s is an object without values: give it one or remove it", at)
	}
	if err := c.readPublished(in); err != nil {
		return c, err
	}
	inputs, ok := in.at["inputs"].(object)
	if !ok {
		return c, fmt.Errorf("inputs is %s: an object is needed", kind(in.at["inputs"]))
	}
	adapt := methods[c.Method]
	if adapt == nil { // known, and not calculated here
		return c, nil
	}
	a := newArgs(inputs)
	c.run = adapt(a)
	return c, a.done()
}

// withoutValues finds an empty object: there would be nothing to compare in it.
func withoutValues(at string, v any) string {
	switch v := v.(type) {
	case object:
		if len(v.keys) == 0 {
			return at
		}
		for _, key := range v.keys {
			if found := withoutValues(at+"."+cut(key, 60), v.at[key]); found != "" {
				return found
			}
		}
	case []any:
		for i, e := range v {
			if found := withoutValues(fmt.Sprintf("%s[%d]", at, i), e); found != "" {
				return found
			}
		}
	}
	return ""
}

// readWords reads what is text.
func (c *Case) readWords(in object) error {
	for _, f := range []struct {
		key   string
		into  *string
		empty bool
	}{{"id", &c.ID, false}, {"method", &c.Method, false}, {"source", &c.Source, false}, {"source_status", &c.SourceStatus, false}, {"note", &c.Note, true}} {
		s, ok := in.at[f.key].(string)
		switch {
		case !ok:
			return fmt.Errorf("%s is %s: a text is needed", f.key, kind(in.at[f.key]))
		case strings.TrimSpace(s) == "" && !f.empty:
			return fmt.Errorf("%s is empty", f.key)
		case strings.ContainsFunc(s, func(r rune) bool { return r < ' ' || r == 0x7f }):
			return fmt.Errorf("%s holds a line break or another control character: write it in one line", f.key)
		}
		*f.into = s
	}
	if !plainName.MatchString(c.ID) {
		return fmt.Errorf("id is %q: 1 to 60 letters, digits, dots, dashes and underscores are taken", cut(c.ID, 60))
	}
	if _, known := methods[c.Method]; !known {
		return fmt.Errorf("method is %q: there is no such method. Known are %s", cut(c.Method, 60), strings.Join(Methods(), ", "))
	}
	return nil
}

// readNumbers reads the tolerance and checks what is only there to be read by
// people.
func (c *Case) readNumbers(in object) error {
	n, ok := in.at["tolerance"].(json.Number)
	t, err := n.Float64()
	if !ok || err != nil || t < 0 || t > maxTolerance {
		return fmt.Errorf("tolerance is %s: a number from 0 to %v is needed", kind(in.at["tolerance"]), maxTolerance)
	}
	c.Tolerance = t
	list, ok := in.at["verified_with"].([]any)
	if !ok {
		return fmt.Errorf("verified_with is %s: a list of texts is needed", kind(in.at["verified_with"]))
	}
	for i, v := range list {
		if _, ok := v.(string); !ok {
			return fmt.Errorf("verified_with[%d] is %s: a text is needed", i, kind(v))
		}
	}
	switch v := in.at[mayLack].(type) {
	case nil, string: // exact arithmetic says so in words
	case json.Number:
		if f, err := v.Float64(); err != nil || f < 0 {
			return fmt.Errorf("%s is %s: it cannot be below 0", mayLack, v)
		}
	default:
		return fmt.Errorf("%s is %s: a number or a text is needed", mayLack, kind(v))
	}
	return nil
}

// readPublished reads the printed values. A print that the expected value does
// not round to is not taken: it is left out of published, and note says why.
func (c *Case) readPublished(in object) error {
	published, decimals, agrees := in.at["published"], in.at["published_decimals"], in.at["agrees_with_published"]
	if published == nil {
		if agrees != nil {
			return fmt.Errorf("agrees_with_published is %s: without a printed value it is null", kind(agrees))
		}
		if n, ok := decimals.(json.Number); decimals != nil && (!ok || n != "0") {
			return fmt.Errorf("published_decimals is %s: without a printed value it is null or 0", kind(decimals))
		}
		return nil
	}
	o, ok := published.(object)
	if !ok || len(o.keys) == 0 {
		return fmt.Errorf("published is %s: an object or null is needed", kind(published))
	}
	n, ok := decimals.(json.Number)
	d, err := n.Float64()
	if !ok || err != nil || d != math.Trunc(d) || d < 0 || d > maxDecimals {
		return fmt.Errorf("published_decimals is %s: with a printed value it is a whole number from 0 to %d", kind(decimals), maxDecimals)
	}
	if agrees != true {
		return fmt.Errorf("agrees_with_published is %s: a printed value that the expected one does not round to is left out of published, and note says why", kind(agrees))
	}
	c.published, c.decimals = published, int(d)
	return sameShape("published", c.expected, published)
}

// sameShape checks that every printed value stands where an expected one does,
// and is of its kind or null.
func sameShape(at string, expected, printed any) error {
	switch p := printed.(type) {
	case nil:
		return nil
	case object:
		e, ok := expected.(object)
		if !ok {
			return fmt.Errorf("%s is an object: what is expected there is %s", at, kind(expected))
		}
		for _, key := range p.keys {
			v, ok := e.at[key]
			if !ok {
				return fmt.Errorf("%s.%s has no value in expected: give it one", at, cut(key, 60))
			}
			if err := sameShape(at+"."+cut(key, 60), v, p.at[key]); err != nil {
				return err
			}
		}
		return nil
	case []any:
		e, ok := expected.([]any)
		if !ok || len(e) != len(p) {
			return fmt.Errorf("%s is a list of %d: what is expected there is not", at, len(p))
		}
		for i := range p {
			if err := sameShape(fmt.Sprintf("%s[%d]", at, i), e[i], p[i]); err != nil {
				return err
			}
		}
		return nil
	}
	if fmt.Sprintf("%T", expected) != fmt.Sprintf("%T", printed) {
		return fmt.Errorf("%s is %s: what is expected there is %s", at, kind(printed), kind(expected))
	}
	return nil
}

// Published returns the cases that the program carries, by file.
func Published() ([]Case, error) {
	files, err := fs.Glob(testdata.Cases, "cases/*.json")
	if err != nil {
		return nil, err
	}
	var all []Case
	for _, name := range files {
		data, err := testdata.Cases.ReadFile(name)
		if err != nil {
			return nil, err
		}
		cases, err := Read(path.Base(name), data)
		if err != nil {
			return nil, err
		}
		all = append(all, cases...)
	}
	return all, nil
}
