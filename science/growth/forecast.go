package growth

import "math"

// Forecast is a length to come. Low and High hold the root's true length with
// the asked coverage; a reading of it scatters by ReadingVar.
type Forecast struct {
	Day           float64
	LengthMM      float64
	LowMM, HighMM float64
	LengthVar     float64 // mm²
	ReadingVar    float64 // mm², of the true length and the reading error
}

// Forecast returns the length on a day, not before that of the belief, with a
// band of the given coverage (0.5 to 0.999) for the true length, and the
// variance of a reading with the given standard error. Errors: day, coverage or
// reading error outside their range, or a length of which nothing is known.
func (t Trend) Forecast(b Belief, day, coverage, errorMM float64) (Forecast, error) {
	if err := within("day of the forecast", day, b.Day, FarthestDay, "days"); err != nil {
		return Forecast{}, err
	}
	if err := within("coverage", coverage, 0.5, 0.999, "1"); err != nil {
		return Forecast{}, err
	}
	if err := within("reading error", errorMM, SmallestErrorMM, LargestErrorMM, "mm"); err != nil {
		return Forecast{}, err
	}
	a := t.Ahead(b, day)
	if err := within("length variance", a.LengthVar, 0, math.MaxFloat64, "mm²"); err != nil {
		return Forecast{}, err
	}
	half := normalQuantile((1+coverage)/2) * math.Sqrt(a.LengthVar)
	return Forecast{
		Day: day, LengthMM: a.LengthMM,
		LowMM: a.LengthMM - half, HighMM: a.LengthMM + half,
		LengthVar: a.LengthVar, ReadingVar: a.LengthVar + errorMM*errorMM,
	}, nil
}
