package pot

import "fmt"

// Limit names what decides an interval.
type Limit uint8

const (
	LongestAllowed Limit = iota // neither limit: the longest interval asked for holds
	TooDry                      // wetness falls below its limit
	TooSalty                    // pore-water EC rises above its limit
)

// String returns the words shown to the grower.
func (l Limit) String() string {
	switch l {
	case LongestAllowed:
		return "the longest interval allowed"
	case TooDry:
		return "too dry"
	case TooSalty:
		return "too salty"
	}
	return "unknown limit"
}

// Rhythm is a repeated pour and the limits it has to keep.
type Rhythm struct {
	LongestDays  int     // longest interval to consider, 1 to 60 days
	PourHour     int     // hour of the forcing at which the first pour stands, 0 to 23
	PourML       float64 // each pour, 0 to 100 000 mL
	PourECmS     float64 // 0 to 50 mS/cm
	LeastWetness float64 // lowest wetness to allow, share of capacity, 0 to 1
	MostECmS     float64 // highest pore-water EC to allow, 0 to 50 mS/cm
}

// Interval is the answer to how often.
type Interval struct {
	Days      int     // the longest interval that keeps both limits; 0 if even a daily pour does not
	DecidedBy Limit   // what breaks one day later, or on the daily pour if Days is 0
	Hour      int     // hour of the forcing at which it breaks
	Value     float64 // wetness or EC in that hour
}

// LongestInterval returns the longest interval in whole days, up to the longest
// one asked for, at which pours keep wetness and EC within their limits from
// the first pour to the end of the forcing, and which limit breaks at the next
// longer one. Hours before the first pour do not count.
func LongestInterval(p *Pot, start State, forcing Forcing, rhythm Rhythm) (Interval, error) {
	hours := len(forcing.DemandML)
	if err := firstError(
		checkRun(p, &start, forcing, nil, Series{}),
		checkPour(rhythm.PourML, rhythm.PourECmS),
		within("longest interval", float64(rhythm.LongestDays), 1, longestIntervalDays, "days"),
		within("hour of the pour", float64(rhythm.PourHour), 0, 23, "hours"),
		within("lowest wetness", rhythm.LeastWetness, 0, 1, "1"),
		within("highest EC", rhythm.MostECmS, 0, LargestECmS, "mS/cm"),
		// A shorter forcing could not tell a longer interval from a shorter one.
		within("length of the forcing", float64(hours), float64(24*rhythm.LongestDays+rhythm.PourHour), largestHorizonHours, "hours"),
	); err != nil {
		return Interval{}, err
	}
	answer := Interval{DecidedBy: LongestAllowed}
	pours := make([]Pour, 0, hours/24+1)
	for days := rhythm.LongestDays; days >= 1; days-- {
		pours = pours[:0]
		for hour := rhythm.PourHour; hour < hours; hour += 24 * days {
			pours = append(pours, Pour{Hour: hour, ML: rhythm.PourML, ECmS: rhythm.PourECmS})
		}
		limits := watch{fromHour: rhythm.PourHour, leastWet: rhythm.LeastWetness, mostECmS: rhythm.MostECmS}
		if _, err := simulate(p, start, forcing, pours, Series{}, &limits); err != nil {
			return Interval{}, fmt.Errorf("every %d days: %w", days, err)
		}
		if limits.brokenBy == LongestAllowed {
			answer.Days = days
			return answer, nil
		}
		answer.DecidedBy, answer.Hour, answer.Value = limits.brokenBy, limits.brokenHour, limits.brokenValue
	}
	return answer, nil
}

// WetHoursPerDay returns for how many hours of a typical day roots are wet
// when the same wettings are given every day: the figure to steer a mount by.
// The day is repeated until one day ends as the one before.
func WetHoursPerDay(p *Pot, day Forcing, wettings []Pour) (float64, error) {
	if len(day.DemandML) != 24 {
		return 0, fmt.Errorf("pot: a typical day has %d hours, expected 24", len(day.DemandML))
	}
	state, err := p.Fill(1, 1, 0, 0)
	if err != nil {
		return 0, err
	}
	if err := checkRun(p, &state, day, wettings, Series{}); err != nil {
		return 0, err
	}
	var wetHours float64
	for range steadyDays {
		result, err := simulate(p, state, day, wettings, Series{}, nil)
		if err != nil {
			return 0, err
		}
		before := p.Wetness(&state)
		wetHours, state = result.WetHours, result.End
		if change := p.Wetness(&state) - before; change < 1e-6 && change > -1e-6 {
			break
		}
	}
	return wetHours, nil
}
