package cli

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/alecthomas/kong"
)

// number is a flag that takes one number. Tags of its field say what is
// allowed:
//
//	range:"-40 to 60 °C"   both ends are allowed
//	whole:""               no fractions
//
// Unlike kong's own numbers it may start with a minus sign, and it knows
// whether it was given.
type number struct {
	value float64
	given bool
}

// Decode reads the number behind a flag.
func (n *number) Decode(flag *kong.DecodeContext) error {
	text, _ := flag.Scan.Pop().Value.(string)
	if text == "" || strings.HasPrefix(text, "--") {
		return errors.New("a number is missing behind it")
	}
	low, high, unit := allowed(flag.Value.Tag.Get("range"))
	value, err := strconv.ParseFloat(text, 64)
	switch {
	case err != nil && !errors.Is(err, strconv.ErrRange):
		return fmt.Errorf("%q is not a number; %v to %v%s is allowed", text, low, high, unit)
	case !(value >= low && value <= high): // not-a-number is outside of every range
		return fmt.Errorf("%s is outside %v to %v%s", text, low, high, unit)
	case flag.Value.Tag.Has("whole") && value != math.Trunc(value):
		return fmt.Errorf("%s is not a whole number; %v to %v%s is allowed", text, low, high, unit)
	}
	*n = number{value: value, given: true}
	return nil
}

// allowed splits "-40 to 60 °C" into its parts; the unit keeps its space.
func allowed(span string) (low, high float64, unit string) {
	var word string
	if count, err := fmt.Sscanf(span, "%g to %g %s", &low, &high, &word); count < 2 {
		panic(fmt.Sprintf("the range %q of a flag cannot be read: %v", span, err)) // a constant of this package
	}
	_, rest, _ := strings.Cut(span, " to ")
	if _, word, ok := strings.Cut(rest, " "); ok {
		unit = " " + word
	}
	return low, high, unit
}

// or returns the number, or what stands in for it; the parameter is returned
// only if it was used.
func (n number) or(fallback parameter) (float64, []parameter) {
	if n.given {
		return n.value, nil
	}
	return fallback.Value.Value, []parameter{fallback}
}

// named is a number with the flag it came from.
type named struct {
	flag string
	number
}
