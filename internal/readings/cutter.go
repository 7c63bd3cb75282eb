package readings

import (
	"encoding/csv"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"
)

// cutter cuts delimited text into lines of cells as encoding/csv does, and
// faster: as long as no quote has come, a line needs no copy of its own. From
// the first quote on encoding/csv itself reads.
type cutter struct {
	from      io.Reader
	delimiter byte
	trim      bool

	text  string // read and not yet cut
	rest  []byte // a line that is not whole yet
	room  []byte
	ended bool
	line  int // lines cut so far
	cells []string

	quoted *csv.Reader // reads what is left
	before int         // lines before what is left
}

// chunkBytes are read at once.
const chunkBytes = 64 << 10

func newCutter(from io.Reader, delimiter rune) *cutter {
	c := &cutter{from: from, delimiter: byte(delimiter), trim: delimiter != '\t' && delimiter != ' '}
	if delimiter >= utf8.RuneSelf || delimiter == '"' || delimiter == '\r' || delimiter == '\n' || delimiter <= 0 {
		c.quoted = rowsOf(from, delimiter)
		return c
	}
	c.room = make([]byte, chunkBytes)
	return c
}

// next returns the cells of the next line that is not empty, and its number
// from 1. The cells are overwritten by the next line.
func (c *cutter) next() ([]string, int, error) {
	for {
		if c.quoted != nil {
			cells, err := c.quoted.Read()
			if err != nil {
				return nil, c.line, err
			}
			line, _ := c.quoted.FieldPos(0)
			return cells, c.before + line, nil
		}
		text, err := c.whole()
		if err != nil {
			return nil, c.line, err
		}
		if strings.IndexByte(text, '"') >= 0 {
			c.quoted, c.before = rowsOf(io.MultiReader(strings.NewReader(text), strings.NewReader(c.text), strings.NewReader(string(c.rest)), c.from), rune(c.delimiter)), c.line
			c.text, c.rest = "", nil
			continue
		}
		c.line++
		text = strings.TrimSuffix(strings.TrimSuffix(text, "\n"), "\r")
		if text != "" {
			return c.cut(text), c.line, nil
		}
	}
}

// whole returns the next line with its end.
func (c *cutter) whole() (string, error) {
	for {
		if i := strings.IndexByte(c.text, '\n'); i >= 0 {
			text := c.text[:i+1]
			c.text = c.text[i+1:]
			return text, nil
		}
		if c.ended {
			text := c.text
			c.text = ""
			if text == "" {
				return "", io.EOF
			}
			return text, nil
		}
		// The beginning of a line is kept and read on behind.
		c.rest = append(c.rest, c.text...)
		c.text = ""
		n, err := c.from.Read(c.room)
		c.rest = append(c.rest, c.room[:n]...)
		switch {
		case err == io.EOF:
			c.ended = true
		case err != nil:
			return "", err
		case n == 0 || !hasLine(c.room[:n]):
			continue
		}
		c.text, c.rest = string(c.rest), c.rest[:0]
	}
}

func hasLine(some []byte) bool {
	for i := len(some) - 1; i >= 0; i-- {
		if some[i] == '\n' {
			return true
		}
	}
	return false
}

func (c *cutter) cut(text string) []string {
	c.cells = c.cells[:0]
	for {
		if c.trim && text != "" && (text[0] <= ' ' || text[0] >= utf8.RuneSelf) {
			text = strings.TrimLeftFunc(text, unicode.IsSpace)
		}
		i := strings.IndexByte(text, c.delimiter)
		if i < 0 {
			c.cells = append(c.cells, text)
			return c.cells
		}
		c.cells = append(c.cells, text[:i])
		text = text[i+1:]
	}
}
