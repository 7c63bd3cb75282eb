package pot

import "fmt"

// Forcing is what acts on a pot from outside, one figure per hour.
type Forcing struct {
	DemandML               []float64 // water the plant wants, mL in the hour, 0 to 10 000
	PotentialEvaporationMM []float64 // from a wet surface, mm in the hour, 0 to 5; as long as DemandML
	RHPercent              []float64 // only mounts use it; nil, or as long as DemandML
}

// Pour is one watering, feed, flush or rain at the start of an hour.
type Pour struct {
	Hour int     // hours from the start of the forcing
	ML   float64 // 0 to 100 000
	ECmS float64 // 0 to 50 mS/cm
}

// Series are the hourly courses wanted from a run. The caller provides the
// slices, as long as the forcing; a nil slice is not wanted. Each figure is that
// of the end of the hour.
type Series struct {
	Wetness    []float64  // share of capacity, 0 to 1
	FilmML     []float64  // water between the particles
	ParticleML []float64  // water inside the particles
	ECmS       []float64  // mean pore-water EC, see Pot.ECmS
	WetShare   []float64  // share of the hour in which roots were wet, 0 to 1
	Drainage   []Drainage // one for each pour, as long as the pours
}

// Result is the end of a run and its balances.
type Result struct {
	End      State
	Totals   Totals
	WetHours float64 // hours in which wetness was at or above Parameters.WetRoots

	// What the balances of water and salt miss, as a share of what was there
	// and what came. Rounding leaves about 1e-14.
	WaterResidual float64
	SaltResidual  float64
}

// Simulate lets the hours of the forcing pass, with the pours (sorted by hour)
// at their starts, and returns the final state, the totals and the balances. It
// returns ErrBalance if water or salt does not close, which would be a defect of
// this package and not of the input.
//
// It does not allocate. The same inputs give the same bits.
func Simulate(p *Pot, start State, forcing Forcing, pours []Pour, out Series) (Result, error) {
	if err := checkRun(p, &start, forcing, pours, out); err != nil {
		return Result{}, err
	}
	return simulate(p, start, forcing, pours, out, nil)
}

// watch stops a run at the first hour that breaks a limit.
type watch struct {
	fromHour    int
	leastWet    float64
	mostECmS    float64
	brokenBy    Limit
	brokenHour  int
	brokenValue float64
}

func simulate(p *Pot, start State, forcing Forcing, pours []Pour, out Series, limits *watch) (Result, error) {
	result := Result{End: start}
	s, totals := &result.End, &result.Totals
	hourly := p.newPace(1)
	next := 0
	before := p.Wetness(s)
	rhPercent := 0.0
	for hour, demandML := range forcing.DemandML {
		for next < len(pours) && pours[next].Hour == hour {
			d := p.flush(s, pours[next].ML, pours[next].ECmS)
			totals.add(d)
			if out.Drainage != nil {
				out.Drainage[next] = d
			}
			next++
			before = p.Wetness(s)
		}
		if forcing.RHPercent != nil {
			rhPercent = forcing.RHPercent[hour]
		}
		filmSalt := p.pass(s, &hourly, demandML, forcing.PotentialEvaporationMM[hour], rhPercent, totals)

		waterML := s.FilmML + s.ParticleML
		wetness := min(1, waterML*p.perCapacity)
		wetShare := shareAbove(before, wetness, p.wetRoots)
		result.WetHours += wetShare
		before = wetness
		ECmS := (filmSalt + s.ParticleSalt) / max(waterML, ecAtLeastWaterShare*p.capacityML)
		if out.Wetness != nil {
			out.Wetness[hour] = wetness
		}
		if out.FilmML != nil {
			out.FilmML[hour] = s.FilmML
		}
		if out.ParticleML != nil {
			out.ParticleML[hour] = s.ParticleML
		}
		if out.ECmS != nil {
			out.ECmS[hour] = ECmS
		}
		if out.WetShare != nil {
			out.WetShare[hour] = wetShare
		}
		if limits != nil && hour >= limits.fromHour && limits.broken(hour, wetness, ECmS) {
			break
		}
	}
	return result, result.close(&start)
}

// broken notes the first limit that an hour breaks; dryness comes first, since
// drying is also what concentrates salt.
func (w *watch) broken(hour int, wetness, ECmS float64) bool {
	switch {
	case wetness < w.leastWet:
		w.brokenBy, w.brokenHour, w.brokenValue = TooDry, hour, wetness
	case ECmS > w.mostECmS:
		w.brokenBy, w.brokenHour, w.brokenValue = TooSalty, hour, ECmS
	default:
		return false
	}
	return true
}

func (t *Totals) add(d Drainage) {
	t.PouredML += d.PouredML
	t.CapturedML += d.CapturedML
	t.DrainedML += d.DrainedML
	t.SaltPoured += d.SaltIn
	t.SaltDrained += d.SaltOut
}

// shareAbove returns the share of a step in which a quantity that goes in a
// straight line from one value to the other is at or above the limit.
func shareAbove(from, to, limit float64) float64 {
	switch {
	case from >= limit && to >= limit:
		return 1
	case from < limit && to < limit:
		return 0
	case from >= limit:
		return (from - limit) / (from - to)
	}
	return (to - limit) / (to - from)
}

func checkRun(p *Pot, start *State, forcing Forcing, pours []Pour, out Series) error {
	if err := p.check(start); err != nil {
		return err
	}
	hours := len(forcing.DemandML)
	if err := within("length of the forcing", float64(hours), 0, largestHorizonHours, "hours"); err != nil {
		return err
	}
	if len(forcing.PotentialEvaporationMM) != hours {
		return fmt.Errorf("pot: demand covers %d hours, potential evaporation %d", hours, len(forcing.PotentialEvaporationMM))
	}
	if forcing.RHPercent != nil && len(forcing.RHPercent) != hours {
		return fmt.Errorf("pot: demand covers %d hours, relative humidity %d", hours, len(forcing.RHPercent))
	}
	for hour, demandML := range forcing.DemandML {
		potentialMM := forcing.PotentialEvaporationMM[hour]
		if demandML >= 0 && demandML <= LargestDemandML && potentialMM >= 0 && potentialMM <= LargestPotentialMM {
			continue
		}
		return fmt.Errorf("hour %d: %w", hour, firstError(
			within("demand in an hour", demandML, 0, LargestDemandML, "mL"),
			within("potential evaporation in an hour", potentialMM, 0, LargestPotentialMM, "mm")))
	}
	for hour, rhPercent := range forcing.RHPercent {
		if err := within("relative humidity", rhPercent, 0, 100, "%"); err != nil {
			return fmt.Errorf("hour %d: %w", hour, err)
		}
	}
	earliest := 0
	for i, pour := range pours {
		if pour.Hour < earliest || pour.Hour >= hours {
			return fmt.Errorf("pot: pour %d stands at hour %d, expected %d to %d in rising order", i, pour.Hour, earliest, hours-1)
		}
		if err := checkPour(pour.ML, pour.ECmS); err != nil {
			return fmt.Errorf("pour %d: %w", i, err)
		}
		earliest = pour.Hour
	}
	return checkSeries(out, hours, len(pours))
}

func checkSeries(out Series, hours, pours int) error {
	for _, series := range [...][]float64{out.Wetness, out.FilmML, out.ParticleML, out.ECmS, out.WetShare} {
		if series != nil && len(series) != hours {
			return fmt.Errorf("pot: a series has room for %d hours, the forcing covers %d", len(series), hours)
		}
	}
	if out.Drainage != nil && len(out.Drainage) != pours {
		return fmt.Errorf("pot: the drainage series has room for %d pours, there are %d", len(out.Drainage), pours)
	}
	return nil
}
