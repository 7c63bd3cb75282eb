package calendar

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
	_ "time/tzdata"
	"unicode/utf8"

	"velamen/internal/care"
	"velamen/internal/plan"
	"velamen/science/basis"
)

// made is when the feeds of these tests are made: some days before the clocks go
// back in Vienna (25 October 2026, 3:00 CEST, directive 2000/84/EC: the last
// Sunday of October at 1:00 UTC).
var made = time.Date(2026, 10, 22, 6, 0, 0, 0, time.UTC)

// days are days with so many jobs each; every fourth is empty.
func days(n, jobs int) []Day {
	list := make([]Day, n)
	for i := range list {
		on := time.Date(2026, 10, 22+i, 0, 0, 0, 0, time.UTC)
		var due []care.Job
		for k := 0; k < jobs && i%4 != 3; k++ {
			due = append(due, care.Job{
				Key: fmt.Sprintf("p%d/flush/%s", k, on.Format(time.DateOnly)), Label: fmt.Sprintf("C-%03d", k), Name: "‘Čeněk’; Łódź, × \\ 1", Space: "balcony",
				Task: care.Flushing, Due: on, Latest: on, Amount: "300 mL in 2 pours, 60 min between", ML: 300, Minutes: basis.Exactly(1.5, "min", basis.Assumption, ""),
			})
		}
		list[i] = Day{on, plan.Lay(due, nil, on)}
	}
	return list
}

func written(t *testing.T, f Feed) string {
	t.Helper()
	var out bytes.Buffer
	if err := f.Write(&out); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

func vienna(t *testing.T) *time.Location {
	t.Helper()
	where, err := time.LoadLocation("Europe/Vienna")
	if err != nil {
		t.Fatal(err)
	}
	return where
}

// RFC 5545, 3.1: lines end with CRLF, none is longer than 75 octets, and no
// letter is cut in two.
func TestLinesKeepTheStandard(t *testing.T) {
	text := written(t, Feed{ID: "x", Name: strings.Repeat("Übergröße ", 20), Made: made, Days: days(8, 12), Address: "https://host"})
	if strings.Contains(strings.ReplaceAll(text, "\r\n", ""), "\n") {
		t.Error("a line ends with LF alone")
	}
	for line := range strings.SplitSeq(text, "\r\n") {
		if len(line) > 75 || !utf8.ValidString(line) {
			t.Errorf("a line of %d octets: %q", len(line), line)
		}
	}
}

func TestTheSequenceOnlyRises(t *testing.T) {
	before := 0
	for day := range 400 {
		for entries := day; entries < day+3; entries++ {
			if s := sequence(entries, made.AddDate(0, 0, day)); s < before {
				t.Fatalf("%d after %d", s, before)
			} else if entries == day {
				before = s
			}
		}
	}
}

// peer runs a reader that others wrote over a feed. It prints one line for each
// event: UID, start, end, status, number of alarms, first line of the summary.
func peer(t *testing.T, text, name string, command ...string) []string {
	t.Helper()
	need := os.Getenv("VELAMEN_PEERS") == "required"
	if _, err := exec.LookPath(command[0]); err != nil {
		if need {
			t.Fatalf("%s is missing; scripts/test installs it", name)
		}
		t.Skipf("%s is not installed here", name)
	}
	path := filepath.Join(t.TempDir(), "feed.ics")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(command[0], append(command[1:], path)...).CombinedOutput()
	if err != nil {
		if !need && (strings.Contains(string(out), "ModuleNotFoundError") || strings.Contains(string(out), "MODULE_NOT_FOUND")) {
			t.Skipf("%s is not installed here", name)
		}
		t.Fatalf("%s: %v\n%s", name, err, out)
	}
	return strings.Split(strings.TrimSpace(string(out)), "\n")
}

// Independent readers find the days, hours and zones that were meant: vobject and
// icalendar from Debian, ical.js from npm.
func TestOthersReadTheFeed(t *testing.T) {
	peers := map[string][]string{
		"vobject": {"/usr/bin/python3", "testdata/read_vobject.py"}, "icalendar": {"/usr/bin/python3", "testdata/read_icalendar.py"}, "ical.js": {"node", "testdata/read_icaljs.mjs"},
	}
	alarm := 30
	seven := &Clock{7, 30}
	for name, command := range peers {
		t.Run(name, func(t *testing.T) {
			// All day.
			got := peer(t, written(t, Feed{ID: "all", Name: "all", Made: made, Days: days(8, 12)}), name, command...)
			for i, line := range got {
				on := time.Date(2026, 10, 22+i, 0, 0, 0, 0, time.UTC)
				status, summary := "CONFIRMED", "Round: 12 jobs, 18 min, 3.6 L"
				if i%4 == 3 {
					status, summary = "CANCELLED", "Nothing is due"
				}
				want := fmt.Sprintf("%s.all@velamen|%s|%s|%s|0|%s", on.Format(time.DateOnly), on.Format(time.DateOnly), on.AddDate(0, 0, 1).Format(time.DateOnly), status, summary)
				if line != want {
					t.Errorf("day %d reads\n%s, want\n%s", i, line, want)
				}
			}
			if len(got) != 8 {
				t.Errorf("%d events were read", len(got))
			}
			// At half past seven, over the change of the clocks: 5:30 UTC before
			// it, 6:30 after.
			got = peer(t, written(t, Feed{ID: "hour", Name: "hour", Made: made, Days: days(6, 12), At: seven, Zone: vienna(t), Alarm: &alarm}), name, command...)
			for i, line := range got {
				hour := 5
				if i >= 3 {
					hour = 6
				}
				start := time.Date(2026, 10, 22+i, hour, 30, 0, 0, time.UTC)
				status, minutes, alarms := "CONFIRMED", 18, 1
				if i%4 == 3 {
					status, minutes, alarms = "CANCELLED", 5, 0
				}
				want := fmt.Sprintf("%s.hour@velamen|%s|%s|%s|%d|", start.Format(time.DateOnly), start.Format(time.RFC3339), start.Add(time.Duration(minutes)*time.Minute).Format(time.RFC3339), status, alarms)
				if !strings.HasPrefix(line, want) {
					t.Errorf("day %d reads\n%s, want\n%s", i, line, want)
				}
			}
			// South of the equator the clocks go the other way (Melbourne, forward on
			// the first Sunday of October: Summer Time Act 1972 of Victoria, from
			// memory).
			melbourne, err := time.LoadLocation("Australia/Melbourne")
			if err != nil {
				t.Fatal(err)
			}
			south := days(3, 2)
			for i := range south {
				south[i].On = time.Date(2026, 10, 3+i, 0, 0, 0, 0, time.UTC)
			}
			got = peer(t, written(t, Feed{ID: "s", Name: "s", Made: made, Days: south, At: seven, Zone: melbourne}), name, command...)
			for i, want := range []string{"2026-10-02T21:30:00Z", "2026-10-03T20:30:00Z", "2026-10-04T20:30:00Z"} {
				if len(got) != 3 || !strings.Contains(got[i], "|"+want+"|") {
					t.Errorf("Melbourne, day %d: %q, want %s", i, got, want)
				}
			}
		})
	}
}

func TestOneJobStandsByItsName(t *testing.T) {
	text := strings.ReplaceAll(written(t, Feed{ID: "x", Made: made, Days: days(1, 1)}), "\r\n ", "")
	if !strings.Contains(text, `SUMMARY:Flush C-000 ‘Čeněk’\; Łódź\, × \\ 1`) {
		t.Errorf("it is not named\n%s", text)
	}
}

// Promised are 10,000 jobs within 200 ms.
func BenchmarkFeed10000(b *testing.B) {
	f := Feed{ID: "x", Name: "all", Made: made, Days: days(134, 100)}
	jobs := 0
	for _, d := range f.Days {
		for _, stop := range d.Round.Stops {
			jobs += len(stop.Jobs)
		}
	}
	if jobs < 10_000 {
		b.Fatalf("only %d jobs", jobs)
	}
	for b.Loop() {
		var out bytes.Buffer
		if err := f.Write(&out); err != nil {
			b.Fatal(err)
		}
	}
}

// Whatever a name holds, it stays within its own line.
func FuzzEscape(f *testing.F) {
	f.Add("a;b,c\\d\r\nEND:VCALENDAR")
	f.Add("\xff\x00")
	f.Fuzz(func(t *testing.T, name string) {
		var l lines
		l.text("SUMMARY", name)
		folded := l.String()
		for line := range strings.SplitSeq(strings.TrimSuffix(folded, "\r\n"), "\r\n") {
			if len(line) > mostOctets {
				t.Errorf("%q has %d octets", line, len(line))
			}
		}
		whole := strings.TrimSuffix(strings.ReplaceAll(folded, "\r\n ", ""), "\r\n")
		if strings.ContainsAny(whole, "\r\n") || name != "" && !strings.HasPrefix(whole, "SUMMARY:") {
			t.Errorf("%q became %q", name, folded)
		}
	})
}
