package calendar

import (
	"fmt"
	"time"
)

// zone writes a VTIMEZONE that holds from one moment to another (RFC 5545,
// 3.6.5): each change of the clock is an observance of its own, with its date,
// so that no rule has to be guessed.
func (l *lines) zone(where *time.Location, from, to time.Time) {
	l.put("BEGIN", "VTIMEZONE")
	l.text("TZID", where.String())
	at := from.In(where)
	start, _ := at.ZoneBounds()
	if start.IsZero() || start.Year() < 1970 {
		start = time.Date(1970, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	for {
		before := start.Add(-time.Second).In(where)
		l.observance(start.In(where), before)
		_, end := start.In(where).ZoneBounds()
		if end.IsZero() || !end.Before(to) {
			break
		}
		start = end
	}
	l.put("END", "VTIMEZONE")
}

// observance writes the clock as it goes from a moment on.
func (l *lines) observance(from, before time.Time) {
	name, offset := from.Zone()
	_, offsetBefore := before.Zone()
	part := "STANDARD"
	if from.IsDST() {
		part = "DAYLIGHT"
	}
	l.put("BEGIN", part)
	// The onset is in the local time that held before (3.6.5).
	l.put("DTSTART", from.UTC().Add(time.Duration(offsetBefore)*time.Second).Format(localForm))
	l.put("TZOFFSETFROM", offsetText(offsetBefore))
	l.put("TZOFFSETTO", offsetText(offset))
	l.text("TZNAME", name)
	l.put("END", part)
}

func offsetText(seconds int) string {
	sign := '+'
	if seconds < 0 {
		sign, seconds = '-', -seconds
	}
	text := fmt.Sprintf("%c%02d%02d", sign, seconds/3600, seconds/60%60)
	if seconds%60 != 0 {
		text += fmt.Sprintf("%02d", seconds%60)
	}
	return text
}
