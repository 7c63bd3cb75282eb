package care

import (
	"math"
	"sort"
	"time"

	"velamen/science/air"
	"velamen/science/light"
)

// SensorSeries is what one sensor measured of one quantity, in order of time.
type SensorSeries struct {
	Source   string
	Quantity Quantity
	At       []int64 // seconds since 1970
	Value    []float64
}

// How readings are taken together. All are assumptions, chosen for loggers that
// report every 1 to 60 minutes.
const (
	// SummaryMargin is how far beyond a day its readings are looked at: for the
	// light at its ends, and to tell spikes.
	SummaryMargin = time.Hour

	pairedWithin = 10 * time.Minute // a humidity with the latest temperature of the same sensor
	lightGap     = time.Hour        // between readings of light that are joined
	spikeWithin  = 30 * time.Minute // of the readings before and after
)

// spikeStep is by how much a single reading must leave those before and after
// it, which agree with each other, to be taken for a fault; 0 where none is. Air
// indoors does not change and come back that fast; light does.
func spikeStep(q Quantity) float64 {
	switch q {
	case AirTemperature:
		return 8
	case AirHumidity:
		return 30
	}
	return 0
}

// Suspect reports whether the middle one of three readings in order of time is a
// single spike.
func Suspect(q Quantity, at [3]int64, value [3]float64) bool {
	step := spikeStep(q)
	return step > 0 && isSpike(step, value[1]-value[0], value[1]-value[2], at[1]-at[0], at[2]-at[1])
}

// isSpike looks at how far a reading leaves the one before and the one after, in
// value and in seconds.
func isSpike(step, before, after float64, sinceBefore, untilAfter int64) bool {
	if math.Abs(before) <= step || math.Abs(after) <= step { // nearly always
		return false
	}
	near := sinceBefore <= int64(spikeWithin/time.Second) && untilAfter <= int64(spikeWithin/time.Second)
	return near && before*after > 0 && math.Abs(before-after) < step/2
}

// Suspects returns which readings of a series are single spikes.
func (s *SensorSeries) Suspects() []int {
	step := spikeStep(s.Quantity)
	if step == 0 {
		return nil
	}
	var found []int
	for i := 1; i+1 < len(s.At); i++ {
		if isSpike(step, s.Value[i]-s.Value[i-1], s.Value[i]-s.Value[i+1], s.At[i]-s.At[i-1], s.At[i+1]-s.At[i]) {
			found = append(found, i)
		}
	}
	return found
}

// without drops readings by their places.
func (s SensorSeries) without(places []int) SensorSeries {
	if len(places) == 0 {
		return s
	}
	out := SensorSeries{Source: s.Source, Quantity: s.Quantity}
	for i := range s.At {
		if len(places) > 0 && places[0] == i {
			places = places[1:]
			continue
		}
		out.At, out.Value = append(out.At, s.At[i]), append(out.Value, s.Value[i])
	}
	return out
}

// deficits returns the vapour pressure deficit at every humidity of a sensor,
// with the temperature it measured last.
func deficits(temperature, humidity *SensorSeries) SensorSeries {
	out := SensorSeries{Source: humidity.Source, At: make([]int64, 0, len(humidity.At)), Value: make([]float64, 0, len(humidity.At))}
	next := 0 // temperatures before it are not later than the humidity
	for i, at := range humidity.At {
		for next < len(temperature.At) && temperature.At[next] <= at {
			next++
		}
		if next > 0 && at-temperature.At[next-1] <= int64(pairedWithin/time.Second) {
			out.At = append(out.At, at)
			out.Value = append(out.Value, air.VPDKPa(temperature.Value[next-1], humidity.Value[i]))
		}
	}
	return out
}

// spreads gathers the hours of one quantity. Each sensor counts the same,
// however often it reports.
type spreads struct {
	of   []Spread
	sums []float64 // of the means of the sensors
	n    []int     // sensors
}

func newSpreads(hours int) *spreads {
	return &spreads{make([]Spread, hours), make([]float64, hours), make([]int, hours)}
}

func (g *spreads) add(s SensorSeries, begin, end int64) {
	first := sort.Search(len(s.At), func(i int) bool { return s.At[i] >= begin })
	for i := first; i < len(s.At) && s.At[i] < end; {
		hour := (s.At[i] - begin) / 3600
		until := min(end, begin+3600*(hour+1))
		sum, n := 0.0, 0
		h := &g.of[hour]
		if h.Count == 0 {
			h.Min, h.Max = s.Value[i], s.Value[i]
		}
		for ; i < len(s.At) && s.At[i] < until; i++ {
			v := s.Value[i]
			h.Min, h.Max = min(h.Min, v), max(h.Max, v)
			sum += v
			n++
		}
		h.Count += n
		g.sums[hour] += sum / float64(n)
		g.n[hour]++
		h.Mean = g.sums[hour] / float64(g.n[hour])
	}
}

// SummariseDay takes the readings of one calendar day of a space together, hour
// by hour and as a whole. Series may reach beyond the day by SummaryMargin.
func (k DayClock) SummariseDay(date time.Time, series []SensorSeries) ([]ClimateHour, ClimateDay) {
	begin, next := k.Begin(date), k.Begin(date.AddDate(0, 0, 1))
	from, until := begin.Unix(), next.Unix()
	hours := int((until - from + 3599) / 3600)
	day := ClimateDay{Date: date}

	temp, rh, vpd, ppfd := newSpreads(hours), newSpreads(hours), newSpreads(hours), newSpreads(hours)
	clean := make([]SensorSeries, len(series))
	for i := range series {
		suspects := series[i].Suspects()
		for _, at := range suspects {
			if t := series[i].At[at]; t >= from && t < until {
				day.Suspect++
			}
		}
		clean[i] = series[i].without(suspects)
	}
	for i := range clean {
		s := &clean[i]
		switch s.Quantity {
		case AirTemperature:
			temp.add(*s, from, until)
		case AirHumidity:
			rh.add(*s, from, until)
			for j := range clean {
				if t := &clean[j]; t.Quantity == AirTemperature && t.Source == s.Source {
					vpd.add(deficits(t, s), from, until)
				}
			}
		case LeafLight:
			ppfd.add(*s, from, until)
			if mol, covered := s.lightSum(begin, next); covered > day.DLIHours {
				day.DLIMol, day.DLIHours = mol, covered
			}
		}
	}
	rise, set := k.LitOn(date)
	var lit, dark partSum
	var lightSum gather
	var list []ClimateHour
	for h := range hours {
		one := ClimateHour{Start: begin.Add(time.Duration(h) * time.Hour).UTC(), TempC: temp.of[h], RHPercent: rh.of[h], VPDKPa: vpd.of[h], PPFD: ppfd.of[h]}
		if !one.TempC.Known() && !one.RHPercent.Known() && !one.PPFD.Known() {
			continue
		}
		middle := one.Start.Add(30 * time.Minute)
		one.Lit = !middle.Before(rise) && middle.Before(set)
		if one.Lit {
			lit.take(&one)
		} else {
			dark.take(&one)
		}
		lightSum.take(one.PPFD)
		list = append(list, one)
	}
	day.Lit, day.Dark, day.Light = lit.part(), dark.part(), lightSum.spread()
	return list, day
}

// lightSum integrates light over a span, mol m⁻², and says how many hours of it
// the readings cover.
func (s *SensorSeries) lightSum(from, until time.Time) (mol, hours float64) {
	readings := make([]light.Reading, len(s.At))
	for i, at := range s.At {
		readings[i] = light.Reading{At: time.Unix(at, 0), PPFD: s.Value[i]}
	}
	sum, err := light.LoggedDLI(readings, from, until, lightGap)
	if err != nil {
		return 0, 0 // readings are checked when they are kept
	}
	return sum.Mol, sum.Covered.Hours()
}

// gather makes one spread of those of several hours.
type gather struct {
	Spread // its mean is a sum
	hours  int
}

func (g *gather) take(h Spread) {
	if !h.Known() {
		return
	}
	if g.hours == 0 {
		g.Min, g.Max = h.Min, h.Max
	}
	g.Min, g.Max = math.Min(g.Min, h.Min), math.Max(g.Max, h.Max)
	g.Mean += h.Mean
	g.Count += h.Count
	g.hours++
}

func (g *gather) spread() Spread {
	s := g.Spread
	if g.hours > 0 {
		s.Mean /= float64(g.hours)
	}
	return s
}

// partSum gathers the day or the night.
type partSum struct {
	temp, rh, vpd gather
	hours         int
}

func (p *partSum) take(h *ClimateHour) {
	p.hours++
	p.temp.take(h.TempC)
	p.rh.take(h.RHPercent)
	p.vpd.take(h.VPDKPa)
}

func (p *partSum) part() ClimatePart {
	return ClimatePart{TempC: p.temp.spread(), RHPercent: p.rh.spread(), VPDKPa: p.vpd.spread(), Hours: p.hours}
}
