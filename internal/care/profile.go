package care

import (
	"math"
	"strings"
	"time"

	"velamen/science/basis"
)

// ClimateProfile is the usual climate of a space as it was measured: the mean of
// each hour of the day over some weeks.
type ClimateProfile struct {
	From, Until time.Time // of the readings, until left out
	Days        int       // on which something was measured
	TempC       [24]float64
	RHPercent   [24]float64
	TempSD      float64 // between the means of the days
	RHSD        float64
}

// What makes a profile: enough to be called usual, and no older than a season.
const (
	ProfileWeeks     = 4
	leastProfileDays = 3
)

// ProfileSpan returns the time whose readings make the profile on a day: the
// last whole weeks, so that courses change by it once a week and not with every
// reading.
func ProfileSpan(on time.Time) (from, until time.Time) {
	y, m, d := on.Date()
	until = time.Date(y, m, d-(int(on.Weekday())+6)%7, 0, 0, 0, 0, on.Location())
	return until.AddDate(0, 0, -7*ProfileWeeks), until
}

// NewClimateProfile makes a profile of measured hours. Without every hour of the
// day on at least three days there is none.
func NewClimateProfile(hours []ClimateHour) (p ClimateProfile, ok bool) {
	var count [24]float64
	type sum struct{ temp, rh, n float64 }
	days := map[time.Time]*sum{}
	for _, h := range hours {
		if !h.TempC.Known() || !h.RHPercent.Known() {
			continue
		}
		at := h.Start.Hour()
		count[at]++
		p.TempC[at] += h.TempC.Mean
		p.RHPercent[at] += h.RHPercent.Mean
		date := midnight(h.Start)
		if days[date] == nil {
			days[date] = &sum{}
		}
		day := days[date]
		day.temp, day.rh, day.n = day.temp+h.TempC.Mean, day.rh+h.RHPercent.Mean, day.n+1
		if p.From.IsZero() {
			p.From = h.Start
		}
		p.Until = h.Start.Add(time.Hour)
	}
	p.Days = len(days)
	for at, n := range count {
		if n < leastProfileDays {
			return ClimateProfile{}, false
		}
		p.TempC[at] /= n
		p.RHPercent[at] /= n
	}
	var temp, rh, tempSquared, rhSquared float64
	for _, day := range days {
		t, r := day.temp/day.n, day.rh/day.n
		temp, rh, tempSquared, rhSquared = temp+t, rh+r, tempSquared+t*t, rhSquared+r*r
	}
	n := float64(len(days))
	spread := func(sum, squares float64) float64 { return math.Sqrt(math.Max(0, squares/n-sum/n*sum/n)) }
	p.TempSD, p.RHSD = spread(temp, tempSquared), spread(rh, rhSquared)
	return p, true
}

// mean returns the mean of a profile over the hours that are lit, or over those
// that are not.
func (p *ClimateProfile) mean(of *[24]float64, lit []bool, wanted bool) (mean float64, ok bool) {
	n := 0.0
	for h, v := range of {
		if lit[h] == wanted {
			mean += v
			n++
		}
	}
	return mean / math.Max(1, n), n > 0
}

// settleMeasured puts what was measured of the space in the place of what was
// said or assumed of it.
func (s *subject) settleMeasured(c Case) error {
	p, ok := c.Measured[strings.ToLower(s.space.Name)]
	if !ok {
		return nil
	}
	lit := s.litHours()
	for _, one := range []struct {
		value  *basis.Value
		of     *[24]float64
		day    bool
		spread float64
		unit   string
	}{
		{&s.space.DayC, &p.TempC, true, p.TempSD, "°C"}, {&s.space.NightC, &p.TempC, false, p.TempSD, "°C"},
		{&s.space.DayRHPercent, &p.RHPercent, true, p.RHSD, "%"}, {&s.space.NightRHPercent, &p.RHPercent, false, p.RHSD, "%"},
	} {
		mean, ok := p.mean(one.of, lit, one.day)
		if !ok {
			continue // it is always day, or always night
		}
		low, high := mean-one.spread, mean+one.spread
		if one.unit == "%" {
			low, high = math.Max(0, low), math.Min(100, high)
		}
		*one.value = basis.Value{Value: mean, Low: low, High: high, Unit: one.unit, Grade: basis.Measured,
			Source: "readings of " + p.From.Format("2 January") + " to " + p.Until.Add(-time.Hour).Format("2 January 2006")}
	}
	s.profile = &p
	return nil
}

// litHours says which hours of the day have light at the plant.
func (s *subject) litHours() []bool {
	lit := make([]bool, 24)
	for h := range lit {
		middle := float64(h) + 0.5
		lit[h] = middle > s.lightStart && middle < s.lightStart+s.lighting.Hours
	}
	return lit
}

// shape is by how much each hour of the measured day leaves the mean of the
// lit or the dark hours.
func (p *ClimateProfile) shape(lit []bool) (temp, rh [24]float64) {
	for _, wanted := range [2]bool{true, false} {
		meanT, _ := p.mean(&p.TempC, lit, wanted)
		meanRH, _ := p.mean(&p.RHPercent, lit, wanted)
		for h := range 24 {
			if lit[h] == wanted {
				temp[h], rh[h] = p.TempC[h]-meanT, p.RHPercent[h]-meanRH
			}
		}
	}
	return temp, rh
}
