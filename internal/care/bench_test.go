package care_test

import (
	"runtime"
	"testing"

	"velamen/internal/care"
)

// BenchmarkNewCourse works out the first plant of the example case.
func BenchmarkNewCourse(b *testing.B) {
	kase := exampleCase(b)
	for b.Loop() {
		if _, err := care.NewCourse(kase, kase.Plants[0], tables, day("2026-11-24")); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkThousandCourses works out a thousand different plants one after the
// other: the example's two, with other roots kept and other dates.
func BenchmarkThousandCourses(b *testing.B) {
	kase := exampleCase(b)
	plants := make([]care.Plant, 1000)
	for i := range plants {
		p := kase.Plants[i%len(kase.Plants)]
		p.Repot.RootsKept.Value = 0.2 + 0.7*float64(i)/1000
		p.Repot.Date = p.Repot.Date.AddDate(0, 0, -i%365)
		plants[i] = p
	}
	for b.Loop() {
		for _, p := range plants {
			if _, err := care.NewCourse(kase, p, tables, day("2026-11-24")); err != nil {
				b.Fatal(err)
			}
		}
	}
}

// BenchmarkOutlineJobs works out the jobs of a day from the outline of a course.
func BenchmarkOutlineJobs(b *testing.B) {
	kase := exampleCase(b)
	c, err := care.NewCourse(kase, kase.Plants[0], tables, day("2026-11-24"))
	if err != nil {
		b.Fatal(err)
	}
	outline := c.Outline()
	p := &care.PlantState{ID: "01900000-0000-7000-9000-000000000001", Record: kase.Plants[0]}
	b.ReportAllocs()
	for b.Loop() {
		if len(outline.Jobs(p, nil, false, c.On, care.Units{})) == 0 {
			b.Fatal("nothing is due")
		}
	}
}

// BenchmarkOutline takes outlines of courses and reports the memory that each
// keeps.
func BenchmarkOutline(b *testing.B) {
	kase := exampleCase(b)
	heap := func() float64 {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return float64(m.HeapAlloc)
	}
	for b.Loop() {
		kept := make([]*care.Outline, 0, 1000)
		before := heap()
		for i := range cap(kept) {
			c, err := care.NewCourse(kase, kase.Plants[i%len(kase.Plants)], tables, day("2026-11-24"))
			if err != nil {
				b.Fatal(err)
			}
			kept = append(kept, c.Outline())
		}
		b.ReportMetric((heap()-before)/float64(len(kept)), "B/outline")
		runtime.KeepAlive(kept)
	}
}
