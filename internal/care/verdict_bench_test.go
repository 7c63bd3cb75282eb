package care_test

import (
	"testing"
	"time"

	"velamen/internal/care"
)

// measuredForLong is a plant with three marked roots that were measured each week
// for a year.
func measuredForLong(t failer) *patient {
	p := newPatient(t, ordinary())
	for week := 1; week <= 52; week++ {
		p.roots(7*week, 10+3*float64(week), 12+2.5*float64(week), 20+2*float64(week))
		p.wrinkle(7*week, 0)
	}
	return p
}

// BenchmarkVerdict judges a plant at the end of its year.
func BenchmarkVerdict(b *testing.B) {
	p := measuredForLong(b)
	state := p.state(360)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := care.JudgePlant(p.kase, state, tables, after(360)); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkProgress decides the steps of a whole year, as a new day asks of
// every plant.
func BenchmarkProgress(b *testing.B) {
	p := measuredForLong(b)
	state := p.state(360)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := care.ProgressOf(p.kase, state, tables, after(360), care.Progress{}, time.Time{}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkProgressOfANewDay decides them again on the next day, as is done for every
// plant when a day begins.
func BenchmarkProgressOfANewDay(b *testing.B) {
	p := measuredForLong(b)
	state := p.state(360)
	so, err := care.ProgressOf(p.kase, state, tables, after(359), care.Progress{}, time.Time{})
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := care.ProgressOf(p.kase, state, tables, after(360), so, after(359)); err != nil {
			b.Fatal(err)
		}
	}
}
