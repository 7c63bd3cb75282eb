package cli

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/science/basis"
	"velamen/science/light"
)

// calcLightSpot is the light of a place behind glass or shade over the year, as
// one reading of a meter calibrates it.
type calcLightSpot struct {
	Latitude  number `name:"latitude-deg" required:"" range:"-90 to 90 °" placeholder:"DEG" help:"Latitude, north positive, -90 to 90."`
	Longitude number `name:"longitude-deg" range:"-180 to 180 °" placeholder:"DEG" help:"Longitude, east positive, -180 to 180; from the clock if left out."`
	Offset    number `name:"utc-offset-hours" range:"-12 to 14 h" placeholder:"H" help:"How far the clock is ahead of UTC, -12 to 14; UTC if left out."`
	Facing    string `placeholder:"DIRECTION" help:"Direction the window faces: N, NE, E, SE, S, SW, W or NW; left out, the light comes from above."`
	Distance  number `name:"distance-m" range:"0 to 10 m" placeholder:"M" help:"Distance of the plant from the pane, 0 to 10 m."`
	Covers    string `placeholder:"LIST" help:"What lies between sky and plant: \"double glass, shade cloth 50 %\"."`
	Date      string `placeholder:"DATE" help:"The day, as 2026-11-24; today if left out."`

	Reading number `name:"reading-ppfd" range:"0 to 4000 µmol/m²/s" placeholder:"UMOL" help:"What a meter showed at the leaves under a clear sky, 0 to 4000 µmol/m²/s; calc light convert gets it from lux or foot-candles."`
	ReadOn  string `name:"read-on" placeholder:"TIME" help:"When it showed that, by the clock, as in \"2026-11-20 12:30\"."`

	Out calcOutput `embed:""`
}

// Run prints the light now and through the year.
func (c calcLightSpot) Run(r *run) error {
	date, err := dayOf(c.Date, r.today)
	if err != nil {
		return err
	}
	zone := time.FixedZone(zoneName(c.Offset.value), int(3600*c.Offset.value))
	year, month, day := date.Date()
	date = time.Date(year, month, day, 12, 0, 0, 0, zone)
	spot, err := c.spot(zone)
	if err != nil {
		return err
	}
	place := care.NewCollection()
	place.Place.LatitudeDeg = basis.Exactly(c.Latitude.value, "°", basis.Given, "")
	if c.Longitude.given {
		place.Place.LongitudeDeg = basis.Exactly(c.Longitude.value, "°", basis.Given, "")
	}
	lit, err := place.LightOf(spot, zone)
	if err != nil {
		return at("--covers, --facing", err)
	}
	now, err := lit.DLI(date)
	if err != nil {
		return at("--date", err)
	}
	because := lit.Because()
	s := section{key: "spot", title: "A clear day at the spot", about: "on " + date.Format("2 January 2006"), because: because.Rule, notes: []string{because.Note}}
	s.lines = append(s.lines, line{key: "dli_mol_per_m2_day", name: "a day's sum, DLI", value: now.Value, unit: now.Unit, decimals: 1, span: spanOf(now.Low, now.High)})
	for _, in := range because.Inputs {
		s.rests = append(s.rests, parameter{keyed(in.Name), in.Name, in.Value})
	}
	if c.Reading.given {
		s.lines = append(s.lines,
			line{key: "reading_ratio", name: "the reading, of what was expected", value: lit.Ratio, unit: "", decimals: 2},
			line{key: "surprising", name: "outside the range expected", value: lit.Surprising, shown: yesNo(lit.Surprising)})
		if lit.LowSun {
			s.notes = append(s.notes, "The sun stood too low when the meter was read to tell about other days: read it again about noon.")
		}
	}
	season := section{key: "season", title: "Through the year", because: "as above, each day with its own sun", grid: &grid{key: "months", columns: []column{
		{key: "date", head: "date"}, {key: "dli_mol_per_m2_day", head: "mol/m² a day", decimals: 1},
	}}}
	for i := range 12 {
		on := date.AddDate(0, i, 0)
		dli, err := lit.DLI(on)
		if err != nil {
			return at("--date", err)
		}
		season.grid.rows = append(season.grid.rows, []any{on.Format(time.DateOnly), ranged{dli.Value, dli.Low, dli.High}})
	}
	return c.Out.show(r, answer{"velamen-calc-light-spot-1", []section{s, season}})
}

// spot puts the flags together.
func (c calcLightSpot) spot(zone *time.Location) (s care.SpotState, err error) {
	s.Name, s.Faces = "spot", strings.ToUpper(c.Facing)
	if c.Facing != "" {
		if _, err := light.ParseFacing(c.Facing); err != nil {
			return s, at("--facing", err)
		}
	}
	if c.Distance.given {
		if c.Facing == "" {
			return s, errors.New("--distance-m is that from a window; give --facing too")
		}
		s.FarM = basis.Exactly(c.Distance.value, "m", basis.Given, "")
	}
	for one := range strings.SplitSeq(c.Covers, ",") {
		if one = strings.TrimSpace(one); one != "" {
			s.Covers = append(s.Covers, one)
		}
	}
	if c.Reading.given != (c.ReadOn != "") {
		return s, errors.New("--reading-ppfd and --read-on belong together: give both or neither")
	}
	if c.Reading.given {
		if s.ReadAt, err = time.ParseInLocation("2006-01-02 15:04", c.ReadOn, zone); err != nil {
			return s, fmt.Errorf("--read-on: %q is not a time; write it as \"2026-11-20 12:30\"", c.ReadOn)
		}
		// A meter in the hand is good to a tenth, with its placing: an assumption.
		v := c.Reading.value
		s.Read = &care.LightRead{Clear: true, PPFD: basis.Value{Value: v, Low: 0.9 * v, High: 1.1 * v, Unit: string(care.PPFD), Grade: basis.Measured}}
	}
	return s, nil
}
