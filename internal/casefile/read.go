package casefile

import (
	"bytes"
	"fmt"
	"io"
	"unicode/utf8"

	"velamen/internal/care"
	"velamen/internal/culture"
)

const (
	// MaxBytes is the size of the largest file that is read.
	MaxBytes = 16 << 20
	// MaxPlants is the largest number of plants in one file.
	MaxPlants = 20_000
	// maxListed bounds the spaces, waters and feeds of one place.
	maxListed = 1000
)

// Read reads a case and the units its grower uses. The file name appears in
// messages only; the tables say which groups, media, containers, mounts and
// pests there are. What is wrong with the file is returned as *Problems, all of
// it at once; any other error comes from r.
func Read(r io.Reader, filename string, tables culture.Table) (care.Case, care.Units, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return care.Case{}, care.Units{}, fmt.Errorf("read %s: %w", filename, err)
	}
	f := &file{
		filename: filename,
		data:     bytes.TrimPrefix(data, []byte("\uFEFF")), // a mark some editors put in front
		names:    names{table: tables},
	}
	if !f.isText(len(data)) {
		return care.Case{}, care.Units{}, f.problems()
	}
	c := f.readCase(f.parse())
	units := f.units()
	if problems := f.problems(); problems != nil {
		return care.Case{}, care.Units{}, problems
	}
	return c, units, nil
}

// A file is one case file while it is read.
type file struct {
	filename string
	data     []byte

	found  []finding
	more   int  // findings dropped because earlier ones fill the list
	broken bool // a syntax error made part of the file unreadable

	lineStarts []int // filled when the first position is asked for
	shown      shownUnits
	spoken     references
	names      names
	nodes      []node // unused remainder of the current block of nodes
}

// isText reports what makes the whole file unreadable: too long, not text, or
// nothing in it.
func (f *file) isText(size int) bool {
	switch {
	case size > MaxBytes:
		f.say(0, nil, "the file is larger than %d MB, the most that is read; a case of a thousand plants needs about 1 MB", MaxBytes>>20)
	case bytes.HasPrefix(f.data, []byte("\xff\xfe")) || bytes.HasPrefix(f.data, []byte("\xfe\xff")):
		f.say(0, nil, "the file is saved as UTF-16; save it again as UTF-8")
	case bytes.IndexByte(f.data, 0) >= 0:
		f.say(bytes.IndexByte(f.data, 0), nil, "this is not a text file: it holds a NUL byte here")
	case !utf8.Valid(f.data):
		f.say(firstInvalid(f.data), nil, "this is not UTF-8 text; if the file was saved as Latin-1 or Windows-1252, save it again as UTF-8")
	case len(bytes.TrimSpace(f.data)) == 0:
		f.say(0, nil, "the file is empty: tell about at least one plant, as the README example does")
	default:
		return true
	}
	return false
}

// firstInvalid returns the offset of the first byte that is not UTF-8.
func firstInvalid(data []byte) int {
	at := 0
	for at < len(data) {
		r, size := utf8.DecodeRune(data[at:])
		if r == utf8.RuneError && size <= 1 {
			break
		}
		at += size
	}
	return at
}
