package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"velamen/internal/culture"
)

// written puts a file for a calculation into a folder of the test.
func written(t testing.TB, name, content string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// answerAnything works out everything that is said of records that were read:
// each part answers or says why not, without a number that is none.
func answerAnything(t *testing.T, all recoveries, practices []recoveries) {
	t.Helper()
	var c calcOutcomes
	var a answer
	for _, part := range []func(recoveries, float64) (*section, error){turnbullSection, c.survival, incidenceSection} {
		if s, err := part(all, 0.95); err == nil && s != nil {
			a.sections = append(a.sections, *s)
		}
	}
	if len(practices) > 0 {
		if compared, err := c.compare(practices, 0.95); err == nil {
			a.sections = append(a.sections, compared...)
		}
	}
	text, err := json.Marshal(a)
	if err != nil {
		t.Fatalf("the answer cannot be written: %v", err)
	}
	if strings.Contains(string(text), "NaN") {
		t.Fatalf("the answer is %s", text)
	}
}

// Whatever is in a file: it is read, or an error says what to change, and
// nothing of it is printed that a terminal would obey.
func FuzzSheets(f *testing.F) {
	for _, seed := range []string{
		"date,min_c,max_c\n2026-11-01,8,20\n2026-11-02,9,19\n",
		"root,day,length_mm,error_mm,tip\nA,0,12,0.7,\nA,7,,,chewed\n",
		"root,date,length_mm\n\"A, left\",2026-11-01,12\n",
		"plant,after_day,by_day,ending,practice\na,0,7,seen,moss\nb,20,,not yet,bark\nc,5,9,died,bark\n",
		"plant,after_day,by_day,ending\na,1e999,NaN,seen\n",
		"\ufeffroot,day,length_mm\r\nA,1,2\r\n", "", "\n\n", "a,\"b\n", "root;day\n", "\xff\xfe", "root,day,length_mm\nA\x1b[2J,1,2\n",
	} {
		f.Add([]byte(seed))
	}
	headings := [][2][]string{
		{{"date", "min_c", "max_c"}, nil},
		{{"root", "length_mm"}, {"date", "day", "error_mm", "tip"}},
		{{"plant", "after_day", "by_day", "ending"}, {"practice", "problem", "medium"}},
	}
	f.Fuzz(func(t *testing.T, content []byte) {
		for i, h := range headings {
			s, err := readSheet(content, "file.csv", h[0], h[1])
			if err == nil {
				switch i {
				case 0:
					var days warmDays
					if days, err = daysOf(s); err == nil && (len(days.minC) != len(s.rows) || math.IsNaN(days.meanC())) {
						t.Fatalf("%d rows came to %+v", len(s.rows), days)
					}
				case 1:
					var marked markedRoots
					if marked, err = rootsOf(s, 2); err == nil {
						for _, root := range marked.roots {
							for _, reading := range root.Readings {
								if wrong := reading.Check(); wrong != nil {
									t.Fatal(wrong)
								}
							}
						}
					}
				case 2:
					var all recoveries
					var practices []recoveries
					if all, practices, err = recoveriesOf(s, "practice"); err == nil && len(all.records) > len(s.rows) {
						t.Fatalf("%d rows came to %d plants", len(s.rows), len(all.records))
					}
					if err == nil && len(all.records) < 40 {
						answerAnything(t, all, practices)
					}
				}
			}
			if err == nil {
				continue
			}
			if !strings.HasPrefix(err.Error(), "file.csv") || strings.ContainsAny(err.Error(), "\x1b\n\r") {
				t.Fatalf("the error is %q", err)
			}
			var row *culture.RowError
			if errors.As(err, &row) && (row.Line < 1 || row.Expected == "") {
				t.Fatalf("the error names no line, or not what was expected: %+v", row)
			}
		}
	})
}

func TestSheetsAreLimited(t *testing.T) {
	large := "root,day,length_mm\n" + strings.Repeat(" ", mostSheetBytes)
	long := "root,day,length_mm\n" + strings.Repeat("A,1,2\n", mostSheetRows+1)
	for _, c := range []struct{ content, want string }{
		{large, "larger than 1048576 bytes"}, {long, fmt.Sprintf("line %d: ", mostSheetRows+2)},
	} {
		var out, problems bytes.Buffer
		code := Run(context.Background(), []string{"calc", "roots", written(t, "roots.csv", c.content)}, Streams{Out: &out, Err: &problems}, scriptDay)
		if code != exitBadInput || out.Len() > 0 || !strings.Contains(problems.String(), c.want) {
			t.Errorf("exit %d, printed %q, said %q; want %q", code, out.String(), problems.String(), c.want)
		}
	}
	if _, err := readSheet([]byte(strings.TrimSuffix(long, "A,1,2\n")), "roots.csv", []string{"root", "day", "length_mm"}, nil); err != nil {
		t.Errorf("a file as long as is allowed is refused: %v", err)
	}
}

// What holds for every calculation holds for those that read files.
func TestAnswersFromFilesHoldTogether(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		draw := rapid.SampledFrom([]func(*rapid.T, *testing.T) []string{daysDrawn, rootsDrawn, outcomesDrawn}).Draw(rt, "calculation")
		args := draw(rt, t)
		for key, value := range calculate(rt, args...) {
			switch key {
			case "format":
			case "parameters":
				checkParameters(t, value.(map[string]any))
			default:
				s := value.(map[string]any)
				if because, _ := s["because"].(string); len(because) < 30 || !strings.HasSuffix(because, ".") {
					t.Errorf("%s says because %q", key, because)
				}
				checkRanges(t, key, s)
			}
		}
		if t.Failed() {
			rt.Fatalf("velamen calc %v", args)
		}
	})
}

func daysDrawn(rt *rapid.T, t *testing.T) []string {
	content := "date,min_c,max_c\n"
	for i := range rapid.IntRange(1, 25).Draw(rt, "days") {
		low := rapid.Float64Range(-10, 30).Draw(rt, "low")
		content += fmt.Sprintf("2026-11-%02d,%v,%v\n", i+1, low, low+rapid.Float64Range(0, 20).Draw(rt, "span"))
	}
	return []string{"degree-days", written(t, "days.csv", content), "--lower-c", "10", "--from", "2026-11-01",
		"--pest", rapid.SampledFrom([]string{"two-spotted-mite", "boisduval-scale", "citrus-mealybug", "slug", "peach-aphid", "fungus-gnat", "phalaenopsis-mite"}).Draw(rt, "pest")}
}

func rootsDrawn(rt *rapid.T, t *testing.T) []string {
	content := "root,day,length_mm,tip\n"
	for range rapid.IntRange(1, 20).Draw(rt, "readings") {
		content += fmt.Sprintf("%s,%d,%.1f,%s\n", rapid.SampledFrom([]string{"A", "B", "C"}).Draw(rt, "root"), rapid.IntRange(0, 100).Draw(rt, "day"),
			rapid.Float64Range(0, 80).Draw(rt, "length"), rapid.SampledFrom([]string{"", "", "", "growing", "resting", "chewed"}).Draw(rt, "tip"))
	}
	return []string{"roots", written(t, "roots.csv", content), "--on", fmt.Sprint(rapid.IntRange(0, 120).Draw(rt, "on"))}
}

func outcomesDrawn(rt *rapid.T, t *testing.T) []string {
	content := "plant,after_day,by_day,ending,practice\n"
	for i := range rapid.IntRange(1, 12).Draw(rt, "plants") {
		after := rapid.IntRange(1, 90).Draw(rt, "after")
		ending := rapid.SampledFrom([]string{"seen", "not yet", "left", "died"}).Draw(rt, "ending")
		by := ""
		if ending == "seen" || ending == "died" {
			by = fmt.Sprint(after + 7*rapid.IntRange(0, 2).Draw(rt, "weeks"))
		}
		content += fmt.Sprintf("plant %d,%d,%s,%s,%s\n", i, after, by, ending, rapid.SampledFrom([]string{"moss", "bark", "clay"}).Draw(rt, "practice"))
	}
	return []string{"outcomes", written(t, "outcomes.csv", content)}
}
