package leaf

import (
	"math"
	"testing"
)

// day24 is a day of 28 °C and 45 % RH by light, 18 °C and 65 % in the dark,
// twelve hours each, half-sine light.
func day24(peakPPFD float64) Climate {
	c := Climate{LightHeatJPerUmol: 0.24, PressureKPa: 101.325}
	for h := range 24 {
		light := h >= 6 && h < 18
		airC, rhPercent, ppfd := 18.0, 65.0, 0.0
		if light {
			airC, rhPercent = 28, 45
			ppfd = peakPPFD * math.Sin(math.Pi*(float64(h)-5.5)/12)
		}
		c.AirC = append(c.AirC, airC)
		c.RHPercent = append(c.RHPercent, rhPercent)
		c.PPFD = append(c.PPFD, ppfd)
		c.SpeedMS = append(c.SpeedMS, 0.1)
	}
	return c
}

// repeated makes a series of n days of one.
func repeated(c Climate, days int) Climate {
	long := Climate{LightHeatJPerUmol: c.LightHeatJPerUmol, PressureKPa: c.PressureKPa}
	for range days {
		long.AirC = append(long.AirC, c.AirC...)
		long.RHPercent = append(long.RHPercent, c.RHPercent...)
		long.PPFD = append(long.PPFD, c.PPFD...)
		long.SpeedMS = append(long.SpeedMS, c.SpeedMS...)
	}
	return long
}

func BenchmarkSolve(b *testing.B) {
	l, around := indoor()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Solve(l, around); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPenmanMonteith(b *testing.B) {
	l, around := indoor()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := PenmanMonteith(l, around); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkHourlyLoss(b *testing.B) {
	s, err := Phalaenopsis.Stomata(true)
	if err != nil {
		b.Fatal(err)
	}
	c := repeated(day24(200), 30)
	dst := make([]float64, c.Hours())
	b.ReportAllocs()
	for b.Loop() {
		if err := HourlyLossGM2(dst, s, 0.08, c); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(dst)), "ns/hour")
}

func BenchmarkDailyLoss(b *testing.B) {
	s, err := ThinC3.Stomata(true)
	if err != nil {
		b.Fatal(err)
	}
	c := day24(200)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := DailyLoss(s, 0.03, c); err != nil {
			b.Fatal(err)
		}
	}
}

func indoor() (Leaf, Surroundings) {
	return Leaf{WidthM: 0.08, StomatalMol: 0.03, CuticularMol: 0.002},
		Surroundings{AirC: 25, RHPercent: 50, PressureKPa: 101.325, SpeedMS: 0.1, AbsorbedWM2: 30}
}
