package intake

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"velamen/internal/care"
	"velamen/science/basis"
)

// longestCell bounds a cell that is no note.
const longestCell = 500

// number reads a number with a decimal point or comma. A comma or point before
// exactly three digits may part thousands: that is not guessed at.
func number(text string) (value float64, rest string, err error) {
	text = strings.TrimSpace(text)
	end := strings.IndexFunc(text, func(r rune) bool { return !unicode.IsDigit(r) && !strings.ContainsRune("+-.,", r) })
	if end < 0 {
		end = len(text)
	}
	digits, rest := text[:end], strings.TrimSpace(text[end:])
	if digits == "" {
		return 0, "", fmt.Errorf("%s has no number in front", short(text))
	}
	if strings.Count(digits, ".")+strings.Count(digits, ",") > 1 {
		return 0, "", fmt.Errorf("%s has more than one decimal mark; write thousands without one", short(text))
	}
	if whole, fraction, ok := cutAny(digits, ".,"); ok && len(fraction) == 3 && strings.Trim(whole, "+-0") != "" {
		return 0, "", fmt.Errorf("%s can be read in two ways; write it without a mark for thousands", short(text))
	}
	value, err = strconv.ParseFloat(strings.Replace(digits, ",", ".", 1), 64)
	if err != nil {
		return 0, "", fmt.Errorf("%s is not a number", short(text))
	}
	return value, rest, nil
}

func cutAny(text, marks string) (before, after string, found bool) {
	i := strings.IndexAny(text, marks)
	if i < 0 {
		return text, "", false
	}
	return text[:i], text[i+1:], true
}

// count reads a whole number of things.
func count(text string, most float64) (basis.Value, error) {
	v, rest, err := number(text)
	switch {
	case err != nil:
		return basis.Value{}, err
	case rest != "" || v != float64(int(v)):
		return basis.Value{}, fmt.Errorf("%s is not a whole number", short(text))
	case v < 0 || v > most:
		return basis.Value{}, fmt.Errorf("%s lies outside 0 to %g", short(text), most)
	}
	return basis.Exactly(v, "", basis.Given, ""), nil
}

// centimetres per unit of length; inch from its definition.
var centimetres = map[string]float64{"cm": 1, "mm": 0.1, "in": 2.54, "inch": 2.54, "inches": 2.54, `"`: 2.54, "″": 2.54, "ø cm": 1, "cm ø": 1}

// length reads a length whose unit stands behind it or in the heading.
func length(text, unit string, low, high float64) (basis.Value, error) {
	v, rest, err := number(text)
	if err != nil {
		return basis.Value{}, err
	}
	if rest != "" {
		unit = rest
	}
	factor, ok := centimetres[strings.ToLower(unit)]
	switch {
	case unit == "":
		return basis.Value{}, fmt.Errorf("%s has no unit; write it behind the number or in the heading, as in Pot (cm)", short(text))
	case !ok:
		return basis.Value{}, fmt.Errorf("%s: the unit %s is not known; cm, mm and in are", short(text), short(unit))
	case !(v*factor >= low && v*factor <= high):
		return basis.Value{}, fmt.Errorf("%s lies outside %g to %g cm", short(text), low, high)
	}
	return basis.Exactly(v*factor, "cm", basis.Given, ""), nil
}

// share reads a part of a whole: 60 %, or 0.6.
func share(text, unit string) (basis.Value, error) {
	v, rest, err := number(text)
	if err != nil {
		return basis.Value{}, err
	}
	if rest != "" && rest != "%" {
		return basis.Value{}, fmt.Errorf("%s is not a share such as 60 %% or 0.6", short(text))
	}
	if rest == "%" || unit == "%" || unit == "percent" {
		v /= 100
	}
	if !(v >= 0 && v <= 1) {
		return basis.Value{}, fmt.Errorf("%s lies outside 0 to 100 %%; write a per cent sign behind it or in the heading", short(text))
	}
	return basis.Exactly(v, "share", basis.Given, ""), nil
}

// choice reads one of a list of words.
func choice[T ~string](text string, allowed []T) (T, error) {
	for _, word := range allowed {
		if strings.EqualFold(strings.TrimSpace(text), string(word)) {
			return word, nil
		}
	}
	words := make([]string, len(allowed))
	for i, word := range allowed {
		words[i] = string(word)
	}
	return "", fmt.Errorf("%s is not one of %s", short(text), strings.Join(words, ", "))
}

// mix reads a medium, or a mix such as "7 medium bark + 3 perlite". A comma or
// stroke may belong to the name of a medium, so it parts a mix only where both
// sides are media.
func (into Into) mix(text string) (mix []care.Component, err error) {
	for _, marks := range []string{"+;&,/", "+;&"} {
		if mix, err = into.parts(text, marks); err == nil {
			break
		}
	}
	return mix, err
}

// parts reads a mix whose parts are told apart by some marks.
func (into Into) parts(text, marks string) ([]care.Component, error) {
	var mix []care.Component
	for part := range strings.FieldsFuncSeq(text, func(r rune) bool { return strings.ContainsRune(marks, r) }) {
		part = strings.TrimSpace(part)
		if part == "" {
			continue
		}
		c := care.Component{Medium: part, Parts: 1}
		if v, rest, err := number(part); err == nil && rest != "" {
			c.Parts, c.Medium = v, strings.TrimSpace(strings.TrimPrefix(rest, "%"))
		}
		if _, err := into.Tables.Medium(c.Medium); err != nil {
			return nil, err
		}
		if !(c.Parts > 0 && c.Parts <= 1000) {
			return nil, fmt.Errorf("%s: the parts of a mix lie above 0 and up to 1000", short(part))
		}
		mix = append(mix, c)
	}
	const most = 20
	if len(mix) == 0 || len(mix) > most {
		return nil, fmt.Errorf("a mix has 1 to %d parts", most)
	}
	return mix, nil
}

// short quotes a cell in a message.
func short(text string) string {
	const most = 40
	if r := []rune(text); len(r) > most {
		text = string(r[:most]) + "…"
	}
	return strconv.Quote(text)
}

// Unguard undoes Guard.
func Unguard(cell string) string {
	if strings.HasPrefix(cell, "'") && dangerous(strings.TrimLeft(cell, "'")) {
		return cell[1:]
	}
	return cell
}

// Guard makes a cell safe to open in a spreadsheet program, which would take
// one that starts with = + - @ for a formula: an apostrophe is put in front of
// it, and of a cell that would be mistaken for such a guarded one. Plain
// numbers stay as they are.
func Guard(cell string) string {
	if dangerous(strings.TrimLeft(cell, "'")) && !plainNumber(cell) {
		return "'" + cell
	}
	return cell
}

// dangerous reports whether a spreadsheet program may run a cell.
func dangerous(cell string) bool {
	return cell != "" && strings.ContainsRune("=+-@\t\r", rune(cell[0]))
}

func plainNumber(cell string) bool {
	digits := strings.TrimPrefix(cell, "-")
	whole, fraction, _ := strings.Cut(digits, ".")
	isDigits := func(s string) bool {
		return s != "" && !slices.ContainsFunc([]byte(s), func(c byte) bool { return c < '0' || c > '9' })
	}
	return isDigits(whole) && (fraction == "" || isDigits(fraction)) && !strings.HasSuffix(digits, ".")
}

var errTooLong = errors.New("the cell is too long")
