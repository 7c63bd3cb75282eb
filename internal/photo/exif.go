package photo

import (
	"bytes"
	"encoding/binary"
	"strings"
	"time"
)

// exif is what is believed of the record a camera wrote into a picture.
type exif struct {
	orientation orientation
	taken       Taken
}

const (
	tagOrientation      = 0x0112
	tagDateTime         = 0x0132
	tagExifIFD          = 0x8769
	tagDateTimeOriginal = 0x9003
	tagOffsetTime       = 0x9010
	tagOffsetOriginal   = 0x9011

	typeASCII = 2
	typeShort = 3
	typeLong  = 4

	dateLayout   = "2006:01:02 15:04:05"
	offsetLayout = "-07:00"
)

// readExif reads orientation and date from a record, which is a small TIFF
// file. It never fails: what is missing, damaged or senseless is left out.
func readExif(record []byte) exif {
	e := exif{orientation: upright}
	t := tiff{data: record}
	switch {
	case bytes.HasPrefix(record, []byte("II*\x00")):
		t.order = binary.LittleEndian
	case bytes.HasPrefix(record, []byte("MM\x00*")):
		t.order = binary.BigEndian
	default:
		return e
	}
	first, ok := t.long(4)
	if !ok {
		return e
	}
	if n, ok := t.number(first, tagOrientation); ok && n >= 1 && n <= 8 {
		e.orientation = orientation(n)
	}
	second, hasSecond := t.number(first, tagExifIFD)
	if hasSecond {
		e.taken = parseTaken(t.text(second, tagDateTimeOriginal), t.text(second, tagOffsetOriginal))
	}
	// Some cameras and programs write only the date of the last change, which
	// for a picture straight from the camera is the same.
	if e.taken.IsZero() {
		changed, offset := t.text(first, tagDateTime), ""
		if hasSecond {
			offset = t.text(second, tagOffsetTime)
		}
		e.taken = parseTaken(changed, offset)
	}
	return e
}

// tiff reads the directories of a TIFF file. Every position is checked against
// the end of the data; directories are not followed any further than asked, so
// that circles among them do no harm.
type tiff struct {
	data  []byte
	order binary.ByteOrder
}

// slice returns n bytes from a position, if they are there.
func (t tiff) slice(at, n uint64) ([]byte, bool) {
	if at > uint64(len(t.data)) || n > uint64(len(t.data))-at {
		return nil, false
	}
	return t.data[at : at+n], true
}

func (t tiff) long(at uint64) (uint64, bool) {
	b, ok := t.slice(at, 4)
	if !ok {
		return 0, false
	}
	return uint64(t.order.Uint32(b)), true
}

// entry returns type, count and the four bytes of value or position of the
// first entry with the tag in the directory at the given place.
func (t tiff) entry(directory uint64, tag uint16) (kind uint16, count uint64, value []byte, ok bool) {
	b, ok := t.slice(directory, 2)
	if !ok {
		return 0, 0, nil, false
	}
	for i := range uint64(t.order.Uint16(b)) {
		b, ok := t.slice(directory+2+12*i, 12)
		if !ok {
			break
		}
		if t.order.Uint16(b) == tag {
			return t.order.Uint16(b[2:]), uint64(t.order.Uint32(b[4:])), b[8:12], true
		}
	}
	return 0, 0, nil, false
}

// number returns the single whole number of an entry.
func (t tiff) number(directory uint64, tag uint16) (uint64, bool) {
	kind, count, value, ok := t.entry(directory, tag)
	switch {
	case ok && kind == typeShort && count == 1:
		return uint64(t.order.Uint16(value)), true
	case ok && kind == typeLong && count == 1:
		return uint64(t.order.Uint32(value)), true
	}
	return 0, false
}

// text returns the text of an entry, empty when there is none. Dates and
// offsets are longer than the four bytes that would stand in the entry itself.
func (t tiff) text(directory uint64, tag uint16) string {
	const longest = 64
	kind, count, value, ok := t.entry(directory, tag)
	if !ok || kind != typeASCII || count <= 4 || count > longest {
		return ""
	}
	b, ok := t.slice(uint64(t.order.Uint32(value)), count)
	if !ok {
		return ""
	}
	before, _, _ := bytes.Cut(b, []byte{0})
	return strings.TrimRight(string(before), " ")
}

// record writes orientation and date as a new record, or nothing if it would
// say nothing. Reading it gives the same again.
func (e exif) record() []byte {
	if e.orientation == upright && e.taken.IsZero() {
		return nil
	}
	// A directory is its count, twelve bytes for each entry, and the position of
	// the next directory, zero for none. Longer values follow it.
	type field struct {
		tag, kind uint16
		count     uint32
		value     [4]byte
		after     []byte
	}
	order := binary.BigEndian
	directory := func(out []byte, fields ...field) []byte {
		out = order.AppendUint16(out, uint16(len(fields)))
		after := len(out) + 12*len(fields) + 4
		for _, f := range fields {
			out = order.AppendUint16(out, f.tag)
			out = order.AppendUint16(out, f.kind)
			out = order.AppendUint32(out, f.count)
			if f.after != nil {
				out = order.AppendUint32(out, uint32(after))
				after += len(f.after)
			} else {
				out = append(out, f.value[:]...)
			}
		}
		out = order.AppendUint32(out, 0)
		for _, f := range fields {
			out = append(out, f.after...)
		}
		return out
	}
	text := func(tag uint16, s string) field {
		b := append([]byte(s), 0)
		if len(b)%2 == 1 { // values begin at even positions
			return field{tag: tag, kind: typeASCII, count: uint32(len(b)), after: append(b, 0)}
		}
		return field{tag: tag, kind: typeASCII, count: uint32(len(b)), after: b}
	}

	first := []field{{tag: tagOrientation, kind: typeShort, count: 1, value: [4]byte{0, byte(e.orientation)}}}
	out := []byte("MM\x00*\x00\x00\x00\x08")
	if e.taken.IsZero() {
		return directory(out, first...)
	}
	second := len(out) + 2 + 12*(len(first)+1) + 4
	first = append(first, field{tag: tagExifIFD, kind: typeLong, count: 1, value: [4]byte{3: byte(second)}})
	out = directory(out, first...)
	dates := []field{text(tagDateTimeOriginal, e.taken.At.Format(dateLayout))}
	if e.taken.Zoned {
		dates = append(dates, text(tagOffsetOriginal, e.taken.At.Format(offsetLayout)))
	}
	return directory(out, dates...)
}

// Taken is when a picture was taken, as the camera's clock told it.
type Taken struct {
	// At is the moment, if the camera told how far its clock is from UTC.
	// Otherwise its date and time of day are those of the camera, written as
	// if they were UTC.
	At    time.Time
	Zoned bool
}

// IsZero reports whether no date is known.
func (t Taken) IsZero() bool { return t.At.IsZero() }

// In returns the moment, taking a clock of unknown offset to have shown the
// time of the given place.
func (t Taken) In(place *time.Location) time.Time {
	if t.Zoned || t.IsZero() {
		return t.At.In(place)
	}
	year, month, day := t.At.Date()
	hour, minute, second := t.At.Clock()
	return time.Date(year, month, day, hour, minute, second, 0, place)
}

// String writes the date as in ISO 8601, without an offset if it is unknown,
// and nothing if there is no date.
func (t Taken) String() string {
	switch {
	case t.IsZero():
		return ""
	case t.Zoned:
		return t.At.Format("2006-01-02T15:04:05-07:00")
	}
	return t.At.Format("2006-01-02T15:04:05")
}

// parseTaken reads a date and an offset as Exif writes them. A date that
// cannot be, such as the zeros or blanks of a clock never set, is none.
func parseTaken(date, offset string) Taken {
	const earliestYear = 1900
	at, err := time.Parse(dateLayout, date)
	if err != nil || len(date) != len(dateLayout) || at.Year() < earliestYear {
		return Taken{}
	}
	from, err := time.Parse(offsetLayout, offset)
	if err != nil || len(offset) != len("+00:00") {
		return Taken{At: at}
	}
	// Clocks in use are 12 hours behind UTC to 14 ahead.
	_, seconds := from.Zone()
	if seconds < -14*3600 || seconds > 14*3600 {
		return Taken{At: at}
	}
	return Taken{At: at.Add(-time.Duration(seconds) * time.Second).In(time.FixedZone("", seconds)), Zoned: true}
}
