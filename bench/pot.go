package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strconv"
	"time"

	"velamen/science/pot"
)

// potHours are 42 days.
const potHours = 42 * 24

// onePot is a pot with all that its run takes.
type onePot struct {
	pot     *pot.Pot
	start   pot.State
	forcing pot.Forcing
	pours   []pot.Pour
	figures []float64 // in the order of potHeadings, for the peers
}

var potHeadings = []string{
	"film_capacity", "particle_capacity", "ml_per_mm", "total_mm", "ready_mm", "wall_per_mm", "tanks", "bypass", "salt_hours",
	"capture_dry_fresh", "capture_wet_fresh", "capture_dry_aged", "capture_wet_aged",
	"uptake_dry_fresh", "uptake_moist_fresh", "uptake_dry_aged", "uptake_moist_aged",
	"critical", "ageing_days", "release", "root_wetness", "wet_roots", "uptake_ec", "uptake_switch", "floor_mm",
	"film", "particle", "film_ec", "particle_ec", "depletion", "age", "demand", "potential", "pour", "pour_ec",
}

// Media of the runs: working figures for an orchid bark and a sphagnum moss, from
// memory of trade and nursery sheets. The peers get the same ones.
var (
	bark = pot.Medium{
		Porosity: 0.78, CapacityLab: 0.22, ParticleShare: 0.5, BulkDensity: 0.20, HalfThicknessMM: 4, Tanks: 1, Bypass: 0.5,
		ReadyMM: 1.5, DryingMM: 50, WallContact: 0.1,
		Fresh: pot.Wettability{CaptureDry: 0.20, CaptureWet: 0.60, UptakeDryPerDay: 0.02, UptakeMoistPerDay: 0.02},
		Aged:  pot.Wettability{CaptureDry: 0.30, CaptureWet: 0.67, UptakeDryPerDay: 0.02, UptakeMoistPerDay: 0.10},
	}
	moss = pot.Medium{
		Porosity: 0.95, CapacityLab: 0.65, ParticleShare: 0.3, BulkDensity: 0.04, HalfThicknessMM: 0.1, Tanks: 3, Bypass: 0.1,
		ReadyMM: 10, DryingMM: 800, WallContact: 0.5,
		Fresh: pot.Wettability{CaptureDry: 0.42, CaptureWet: 0.85, UptakeDryPerDay: 0.5, UptakeMoistPerDay: 20},
		Aged:  pot.Wettability{CaptureDry: 0.42, CaptureWet: 0.85, UptakeDryPerDay: 0.5, UptakeMoistPerDay: 20},
	}
)

// potsOf makes clay pots of 8 to 20 cm with three parts of bark and one of moss,
// each with its own size, filling and thirst.
func potsOf(n int) ([]onePot, error) {
	medium, err := pot.Mix(pot.Component{Medium: bark, Parts: 3}, pot.Component{Medium: moss, Parts: 1})
	if err != nil {
		return nil, err
	}
	list := make([]onePot, n)
	for i := range list {
		part := float64(i) / float64(max(1, n-1))
		if list[i], err = potOf(medium, part); err != nil {
			return nil, err
		}
	}
	return list, nil
}

func potOf(medium pot.Medium, part float64) (onePot, error) {
	top := 8 + 12*part
	shape := pot.Round{TopCM: top, BaseCM: 0.75 * top, HeightCM: 0.9 * top, HeadspaceMM: 10, WallShare: 1}
	geometry, err := shape.Geometry()
	if err != nil {
		return onePot{}, err
	}
	values := pot.Defaults()
	p, err := pot.New(geometry, medium, 0, values)
	if err != nil {
		return onePot{}, err
	}
	one := onePot{pot: p}
	if one.start, err = p.Fill(0.9, 0.3+0.2*part, 0.6, 0); err != nil {
		return onePot{}, err
	}
	demand, potential := p.CapacityML()*(0.05+0.03*part)/24, (1.0+0.4*part)/24
	for hour := range potHours {
		day := dayCourse(hour)
		one.forcing.DemandML = append(one.forcing.DemandML, demand*day)
		one.forcing.PotentialEvaporationMM = append(one.forcing.PotentialEvaporationMM, potential*day)
	}
	pour := 1.5 * p.CapacityML()
	for hour := 8; hour < potHours; hour += 72 {
		one.pours = append(one.pours, pot.Pour{Hour: hour, ML: pour, ECmS: 0.4})
	}
	chip, err := pot.ChipHours(medium.HalfThicknessMM, values.SaltDiffusivity.Value)
	if err != nil {
		return onePot{}, err
	}
	particle := p.CapacityML() - p.FilmCapacityML()
	mlPerMM := geometry.SurfaceCM2 / 10
	totalMM := math.Min(p.CapacityML()/p.VolumeML()*math.Min(medium.DryingMM, geometry.HeightMM), p.CapacityML()/mlPerMM)
	one.figures = []float64{
		p.FilmCapacityML(), particle, mlPerMM, totalMM, math.Min(medium.ReadyMM, totalMM), medium.WallContact * geometry.WallCM2 / 10 / p.CapacityML(),
		float64(medium.Tanks), medium.Bypass, chip,
		medium.Fresh.CaptureDry, medium.Fresh.CaptureWet, medium.Aged.CaptureDry, medium.Aged.CaptureWet,
		medium.Fresh.UptakeDryPerDay, medium.Fresh.UptakeMoistPerDay, medium.Aged.UptakeDryPerDay, medium.Aged.UptakeMoistPerDay,
		values.CriticalWetness.Value, values.AgeingDays.Value, values.ReleasePerDay.Value, values.RootWetness.Value, values.WetRoots.Value,
		values.UptakeECmS.Value, values.UptakeSwitch.Value, values.FloorMM.Value,
		one.start.FilmML, one.start.ParticleML, 0.6, 0.6, one.start.DepletionMM, one.start.Age, demand, potential, pour, 0.4,
	}
	return one, nil
}

// dayCourse makes every hour differ, so that nothing is computed once for all.
func dayCourse(hour int) float64 { return 1 + 0.8*math.Sin(float64(hour)*2*math.Pi/24.37) }

// pot measures 42 hourly days of a pot.
func (b *bench) pot(ctx context.Context) (report, error) {
	r := report{Title: "A pot's water and salt, 42 days by the hour"}
	many, few := 1000, 3
	if b.quick {
		many, few = 20, 1
	}
	pots, err := potsOf(many)
	if err != nil {
		return r, err
	}
	var figures, course [][]float64
	for _, one := range pots {
		figures = append(figures, one.figures)
	}
	for hour := range potHours {
		course = append(course, []float64{dayCourse(hour)})
	}
	if err := b.writeCSV("pots.csv", potHeadings, figures); err != nil {
		return r, err
	}
	if err := b.writeCSV("course.csv", []string{"course"}, course); err != nil {
		return r, err
	}
	// Wetness and EC of each hour are what a forecast needs.
	wetness, ec := make([][]float64, many), make([][]float64, many)
	for i := range pots {
		wetness[i], ec[i] = make([]float64, potHours), make([]float64, potHours)
	}
	ours, err := repeated(b.repeats, func() error {
		for i, one := range pots {
			if _, err := pot.Simulate(one.pot, one.start, one.forcing, one.pours, pot.Series{Wetness: wetness[i], ECmS: ec[i]}); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return r, err
	}
	ours = ours.per(many)
	apart := func(of [][]float64, from [][]float64) (most float64) {
		for _, f := range from { // pot, then its hours
			for hour, v := range f[1:] {
				most = math.Max(most, math.Abs(v-of[int(f[0])][hour]))
			}
		}
		return most
	}
	exponentials := 0.0
	if hasPython("numpy") {
		b.say("pot: numpy")
		p, err := b.peer(ctx, python, "pot.py", filepath.Join(b.work, "pots.csv"), filepath.Join(b.work, "course.csv"), strconv.Itoa(b.repeats))
		if err != nil {
			return r, err
		}
		theirs, err := p.cost("time")
		if err != nil {
			return r, err
		}
		dw, de := apart(wetness, p["wetness"]), apart(ec, p["ec"])
		if !(dw < 1e-8) || !(de < 1e-8) {
			return r, fmt.Errorf("numpy and velamen differ by %g of wetness and %g mS/cm", dw, de)
		}
		exponentials = p["exponentials"][0][0]
		r.Rows = append(r.Rows, row{
			Task: "one pot", Peer: fmt.Sprintf("numpy, %d pots at once", many), Ours: ours, Their: theirs.per(many),
			Same: fmt.Sprintf("the same steps; every hour of %d pots within %.0e of wetness, %.0e mS/cm", len(p["wetness"]), dw, de),
		})
	} else {
		r.Missing = append(r.Missing, "numpy (Debian: python3-numpy)")
	}
	if hasR("deSolve") {
		b.say("pot: deSolve")
		p, err := b.peer(ctx, "Rscript", "pot.R", filepath.Join(b.work, "pots.csv"), filepath.Join(b.work, "course.csv"), strconv.Itoa(few))
		if err != nil {
			return r, err
		}
		theirs, err := p.cost("time")
		if err != nil {
			return r, err
		}
		dw, de := apart(wetness, p["wetness"]), apart(ec, p["ec"])
		if !(dw < 0.02) || !(de < 0.1) {
			return r, fmt.Errorf("deSolve and velamen differ by %g of wetness and %g mS/cm", dw, de)
		}
		r.Rows = append(r.Rows, row{
			Task: "one pot", Peer: "R deSolve, lsoda, right-hand side in R", Ours: ours, Their: theirs,
			Same: fmt.Sprintf("all processes at once instead of one after the other within the hour; every hour of %d pots within %.2g of capacity, %.2g mS/cm", len(p["wetness"]), dw, de),
		})
	} else {
		r.Missing = append(r.Missing, "deSolve (Debian: r-cran-desolve)")
	}
	if exponentials > 0 {
		alone, err := exponentialsAlone(b.repeats, int(math.Round(exponentials)), many)
		if err != nil {
			return r, err
		}
		r.Rows = append(r.Rows, row{
			Task: "one pot", Peer: fmt.Sprintf("its %.0f exponentials alone, math.Exp in a loop", exponentials), Ours: ours, Their: alone, Least: 1.0 / 3,
			Same: "aim: at most three times their time; counted in the run of numpy, which takes one where a process needs one",
		})
	}
	r.Notes = append(r.Notes, "The pots are of clay, 8 to 20 cm, in three parts of bark and one of moss, flushed every third day; every hour differs. Starting the programs and reading the files is not counted.")
	return r, nil
}

// exponentialsAlone times so many exponentials of arguments that lie in memory,
// per run.
func exponentialsAlone(repeats, n, runs int) (cost, error) {
	in := make([]float64, n)
	for i := range in {
		in[i] = -0.5 * float64(i%97) / 97
	}
	c, err := repeated(repeats, func() error {
		for range runs {
			sum := 0.0
			for _, x := range in {
				sum += math.Exp(x)
			}
			if math.IsNaN(sum) { // what is computed only to be timed is looked at, lest it be left out
				return errors.New("exponentials: their sum is no number")
			}
		}
		return nil
	})
	return cost{c.CPU / time.Duration(runs), c.Wall / time.Duration(runs)}, err
}
