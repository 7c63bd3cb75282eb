package web

import (
	"context"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/alexedwards/scs/v2/memstore"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/culture"
	"velamen/internal/store"
	"velamen/internal/store/storetest"
)

// The benchmarks of this file show the pages of a large nursery, kept in a file:
// a hundred entries for each plant, three in ten of which are recovering. How
// large is VELAMEN_LARGE, in entries: 1000000 is the collection of ten thousand
// plants that the pages have to serve well. Making its file takes minutes;
// VELAMEN_LARGE_FILE names one to be made once and read again.

const usualLarge = 50_000

func largeEntries(tb testing.TB) int {
	text := os.Getenv("VELAMEN_LARGE")
	if text == "" {
		return usualLarge
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		tb.Fatal(err)
	}
	return n
}

// nursery is the large collection's file, and the moment at which it is read.
type nursery struct {
	storetest.Nursery
	path string
	now  time.Time
}

func newNursery(tb testing.TB) nursery {
	tb.Helper()
	small, _, err := sampleCase(storetest.Start)
	if err != nil {
		tb.Fatal(err)
	}
	entries := largeEntries(tb)
	n := nursery{Nursery: storetest.Nursery{Entries: entries, Plants: entries / 100, Small: small}}
	n.now = n.Today().Add(8*time.Hour + 30*time.Minute)
	n.path = os.Getenv("VELAMEN_LARGE_FILE")
	if n.path == "" {
		n.path = filepath.Join(tb.TempDir(), "nursery.velamen")
	}
	if _, err := os.Stat(n.path); err == nil {
		return n
	}
	s, err := store.Create(tb.Context(), n.path, n.clock)
	if err != nil {
		tb.Fatal(err)
	}
	defer s.Close()
	const burst = 10_000
	list := make([]care.Entry, 0, burst)
	keep := func() {
		if _, err := s.Append(tb.Context(), list); err != nil {
			tb.Fatal(err)
		}
		list = list[:0]
	}
	for e := range n.All() {
		if list = append(list, e); len(list) == burst {
			keep()
		}
	}
	keep()
	return n
}

func (n nursery) clock() time.Time { return n.now }

// open starts a server of the nursery as the serve command does.
func (n nursery) open(tb testing.TB) (*Server, *store.Store) {
	tb.Helper()
	s, err := store.Open(tb.Context(), n.path, n.clock)
	if err != nil {
		tb.Fatal(err)
	}
	tables, err := culture.Load()
	if err != nil {
		tb.Fatal(err)
	}
	kept, err := book.Open(tb.Context(), s, tables, n.clock)
	if err != nil {
		tb.Fatal(err)
	}
	server, err := New(Config{
		Journal: s, Book: kept, Sessions: memstore.NewWithCleanupInterval(0), Secrets: s, Photos: s,
		Logger: slog.New(slog.DiscardHandler), Now: n.clock, Address: "127.0.0.1:8420",
		Patience: time.Hour, // the plan is waited for and measured
	})
	if err != nil {
		tb.Fatal(err)
	}
	return server, s
}

// page asks for a page and returns how long the server took and how long the
// page is.
func page(tb testing.TB, s *Server, path string) (time.Duration, int) {
	tb.Helper()
	r := httptest.NewRequest(http.MethodGet, path, nil)
	r.Host = s.Address
	r.Header.Set("Accept-Encoding", "gzip")
	w := httptest.NewRecorder()
	begun := time.Now()
	s.ServeHTTP(w, r)
	took := time.Since(begun)
	if w.Code != http.StatusOK {
		tb.Fatalf("GET %s: %d\n%s", path, w.Code, w.Body)
	}
	return took, w.Body.Len()
}

// plainSize is the length of a page before it is packed.
func plainSize(tb testing.TB, s *Server, path string) int {
	tb.Helper()
	r := httptest.NewRequest(http.MethodGet, path, nil)
	r.Host = s.Address
	w := httptest.NewRecorder()
	s.ServeHTTP(w, r)
	return w.Body.Len()
}

func reportMedian(b *testing.B, times []time.Duration) {
	slices.Sort(times)
	b.ReportMetric(float64(times[len(times)/2])/float64(time.Millisecond), "median-ms")
	b.ReportMetric(float64(times[len(times)-1])/float64(time.Millisecond), "most-ms")
	b.ReportMetric(float64(len(times)), "requests")
}

// BenchmarkLargePages asks for each of the pages again and again, when up to
// three hundred plants have been seen to today. Where a page is named after a
// change, another entry about a recovering plant comes before every request.
func BenchmarkLargePages(b *testing.B) {
	n := newNursery(b)
	server, s := n.open(b)
	defer s.Close()
	settled(b, server)
	var plants []string
	for i := range n.Plants {
		if i%10 < 3 {
			plants = append(plants, storetest.PlantID(i))
		}
	}
	// A busy day: hundreds of plants were seen to before this.
	for i := range min(300, len(plants)) {
		n.answer(b, server, plants[i])
	}
	page(b, server, "/")
	for _, c := range []struct {
		name string
		path func(i int) string
	}{
		{"round", func(int) string { return "/" }},
		{"round of a space", func(int) string { return "/?space=terrace+3" }},
		{"round of tomorrow", func(int) string { return "/?date=" + n.Today().AddDate(0, 0, 1).Format(time.DateOnly) }},
		{"collection", func(int) string { return "/collection" }},
		{"collection found", func(int) string { return "/collection?q=dendrobium&sort=repot" }},
		{"plant", func(i int) string { return "/plant/" + plants[i*37%len(plants)] }},
		{"spaces", func(int) string { return "/spaces" }},
	} {
		for _, changed := range []bool{false, true} {
			name := c.name
			if changed {
				name += " after a change"
			}
			b.Run(name, func(b *testing.B) {
				var times []time.Duration
				var cpu time.Duration
				i := 0
				for b.Loop() {
					if changed {
						b.StopTimer()
						n.answer(b, server, plants[i*41%len(plants)])
						b.StartTimer()
					}
					before := cpuTime()
					took, _ := page(b, server, c.path(i))
					cpu += cpuTime() - before
					times = append(times, took)
					i++
				}
				reportMedian(b, times)
				b.ReportMetric(float64(cpu)/float64(len(times))/float64(time.Millisecond), "cpu-ms")
				b.ReportMetric(float64(plainSize(b, server, c.path(0)))/1000, "page-kB")
			})
		}
	}
}

// answer puts into the journal that a plant was flushed a moment ago.
func (n nursery) answer(tb testing.TB, s *Server, plant string) {
	tb.Helper()
	e := care.Entry{ID: newID(), At: n.now, Kind: care.FlushDone, Plant: plant}
	if _, err := s.Book.Append(tb.Context(), e); err != nil {
		tb.Fatal(err)
	}
}

// settled waits until every course is worked out, which the serve command does
// in the background.
func settled(b *testing.B, s *Server) {
	ctx, stop := context.WithCancel(b.Context())
	defer stop()
	go s.Book.Prepare(ctx)
	for pending, _ := s.Book.Pending(); pending > 0; pending, _ = s.Book.Pending() {
		time.Sleep(10 * time.Millisecond)
	}
}

// BenchmarkLargeStart opens the nursery and shows its first round. It reports
// how long each took, and the memory of the whole process when everything is
// worked out.
func BenchmarkLargeStart(b *testing.B) {
	n := newNursery(b)
	for b.Loop() {
		begun, before := time.Now(), cpuTime()
		server, s := n.open(b)
		opened := time.Since(begun)
		b.ReportMetric((cpuTime() - before).Seconds(), "open-cpu-s")
		first, _ := page(b, server, "/")
		settled(b, server)
		ready := time.Since(begun)
		b.StopTimer()
		b.ReportMetric(opened.Seconds(), "open-s")
		b.ReportMetric(first.Seconds(), "first-round-s")
		b.ReportMetric(ready.Seconds(), "all-ready-s")
		b.ReportMetric((cpuTime() - before).Seconds(), "all-ready-cpu-s")
		b.ReportMetric(residentMB(b, "VmHWM:"), "most-resident-MB")
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		b.ReportMetric(float64(m.HeapAlloc)/1e6, "heap-MB")
		b.ReportMetric(residentMB(b, "VmRSS:"), "resident-MB")
		if err := s.Close(); err != nil {
			b.Fatal(err)
		}
		runtime.KeepAlive(server)
		b.StartTimer()
	}
}

// cpuTime is what the process has used of the processors: it tells how long a
// page takes where others use them, too.
func cpuTime() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// residentMB reads a line of the process's status, where there is one.
func residentMB(tb testing.TB, line string) float64 {
	text, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0
	}
	for l := range strings.Lines(string(text)) {
		if rest, ok := strings.CutPrefix(l, line); ok {
			var kB float64
			if _, err := fmt.Sscan(rest, &kB); err != nil {
				tb.Fatal(err)
			}
			return kB / 1000
		}
	}
	return 0
}
