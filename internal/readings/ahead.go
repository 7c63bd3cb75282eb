package readings

import (
	"errors"
	"io"
	"sync"
)

// ahead reads and parses the lines of a file beside the goroutine that works with
// them, a few portions ahead and in the order of the file: what comes of the lines
// is the same as if they were parsed one by one.
type ahead struct {
	parsed chan *someLines // closed behind the last ones
	room   chan *someLines // done with, to be filled again
	ended  chan struct{}
	reader sync.WaitGroup
}

// someLines are lines of a file one after the other.
type someLines struct {
	lines  []parsedLine
	values []value
	last   int   // number of the last line, headings included
	err    error // that ended the reading
}

// parsedLine is one line of data.
type parsedLine struct {
	number   int
	at       int64
	from, to int   // its values, of those of all lines
	err      error // why it cannot be read
}

const (
	linesAtOnce   = 1024
	portionsAhead = 4
)

// readAhead begins to read. The parser belongs to it until it was stopped.
func (p *parser) readAhead(from io.Reader) *ahead {
	a := &ahead{parsed: make(chan *someLines, portionsAhead), room: make(chan *someLines, portionsAhead+2), ended: make(chan struct{})}
	for range portionsAhead + 2 {
		a.room <- &someLines{}
	}
	a.reader.Go(func() {
		defer close(a.parsed)
		rows := newCutter(decoded(from, p.l.Encoding), p.l.Delimiter)
		for line, more := 0, true; more; {
			var some *someLines
			select {
			case some = <-a.room:
			case <-a.ended:
				return
			}
			line, more = p.fill(some, rows, line)
			select {
			case a.parsed <- some:
			case <-a.ended:
				return
			}
		}
	})
	return a
}

// fill reads the next lines after the one with a number, and reports the number of
// the last and whether more may follow.
func (p *parser) fill(some *someLines, rows *cutter, line int) (last int, more bool) {
	some.lines, some.values, some.err, more = some.lines[:0], some.values[:0], nil, true
	for len(some.lines) < linesAtOnce {
		cells, number, err := rows.next()
		if err != nil {
			if more = false; !errors.Is(err, io.EOF) {
				some.err = err
			}
			break
		}
		if line = number; line < p.l.FirstLine {
			continue
		}
		one := parsedLine{number: line, from: len(some.values)}
		var values []value
		one.at, values, one.err = p.line(cells)
		some.values = append(some.values, values...)
		one.to = len(some.values)
		some.lines = append(some.lines, one)
	}
	some.last = line
	return line, more
}

// stop ends the reading and waits until nothing is read any more.
func (a *ahead) stop() {
	close(a.ended)
	a.reader.Wait()
}
