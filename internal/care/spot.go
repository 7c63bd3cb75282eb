package care

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"velamen/science/basis"
	"velamen/science/light"
)

// Spot is a place in a space with its own light: a sill, a shelf by the window,
// a bench under the cloth. Without an opening it has the light of its space.
type Spot struct {
	Space  string      `json:"space"`
	Name   string      `json:"name"`
	Faces  string      `json:"faces,omitempty"`       // the direction of its window, "NE"; empty: light from above
	FarM   basis.Value `json:"distance_m,omitzero"`   // from the window, 0 to 10 m
	Covers []string    `json:"covers,omitempty"`      // between sky and plant
	Places int         `json:"places,omitempty"`      // plants that it holds; 0: as many as stand there
	Lamps  bool        `json:"under_lamps,omitempty"` // it has the light of its space, whatever the season
}

// LightRead is one reading of a meter at a spot.
type LightRead struct {
	Space string      `json:"space"`
	Spot  string      `json:"spot"`
	PPFD  basis.Value `json:"ppfd"` // µmol m⁻² s⁻¹ at the leaves
	Clear bool        `json:"clear_sky,omitempty"`
}

// SpotState is a spot with the last reading of its light.
type SpotState struct {
	Spot
	Read   *LightRead
	ReadAt time.Time
}

// EarlyLight is a reading whose spot is described by a later entry: a meter is
// often read first, and clocks of forms know no seconds.
type EarlyLight struct {
	LightRead
	At time.Time
}

// mostPlaces is more plants than any spot holds.
const mostPlaces = 10_000

func (s *Spot) check(bad func(field, format string, args ...any)) {
	if strings.TrimSpace(s.Space) == "" || strings.TrimSpace(s.Name) == "" {
		bad("detail.spot.name", "is missing: which spot, and in which space?")
	}
	if s.Faces != "" {
		if _, err := light.ParseFacing(s.Faces); err != nil {
			bad("detail.spot.faces", "%v", err)
		}
	}
	if !(s.FarM.Value >= 0 && s.FarM.Value <= 10) {
		bad("detail.spot.distance_m", "%g is outside 0 to 10 m", s.FarM.Value)
	}
	if s.Places < 0 || s.Places > mostPlaces {
		bad("detail.spot.places", "%d is outside 0 to %d", s.Places, mostPlaces)
	}
	for _, c := range s.Covers {
		if _, err := parseCover(c); err != nil {
			bad("detail.spot.covers", "%v", err)
		}
	}
}

func (r *LightRead) check(bad func(field, format string, args ...any)) {
	if strings.TrimSpace(r.Space) == "" || strings.TrimSpace(r.Spot) == "" {
		bad("detail.light.spot", "is missing: where was it read?")
	}
	if !(r.PPFD.Value >= 0 && r.PPFD.Value <= 4000) {
		bad("detail.light.ppfd", "%g is outside 0 to 4000 µmol/m²/s", r.PPFD.Value)
	}
}

// applySpot takes a spot or a reading of one into the collection.
func (c *Collection) applySpot(e Entry) {
	same := func(space, name string) func(SpotState) bool {
		return func(s SpotState) bool { return strings.EqualFold(s.Space, space) && strings.EqualFold(s.Name, name) }
	}
	list := slices.Clone(c.Spots)
	switch d := e.Detail; e.Kind {
	case SpotSet:
		if i := slices.IndexFunc(list, same(d.Spot.Space, d.Spot.Name)); i >= 0 {
			list[i].Spot = *d.Spot
		} else {
			one := SpotState{Spot: *d.Spot}
			for _, early := range c.EarlyLight { // in order of time: the last one counts
				if strings.EqualFold(early.Space, one.Space) && strings.EqualFold(early.Spot, one.Name) {
					one.Read, one.ReadAt = &early.LightRead, early.At
				}
			}
			list = append(list, one)
		}
	case LightReadAt:
		i := slices.IndexFunc(list, same(d.LightRead.Space, d.LightRead.Spot))
		if i < 0 {
			c.EarlyLight = append(slices.Clip(c.EarlyLight), EarlyLight{*d.LightRead, e.At})
			return
		}
		list[i].Read, list[i].ReadAt = d.LightRead, e.At
	}
	c.Spots = list
}

// SpotsIn returns the spots of a space.
func (c *Collection) SpotsIn(space string) []SpotState {
	var list []SpotState
	for _, s := range c.Spots {
		if strings.EqualFold(s.Space, space) {
			list = append(list, s)
		}
	}
	return list
}

// ErrNoSky is returned for a spot whose light does not come from the sky, or a
// place whose latitude is not known.
var ErrNoSky = errors.New("its light does not follow the sky, or the latitude is not known")

// byDistance is the share of a window's light that is left at a distance from
// it, m. Sources differ much; a reading replaces it.
var byDistance = []struct {
	upToM float64
	share basis.Value
}{
	{0.3, basis.Assumed(0.8, 0.5, 1, "share")},
	{0.6, basis.Assumed(0.5, 0.3, 0.75, "share")},
	{1, basis.Assumed(0.3, 0.15, 0.5, "share")},
	{2, basis.Assumed(0.12, 0.05, 0.25, "share")},
	{10, basis.Assumed(0.04, 0.01, 0.1, "share")},
}

// leastExpected is the light, µmol m⁻² s⁻¹, below which a reading of a spot says
// more about the hour than about the spot.
const leastExpected = 20

// SpotLight is the light that a spot gets from a clear sky.
type SpotLight struct {
	spot  SpotState
	site  light.Site
	pane  light.Surface
	share basis.Value // of the light outside that reaches the plant
	// Ratio of the reading to what was expected at its hour; 1 without one.
	Ratio      float64
	Surprising bool
	Read       bool
	LowSun     bool // the sun stood too low at the reading for it to tell about other days
}

// LightOf returns how a spot is lit; zone is the clock at the place.
func (c *Collection) LightOf(s SpotState, zone *time.Location) (*SpotLight, error) {
	k := c.DayClock(s.Space, zone)
	if k.Site == nil || s.Lamps || k.Lamps > 0 {
		return nil, ErrNoSky
	}
	l := &SpotLight{spot: s, site: *k.Site, Ratio: 1}
	l.site.ElevationM = c.Place.AltitudeM.Value
	far := basis.Exactly(1, "share", basis.Given, "")
	if s.Faces != "" {
		facing, err := light.ParseFacing(s.Faces)
		if err != nil {
			return nil, err
		}
		l.pane = light.Surface{TiltDeg: 90, FacingDeg: facing}
		for _, row := range byDistance {
			if far = row.share; s.FarM.Value <= row.upToM {
				break
			}
		}
	}
	layers := make([]light.Layer, len(s.Covers))
	for i, text := range s.Covers {
		layer, err := parseCover(text)
		if err != nil {
			return nil, err
		}
		layers[i] = layer
	}
	through, err := light.Transmission(layers...)
	if err != nil {
		return nil, err
	}
	l.share = product("share", through, far)
	if s.Read == nil || !s.Read.Clear {
		return l, nil
	}
	expected, err := light.ClearLightOn(s.ReadAt.In(zone), l.site, l.pane, light.GroundAlbedo().Value)
	if err != nil {
		return nil, err
	}
	expected = product(s.Read.PPFD.Unit, expected, l.share)
	c0, err := light.Calibrate(expected, s.Read.PPFD)
	if err != nil {
		return nil, fmt.Errorf("the reading at %s: %w", s.Name, err)
	}
	if expected.Value < leastExpected {
		l.LowSun = true
		return l, nil
	}
	l.Surprising = c0.Surprising
	if c0.Ratio > 0 {
		l.Ratio, l.Read = c0.Ratio, true
		l.share = basis.Value{Value: l.share.Value * c0.Ratio, Unit: "share", Grade: basis.Measured,
			Low: l.share.Value * c0.Ratio * s.Read.PPFD.Low / s.Read.PPFD.Value, High: l.share.Value * c0.Ratio * s.Read.PPFD.High / s.Read.PPFD.Value}
	}
	return l, nil
}

// DLI returns the light of a clear day at the spot, mol m⁻² day⁻¹. date is in
// the zone of the place.
func (l *SpotLight) DLI(date time.Time) (basis.Value, error) {
	outside, err := light.ClearDayOn(date, l.site, l.pane, light.GroundAlbedo().Value)
	if err != nil {
		return basis.Value{}, err
	}
	return product(string(DLI), outside, l.share), nil
}

// Because says where the light of a spot comes from.
func (l *SpotLight) Because() *Because {
	where := "a level place under the sky"
	if l.spot.Faces != "" {
		where = fmt.Sprintf("a window that faces %s, %.1f m away", l.spot.Faces, l.spot.FarM.Value)
	}
	b := &Because{
		Rule:   "a clear sky by date and latitude on " + where + ", times the share that reaches the plant; houses and trees in front are not known",
		Inputs: []Input{{"share that reaches the plant", l.share}},
		Note:   "one reading of a meter under a clear sky replaces the share",
	}
	if l.Read {
		b.Note = fmt.Sprintf("the share is that of the reading on %s: %.1f times what was expected", l.spot.ReadAt.Format("2 January 2006"), l.Ratio)
		if l.Surprising {
			b.Note += ", outside the range: look again at the meter, the hour and the window"
		}
	}
	return b
}
