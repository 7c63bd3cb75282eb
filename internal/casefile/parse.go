package casefile

import (
	"bytes"
	"errors"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2/unstable"
)

// parse reads the file into a tree. A syntax error is noted and the reading
// goes on behind it, so that one missing quotation mark does not hide the other
// problems.
func (f *file) parse() *node {
	root := f.newNode(node{kind: unstable.Table})
	b := &builder{file: f, root: root, here: root}
	var parser unstable.Parser
	parser.Reset(f.data)
	end := 0 // of the last expression that was read
	for {
		for parser.NextExpression() {
			e := parser.Expression()
			if e.Kind == unstable.KeyValue {
				end = b.base + int(e.Raw.Offset+e.Raw.Length)
				if b.here != nil {
					b.keyValue(b.here, e, 0)
				}
				continue
			}
			end = b.base + headerEnd(e)
			b.header(e)
		}
		var wrong *unstable.ParserError
		if !errors.As(parser.Error(), &wrong) {
			return root
		}
		f.broken = true
		// The piece that the parser points at is part of its input, so what
		// lies behind its start tells where it is.
		at := len(f.data) - (cap(wrong.Highlight) - (cap(f.data) - len(f.data)))
		at = max(b.base, min(at, len(f.data)-1))
		for at > b.base && !utf8.RuneStart(f.data[at]) {
			at-- // the parser may point into the middle of a character
		}
		start := f.expressionStart(end, at)
		f.say(at, nil, "%s", syntaxAdvice(f.lineText(start), wrong.Message))
		next := f.resume(start, at)
		if next >= len(f.data) {
			return root
		}
		b.base, end = next, next
		parser.Reset(f.data[next:])
	}
}

// headerEnd returns the offset behind the last key of a header.
func headerEnd(e *unstable.Node) int {
	end := 0
	for keys := e.Key(); keys.Next(); {
		end = int(keys.Node().Raw.Offset + keys.Node().Raw.Length)
	}
	return end
}

// expressionStart returns where the expression with an error at an offset
// begins: the first line behind the last good one that is neither empty nor a
// comment.
func (f *file) expressionStart(end, at int) int {
	start := end
	if end > 0 && f.data[end-1] != '\n' {
		i := bytes.IndexByte(f.data[end:at], '\n')
		if i < 0 {
			return at // the error follows a good expression on the same line
		}
		start = end + i + 1
	}
	for start < at {
		line := f.data[start:at]
		i := bytes.IndexByte(line, '\n')
		if i < 0 {
			break
		}
		if trimmed := bytes.TrimSpace(line[:i]); len(trimmed) > 0 && trimmed[0] != '#' {
			break
		}
		start += i + 1
	}
	return start
}

// resume returns where reading can go on behind a syntax error: at the next
// line, or, when a header or a value over several lines is broken, at the next
// header that does not depend on it.
func (f *file) resume(start, at int) int {
	next := nextLine(f.data, at)
	broken := strings.TrimLeft(f.lineText(start), " \t")
	header := ""
	switch {
	case strings.HasPrefix(broken, "[["):
		header = "[["
	case strings.HasPrefix(broken, "[") || bytes.IndexByte(f.data[start:at], '\n') >= 0:
		header = "["
	default:
		return next
	}
	for next < len(f.data) && !bytes.HasPrefix(bytes.TrimLeft(f.data[next:], " \t"), []byte(header)) {
		next = nextLine(f.data, next)
	}
	return next
}

func nextLine(data []byte, at int) int {
	if i := bytes.IndexByte(data[at:], '\n'); i >= 0 {
		return at + i + 1
	}
	return len(data)
}

// syntaxAdvice says how to write the line that could not be read. The usual
// slips are quotation marks left out, not closed, or curled by a word
// processor.
func syntaxAdvice(line, parserMessage string) string {
	key, value, isEntry := strings.Cut(line, "=")
	key, value = strings.TrimSpace(key), strings.TrimSpace(value)
	if i := strings.IndexByte(value, '#'); i > 0 {
		value = strings.TrimSpace(value[:i])
	}
	first, _ := utf8.DecodeRuneInString(value)
	switch {
	case isEntry && strings.ContainsRune("“”„‟«»‘’", first):
		return `curly quotation marks are not read; write straight ones, as in day = "28 °C"`
	case strings.Contains(parserMessage, "strings cannot have new lines"), strings.Contains(parserMessage, "unterminated"):
		return "a quotation mark is opened on this line and not closed"
	case isEntry && value == "":
		return "nothing stands behind the equals sign; leave the line out if it is not known"
	case isEntry && (strings.EqualFold(value, "true") || strings.EqualFold(value, "false") ||
		strings.EqualFold(value, "yes") || strings.EqualFold(value, "no")):
		return "write true or false, in small letters"
	case isEntry && strings.Trim(value, "0123456789./-") == "":
		return "a number has one decimal point, and a date is written as 2026-11-01"
	case isEntry && (unicode.IsLetter(first) || unicode.IsDigit(first) || first == '-' || first == '+'):
		return "names and quantities stand in quotation marks: " + excerptKey(key) + " = " + excerpt(value)
	case !isEntry && !strings.HasPrefix(line, "["):
		return `this is not an entry; a line reads key = value, a note begins with #`
	}
	for _, known := range parserAdvice {
		if strings.Contains(parserMessage, known.says) {
			return known.advice
		}
	}
	return "this is not valid TOML: " + parserMessage
}

// parserAdvice rephrases what the parser says about lists and tables.
var parserAdvice = []struct{ says, advice string }{
	{"strings must be quoted", "names and quantities stand in quotation marks"},
	{"expected ',' or '}'", "before this a comma or the closing } is missing, or a quotation mark"},
	{"expected ',' or ']'", "before this a comma or the closing ] is missing, or a quotation mark"},
	{"expected ']]'", "the header is not closed with ]]"},
	{"expected ']'", "the header is not closed with ]"},
	{"is incomplete", "the brackets opened here are not closed before the file ends"},
}

// excerptKey writes the left side of an entry, shortened.
func excerptKey(key string) string {
	const most = 40
	if len(key) > most || strings.ContainsFunc(key, func(r rune) bool { return !unicode.IsPrint(r) }) {
		return "…"
	}
	return key
}
