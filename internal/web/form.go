package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"unicode/utf8"
)

// field is one question of a form, as the partial of the same name shows it.
// What was typed stays in Value when something is wrong.
type field struct {
	Name, Label, Hint, Unit, Value, Error string

	Type     string // text if empty; select, textarea, checkbox, number, date, password
	Mode     string // keyboard to show: decimal, numeric
	Complete string // what the browser may fill in
	Options  []choice
	Checked  bool
	Required bool
}

// choice is one option of a select.
type choice struct {
	Value, Label string
	Chosen       bool
}

// choices makes the options of a select from a list of words.
func choices[T ~string](words []T, chosen T) []choice {
	list := make([]choice, len(words))
	for i, w := range words {
		list[i] = choice{string(w), sentence(string(w)), w == chosen}
	}
	return list
}

// sentence makes a word start with a capital.
func sentence(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	return strings.ToUpper(string(first)) + text[size:]
}

// form is what was sent, with what turned out to be wrong with it.
type form struct {
	values url.Values
	errors map[string]string // by field name
}

// readForm reads the body of a post, urlencoded or multipart.
func readForm(r *http.Request) (*form, error) {
	var err error
	if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/form-data") {
		err = r.ParseMultipartForm(1 << 20)
	} else {
		err = r.ParseForm()
	}
	if err != nil {
		return nil, fmt.Errorf("%w: %w", errBadRequest, err)
	}
	return &form{values: r.PostForm, errors: map[string]string{}}, nil
}

// text returns what was typed into a field, without space around it.
func (f *form) text(name string) string { return strings.TrimSpace(f.values.Get(name)) }

func (f *form) checked(name string) bool { return f.values.Has(name) }

// say notes what is wrong with a field; the first problem stays.
func (f *form) say(name, format string, args ...any) {
	if f.errors[name] == "" {
		f.errors[name] = fmt.Sprintf(format, args...)
	}
}

// wrong reports whether anything has to change.
func (f *form) wrong() bool { return len(f.errors) > 0 }

// required returns the text of a field that must not be empty.
func (f *form) required(name, missing string) string {
	text := f.text(name)
	if text == "" {
		f.say(name, "%s", missing)
	}
	return text
}

// one returns the option chosen in a select, if it is one of the list; an empty
// choice is allowed.
func one[T ~string](f *form, name string, list []T) T {
	text := f.text(name)
	for _, w := range list {
		if string(w) == text {
			return w
		}
	}
	if text != "" {
		f.say(name, "%q is not one of the choices.", text)
	}
	return ""
}

// keep puts what was typed and what is wrong with it into the field of the same
// name, to show the form again.
func (f *form) keep(fields ...*field) {
	for _, one := range fields {
		one.Value, one.Error = f.values.Get(one.Name), f.errors[one.Name]
		one.Checked = f.values.Has(one.Name)
		for i := range one.Options {
			one.Options[i].Chosen = one.Options[i].Value == one.Value
		}
	}
}
