package casefile

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2/unstable"

	"velamen/science/basis"
)

// free reports whether a field is still empty, and notes a problem otherwise:
// two keys of one table may say the same thing.
func (f *file) free(v *node, taken bool) bool {
	if taken {
		f.say(v.keyAt, v, "another entry of %s already says this; keep one of them", v.parent.title())
	}
	return !taken
}

// text reads a short line of text.
func (f *file) text(v *node, into *string) bool {
	const longest = 120
	if v.kind != unstable.String {
		f.say(v.at, v, "found %s; text in quotation marks is expected here", v.found())
		return false
	}
	text := strings.TrimSpace(v.text)
	switch {
	case text == "":
		f.say(v.at, v, "nothing stands between the quotation marks; leave the line out if it is not known")
		return false
	case utf8.RuneCountInString(text) > longest:
		f.say(v.at, v, "the text is longer than %d characters", longest)
		return false
	case strings.IndexFunc(text, func(r rune) bool { return !unicode.IsPrint(r) }) >= 0:
		f.say(v.at, v, "%s holds line breaks or control characters", excerpt(text))
		return false
	}
	if !f.free(v, *into != "") {
		return false
	}
	*into = text
	return true
}

// texts reads a list of names; a single one needs no brackets. Each is handed to
// read with its node.
func (f *file) texts(v *node, read func(n *node, text string)) {
	list := []*node{v}
	if v.kind == unstable.Array {
		list = v.inside
	}
	const most = 30
	if len(list) > most {
		f.say(v.at, v, "the list has %d names; the most that is read is %d", len(list), most)
		return
	}
	for _, n := range list {
		var text string
		if f.text(n, &text) {
			read(n, text)
		}
	}
}

// choose reads one of a few words, in any case; _ and - stand for a space.
func choose[T ~string](f *file, v *node, words []T, into *T) {
	var text string
	if !f.text(v, &text) {
		return
	}
	plainText := wordMarks.Replace(text)
	for _, word := range words {
		if strings.EqualFold(string(word), plainText) {
			if f.free(v, *into != "") {
				*into = word
			}
			return
		}
	}
	known := make([]string, len(words))
	for i, word := range words {
		known[i] = string(word)
	}
	f.suggest(v.at, v, plainText, known, "%s is not one of: %s", excerpt(text), strings.Join(known, ", "))
}

var wordMarks = strings.NewReplacer("_", " ", "-", " ")

// yesNo reads true or false.
func (f *file) yesNo(v *node, into *bool) {
	if v.kind != unstable.Bool {
		f.say(v.at, v, "found %s; true or false is expected here, without quotation marks", v.found())
		return
	}
	*into = v.text == "true"
}

// bare reads a number without a unit, written without quotation marks.
func (f *file) bare(v *node, wanted string) (float64, bool) {
	var number float64
	switch v.kind {
	case unstable.Integer:
		whole, err := strconv.ParseInt(v.text, 0, 64)
		if err != nil {
			f.say(v.at, v, "the number is too large")
			return 0, false
		}
		number = float64(whole)
	case unstable.Float:
		var err error
		if number, err = strconv.ParseFloat(strings.ReplaceAll(v.text, "_", ""), 64); err != nil {
			f.say(v.at, v, "the number is too large")
			return 0, false
		}
	default:
		f.say(v.at, v, "found %s; %s", v.found(), wanted)
		return 0, false
	}
	if math.IsNaN(number) || math.IsInf(number, 0) {
		f.say(v.at, v, "found %s; %s", v.text, wanted)
		return 0, false
	}
	return number, true
}

// count reads a whole number of things.
func (f *file) count(v *node, most int, into *basis.Value) {
	wanted := expected("a count without quotation marks", "6")
	number, ok := f.bare(v, wanted)
	switch {
	case !ok:
	case number != math.Trunc(number):
		f.say(v.at, v, "%s is not a whole number; %s", v.text, wanted)
	case number < 0 || number > float64(most):
		f.say(v.at, v, "%s cannot be right: 0 to %d is expected here", v.text, most)
	case f.free(v, into.Grade != 0):
		*into = basis.Exactly(number, "", basis.Given, "")
	}
}

// degrees reads a latitude or longitude in decimal degrees.
func (f *file) degrees(v *node, most float64, wanted string, into *basis.Value) {
	number, ok := f.bare(v, wanted)
	switch {
	case !ok:
	case math.Abs(number) > most:
		f.say(v.at, v, "%s cannot be right: −%g to %g is expected here", v.text, most, most)
	default:
		*into = basis.Exactly(number, "°", basis.Given, "")
	}
}

// share reads a part of a whole: "60 %", or 0.6 without a unit.
func (f *file) share(v *node, least float64, into *basis.Value) {
	wanted := expected("a share", `"60 %" or 0.6`)
	var number float64
	percent := false
	if v.kind == unstable.String {
		n, rest, err := readNumber(v.text)
		symbol := foldUnit(rest)
		percent = symbol != ""
		switch {
		case err == errNoNumber || err == nil && percent && percentage.unitOf(symbol) == nil:
			f.say(v.at, v, "found %s; %s", v.found(), wanted)
			return
		case err != nil:
			f.say(v.at, v, "%s: %s", excerpt(v.text), err)
			return
		}
		number = n.value
	} else {
		var ok bool
		if number, ok = f.bare(v, wanted); !ok {
			return
		}
	}
	if percent {
		number /= 100
	}
	switch {
	case number < 0 || number > 1:
		f.say(v.at, v, "%s cannot be right: a share is 0 to 1, or 0 to 100 %% in quotation marks", v.found())
	case number < least:
		f.say(v.at, v, "%s cannot be right: at least %g %% must be left", v.found(), 100*least)
	case f.free(v, into.Grade != 0):
		*into = basis.Exactly(number, "share", basis.Given, "")
	}
}

// date reads a calendar day, which TOML writes without quotation marks; with
// them is understood too.
func (f *file) date(v *node, into *time.Time) {
	wanted := expected("a date", "2026-11-01 (year, month, day)")
	if v.kind != unstable.LocalDate && v.kind != unstable.String {
		f.say(v.at, v, "found %s; %s", v.found(), wanted)
		return
	}
	const earliest, latest = 1980, 2100
	day, err := time.Parse(time.DateOnly, strings.TrimSpace(v.text))
	switch {
	case err != nil && v.kind == unstable.LocalDate && looksLikeDate(v.text):
		f.say(v.at, v, "there is no %s in the calendar", v.text)
	case err != nil:
		f.say(v.at, v, "found %s; %s", excerpt(v.text), wanted)
	case day.Year() < earliest || day.Year() > latest:
		f.say(v.at, v, "%s is in the wrong century: %d to %d is expected here", v.text, earliest, latest)
	default:
		*into = day
	}
}

func looksLikeDate(text string) bool {
	var year, month, day int
	n, err := fmt.Sscanf(text, "%4d-%2d-%2d", &year, &month, &day)
	return err == nil && n == 3 && len(text) == len(time.DateOnly)
}
