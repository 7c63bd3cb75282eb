package calendar

import (
	"strings"
	"time"
	"unicode/utf8"
)

// Media is the type of what is written here.
const Media = "text/calendar; charset=utf-8"

const (
	productID = "-//Velamen//Work to come//EN"
	utcForm   = "20060102T150405Z"
	localForm = "20060102T150405"
	dateForm  = "20060102"
)

// lines collects content lines.
type lines struct{ strings.Builder }

// mostOctets is the longest line before it is folded (RFC 5545, 3.1).
const mostOctets = 75

// put writes one content line, folded between letters.
func (l *lines) put(name, value string) {
	line := name + ":" + value
	room := mostOctets
	for len(line) > room {
		cut := room
		for cut > 0 && !utf8.RuneStart(line[cut]) {
			cut--
		}
		if cut == 0 { // no letter has so many octets; what is no text is cut anywhere
			cut = room
		}
		l.WriteString(line[:cut] + "\r\n ")
		line = line[cut:]
		room = mostOctets - 1 // the space counts
	}
	l.WriteString(line + "\r\n")
}

// text writes a property of free text.
func (l *lines) text(name, value string) {
	if value != "" {
		l.put(name, escape(value))
	}
}

// escape writes text as a value (RFC 5545, 3.3.11). Control characters other
// than line breaks are left out.
func escape(text string) string {
	var out strings.Builder
	for _, r := range strings.ReplaceAll(strings.ToValidUTF8(text, "\ufffd"), "\r\n", "\n") {
		switch {
		case r == '\\' || r == ';' || r == ',':
			out.WriteByte('\\')
			out.WriteRune(r)
		case r == '\n' || r == '\r':
			out.WriteString(`\n`)
		case r < 0x20 || r == 0x7f:
		default:
			out.WriteRune(r)
		}
	}
	return out.String()
}

func utc(at time.Time) string { return at.UTC().Format(utcForm) }
