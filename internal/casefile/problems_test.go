package casefile

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"testing"

	"velamen/internal/care"
)

var update = flag.Bool("update", false, "write what is found into the golden file")

// badCase is one section of testdata/problems.txt: a heading, a file, and what
// is wrong with it.
type badCase struct{ name, text, problems string }

func badCases(t testing.TB) []badCase {
	var cases []badCase
	for section := range strings.SplitSeq(readFile(t, "testdata/problems.txt"), "\n=== ") {
		heading, rest, _ := strings.Cut(section, "\n")
		text, problems, ok := strings.Cut(rest, "--- ")
		if !ok {
			t.Fatalf("section %q has no line of three dashes", heading)
		}
		_, problems, _ = strings.Cut(problems, "\n")
		cases = append(cases, badCase{strings.TrimPrefix(heading, "=== "), text, strings.TrimSpace(problems)})
	}
	return cases
}

func TestProblems(t *testing.T) {
	var golden strings.Builder
	for i, bad := range badCases(t) {
		got := ""
		c, units, err := Read(strings.NewReader(bad.text), "case.toml", tables)
		if err != nil {
			got = err.Error()
		}
		if i > 0 {
			golden.WriteString("\n")
		}
		fmt.Fprintf(&golden, "=== %s\n%s--- problems\n%s\n", bad.name, bad.text, got)
		t.Run(bad.name, func(t *testing.T) {
			if err == nil {
				t.Fatal("the file was read without a problem")
			}
			if got != bad.problems && !*update {
				t.Errorf("found:\n%s\nwanted:\n%s", got, bad.problems)
			}
			checkFailure(t, bad.text, c, units, err)
		})
	}
	if *update {
		if err := os.WriteFile("testdata/problems.txt", []byte(golden.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// checkFailure checks what holds for every file that cannot be read: nothing is
// handed back, and the problems are in order and inside the file.
func checkFailure(t *testing.T, text string, c care.Case, units care.Units, err error) {
	t.Helper()
	if !isZero(c) || units != (care.Units{}) {
		t.Error("a case was returned together with an error")
	}
	problems, ok := errors.AsType[*Problems](err)
	if !ok {
		t.Fatalf("the error is no list of problems: %v", err)
	}
	if len(problems.List) == 0 || len(problems.List) > maxProblems || problems.More < 0 {
		t.Errorf("%d problems are listed and %d more counted", len(problems.List), problems.More)
	}
	text = strings.TrimPrefix(text, "\uFEFF")
	lines := strings.Split(text, "\n")
	for _, p := range problems.List {
		if p.Message == "" || strings.ContainsAny(p.Message+p.Key, "\n\r\x00\x1b") {
			t.Errorf("the message %q does not fit on a line", p.Message)
		}
		if p.Line < 1 || p.Line > len(lines) || p.Column < 1 || p.Column > len([]rune(lines[p.Line-1]))+1 {
			t.Errorf("position %d:%d is outside the file: %s", p.Line, p.Column, p.Message)
		}
	}
	if !slices.IsSortedFunc(problems.List, func(a, b Problem) int { return a.Line - b.Line }) {
		t.Errorf("problems are not in the order of the lines:\n%v", err)
	}
}

func isZero(c care.Case) bool {
	return c.Place == (care.Place{}) && c.Routine == (care.Routine{}) &&
		c.Spaces == nil && c.Waters == nil && c.Feeds == nil && c.Plants == nil
}

func TestUnreadableFiles(t *testing.T) {
	for _, test := range []struct{ name, text, want string }{
		{"empty", "", "c:1:1: the file is empty: tell about at least one plant, as the README example does"},
		{"blank", " \n\t\n", "c:1:1: the file is empty: tell about at least one plant, as the README example does"},
		{"picture", "\x89PNG\r\n\x1a\n\x00", "c:3:1: this is not a text file: it holds a NUL byte here"},
		{"UTF-16", "\xff\xfe[\x00", "c:1:1: the file is saved as UTF-16; save it again as UTF-8"},
		{"Latin-1", "[[space]]\nday = \"28 \xb0C\"", "c:2:11: this is not UTF-8 text; if the file was saved as Latin-1 or Windows-1252, save it again as UTF-8"},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, _, err := Read(strings.NewReader(test.text), "c", tables)
			if err == nil || err.Error() != test.want {
				t.Errorf("got %v\nwant %s", err, test.want)
			}
		})
	}
}

func TestByteOrderMarkIsIgnored(t *testing.T) {
	if _, _, err := Read(strings.NewReader("\uFEFF"+Example()), "c", tables); err != nil {
		t.Error(err)
	}
}

func TestWindowsLineEnds(t *testing.T) {
	if _, _, err := Read(strings.NewReader(strings.ReplaceAll(Example(), "\n", "\r\n")), "c", tables); err != nil {
		t.Error(err)
	}
}

func TestLongProblemListIsCut(t *testing.T) {
	for _, n := range []int{20, 21, 5000} {
		var text strings.Builder
		for i := range n {
			fmt.Fprintf(&text, "x%d = 1\n", i)
		}
		text.WriteString("[[plant]]\nlabel='A'\ngroup='Phalaenopsis'\nrepot.date=2026-11-01\n")
		_, _, err := Read(strings.NewReader(text.String()), "c", tables)
		problems, ok := errors.AsType[*Problems](err)
		if !ok || len(problems.List) != 20 || problems.More != n-20 || problems.List[19].Line != 20 {
			t.Errorf("%d problems: got %v", n, err)
		}
		if more := fmt.Sprintf("\nand %d more", n-20); n > 20 && !strings.HasSuffix(err.Error(), more) {
			t.Errorf("the message does not end in %q", more)
		}
	}
}

// endless is a reader without an end that counts what is taken from it.
type endless struct{ read int }

func (e *endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = '#'
	}
	e.read += len(p)
	return len(p), nil
}

func TestHugeFileIsNotReadToItsEnd(t *testing.T) {
	source := &endless{}
	_, _, err := Read(source, "huge.toml", tables)
	want := "huge.toml:1:1: the file is larger than 16 MB, the most that is read; a case of a thousand plants needs about 1 MB"
	if err == nil || err.Error() != want {
		t.Errorf("got %v\nwant %s", err, want)
	}
	if source.read > MaxBytes+1 {
		t.Errorf("%d bytes were read for a limit of %d", source.read, MaxBytes)
	}
}

func TestTooManyPlants(t *testing.T) {
	const plant = "[[plant]]\ngroup='Phalaenopsis'\nrepot.date=2026-11-01\n"
	if c, _, err := Read(strings.NewReader(strings.Repeat(plant, MaxPlants)), "c", tables); err != nil || len(c.Plants) != MaxPlants {
		t.Errorf("%d plants: %v", MaxPlants, err)
	}
	_, _, err := Read(strings.NewReader(strings.Repeat(plant, MaxPlants+1)), "c", tables)
	want := "c:60001:1: plant[20001]: the file has 20001 of these; the most that is read is 20000"
	if err == nil || err.Error() != want {
		t.Errorf("got %v\nwant %s", err, want)
	}
}

func TestReadErrorIsPassedOn(t *testing.T) {
	broken := errors.New("the disk is gone")
	_, _, err := Read(io.MultiReader(strings.NewReader("[place]"), failing{broken}), "case.toml", tables)
	if !errors.Is(err, broken) || !strings.Contains(err.Error(), "case.toml") {
		t.Errorf("got %v", err)
	}
}

type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }
