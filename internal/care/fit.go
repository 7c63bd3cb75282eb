package care

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/light"
)

// PlaceOption is somewhere a plant can stand: a spot, or a space without spots.
type PlaceOption struct {
	Space, Spot string
	Places      int // plants it holds; 0: as many as stand there
	PPFD        basis.Value
}

// Name is the place in words.
func (p PlaceOption) Name() string {
	if p.Spot == "" {
		return p.Space
	}
	return p.Space + ", " + p.Spot
}

// Holds reports whether a plant stands there.
func (p PlaceOption) Holds(r *Plant) bool {
	return strings.EqualFold(p.Space, r.Space) && strings.EqualFold(p.Spot, r.Spot)
}

// PlaceOptions returns everywhere that a plant can stand, in walking order. A
// space with spots is also one as a whole while plants stand in none of them.
func (c *Collection) PlaceOptions(zone *time.Location, on time.Time) []PlaceOption {
	var list []PlaceOption
	for _, s := range c.Spaces {
		spots := c.SpotsIn(s.Name)
		loose := slices.ContainsFunc(slices.Collect(mapValues(c.Plants)), func(p *PlantState) bool {
			return p.Ended.IsZero() && strings.EqualFold(p.Record.Space, s.Name) && p.Record.Spot == ""
		})
		if len(spots) == 0 || loose {
			list = append(list, PlaceOption{Space: s.Name})
		}
		for _, spot := range spots {
			one := PlaceOption{Space: s.Name, Spot: spot.Name, Places: spot.Places}
			if l, err := c.LightOf(spot, zone); err == nil {
				one.PPFD = l.peak(on.In(zone))
			} else if spot.Read != nil {
				one.PPFD = spot.Read.PPFD
			}
			list = append(list, one)
		}
	}
	return list
}

func mapValues(m map[string]*PlantState) func(yield func(*PlantState) bool) {
	return func(yield func(*PlantState) bool) {
		for _, p := range m {
			if !yield(p) {
				return
			}
		}
	}
}

// peak is the brightest of a clear day with the same sum.
func (l *SpotLight) peak(date time.Time) basis.Value {
	sum, err := l.DLI(date)
	if err != nil {
		return basis.Value{}
	}
	day, err := light.DaylightOn(date, l.site)
	if err != nil || day.Length() <= 0 {
		return basis.Value{}
	}
	// The sum of a half-sine is 2/π of its peak over the day.
	each := 1e6 / (day.Length().Seconds() * 2 / math.Pi)
	return basis.Value{Value: each * sum.Value, Low: each * sum.Low, High: each * sum.High, Unit: string(PPFD), Grade: sum.Grade, Source: sum.Source}
}

// Fit is how a place suits a plant in this week of its course.
type Fit struct {
	PlaceOption
	Here   bool
	Misfit float64 // 0 is what it asks for; 1 is a clear step beyond it, in one respect
	Gaps   []string
}

// What counts as a clear step beyond what a plant asks for. All are assumptions:
// about what growers call a different place.
var (
	stepC     = basis.Assumed(3, 2, 5, "°C")
	stepRH    = basis.Assumed(15, 10, 25, "%")
	stepLight = basis.Assumed(2, 1.5, 3, "1") // times as bright
	// Light beyond so many times what is asked for may burn leaves for good, which
	// counts as so many steps more: no better air makes up for it.
	scorching   = basis.Assumed(3, 2, 4, "1")
	scorchSteps = basis.Assumed(4, 2, 8, "1")
)

// Fits ranks places for a plant on a day, the best first. outline is that of its
// course.
func Fits(c Case, p Plant, tables culture.Table, outline *Outline, places []PlaceOption, on time.Time) ([]Fit, error) {
	list := make([]Fit, len(places))
	for i, place := range places {
		one, err := fit(c, p, tables, outline.Wanted(on), place)
		if err != nil {
			return nil, fmt.Errorf("how %s suits %s: %w", place.Name(), p.Label, err)
		}
		list[i] = one
	}
	slices.SortStableFunc(list, func(a, b Fit) int { return cmp.Compare(a.Misfit, b.Misfit) })
	return list, nil
}

func fit(c Case, p Plant, tables culture.Table, wanted Climate, place PlaceOption) (Fit, error) {
	out := Fit{PlaceOption: place, Here: place.Holds(&p)}
	there := p
	there.Space, there.Spot = place.Space, place.Spot
	s, err := settle(c, there, tables)
	if err != nil {
		return out, err
	}
	gap := func(steps float64, words string, args ...any) {
		if steps > 0.1 {
			out.Misfit += steps
			out.Gaps = append(out.Gaps, fmt.Sprintf(words, args...))
		}
	}
	is := s.space
	degrees := func(over float64, words string) {
		if over >= 0.5 { // what is not shown does not count
			gap(over/stepC.Value, "%.0f °C "+words, over)
		}
	}
	degrees(is.DayC.Value-wanted.DayC, "warmer by day than it should be")
	degrees(s.group.DayC.Low-is.DayC.Value, "colder by day than its group is kept")
	degrees(is.NightC.Value-s.group.NightC.High, "warmer by night than its group is kept")
	degrees(s.group.NightC.Low-is.NightC.Value, "colder by night than its group is kept")
	for _, half := range []struct {
		name         string
		wanted, here float64
	}{{"day", wanted.DayRHPercent, is.DayRHPercent.Value}, {"night", wanted.NightRHPercent, is.NightRHPercent.Value}} {
		gap((half.wanted-half.here)/stepRH.Value, "humidity by %s %.0f points below what it asks for", half.name, half.wanted-half.here)
	}
	ppfd := place.PPFD
	if ppfd.Grade == 0 {
		ppfd = s.usualPPFD
	}
	if ppfd.Value > 0 && wanted.LightPPFD > 0 {
		ratio := ppfd.Value / wanted.LightPPFD
		steps := math.Log(ratio) / math.Log(stepLight.Value)
		if ratio > scorching.Value {
			gap(steps+scorchSteps.Value, "%.1f times as bright as it should be, which may burn it", ratio)
		} else {
			gap(steps, "%.1f times as bright as it should be", ratio)
		}
		gap(-steps-0.5, "only %.0f %% of the light it asks for", 100*ratio)
	}
	return out, nil
}
