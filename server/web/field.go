package web

import "strings"

// Control is a part of a form that can be wrong.
type Control interface {
	// fail keeps the message beside the control and returns its key, the
	// name with the form in front where there are several.
	fail(message string) string
}

// Field is one typed entry: a line of text, a number, a date, a password or a
// longer note.
type Field struct {
	Name, Label, Hint, Value, Error string

	Form         string // tells equal names apart when a page has several forms
	Type         string // input type; empty means text
	Autocomplete string
	InputMode    string // "decimal", "numeric"
	Unit         string // shown after the box: "kg"
	Optional     bool
	Width        string // "short", "medium" or "" for the full measure
	Rows         int    // lines of a longer note
}

// Choice is one answer in a set.
type Choice struct {
	Value, Label, Hint string
	Checked            bool
	Symbol             string // id of a drawing in the symbol sheet, may be empty
}

// Choices is a question with a fixed set of answers. It is shown as large
// radio buttons, tick boxes or a list, as the page needs.
type Choices struct {
	Name, Label, Hint, Error string
	Form                     string // as in Field
	Optional                 bool
	Choices                  []Choice
}

// Check is a single tick box.
type Check struct {
	Name, Label, Hint, Error string
	Form                     string // as in Field
	Checked                  bool
}

func (f *Field) fail(m string) string   { f.Error = m; return f.key() }
func (c *Choices) fail(m string) string { c.Error = m; return c.key() }
func (c *Check) fail(m string) string   { c.Error = m; return c.key() }

func (f Field) key() string   { return formKey(f.Form, f.Name) }
func (c Choices) key() string { return formKey(c.Form, c.Name) }
func (c Check) key() string   { return formKey(c.Form, c.Name) }

func formKey(form, name string) string {
	if form == "" {
		return name
	}
	return form + "." + name
}

// ID is the element id of the field.
func (f Field) ID() string { return fieldID(f.key()) }

// InputType is the input type, text unless one was chosen.
func (f Field) InputType() string {
	if f.Type == "" {
		return "text"
	}
	return f.Type
}

// Lines is the height of a longer note, in lines.
func (f Field) Lines() int {
	if f.Rows == 0 {
		return 3
	}
	return f.Rows
}

// DescribedBy lists the ids of the hint and the error, in reading order.
func (f Field) DescribedBy() string { return describedBy(f.key(), f.Hint, f.Error) }

// ID is the element id of the first control of the question.
func (c Choices) ID() string { return fieldID(c.key()) }

// OptionID is the element id of the answer at this position; the first one has
// the id of the question, so that an error links to it.
func (c Choices) OptionID(i int) string { return optionID(c.key(), i) }

// DescribedBy lists the ids of the hint and the error, in reading order.
func (c Choices) DescribedBy() string { return describedBy(c.key(), c.Hint, c.Error) }

// Chosen says whether any answer is marked.
func (c Choices) Chosen() bool {
	for _, o := range c.Choices {
		if o.Checked {
			return true
		}
	}
	return false
}

// LabelOf is the label of an answer; empty when it is not among them.
func (c Choices) LabelOf(value string) string {
	for _, o := range c.Choices {
		if o.Value == value {
			return o.Label
		}
	}
	return ""
}

// Choose marks the answers with these values and unmarks the others.
func (c *Choices) Choose(values ...string) {
	for i := range c.Choices {
		c.Choices[i].Checked = false
		for _, v := range values {
			if v == c.Choices[i].Value {
				c.Choices[i].Checked = true
			}
		}
	}
}

// ID is the element id of the tick box.
func (c Check) ID() string { return fieldID(c.key()) }

// DescribedBy lists the ids of the hint and the error, in reading order.
func (c Check) DescribedBy() string { return describedBy(c.key(), c.Hint, c.Error) }

func fieldID(name string) string {
	return "f-" + strings.NewReplacer(".", "-", "_", "-", " ", "-").Replace(name)
}

func optionID(name string, i int) string {
	id := fieldID(name)
	if i > 0 {
		id += "-o" + itoa(i+1)
	}
	return id
}

func describedBy(name, hint, err string) string {
	id := fieldID(name)
	var ids []string
	if hint != "" {
		ids = append(ids, id+"-hint")
	}
	if err != "" {
		ids = append(ids, id+"-error")
	}
	return strings.Join(ids, " ")
}

// Password is the field that proves who is signing.
func Password(label, hint string) Field {
	return Field{Name: "password", Label: label, Hint: hint, Type: "password",
		Autocomplete: "current-password", Width: "medium"}
}
