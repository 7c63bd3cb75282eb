package web

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"velamen/internal/care"
)

// unfolded is a calendar as sent to an address, its lines made whole.
func (b *bench) unfolded(path string) string {
	b.t.Helper()
	answer, content := b.fetch(path)
	if answer.StatusCode != http.StatusOK || !strings.HasPrefix(answer.Header.Get("Content-Type"), "text/calendar") {
		b.t.Fatalf("%s: status %d, %s", path, answer.StatusCode, answer.Header.Get("Content-Type"))
	}
	return strings.ReplaceAll(string(content), "\r\n ", "")
}

// event is the part of a calendar about a day.
func event(t *testing.T, text string, day time.Time) string {
	t.Helper()
	for part := range strings.SplitSeq(text, "BEGIN:VEVENT") {
		if strings.Contains(part, "UID:"+day.Format(time.DateOnly)+".") {
			return part
		}
	}
	t.Fatalf("no event on %s", day.Format(time.DateOnly))
	return ""
}

func property(event, name string) string {
	for line := range strings.SplitSeq(event, "\r\n") {
		if value, ok := strings.CutPrefix(line, name+":"); ok {
			return value
		}
	}
	return ""
}

func TestACalendarFollowsTheJournal(t *testing.T) {
	b := newBench(t, withSample)
	path := b.shared("calendar:shelf", "")
	today := b.server.Book.Today()
	before := event(t, b.unfolded(path), today)
	if !strings.Contains(before, "SHELF") || strings.Contains(before, "BALCONY") || !strings.Contains(before, "DTSTART;VALUE=DATE:20261124") || !strings.Contains(before, "STATUS:CONFIRMED") {
		t.Fatalf("today is\n%s", before)
	}
	// Everything on the shelf is done: the day has the same UID, a higher
	// SEQUENCE, and is cancelled.
	round, _, err := b.server.Book.Round(t.Context(), today)
	if err != nil {
		t.Fatal(err)
	}
	var done []care.Entry
	for _, stop := range round.Stops {
		for _, job := range stop.Jobs {
			if stop.Space == "shelf" {
				e := b.server.newEntry(job.Task.Answers(), job.Plant, care.Detail{Job: job.Key})
				if job.Task == care.MeasureRoots {
					e.Detail.Roots = []care.RootReading{{Root: "A", LengthMM: 3}}
				}
				if job.Task == care.Photograph {
					e.Detail.Photo = strings.Repeat("a", 64)
				}
				done = append(done, e)
			}
		}
	}
	if _, err := b.server.Book.Append(t.Context(), done...); err != nil {
		t.Fatal(err)
	}
	after := event(t, b.unfolded(path), today)
	if property(after, "UID") != property(before, "UID") || property(after, "STATUS") != "CANCELLED" {
		t.Errorf("done, today is\n%s", after)
	}
	if property(after, "SEQUENCE") <= property(before, "SEQUENCE") || len(property(after, "SEQUENCE")) != len(property(before, "SEQUENCE")) {
		t.Errorf("the sequence went from %s to %s", property(before, "SEQUENCE"), property(after, "SEQUENCE"))
	}
	if event := event(t, b.unfolded(path+"?at=07:30&zone=Australia/Melbourne&alarm=15"), today.AddDate(0, 0, 3)); !strings.Contains(event, "DTSTART;TZID=Australia/Melbourne:20261127T073000") {
		t.Errorf("at half past seven it is\n%s", event)
	}
	if whole := b.unfolded("/calendar.ics"); !strings.Contains(whole, "BALCONY") {
		t.Error("the file lacks a space")
	}
	for query, status := range map[string]int{"?at=7": 400, "?zone=Moon/Crater": 400, "?zone=../../etc/passwd": 400, "?alarm=soon": 400, "?alarm=-5": 400} {
		if got := b.at(path + query); got != status {
			t.Errorf("%s: status %d", query, got)
		}
	}
	if got := b.at(strings.Replace(path, "/calendar/", "/calendar/A", 1)); got != http.StatusForbidden {
		t.Errorf("a forged address: status %d", got)
	}
	b.server.Now = func() time.Time { return testNow.AddDate(11, 0, 0) }
	if got := b.at(path); got != http.StatusForbidden {
		t.Errorf("after its end: status %d", got)
	}
}

// The calendar of one plant holds its jobs alone, and those of no other.
func TestACalendarOfOnePlant(t *testing.T) {
	b := newBench(t, withSample)
	plant := b.plant("P-001")
	for _, what := range []string{"plant:" + plant, "calendar:plant:" + plant} {
		if page := b.get("/sharing?what=" + what); !strings.Contains(page, "a calendar of the jobs at P-001") {
			t.Errorf("what=%s offers no calendar of the plant", what)
		}
	}
	path := b.shared("calendar:plant:"+plant, "")
	text := b.unfolded(path)
	for part := range strings.SplitSeq(text, "BEGIN:VEVENT") {
		for line := range strings.SplitSeq(property(part, "DESCRIPTION"), `\n– `) {
			if strings.ToUpper(line) != line && !strings.Contains(line, "P-001") { // a space is written in capitals
				t.Errorf("it tells of %q", line)
			}
		}
		if url := property(part, "URL"); url != "" && !strings.HasSuffix(url, "/plant/"+plant) {
			t.Errorf("it leads to %s", url)
		}
	}
	if n := strings.Count(text, "STATUS:CONFIRMED"); n < 3 || !strings.Contains(text, "NAME:Velamen\\, P-001") {
		t.Errorf("%d days have jobs\n%.400s", n, text)
	}
	if page := b.get("/sharing"); !strings.Contains(page, "a calendar of the jobs at P-001") {
		t.Error("the list of links does not tell whose calendar it is")
	}
	if answer := b.post("/sharing", map[string][]string{"for": {"x"}, "what": {"calendar:plant:" + newID()}}); answer.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("of no plant: status %d", answer.StatusCode)
	}
}
