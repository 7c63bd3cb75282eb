package pot

// Trace is a run made to be drawn: hourly water and EC with a mark for each
// pour.
type Trace struct {
	WaterML  []float64 // at the end of each hour
	Wetness  []float64 // share of capacity
	ECmS     []float64 // mean pore-water EC
	WetShare []float64 // share of the hour in which roots were wet
	Marks    []Mark    // one for each pour
	Result   Result
}

// Mark is one pour and what became of it.
type Mark struct {
	Hour     int
	ECmS     float64 // of the water poured
	Drainage Drainage
}

// Record runs Simulate and keeps what a picture needs.
func Record(p *Pot, start State, forcing Forcing, pours []Pour) (Trace, error) {
	hours := len(forcing.DemandML)
	particleML := make([]float64, hours)
	drainage := make([]Drainage, len(pours))
	t := Trace{
		WaterML:  make([]float64, hours),
		Wetness:  make([]float64, hours),
		ECmS:     make([]float64, hours),
		WetShare: make([]float64, hours),
		Marks:    make([]Mark, len(pours)),
	}
	result, err := Simulate(p, start, forcing, pours, Series{
		Wetness: t.Wetness, FilmML: t.WaterML, ParticleML: particleML,
		ECmS: t.ECmS, WetShare: t.WetShare, Drainage: drainage,
	})
	if err != nil {
		return Trace{}, err
	}
	for hour, ml := range particleML {
		t.WaterML[hour] += ml
	}
	for i, pour := range pours {
		t.Marks[i] = Mark{Hour: pour.Hour, ECmS: pour.ECmS, Drainage: drainage[i]}
	}
	t.Result = result
	return t, nil
}

// HoursBelow returns in how many hours of an hourly course the figure lies
// below the limit.
func HoursBelow(course []float64, limit float64) int {
	count := 0
	for _, value := range course {
		if value < limit {
			count++
		}
	}
	return count
}

// HoursAbove returns in how many hours of an hourly course the figure lies
// above the limit.
func HoursAbove(course []float64, limit float64) int {
	count := 0
	for _, value := range course {
		if value > limit {
			count++
		}
	}
	return count
}

// ByDay returns the daily means of an hourly course; the last day may be short.
// Of Series.WetShare it gives the share of each day in which roots were wet.
func ByDay(course []float64) []float64 {
	days := make([]float64, 0, (len(course)+23)/24)
	for len(course) > 0 {
		day := course[:min(24, len(course))]
		var sum float64
		for _, value := range day {
			sum += value
		}
		days = append(days, sum/float64(len(day)))
		course = course[len(day):]
	}
	return days
}
