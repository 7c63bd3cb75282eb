package cli

import (
	"bytes"
	"context"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

var update = flag.Bool("update", false, "rewrite the outputs shown in the README")

// The README's outputs are what the program prints for the README's case.
func TestReadmeShowsRealOutput(t *testing.T) {
	const readme = "../../README.md"
	raw, err := os.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	text := string(raw)
	block := func(name string) (from, to int) {
		m := regexp.MustCompile("(?s)<!-- " + name + " -->\n```[a-z]*\n(.*?)```").FindStringSubmatchIndex(text)
		if m == nil {
			t.Fatalf("the README has no block %q", name)
		}
		return m[2], m[3]
	}
	from, to := block("case")
	file := filepath.Join(t.TempDir(), "case.toml")
	if err := os.WriteFile(file, []byte(text[from:to]), 0o644); err != nil {
		t.Fatal(err)
	}
	run := func(args ...string) string {
		var out, problems bytes.Buffer
		now := func() time.Time { return time.Date(2026, 11, 24, 9, 0, 0, 0, time.UTC) }
		if code := Run(context.Background(), args, Streams{Out: &out, Err: &problems}, now); code != 0 {
			t.Fatalf("velamen %v: exit %d: %s", args, code, problems.String())
		}
		return out.String()
	}
	course := run("course", file)
	// Cautions are long and the same for every potted plant.
	course = cut(course, "CAUTIONS\n", "ASSUMED")
	because := run("course", file, "--because")
	because = between(because, "  day humidity:", "  day vapour deficit:")
	for name, want := range map[string]string{"course": course, "because": because} {
		from, to := block(name)
		if text[from:to] == want {
			continue
		}
		if !*update {
			t.Errorf("the README's block %q is not what the program prints; run the test with -update and read the difference\n%s", name, want)
			continue
		}
		text = text[:from] + want + text[to:]
	}
	if *update && text != string(raw) {
		if err := os.WriteFile(readme, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// cut replaces what stands between two headings by an ellipsis.
func cut(text, heading, next string) string {
	before, rest, found := strings.Cut(text, heading)
	_, after, more := strings.Cut(rest, "\n"+next)
	if !found || !more {
		return text
	}
	return before + heading + "  …\n\n" + next + after
}

// between returns the lines from one beginning with a mark up to another.
func between(text, from, to string) string {
	_, rest, _ := strings.Cut(text, "\n"+from)
	body, _, _ := strings.Cut(rest, "\n"+to)
	return from + body + "\n"
}
