package readings_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"velamen/internal/care"
	"velamen/internal/readings"
	"velamen/internal/store"
	"velamen/science/light"
)

// readingsOnDisk is how many readings the benchmark keeps; the figure in
// docs/readings.md is for 10 million.
var readingsOnDisk = flag.Int("readings", 200_000, "readings that BenchmarkImport keeps")

// A logger's file of temperature and humidity every minute, read from its text
// and kept on disk, summaries left for later and then made: rows per second, and
// bytes on disk for each reading without and with its summaries. Time is that of the
// processor: others may use it, too.
func BenchmarkImport(b *testing.B) {
	rows := *readingsOnDisk / 2
	var text bytes.Buffer
	text.WriteString("Time,Temperature (°C),Humidity (%)\n")
	end := time.Date(2026, 11, 28, 0, 0, 0, 0, time.UTC)
	at := end.Add(-time.Duration(rows) * time.Minute)
	for i := range rows {
		fmt.Fprintf(&text, "%s,%d.%d,%d.%d\n", at.Format("2006-01-02 15:04:05"), 15+i/60%12, i%10, 50+i/90%30, i%10)
		at = at.Add(time.Minute)
	}
	now := func() time.Time { return end }
	var importing, settling time.Duration
	var plain, whole int64
	for b.Loop() {
		path := filepath.Join(b.TempDir(), "orchids.velamen")
		s, err := store.Create(b.Context(), path, now)
		if err != nil {
			b.Fatal(err)
		}
		o := readings.Options{Space: "shelf", Source: "logger", Zone: time.UTC, LightFrom: light.Sun}
		begun := cpuTime()
		file := readings.File{Name: "log.csv", ReadSeeker: bytes.NewReader(text.Bytes()), Bytes: int64(text.Len())}
		report, err := readings.Import(b.Context(), file, o, s, end, nil)
		if err != nil || report.Added != 2*rows {
			b.Fatalf("%+v, %v", report.Kept, err)
		}
		importing += cpuTime() - begun
		plain = sizeOf(b, path)
		begun = cpuTime()
		if _, err := s.Settle(b.Context(), func(string) care.DayClock { return care.DayClock{Zone: time.UTC} }, nil); err != nil {
			b.Fatal(err)
		}
		settling += cpuTime() - begun
		whole = sizeOf(b, path)
		if err := s.Close(); err != nil {
			b.Fatal(err)
		}
	}
	n := float64(b.N)
	b.ReportMetric(float64(rows)*n/importing.Seconds(), "rows/s")
	b.ReportMetric(float64(rows)*n/(importing+settling).Seconds(), "rows/s-summarised")
	b.ReportMetric(float64(plain)/float64(2*rows), "bytes/reading")
	b.ReportMetric(float64(whole)/float64(2*rows), "bytes/reading-summarised")
}

// sizeOf is the size of a collection as a backup of it would have.
func sizeOf(b *testing.B, path string) int64 {
	b.Helper()
	copy := filepath.Join(b.TempDir(), "copy.velamen")
	if _, err := store.Backup(b.Context(), path, copy, nil); err != nil {
		b.Fatal(err)
	}
	info, err := os.Stat(copy)
	if err != nil {
		b.Fatal(err)
	}
	return info.Size()
}

func cpuTime() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
