package casefile

import (
	"bytes"
	"fmt"
	"slices"
	"sort"
	"strings"
	"unicode/utf8"
)

// maxProblems is how many problems are listed; the rest are counted.
const maxProblems = 20

// A Problem is one thing wrong with a case file. Line and Column count from 1,
// the column in characters. Key is the path of the entry, such as
// "plant[2].repot.date" for the date of the second plant; it is empty where no
// key is to blame.
type Problem struct {
	Line, Column int
	Key          string
	Message      string
}

// Problems is everything that is wrong with a case file, in the order of its
// lines: at most 20 are listed, and More counts the others.
type Problems struct {
	File string
	List []Problem
	More int
}

// Error writes one line per problem: file, line, column, key and message.
func (p *Problems) Error() string {
	var text strings.Builder
	for i, problem := range p.List {
		if i > 0 {
			text.WriteByte('\n')
		}
		fmt.Fprintf(&text, "%s:%d:%d: ", p.File, problem.Line, problem.Column)
		if problem.Key != "" {
			fmt.Fprintf(&text, "%s: ", problem.Key)
		}
		text.WriteString(problem.Message)
	}
	if p.More > 0 {
		fmt.Fprintf(&text, "\nand %d more", p.More)
	}
	return text.String()
}

// A finding is a problem before its line and suggestion are worked out, which
// is done for the listed ones only.
type finding struct {
	at      int
	node    *node
	message string
	written string   // a word that was not known …
	known   []string // … and the words it may have been meant for
}

// say notes a problem at an offset of the file.
func (f *file) say(at int, n *node, format string, args ...any) {
	f.note(finding{at: at, node: n, message: fmt.Sprintf(format, args...)})
}

// suggest notes a word that is not known; the nearest known word is added.
func (f *file) suggest(at int, n *node, written string, known []string, format string, args ...any) {
	f.note(finding{at: at, node: n, message: fmt.Sprintf(format, args...), written: written, known: known})
}

// note keeps the findings that come first in the file. A hostile file may hold
// millions, so the list is cut whenever it has grown far beyond what is shown.
func (f *file) note(found finding) {
	f.found = append(f.found, found)
	if len(f.found) >= 100*maxProblems {
		f.keepFirst()
	}
}

func (f *file) keepFirst() {
	slices.SortStableFunc(f.found, func(a, b finding) int { return a.at - b.at })
	if len(f.found) > maxProblems {
		f.more += len(f.found) - maxProblems
		clear(f.found[maxProblems:])
		f.found = f.found[:maxProblems]
	}
}

// problems returns what was found as an error, or nil.
func (f *file) problems() error {
	if len(f.found) == 0 {
		return nil
	}
	f.keepFirst()
	problems := &Problems{File: f.filename, More: f.more, List: make([]Problem, len(f.found))}
	for i, found := range f.found {
		line, column := f.position(found.at)
		message := found.message
		if near := nearest(found.written, found.known); near != "" {
			message += fmt.Sprintf("; did you mean %q?", near)
		}
		problems.List[i] = Problem{Line: line, Column: column, Key: found.node.path(), Message: message}
	}
	return problems
}

// line returns the line of an offset, from 1.
func (f *file) line(at int) int {
	if f.lineStarts == nil {
		f.lineStarts = append(f.lineStarts, 0)
		for i, c := range f.data {
			if c == '\n' {
				f.lineStarts = append(f.lineStarts, i+1)
			}
		}
	}
	return sort.SearchInts(f.lineStarts, at+1)
}

func (f *file) position(at int) (line, column int) {
	line = f.line(at)
	start := f.lineStarts[line-1]
	return line, utf8.RuneCount(f.data[start:at]) + 1
}

// lineText returns the text of the line that holds an offset.
func (f *file) lineText(at int) string {
	start := bytes.LastIndexByte(f.data[:at], '\n') + 1
	end := len(f.data)
	if i := bytes.IndexByte(f.data[start:], '\n'); i >= 0 {
		end = start + i
	}
	return strings.TrimSpace(string(f.data[start:end]))
}

// excerpt quotes what was found, shortened so that a message stays one line.
func excerpt(text string) string {
	const most = 48
	if utf8.RuneCountInString(text) > most {
		text = string([]rune(text)[:most]) + "…"
	}
	return fmt.Sprintf("%q", text)
}
