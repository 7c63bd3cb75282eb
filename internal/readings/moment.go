package readings

import (
	"fmt"
	"strings"
	"time"
)

// DateOrder is the order of day, month and year in dates that are all digits.
type DateOrder string

// The orders of dates.
const (
	YearFirst  DateOrder = "ymd"
	DayFirst   DateOrder = "dmy"
	MonthFirst DateOrder = "mdy"
)

// wall is a time as a clock on a wall shows it: without a zone unless it was
// written with an offset.
type wall struct {
	a, b, c    int  // the three numbers of the date as they stand
	named      bool // the month was a word: then a, b, c are year, month, day
	hour, min  int
	sec        int
	offset     int // seconds east, if hasOffset
	hasOffset  bool
	hasDate    bool
	hasTime    bool
	unix       int64 // seconds since 1970, if isUnix
	isUnix     bool
	yearDigits int // of the longest number
}

var monthWords = map[string]int{
	"jan": 1, "feb": 2, "mar": 3, "apr": 4, "may": 5, "jun": 6, "jul": 7, "aug": 8, "sep": 9, "oct": 10, "nov": 11, "dec": 12,
	"mär": 3, "mai": 5, "okt": 10, "dez": 12,
}

const (
	mostUnix    = 4_102_444_800 // 2100
	leastUnix   = 315_532_800   // 1980
	momentRunes = 48            // longer cells are no times
)

// parseWall reads a date, a time of day, both, or seconds or milliseconds since
// 1970. It reports false for what is none of these.
func parseWall(text string) (w wall, ok bool) {
	text = strings.TrimSpace(text)
	if text == "" || len(text) > momentRunes {
		return w, false
	}
	if n, digits := leadingNumber(text); digits == len(text) && (digits == 10 || digits == 13) {
		if digits == 13 {
			n /= 1000
		}
		w.unix, w.isUnix, w.hasDate, w.hasTime = n, true, true, true
		return w, n >= leastUnix && n < mostUnix
	}
	rest := text
	var numbers [3]int
	n := 0
	afternoon, morning := false, false
	for rest != "" {
		c := rest[0]
		switch {
		case c >= '0' && c <= '9':
			v, digits := leadingNumber(rest)
			after := rest[digits:]
			if !w.hasTime && after != "" && after[0] == ':' && digits <= 2 {
				tail, good := w.clock(rest)
				if !good {
					return w, false
				}
				rest = tail
				continue
			}
			if n == 3 || digits > 4 && !(digits == 8 && n == 0) {
				return w, false
			}
			if digits == 8 { // 20261128
				numbers = [3]int{int(v / 10000), int(v / 100 % 100), int(v % 100)}
				n, w.yearDigits = 3, 4
			} else {
				numbers[n] = int(v)
				n++
				w.yearDigits = max(w.yearDigits, digits)
				if digits > 2 && n == 2 && !w.named || digits == 3 {
					return w, false
				}
			}
			rest = after
		case c == 'Z' || c == 'z':
			if !w.hasTime || len(rest) > 1 {
				return w, false
			}
			w.hasOffset, rest = true, rest[1:]
		case (c == '+' || c == '-') && w.hasTime && !w.hasOffset:
			seconds, good := parseOffset(rest)
			if !good {
				return w, false
			}
			w.offset, w.hasOffset, rest = seconds, true, ""
		case c == ' ' || c == '/' || c == '-' || c == '.' || c == ',' || c == '\t' || (c == 'T' || c == 't') && n == 3 && !w.hasTime:
			rest = rest[1:]
		default:
			word := rest
			if i := strings.IndexAny(rest, " /-.,0123456789"); i >= 0 {
				word = rest[:i]
			}
			rest = rest[len(word):]
			lower := strings.ToLower(word)
			switch {
			case w.hasTime && (lower == "am" || lower == "a"):
				morning = true
			case w.hasTime && (lower == "pm" || lower == "p"):
				afternoon = true
			case w.hasTime && (lower == "utc" || lower == "gmt") && rest == "":
				w.hasOffset = true
			case w.named || n == 3:
				return w, false
			default:
				runes := []rune(lower)
				month, known := monthWords[string(runes[:min(3, len(runes))])]
				if !known {
					return w, false
				}
				w.named, w.b = true, month
			}
		}
	}
	if (morning || afternoon) && (w.hour < 1 || w.hour > 12) {
		return w, false
	}
	if afternoon && w.hour < 12 {
		w.hour += 12
	}
	if morning && w.hour == 12 {
		w.hour = 0
	}
	switch {
	case w.named && n == 2: // 28 Nov 2026, Nov 28 2026, 2026 Nov 28
		year, day := numbers[1], numbers[0]
		if numbers[0] > 31 {
			year, day = numbers[0], numbers[1]
		}
		w.a, w.c, w.hasDate = year, day, true
	case w.named:
		return w, false
	case n == 3:
		w.a, w.b, w.c, w.hasDate = numbers[0], numbers[1], numbers[2], true
	case n != 0:
		return w, false
	}
	return w, w.hasDate || w.hasTime
}

// clock reads hours, minutes and perhaps seconds, whose fraction is left out,
// and returns what follows.
func (w *wall) clock(text string) (rest string, ok bool) {
	hour, n := leadingNumber(text)
	text = text[n+1:]
	minute, n := leadingNumber(text)
	if n == 0 || n > 2 || hour > 24 || minute > 59 {
		return "", false
	}
	text = text[n:]
	w.hour, w.min, w.hasTime = int(hour), int(minute), true
	if text != "" && text[0] == ':' {
		second, n := leadingNumber(text[1:])
		if n == 0 || n > 2 || second > 60 {
			return "", false
		}
		text = text[1+n:]
		w.sec = int(min(second, 59))
		if len(text) > 1 && (text[0] == '.' || text[0] == ',') {
			if _, n := leadingNumber(text[1:]); n > 0 {
				text = text[1+n:]
			}
		}
	}
	return text, hour < 24 || minute == 0 && w.sec == 0
}

// parseOffset reads +02:00, -0330 or +10.
func parseOffset(text string) (seconds int, ok bool) {
	sign := 1
	if text[0] == '-' {
		sign = -1
	}
	digits := strings.Replace(text[1:], ":", "", 1)
	n, read := leadingNumber(digits)
	if read != len(digits) || read == 0 || read > 4 || read == 3 {
		return 0, false
	}
	hours, minutes := n, int64(0)
	if read == 4 {
		hours, minutes = n/100, n%100
	}
	return sign * int(3600*hours+60*minutes), hours <= 14 && minutes < 60
}

// leadingNumber returns the number a text begins with, and its digits.
func leadingNumber(text string) (n int64, digits int) {
	for digits < len(text) && digits < 18 && text[digits] >= '0' && text[digits] <= '9' {
		n = 10*n + int64(text[digits]-'0')
		digits++
	}
	return n, digits
}

// ymd returns the date in an order.
func (w *wall) ymd(order DateOrder) (year, month, day int, ok bool) {
	switch {
	case w.named:
		year, month, day = w.a, w.b, w.c
	case order == YearFirst:
		year, month, day = w.a, w.b, w.c
	case order == DayFirst:
		year, month, day = w.c, w.b, w.a
	case order == MonthFirst:
		year, month, day = w.c, w.a, w.b
	}
	if year < 100 && w.yearDigits <= 2 {
		year += 2000
	}
	if year < 1980 || year > 2100 || month < 1 || month > 12 || day < 1 {
		return 0, 0, 0, false
	}
	return year, month, day, day <= time.Date(year, time.Month(month)+1, 0, 0, 0, 0, 0, time.UTC).Day()
}

// seconds returns the reading of the wall clock as if it were in UTC.
func (w *wall) seconds(order DateOrder) (int64, bool) {
	if w.isUnix {
		return w.unix, true
	}
	y, m, d, ok := w.ymd(order)
	if !ok {
		return 0, false
	}
	return time.Date(y, time.Month(m), d, w.hour, w.min, w.sec, 0, time.UTC).Unix(), true
}

// ParseZone reads a time zone: a name of the IANA database such as
// Europe/Berlin, UTC, or an offset such as +10:00 for a clock that is never
// changed.
func ParseZone(text string) (*time.Location, error) {
	text = strings.TrimSpace(text)
	if text != "" && (text[0] == '+' || text[0] == '-') {
		if seconds, ok := parseOffset(text); ok {
			return time.FixedZone(text, seconds), nil
		}
	}
	if text == "" || strings.EqualFold(text, "local") {
		return nil, fmt.Errorf("%q is not a time zone; expected a name such as Europe/Berlin, UTC, or an offset such as +10:00", text)
	}
	zone, err := time.LoadLocation(text)
	if err != nil {
		return nil, fmt.Errorf("%q is not a time zone that is known; expected a name such as Europe/Berlin, UTC, or an offset such as +10:00", text)
	}
	return zone, nil
}

// resolver turns the times of a wall clock into instants, in the order of the
// lines.
type resolver struct {
	zone     *time.Location
	backward bool // the newest line comes first
	last     int64
	any      bool
}

func (r *resolver) offset(at int64) int64 {
	_, seconds := time.Unix(at, 0).In(r.zone).Zone()
	return int64(seconds)
}

// resolve returns the instant at which the wall clock showed local, seconds as
// if in UTC. A time that the clock shows twice is the one that continues the
// lines before it. It reports false for a time that the clock skips.
func (r *resolver) resolve(local int64) (at int64, ok bool) {
	before, after := r.offset(local-86400), r.offset(local+86400)
	first, second := local-before, local-after
	firstOK, secondOK := r.offset(first) == before, r.offset(second) == after
	switch {
	case before == after:
		// Two changes within two days cancel out; none is known.
		at, ok = first, true
	case !firstOK && !secondOK:
		return 0, false
	case firstOK && secondOK:
		early, late := min(first, second), max(first, second)
		at = early
		switch {
		case !r.backward && r.any && early <= r.last:
			at = late
		case r.backward && (!r.any || late < r.last):
			at = late
		}
		ok = true
	case firstOK:
		at, ok = first, true
	default:
		at, ok = second, true
	}
	r.last, r.any = at, true
	return at, ok
}

// fullHour is the hour of the last line: most lines differ from the one before
// in minutes and seconds only, and need no calendar.
type fullHour struct {
	text string // of the time up to the mark behind the hour
	from int64  // instant at which it began
}

// at returns the instant of a time in the same hour.
func (h *fullHour) at(text string) (int64, bool) {
	n := len(h.text)
	if n == 0 || len(text) < n || text[:n] != h.text {
		return 0, false
	}
	minute, second, ok := minuteSecond(text[n:])
	return h.from + int64(60*minute+second), ok
}

// minuteSecond reads 05 or 05:30, and nothing else.
func minuteSecond(text string) (minute, second int, ok bool) {
	two := func(a, b byte) (int, bool) {
		a, b = a-'0', b-'0'
		return 10*int(a) + int(b), a < 6 && b < 10
	}
	switch len(text) {
	case 2:
		minute, ok = two(text[0], text[1])
		return minute, 0, ok
	case 5:
		minute, ok = two(text[0], text[1])
		second, fits := two(text[3], text[4])
		return minute, second, ok && fits && text[2] == ':'
	}
	return 0, 0, false
}

// remember keeps the hour of a time that was read, unless the clocks change
// within a day of it.
func (h *fullHour) remember(text string, w *wall, local, at int64, r *resolver) {
	h.text = ""
	i := strings.IndexByte(text, ':')
	if i < 0 || w.hour > 23 {
		return
	}
	minute, second, ok := minuteSecond(text[i+1:])
	if !ok || minute != w.min || second != w.sec {
		return
	}
	begin := local - int64(60*minute+second)
	if r.offset(begin-86400) != r.offset(begin+3599+86400) {
		return
	}
	h.text, h.from = strings.Clone(text[:i+1]), at-int64(60*minute+second)
}
