package demo

import (
	"hash/fnv"
	"math"
	"time"

	"velamen/internal/care"
)

// ReadingSource is the name of the sensor that the invented readings come from.
const ReadingSource = "invented, not measured"

// Zone is the time zone of the invented place.
const Zone = "Australia/Melbourne"

// readingDays is how far back the invented readings go.
const readingDays = 92

// air is the invented climate of a space: usual day and night, and how much a
// warm spell and a fog move them.
type air struct {
	space                            string
	dayC, nightC, dayRH, nightRH     float64
	swingC, swingRH                  float64
	peakPPFD, lampPPFD, lampsOn, off float64
}

var airs = []air{
	{space: "balcony", dayC: 26, nightC: 16, dayRH: 48, nightRH: 62, swingC: 3, swingRH: 9, peakPPFD: 360},
	{space: "shelf", dayC: 25, nightC: 18.5, dayRH: 52, nightRH: 63, swingC: 1, swingRH: 5, lampPPFD: 185, lampsOn: 5.5, off: 18.5},
	{space: "terrace", dayC: 22, nightC: 12, dayRH: 55, nightRH: 76, swingC: 4, swingRH: 11},
}

// Readings invents what loggers in the spaces of the collection would have
// measured every hour until now: warm and cool spells, cloudy days, a lamp timer
// and one sensor that failed for two days. The same time always gives the same
// readings.
func Readings(now time.Time) []care.Reading {
	zone, err := time.LoadLocation(Zone)
	if err != nil {
		zone = time.FixedZone(Zone, 10*3600) // where there is no time zone database
	}
	end := now.Truncate(time.Hour)
	var list []care.Reading
	for _, a := range airs {
		for h := 24 * readingDays; h >= 0; h-- {
			at := end.Add(time.Duration(-h) * time.Hour)
			if a.space == "balcony" && h > 24*30 && h < 24*32 {
				continue // its battery was empty
			}
			add := func(q care.Quantity, v float64) {
				low, high, _ := q.Range()
				list = append(list, care.Reading{Space: a.space, Source: ReadingSource, Quantity: q, At: at.UTC(), Value: math.Round(10*math.Min(math.Max(v, low), high)) / 10})
			}
			clock := at.In(zone)
			hour := float64(clock.Hour()) + float64(clock.Minute())/60
			day := math.Floor(float64(at.Unix()) / 86400)
			// Spells last for days; each hour wavers a little.
			spell := 0.6*math.Sin(day/2.3) + 0.4*math.Sin(day/5.1+1)
			waver := chance(a.space, at.Unix())
			warmth := math.Pow(math.Max(0, math.Sin((hour-6.5)/24*2*math.Pi)+0.25), 0.8) / 1.2
			if a.lampPPFD > 0 {
				warmth = 0
				if hour >= a.lampsOn && hour < a.off {
					warmth = 1 - math.Exp(-(hour-a.lampsOn)/1.5)
				}
			}
			add(care.AirTemperature, a.nightC+(a.dayC-a.nightC)*warmth+a.swingC*spell+0.8*waver)
			add(care.AirHumidity, a.nightRH+(a.dayRH-a.nightRH)*warmth-a.swingRH*spell+3*waver)
			switch {
			case a.lampPPFD > 0 && warmth > 0:
				add(care.LeafLight, a.lampPPFD+4*waver)
			case a.lampPPFD > 0:
				add(care.LeafLight, 0)
			case a.peakPPFD > 0:
				cloud := 0.65 + 0.35*math.Sin(day*1.7)
				add(care.LeafLight, a.peakPPFD*cloud*math.Max(0, math.Sin((hour-6)/14*math.Pi))*(1+0.15*waver))
			}
		}
	}
	return list
}

// chance gives each hour a number of its own from −1 to 1, always the same.
func chance(space string, at int64) float64 {
	h := fnv.New32a()
	h.Write([]byte(space))
	for shift := 0; shift < 64; shift += 8 {
		h.Write([]byte{byte(at >> shift)})
	}
	return float64(h.Sum32()%20001)/10000 - 1
}
