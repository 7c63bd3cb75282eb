package cli

import (
	"errors"
	"fmt"
	"math"

	"velamen/internal/care"
	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/pot"
)

// calcPot is one pot or mount over some days.
type calcPot struct {
	Home potFlags `embed:""`

	Start   string `placeholder:"STATE" help:"How it starts: wet (aged medium, just watered; this if left out) or fresh (medium from the bag, nearly dry)."`
	StartEC number `name:"start-ec-ms" range:"0 to 50 mS/cm" placeholder:"MS" help:"EC of the water in the medium at the start, 0 to 50 mS/cm."`

	Demand   number `name:"demand-ml-per-day" required:"" range:"0 to 5000 mL" placeholder:"ML" help:"Water the plant takes, 0 to 5000 mL a day, evenly over the day; calc leaf day finds it."`
	Air      number `name:"air-c" required:"" range:"0 to 50 °C" placeholder:"C" help:"Air temperature, 0 to 50 °C."`
	RH       number `name:"rh-percent" required:"" range:"0 to 100 %" placeholder:"PERCENT" help:"Relative humidity, 0 to 100 %."`
	Fan      bool   `help:"A fan moves the leaves; otherwise the air is still."`
	Altitude number `name:"altitude-m" range:"-430 to 5600 m" placeholder:"M" help:"Height above the sea, -430 to 5600 m; sea level if left out."`
	Days     number `required:"" range:"1 to 366 days" whole:"" placeholder:"N" help:"Days to follow, 1 to 366."`

	FlushEvery number `name:"flush-every-days" range:"1 to 60 days" whole:"" placeholder:"N" help:"Pour plain water every so many days, 1 to 60; left out, the pot only dries."`
	FlushML    number `name:"flush-ml" range:"1 to 100000 mL" placeholder:"ML" help:"Each pour, 1 to 100000 mL; one and a half times what the pot holds if left out."`
	WaterEC    number `name:"water-ec-ms" range:"0 to 50 mS/cm" placeholder:"MS" help:"EC of the plain water, 0 to 50 mS/cm; low-salt water if left out."`
	FeedEvery  number `name:"feed-every-days" range:"1 to 60 days" whole:"" placeholder:"N" help:"Feed every so many days, 1 to 60, an hour after a flush of the same day."`
	FeedEC     number `name:"feed-ec-ms" range:"0 to 50 mS/cm" placeholder:"MS" help:"EC of the feed, 0 to 50 mS/cm."`
	FeedML     number `name:"feed-ml" range:"1 to 100000 mL" placeholder:"ML" help:"Each feed, 1 to 100000 mL; as much as a flush if left out."`

	TargetEC number `name:"target-ec-ms" range:"0 to 50 mS/cm" placeholder:"MS" help:"EC that the planned flush should leave in the medium, 0 to 50 mS/cm."`
	MostML   number `name:"most-flush-ml" range:"1 to 100000 mL" placeholder:"ML" help:"Most water that the planned flush may use, 1 to 100000 mL."`
	MostEC   number `name:"most-ec-ms" range:"0 to 50 mS/cm" placeholder:"MS" help:"Highest EC in the medium that the longest interval may reach, 0 to 50 mS/cm."`
	Driest   number `name:"least-wetness-percent" range:"0 to 100 %" placeholder:"PERCENT" help:"Driest that the longest interval may leave it, 0 to 100 % of what it holds."`

	Plot string     `placeholder:"FILE.svg" help:"Draw water and EC over the days to this file."`
	Out  calcOutput `embed:""`
}

// Run prints the pot, its days, the flush it needs and how often.
func (c calcPot) Run(r *run) error {
	if err := checkPlotName(c.Plot); err != nil {
		return err
	}
	p, err := c.prepare()
	if err != nil {
		return err
	}
	sections := []section{p.facts()}
	for _, part := range []func() (section, error){p.course, p.plan, p.interval} {
		s, err := part()
		if err != nil {
			return err
		}
		sections = append(sections, s)
	}
	if err := c.Out.show(r, answer{"velamen-calc-pot-1", sections}); err != nil {
		return err
	}
	if c.Plot == "" {
		return nil
	}
	picture, err := p.picture().SVG()
	if err != nil {
		return failed("drawing the pot", err)
	}
	if err := r.ctx.Err(); err != nil {
		return err
	}
	return writePlot(c.Plot, picture)
}

// potRun is a pot with everything that acts on it.
type potRun struct {
	home   care.Home
	tables culture.Table
	pot    *pot.Pot
	fresh  bool
	start  pot.State
	days   int

	demandML, rhPercent float64
	evaporation         basis.Value // mm a day from a wet surface

	flushes, feeds   bool
	every, feedEvery int // days
	flushML, waterEC float64
	feedML, feedEC   float64
	pours            []pot.Pour

	targetEC, mostML, filling float64 // of the planned flush; filling is a share of the free room
	mostEC, driest            float64 // of the longest interval; driest is a share of capacity

	trace pot.Trace

	// What stands in for flags that were left out, by what it decides.
	startRests, climateRests, waterRests, targetRests, limitRests []parameter
}

// prepare turns the flags into a pot and what acts on it.
func (c calcPot) prepare() (*potRun, error) {
	tables, err := culture.Load()
	if err != nil {
		return nil, failed("reading the built-in tables", err)
	}
	home, err := c.Home.home(tables)
	if err != nil {
		return nil, err
	}
	p := &potRun{home: care.Measured(tables, home), tables: tables, days: int(c.Days.value), demandML: c.Demand.value, rhPercent: c.RH.value}
	for _, step := range []func(*potRun) error{c.filled, c.climate, c.schedule, c.limits} {
		if err := step(p); err != nil {
			return nil, err
		}
	}
	p.trace, err = pot.Record(p.pot, p.start, p.forcing(p.days), p.pours)
	if errors.Is(err, pot.ErrBalance) {
		return nil, failed("following the pot", err)
	}
	return p, at("--demand-ml-per-day", err)
}

// Working figures of this calculation, where a flag was left out.
var (
	freshEC  = parameter{"start_ec_ms_per_cm", "EC at the start, from the bag", basis.Assumed(0.2, 0.05, 0.5, "mS/cm")}
	wetEC    = parameter{"start_ec_ms_per_cm", "EC at the start", basis.Assumed(0.5, 0.2, 1.0, "mS/cm")}
	plainEC  = parameter{"water_ec_ms_per_cm", "EC of the plain water", basis.Assumed(0.05, 0.01, 0.2, "mS/cm")}
	holdings = basis.Value{Value: 1.5, Low: 1, High: 2, Unit: "1", Grade: basis.CommonPractice}
)

// filled fills the pot and brings it to its start.
func (c calcPot) filled(p *potRun) error {
	switch c.Start {
	case "", "wet":
	case "fresh":
		p.fresh = true
	default:
		return fmt.Errorf("--start: %q is not known; wet or fresh is allowed", c.Start)
	}
	var err error
	if p.pot, err = care.FillHome(p.tables, p.home, p.fresh); err != nil {
		return at(c.Home.flags(), err)
	}
	if p.fresh {
		var ec float64
		ec, p.startRests = c.StartEC.or(freshEC)
		p.start, err = care.FreshFromBag(p.pot, ec)
		return at("--start-ec-ms", err)
	}
	ec, rests := c.StartEC.or(wetEC)
	p.startRests = rests
	p.start, err = p.pot.Fill(1, 1, ec, 1)
	return at("--start-ec-ms", err)
}

// climate finds what evaporates from a wet surface.
func (c calcPot) climate(p *potRun) error {
	pressureKPa, rests, err := pressureAt(c.Altitude)
	if err != nil {
		return err
	}
	parameters := pot.Defaults()
	movement := pot.StillAir
	transfer := parameter{"still_air_transfer", "transfer of vapour in still air", parameters.StillAirMMPerS}
	if c.Fan {
		movement = pot.FanAir
		transfer = parameter{"fan_air_transfer", "transfer of vapour under a fan", parameters.FanAirMMPerS}
	}
	p.evaporation, err = parameters.PotentialEvaporationMM(c.Air.value, c.RH.value, pressureKPa, movement)
	p.climateRests = append([]parameter{transfer, {"surface_warmth", "warmth of the wet surface between wet bulb and air", parameters.SurfaceWarmth}}, rests...)
	return at("--air-c, --rh-percent", err)
}

// schedule lays out the pours.
func (c calcPot) schedule(p *potRun) error {
	if c.FeedEvery.given != c.FeedEC.given {
		return errors.New("--feed-every-days and --feed-ec-ms belong together: give both or neither")
	}
	if c.FeedML.given && !c.FeedEvery.given {
		return errors.New("--feed-ml needs --feed-every-days and --feed-ec-ms too")
	}
	held := p.pot.CapacityML()
	usual := parameter{"flush_ml", "a generous pour", basis.Value{
		Value: math.Max(1, holdings.Value*held), Low: math.Max(1, holdings.Low*held), High: math.Max(1, holdings.High*held), Unit: "mL", Grade: holdings.Grade}}
	var rests []parameter
	p.flushML, p.waterRests = c.FlushML.or(usual)
	p.waterEC, rests = c.WaterEC.or(plainEC)
	p.waterRests = append(p.waterRests, rests...)
	p.flushes, p.every = c.FlushEvery.given, int(c.FlushEvery.value)
	p.feeds, p.feedEvery, p.feedEC, p.feedML = c.FeedEvery.given, int(c.FeedEvery.value), c.FeedEC.value, p.flushML
	if c.FeedML.given {
		p.feedML = c.FeedML.value
	}
	p.pours = p.layOut(24 * p.days)
	return nil
}

// The most water for a flush, unless it was said: growers pour twice the pot's
// volume. Five holdings stand in for a mount, which has hardly any volume; that
// is an assumption.
const (
	twicePot     = 2
	fiveHoldings = 5
)

// wateringHour is when pots are watered: in the morning.
const wateringHour = 8

// layOut returns the pours of so many hours. Fresh medium is flushed on the
// first morning; a pot that was just watered waits for its first interval.
func (p *potRun) layOut(hours int) []pot.Pour {
	var list []pot.Pour
	for day := 0; 24*day < hours; day++ {
		hour := 24*day + wateringHour
		if p.flushes && day%p.every == 0 && (day > 0 || p.fresh) {
			list = append(list, pot.Pour{Hour: hour, ML: p.flushML, ECmS: p.waterEC})
		}
		if p.feeds && day%p.feedEvery == 0 && day > 0 {
			list = append(list, pot.Pour{Hour: hour + 1, ML: p.feedML, ECmS: p.feedEC})
		}
	}
	return list
}

// limits finds what the medium is held to.
func (c calcPot) limits(p *potRun) error {
	usual := care.UsualRootZone()
	var rests []parameter
	p.targetEC, p.targetRests = c.TargetEC.or(parameter{"target_ec_ms_per_cm", "EC wanted while roots re-establish", usual.RootingECmS})
	grade := basis.CommonPractice
	if p.home.Mount != nil {
		grade = basis.Assumption
	}
	most := math.Min(pot.LargestPourML, math.Max(twicePot*p.pot.VolumeML(), fiveHoldings*p.pot.CapacityML()))
	p.mostML, rests = c.MostML.or(parameter{"most_flush_ml", "most water for a flush, twice the pot or five times what it holds,", basis.Exactly(most, "mL", grade, "")})
	p.targetRests = append(append(p.targetRests, rests...), parameter{"flush_filling", "share of the free room to fill", usual.Filling})
	p.filling = usual.Filling.Value
	p.mostEC, p.limitRests = c.MostEC.or(parameter{"most_ec_ms_per_cm", "saltiest before growers flush", usual.SaltiestECmS})
	share := usual.DriestWetness
	percent := basis.Value{Value: 100 * share.Value, Low: 100 * share.Low, High: 100 * share.High, Unit: "%", Grade: share.Grade, Source: share.Source}
	p.driest, rests = c.Driest.or(parameter{"least_wetness_percent", "driest for plants that may dry slightly", percent})
	p.driest /= 100
	p.limitRests = append(p.limitRests, rests...)
	return nil
}

// forcing repeats the same hour for so many days.
func (p *potRun) forcing(days int) pot.Forcing {
	hours := 24 * days
	f := pot.Forcing{DemandML: make([]float64, hours), PotentialEvaporationMM: make([]float64, hours), RHPercent: make([]float64, hours)}
	for hour := range hours {
		f.DemandML[hour], f.PotentialEvaporationMM[hour], f.RHPercent[hour] = p.demandML/24, p.evaporation.Value/24, p.rhPercent
	}
	return f
}
