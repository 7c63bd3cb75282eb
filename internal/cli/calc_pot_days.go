package cli

import (
	"fmt"
	"math"

	"velamen/science/pot"
)

// facts are what the pot is.
func (p *potRun) facts() section {
	q := p.pot
	s := section{key: "pot", title: "The pot", about: p.describe(), rests: p.mediumParameters(),
		because: "capacity from a core 76 mm tall, falling with height as a capillary fringe does (exponential form, assumption); components mixed by volume; capture by wetness in a straight line (assumption)"}
	number := func(key, name string, value float64, unit string, decimals int, scale float64) {
		s.lines = append(s.lines, line{key: key, name: name, value: value, unit: unit, decimals: decimals, scale: scale})
	}
	if p.home.Mount != nil {
		s.because = "water by area: plate and moss pad; capture by wetness in a straight line (assumption)"
		number("capacity_ml", "water it holds", q.CapacityML(), "mL", 1, 0)
		number("surface_cm2", "face", q.SurfaceCM2(), "cm²", 0, 0)
	} else {
		c := p.home.Container
		number("top_cm", "inside width at the brim", c.TopCm.Value, "cm", 1, 0)
		number("bottom_cm", "at the base", c.BottomCm.Value, "cm", 1, 0)
		number("height_cm", "inside height", c.HeightCm.Value, "cm", 1, 0)
		number("volume_ml", "medium", q.VolumeML(), "mL", 0, 0)
		number("capacity_ml", "water it holds", q.CapacityML(), "mL", 0, 0)
		number("capacity_share", "", q.CapacityML()/q.VolumeML(), "% of the medium", 0, 100)
		number("air_space_ml", "air left when drained", q.AirSpaceML(), "mL", 0, 0)
		number("air_space_share", "", q.AirSpaceML()/q.VolumeML(), "% of the medium", 0, 100)
		number("film_share", "water between particles", q.FilmCapacityML()/q.CapacityML(), "% of the water", 0, 100)
		number("dry_medium_g", "dry medium", q.DryMediumG(), "g", 0, 0)
		number("surface_cm2", "open surface", q.SurfaceCM2(), "cm²", 0, 0)
	}
	number("start_wetness_share", "wetness at the start", q.Wetness(&p.start), "% of what it holds", 0, 100)
	number("start_ec_ms_per_cm", "EC at the start", q.ECmS(&p.start), "mS/cm", 2, 0)
	number("capture_share", "one pour fills of what is missing", q.CaptureShare(q.Wetness(&p.start), p.start.Age), "%", 0, 100)
	s.rests = append(s.rests, p.startRests...)
	return s
}

// course is the table of the days, and their sum.
func (p *potRun) course() (section, error) {
	defaults := pot.Defaults()
	s := section{key: "course", title: "The days", about: p.inWords(),
		because: "surface in two stages by FAO-56 (Allen et al. 1998) ch. 7 eq. 74; salt displaced as in tanks in series with a bypass; film and particles as in van Genuchten & Wierenga 1976; " +
			"central figures of the medium: one weighing of the real pot is worth more",
		rests: append(p.climateRests,
			parameter{"root_wetness", "roots slow down below a wetness of", defaults.RootWetness},
			parameter{"uptake_ec_ms_per_cm", "salt taken up with the water", defaults.UptakeECmS},
			parameter{"release_per_day", "release by particles", defaults.ReleasePerDay},
			parameter{"floor_mm_per_day", "loss through a dry surface", defaults.FloorMM},
			parameter{"uptake_switch", "particles drink faster above a filling of", defaults.UptakeSwitch},
			parameter{"critical_wetness", "capture is full above a wetness of", defaults.CriticalWetness})}
	s.rests = append(s.rests, p.waterRests...)
	if p.home.Mount != nil {
		s.rests = append(s.rests,
			parameter{"mount_ready_share", "evaporates at the full rate", defaults.MountReadyShare},
			parameter{"vapour_hours", "hours to take up vapour", defaults.VapourHours})
	}
	totals, result := p.trace.Result.Totals, p.trace.Result
	amount := func(key, name string, value float64) line {
		return line{key: key, name: name, value: value, unit: "mL", decimals: 0}
	}
	s.lines = []line{
		{key: "potential_evaporation_mm_per_day", name: "evaporates from a wet surface", value: p.evaporation.Value, unit: "mm a day", decimals: 2, span: spanOf(p.evaporation.Low, p.evaporation.High)},
		amount("poured_ml", "poured", totals.PouredML), amount("captured_ml", "kept of it", totals.CapturedML), amount("drained_ml", "drained", totals.DrainedML),
		amount("surface_ml", "lost from the surface", totals.SurfaceML), amount("wall_ml", "through the wall", totals.WallML),
		amount("roots_ml", "by the roots", totals.RootsML), amount("wanted_ml", "wanted by the plant", totals.WantedML),
	}
	if totals.VapourML > 0 {
		s.lines = append(s.lines, amount("vapour_ml", "won from damp air", totals.VapourML))
	}
	s.lines = append(s.lines,
		line{key: "water_residual_share", name: "water balance misses", value: result.WaterResidual, unit: "of what was there and came", shown: fmt.Sprintf("%.0e", math.Abs(result.WaterResidual))},
		line{key: "salt_residual_share", name: "salt balance misses", value: result.SaltResidual, unit: "of what was there and came", shown: fmt.Sprintf("%.0e", math.Abs(result.SaltResidual))})
	s.grid = p.daily()
	return s, nil
}

// inWords is what happens on the days.
func (p *potRun) inWords() string {
	text := fmt.Sprintf("%d days, the plant takes %g mL a day", p.days, p.demandML)
	if p.flushes {
		text += fmt.Sprintf("; every %d days %.0f mL of %g mS/cm", p.every, p.flushML, p.waterEC)
	}
	if p.feeds {
		text += fmt.Sprintf("; every %d days feed, %.0f mL of %g mS/cm", p.feedEvery, p.feedML, p.feedEC)
	}
	if len(p.pours) == 0 {
		text += "; nothing is poured"
	}
	return text
}

// daily is one row for each day.
func (p *potRun) daily() *grid {
	g := &grid{key: "days", columns: []column{
		{key: "day", head: "day"},
		{key: "wetness_share", head: "wet %", scale: 100},
		{key: "driest_wetness_share", head: "driest %", scale: 100},
		{key: "ec_ms_per_cm", head: "EC", decimals: 2},
		{key: "lost_ml", head: "lost mL"},
		{key: "poured_ml", head: "poured"},
		{key: "drained_ml", head: "drained"},
		{key: "drained_ec_ms_per_cm", head: "its EC", decimals: 2},
	}}
	before := p.start.WaterML()
	pours := p.trace.Marks
	for day := range p.days {
		last := 24*day + 23
		driest := math.Inf(1)
		for hour := 24 * day; hour <= last; hour++ {
			driest = math.Min(driest, p.trace.Wetness[hour])
		}
		var poured, captured, drained, salt float64
		for len(pours) > 0 && pours[0].Hour <= last {
			d := pours[0].Drainage
			poured, captured, drained, salt = poured+d.PouredML, captured+d.CapturedML, drained+d.DrainedML, salt+d.SaltOut
			pours = pours[1:]
		}
		after := p.trace.WaterML[last]
		row := []any{day + 1, p.trace.Wetness[last], driest, p.trace.ECmS[last], before + captured - after, nil, nil, nil}
		if poured > 0 {
			row[5], row[6] = poured, drained
		}
		if drained > 0 {
			row[7] = salt / drained
		}
		g.rows = append(g.rows, row)
		before = after
	}
	return g
}
