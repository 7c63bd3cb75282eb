package light

// molPerMicromolHour: one µmol m⁻² s⁻¹ kept up for an hour is 0.0036 mol m⁻².
const molPerMicromolHour = 3600 / 1e6

// SteadyDLI returns the daily light integral, mol m⁻² day⁻¹, of a lamp that
// gives ppfd (0 to 4000 µmol m⁻² s⁻¹) for some hours a day (0 to 24).
func SteadyDLI(ppfd, hours float64) (float64, error) {
	return converted(ppfd, PPFD, DLI, Lighting{Shape: Steady, Hours: hours})
}

// ClearDayDLI returns the daily light integral, mol m⁻² day⁻¹, of a day that
// rises to peakPPFD (0 to 4000 µmol m⁻² s⁻¹) and follows half a sine over the
// day length (0 to 24 h): DLI = peak · N · 3600 · (2/π) / 10⁶. Real clear days
// lie within about 7 % below and 4 % above; Convert gives that range.
func ClearDayDLI(peakPPFD, dayLengthHours float64) (float64, error) {
	return converted(peakPPFD, PPFD, DLI, Lighting{Shape: ClearDayPeak, Hours: dayLengthHours})
}

// PPFDForDLI is the inverse of the two: the lamp level, or the clear-day peak,
// in µmol m⁻² s⁻¹ that gives a daily light integral (0 to 350 mol m⁻² day⁻¹)
// in the hours (above 0, to 24). It fails when that level would exceed 4000.
func PPFDForDLI(dli, hours float64, shape Shape) (float64, error) {
	return converted(dli, DLI, PPFD, Lighting{Shape: shape, Hours: hours})
}

// converted is Convert without the range.
func converted(amount float64, from, to Unit, lighting Lighting) (float64, error) {
	c, err := newConversion(from, to, lighting)
	if err != nil {
		return 0, err
	}
	return c.apply(amount)
}
