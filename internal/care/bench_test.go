package care_test

import (
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
