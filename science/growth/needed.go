package growth

import "math"

// last returns the belief after the last reading of the present stretch, and
// the error variance a reading is given; for a root that was followed again from
// its resting length without a reading since, the belief of the day.
func (t Track) last() (from Belief, errorVar float64) {
	from, errorVar = t.Now, RulerStraightErrorMM.Value*RulerStraightErrorMM.Value
	if len(t.Steps) > 0 {
		step := t.Steps[len(t.Steps)-1]
		errorVar = step.ErrorVar
		if len(t.Steps) > t.From {
			from = step.Belief
		}
	}
	return from, errorVar
}

// Needed returns what a reading like the last one, on a later day, would have to
// show: from growsFromMM on the root clearly grows, up to standsToMM it clearly
// stands still. Zero where no reading of that day can say so, or where the root
// has no length to compare with.
//
//	r + K·(y − ℓ) = r₀ ± z·√p   solved for the reading y; K, p as in Next
func (j Judge) Needed(t Track, day float64) (growsFromMM, standsToMM float64) {
	if t.Status != Followed || t.RateReadings == 0 {
		return 0, 0
	}
	from, errorVar := t.last()
	if day <= from.Day {
		return 0, 0
	}
	before := j.Trend.Ahead(from, day)
	if math.IsInf(before.LengthVar, 1) || !(before.Covariance > 0) {
		return 0, 0
	}
	after, s := before.Read(before.LengthMM, errorVar)
	gain := before.Covariance / s.Var
	margin := normalQuantile(ClearChance.Value) * math.Sqrt(after.RateVar)
	growsFromMM = before.LengthMM + (GrowingRate.Value+margin-before.RateMMPerDay)/gain
	standsToMM = before.LengthMM + (GrowingRate.Value-margin-before.RateMMPerDay)/gain
	// A length that would be questioned says nothing.
	shortest := from.LengthMM - smallestChangeMM(from.LengthVar, errorVar)
	longest := from.LengthMM + j.CeilingMMPerDay*(day-from.Day)
	if growsFromMM > longest {
		growsFromMM = 0
	}
	if standsToMM < math.Max(0, shortest) {
		standsToMM = 0
	}
	return math.Max(0, growsFromMM), standsToMM
}

// Lengthened reports whether the root has grown by more than its readings err,
// in its present stretch.
func (t Track) Lengthened() bool {
	for i := t.From; i < len(t.Steps); i++ {
		for _, later := range t.Steps[i+1:] {
			if later.LengthMM-t.Steps[i].LengthMM > smallestChangeMM(t.Steps[i].LengthVar, later.LengthVar) {
				return true
			}
		}
	}
	return false
}
