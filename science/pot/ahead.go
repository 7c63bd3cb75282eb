package pot

import (
	"errors"
	"fmt"
)

// Bands are the hourly courses of an ensemble: the median of its members and
// the middle 80 % of them.
type Bands struct {
	Wetness, ECmS []Span // at the end of each hour
	WetHours      Span   // hours in which roots were wet, in all
}

// trajectory is what one member does.
type trajectory struct {
	from          int
	wetness, ecMS []float64
	wetHours      float64
}

func (t *trajectory) note(m *member, hour int, filmSalt float64) {
	waterML := m.state.FilmML + m.state.ParticleML
	wetness := min(1, waterML*m.Pot.perCapacity)
	t.wetness[hour-t.from] = wetness
	t.ecMS[hour-t.from] = (filmSalt + m.state.ParticleSalt) / max(waterML, ecAtLeastWaterShare*m.Pot.capacityML)
	if wetness >= m.Pot.wetRoots {
		t.wetHours++
	}
}

// Bands follows the members from the start of the weather through the pours to
// its end and returns what they do from an hour on. wetFrom is the hour from
// which wet hours count. The ensemble is left as it is; pours must be in order
// and say all that was poured from the start on.
func (e *Ensemble) Bands(pours []Event, from, wetFrom int) (Bands, error) {
	hours := len(e.weather.LossML)
	if from < 0 || from > hours {
		return Bands{}, fmt.Errorf("pot: bands from hour %d of %d", from, hours)
	}
	n := len(e.members)
	wet := make([]float64, n*(hours-from))
	salt := make([]float64, n*(hours-from))
	wetHours := make([]weighted, n)
	for i := range e.members {
		m := e.members[i]
		m.state, m.paceOf = m.Start, m.Pot.newPace(1)
		out := trajectory{wetness: make([]float64, hours), ecMS: make([]float64, hours)}
		hour := 0
		step := func(to int) {
			middle := min(max(wetFrom, hour), to)
			e.advance(&m, hour, middle, &out)
			if hour < wetFrom {
				out.wetHours = 0
			}
			e.advance(&m, middle, to, &out)
			hour = to
		}
		for _, p := range pours {
			if p.What != Watered {
				continue
			}
			if p.Hour < hour || p.Hour > hours {
				return Bands{}, errors.New("pot: pours are out of order")
			}
			step(p.Hour)
			m.Pot.flush(&m.state, p.Value, p.ECmS)
		}
		step(hours)
		for h := from; h < hours; h++ {
			wet[(h-from)*n+i], salt[(h-from)*n+i] = out.wetness[h], out.ecMS[h]
		}
		wetHours[i] = weighted{out.wetHours, e.weights[i]}
	}
	b := Bands{Wetness: make([]Span, hours-from), ECmS: make([]Span, hours-from), WetHours: span(wetHours)}
	list := make([]weighted, n)
	spanOf := func(values []float64) Span {
		for i, v := range values {
			list[i] = weighted{v, e.weights[i]}
		}
		return span(list)
	}
	for h := range b.Wetness {
		b.Wetness[h] = spanOf(wet[h*n : (h+1)*n])
		b.ECmS[h] = spanOf(salt[h*n : (h+1)*n])
	}
	return b, nil
}

// DryDown returns after how many hours the pot, poured full now with low-salt
// water, would be dry to a wetness (share of capacity), in the weather of a day
// repeated; days that never dry it within 60 days count as that long. The
// ensemble is left as it is.
func (e *Ensemble) DryDown(day Weather, pourML, driest float64) (Span, error) {
	list, err := e.dryDowns(day, pourML, driest)
	if err != nil {
		return Span{}, err
	}
	return span(list), nil
}

const longestDryHours = 24 * 60

func (e *Ensemble) dryDowns(day Weather, pourML, driest float64) ([]weighted, error) {
	if n, err := day.hours(); err != nil || n != 24 {
		return nil, errors.Join(err, fmt.Errorf("pot: a day of %d hours, expected 24", n))
	}
	if err := firstError(checkPour(pourML, 0), within("driest wetness", driest, 0, 1, "1")); err != nil {
		return nil, err
	}
	list := make([]weighted, len(e.members))
	for i := range e.members {
		list[i] = weighted{e.dryHours(e.members[i], day, pourML, driest), e.weights[i]}
	}
	return list, nil
}

// dryHours follows one member, which it got a copy of.
func (e *Ensemble) dryHours(m member, day Weather, pourML, driest float64) float64 {
	m.Pot.flush(&m.state, pourML, 0)
	one := Ensemble{weather: day}
	before := m.Pot.Wetness(&m.state)
	for h := range longestDryHours {
		one.advance(&m, h%24, h%24+1, nil)
		now := m.Pot.Wetness(&m.state)
		if now < driest {
			return float64(h) + shareAbove(before, now, driest)
		}
		before = now
	}
	return longestDryHours
}
