package intake

import (
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode"
)

// DateOrder is the order of day, month and year in a date.
type DateOrder string

// The orders of a date.
const (
	DayFirst   DateOrder = "dmy"
	MonthFirst DateOrder = "mdy"
	YearFirst  DateOrder = "ymd"
)

// splitDate is a date taken apart: three numbers, or a month by name.
type splitDate struct {
	a, b, c int
	order   DateOrder // where the text itself leaves no doubt
}

// readDate takes a date apart. A point between the numbers puts the day first,
// a four-digit number in front the year, a month by name says it all.
func readDate(text string) (splitDate, error) {
	text = strings.TrimSpace(text)
	wrong := fmt.Errorf("%s is not a date such as 2026-10-18, 18.10.2026 or 18 Oct 2026", short(text))
	if day, _, ok := strings.Cut(text, "T"); ok && len(day) == len(time.DateOnly) {
		text = day // the time of day is of no use here
	}
	if day, _, ok := strings.Cut(text, " 00:00"); ok {
		text = day
	}
	parts := strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	if len(parts) != 3 {
		return splitDate{}, wrong
	}
	var n [3]int
	named := -1
	for i, part := range parts {
		if month := monthNamed(part); month > 0 && named < 0 {
			n[i], named = month, i
			continue
		}
		v, err := strconv.Atoi(strings.TrimRight(part, "stndrh")) // 1st, 2nd, 3rd, 4th
		if err != nil || len(part) > 4 {
			return splitDate{}, wrong
		}
		n[i] = v
	}
	d := splitDate{a: n[0], b: n[1], c: n[2]}
	switch {
	case named == 0:
		d.order = MonthFirst
	case named == 1 && len(parts[0]) == 4, named < 0 && len(parts[0]) == 4:
		d.order = YearFirst
	case named == 1, named < 0 && strings.Count(text, ".") == 2:
		d.order = DayFirst
	case named == 2:
		return splitDate{}, wrong
	}
	return d, nil
}

func monthNamed(word string) int {
	word = strings.ToLower(word)
	if len(word) < 3 {
		return 0
	}
	for m := time.January; m <= time.December; m++ {
		if strings.HasPrefix(strings.ToLower(m.String()), word) || word == "sept" && m == time.September {
			return int(m)
		}
	}
	return 0
}

// in returns the day that a date means in an order.
func (d splitDate) in(order DateOrder) (time.Time, error) {
	if d.order != "" {
		order = d.order
	}
	year, month, day := d.c, d.b, d.a
	switch order {
	case MonthFirst:
		month, day = d.a, d.b
	case YearFirst:
		year, month, day = d.a, d.b, d.c
	}
	if year < 100 {
		const firstOfLastCentury = 80 // no entry lies before 1980
		if year += 2000; year >= 2000+firstOfLastCentury {
			year -= 100
		}
	}
	at := time.Date(year, time.Month(month), day, 0, 0, 0, 0, time.UTC)
	if at.Day() != day || int(at.Month()) != month || at.Year() != year {
		return time.Time{}, fmt.Errorf("there is no day %d of month %d in %d", day, month, year)
	}
	return at, nil
}

// orderOf finds the order of the dates of a column: an order is out of the
// question when one of the dates has no month in its place.
func orderOf(dates []splitDate) (DateOrder, error) {
	doubtful := false
	possible := map[DateOrder]bool{DayFirst: true, MonthFirst: true}
	for _, d := range dates {
		if d.order != "" {
			continue
		}
		doubtful = true
		for order := range possible {
			if _, err := d.in(order); err != nil {
				delete(possible, order)
			}
		}
	}
	switch {
	case !doubtful:
		return DayFirst, nil // never asked for
	case len(possible) == 0:
		return "", fmt.Errorf("the dates are written in several orders, or some do not exist; write them as 2026-10-18")
	case len(possible) == 2:
		return "", fmt.Errorf("each date can be read with the day or the month first; say which: dmy or mdy")
	}
	for order := range possible {
		return order, nil
	}
	return "", nil
}
