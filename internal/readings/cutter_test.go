package readings

import (
	"errors"
	"io"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/iotest"
)

// Whatever the text, a cutter cuts it as encoding/csv does, in pieces of any
// size.
func TestCutterCutsAsCSV(t *testing.T) {
	parts := []string{"a", "12.5", "", " ", "\t", "é", ",", ",", ";", "\n", "\n", "\r\n", "\r", "\u00a0", "x y", `"`, `"a,b"`, "\"two\nlines\"", strings.Repeat("long", 40)}
	random := rand.New(rand.NewPCG(7, 3))
	for i := range 20_000 {
		var b strings.Builder
		usable := parts
		if i%2 == 0 {
			usable = slices.DeleteFunc(slices.Clone(parts), func(p string) bool { return strings.Contains(p, `"`) })
		}
		for range random.IntN(14) {
			b.WriteString(usable[random.IntN(len(usable))])
		}
		text := b.String()
		for _, mark := range []rune{',', ';', '\t'} {
			want := rowsOf(strings.NewReader(text), mark)
			var from io.Reader = strings.NewReader(text)
			if i%3 == 0 {
				from = iotest.OneByteReader(from)
			}
			got := newCutter(from, mark)
			for {
				cells, err := want.Read()
				found, line, problem := got.next()
				if (err == nil) != (problem == nil) || errors.Is(err, io.EOF) != errors.Is(problem, io.EOF) {
					t.Fatalf("%q: csv ends with %v, the cutter with %v", text, err, problem)
				}
				if err != nil {
					break
				}
				if expected, _ := want.FieldPos(0); !slices.Equal(cells, found) || line != expected {
					t.Fatalf("%q: csv reads %q in line %d, the cutter %q in line %d", text, cells, expected, found, line)
				}
			}
		}
	}
}

// Numbers as loggers write them are read to the same bits as by strconv.
func TestPlainNumbers(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 9))
	texts := []string{"0", "-0", "0.0", "7", "-12.25", "99999999999.9999", "123456789012345", ".", "-", "", "1.", ".5", "1e5", "1,5", "+3", "12 °C", "1.2.3", "'5", "9999999999999999"}
	for range 50_000 {
		text := strings.TrimLeft(strings.Repeat("-", random.IntN(2)), " ")
		for range 1 + random.IntN(8) {
			text += string(rune('0' + random.IntN(10)))
		}
		if random.IntN(4) > 0 {
			text += "."
			for range 1 + random.IntN(6) {
				text += string(rune('0' + random.IntN(10)))
			}
		}
		texts = append(texts, text)
	}
	for _, text := range texts {
		v, ok := plainNumber(text, false)
		if !ok {
			continue
		}
		want, rest, read := parseNumber(text, false)
		if !read || rest != "" || v != want {
			t.Fatalf("%q: %v here, %v (%v, rest %q) the usual way", text, v, want, read, rest)
		}
	}
	if v, ok := plainNumber("21,5", true); !ok || v != 21.5 {
		t.Errorf("21,5 is %v, %v", v, ok)
	}
	for _, text := range []string{"12.25", "-3", "0.5"} {
		if _, ok := plainNumber(text, false); !ok {
			t.Errorf("%q goes the long way", text)
		}
	}
}
