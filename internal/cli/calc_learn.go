package cli

import (
	"errors"
	"fmt"
	"slices"

	"velamen/internal/care"
	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/pot"
)

// calcLearn is what weighings, drainage readings and looks tell of one pot.
type calcLearn struct {
	File string `arg:"" help:"CSV file of what was done and read, in order, with the columns hour,what,value and perhaps ec_ms: what is pour (mL), weigh (g), drainage (mS/cm) or look (0 dry, 1 dry on top, 2 damp, 3 wet); hour counts from the first midnight."`

	Home  potFlags `embed:""`
	Start string   `placeholder:"STATE" help:"How it starts: wet (aged medium, somewhere in its rhythm; this if left out) or fresh (medium from the bag)."`

	Demand   number `name:"demand-ml-per-day" required:"" range:"0 to 5000 mL" placeholder:"ML" help:"Water the plant is expected to take, 0 to 5000 mL a day; the truth may lie between 0.6 and 1.7 times that."`
	Air      number `name:"air-c" required:"" range:"0 to 50 °C" placeholder:"C" help:"Air temperature, 0 to 50 °C."`
	RH       number `name:"rh-percent" required:"" range:"0 to 100 %" placeholder:"PERCENT" help:"Relative humidity, 0 to 100 %."`
	Fan      bool   `help:"A fan moves the leaves; otherwise the air is still."`
	Altitude number `name:"altitude-m" range:"-430 to 5600 m" placeholder:"M" help:"Height above the sea, -430 to 5600 m; sea level if left out."`
	Driest   number `name:"least-wetness-percent" range:"0 to 100 %" placeholder:"PERCENT" help:"Wetness at which it counts as dry, 0 to 100 % of what it holds."`
	Tare     number `name:"tare-g" range:"1 to 50000 g" placeholder:"G" help:"What vessel and plant are guessed to weigh, 1 to 50000 g; 150 if left out, half to twice of which is possible."`

	Out calcOutput `embed:""`
}

// The range of what a plant takes against what was said, and the tare.
var (
	demandRange = basis.Assumed(1, 0.6, 1.7, "1")
	guessedTare = parameter{"tare_g", "what vessel and plant are guessed to weigh", basis.Assumed(150, 75, 300, "g")}
)

const mostLearnDays = 60

// Run prints what is known of the pot before and after.
func (c calcLearn) Run(r *run) error {
	tables, err := culture.Load()
	if err != nil {
		return failed("reading the built-in tables", err)
	}
	a := care.PotAlone{Fresh: c.Start == "fresh", RHPercent: c.RH.value, Name: "calc learn"}
	if !slices.Contains([]string{"", "wet", "fresh"}, c.Start) {
		return fmt.Errorf("--start: %q is not known; wet or fresh is allowed", c.Start)
	}
	if a.Home, err = c.Home.home(tables); err != nil {
		return err
	}
	events, days, err := c.events()
	if err != nil {
		return err
	}
	a.Days = days
	pressureKPa, rests, err := pressureAt(c.Altitude)
	if err != nil {
		return err
	}
	movement := pot.StillAir
	if c.Fan {
		movement = pot.FanAir
	}
	parameters := pot.Defaults()
	if a.Evaporation, err = parameters.PotentialEvaporationMM(c.Air.value, c.RH.value, pressureKPa, movement); err != nil {
		return at("--air-c, --rh-percent", err)
	}
	d := c.Demand.value
	a.DemandML = basis.Assumed(d, demandRange.Low*d, demandRange.High*d, "mL")
	usual := care.UsualRootZone().DriestWetness
	driest, more := c.Driest.or(parameter{"least_wetness_percent", "counts as dry", basis.Value{Value: 100 * usual.Value, Low: 100 * usual.Low, High: 100 * usual.High, Unit: "%", Grade: usual.Grade, Source: usual.Source}})
	a.Driest = driest / 100
	rests = append(rests, more...)
	a.TareG, more = c.Tare.or(guessedTare)
	rests = append(append(rests, more...), parameter{"demand_range", "what the plant takes, against what was said", demandRange})
	learned, err := care.LearnPot(tables, a, events)
	if err != nil {
		return at(c.File, err)
	}
	return c.Out.show(r, answer{"velamen-calc-learn-1", []section{c.section(learned, events, rests)}})
}

// events reads the file.
func (c calcLearn) events() (events []pot.Event, days int, err error) {
	s, err := openSheet(c.File, []string{"hour", "what", "value"}, []string{"ec_ms"})
	if err != nil {
		return nil, 0, err
	}
	kinds := map[string]struct {
		what      pot.Happened
		low, high float64
		unit      string
	}{
		"pour": {pot.Watered, 0, pot.LargestPourML, "mL"}, "weigh": {pot.WeighedIt, 1, 200_000, "g"},
		"drainage": {pot.ReadDrainage, 0, pot.LargestECmS, "mS/cm"}, "look": {pot.LookedIn, 0, pot.Looks - 1, ""},
	}
	read := false
	for _, row := range s.rows {
		kind, known := kinds[row.cell("what")]
		if !known {
			return nil, 0, row.expected("what", "pour, weigh, drainage or look")
		}
		hour, err := row.number("hour", 0, 24*mostLearnDays-1, "")
		if err != nil {
			return nil, 0, err
		}
		v := pot.Event{Hour: int(hour), What: kind.what}
		if n := len(events); n > 0 && v.Hour < events[n-1].Hour {
			return nil, 0, row.expected("hour", fmt.Sprintf("no less than the hour before, %d", events[n-1].Hour))
		}
		if v.Value, err = row.number("value", kind.low, kind.high, kind.unit); err != nil {
			return nil, 0, err
		}
		if row.cell("ec_ms") != "" {
			if v.ECmS, err = row.number("ec_ms", 0, pot.LargestECmS, "mS/cm"); err != nil {
				return nil, 0, err
			}
		}
		read = read || kind.what != pot.Watered
		events = append(events, v)
		days = v.Hour/24 + 1
	}
	if !read {
		return nil, 0, errors.New(c.File + ": nothing was read off the pot: a line with weigh, drainage or look is expected")
	}
	return events, days, nil
}

func (c calcLearn) section(l care.PotLearned, events []pot.Event, rests []parameter) section {
	read := 0
	for _, v := range events {
		if v.What != pot.Watered {
			read++
		}
	}
	s := section{key: "pot", title: "What the pot is", about: fmt.Sprintf("before and after %d readings; ranges hold 80 %%", read), rests: rests,
		because: "200 possible pots, each followed hour by hour and weighed by how likely it makes what was read (sequential Monte Carlo; docs/learning.md)"}
	s.grid = &grid{key: "figures", columns: []column{
		{key: "figure", head: "figure"}, {key: "unit", head: ""}, {key: "before", head: "before", decimals: 2}, {key: "now", head: "now", decimals: 2}, {key: "narrowed_share", head: "narrower %", scale: 100},
	}}
	for _, f := range l.Figures {
		s.grid.rows = append(s.grid.rows, []any{f.Name, f.Now.Unit, ranged{f.Before.Value, f.Before.Low, f.Before.High}, ranged{f.Now.Value, f.Now.Low, f.Now.High}, f.Narrowed()})
	}
	s.lines = []line{
		{key: "narrowed_share", name: "the time to dry is known more narrowly by", value: l.Narrowed, unit: "%", scale: 100},
		{key: "counting_share", name: "possible pots that count", value: l.Counts, unit: "%", scale: 100},
	}
	return s
}
