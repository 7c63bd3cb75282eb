package care

import (
	"math"

	"velamen/science/basis"
	"velamen/science/pot"
)

// delayDays is for how many days of waiting the root zone is simulated; each day
// beyond them is as the last.
const delayDays = 21

// Delay is what waiting does to a plant, in stress days. A stress day is a day on
// which roots that bring all the leaves need stand wholly dry, or in pore water
// twice as salty as they should.
type Delay struct {
	First      basis.Value `json:"first_day"`
	Week       float64     `json:"week"`        // seven days, with the first
	ThreeWeeks float64     `json:"three_weeks"` // twenty-one

	sum     [delayDays]float64 // after one day beyond the latest day, after two, …
	because Because
}

// total fills in what is told of the sums.
func (d *Delay) total() { d.Week, d.ThreeWeeks = d.After(7), d.After(21) }

// After returns what so many days beyond the latest day cost in all.
func (d *Delay) After(days int) float64 {
	switch {
	case d == nil || days <= 0:
		return 0
	case days <= delayDays:
		return d.sum[days-1]
	}
	last := d.sum[delayDays-1] - d.sum[delayDays-2]
	return d.sum[delayDays-1] + float64(days-delayDays)*last
}

// Figure is what the first day costs, with its reasons.
func (d *Delay) Figure() Figure {
	because := d.because
	return Figure{d.First, &because}
}

// Equal reports whether two delays cost the same.
func (d *Delay) Equal(other *Delay) bool {
	if d == nil || other == nil {
		return d == other
	}
	return d.sum == other.sum && d.First == other.First
}

// NewDelay is a delay of which so many days cost so many stress days in all. It
// must not fall.
func NewDelay(first basis.Value, after func(days int) float64) *Delay {
	d := &Delay{First: first}
	for k := range d.sum {
		d.sum[k] = after(k + 1)
	}
	d.total()
	return d
}

// evenly is a delay of which every day costs the same.
func evenly(perDay basis.Value, rule string) *Delay {
	d := NewDelay(perDay, func(days int) float64 { return float64(days) * perDay.Value })
	d.because = Because{Rule: rule, Inputs: []Input{{"a day", perDay}}}
	return d
}

func stressDays(value, low, high float64) basis.Value {
	return basis.Assumed(value, low, high, "stress days")
}

// What a day's delay of the other tasks costs, and beyond practice that of a
// flush: no root zone tells it, so these are judged against it.
var (
	lateLook    = evenly(stressDays(0.4, 0.1, 1), "survivors may lay eggs before they are seen: weighed as four tenths of a day dry")
	lateReview  = evenly(stressDays(0.2, 0.1, 0.4), "a step up is earned a day later")
	lateReading = evenly(stressDays(0.05, 0.02, 0.1), "growth is told from standstill a day later")
	latePicture = evenly(stressDays(0.01, 0, 0.02), "nothing but a gap in the pictures")
	lateFeed    = evenly(stressDays(0.03, 0, 0.1), "nothing for some days: the medium still holds some feed")

	// practiceDelay is what a day beyond the rhythm of practice counts even where
	// the simulated root zone is still within its limits.
	practiceDelay = stressDays(0.1, 0.05, 0.2)
	// Roots that bring less than the leaves need have nothing in reserve.
	mostVulnerable = basis.Assumed(3, 2, 5, "1")
)

// vulnerability is how much more a bad day means to a plant with the roots it
// has left than to one with all of them.
func (s *subject) vulnerability() basis.Value {
	r := s.plant.Repot
	brings := headroom(s.plant.Vigour).Value * r.RootsKept.Value / math.Max(0.01, r.LeavesKept.Value)
	v := math.Min(mostVulnerable.Value, math.Max(1, 1/math.Max(0.01, brings)))
	return basis.Assumed(v, 1, math.Max(v, mostVulnerable.High), "1")
}

// delays returns what waiting with a flush costs, and with the watering between
// two of them: the root zone runs on after the day on which it was due, hour by
// hour, without it.
func (s *subject) delays(z rootZone, r rhythm, vulnerable basis.Value) (flush, between *Delay, err error) {
	if flush, err = s.delay(z, r, r.flushDays, true, vulnerable); err != nil {
		return nil, nil, err
	}
	if r.waterDays < r.flushDays {
		between, err = s.delay(z, r, r.waterDays, false, vulnerable)
	}
	return flush, between, err
}

func (s *subject) delay(z rootZone, r rhythm, every int, waterings bool, vulnerable basis.Value) (*Delay, error) {
	days := min(every+delayDays, z.hours()/24)
	hours := 24 * days
	pours := []pot.Pour{{Hour: wateringHour, ML: r.flushML / 2, ECmS: r.plainECmS}, {Hour: wateringHour + 1, ML: r.flushML / 2, ECmS: max(r.plainECmS, r.feedECmS)}}
	for w := 1; w < r.wettings; w++ {
		pours = append(pours, pot.Pour{Hour: wateringHour + w*12/mostWettings, ML: r.flushML / 2, ECmS: r.plainECmS})
	}
	if waterings {
		for day := r.waterDays; r.waterDays < every && day < days; day += r.waterDays {
			pours = append(pours, pot.Pour{Hour: 24*day + wateringHour, ML: r.waterML, ECmS: r.plainECmS})
		}
	}
	out := pot.Series{Wetness: make([]float64, hours), ECmS: make([]float64, hours)}
	if _, err := pot.Simulate(z.pot, r.end, between(z.forcing, 0, hours), pours, out); err != nil {
		return nil, err
	}
	d := &Delay{because: Because{
		Rule: "the hours of a day beyond the rhythm, simulated without the water: how far below its driest and above its saltiest limit the root zone stands, as a share of the limit; times how little the roots that were kept have in reserve; at least what practice makes of a day too long",
		Inputs: []Input{
			{"driest wetness for " + s.group.Name, basis.Exactly(z.limits.wetness, "share", basis.Assumption, "")},
			{"saltiest pore water", basis.Exactly(z.limits.ECmS, "mS/cm", basis.CommonPractice, "")},
			{"rhythm", basis.Exactly(float64(every), "days", basis.Assumption, "")},
			{"counts, for the roots kept", vulnerable},
			{"a day beyond practice, at least", practiceDelay},
		},
	}}
	sum, last := 0.0, 0.0
	for k := range delayDays {
		from, to := 24*(every+k)+wateringHour, 24*(every+k+1)+wateringHour
		if to <= hours {
			last = 0
			for h := from; h < to; h++ {
				dry := math.Max(0, (z.limits.wetness-out.Wetness[h])/z.limits.wetness)
				salty := math.Max(0, (out.ECmS[h]-z.limits.ECmS)/z.limits.ECmS)
				last += math.Min(1, dry+salty) / 24
			}
		}
		sum += math.Max(practiceDelay.Value, last*vulnerable.Value)
		d.sum[k] = sum
		if k == 0 {
			d.First = stressDays(sum, math.Min(sum, math.Max(practiceDelay.Low, last)), math.Max(practiceDelay.High, last*vulnerable.High))
		}
	}
	d.total()
	return d, nil
}
