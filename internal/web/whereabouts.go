package web

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"velamen/science/basis"
)

// readWhereabouts reads a latitude and a longitude as people write them:
// "37.8 S, 145 E", "-37.8, 145", "37° 48′ S 145° 0′ E".
func readWhereabouts(text string) (latitude, longitude basis.Value, err error) {
	var found []float64
	var halves []byte // N, S, E, W or 0
	rest := strings.TrimSpace(text)
	for rest != "" {
		half := byte(0)
		half, rest = cutHalf(rest)
		var degrees float64
		if degrees, rest, err = cutDegrees(rest); err != nil {
			return latitude, longitude, err
		}
		if half == 0 {
			half, rest = cutHalf(rest)
		}
		rest = strings.TrimLeft(rest, " ,;/")
		found, halves = append(found, degrees), append(halves, half)
	}
	if len(found) != 2 {
		return latitude, longitude, errors.New("a latitude and a longitude are expected, as in 37.8 S, 145 E")
	}
	if halves[0] == 'E' || halves[0] == 'W' {
		found[0], found[1] = found[1], found[0]
		halves[0], halves[1] = halves[1], halves[0]
	}
	if halves[0] == 'E' || halves[0] == 'W' || halves[1] == 'N' || halves[1] == 'S' {
		return latitude, longitude, errors.New("one of the two has to be north or south, the other east or west")
	}
	for i, half := range halves {
		if half == 'S' || half == 'W' {
			found[i] = -math.Abs(found[i])
		}
	}
	switch {
	case math.Abs(found[0]) > 90:
		return latitude, longitude, fmt.Errorf("a latitude of %g° lies beyond the pole; the latitude comes first", found[0])
	case math.Abs(found[1]) > 180:
		return latitude, longitude, fmt.Errorf("a longitude of %g° does not exist; they run to 180°", found[1])
	}
	return basis.Exactly(found[0], "°", basis.Given, ""), basis.Exactly(found[1], "°", basis.Given, ""), nil
}

// cutHalf cuts a letter that says which half of the earth.
func cutHalf(text string) (byte, string) {
	text = strings.TrimLeft(text, " ")
	for word, half := range map[string]byte{"NORTH": 'N', "SOUTH": 'S', "EAST": 'E', "WEST": 'W'} {
		if len(text) >= len(word) && strings.EqualFold(text[:len(word)], word) {
			return half, text[len(word):]
		}
	}
	if text != "" {
		if half := strings.ToUpper(text[:1])[0]; strings.IndexByte("NSEW", half) >= 0 {
			return half, text[1:]
		}
	}
	return 0, text
}

// cutDegrees cuts degrees, with minutes and seconds if there are any.
func cutDegrees(text string) (float64, string, error) {
	total, unit, negative := 0.0, 1.0, strings.HasPrefix(text, "-") || strings.HasPrefix(text, "−")
	marks := [][]string{{"°", "º", "deg"}, {"′", "'", "’", "min"}, {"″", "\"", "”", "sec"}}
	rest := text
	for i, names := range marks {
		number, after, err := coordinate(rest)
		if err != nil {
			if i > 0 {
				break
			}
			return 0, "", errors.New("a latitude and a longitude are expected, as in 37.8 S, 145 E")
		}
		after, marked := cutAny(strings.TrimLeft(after, " "), names...)
		if i > 0 && !marked {
			break // the next coordinate
		}
		if i > 0 && number >= 60 {
			return 0, "", fmt.Errorf("%g is too many for minutes or seconds", number)
		}
		total, rest, unit = total+math.Abs(number)*unit, strings.TrimLeft(after, " "), unit/60
		if !marked {
			break
		}
	}
	if negative {
		total = -total
	}
	return total, rest, nil
}

// coordinate cuts a number. Between coordinates a comma stands too: it is a
// decimal mark only where the digits behind it are followed by something more,
// as in 37,8 S.
func coordinate(text string) (float64, string, error) {
	text, end := strings.TrimLeft(text, " "), 0
	for end < len(text) && strings.IndexByte("+-.0123456789", text[end]) >= 0 {
		end++
	}
	if strings.HasPrefix(text, "−") {
		number, rest, err := coordinate(text[len("−"):])
		return -number, rest, err
	}
	if decimals := ""; end > 0 && end < len(text) && text[end] == ',' && !strings.Contains(text[:end], ".") {
		if decimals = digitsOf(text[end+1:]); decimals != "" && strings.ContainsAny(text[end+1+len(decimals):], " ,;NSEWnsew°") {
			number, _, err := leadingNumber(text[:end] + "." + decimals)
			return number, text[end+1+len(decimals):], err
		}
	}
	number, after, err := leadingNumber(text[:end])
	if err == nil && after != "" {
		err = errNoNumber
	}
	return number, text[end:], err
}

// shownWhereabouts writes a place as readWhereabouts reads it.
func shownWhereabouts(latitude, longitude basis.Value) string {
	if latitude.Grade == 0 {
		return ""
	}
	half := func(v float64, positive, negative string) string {
		const tenMetres = 1e4 // steps to a degree
		text := strconv.FormatFloat(math.Round(math.Abs(v)*tenMetres)/tenMetres, 'f', -1, 64)
		if v < 0 {
			return text + " " + negative
		}
		return text + " " + positive
	}
	return half(latitude.Value, "N", "S") + ", " + half(longitude.Value, "E", "W")
}
