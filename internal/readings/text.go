package readings

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"unicode/utf16"
	"unicode/utf8"
)

// Encoding is how the letters of a file are written.
type Encoding string

// The encodings that loggers' files come in.
const (
	UTF8    Encoding = "UTF-8"
	UTF16LE Encoding = "UTF-16, little-endian"
	UTF16BE Encoding = "UTF-16, big-endian"
	Latin1  Encoding = "Windows-1252"
)

// encodingOf tells the encoding from the beginning of a file.
func encodingOf(sample []byte) (Encoding, error) {
	switch {
	case bytes.HasPrefix(sample, []byte("\xff\xfe")):
		return UTF16LE, nil
	case bytes.HasPrefix(sample, []byte("\xfe\xff")):
		return UTF16BE, nil
	case bytes.HasPrefix(sample, []byte("PK\x03\x04")):
		return "", errors.New("this is a spreadsheet program's own file; save it as CSV")
	case bytes.IndexByte(sample, 0) >= 0:
		return "", errors.New("this is no text: it holds bytes of zero; export the logger's data as CSV")
	case len(bytes.TrimSpace(sample)) == 0:
		return "", errors.New("the file is empty")
	}
	// A sample may end within a letter.
	for cut := 0; cut < utf8.UTFMax && cut < len(sample); cut++ {
		if utf8.Valid(sample[:len(sample)-cut]) {
			return UTF8, nil
		}
	}
	return Latin1, nil
}

// decoded returns the text of a file in UTF-8, without a byte order mark.
func decoded(from io.Reader, e Encoding) io.Reader {
	in := bufio.NewReaderSize(from, 1<<16)
	switch e {
	case UTF16LE, UTF16BE:
		_, _ = in.Discard(2)
		return &wideReader{in: in, big: e == UTF16BE}
	case Latin1:
		return &narrowReader{in: in}
	}
	if mark, err := in.Peek(3); err == nil && string(mark) == "\uFEFF" {
		_, _ = in.Discard(3)
	}
	return in
}

// wideReader turns UTF-16 into UTF-8.
type wideReader struct {
	in   *bufio.Reader
	big  bool
	over []byte
}

func (w *wideReader) unit() (uint16, error) {
	a, err := w.in.ReadByte()
	if err != nil {
		return 0, err
	}
	b, err := w.in.ReadByte()
	if err != nil {
		return 0, io.EOF // half a letter at the end
	}
	if w.big {
		return uint16(a)<<8 | uint16(b), nil
	}
	return uint16(b)<<8 | uint16(a), nil
}

func (w *wideReader) Read(p []byte) (int, error) {
	for len(w.over) < len(p) {
		u, err := w.unit()
		if err != nil {
			if len(w.over) > 0 {
				break
			}
			return 0, err
		}
		r := rune(u)
		if utf16.IsSurrogate(r) {
			second, err := w.unit()
			if err != nil {
				second = 0
			}
			r = utf16.DecodeRune(r, rune(second))
		}
		w.over = utf8.AppendRune(w.over, r)
	}
	n := copy(p, w.over)
	w.over = append(w.over[:0], w.over[n:]...)
	return n, nil
}

// narrowReader turns Windows-1252 into UTF-8. Of the letters that differ from
// ISO 8859-1 no unit or number makes use; they become what Latin-1 has there.
type narrowReader struct {
	in   *bufio.Reader
	over []byte
}

func (n *narrowReader) Read(p []byte) (int, error) {
	for len(n.over) < len(p) {
		b, err := n.in.ReadByte()
		if err != nil {
			if len(n.over) > 0 {
				break
			}
			return 0, err
		}
		n.over = utf8.AppendRune(n.over, rune(b))
	}
	m := copy(p, n.over)
	n.over = append(n.over[:0], n.over[m:]...)
	return m, nil
}

// rowsOf reads delimited text.
func rowsOf(text io.Reader, delimiter rune) *csv.Reader {
	r := csv.NewReader(text)
	r.Comma = delimiter
	r.FieldsPerRecord = -1
	r.LazyQuotes = true
	r.TrimLeadingSpace = delimiter != '\t' && delimiter != ' '
	r.ReuseRecord = true
	return r
}
