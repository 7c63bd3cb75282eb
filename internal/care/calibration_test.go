package care_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"velamen/internal/care"
	"velamen/science/course"
	"velamen/science/growth"
)

// fate is what really happens to a simulated plant.
type fate int

const (
	grows    fate = iota // a first root moves after some weeks, and goes on
	stands               // no root ever moves; it stays as firm as is normal
	stops                // roots grow, and stop for good
	declines             // no root moves, and it wrinkles more and more
)

var fates = []string{"grows", "never roots", "stops again", "declines"}

// life is a simulated recovery with its truth, which no verdict sees.
type life struct {
	fate         fate
	starts, ends float64 // of root growth, days
	rates        []float64
	lengths      []float64 // at the repot
	wilts        float64   // day from which it wrinkles more than is normal
	*patient               // the journal that the grower would have kept
	readDays     []int
	noise        *rand.Rand
}

// How the simulated grower looks, and what the simulated plants do. Invented,
// like everything in this file.
const (
	simulatedPlants = 120 // of each fate
	simulatedDays   = 126
	readingErrorMM  = 0.5 // what a straight ruler is taken to err
	wrinkleMistake  = 0.1 // that a grade is taken one too high, and as often too low
	wiltGradeDays   = 12.0
)

func newLife(t failer, f fate, seed uint64) *life {
	l := &life{fate: f, noise: rand.New(rand.NewPCG(seed, 20261128)), patient: newPatient(t, ordinary())}
	r := l.noise
	l.starts = 20 * math.Exp(0.5*r.NormFloat64())
	l.ends, l.wilts = math.Inf(1), math.Inf(1)
	switch f {
	case stands, declines:
		l.starts = math.Inf(1)
	case stops:
		l.starts = min(l.starts, 40)
		l.ends = 50 + 25*r.Float64()
	}
	if f == declines {
		l.wilts = 15 + 30*r.Float64()
	}
	for range 3 {
		l.rates = append(l.rates, 1.2*math.Exp(0.5*r.NormFloat64()))
		l.lengths = append(l.lengths, 5+30*r.Float64())
	}
	for day := 7; day <= simulatedDays; day += 5 + r.IntN(5) {
		l.readDays = append(l.readDays, day)
		var mm []float64
		for i := range l.rates {
			mm = append(mm, max(0, math.Round(2*(l.length(i, float64(day))+readingErrorMM*r.NormFloat64()))/2))
		}
		l.roots(day, mm...)
	}
	for day := 5; day <= simulatedDays; day += 8 + r.IntN(6) {
		grade := l.grade(float64(day))
		switch u := r.Float64(); {
		case u < wrinkleMistake:
			grade++
		case u < 2*wrinkleMistake:
			grade--
		}
		l.wrinkle(day, min(3, max(0, grade)))
	}
	return l
}

// length is the true length of a root; one root moves some days after the other.
func (l *life) length(i int, day float64) float64 {
	from := l.starts + 4*float64(i)
	return l.lengths[i] + l.rates[i]*max(0, min(day, l.ends)-from)
}

// grade is how wrinkled it truly is: slightly at first, as bulbs are, and firm
// once roots grow.
func (l *life) grade(day float64) int {
	switch {
	case day >= l.wilts:
		return min(3, 2+int((day-l.wilts)/wiltGradeDays))
	case day > l.starts+14:
		return 0
	}
	return 1
}

// truth is the verdict that somebody who knew everything would give.
func (l *life) truth(day, firstTipHigh float64) string {
	switch {
	case day >= l.wilts:
		return growth.Declining.String()
	case day >= l.starts+7 && day <= l.ends: // it takes a week of growth to be any
		return growth.Rooting.String()
	case day > l.ends, day > firstTipHigh:
		return growth.Stalled.String()
	}
	return growth.Holding.String()
}

const calibrationFile = "../../docs/verdict.md"

// The figures in docs/verdict.md are what the simulation gives; run with
// -update-calibration and read the difference when the rule has changed.
func TestTheCalibrationIsWhatTheDocumentSays(t *testing.T) {
	is := calibrate(t)
	raw, err := os.ReadFile(calibrationFile)
	if err != nil {
		t.Fatal(err)
	}
	m := regexp.MustCompile("(?s)<!-- calibration -->\n(.*?)<!-- end -->").FindSubmatchIndex(raw)
	if m == nil {
		t.Fatalf("%s has no block for the calibration", calibrationFile)
	}
	if said := string(raw[m[2]:m[3]]); said != is {
		if os.Getenv("VELAMEN_UPDATE") == "" {
			t.Errorf("the document does not say what the simulation gives; set VELAMEN_UPDATE=1, run this test and read the difference\n%s", is)
			return
		}
		text := string(raw[:m[2]]) + is + string(raw[m[3]:])
		if err := os.WriteFile(calibrationFile, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func calibrate(t *testing.T) string {
	var b strings.Builder
	asked := []int{28, 56, 84, 112}
	said := map[string]map[string]int{} // by truth
	var stallDelays, declineDelays []float64
	weeks, granted := map[bool]int{}, map[bool]int{} // by whether roots truly grew
	const firstTipHigh = 40
	for f := grows; f <= declines; f++ {
		for n := range simulatedPlants {
			l := newLife(t, f, uint64(1000*int(f)+n))
			state := l.state(simulatedDays)
			judge := func(day int) string {
				p, err := care.ProgressOf(l.kase, state, tables, after(day), care.Progress{}, time.Time{})
				if err != nil {
					t.Fatal(err)
				}
				return p.Standing.String()
			}
			for _, day := range asked {
				truth := l.truth(float64(day), firstTipHigh)
				if said[truth] == nil {
					said[truth] = map[string]int{}
				}
				said[truth][judge(day)]++
			}
			switch f {
			case stops:
				stallDelays = append(stallDelays, l.delay(l.readDays, l.ends, growth.Stalled.String(), judge))
			case declines:
				var looks []int
				for day := int(l.wilts); day <= simulatedDays; day += 2 {
					looks = append(looks, day)
				}
				declineDelays = append(declineDelays, l.delay(looks, l.wilts, growth.Declining.String(), judge))
			}
			p, err := care.ProgressOf(l.kase, state, tables, after(simulatedDays-1), care.Progress{}, time.Time{})
			if err != nil {
				t.Fatal(err)
			}
			for i, step := range p.Steps {
				grew := l.truth(float64(48+7*i), firstTipHigh) == growth.Rooting.String()
				weeks[grew]++
				if step == course.Granted {
					granted[grew]++
				}
			}
		}
	}
	truths := []growth.Standing{growth.Rooting, growth.Holding, growth.Stalled, growth.Declining}
	fmt.Fprintf(&b, "\n%d plants of each of %d fates (%s), judged on days 28, 56, 84 and 112. Of each hundred\nthat truly were so, so many were called:\n\n", simulatedPlants, len(fates), strings.Join(fates, ", "))
	fmt.Fprintf(&b, "| truly | judged | rooting | holding | stalled | declining | too early to say |\n|---|---:|---:|---:|---:|---:|---:|\n")
	for _, truth := range truths {
		of := 0
		for _, n := range said[truth.String()] {
			of += n
		}
		fmt.Fprintf(&b, "| %s | %d |", truth, of)
		for _, verdict := range growth.Standings {
			fmt.Fprintf(&b, " %.0f |", 100*float64(said[truth.String()][verdict.String()])/float64(of))
		}
		fmt.Fprintln(&b)
	}
	fmt.Fprintf(&b, "\n| from the day on which | until it is called | in half the plants within | in nine of ten within | not within the time |\n|---|---|---:|---:|---:|\n")
	for _, d := range []struct {
		from, called string
		delays       []float64
	}{{"growing roots stop", "stalled", stallDelays}, {"it wrinkles more than is normal", "declining", declineDelays}} {
		slices.Sort(d.delays)
		missed := 0
		for _, x := range d.delays {
			if math.IsInf(x, 1) {
				missed++
			}
		}
		fmt.Fprintf(&b, "| %s | %s | %.0f days | %.0f days | %d of %d |\n", d.from, d.called, d.delays[len(d.delays)/2], d.delays[len(d.delays)*9/10], missed, len(d.delays))
	}
	fmt.Fprintf(&b, "\nOf %d weekly steps in weeks at whose end roots truly grew, %.0f %% were granted; of %d in weeks at whose\nend they did not, %.1f %%.\n\n", weeks[true], 100*float64(granted[true])/float64(weeks[true]), weeks[false], 100*float64(granted[false])/float64(weeks[false]))
	return b.String()
}

// delay is how many days after something happened one of the days finds it said.
func (l *life) delay(days []int, from float64, want string, judge func(int) string) float64 {
	for _, day := range days {
		if float64(day) > from && judge(day) == want {
			return float64(day) - from
		}
	}
	return math.Inf(1)
}
