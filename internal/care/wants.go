package care

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"velamen/internal/culture"
)

// AirBand is what a plant asks of the air, in °C and % relative humidity. A side
// that is open is infinite.
type AirBand struct{ LowC, HighC, LowRH, HighRH float64 }

// AirWants is what a plant asks of its space by day and by night, and the most
// light it takes, µmol m⁻² s⁻¹.
type AirWants struct {
	Day, Night AirBand
	MostPPFD   float64
}

// OpenWants asks for nothing.
func OpenWants() AirWants {
	open := AirBand{math.Inf(-1), math.Inf(1), math.Inf(-1), math.Inf(1)}
	return AirWants{Day: open, Night: open, MostPPFD: math.Inf(1)}
}

// WantsOf is what a plant asks for: while it recovers what its course wants on
// the day, otherwise what its group is usually given. The cold end is that of the
// group's nights, by day too.
func WantsOf(group culture.Group, wanted *Climate) AirWants {
	w := OpenWants()
	w.Day.LowC, w.Night.LowC = group.NightC.Low, group.NightC.Low
	w.Day.HighC, w.Night.HighC = group.DayC.High, group.NightC.High
	w.Day.LowRH, w.Night.LowRH = group.RHPercent.Low, group.RHPercent.Low
	if wanted != nil {
		w.Day.HighC = wanted.DayC
		w.Day.LowRH, w.Night.LowRH = wanted.DayRHPercent, wanted.NightRHPercent
		w.MostPPFD = wanted.LightPPFD
	}
	return w
}

// Either is what at least one of two plants asks for.
func (w AirWants) Either(o AirWants) AirWants {
	either := func(a, b AirBand) AirBand {
		return AirBand{math.Min(a.LowC, b.LowC), math.Max(a.HighC, b.HighC), math.Min(a.LowRH, b.LowRH), math.Max(a.HighRH, b.HighRH)}
	}
	return AirWants{either(w.Day, o.Day), either(w.Night, o.Night), math.Max(w.MostPPFD, o.MostPPFD)}
}

// Both is what two plants together ask for; where that is more than can be, the
// low end lies above the high one.
func (w AirWants) Both(o AirWants) AirWants {
	both := func(a, b AirBand) AirBand {
		return AirBand{math.Max(a.LowC, b.LowC), math.Min(a.HighC, b.HighC), math.Max(a.LowRH, b.LowRH), math.Min(a.HighRH, b.HighRH)}
	}
	return AirWants{both(w.Day, o.Day), both(w.Night, o.Night), math.Min(w.MostPPFD, o.MostPPFD)}
}

// Shortfall is one way in which the air was not what a plant asks for.
type Shortfall struct {
	Lit     bool     // by day
	Of      Quantity // temperature, humidity or light
	TooMuch bool
	Hours   int     // that were outside
	All     int     // of that part of the day in which it was measured
	Beyond  float64 // by how much on average, in the unit of the quantity
	Limit   float64
}

// Words say it in a few words, without the figures.
func (s Shortfall) Words() string {
	when := "by night"
	if s.Lit {
		when = "by day"
	}
	what := map[bool]map[Quantity]string{
		true:  {AirTemperature: "too warm", AirHumidity: "too humid", LeafLight: "too bright"},
		false: {AirTemperature: "too cold", AirHumidity: "too dry", LeafLight: "too dark"},
	}[s.TooMuch][s.Of]
	return fmt.Sprintf("%s %s", what, when)
}

// harmSteps are by how much each quantity misses what is wanted to count the
// same (assumption): 3 °C as much as 10 % humidity or 100 µmol m⁻² s⁻¹.
var harmSteps = map[Quantity]float64{AirTemperature: 3, AirHumidity: 10, LeafLight: 100}

// Weight orders shortfalls: hours times how far beyond.
func (s Shortfall) Weight() float64 { return float64(s.Hours) * s.Beyond / harmSteps[s.Of] }

// Shortfalls compares measured hours with what a plant asks for, the weightiest
// first. An hour counts by its mean.
func (w AirWants) Shortfalls(hours []ClimateHour) []Shortfall {
	type side struct {
		lit, tooMuch bool
		of           Quantity
	}
	sums := map[side]*Shortfall{}
	note := func(h *ClimateHour, of Quantity, s Spread, low, high float64) {
		if !s.Known() {
			return
		}
		for _, one := range []struct {
			tooMuch        bool
			beyond, limits float64
		}{{false, low - s.Mean, low}, {true, s.Mean - high, high}} {
			if math.IsInf(one.limits, 0) {
				continue
			}
			key := side{h.Lit, one.tooMuch, of}
			sum := sums[key]
			if sum == nil {
				sum = &Shortfall{Lit: h.Lit, Of: of, TooMuch: one.tooMuch, Limit: one.limits}
				sums[key] = sum
			}
			sum.All++
			if one.beyond > 0 {
				sum.Hours++
				sum.Beyond += one.beyond
			}
		}
	}
	for i := range hours {
		h := &hours[i]
		band := w.Night
		if h.Lit {
			band = w.Day
			note(h, LeafLight, h.PPFD, math.Inf(-1), w.MostPPFD)
		}
		note(h, AirTemperature, h.TempC, band.LowC, band.HighC)
		note(h, AirHumidity, h.RHPercent, band.LowRH, band.HighRH)
	}
	var list []Shortfall
	for _, s := range sums {
		if s.Hours > 0 {
			s.Beyond /= float64(s.Hours)
			list = append(list, *s)
		}
	}
	slices.SortFunc(list, func(a, b Shortfall) int {
		return cmp.Or(cmp.Compare(b.Weight(), a.Weight()), cmp.Compare(a.Words(), b.Words()))
	})
	return list
}

// Met reports whether an hour was what a plant asks for, in everything that was
// measured.
func (w AirWants) Met(h *ClimateHour) bool {
	within := func(s Spread, low, high float64) bool { return !s.Known() || s.Mean >= low && s.Mean <= high }
	band := w.Night
	if h.Lit {
		band = w.Day
		if !within(h.PPFD, math.Inf(-1), w.MostPPFD) {
			return false
		}
	}
	return within(h.TempC, band.LowC, band.HighC) && within(h.RHPercent, band.LowRH, band.HighRH)
}

// Suited counts hours by how many of the plants had what they ask for.
type Suited struct{ All, None, Hours int }

// SuitedBy counts the hours of the days and of the nights by how many of those
// who ask were suited.
func SuitedBy(wants []AirWants, hours []ClimateHour) (lit, dark Suited) {
	var distinct []AirWants
	for _, w := range wants {
		if !slices.Contains(distinct, w) {
			distinct = append(distinct, w)
		}
	}
	for i := range hours {
		h := &hours[i]
		part := &dark
		if h.Lit {
			part = &lit
		}
		met := 0
		for k := range distinct {
			if distinct[k].Met(h) {
				met++
			}
		}
		part.Hours++
		switch met {
		case len(distinct):
			part.All++
		case 0:
			part.None++
		}
	}
	return lit, dark
}
