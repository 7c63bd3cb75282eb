package care

import (
	"fmt"
	"math"
	"strings"
	"time"

	"velamen/science/course"
	"velamen/science/leaf"
	"velamen/science/pot"
)

// Around is the climate around a plant as far as it was measured, and as far as
// it was forecast; each in order of time.
type Around struct {
	Measured []ClimateHour
	Ahead    []ClimateHour // of a forecast that was handed in; what was measured comes first
	AheadOf  time.Time     // when it was handed in
}

// patternDays is how many of the last days make the pattern that the days ahead
// are taken to follow.
const patternDays = 3

// Where the climate of an hour came from.
const (
	fromTypicalDay = iota
	fromReadings
	fromPattern
	fromForecast
	climateSources
)

// surroundings lays the climate around a plant out in hours from the midnight of
// its repot.
type surroundings struct {
	s    *subject
	t    *transpiration
	c    *Course
	hour map[int]*ClimateHour
	fore map[int]*ClimateHour
	// pattern is the mean of the last days measured, by the hour of the day; an
	// hour without a count was not measured.
	pattern [24]ClimateHour
	aheadOf time.Time
	last    int // hour after the last one measured
	// headroom is what the course was reckoned with, over what was assumed before
	// anything was learned: the members of an ensemble bring their own.
	headroom float64

	count [climateSources]int // hours by where their climate came from
}

func newSurroundings(s *subject, t *transpiration, c *Course, around Around) *surroundings {
	w := &surroundings{s: s, t: t, c: c, headroom: 1, aheadOf: around.AheadOf, hour: map[int]*ClimateHour{}, fore: map[int]*ClimateHour{}}
	for i := range around.Measured {
		h := w.hourOf(around.Measured[i].Start)
		w.hour[h] = &around.Measured[i]
		w.last = max(w.last, h+1)
	}
	for i := range around.Ahead {
		w.fore[w.hourOf(around.Ahead[i].Start)] = &around.Ahead[i]
	}
	w.pattern = w.lastDays()
	return w
}

// hourOf counts hours by the clock at the place.
func (w *surroundings) hourOf(at time.Time) int {
	return 24*daysBetween(w.s.plant.Repot.Date, midnight(at)) + at.Hour()
}

// lastDays is the mean of the last days measured.
func (w *surroundings) lastDays() (day [24]ClimateHour) {
	for h := w.last - 24*patternDays; h < w.last; h++ {
		one := w.hour[h]
		if one == nil {
			continue
		}
		mean := &day[((h%24)+24)%24]
		for _, pair := range [][2]*Spread{{&mean.TempC, &one.TempC}, {&mean.RHPercent, &one.RHPercent}, {&mean.PPFD, &one.PPFD}} {
			if sum, add := pair[0], pair[1]; add.Known() {
				sum.Mean = (sum.Mean*float64(sum.Count) + add.Mean) / float64(sum.Count+1)
				sum.Count++
			}
		}
	}
	return day
}

// of returns what is known of the climate of an hour, and from where; nil is a
// typical day. today is the first hour that lies ahead.
func (w *surroundings) of(hour, today int) (*ClimateHour, int) {
	known := func(c *ClimateHour) bool { return c != nil && c.TempC.Known() && c.RHPercent.Known() }
	if c := w.hour[hour]; known(c) {
		return c, fromReadings
	}
	if c := w.fore[hour]; hour >= today && known(c) {
		return c, fromForecast
	}
	// A gap of a few days, and the days ahead, are taken to be like the last
	// days measured.
	if c := &w.pattern[((hour%24)+24)%24]; known(c) && hour >= w.last-24*patternDays {
		return c, fromPattern
	}
	return nil, fromTypicalDay
}

// weather works out what acts on the pot over some days of the course: what the
// leaves would lose, which share of it the roots bring, and how fast surfaces
// dry. today is the day from which forecasts count.
func (w *surroundings) weather(fromDay, days, today int) (pot.Weather, error) {
	n := 24 * days
	out := pot.Weather{LossML: make([]float64, n), SupplyShare: make([]float64, n), PotentialMM: make([]float64, n), RHPercent: make([]float64, n)}
	area := w.s.leafAreaM2()
	var loss, evaporation [24]float64
	typical := -1 // the week that loss and evaporation are those of a typical day of
	share := 0.0
	w.count = [climateSources]int{}
	for d := range days {
		day := fromDay + d
		week := min(max(day/7, 0), len(w.c.Weeks)-1)
		var around [24]*ClimateHour
		measured := false
		for h := range around {
			var from int
			if around[h], from = w.of(24*day+h, 24*today); around[h] != nil {
				measured = true
			}
			w.count[from]++
		}
		if measured || week != typical {
			var err error
			if share, err = w.day(&w.c.Weeks[week], &around, &loss, &evaporation); err != nil {
				return out, fmt.Errorf("day %d: %w", day, err)
			}
			typical = week
			if measured {
				typical = -1
			}
		}
		for h := range 24 {
			at := 24*d + h
			out.LossML[at] = math.Min(loss[h]*area, pot.LargestDemandML/20)
			out.SupplyShare[at] = share
			out.PotentialMM[at] = evaporation[h]
			out.RHPercent[at] = w.t.day.RHPercent[h]
		}
	}
	return out, nil
}

// day works out one day: g/m² that leaves lose in each hour, mm that evaporate,
// and the share of the loss that the roots bring.
func (w *surroundings) day(week *Week, around *[24]*ClimateHour, loss, evaporation *[24]float64) (share float64, err error) {
	n := week.Targets
	w.t.day.set(course.Climate{
		LightFactor: n.LightPPFD.Value.Value / math.Max(1e-9, w.s.usualPPFD.Value),
		DayC:        n.DayHeatCapC.Value.Value, AirSpeedMS: n.AirSpeedMS.Value.Value,
		DayRHPercent: n.DayRHPercent.Value.Value, NightRHPercent: n.NightRHPercent.Value.Value,
	}, w.t.nightC)
	for h, c := range around {
		if c == nil {
			continue
		}
		w.t.day.AirC[h], w.t.day.RHPercent[h] = math.Max(0, math.Min(50, c.TempC.Mean)), c.RHPercent.Mean
		if c.PPFD.Known() {
			w.t.day.PPFD[h] = math.Min(2500, c.PPFD.Mean)
		}
	}
	if err := leaf.HourlyLossGM2(loss[:], w.t.stomata, w.t.widthM, w.t.day.Climate); err != nil {
		return 0, err
	}
	total := 0.0
	for h, l := range loss {
		loss[h] = l
		total += l
	}
	share = 1
	if total > 0 && w.t.usual > 0 {
		share = math.Max(0, week.Supply) * w.t.usual / total / w.headroom
	}
	parameters, movement := pot.Defaults(), w.s.movement()
	for h := range evaporation {
		v, err := parameters.PotentialEvaporationMM(w.t.day.AirC[h], w.t.day.RHPercent[h], w.s.pressure, movement)
		if err != nil {
			return 0, fmt.Errorf("how a pot dries: %w", err)
		}
		evaporation[h] = math.Min(pot.LargestPotentialMM, v.Value/24)
	}
	return share, nil
}

// movement is how the air moves over the pots of the space.
func (s *subject) movement() pot.AirMovement {
	if s.space.Air == MovingAir || s.space.Air == StrongAir {
		return pot.FanAir
	}
	return pot.StillAir
}

// says tells where the climate of the last weather came from.
func (w *surroundings) says() string {
	total := 0
	for _, n := range w.count {
		total += n
	}
	if total == w.count[fromTypicalDay] {
		return "the climate is that of a typical day at the targets: nothing was measured in this space"
	}
	var parts []string
	for _, one := range []struct {
		source int
		words  string
	}{
		{fromReadings, "as measured"}, {fromForecast, "by the forecast file of " + w.aheadOf.Format("2 January")},
		{fromPattern, fmt.Sprintf("like the last %d days measured", patternDays)}, {fromTypicalDay, "a typical day at the targets"},
	} {
		if n := w.count[one.source]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d h %s", n, one.words))
		}
	}
	return "the climate: " + strings.Join(parts, ", ")
}
