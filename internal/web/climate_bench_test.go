package web

import (
	"math"
	"path/filepath"
	"testing"
	"time"

	"velamen/internal/care"
	"velamen/internal/plot"
	"velamen/internal/store"
)

// A year of a space, measured every hour: from the summaries on disk to the
// finished picture; and the hours of a season counted against what 40 plants of 20
// kinds ask for.
func BenchmarkYearOfClimate(b *testing.B) {
	end := time.Date(2026, 11, 28, 0, 0, 0, 0, time.UTC)
	s, err := store.Create(b.Context(), filepath.Join(b.TempDir(), "orchids.velamen"), func() time.Time { return end })
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	var list []care.Reading
	for h := range 24 * 365 {
		at := end.AddDate(0, 0, -365).Add(time.Duration(h) * time.Hour)
		for q, v := range map[care.Quantity]float64{care.AirTemperature: 20 + 5*math.Sin(float64(h)/3.8), care.AirHumidity: 60 + 9*math.Sin(float64(h)/3.8), care.LeafLight: 100} {
			list = append(list, care.Reading{Space: "shelf", Source: "a", Quantity: q, At: at, Value: v})
		}
		if len(list) > store.ReadingBatch-3 || h == 24*365-1 {
			if _, err := s.KeepReadings(b.Context(), list); err != nil {
				b.Fatal(err)
			}
			list = nil
		}
	}
	clock := care.DayClock{Zone: time.UTC}
	if _, err := s.Settle(b.Context(), func(string) care.DayClock { return clock }, nil); err != nil {
		b.Fatal(err)
	}
	from := end.AddDate(0, 0, -365)
	same := func(v float64) float64 { return v }
	var plants []wantingPlant
	for i := range 40 {
		w := care.OpenWants()
		w.Day.LowC, w.Night.HighC, w.Day.LowRH = 15+float64(i%20)/10, 22, 50
		plants = append(plants, wantingPlant{wants: w})
	}
	wants := newWantedAir(plants)
	b.Run("picture of the year", func(b *testing.B) {
		began := cpuTime()
		for b.Loop() {
			days, err := s.ClimateDays(b.Context(), "shelf", from, end)
			if err != nil || len(days) != 365 {
				b.Fatalf("%d days, %v", len(days), err)
			}
			c := plot.ClimatePicture{ID: "climate", Title: "A year"}
			seasonPicture(&c, days, nil, from, 365, wants, same, "°C")
			if _, err := c.SVG(); err != nil {
				b.Fatal(err)
			}
		}
		b.ReportMetric(float64((cpuTime()-began).Microseconds())/1000/float64(b.N), "cpu-ms/op")
	})
	b.Run("hours of a season counted", func(b *testing.B) {
		began := cpuTime()
		for b.Loop() {
			hours, err := s.ClimateHours(b.Context(), "shelf", end.AddDate(0, 0, -countedDays), end)
			if err != nil || len(hours) != 24*countedDays {
				b.Fatalf("%d hours, %v", len(hours), err)
			}
			new(climateView).sayHours(hours, wants)
		}
		b.ReportMetric(float64((cpuTime()-began).Microseconds())/1000/float64(b.N), "cpu-ms/op")
	})
}
