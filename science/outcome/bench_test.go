package outcome_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"velamen/science/outcome"
)

// collection draws recoveries of log-normal days to the first root, each plant
// looked at every 5 to 10 days until it is given up on. Looks fall on whole
// days, or on any moment.
func collection(plants int, wholeDays bool) []outcome.Recovery {
	random := rand.New(rand.NewPCG(20, 1))
	records := make([]outcome.Recovery, 0, plants)
	for range plants {
		root, end := 30*math.Exp(0.6*random.NormFloat64()), 20+200*random.Float64()
		for last := 0.0; ; {
			look := last + 5 + 5*random.Float64()
			if wholeDays {
				look = math.Round(look)
			}
			if look > end {
				records = append(records, outcome.NotSeenBy("", last))
				break
			}
			if root <= look {
				records = append(records, outcome.SeenBetween("", last, look))
				break
			}
			last = look
		}
	}
	return records
}

const many = 20_000

func BenchmarkTurnbullWholeDays(b *testing.B) { benchmarkTurnbull(b, collection(many, true)) }
func BenchmarkTurnbullMoments(b *testing.B)   { benchmarkTurnbull(b, collection(many, false)) }
func BenchmarkTurnbullExact(b *testing.B) {
	benchmarkTurnbull(b, outcome.AtDayFound(collection(many, false)))
}

func benchmarkTurnbull(b *testing.B, records []outcome.Recovery) {
	for b.Loop() {
		if _, err := outcome.Turnbull(records); err != nil {
			b.Fatal(err)
		}
	}
}

// A band of a grower's own collection: 200 recoveries, 1000 resamples.
func BenchmarkTurnbullBand200(b *testing.B) {
	records := collection(200, true)
	for b.Loop() {
		if _, err := outcome.TurnbullBand(records, []float64{14, 28, 42, 56}, 1000, 0.95, rand.NewPCG(1, 2)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkKaplanMeier(b *testing.B) {
	records := outcome.AtDayFound(collection(many, true))
	for b.Loop() {
		if _, err := outcome.KaplanMeier(records, outcome.LogLog, 0.95); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAalenJohansen(b *testing.B) {
	records := outcome.AtDayFound(collection(many, true))
	for i := range records {
		if i%20 == 0 && records[i].Ending == outcome.Seen {
			records[i].Ending = outcome.Died
		}
	}
	for b.Loop() {
		if _, err := outcome.AalenJohansen(records, outcome.LogLog, 0.95); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLogRank(b *testing.B) {
	records := outcome.AtDayFound(collection(many, true))
	for b.Loop() {
		if _, err := outcome.LogRank(records[:many/2], records[many/2:], outcome.Even); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkUpdateWholeDays(b *testing.B) { benchmarkUpdate(b, collection(many, true)) }
func BenchmarkUpdateMoments(b *testing.B)   { benchmarkUpdate(b, collection(many, false)) }

func benchmarkUpdate(b *testing.B, records []outcome.Recovery) {
	prior := outcome.LogNormalPrior{MedianDays: 30, LogSD: 0.6, Plants: 3}
	for b.Loop() {
		if _, err := prior.Update(records, 0.9); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkCompareShares(b *testing.B) {
	for b.Loop() {
		if _, err := outcome.CompareShares(outcome.Tally{Plants: 12, Recovered: 9}, outcome.Tally{Plants: 9, Recovered: 4},
			outcome.Beta{Recovered: 1, Lost: 1}, 0.25, 0.95); err != nil {
			b.Fatal(err)
		}
	}
}
